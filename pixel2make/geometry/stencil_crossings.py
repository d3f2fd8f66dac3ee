"""Where a straight bridge could cross an opening from an island, and what mirrors make of it."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import LineString, MultiPolygon, Polygon, box

__all__ = ["DIRECTIONS", "Crossing", "Mirror", "Opening", "crossings", "mirrors_of"]

_FRAMES = {"up": (1, 0, 0, 1), "down": (1, 0, 0, -1), "left": (0, 1, 1, 0), "right": (0, 1, -1, 0)}
"""(x, y) -> (a x + b y, d x + e y) turns each direction into up, towards smaller y; exact in floats."""

_BACK = {**_FRAMES, "right": (0, -1, 1, 0)}

DIRECTIONS = tuple(_FRAMES)

_MOST_PLACES = 24
"""Places that are looked at closely along an island and direction: the middles and the shortest ways."""

_TINY = 1e-6
"""Share of a bridge's width by which points are set off an edge and strips run into the sheet."""

_NEAR = 1e-4
"""Share of a bridge's width within which two places are the same."""

_MIRRORED = 1e-6
"""Share of a shape's area by which it may differ from its mirror image."""


@dataclass(frozen=True)
class Crossing:
    """A strip that would hold an island.

    Attributes
    ----------
    direction : {"up", "down", "left", "right"}
        From the island.
    position : float
        Of its centre line: x for up and down, y for left and right.
    strip : Polygon
    width, length : float
        Length is the covered area over the width: 0 where the strip stands already.
    lands : Polygon
        The piece of the sheet at the other end.
    """

    direction: str
    position: float
    strip: Polygon
    width: float
    length: float
    lands: Polygon

    def seen_back(self, island: Polygon) -> Crossing:
        """The same strip from its other end, where it costs nothing any more."""
        opposite = {"up": "down", "down": "up", "left": "right", "right": "left"}
        return replace(self, direction=opposite[self.direction], length=0.0, lands=island)


@dataclass(frozen=True)
class Mirror:
    """A symmetry of an opening.

    Attributes
    ----------
    x, y : float or None
        The upright line at x, the level line at y, or both: half a turn.
    images : tuple of int
        For each island of the opening the island that it is mapped to.
    """

    x: float | None
    y: float | None
    images: tuple[int, ...]
    shapes: tuple[Polygon, ...]

    def map(self, shape: Polygon) -> Polygon:
        """The mirror image."""
        return _mirrored(shape, self.x, self.y)

    def crossing(self, crossing: Crossing) -> Crossing:
        """The mirror image of a crossing."""
        is_upright = crossing.direction in ("up", "down")
        swapped = {"up": "down", "down": "up"} if self.y is not None else {}
        if self.x is not None:
            swapped |= {"left": "right", "right": "left"}
        at = self.x if is_upright else self.y
        position = crossing.position if at is None else 2 * at - crossing.position
        image = self.map(crossing.lands)
        lands = next((s for s in self.shapes if _same(s, image)), crossing.lands)
        return replace(
            crossing,
            direction=swapped.get(crossing.direction, crossing.direction),
            position=position,
            strip=self.map(crossing.strip),
            lands=lands,
        )

    def keeps(self, a: Crossing, b: Crossing) -> bool:
        """Does the mirror map two opposite crossings of an island that is its own image onto themselves?"""
        is_upright = a.direction in ("up", "down")
        along, across = (self.y, self.x) if is_upright else (self.x, self.y)
        near = _NEAR * a.width
        if across is None:
            return abs(a.position - b.position) < near
        if along is None:
            return abs(a.position - across) < near and abs(b.position - across) < near
        return abs(a.position + b.position - 2 * across) < near


def mirrors_of(group: MultiPolygon, members: list[Polygon]) -> list[Mirror]:
    """Upright mirror, level mirror and half turn about the middle of an opening, those that hold."""
    x0, y0, x1, y1 = group.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    shapes = tuple(members)
    found = []
    for x, y in ((middle[0], None), (None, middle[1]), middle):
        if not _same(group, _mirrored(group, x, y)):
            continue
        images = []
        for member in members:
            # What is cut out of an island does not change where the opening around it can be crossed.
            image = _mirrored(Polygon(member.exterior), x, y)
            images += [i for i, m in enumerate(members) if _same(Polygon(m.exterior), image)][:1]
        if len(images) == len(members):
            found.append(Mirror(x, y, tuple(images), shapes))
    return found


def _mirrored(shape: shapely.Geometry, x: float | None, y: float | None) -> shapely.Geometry:
    a, dx = (1, 0.0) if x is None else (-1, 2 * x)
    e, dy = (1, 0.0) if y is None else (-1, 2 * y)
    return affine_transform(shape, [a, 0, 0, e, dx, dy])


def _same(a: shapely.Geometry, b: shapely.Geometry) -> bool:
    if max(abs(u - v) for u, v in zip(a.bounds, b.bounds, strict=True)) > _MIRRORED * a.length:
        return False
    return bool(a.symmetric_difference(b).area <= _MIRRORED * a.area)


