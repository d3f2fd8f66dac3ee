"""Where the pins of corner pieces and bosses go: well apart, far enough from every edge and bend."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade

__all__ = ["pin_spots"]

_GRID = 24
"""Places tried along the longer side of a plate."""
_MOST_PINS = 3
"""One towards each tip and one in the middle keep a corner piece from turning and from lifting."""


def pin_spots(
    plate: Polygon, *, pin_mm: float, edge_mm: float | None = None, most: int = _MOST_PINS
) -> tuple[tuple[float, float], ...]:
    """Middles of pin holes on a plate, in its own axes.

    Parameters
    ----------
    plate : Polygon
    pin_mm : float
        Diameter of the pins.
    edge_mm : float, optional
        Least distance from the lines u = 0 and v = 0, the board's edges; none is kept without it.
    most : int

    Returns
    -------
    tuple of (u, v)
        Two diameters from every edge of the plate at least, four from each other; the first is the one
        nearest to the corner.
    """
    away = trade.value("clasp.hole_edge").number * pin_mm
    room: BaseGeometry = plate.buffer(-away, join_style="mitre")
    if edge_mm is not None:
        x0, y0, _, y1 = plate.bounds
        is_right = abs(y0) > abs(y1)
        inner = box(x0, y0, -edge_mm, -edge_mm) if is_right else box(x0, edge_mm, -edge_mm, y1)
        room = room.intersection(inner)
    if room.is_empty:
        return ()
    spots = _grid_points(room)
    # towards the corner first; rounded, so that equal places keep their order on every machine
    found = [spots[int(np.argmax(np.round(spots[:, 0] - np.abs(spots[:, 1]), 6)))]]
    while len(found) < most:
        apart = np.min([np.hypot(*(spots - spot).T) for spot in found], axis=0)
        far = int(np.argmax(np.round(apart, 6)))
        if apart[far] < 2 * away:
            break
        found.append(spots[far])
    return tuple((float(u), float(v)) for u, v in found)


def _grid_points(room: BaseGeometry) -> NDArray[np.float64]:
    """Places of a grid over the room that lie in it, shape (N, 2); at least one."""
    x0, y0, x1, y1 = room.bounds
    step = max(x1 - x0, y1 - y0) / _GRID
    if step > 0:
        us, vs = (np.linspace(a, b, max(1, round((b - a) / step)) + 1) for a, b in ((x0, x1), (y0, y1)))
        grid = np.array([(u, v) for u in us for v in vs])
        inside = grid[shapely.covers(room.buffer(1e-6), shapely.points(grid))]
        if len(inside):
            return inside
    spot = room.representative_point()
    return np.array([[spot.x, spot.y]])
