"""Where a shape is too narrow or too sharp for a tool, and how to put it right.

A disc rolled inside a shape reaches all of it but its corners and what is narrower than the disc: the
opening of mathematical morphology. What the disc misses is judged by its form. A neck joins two parts
of what it reaches, a spur stands out further than a corner of 60 degrees would, a lost piece has no
room for the disc at all; any other rest is a corner and no narrow place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Point, Polygon, box

__all__ = ["Place", "narrow_places", "narrowest", "round_corners", "sharp_corners", "widen"]

Shape: TypeAlias = Polygon | MultiPolygon

_QUAD_SEGS = 12
"""Chords in a quarter of the disc: its edge is true to 0.2 % of its radius."""

_ALMOST = 1 - 1e-2
"""A place as wide as the limit is wide enough, whatever the chords of the disc leave out."""

_LEVELS = 4
"""A spur shorter than the disc looks like a corner to it; discs of a half, a fourth and an eighth do not
miss a spur that is at least half as long as wide."""

_HALVINGS = 14
"""Find a width to a ten-thousandth of where the search began."""

_FINE_HALVINGS = 10
"""The same for the width of one place, to a thousandth of the limit."""

_TIP = 0.12
"""What gets narrower towards its end without limit is a sharp corner, no narrow place: taken as such where
the disc still misses it at this share of the limit."""

_KEPT = 1024
"""Pieces whose places are kept: findings, sheets and notes ask for the same ones, and it takes time."""

_ROUNDS = 6
"""Widening one place can bring another to light; few shapes need a third round."""


@dataclass(frozen=True)
class Place:
    """A place on a shape.

    Attributes
    ----------
    size : float
        Width of a narrow place or radius of a corner, in the unit of the shape.
    at : (x, y)
    extent : Polygon
        What a disc of the limit's size does not reach there.
    """

    size: float
    at: tuple[float, float]
    extent: Polygon


def narrow_places(shape: Shape, width: float) -> list[Place]:
    """Necks, spurs and pieces narrower than a width.

    Parameters
    ----------
    shape : Polygon or MultiPolygon
        Valid.
    width : float
        Positive, in the unit of the shape.

    Returns
    -------
    list of Place
        From the narrowest to the widest, ties by y, then x. A place as wide as `width` is no narrow place;
        nor is a corner, however sharp.

    Examples
    --------
    >>> [round(place.size, 1) for place in narrow_places(box(0, 0, 30, 2), 3)]
    [2.0]
    >>> narrow_places(box(0, 0, 30, 3), 3)
    []
    """
    found = [place for piece in _polygons(shape) for place in _narrow_in(piece, width)]
    return sorted(found, key=lambda place: (round(place.size, 6), place.at[1], place.at[0]))


@lru_cache(maxsize=_KEPT)
def _narrow_in(shape: Polygon, width: float) -> tuple[Place, ...]:
    """Those of one piece, which no other piece can change."""
    found: list[Place] = []
    for level in reversed(range(_LEVELS)):
        limit = width / 2**level
        for rest in _rests(shape, limit):
            if any(rest.intersects(place.extent) for place in found):
                continue
            size, at = _local_width(shape, rest, limit)
            if size > _TIP * limit:
                found.append(Place(size, at, rest))
    throats: list[Place] = []
    for place in _throats(shape, width):
        if any(place.extent.dwithin(rest.extent, width / 2) for rest in found):
            continue
        near = [other for other in throats if place.extent.dwithin(other.extent, width / 2)]
        # A short link has a throat at either end: one place, as narrow as the narrower of them.
        least = min([*near, place], key=lambda each: each.size)
        whole = shapely.union_all([each.extent for each in (*near, place)]).convex_hull
        throats = [*(other for other in throats if other not in near), Place(least.size, least.at, whole)]
    return (*found, *throats)


def _throats(shape: Polygon, width: float) -> list[Place]:
    """Necks so short that a disc leaves no rest in them, though it does not pass.

    The disc reaches into such a neck from either side. Where the two reaches overlap, the tips of the lens
    are the points of the outline between which it does not pass.
    """
    inner = width * _ALMOST
    cores = _polygons(shape.buffer(-inner / 2, quad_segs=_QUAD_SEGS))
    if len(cores) < 2:
        return []
    reached = [core.buffer(inner / 2, quad_segs=_QUAD_SEGS) for core in cores]
    pairs = shapely.STRtree(reached).query(reached, predicate="intersects")
    found = []
    for i, j in pairs.T.tolist():
        if i < j:
            for lens in _polygons(reached[i].intersection(reached[j])):
                x, y = shapely.get_coordinates(lens.exterior).T
                span = float(np.hypot(x[:, None] - x, y[:, None] - y).max())
                found.append(Place(min(span, inner), (float(lens.centroid.x), float(lens.centroid.y)), lens))
    return found


def narrowest(shape: Shape) -> Place:
    """The narrowest place of a shape; for a shape of one width a place in its middle.

    >>> place = narrowest(box(0, 0, 30, 10).union(box(30, 4, 50, 6)).union(box(50, 0, 80, 10)))
    >>> round(place.size, 2), place.at[0] > 30, place.at[0] < 50
    (2.0, True, True)
    """
    widest = max(2 * math.sqrt(part.area) for part in shapely.get_parts(shape))
    low, high = 0.0, widest
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if _keeps_its_form(shape, middle):
            low = middle
        else:
            high = middle
    places = narrow_places(shape, high * 1.05)
    if places:
        return min(places, key=lambda place: place.size)
    # Where what gives way first is judged a corner, its width is the one that the disc just passed.
    middle = shape.representative_point()
    return Place(low, (middle.x, middle.y), shapely.get_parts(shape)[0])


def sharp_corners(shape: Shape, radius: float, *, tolerance: float) -> list[Place]:
    """Corners, outer and inner, that a round tool of that radius cannot make.

    Parameters
    ----------
    shape : Polygon or MultiPolygon
    radius : float
    tolerance : float
        What may be missing at a corner before it counts, measured towards the corner's tip.

    Returns
    -------
    list of Place
        By y, then x; the size of each is the largest radius, to a sixteenth of the limit, that would lose
        nothing there.

    Examples
    --------
    >>> len(sharp_corners(box(0, 0, 9, 9), 1, tolerance=0.1))
    4
    """
    frame = box(*shape.bounds).buffer(4 * radius, join_style="mitre")
    found = []
    for side in (shape, frame.difference(shape)):
        left = _opened(side, 2 * radius)
        for rest in _polygons(side.difference(left)):
            if frame.boundary.distance(rest) < radius:
                continue  # a corner of the frame, not of the shape
            tip = _farthest(rest, left)
            if Point(tip).distance(left) > tolerance:
                found.append(Place(_local_radius(side, tip, radius, tolerance), tip, rest))
    return sorted(found, key=lambda place: (place.at[1], place.at[0]))


def widen(shape: Shape, width: float) -> Shape:
    """The shape with its narrow places made as wide as `width`; nothing is taken away.

    >>> [round(y, 2) for y in widen(box(0, 0, 30, 2), 3).bounds[1::2]]
    [-0.5, 2.5]
    """
    for _ in range(_ROUNDS):
        places = narrow_places(shape, width)
        if not places:
            break
        grown = [
            place.extent.buffer((width - place.size) / 2, quad_segs=_QUAD_SEGS, join_style="mitre")
            for place in places
        ]
        shape = _simple(shapely.union_all([shape, *grown]))
    return shape


def round_corners(shape: Shape, radius: float) -> Shape:
    """The shape with every corner rounded to that radius; what is narrower than the disc stays as it is."""
    rounded = _rounded_outside(shape, radius)
    frame = box(*rounded.bounds).buffer(4 * radius, join_style="mitre")
    ground = frame.difference(rounded)
    filled = [
        rest
        for rest in _polygons(ground.difference(_rounded_outside(ground, radius)))
        if frame.boundary.distance(rest) > radius
    ]
    return _simple(shapely.union_all([rounded, *filled]))


def _rounded_outside(shape: Shape, radius: float) -> Shape:
    kept = [place.extent for place in narrow_places(shape, 2 * radius)]
    return _simple(shapely.union_all([_opened(shape, 2 * radius), *kept]))


def _opened(shape: shapely.Geometry, width: float) -> shapely.Geometry:
    return shape.buffer(-width / 2, quad_segs=_QUAD_SEGS).buffer(width / 2, quad_segs=_QUAD_SEGS)


def _rests(shape: Shape, width: float, near: Polygon | None = None) -> list[Polygon]:
    """What a disc slightly smaller than `width` does not reach, without corners; near a place, or all."""
    inner = width * _ALMOST
    left = _opened(shape, inner)
    # The chords of the disc leave slivers along curves; those are no places.
    sliver = inner * 1e-2
    rests = _polygons(shape.difference(left.buffer(sliver, quad_segs=_QUAD_SEGS)))
    if near is not None:
        rests = [rest for rest in rests if rest.intersects(near)]
    return [
        rest
        for rest, narrow in zip(rests, _are_narrow(rests, left, inner / 2, sliver), strict=True)
        if narrow
    ]


def _are_narrow(
    rests: list[Polygon], left: shapely.Geometry, radius: float, sliver: float
) -> NDArray[np.bool_]:
    """Which rests stand out further than the disc is wide, or join two parts of what it reaches."""
    if left.is_empty or not rests:
        return np.ones(len(rests), bool)
    shapely.prepare(left)
    tips, owner = shapely.get_coordinates(shapely.get_exterior_ring(rests), return_index=True)
    is_far = ~shapely.dwithin(shapely.points(tips), left, radius)
    narrow = np.bincount(owner, is_far, len(rests)) > 0
    corners = np.flatnonzero(~narrow)
    touching = shapely.intersection(shapely.buffer(np.take(rests, corners), 2 * sliver), left)
    narrow[corners] = [len(_polygons(each)) > 1 for each in touching]
    return narrow


def _local_width(shape: Shape, rest: Polygon, width: float) -> tuple[float, tuple[float, float]]:
    """The smallest disc that does not reach all of `rest`, and where it fails."""
    near = shape.intersection(rest.buffer(2 * width, join_style="mitre"))
    low, high, last = 0.0, width, rest
    for _ in range(_FINE_HALVINGS):
        middle = (low + high) / 2
        missed = _rests(near, middle, rest)
        if missed:
            high, last = middle, max(missed, key=lambda part: part.area)
        else:
            low = middle
    mark = last.representative_point()
    size, at = high * _ALMOST, (float(mark.x), float(mark.y))
    for piece in _polygons(near):
        for throat in _throats(piece, size):
            if throat.size < size and throat.extent.intersects(rest):
                size, at = throat.size, throat.at
    return size, at


def _local_radius(
    shape: shapely.Geometry, tip: tuple[float, float], radius: float, tolerance: float
) -> float:
    """In sixteenths of the radius."""
    near = shape.intersection(Point(tip).buffer(4 * radius))
    for sixteenth in range(1, 16):
        tried = radius * sixteenth / 16
        if Point(tip).distance(_opened(near, 2 * tried)) > tolerance * sixteenth / 16:
            return radius * (sixteenth - 1) / 16
    return radius * 15 / 16


def _keeps_its_form(shape: Shape, width: float) -> bool:
    """Does every piece stay one piece with its holes when a disc's half width is taken off all around?"""
    for piece in _polygons(shape):
        inner = piece.buffer(-width / 2, quad_segs=_QUAD_SEGS)
        is_whole = isinstance(inner, Polygon) and not inner.is_empty
        if not is_whole or len(inner.interiors) != len(piece.interiors):
            return False
    return True


def _farthest(rest: Polygon, left: shapely.Geometry) -> tuple[float, float]:
    points = shapely.get_coordinates(rest.exterior)
    distances = shapely.distance(shapely.points(points), left)
    x, y = points[int(np.argmax(distances))]
    return float(x), float(y)


def _polygons(shape: shapely.Geometry) -> list[Polygon]:
    return [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon) and not p.is_empty]


def _simple(shape: shapely.Geometry) -> Shape:
    parts = _polygons(shape)
    return parts[0] if len(parts) == 1 else MultiPolygon(parts)
