"""Bodies of the exploded view: what is seen of prisms and bevelled boards in isometric axonometry.

Isometric (ISO 5456-3): the width runs down to the right, the thickness towards the viewer down to the left,
the height up; all three edges in the same scale. The eye looks along (-1, -1, -1) in the book's frame, so a
face is seen where its outward normal has a component towards (1, 1, 1).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient
from shapely.ops import unary_union

__all__ = ["Body", "Spot", "bevelled", "prism", "seen"]

_COS, _SIN = math.cos(math.pi / 6), math.sin(math.pi / 6)
_SMOOTH_DEG = 30.0
"""Facets that meet at less than this angle stand for one curved side and have no edge between them."""

Spot = tuple[float, float, float]
Plane = tuple[float, float]
_ALONG: dict[str, Callable[[float, float, float], Spot]] = {
    "x": lambda u, v, w: (w, v, u),
    "y": lambda u, v, w: (u, w, v),
    "z": lambda u, v, w: (u, v, w),
}


@dataclass(frozen=True)
class Body:
    """What is seen of one body.

    Attributes
    ----------
    number : int
        Of its item in the parts list.
    faces : tuple of Polygon
        In the picture, nearest first.
    marks : tuple of geometry
        Narrow lines on the faces: marked outlines, mitres, the line at which a piece is broken off.
    """

    number: int
    faces: tuple[Polygon, ...]
    marks: tuple[BaseGeometry, ...] = ()

    @property
    def silhouette(self) -> BaseGeometry:
        """All of its faces together."""
        return unary_union(self.faces)


def seen(x: float, y: float, z: float) -> Plane:
    """A point of the book's frame in the picture, x to the right, y down."""
    return ((x - z) * _COS, (x + z) * _SIN - y)


def prism(
    number: int,
    outline: Polygon | MultiPolygon,
    low: float,
    high: float,
    *,
    along: str = "z",
    marks: Sequence[BaseGeometry] = (),
) -> Body:
    """An outline with a thickness.

    Parameters
    ----------
    outline : Polygon or MultiPolygon
        In x and y where it is given a thickness along z, in z and y along x, in x and z along y.
    low, high : float
        Where it begins and ends along that axis.
    marks : sequence of geometry
        On the face at `high`, in the outline's coordinates.
    """
    place = _ALONG[along]
    pieces = [orient(piece) for piece in getattr(outline, "geoms", [outline])]
    tops = [_ring(piece, place, high) for piece in pieces]
    walls = [wall for piece in pieces for wall in _walls(piece, place, low, high)]
    drawn = tuple(_lines(mark, place, high) for mark in marks)
    return Body(number, (*tops, *walls), tuple(line for line in drawn if not line.is_empty))


def bevelled(
    number: int, outline: Polygon, flat: Polygon, low: float, high: float, *, slope_mm: float
) -> Body:
    """A board whose outer face, at `high`, is the smaller `flat`, and slopes down to the outline round it."""
    place = _ALONG["z"]
    foot = high - slope_mm
    mitres = [
        LineString([seen(*place(*corner, foot)), seen(*place(*_nearest(flat, corner), high))])
        for corner in _corners(outline)
        if _nearest(flat, corner)[1] != corner[1]
    ]
    top = _ring(flat, place, high)
    # Flat, slope and foot are a convex body, so that the hull of both outlines is what is seen of it.
    slope = unary_union([top, _ring(outline, place, foot)]).convex_hull
    walls = _walls(orient(outline), place, low, foot)
    return Body(number, (top, Polygon(slope.exterior), *walls), tuple(mitres))


def _ring(piece: Polygon, place: Callable[[float, float, float], Spot], level: float) -> Polygon:
    def rings(points: Sequence[Plane]) -> list[Plane]:
        return [seen(*place(u, v, level)) for u, v in points]

    holes = [rings([(x, y) for x, y in hole.coords]) for hole in piece.interiors]
    return Polygon(rings([(x, y) for x, y in piece.exterior.coords]), holes)


def _lines(mark: BaseGeometry, place: Callable[[float, float, float], Spot], level: float) -> BaseGeometry:
    edges = mark.boundary if isinstance(mark, Polygon | MultiPolygon) else mark
    found = [
        LineString([seen(*place(float(u), float(v), level)) for u, v in line.coords])
        for line in getattr(edges, "geoms", [edges])
        if isinstance(line, LineString)
    ]
    return unary_union(found)


def _walls(
    piece: Polygon, place: Callable[[float, float, float], Spot], low: float, high: float
) -> Iterator[Polygon]:
    """The sides that are seen, nearest first; facets of a curve as one."""
    corners = [(float(u), float(v)) for u, v in piece.exterior.coords]
    runs: list[list[tuple[Plane, Plane]]] = []
    for one, other in pairwise(corners):
        du, dv = other[0] - one[0], other[1] - one[1]
        # outside lies to the right of an outline that runs anticlockwise
        if dv - du <= 1e-9:
            continue
        if runs and runs[-1][-1][1] == one and _turn_deg(runs[-1][-1], (one, other)) < _SMOOTH_DEG:
            runs[-1].append((one, other))
        else:
            runs.append([(one, other)])
    for run in sorted(runs, key=lambda r: -max(sum(r[0][0]), sum(r[-1][1]))):
        points = [run[0][0], *(end for _, end in run)]
        there = [seen(*place(*point, low)) for point in points]
        back = [seen(*place(*point, high)) for point in reversed(points)]
        wall = Polygon([*there, *back]).buffer(0)
        if not wall.is_empty and isinstance(wall, Polygon):
            yield wall


def _turn_deg(one: tuple[Plane, Plane], other: tuple[Plane, Plane]) -> float:
    first, second = (math.atan2(b[1] - a[1], b[0] - a[0]) for a, b in (one, other))
    return abs((math.degrees(second - first) + 180.0) % 360.0 - 180.0)


def _corners(outline: Polygon) -> list[Plane]:
    """Where an outline turns sharply."""
    points = [(float(x), float(y)) for x, y in orient(outline).exterior.coords[:-1]]
    around = list(zip([points[-1], *points], [*points, points[0]], strict=True))
    return [edge[1] for edge, after in pairwise(around) if _turn_deg(edge, after) > _SMOOTH_DEG]


def _nearest(flat: Polygon, corner: Plane) -> Plane:
    """The corner of the flat that belongs to a corner of the foot."""
    found = min(
        flat.exterior.coords, key=lambda point: math.hypot(point[0] - corner[0], point[1] - corner[1])
    )
    return float(found[0]), float(found[1])
