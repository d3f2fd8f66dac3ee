"""Sides of the base with their corner joint: outlines as seen from outside, x along, y down."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.ops import unary_union

from pixel2make import trade

__all__ = ["corner_joint", "dowel_size", "finger_count"]

Marks = tuple[tuple[str, Polygon | MultiPolygon], ...]

DOWEL_PITCH_MM = 60.0
"""Dowels of one corner stand no farther apart than this."""


def corner_joint(
    joint: str, length: float, height: float, thick: float, *, is_face: bool
) -> tuple[Polygon, Marks]:
    """Outline and marks of one side.

    Parameters
    ----------
    joint : {"dowels", "rebate", "finger"}
    length, height, thick : float
    is_face : bool
        True for front and back, whose faces are seen at the corners; False for the sides between them.
    """
    outline = box(0, 0, length, height)
    if joint == "finger":
        return _fingers(outline, thick, is_face=is_face), ()
    if joint == "rebate":
        ends = (box(0, 0, thick, height), box(length - thick, 0, length, height))
        return outline, tuple(("rebate", end) for end in ends) if is_face else ()
    return outline, tuple(_dowels(length, height, thick, is_face=is_face))


def finger_count(height: float, thick: float) -> int:
    """An odd number of fingers, each about as wide as the panel is thick, three at least.

    >>> finger_count(48, 12), finger_count(30, 12)
    (5, 3)
    """
    wish = height / (trade.value("case.finger_width").number * thick)
    return max(3, 2 * math.floor(wish / 2) + 1)


def _fingers(outline: Polygon, thick: float, *, is_face: bool) -> Polygon:
    """Odd places are notched on the faces, even ones on the sides; notches have play for the glue."""
    _, _, length, height = outline.bounds
    count, play = finger_count(height, thick), trade.value("case.finger_play").number / 2
    width = height / count
    notches = []
    for i in range(1 if is_face else 0, count, 2):
        y0, y1 = max(-1.0, i * width - play), i * width + width + play
        y0 = -1.0 if i == 0 else y0
        y1 = height + 1.0 if i == count - 1 else y1
        notches += [box(-1, y0, thick, y1), box(length - thick, y0, length + 1, y1)]
    cut = outline.difference(unary_union(notches))
    assert isinstance(cut, Polygon)  # the middle of a side is longer than its notches
    return cut


def dowel_size(thick: float) -> tuple[float, float, float]:
    """Diameter, depth in the face and depth in the end of the other panel, in mm.

    >>> dowel_size(12.0)
    (6.0, 8.0, 34.0)
    """
    rule = trade.value("case.dowel").value
    fitting = [d for d in trade.value("wood.dowel_diameter").numbers if d <= rule["share"] * thick]
    diameter = max(fitting, default=trade.value("wood.dowel_diameter").numbers[0])
    face = float(round(rule["face_share"] * thick))
    return diameter, face, rule["length"] - face + rule["play"]


def _dowels(length: float, height: float, thick: float, *, is_face: bool) -> Iterator[tuple[str, Polygon]]:
    diameter, _, end = dowel_size(thick)
    edge = min(trade.value("case.dowel").value["edge"], height / 4)
    count = 2 + math.floor((height - 2 * edge) / DOWEL_PITCH_MM)
    for i in range(count):
        y = edge + (height - 2 * edge) * i / (count - 1)
        if is_face:
            for x in (thick / 2, length - thick / 2):
                yield "dowel_hole", Point(x, y).buffer(diameter / 2, quad_segs=16)
        else:
            low, high = y - diameter / 2, y + diameter / 2
            yield "dowel_bore", box(0, low, end, high)
            yield "dowel_bore", box(length - end, low, length, high)
