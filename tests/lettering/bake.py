"""Make the shipped face data from the published packages; run by hand when a face is changed.

Unpack the three packages named in `pixel2make.lettering.faces` into one folder, install fonttools, then
``python -m tests.lettering.bake FOLDER``.
"""

from __future__ import annotations

import json
import re
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from pathlib import Path

from shapely.geometry import MultiLineString

from pixel2make.lettering.faces import face_data
from pixel2make.lettering.fontfile import read_font_file
from pixel2make.lettering.model import Face, Glyph
from pixel2make.lettering.outlines import cubic

LATIN = "".join(map(chr, [*range(0x20, 0x7F), *range(0xA1, 0x180)])) + "ȘșȚțẞ–—‘’‚“”„†•…‹›"
"""Basic Latin to Latin Extended-A, and the marks of print."""
LICENCE = "SIL Open Font License 1.1"
HERE = Path("pixel2make/lettering/fonts")
WEIGHT = 700
"""Bold, for the regular weight of the engraved face has hairlines too thin to carve or gild."""


def find(folder: Path, name: str) -> Path:
    return next(p for p in sorted(folder.rglob("*")) if p.name == name)


def thinned(face: Face) -> Face:
    """Without the points that whole font units cannot tell from a straight line."""
    glyphs = {char: replace(glyph, shape=glyph.shape.simplify(0.5)) for char, glyph in face.glyphs.items()}
    return replace(face, glyphs=glyphs)


def engraved(folder: Path) -> Face:
    face = read_font_file(find(folder, "Cinzel[wght].ttf"), LATIN, key="engraved", weight=WEIGHT)
    return replace(face, name="Cinzel Bold", origin="PyPI fontpkg-cinzel 2.0")


def stencil(folder: Path) -> Face:
    """The package keeps Latin and its extension in two files; kerning is that of the first."""
    names = [f"saira-stencil-one-{part}-400-normal.woff" for part in ("latin", "latin-ext")]
    first, second = (read_font_file(find(folder, name), LATIN, key="stencil") for name in names)
    return replace(
        first,
        name="Saira Stencil One",
        origin="npm @fontsource/saira-stencil-one 5.3.0",
        glyphs={**second.glyphs, **first.glyphs},
    )


def single_stroke(folder: Path) -> Face:
    root = ET.parse(find(folder, "EMSReadability.svg")).getroot()
    glyphs = {}
    for glyph in root.iter("{http://www.w3.org/2000/svg}glyph"):
        char = glyph.get("unicode", "")
        if len(char) == 1 and char in LATIN:
            strokes = _strokes(glyph.get("d", ""))
            glyphs[char] = Glyph(float(glyph.get("horiz-adv-x", "0")), MultiLineString(strokes))
    height = glyphs["H"].shape.bounds[3]
    return Face("single-stroke", "EMS Readability", "npm hersheytext 2.0.0", 1000.0, height, True, glyphs)


def _strokes(data: str) -> list[list[tuple[float, float]]]:
    """Path data with absolute M, L and C."""
    strokes: list[list[tuple[float, float]]] = []
    for letter, text in re.findall(r"([A-Za-z])([^A-Za-z]*)", data):
        numbers = [float(v) for v in text.replace(",", " ").split()]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        if letter == "M":
            strokes.append(points)
        elif letter == "L":
            strokes[-1] += points
        elif letter == "C":
            for i in range(0, len(points), 3):
                strokes[-1] += cubic(strokes[-1][-1], *points[i : i + 3], 0.5)
        else:
            raise ValueError(f"unknown path command {letter}")
    return [s for s in strokes if len(s) > 1]


def main(folder: Path) -> None:
    for face in (engraved(folder), stencil(folder), single_stroke(folder)):
        text = json.dumps(face_data(thinned(face), LICENCE), ensure_ascii=False, separators=(",", ":"))
        text = re.sub(r"\.0(?=[],}])", "", text)
        (HERE / f"{face.key}.json").write_text(text + "\n", "utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
