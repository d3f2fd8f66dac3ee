"""The five commands: what they write, what they refuse, and that a refusal leaves no trace."""

import json
import os
import subprocess
import sys
import tomllib

import jsonschema
import numpy as np
import pytest

from demo_sprites.make import FOLDER
from pixel2make.pack.spec import schema
from tests.drawings import FRONT_WITH_EDGE

COMMANDS = ("build", "masks", "clasp")


def tree(folder):
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def checked_spec(text):
    """Every spec that a test sees is judged by the jsonschema library against the shipped schema."""
    spec = json.loads(text)
    jsonschema.Draft202012Validator.check_schema(schema())
    jsonschema.validate(spec, schema(), cls=jsonschema.Draft202012Validator)
    return spec


def by_name(spec):
    return {d["name"]: d for d in spec["dimensions"]}


def assert_refused(result, *words):
    status, _, err = result
    assert status == 2, err
    lines = err.strip().splitlines()
    assert len(lines) == 1, err
    assert lines[0].startswith("Error: ")
    for word in words:
        assert word in lines[0]


# --- what is written ------------------------------------------------------------------------


def test_build_writes_every_part_of_the_pack(run, write_sprite, tmp_path):
    status, _, err = run("build", write_sprite(), "--height", "300mm", "-o", tmp_path / "pack")
    assert (status, err) == (0, "")
    files = tree(tmp_path / "pack")
    assert {"spec.json", "drawing.svg", "README.txt", "MANIFEST.sha256", "plan/plan.toml"} <= set(files)
    for start, end in (("sheets/", ".svg"), ("masks/", ".svg"), ("clasp/", ".stl"), ("clasp/", ".svg")):
        assert any(name.startswith(start) and name.endswith(end) for name in files), (start, end)
    readme = files["README.txt"].decode()
    for name in files:
        if name != "MANIFEST.sha256":
            stem, _, form = name.rpartition(".")
            row = next(line for line in readme.splitlines() if line.startswith((name, f"{stem}.svg ")))
            files_named, _, what_for = row.partition("  ")
            assert f".{form}" in files_named
            assert what_for.strip(), f"README.txt does not say what {name} is for"
    checked_spec(files["spec.json"])


def test_spec_answers_for_every_native_pixel_once(run, write_sprite):
    status, out, _ = run("measure", write_sprite(), "--height", "300mm", "--json")
    assert status == 0
    spec = checked_spec(out)
    pixels = [tuple(p) for feature in spec["features"] for p in feature["pixels"]]
    rows = FRONT_WITH_EDGE.splitlines()
    assert sorted(pixels) == sorted((x, y) for y in range(len(rows)) for x in range(len(rows[0])))
    assert spec["sprite"]["width_px"] == len(rows[0])


def test_the_given_edge_is_the_makers_word_and_exact(run, write_sprite):
    sprite = write_sprite()
    for option, length, mm, name in (
        ("--height", "30 cm", 300.0, "cover_height"),
        ("--height", "11 3/4 in", 298.45, "cover_height"),  # 25.4 mm to the inch: NIST SP 811
        ("--width", "0.2m", 200.0, "cover_width"),
        ("--thickness", "45mm", 45.0, "book_thickness"),
    ):
        status, out, err = run("measure", sprite, option, length, "--json")
        assert status == 0, err
        dimension = by_name(checked_spec(out))[name]
        assert dimension["value_mm"] == dimension["low_mm"] == dimension["high_mm"] == pytest.approx(mm)
        assert dimension["from"] == "maker"


def test_measured_width_holds_the_drawn_ratio(run, write_sprite):
    """The cover is drawn 10 or 11 wide (with the inner line), 14 high; 1 px either way bounds it."""
    _, out, _ = run("measure", write_sprite(), "--height", "280mm", "--json")
    width = by_name(checked_spec(out))["cover_width"]
    assert width["from"] == "sprite"
    assert width["low_mm"] <= 10 * 20 <= width["high_mm"]
    assert 280 * 9 / 15 - 1 <= width["low_mm"] < width["high_mm"] <= 280 * 12 / 13 + 1


