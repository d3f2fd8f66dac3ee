"""Dimensions after ISO 129-1: extension lines, arrowheads, lettering above the line.

Each function yields fragments, the preferred place first; a `Layout` takes the first that is free. Lettering
is read from the bottom or from the right-hand edge of the page. Where the arrows do not fit between the
extension lines they stand outside and point inwards; where the lettering does not fit, it stands outside
above a lengthened dimension line.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.pack.pens import DrawingBuilder, Point, text_width_mm
from pixel2make.pack.pens.shapes import CAPITAL_PER_EM, DESCENT_PER_EM

__all__ = ["Linear", "leader", "linear", "radius"]

_SPACING = trade.value("drawing.dimension_line").value
FIRST_MM, NEXT_MM, OVERSHOOT_MM = (float(_SPACING[k]) for k in ("first", "next", "past"))
"""First dimension line from the outline, the next from each other, extension lines past them."""
GAP_MM = 1.0
"""An extension line begins this far off the outline, so that it is not taken for an edge."""
ARROW_MM = 3.0
LIFT_MM = 0.6
"""Air between a line and the box of the lettering above it; more than half an arrowhead is wide."""
LEADER_TURNS_DEG = (-45, 45, -135, 135, -60, 60, -30, 30, -120, 120)
LEADER_REACHES_MM = (8.0, 12.0, 17.0, 23.0, 30.0, 38.0, 47.0)
"""Directions and lengths that are tried for a leader, in this order."""

Fragment = Callable[[], DrawingBuilder]


@dataclass(frozen=True)
class Linear:
    """A horizontal or vertical dimension to be placed.

    Attributes
    ----------
    label : str
    start, end : (x, y)
        On the page, where the extension lines begin; the smaller coordinate first.
    is_vertical : bool
        Measures along y.
    side : {-1, 1}
        -1 above or to the left of the view, 1 below or to the right.
    base : float
        Coordinate of the view's outline on that side, from which tracks count.
    is_low_first : bool
        Lettering that finds no room between the extension lines stands above or to the left of them
        first, else below or to the right.
    """

    label: str
    start: Point
    end: Point
    is_vertical: bool
    side: int
    base: float
    is_low_first: bool = False

    @property
    def span(self) -> tuple[float, float]:
        """Coordinates of both ends along the measured axis."""
        axis = 1 if self.is_vertical else 0
        return self.start[axis], self.end[axis]


def linear(new: Fragment, dimension: Linear, height: float, tracks: int = 8) -> Iterator[DrawingBuilder]:
    """Fragments of a linear dimension, innermost track first.

    Parameters
    ----------
    new : callable
        Gives an empty page.
    dimension : Linear
    height : float
        Of the lettering, mm.
    tracks : int
        How many dimension lines may lie beside each other.
    """
    low, high = dimension.span
    length, width = high - low, text_width_mm(dimension.label, height)
    is_arrow_inside = length >= 2 * ARROW_MM + 2 * LIFT_MM
    middle = (low + high) / 2
    outside = ARROW_MM + 2 * LIFT_MM
    places: list[float] = []
    if length >= width + 2 * LIFT_MM + (0 if is_arrow_inside else LIFT_MM):
        places.append(middle)
    else:
        places += [high + outside + width / 2, low - outside - width / 2]
        if dimension.is_low_first:
            places.reverse()
    for track in range(tracks):
        level = dimension.base + dimension.side * (FIRST_MM + NEXT_MM * track)
        for place in places:
            yield _linear(new(), dimension, height, level, place, width, is_arrow_inside)


def _linear(
    page: DrawingBuilder,
    dimension: Linear,
    height: float,
    level: float,
    place: float,
    width: float,
    is_arrow_inside: bool,
) -> DrawingBuilder:
    def at(along: float, across: float) -> Point:
        return (across, along) if dimension.is_vertical else (along, across)

    low, high = dimension.span
    for point in (dimension.start, dimension.end):
        along, across = (point[1], point[0]) if dimension.is_vertical else point
        if abs(level - across) > GAP_MM:
            page.line(
                "extension",
                at(along, across + dimension.side * GAP_MM),
                at(along, level + dimension.side * OVERSHOOT_MM),
            )
    is_text_inside = low < place < high
    tail = 0.0 if is_arrow_inside else 2 * ARROW_MM
    first = low - tail if is_text_inside or place > high else min(low - tail, place - width / 2)
    last = high + tail if is_text_inside or place < low else max(high + tail, place + width / 2)
    page.line("dimension", at(first, level), at(last, level))
    sign = 1.0 if is_arrow_inside else -1.0
    page.arrowhead(at(low, level), at(-sign, 0.0), ARROW_MM)
    page.arrowhead(at(high, level), at(sign, 0.0), ARROW_MM)
    baseline = level - LIFT_MM - DESCENT_PER_EM * height / CAPITAL_PER_EM
    page.text(dimension.label, at(place, baseline), height, "middle", is_upward=dimension.is_vertical)
    return page


def radius(
    new: Fragment, label: str, center: Point, radius_mm: float, turns_deg: tuple[float, ...], height: float
) -> Iterator[DrawingBuilder]:
    """Fragments of a radius: a leader with its arrow on the arc, lettering above a level shelf.

    Parameters
    ----------
    center, radius_mm
        Of the arc on the page.
    turns_deg : tuple of float
        Directions of the arrow from the centre that lie on the arc, clockwise from the x axis.
    """
    for reach in LEADER_REACHES_MM:
        for turn in turns_deg:
            direction = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
            page = new()
            tip = _along(center, direction, radius_mm)
            page.arrowhead(tip, (-direction[0], -direction[1]), ARROW_MM)
            bend = _along(tip, direction, reach)
            _shelf(page, "dimension", _along(tip, direction, ARROW_MM), bend, label, height, direction[0])
            yield page


def leader(
    new: Fragment, label: str, target: Point, height: float, reach_from: float = 0.0
) -> Iterator[DrawingBuilder]:
    """Fragments of a leader that ends in a dot on a surface, lettering above a level shelf.

    Parameters
    ----------
    target : (x, y)
        Where the dot stands.
    reach_from : float
        Least length of the slanted part, to get out of the thing pointed at.
    """
    for reach in LEADER_REACHES_MM:
        for turn in LEADER_TURNS_DEG:
            direction = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
            page = new()
            page.dot(target)
            bend = _along(target, direction, reach_from + reach)
            _shelf(page, "leader", target, bend, label, height, direction[0])
            yield page


def _along(point: Point, direction: Point, length: float) -> Point:
    return (point[0] + direction[0] * length, point[1] + direction[1] * length)


def _shelf(
    page: DrawingBuilder, purpose: str, start: Point, bend: Point, label: str, height: float, dx: float
) -> None:
    width = text_width_mm(label, height) + 2 * LIFT_MM
    way = 1.0 if dx >= 0 else -1.0
    page.line(purpose, start, bend, (bend[0] + way * width, bend[1]))
    baseline = bend[1] - LIFT_MM - DESCENT_PER_EM * height / CAPITAL_PER_EM
    # the slanted part runs off below the shelf's first corner, so the lettering keeps off that corner
    page.text(label, (bend[0] + way * (width / 2 + LIFT_MM), baseline), height, "middle")
