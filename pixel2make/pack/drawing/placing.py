"""Where the views of an arrangement stand: level with and plumb to each other, by first or third angle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.pack.drawing.sheet import THIRD_ANGLE
from pixel2make.pack.drawing.view import View
from pixel2make.pack.pens import Point

__all__ = ["NAME_GAP_MM", "Placing", "lay_views"]

Bounds = tuple[float, float, float, float]

_ROOM = trade.value("drawing.view_room").value
OUTER_MM, BETWEEN_MM = float(_ROOM["beside"]), float(_ROOM["between"])
ABOVE_MM, BELOW_MM, PLAIN_MM = (float(_ROOM[key]) for key in ("above", "below", "plain"))
MOST_SPREAD = 1.4
"""How much wider than the least room the room between views may become; the rest goes outside."""
NAME_MM = 6.0
"""Height of a strip above a view that is kept for its name."""
NAME_GAP_MM = 10.0
"""A view's name stands this far above its dimension lines."""


@dataclass(frozen=True)
class Placing:
    """Where a view lies on the page: page = offset + scale * model."""

    view: View
    scale: float
    offset: Point
    units: str = "mm"

    def point(self, point: Point) -> Point:
        """A point of the view on the page."""
        return (self.offset[0] + self.scale * point[0], self.offset[1] + self.scale * point[1])

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        """A shape of the view on the page."""
        s, (dx, dy) = self.scale, self.offset
        return affine_transform(geometry, (s, 0, 0, s, dx, dy))

    @property
    def bounds(self) -> Bounds:
        """Of the view on the page, without its dimensions."""
        x0, y0, x1, y1 = self.view.bounds
        return (*self.point((x0, y0)), *self.point((x1, y1)))


def lay_views(
    front: View,
    side: View,
    head: View,
    zone: Bounds,
    scale: float,
    *,
    projection: str,
    units: str,
    corner: Point | None = None,
) -> tuple[Placing, ...] | None:
    """Front view, view of the fore-edge and view of the head, placed as ISO 5456-2 has it.

    By first angle the fore-edge, seen from the right, stands on the left of the front view and the head,
    seen from above, under it; by third angle each stands on the side that it is seen from.

    Parameters
    ----------
    front, side, head : View
    zone : (x0, y0, x1, y1)
        Of the page that is free.
    scale : float
    projection : {"first_angle", "third_angle"}
    units : str
        In which lengths are written.
    corner : (x, y), optional
        What lies to the right of and below this point is not free.

    Returns
    -------
    placings : tuple of Placing or None
        Of front, side and head; None where they find no room.
    """
    x0, y0, x1, y1 = zone
    is_third = projection == THIRD_ANGLE
    columns, rows = ([front, side], [head, front]) if is_third else ([side, front], [front, head])
    widths = [(view.bounds[2] - view.bounds[0]) * scale for view in columns]
    heights = [(view.bounds[3] - view.bounds[1]) * scale for view in rows]
    plain = NAME_MM + PLAIN_MM
    gaps = [plain, ABOVE_MM, BELOW_MM] if is_third else [NAME_MM + ABOVE_MM, BELOW_MM + plain, PLAIN_MM]
    spare = (x1 - x0) - sum(widths) - 2 * OUTER_MM - BETWEEN_MM
    spare_height = (y1 - y0) - sum(heights) - sum(gaps)
    if spare < 0 or spare_height < 0:
        return None
    between = BETWEEN_MM * min(1 + spare / (2 * OUTER_MM + BETWEEN_MM), MOST_SPREAD)
    left = x0 + OUTER_MM + (spare - (between - BETWEEN_MM)) / 2
    lefts = (left, left + widths[0] + between)
    apart = gaps[1] * (min(1 + spare_height / sum(gaps), MOST_SPREAD) - 1)
    top = y0 + gaps[0] + (spare_height - apart) / 2
    tops = (top, top + heights[0] + gaps[1] + apart)
    main = Placing(
        front, scale, _offset(front, lefts[columns.index(front)], tops[rows.index(front)], scale), units
    )
    beside = Placing(side, scale, _offset(side, lefts[columns.index(side)], main.bounds[1], scale), units)
    over = Placing(head, scale, _offset(head, main.bounds[0], tops[rows.index(head)], scale), units)
    placings = (main, beside, over)
    return None if corner is not None and _is_met(placings, corner) else placings


def _offset(view: View, left: float, top: float, scale: float) -> Point:
    return (left - view.bounds[0] * scale, top - view.bounds[1] * scale)


def _is_met(placings: Sequence[Placing], corner: Point) -> bool:
    """Whether a view with the least room for dimensions reaches into the corner."""
    return any(p.bounds[2] + PLAIN_MM > corner[0] and p.bounds[3] + PLAIN_MM > corner[1] for p in placings)