def test_measure_prints_what_build_writes(run, write_sprite, tmp_path):
    sprite = write_sprite()
    _, out, _ = run("measure", sprite, "--height", "300mm", "--json")
    run("build", sprite, "--height", "300mm", "-o", tmp_path / "pack")
    assert (tmp_path / "pack" / "spec.json").read_bytes() == out.encode()


def test_measure_prints_a_table(run, write_sprite):
    status, out, _ = run("measure", write_sprite(), "--height", "300mm")
    assert status == 0
    row = next(line for line in out.splitlines() if line.startswith("cover_height "))
    assert row.split()[:3] == ["cover_height", "300.0", "maker"]


def test_every_dimension_says_where_it_comes_from(run, write_sprite):
    _, out, _ = run("measure", write_sprite(), "--height", "300mm", "--json")
    for dimension in checked_spec(out)["dimensions"]:
        assert dimension["rule"], dimension["name"]
        if dimension["from"] in ("rule", "stock"):
            assert dimension["source"], dimension["name"]


def test_every_file_of_a_part_is_in_the_pack(run, write_sprite, tmp_path):
    run("build", write_sprite(), "--height", "300mm", "-o", tmp_path / "pack")
    files = tree(tmp_path / "pack")
    spec = checked_spec(files["spec.json"])
    listed = {name for part in spec["parts"] for name in part["files"]}
    assert listed and listed <= set(files)


def test_steps_wait_only_for_earlier_steps(run, write_sprite):
    _, out, _ = run("measure", write_sprite(), "--height", "300mm", "--json")
    steps = checked_spec(out)["steps"]
    seen: set[str] = set()
    for step in sorted(steps, key=lambda s: s["order"]):
        assert set(step["waits_for"]) <= seen, step["name"]
        seen.add(step["name"])


@pytest.mark.parametrize("command", COMMANDS)
def test_same_input_same_bytes(run, write_sprite, tmp_path, command):
    sprite = write_sprite()
    for name in ("one", "two"):
        assert run(command, sprite, "--height", "300mm", "-o", tmp_path / name)[0] == 0
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def test_bytes_do_not_hang_on_hash_seed_or_folder(write_sprite, tmp_path):
    sprite = write_sprite()
    packs = []
    for seed in ("1", "2"):
        folder = tmp_path / seed
        folder.mkdir()
        subprocess.run(
            [sys.executable, "-m", "pixel2make", "build", sprite, "--height", "300mm", "-o", "pack"],
            cwd=folder,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)},
            check=True,
            capture_output=True,
        )
        packs.append(tree(folder / "pack"))
    assert packs[0] == packs[1]


def test_masks_and_clasp_write_only_their_own(run, write_sprite, tmp_path):
    sprite = write_sprite()
    assert run("masks", sprite, "--height", "300mm", "-o", tmp_path / "m")[0] == 0
    assert run("clasp", sprite, "--height", "300mm", "-o", tmp_path / "c")[0] == 0
    rest = {"README.txt", "index.html", "MANIFEST.sha256"}
    assert {n.split("/")[0] for n in tree(tmp_path / "m")} == {"masks"} | rest
    assert {n.split("/")[0] for n in tree(tmp_path / "c")} == {"clasp"} | rest


def test_an_enlarged_file_gives_the_same_dimensions(run, write_sprite):
    _, native, _ = run("measure", write_sprite(name="a.png"), "--height", "300mm", "--json")
    _, large, _ = run("measure", write_sprite(name="b.png", enlarge=8), "--height", "300mm", "--json")
    native, large = checked_spec(native), checked_spec(large)
    assert large["sprite"]["scale"] == 8
    assert native["dimensions"] == large["dimensions"]
    assert native["features"] == large["features"]


# --- plans ----------------------------------------------------------------------------------