class Opening:
    """An opening and the sheet around it, turned towards each direction once for all its islands.

    Parameters
    ----------
    group : MultiPolygon
    pieces : list of Polygon
        All pieces of the sheet.
    """

    def __init__(self, group: MultiPolygon, pieces: list[Polygon]) -> None:
        self.pieces = pieces
        self.tree = shapely.STRtree(pieces)
        self.turned: dict[str, tuple[MultiPolygon, NDArray[np.float64]]] = {}
        for direction, turn in _FRAMES.items():
            shape = affine_transform(group, [*turn, 0, 0])
            self.turned[direction] = (shape, _edges(shape))


def crossings(
    island: Polygon, opening: Opening, *, width: float, share: float = 0.0
) -> dict[str, list[Crossing]]:
    """Crossings of an opening from an island, straight up, down, left and right.

    They are tried at the middle of the island, of the opening, and of each edge of either: never at
    the corner of a pixel.

    Parameters
    ----------
    island : Polygon
    opening : Opening
        The one around it.
    width, share : float
        A strip is as wide as `width`, and at least `share` of the length that it crosses.

    Returns
    -------
    dict of str to list of Crossing
        By direction; sorted by position.
    """
    return {direction: _upwards(direction, island, opening, width, share) for direction in DIRECTIONS}


def _upwards(direction: str, island: Polygon, around: Opening, width: float, share: float) -> list[Crossing]:
    turn, back = [*_FRAMES[direction], 0, 0], [*_BACK[direction], 0, 0]
    solid = affine_transform(Polygon(island.exterior), turn)
    opening, edges = around.turned[direction]
    found = []
    for x, end, start, below in _ways_up(solid, opening, edges, _TINY * width):
        beyond = affine_transform(shapely.points(x, end - _TINY * width), back)
        landing = [around.pieces[int(i)] for i in around.tree.query(beyond, predicate="intersects")]
        if not landing or landing[0] is island:
            continue
        wide = max(width, share * (start - end))
        strip = _strip(opening, x, wide, end, start, below)
        length = shapely.clip_by_rect(opening, *strip.bounds).area / wide
        found.append(Crossing(direction, x, affine_transform(strip, back), wide, float(length), landing[0]))
    return found


def _ways_up(
    solid: Polygon, opening: MultiPolygon, edges: NDArray[np.float64], tiny: float
) -> list[tuple[float, float, float, float]]:
    """Straight ways from an island up across the opening, sorted by x.

    Each is x, the upper end of the opening there, the island's edge, and the middle of the island there.
    They stand at the middles of all edges, the middle of the island and that of the opening.
    """
    x0, _, x1, _ = solid.bounds
    middles = np.array([(x0 + x1) / 2, (opening.bounds[0] + opening.bounds[2]) / 2]).round(9)
    rim = _edges(solid)
    edges = edges[(edges[:, 0] < x1) & (edges[:, 2] > x0)]
    upright = np.concatenate([edges, rim])
    x = np.unique(np.concatenate([middles, (upright[:, 0] + upright[:, 2]).round(9) / 2]))
    x = x[(x > x0) & (x < x1)]
    ways = []
    for place, on_rim, on_opening in zip(x, _levels(rim, x), _levels(edges, x), strict=True):
        if len(on_rim) < 2:
            continue
        start, far = on_rim[0], on_rim[1]
        above = on_opening[on_opening < start - tiny]
        # A touch of two pixels' corners leaves no opening right above the island.
        is_open = len(on_opening) > len(above) and on_opening[len(above)] <= start + tiny
        if is_open and len(above) % 2:
            ways.append((float(place), float(above[-1]), float(start), float(start + far) / 2))
    middle = float(middles[0])
    ways.sort(key=lambda w: (w[0] not in middles, round(w[2] - w[1], 6), round(abs(w[0] - middle), 6), w[0]))
    return sorted(ways[:_MOST_PLACES])


def _edges(shape: Polygon | MultiPolygon) -> NDArray[np.float64]:
    """Edges (x, y, x, y) of all rings, left end first, without upright ones."""
    found = []
    for part in shapely.get_parts(shape):
        for ring in (part.exterior, *part.interiors):
            points = shapely.get_coordinates(ring)
            found.append(np.hstack([points[:-1], points[1:]]))
    edges = np.concatenate(found)
    edges = edges[edges[:, 0] != edges[:, 2]]
    return np.where((edges[:, 0] < edges[:, 2])[:, None], edges, edges[:, [2, 3, 0, 1]])


def _levels(edges: NDArray[np.float64], x: NDArray[np.float64]) -> list[NDArray[np.float64]]:
    """Where upright lines at x cross the edges, from top to bottom; an edge owns its left end only."""
    left, top, right, bottom = (edges[:, i][None] for i in range(4))
    at = x[:, None]
    is_crossed = (left <= at) & (at < right)
    y = top + (bottom - top) * (at - left) / (right - left)
    return [np.sort(row[mask]) for row, mask in zip(y, is_crossed, strict=True)]


def _strip(opening: MultiPolygon, x: float, width: float, end: float, start: float, below: float) -> Polygon:
    """The upright strip that fills the opening over its whole width, and no more than its width beyond."""
    tiny = _TINY * width
    low = min(below, start + width)
    channel = shapely.clip_by_rect(opening, x - width / 2, end - width, x + width / 2, low)
    centre = LineString([(x, end + tiny), (x, start - tiny)])
    filled = [p.bounds for p in shapely.get_parts(channel) if p.intersects(centre)]
    upper = min(b[1] for b in filled) - tiny
    lower = max(b[3] for b in filled) + tiny
    return box(x - width / 2, upper, x + width / 2, lower)
