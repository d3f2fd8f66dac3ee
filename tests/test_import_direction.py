"""Every import points to what stands before; the command starts without heavy libraries."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

import pixel2make

HOUSE = Path(pixel2make.__file__).parent
ORDER = (
    "errors",
    "quantity",
    "trade",
    "geometry",
    "color",
    "lettering",
    "sprite",
    "regions",
    "reading",
    "plan",
    "design",
    "pack",
    "kinds",
    "api",
    "cli",
    "__main__",
)
MODULES = sorted(p for p in HOUSE.rglob("*.py") if p != HOUSE / "__init__.py")


def room(path: Path) -> str:
    return path.relative_to(HOUSE).parts[0].removesuffix(".py")


def imported_rooms(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            if node.module == "pixel2make":
                found |= {alias.name for alias in node.names}
            elif node.module and node.module.startswith("pixel2make."):
                found.add(node.module.split(".")[1])
        elif isinstance(node, ast.Import):
            found |= {a.name.split(".")[1] for a in node.names if a.name.startswith("pixel2make.")}
    return {name for name in found if not name.startswith("__")}


def test_every_room_of_the_house_is_in_the_order():
    assert {room(path) for path in MODULES} <= set(ORDER)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: p.relative_to(HOUSE).as_posix())
def test_imports_point_to_what_stands_before(path):
    own = ORDER.index(room(path))
    later = {name for name in imported_rooms(path) if ORDER.index(name) > own}
    assert not later, f"{path.name} imports {later}, which come later in the house"


def test_help_loads_click_and_little_else():
    code = (
        "import sys\n"
        "sys.argv = ['pixel2make', '--help']\n"
        "from pixel2make.cli import main\n"
        "try:\n"
        "    main()\n"
        "except SystemExit:\n"
        "    pass\n"
        "heavy = {'numpy', 'scipy', 'skimage', 'PIL', 'shapely', 'trimesh', 'manifold3d', 'tomlkit'}\n"
        "print(sorted(heavy & set(sys.modules)))\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.splitlines()[-1] == "[]"