def test_an_unchanged_plan_gives_the_pack_of_the_sprite(run, write_sprite, tmp_path):
    sprite = write_sprite()
    assert run("plan", sprite, "-o", tmp_path / "tome.toml")[0] == 0
    _, direct, _ = run("measure", sprite, "--height", "300mm", "--json")
    _, planned, _ = run("measure", tmp_path / "tome.toml", "--height", "300mm", "--json")
    assert checked_spec(planned) == checked_spec(direct)


def test_a_pack_can_be_built_again_from_the_plan_in_it(run, write_sprite, tmp_path):
    run("build", write_sprite(), "--height", "300mm", "-o", tmp_path / "one")
    status, _, err = run("build", tmp_path / "one" / "plan" / "plan.toml", "-o", tmp_path / "two")
    assert status == 0, err
    assert tree(tmp_path / "one") == tree(tmp_path / "two")


def edited(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def region_line(text, feature):
    """The first line of [regions] that names a feature."""
    return next(
        line for line in text.splitlines() if line.endswith(f'= "{feature}"') and line.startswith(("r", '"r'))
    )


def test_hand_edits_reach_the_spec(run, write_sprite, tmp_path):
    plan = tmp_path / "tome.toml"
    run("plan", write_sprite(), "-o", plan)
    line = region_line(plan.read_text(), "emblem")
    edited(plan, line, line.replace("emblem", "clasp"))
    edited(plan, "[size]", '[size]\nwidth = "21cm"')
    choice = next(text for text in plan.read_text().splitlines() if text.startswith("corner_radius ="))
    edited(plan, choice, 'corner_radius = "8mm"')
    status, out, err = run("measure", plan, "--json")
    assert status == 0, err
    spec = checked_spec(out)
    patch = line.split("=")[0].strip().strip('"')
    changed = next(f for f in spec["features"] if patch in f["patches"])
    assert changed["feature"] == "clasp"
    assert by_name(spec)["cover_width"] == {
        **by_name(spec)["cover_width"],
        "value_mm": 210.0,
        "from": "maker",
    }
    radius = by_name(spec)["corner_radius"]
    assert (radius["value_mm"], radius["from"]) == (8.0, "maker")


def test_an_option_wins_over_the_plans_size(run, write_sprite, tmp_path):
    plan = tmp_path / "tome.toml"
    run("plan", write_sprite(), "--width", "21cm", "-o", plan)
    _, out, _ = run("measure", plan, "--height", "10in", "--json")
    assert by_name(checked_spec(out))["cover_height"]["value_mm"] == 254.0


def test_a_second_plan_run_keeps_the_edit_and_says_so(run, write_sprite, tmp_path):
    sprite, plan = write_sprite(), tmp_path / "tome.toml"
    run("plan", sprite, "-o", plan)
    line = region_line(plan.read_text(), "emblem")
    edited(plan, line, line.replace("emblem", "clasp") + "  # I can see a hook")
    before = plan.read_text()
    status, out, _ = run("plan", sprite, "-o", plan)
    assert status == 0
    assert plan.read_text() == before
    assert "stays clasp (read now: emblem)" in out


def test_a_box_names_pixels_that_no_region_parts(run, write_sprite, tmp_path):
    plan = tmp_path / "tome.toml"
    run("plan", write_sprite(), "-o", plan)
    plan.write_text(plan.read_text() + '\n[[box]]\nat = [3, 11, 2, 2]\nfeature = "emblem"\n')
    status, out, err = run("measure", plan, "--height", "300mm", "--json")
    assert status == 0, err
    box = next(f for f in checked_spec(out)["features"] if "box1" in f["patches"])
    assert box["feature"] == "emblem"
    assert {(3, 11), (4, 11), (3, 12), (4, 12)} <= {tuple(p) for p in box["pixels"]}


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('= "emblem"', '= "emblm"', ("there is no feature 'emblm'", "did you mean emblem")),
        ("plan_version", 'colour = "red"\nplan_version', ("there is no key 'colour'", "words that would do")),
        ("[choices]", '[choices]\ncover_radius = "8mm"', ("cover_radius", "corner_radius")),
        ("[regions]", '[regions]\nr99 = "clasp"', ("there is no region 'r99'",)),
        ('kind = "book"', 'kind = "boook"', ("there is no kind 'boook'", "book")),
    ],
)
def test_a_wrong_word_in_a_plan_is_refused_with_its_line(run, write_sprite, tmp_path, old, new, words):
    plan = tmp_path / "tome.toml"
    run("plan", write_sprite(), "-o", plan)
    edited(plan, old, new)
    wrong = new.split("\n")[-1] if new.startswith(("[", "#")) else new.split("\n")[0]
    number = next(i for i, line in enumerate(plan.read_text().splitlines(), 1) if wrong in line)
    assert_refused(
        run("build", plan, "--height", "300mm", "-o", tmp_path / "pack"),
        "tome.toml",
        f"line {number}",
        *words,
    )
    assert not (tmp_path / "pack").exists()


