"""Time and memory of the command as whole processes, against what they are measured by.

    python tests/bench/startup.py [--runs 5]

Prints, each as median of the runs with minimum and maximum:

- ``pixel2make --help`` against ``python -c "import click"``,
- a cold ``build`` of a 32 x 32 and of a 256 x 256 sprite against a process that only imports the
  libraries that the build loads,
- the largest resident memory of each.

The figures are whole-process figures of this machine at this moment; the ratios travel better.
"""

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).parents[2]


def drawn_book(side: int) -> np.ndarray:
    """A book from the front with page edge and clasp, `side` pixels high, with leather texture."""
    rng = np.random.default_rng(side)
    rgba = np.zeros((side, side, 4), np.uint8)
    m = max(1, side // 16)
    x0, x1, edge = m, side - 2 * m, side - 2 * m - max(2, side // 8)
    rgba[m : side - m, x0:x1] = (28, 20, 32, 255)
    shade = rng.integers(0, 3, (side, side, 1)) * np.array([9, 5, 4])
    cover = np.array([140, 44, 52]) + shade
    rgba[m + 1 : side - m - 1, x0 + 1 : edge, :3] = cover[m + 1 : side - m - 1, x0 + 1 : edge]
    bands = np.where(np.arange(edge + 1, x1 - 1)[None, :, None] % 2 == 0, (236, 226, 200), (212, 196, 164))
    rgba[m + 1 : side - m - 1, edge + 1 : x1 - 1, :3] = bands
    c = side // 2
    rgba[c - m : c + m + 1, edge - 2 * m : x1 - 1, :3] = (226, 178, 60)
    yy, xx = np.mgrid[0:side, 0:side]
    rgba[(yy - c) ** 2 + (xx - (x0 + edge) // 2) ** 2 < (side / 8) ** 2, :3] = (226, 178, 60)
    return rgba


def imported_by(command: list[str]) -> list[str]:
    """Top-level names of the libraries that a run loads from outside the standard library and us."""
    code = (
        "import sys\n"
        f"sys.argv = {command!r}\n"
        "from pixel2make.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "names = {n for n in sys.modules if not n.startswith('pixel2make') and n != '__main__'}\n"
        "print('MODULES', *sorted(names))\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=ROOT)
    line = next(text for text in run.stdout.splitlines() if text.startswith("MODULES"))
    return line.split()[1:]


def timed(command: list[str], runs: int) -> tuple[list[float], float]:
    """Wall seconds of each run after one warm-up, and the largest resident MB of any."""
    seconds = []
    for index in range(runs + 1):
        start = time.perf_counter()
        subprocess.run(command, check=True, capture_output=True, cwd=ROOT)
        if index:
            seconds.append(time.perf_counter() - start)
    return seconds, peak_mb(command)


def peak_mb(command: list[str]) -> float:
    code = (
        "import resource, subprocess, sys\n"
        "subprocess.run(sys.argv[1:], check=True, capture_output=True)\n"
        "print(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss)\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, *command], capture_output=True, text=True, check=True, cwd=ROOT
    )
    return int(run.stdout) / (2**20 if sys.platform == "darwin" else 2**10)


def row(name: str, command: list[str], runs: int) -> float:
    seconds, memory = timed(command, runs)
    median = statistics.median(seconds)
    print(f"{name:44} {median:7.3f} s ({min(seconds):.3f} to {max(seconds):.3f})  {memory:6.0f} MB")
    return median


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--runs", type=int, default=5)
    runs = parser.parse_args().runs
    os.environ["PYTHONPATH"] = str(ROOT)
    # An installed package has its bytecode beside it; the warm-up run writes ours.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    python = sys.executable
    click = row('python -c "import click"', [python, "-c", "import click"], runs)
    help_ = row("pixel2make --help", [python, "-m", "pixel2make", "--help"], runs)
    print(f"{'':44} {help_ / click:7.2f} times import click (aim 1.5)\n")
    with tempfile.TemporaryDirectory() as folder:
        for side in (32, 256):
            sprite = Path(folder) / f"book{side}.png"
            Image.fromarray(drawn_book(side), "RGBA").save(sprite)
            args = ["build", str(sprite), "--height", "300mm", "-o", str(Path(folder) / f"pack{side}")]
            modules = imported_by(["pixel2make", *args])
            loads = f"import importlib\nfor n in {modules!r}:\n    importlib.import_module(n)\n"
            base = row(f"imports of the {side} x {side} build", [python, "-c", _tolerant(loads)], runs)
            build = row(f"build of a {side} x {side} sprite", [python, "-m", "pixel2make", *args], runs)
            print(f"{'':44} {build / base:7.2f} times its imports (aim 2.5 at 32 x 32)\n")
    print(f"this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**10:.0f} MB")


def _tolerant(loads: str) -> str:
    """Some entries of sys.modules are no modules of their own and cannot be imported by name."""
    return loads.replace(
        "    importlib.import_module(n)\n",
        "    try:\n        importlib.import_module(n)\n    except Exception:\n        pass\n",
    )


if __name__ == "__main__":
    main()
