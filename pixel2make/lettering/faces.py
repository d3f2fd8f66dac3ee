"""The faces that the package ships, and the maker's own.

Each is open type under the SIL Open Font License 1.1, whose text and copyright lines stand beside the
data in ``fonts``. The data are outlines, advances and kerning, read once from a published package:

=============  =====================  ========================================  ==================
key            face                   published package                         for
=============  =====================  ========================================  ==================
engraved       Cinzel, weight 700     PyPI fontpkg-cinzel 2.0                   painting, carving
stencil        Saira Stencil One      npm @fontsource/saira-stencil-one 5.3.0   cut openings
single-stroke  EMS Readability        npm hersheytext 2.0.0                     middle of a tool
=============  =====================  ========================================  ==================
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import cache
from itertools import accumulate, pairwise
from pathlib import Path
from typing import Any

from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make.errors import DesignError
from pixel2make.lettering.fontfile import read_font_file
from pixel2make.lettering.model import Face, Glyph, Kerning

__all__ = ["FACES", "face", "face_data", "face_for", "faces_with", "licence_text"]

FACES = ("engraved", "stencil", "single-stroke")
"""Keys of the faces shipped."""
FONT_SUFFIXES = (".ttf", ".otf", ".woff")


@cache
def face(key: str) -> Face:
    """A face that the package ships.

    Raises
    ------
    DesignError
        For another key than those of `FACES`.

    >>> face("engraved").name
    'Cinzel Bold'
    """
    import json
    from importlib.resources import files

    if key not in FACES:
        raise DesignError(
            f"there is no face {key!r}; words that would do: {', '.join(FACES)}, or a font file"
        )
    text = files("pixel2make.lettering").joinpath("fonts", f"{key}.json").read_text("utf-8")
    return _face_of(json.loads(text))


def face_for(word: str | Path, text: str) -> Face:
    """The face of that key, or the maker's font file of that path with the characters of `text`.

    Raises
    ------
    DesignError
        No such face, or a file that cannot be used.
    """
    if Path(word).suffix.lower() in FONT_SUFFIXES:
        return read_font_file(word, text + "H")
    return face(str(word))


def faces_with(text: str) -> tuple[str, ...]:
    """Keys of the shipped faces that have every character of `text`."""
    return tuple(key for key in FACES if not face(key).missing(text))


def licence_text(key: str) -> str:
    """Licence and copyright lines of a shipped face, as they have to go along with its data."""
    from importlib.resources import files

    return files("pixel2make.lettering").joinpath("fonts", f"OFL-{face(key).key}.txt").read_text("utf-8")


def face_data(face: Face, licence: str) -> dict[str, Any]:
    """A face as plain data for a JSON file: coordinates in whole font units, each point but the first
    of a line as its step from the one before, which halves the file."""
    return {
        "key": face.key,
        "name": face.name,
        "origin": face.origin,
        "licence": licence,
        "units_per_em": face.units_per_em,
        "capital_height": face.capital_height,
        "is_stroke": face.is_stroke,
        "glyphs": {char: [g.advance, _steps(g.shape)] for char, g in sorted(face.glyphs.items())},
        "kerning": {
            "left": _grouped(face.kerning.left),
            "right": _grouped(face.kerning.right),
            "values": [[a, b, v] for (a, b), v in sorted(face.kerning.values.items())],
        },
    }


def _steps(shape: BaseGeometry) -> list[list[list[int]]]:
    """Parts, each a list of lines: a polygon's outer ring and its holes, or one stroke."""
    parts = list(getattr(shape, "geoms", [shape])) if not shape.is_empty else []
    lines = [[p.exterior, *p.interiors] if isinstance(p, Polygon) else [p] for p in parts]
    return [[_line_steps(line.coords) for line in part] for part in lines]


def _line_steps(coords: Iterable[tuple[float, ...]]) -> list[int]:
    points = [(round(x), round(y)) for x, y in coords]
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise([(0, 0), *points])]
    return [v for i, step in enumerate(steps) if i == 0 or step != (0, 0) for v in step]


def _grouped(classes: Mapping[str, int]) -> list[str]:
    groups = [""] * (max(classes.values(), default=-1) + 1)
    for char, number in sorted(classes.items()):
        groups[number] += char
    return groups


def _face_of(data: Mapping[str, Any]) -> Face:
    is_stroke = bool(data["is_stroke"])
    kerning = data["kerning"]
    return Face(
        data["key"],
        data["name"],
        f"{data['origin']}, {data['licence']}",
        data["units_per_em"],
        data["capital_height"],
        is_stroke,
        {char: Glyph(advance, _shape(parts, is_stroke)) for char, (advance, parts) in data["glyphs"].items()},
        Kerning(
            {char: i for i, group in enumerate(kerning["left"]) for char in group},
            {char: i for i, group in enumerate(kerning["right"]) for char in group},
            {(a, b): value for a, b, value in kerning["values"]},
        ),
    )


def _shape(parts: list[list[list[int]]], is_stroke: bool) -> BaseGeometry:
    lines = [
        [list(zip(accumulate(v[::2]), accumulate(v[1::2]), strict=True)) for v in part] for part in parts
    ]
    if is_stroke:
        return MultiLineString([LineString(part[0]) for part in lines])
    polygons = [Polygon(part[0], part[1:]) for part in lines]
    return polygons[0] if len(polygons) == 1 else MultiPolygon(polygons)