def test_a_plan_for_another_picture_is_refused(run, write_sprite, tmp_path):
    plan = tmp_path / "tome.toml"
    run("plan", write_sprite(), "-o", plan)
    write_sprite(FRONT_WITH_EDGE.replace("b", "y"))
    assert_refused(
        run("measure", plan, "--height", "300mm"), "tome.toml", "another picture", "make a new plan"
    )
    assert_refused(run("plan", tmp_path / "tome.png", "-o", plan), "another picture", "nothing was changed")


def test_a_plan_without_its_sprite_is_refused(run, write_sprite, tmp_path):
    plan = tmp_path / "tome.toml"
    run("plan", write_sprite(), "-o", plan)
    (tmp_path / "tome.png").unlink()
    assert_refused(run("measure", plan, "--height", "300mm"), "tome.toml", "line ", "'tome.png' is not there")


def test_the_plan_is_plain_toml(run, write_sprite, tmp_path):
    run("plan", write_sprite(), "--height", "30 cm", "-o", tmp_path / "tome.toml")
    data = tomllib.loads((tmp_path / "tome.toml").read_text())
    assert data["size"] == {"height": "30 cm"}
    assert data["sprite"]["file"] == "tome.png"


def test_show_writes_a_picture(run, write_sprite, tmp_path):
    from PIL import Image

    sprite = write_sprite()
    assert run("measure", sprite, "--height", "300mm", "--show", tmp_path / "m.png")[0] == 0
    assert run("plan", sprite, "-o", tmp_path / "p.toml", "--show", tmp_path / "p.png")[0] == 0
    with Image.open(tmp_path / "m.png") as picture:
        assert picture.format == "PNG"
        assert picture.width > 4 * len(FRONT_WITH_EDGE.splitlines()[0])


# --- answers on the command line --------------------------------------------------------------


def test_set_answers_a_choice_and_the_packs_plan_keeps_it(run, write_sprite, tmp_path):
    sprite = write_sprite()
    args = ("--height", "300mm", "--set", "corner_radius=8mm", "--structure", "laced")
    status, out, err = run("measure", sprite, *args, "--json")
    assert status == 0, err
    assert by_name(checked_spec(out))["corner_radius"]["value_mm"] == 8.0
    assert run("build", sprite, *args, "-o", tmp_path / "one")[0] == 0
    assert (tmp_path / "one" / "spec.json").read_text() == out
    status, _, err = run("build", tmp_path / "one" / "plan" / "plan.toml", "-o", tmp_path / "two")
    assert status == 0, err
    assert (tmp_path / "two" / "spec.json").read_text() == out


def test_an_answer_that_would_not_do_is_refused(run, write_sprite):
    sprite = write_sprite()
    size = ("--height", "300mm")
    assert_refused(run("measure", sprite, *size, "--structure", "glued"), "glued", "case", "laced")
    assert_refused(run("measure", sprite, *size, "--set", "colour=red"), "colour", "corner_radius")
    assert_refused(run("measure", sprite, *size, "--set", "corner_radius"), "CHOICE=ANSWER")


