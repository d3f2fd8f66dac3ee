"""Bridges that hold the islands of a stencil, so that what remains of the sheet is one piece.

An island hangs on pairs of bridges that lie opposite one another, along the rows and columns of the
pixels, where the opening is narrowest. An opening that is its own mirror image gets bridges that are.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
import shapely.ops
from shapely.geometry import LineString, MultiPolygon, Polygon

from pixel2make.errors import DesignError
from pixel2make.geometry.stencil_crossings import Crossing, Mirror, Opening, crossings, mirrors_of

__all__ = ["Bridge", "Bridged", "bridge", "is_one_piece", "islands"]

_ASKEW = 0.25
"""Two bridges of one island that do not lie in one line let it turn; a step of four between them weighs as
much as one of length."""

_SPECK = 1e-4
"""Openings smaller than this share of a bridge's square are rounding, not openings."""

_AXES = (("up", "down"), ("left", "right"))
_OPPOSITE = {"up": "down", "down": "up", "left": "right", "right": "left"}


@dataclass(frozen=True)
class Bridge:
    """One bridge.

    Attributes
    ----------
    strip : Polygon
        What stays solid: as wide as the bridge, from the island to what it hangs on.
    width : float
    direction : {"up", "down", "left", "right", "near"}
        As seen from the island; "near" for the shortest way in any direction.
    """

    strip: Polygon
    width: float
    direction: str


@dataclass(frozen=True)
class Bridged:
    """A stencil that holds.

    Attributes
    ----------
    openings : MultiPolygon
        What is cut out; empty where bridges cover all of it.
    sheet : Polygon
        What remains, one piece.
    bridges : tuple of Bridge
    islands : tuple of Polygon
        The pieces that would have fallen out.
    """

    openings: MultiPolygon
    sheet: Polygon
    bridges: tuple[Bridge, ...]
    islands: tuple[Polygon, ...]


def is_one_piece(sheet: shapely.Geometry) -> bool:
    """Does a sheet hang together? Pieces that touch only in points do not.

    >>> from shapely.geometry import box
    >>> is_one_piece(box(0, 0, 2, 2)), is_one_piece(box(0, 0, 1, 1).union(box(1, 1, 2, 2)))
    (True, False)
    """
    return isinstance(sheet, Polygon) and not sheet.is_empty and sheet.is_valid


def islands(openings: Polygon | MultiPolygon, sheet: Polygon) -> list[Polygon]:
    """Pieces of the sheet that fall out when the openings are cut, by y, then x of their boxes."""
    pieces = _pieces(sheet.difference(openings))
    main = _main(pieces, sheet)
    return [piece for piece in pieces if piece is not main]


def bridge(
    openings: Polygon | MultiPolygon,
    sheet: Polygon,
    *,
    width: float,
    per_island: int | Callable[[float], int] = 2,
    share: float = 0.0,
) -> Bridged:
    """Hold every island of a stencil by bridges.

    Parameters
    ----------
    openings : Polygon or MultiPolygon
        Valid, on the sheet.
    sheet : Polygon
    width : float
        Of a bridge, in the unit of the sheet.
    per_island : int or callable
        Bridges for an island, or the same as a function of the island's longer side. Bridges come in
        pairs, so that 3 are 4.
    share : float
        A bridge is at least this share of the length that it crosses.

    Returns
    -------
    Bridged
        Without islands the openings as they are. The same input gives the same bridges: of equally short
        ones those nearest to the island's middle, then the upper, then the left.

    Raises
    ------
    DesignError
        Where nothing would remain to hang an island on.

    Examples
    --------
    >>> from shapely.geometry import box
    >>> ring = box(10, 10, 40, 40).difference(box(20, 20, 30, 30))
    >>> done = bridge(ring, box(0, 0, 50, 50), width=2)
    >>> len(done.bridges), done.openings.area, is_one_piece(done.sheet)
    (2, 760.0, True)
    """
    pieces = _pieces(sheet.difference(openings))
    main = _main(pieces, sheet)
    loose = [piece for piece in pieces if piece is not main]
    if not loose:
        return Bridged(_multi(openings), sheet.difference(openings), (), ())
    count = per_island if callable(per_island) else lambda _side: per_island
    held: list[Crossing] = []
    for group, members in _groups(openings, loose):
        held += _hold(group, members, pieces, width, share, count)
    bridges = [Bridge(c.strip, c.width, c.direction) for c in _once(held)]
    bridges += _joins(_cut(openings, bridges, width), sheet, width)
    left = _cut(openings, bridges, width)
    return Bridged(left, sheet.difference(left), tuple(bridges), tuple(loose))


def _hold(
    group: MultiPolygon,
    members: list[Polygon],
    pieces: list[Polygon],
    width: float,
    share: float,
    count: Callable[[float], int],
) -> list[Crossing]:
    """Bridges across one opening, or openings that touch, for the islands in it."""
    opening = Opening(group, pieces)
    mirrors = mirrors_of(group, members)
    held: list[Crossing] = []
    done: set[int] = set()
    for index, island in enumerate(members):
        if index in done:
            continue
        found = crossings(island, opening, width=width, share=share)
        for crossing in held:
            if crossing.lands is island:
                found[_OPPOSITE[crossing.direction]].append(crossing.seen_back(island))
        x0, y0, x1, y1 = island.bounds
        own = [mirror for mirror in mirrors if mirror.images[index] == index]
        chosen = _choose(found, own, ((x0 + x1) / 2, (y0 + y1) / 2), count(max(x1 - x0, y1 - y0)))
        done.add(index)
        held += chosen
        for mirror in mirrors:
            image = mirror.images[index]
            if image not in done:
                held += [mirror.crossing(crossing) for crossing in chosen]
                done.add(image)
    return held


