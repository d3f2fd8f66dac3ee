"""What build says while it works and when it is done."""

import io
import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from pixel2make.cli.progress import Progress

SPRITE = Path(__file__).parent.parent / "demo_sprites" / "kelp_pocketbook.png"
ROOT = Path(__file__).parent.parent


def build(folder, *options, stderr=subprocess.PIPE):
    command = [
        sys.executable,
        "-m",
        "pixel2make",
        "masks",
        str(SPRITE),
        "--height",
        "150mm",
        "-o",
        str(folder),
    ]
    return subprocess.run([*command, *options], stdout=subprocess.PIPE, stderr=stderr, text=True, cwd=ROOT)


class Terminal(io.StringIO):
    def isatty(self):
        return True


def test_a_terminal_sees_one_line_that_is_taken_away():
    out = Terminal()
    with Progress(stream=out) as tell:
        tell("making sheets")
        tell("making masks")
    assert "\n" not in out.getvalue()
    # ECMA-48: EL, erase to the end of the line; what is left is an empty line.
    shown = out.getvalue().split("\r\x1b[K")
    assert shown == ["", "making sheets ...", "making masks ...", ""]


@pytest.mark.parametrize("stream", [io.StringIO, Terminal])
def test_who_does_not_want_it_or_does_not_look_sees_nothing(stream):
    out = stream()
    with Progress(is_wanted=stream is io.StringIO, stream=out) as tell:
        tell("making sheets")
    assert out.getvalue() == ""


def test_the_line_is_taken_away_after_a_failure_too():
    out = Terminal()
    with pytest.raises(ValueError, match="x"), Progress(stream=out) as tell:
        tell("making sheets")
        raise ValueError("x")
    assert out.getvalue().endswith("\r\x1b[K")


def test_json_alone_goes_to_standard_output(tmp_path):
    run = build(tmp_path / "pack", "--json")
    assert (run.returncode, run.stderr) == (0, "")
    found = json.loads(run.stdout)
    there = {
        p.relative_to(tmp_path / "pack").as_posix() for p in (tmp_path / "pack").rglob("*") if p.is_file()
    }
    assert set(found["files"]) == there - {"MANIFEST.sha256"}
    assert found["size_mm"]["height"] == 150
    assert found["mass_g"] > 0


def test_quiet_says_nothing_and_writes_the_same(tmp_path):
    run = build(tmp_path / "pack", "--quiet")
    assert (run.returncode, run.stdout, run.stderr) == (0, "", "")
    assert (tmp_path / "pack" / "index.html").is_file()


def test_the_summary_names_the_figures_and_the_file_to_begin_with(tmp_path):
    inner, outer = pty.openpty()
    run = build(tmp_path / "pack", stderr=outer)
    os.close(outer)
    seen = os.read(inner, 65536).decode()
    assert "reading the sprite ..." in seen
    assert seen.endswith("\r\x1b[K")
    assert "\n" not in seen
    for word in ("height 150 mm", "width ", "thickness ", "mass about", "% sure", "index.html"):
        assert word in run.stdout
