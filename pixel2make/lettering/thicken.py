"""Lettering for a carving tool: strokes grown until the tool fits into the thinnest of them.

All strokes of a line grow by the same, so that the face keeps its look. Growing closes counters and gaps:
where what stands between two grooves would break out, the size that works is found by trying.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely import STRtree, maximum_inscribed_circle
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make.errors import DesignError
from pixel2make.lettering.model import Face, Lettering, Line, SetGlyph
from pixel2make.lettering.strokes import thinnest_stroke

__all__ = ["Carved", "CarvedLine", "carved"]

_LARGEST = 16.0
"""Sizes up to so many times the one that was set are tried; lettering that needs more is another title."""
_RATIO = 1.01
"""The size that works is known to 1 %, on the safe side."""


@dataclass(frozen=True, eq=False)
class CarvedLine:
    """One line as it is carved.

    Attributes
    ----------
    line : Line
    shapes : tuple of Polygon or MultiPolygon
        By glyph, in reading order.
    grown_mm : float
        By how much its thinnest stroke became wider.
    closed : tuple of str
        Characters in or beside which less would stand than must; empty where all is well.
    capital_mm : float
        Height of its capitals as set.
    needed_mm : float or None
        Height of its capitals at which nothing closes; None where none that was tried does.
    """

    line: Line
    shapes: tuple[BaseGeometry, ...]
    grown_mm: float
    closed: tuple[str, ...]
    capital_mm: float
    needed_mm: float | None


@dataclass(frozen=True, eq=False)
class Carved:
    """Lettering as it is carved, line by line."""

    lines: tuple[CarvedLine, ...]

    @property
    def shapes(self) -> tuple[BaseGeometry, ...]:
        """By glyph, in reading order."""
        return tuple(shape for line in self.lines for shape in line.shapes)

    @property
    def grown_mm(self) -> float:
        """By how much the thinnest strokes became wider, at most."""
        return max((line.grown_mm for line in self.lines), default=0.0)

    @property
    def closed(self) -> tuple[str, ...]:
        """Characters in or beside which less would stand than must, each once."""
        return tuple(dict.fromkeys(char for line in self.lines for char in line.closed))


def carved(lettering: Lettering, *, tool_mm: float, land_mm: float, is_sized: bool = True) -> Carved:
    """Grow strokes to the width of a tool.

    Parameters
    ----------
    lettering : Lettering
        Areas, or single strokes, which become as wide as the tool.
    tool_mm : float
        Narrowest groove that the tool makes.
    land_mm : float
        Least width of what stands in a counter and between two letters.
    is_sized : bool
        Is the size looked for at which nothing closes? It takes some time.

    Raises
    ------
    DesignError
        A width that is not above zero.
    """
    if not (tool_mm > 0 and land_mm > 0):
        raise DesignError("the carving tool and what stands between grooves have widths above zero")
    rows = [
        _Row(lettering.face, line, tuple(glyphs), lettering.capital_mm * line.size)
        for line, glyphs in zip(lettering.lines, lettering.glyphs, strict=True)
    ]
    return Carved(tuple(_carved_line(row, tool_mm, land_mm, is_sized) for row in rows))


@dataclass(frozen=True, eq=False)
class _Row:
    face: Face
    line: Line
    glyphs: tuple[SetGlyph, ...]
    capital_mm: float

    def at(self, scale: float, tool: float, land: float) -> tuple[list[BaseGeometry], float, tuple[str, ...]]:
        """Grown glyphs, the most that strokes grew, and what closes, if all were `scale` times as large.

        Lengths of the shapes are those of the lettering as it was set.
        """
        widths = [
            width * self.capital_mm * scale
            for glyph in self.glyphs
            if (width := thinnest_stroke(self.face, glyph.char)) is not None
        ]
        thinnest = 0.0 if self.face.is_stroke else min(widths, default=tool)
        grow = max(0.0, (tool - thinnest) / 2)
        grown = [glyph.shape.buffer(grow / scale, join_style="round") for glyph in self.glyphs]
        closing = _closing(grown, [glyph.shape for glyph in self.glyphs], land / scale)
        return grown, 2 * grow, tuple(dict.fromkeys(self.glyphs[k].char for k in closing))


def _carved_line(row: _Row, tool: float, land: float, is_sized: bool) -> CarvedLine:
    shapes, grown, closed = row.at(1.0, tool, land)
    needed = row.capital_mm if not closed else _needed(row, tool, land) if is_sized else None
    return CarvedLine(row.line, tuple(shapes), grown, closed, row.capital_mm, needed)


def _closing(grown: Sequence[BaseGeometry], drawn: Sequence[BaseGeometry], land: float) -> list[int]:
    """Numbers of glyphs of a line that lose a counter, gain one, or come too near to the next."""
    found = {k for k, (new, old) in enumerate(zip(grown, drawn, strict=True)) if _is_closing(new, old, land)}
    near = STRtree(grown).query(grown, predicate="dwithin", distance=land)
    found |= {int(i) for i, j in near.T if i != j}
    return sorted(found)


def _is_closing(new: BaseGeometry, old: BaseGeometry, land: float) -> bool:
    counters = _holes(new)
    if old.geom_type.endswith("Polygon") and len(counters) != len(_holes(old)):
        return True
    return any(2 * maximum_inscribed_circle(hole).length < land for hole in counters)


def _holes(area: BaseGeometry) -> list[Polygon]:
    parts = [part for part in getattr(area, "geoms", [area]) if isinstance(part, Polygon)]
    return [Polygon(ring) for part in parts for ring in part.interiors]


def _needed(row: _Row, tool: float, land: float) -> float | None:
    low, high = 1.0, _LARGEST
    if row.at(high, tool, land)[2]:
        return None
    while high > _RATIO * low:
        middle = (low * high) ** 0.5
        if row.at(middle, tool, land)[2]:
            low = middle
        else:
            high = middle
    return row.capital_mm * high