def _choose(
    found: dict[str, list[Crossing]],
    mirrors: list[Mirror],
    middle: tuple[float, float],
    count: int,
) -> list[Crossing]:
    """The best pairs of opposite crossings; none where an island cannot be crossed to both sides."""
    best = []
    for axis, (one, other) in enumerate(_AXES):
        pairs = [(a, b) for a in found[one] for b in found[other]]
        fair = [pair for pair in pairs if all(mirror.keeps(*pair) for mirror in mirrors)]
        ranked = [(_rank(a, b, middle[axis]), a, b) for a, b in fair or pairs]
        if ranked:
            # Symmetric pairs go before shorter ones that are not.
            rank, a, b = min(ranked, key=lambda entry: entry[0])
            best.append((not fair, rank[:2], axis, a, b))
    best.sort(key=lambda entry: entry[:3])
    pairs_wanted = 1 if count <= 2 else 2
    return [crossing for *_, a, b in best[:pairs_wanted] for crossing in (a, b)]


def _rank(a: Crossing, b: Crossing, middle: float) -> tuple[float, ...]:
    cost = a.length + b.length + _ASKEW * abs(a.position - b.position)
    off_middle = abs(a.position - middle) + abs(b.position - middle)
    return (round(cost, 6), round(off_middle, 6), a.position, b.position)


def _once(held: list[Crossing]) -> list[Crossing]:
    """Each strip once: two islands may share one, as may an island with its mirror image."""
    kept: dict[tuple[float, ...], Crossing] = {}
    for crossing in held:
        kept.setdefault(tuple(round(v, 6) for v in crossing.strip.bounds), crossing)
    return list(kept.values())


def _joins(openings: MultiPolygon, sheet: Polygon, width: float) -> list[Bridge]:
    """Shortest bridges for what hangs together among itself alone, the smallest piece first."""
    added: list[Bridge] = []
    pieces = _pieces(sheet.difference(openings))
    for _ in range(len(pieces) * len(pieces)):
        if len(pieces) == 1:
            return added
        piece = min(pieces, key=lambda p: (round(p.area, 6), p.bounds))
        others = [p for p in pieces if p is not piece]
        near = min(others, key=lambda p: (round(p.distance(piece), 9), p.bounds))
        start, end = shapely.ops.nearest_points(piece, near)
        line = LineString([start, end]) if start.distance(end) > width * _SPECK else start
        added.append(Bridge(line.buffer(width / 2, cap_style="square"), width, "near"))
        openings = _cut(openings, added, width)
        pieces = _pieces(sheet.difference(openings))
    raise DesignError(
        f"a stencil falls into {len(pieces)} pieces that {width:g} mm bridges cannot hold; "
        "choose narrower bridges, an adhesive mask or a larger size"
    )


def _cut(openings: Polygon | MultiPolygon, bridges: list[Bridge], width: float) -> MultiPolygon:
    left = openings.difference(shapely.union_all([b.strip for b in bridges]))
    return MultiPolygon([p for p in _polygons(left) if p.area > width * width * _SPECK])


def _groups(
    openings: Polygon | MultiPolygon, loose: list[Polygon]
) -> list[tuple[MultiPolygon, list[Polygon]]]:
    """Openings that touch, each group with the islands that lie in it and in no smaller one."""
    parts = _polygons(openings)
    tree = shapely.STRtree(parts)
    left, right = tree.query(parts, predicate="intersects")
    owner = list(range(len(parts)))
    for a, b in zip(left, right, strict=True):
        old, new = owner[int(b)], owner[int(a)]
        owner = [new if o == old else o for o in owner]
    groups = [
        MultiPolygon([part for part, o in zip(parts, owner, strict=True) if o == name])
        for name in dict.fromkeys(owner)
    ]
    filled = [_filled(group) for group in groups]
    members: list[list[Polygon]] = [[] for _ in groups]
    for island in loose:
        around = [i for i, area in enumerate(filled) if area.contains(island.representative_point())]
        if around:
            members[min(around, key=lambda i: (filled[i].area, i))].append(island)
    return [(group, inside) for group, inside in zip(groups, members, strict=True) if inside]


def _filled(group: MultiPolygon) -> shapely.Geometry:
    """With all it encloses, also where it closes only by a touch."""
    size = float(np.ptp(shapely.get_coordinates(group), axis=0).max())
    closed = group.buffer(size * 1e-7, join_style="mitre")
    return shapely.union_all([Polygon(p.exterior) for p in _polygons(closed)])


def _main(pieces: list[Polygon], sheet: Polygon) -> Polygon:
    """The largest piece that reaches the edge of the sheet."""
    outer = [piece for piece in pieces if piece.intersects(sheet.exterior)]
    if not outer:
        raise DesignError(
            "the openings of a stencil take up its whole edge; choose a wider margin of the sheet"
        )
    return max(outer, key=lambda piece: piece.area)


def _pieces(shape: shapely.Geometry) -> list[Polygon]:
    return sorted(_polygons(shape), key=lambda p: (p.bounds[1], p.bounds[0], p.area))


def _polygons(shape: shapely.Geometry) -> list[Polygon]:
    return [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon) and not p.is_empty]


def _multi(shape: Polygon | MultiPolygon) -> MultiPolygon:
    return MultiPolygon(_polygons(shape))
