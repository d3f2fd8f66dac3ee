"""Bridges of a stencil's letters made as wide as its sheet needs: openings that are too near give way.

Where two openings are nearer to each other than the sheet needs, both give way by as much, so that the bridge
stays in the middle of its gap and the rest of the letter keeps its form.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import islice

from shapely import STRtree
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make.errors import DesignError
from pixel2make.lettering.model import Lettering, Line

__all__ = ["OpenLine", "widened"]

_LEAST_KEPT = 0.6
"""Share of a letter's opening that stays: with less, bridges are what is read."""
_ROUNDS = 6
"""Where edges are not parallel, giving way by as much at the nearest point is not enough at once."""
_ENOUGH = 0.99
"""Of the width asked for: what round corners of few chords leave missing."""
_QUARTER_CHORDS = 6
"""Chords a quarter of a round end: they lie less than 1 % of a bridge inside its circle."""
_LARGEST, _RATIO = 32.0, 1.02
"""Sizes up to so many times the one that was set are tried; the one that works is known to 2 %."""


@dataclass(frozen=True, eq=False)
class OpenLine:
    """What is cut out of a stencil for one line.

    Attributes
    ----------
    line : Line
    shapes : tuple of MultiPolygon
        By glyph, in reading order.
    lost : tuple of str
        Characters of which too little stays open to be read; empty where all is well.
    capital_mm : float
        Height of its capitals as set.
    needed_mm : float or None
        Height of its capitals at which none is lost; None where none that was tried does.
    """

    line: Line
    shapes: tuple[MultiPolygon, ...]
    lost: tuple[str, ...]
    capital_mm: float
    needed_mm: float | None


def widened(lettering: Lettering, bridge_mm: float) -> tuple[OpenLine, ...]:
    """Openings no nearer to each other than a bridge has to be wide, line by line.

    Parameters
    ----------
    lettering : Lettering
        In a face of areas.
    bridge_mm : float

    Raises
    ------
    DesignError
        A width that is not above zero, or a face of single strokes.
    """
    if not bridge_mm > 0 or lettering.face.is_stroke:
        raise DesignError("bridges have a width above zero and stand between areas; take the face stencil")
    found = []
    for number, (shapes, lost) in enumerate(_at(lettering, bridge_mm)):
        line = lettering.lines[number]
        capital = lettering.capital_mm * line.size
        larger = 1.0 if not lost else _larger(lettering, bridge_mm, number)
        found.append(OpenLine(line, shapes, lost, capital, None if larger is None else capital * larger))
    return tuple(found)


def _at(lettering: Lettering, bridge: float) -> list[tuple[tuple[MultiPolygon, ...], tuple[str, ...]]]:
    """Openings and lost characters by line."""
    glyphs = list(lettering)
    parts = [part for glyph in glyphs for part in _polygons(glyph.shape)]
    apart = iter(_apart(parts, bridge))
    found = []
    for line in lettering.glyphs:
        shapes, lost = [], {}
        for glyph in line:
            own = list(islice(apart, len(_polygons(glyph.shape))))
            shape = MultiPolygon([p for part in own for p in _polygons(part)])
            shapes.append(shape)
            if shape.area < _LEAST_KEPT * glyph.shape.area or any(part.is_empty for part in own):
                lost[glyph.char] = True
        found.append((tuple(shapes), tuple(lost)))
    return found


def _apart(parts: list[Polygon], bridge: float) -> list[BaseGeometry]:
    """Parts no nearer to each other than a bridge is wide; what grows together at a point counts as one."""
    current: list[BaseGeometry] = list(parts)
    for round_ in range(_ROUNDS + 1):
        pairs = STRtree(current).query(current, predicate="dwithin", distance=_ENOUGH * bridge)
        near = [(int(i), int(k)) for i, k in pairs.T if i < k]
        if not near:
            break
        cuts: dict[int, list[BaseGeometry]] = {}
        for i, k in near:
            gap = current[i].distance(current[k])
            # Both give way by half of what is missing; in the end one alone, which is enough at once.
            reach = (bridge + gap) / 2 if round_ < _ROUNDS else bridge
            cuts.setdefault(i, []).append(current[k].buffer(reach, quad_segs=_QUARTER_CHORDS))
            if round_ < _ROUNDS:
                cuts.setdefault(k, []).append(current[i].buffer(reach, quad_segs=_QUARTER_CHORDS))
        for number, shapes in cuts.items():
            for shape in shapes:
                current[number] = current[number].difference(shape)
    return current


def _larger(lettering: Lettering, bridge: float, number: int) -> float | None:
    """How much larger a line has to be to lose no character; lines stand apart at such sizes."""
    alone = replace(lettering, lines=(lettering.lines[number],), glyphs=(lettering.glyphs[number],))
    low, high = 1.0, _LARGEST
    if _at(alone, bridge / high)[0][1]:
        return None
    while high > _RATIO * low:
        middle = (low * high) ** 0.5
        if _at(alone, bridge / middle)[0][1]:
            low = middle
        else:
            high = middle
    return high


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    parts = getattr(shape, "geoms", [shape])
    return [part for part in parts if isinstance(part, Polygon) and not part.is_empty]
