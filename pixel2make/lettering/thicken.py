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
from pixel2make.lettering.model import Lettering
from pixel2make.lettering.strokes import thinnest_stroke

__all__ = ["Carved", "carved"]

_LARGEST = 16.0
"""Sizes up to so many times the one that was set are tried; lettering that needs more is another title."""
_RATIO = 1.01
"""The size that works is known to 1 %, on the safe side."""


@dataclass(frozen=True, eq=False)
class Carved:
    """Lettering as it is carved.

    Attributes
    ----------
    shapes : tuple of Polygon or MultiPolygon
        By glyph, in reading order.
    grown_mm : float
        By how much the thinnest strokes became wider, at most.
    closed : tuple of str
        Characters in or beside which less would stand than must; empty where all is well.
    needed_mm : float or None
        Height of capitals at which nothing closes; None where none that was tried does.
    """

    shapes: tuple[BaseGeometry, ...]
    grown_mm: float
    closed: tuple[str, ...]
    needed_mm: float | None


def carved(lettering: Lettering, *, tool_mm: float, land_mm: float) -> Carved:
    """Grow strokes to the width of a tool.

    Parameters
    ----------
    lettering : Lettering
        Areas, or single strokes, which become as wide as the tool.
    tool_mm : float
        Narrowest groove that the tool makes.
    land_mm : float
        Least width of what stands in a counter and between two letters.

    Raises
    ------
    DesignError
        A width that is not above zero.
    """
    if not (tool_mm > 0 and land_mm > 0):
        raise DesignError("the carving tool and what stands between grooves have widths above zero")
    shapes, grown, closed = _at(lettering, 1.0, tool_mm, land_mm)
    needed = lettering.capital_mm if not closed else _needed(lettering, tool_mm, land_mm)
    return Carved(tuple(shape for line in shapes for shape in line), grown, closed, needed)


def _at(
    lettering: Lettering, scale: float, tool: float, land: float
) -> tuple[list[list[BaseGeometry]], float, tuple[str, ...]]:
    """Grown glyphs by line, the most that strokes grew, and what closes, if all were `scale` times as large.

    Lengths of the result are those of the lettering as it was set.
    """
    lines: list[list[BaseGeometry]] = []
    most, closed = 0.0, {}
    for line, glyphs in zip(lettering.lines, lettering.glyphs, strict=True):
        widths = [
            width * lettering.capital_mm * line.size * scale
            for glyph in glyphs
            if (width := thinnest_stroke(lettering.face, glyph.char)) is not None
        ]
        thinnest = 0.0 if lettering.face.is_stroke else min(widths, default=tool)
        grow = max(0.0, (tool - thinnest) / 2)
        grown = [glyph.shape.buffer(grow / scale, join_style="round") for glyph in glyphs]
        lines.append(grown)
        most = max(most, 2 * grow)
        for k in _closing(grown, [glyph.shape for glyph in glyphs], land / scale):
            closed[glyphs[k].char] = True
    return lines, most, tuple(closed)


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


def _needed(lettering: Lettering, tool: float, land: float) -> float | None:
    low, high = 1.0, _LARGEST
    if _at(lettering, high, tool, land)[2]:
        return None
    while high > _RATIO * low:
        middle = (low * high) ** 0.5
        if _at(lettering, middle, tool, land)[2]:
            low = middle
        else:
            high = middle
    return lettering.capital_mm * high