def test_a_title_brings_the_covers_layout(run, write_sprite, tmp_path):
    args = ("--height", "300mm", "--title", "Salt & Glass", "-o", tmp_path / "pack")
    status, _, err = run("build", write_sprite(), *args)
    assert status == 0, err
    files = tree(tmp_path / "pack")
    assert {"cover/layout.svg", "cover/layout.png", "cover/stencil.svg"} <= set(files)
    assert "cover/layout.svg" in files["README.txt"].decode()
    assert_refused(run("build", write_sprite(), "--byline", "A", "-o", tmp_path / "x"), "--title")


def test_prices_are_the_makers(run, write_sprite, tmp_path):
    prices = tmp_path / "prices.csv"
    prices.write_text("item,price_each\nmull,abc\n")
    args = ("build", write_sprite(), "--height", "300mm", "--prices", prices, "-o", tmp_path / "pack")
    assert_refused(run(*args), "prices.csv", "abc")
    assert not (tmp_path / "pack").exists()
    assert_refused(run(*args[:4], "--prices", tmp_path / "none.csv", "-o", tmp_path / "pack"), "none.csv")


# --- what is refused ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("--height", "300"), ("--height", "300mm")),
        (("--height", "-3mm"), ("--height", "-3mm")),
        (("--height", "0"), ("--height",)),
        (("--height", "0mm"), ("--height",)),
        (("--height", "5km"), ("--height", "mm")),
        (("--height", ""), ("--height",)),
        (("--height", "nanmm"), ("--height",)),
        ((), ("--height", "300mm")),
        (("--height", "300mm", "--width", "200mm"), ("--height", "--width")),
    ],
)
@pytest.mark.parametrize("command", COMMANDS)
def test_a_size_that_cannot_be_used(run, write_sprite, tmp_path, command, args, words):
    assert_refused(run(command, write_sprite(), *args, "-o", tmp_path / "pack"), *words)
    assert not (tmp_path / "pack").exists()


def bad_files(tmp_path):
    from PIL import Image

    good = tmp_path / "good.png"
    Image.fromarray(np.full((9, 9, 4), 200, np.uint8), "RGBA").save(good)
    (tmp_path / "text.png").write_text("not a picture")
    (tmp_path / "cut.png").write_bytes(good.read_bytes()[:60])
    (tmp_path / "empty.png").write_bytes(b"")
    (tmp_path / "folder.png").mkdir()
    Image.fromarray(np.zeros((9, 9, 4), np.uint8), "RGBA").save(tmp_path / "clear.png")
    Image.fromarray(np.full((1, 1, 4), 255, np.uint8), "RGBA").save(tmp_path / "dot.png")
    rng = np.random.default_rng(1)
    noise = rng.integers(0, 256, (600, 4000, 3), np.uint8)
    Image.fromarray(noise, "RGB").save(tmp_path / "wide.png")
    yy, xx = np.mgrid[0:480, 0:640]
    photo = np.stack([xx * 0.3 + yy * 0.1, yy * 0.4 + 20, 255 - xx * 0.2], -1) + rng.normal(
        0, 6, (480, 640, 3)
    )
    Image.fromarray(photo.clip(0, 255).astype(np.uint8), "RGB").save(tmp_path / "photo.png")
    two = np.zeros((20, 44, 4), np.uint8)
    two[3:17, 3:15] = two[3:17, 28:40] = (150, 44, 52, 255)
    Image.fromarray(two, "RGBA").save(tmp_path / "two.png")
    return {
        "text.png": ("picture",),
        "cut.png": (),
        "empty.png": ("empty",),
        "folder.png": ("folder",),
        "missing.png": (),
        "clear.png": ("transparent",),
        "good.png": ("one colour",),
        "dot.png": ("pixel",),
        "wide.png": ("512",),
        "photo.png": (),
        "two.png": ("--region", "--cell", "3"),
    }


@pytest.mark.parametrize(
    "name",
    [
        "text.png",
        "cut.png",
        "empty.png",
        "folder.png",
        "missing.png",
        "clear.png",
        "good.png",
        "dot.png",
        "wide.png",
        "photo.png",
        "two.png",
    ],
)
@pytest.mark.parametrize("command", ["plan", "measure", "build"])
def test_a_picture_that_cannot_be_used(run, tmp_path, name, command):
    words = bad_files(tmp_path)[name]
    out = tmp_path / ("pack.toml" if command == "plan" else "pack")
    size = () if command == "plan" else ("--height", "300mm")
    target = () if command == "measure" else ("-o", out)
    assert_refused(run(command, tmp_path / name, *size, *target), name, *words)
    assert not out.exists()


def test_an_unwritable_folder_is_refused(write_sprite, tmp_path):
    """Root may write anywhere, so the command runs as an ordinary user where the test runs as root."""
    locked = tmp_path / "locked"
    locked.mkdir()
    locked.chmod(0o555)
    code = (
        "import os, sys\n"
        "from pixel2make.pack.writer import check_folder\n"
        "from pixel2make.errors import PackError\n"
        "from pathlib import Path\n"
        "if os.getuid() == 0:\n"
        "    os.setgroups([]); os.setgid(65534); os.setuid(65534)\n"
        "try:\n"
        "    check_folder(Path(sys.argv[1]))\n"
        "except PackError as error:\n"
        "    print(error)\n"
    )
    for folder in (tmp_path, *tmp_path.parents):
        if folder.stat().st_uid == os.getuid() and folder != tmp_path.parents[-1]:
            folder.chmod(folder.stat().st_mode | 0o755)
    run = subprocess.run(
        [sys.executable, "-c", code, str(locked / "pack")],
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
    )
    assert "may not be written to; name another folder" in run.stdout, run.stderr


def test_a_makers_folder_is_never_touched(run, write_sprite, tmp_path):
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "notes.txt").write_text("my notes")
    assert_refused(run("build", write_sprite(), "--height", "300mm", "-o", mine), "mine", "notes.txt")
    assert tree(mine) == {"notes.txt": b"my notes"}


def test_unknown_options_and_commands_are_one_line(run, write_sprite):
    assert_refused(run("build", write_sprite(), "--hight", "3mm"), "--hight", "pixel2make build --help")
    assert_refused(run("bild"), "bild")
    assert_refused(run("build"), "SPRITE_OR_PLAN")


def test_a_book_without_a_clasp_says_how_to_name_one(run, write_sprite, tmp_path):
    plain = FRONT_WITH_EDGE.replace("Yyyk", "rkwk")
    result = run("clasp", write_sprite(plain), "--height", "300mm", "-o", tmp_path / "pack")
    assert_refused(result, "no clasp was found", "plan")
    assert not (tmp_path / "pack").exists()


def test_a_clasp_in_doubt_is_named_in_the_refusal(run, tmp_path):
    """A maker who asks for the clasp alone is told which patch may be one; the plan with it goes through."""
    sprite = tmp_path / "ferry_tally.png"
    sprite.write_bytes((FOLDER / "ferry_tally.png").read_bytes())
    refused = run("clasp", sprite, "--height", "200mm", "-o", tmp_path / "pack")
    assert_refused(refused, "no clasp is sure, but r11 may be one", 'r11 = "clasp"')
    plan = tmp_path / "plan.toml"
    assert run("plan", sprite, "-o", plan)[0] == 0
    plan.write_text(plan.read_text("utf-8").replace('r11 = "cover"', 'r11 = "clasp"'), "utf-8")
    assert run("clasp", plan, "--height", "200mm", "-o", tmp_path / "pack")[0] == 0


def test_version_and_help(run):
    assert run("--version")[1].startswith("pixel2make 0.")
    status, out, _ = run("--help")
    assert status == 0
    for command in ("plan", "measure", *COMMANDS):
        assert command in out
        assert run(command, "--help")[0] == 0
