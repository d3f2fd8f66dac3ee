"""Boxes whose outline fits the object: every pair and triple of slopes, solved at once.

The outline of a box with edge directions d1, d2, d3 and lengths l1, l2, l3 is a zonogon. Its extent
square to d1 is l2 |d1 x d2| + l3 |d1 x d3|, linear in the lengths, so the extents of the object's mask
give the lengths of all triples of candidate directions in closed form.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.view_spans import Bands, spans

__all__ = ["SLOPES", "Outlines", "find_outlines"]

SLOPES: tuple[tuple[int, int], ...] = (
    (1, 0),
    (0, 1),
    *(
        (s * a, b)
        for a, b in ((1, 1), (2, 1), (1, 2), (3, 1), (1, 3), (3, 2), (2, 3), (4, 1), (1, 4))
        for s in (1, -1)
    ),
    *((s * a, b) for a, b in ((4, 3), (3, 4), (5, 2), (2, 5), (6, 1), (1, 6)) for s in (1, -1)),
)
"""Steps across and down of the slopes that pixel artists draw with: even stairs, common practice."""

LEAST_EDGE_PX = 1.0
"""A shorter edge leaves no face of its own on the pixel grid."""

AREA_BOUNDS = (0.78, 1.3)
"""Object pixels over outline area: rounded corners take away, things that stick out add."""

PROBES = 24
"""Directions in which support distances are compared before anything is rasterised."""

TRIPLES_KEPT, PAIRS_KEPT = 260, 40
"""Outlines that are rasterised; ten times what is kept in the end."""

OUTLINES_KEPT, FLATS_KEPT = 80, 10

LEAST_TAIL_PX = 2
"""Fewer pixels that no square of three by three covers are a corner."""

REFINED = 120
"""Outlines that are moved into place: about twice what is kept."""

REFINEMENTS = 5
"""Half-pixel moves an outline may make; the closed form is off by a pixel or two at most."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Outlines:
    """K zonogons.

    Attributes
    ----------
    centre : ndarray of shape (K, 2)
    edges : ndarray of shape (K, 3, 2)
        In order of angle, all with angles in [0, 180) degrees; the third is zero for a parallelogram.
    misfit : ndarray of shape (K,)
        Pixels in which outline and object differ.
    """

    centre: Floats
    edges: Floats
    misfit: NDArray[np.int64]

    def __len__(self) -> int:
        return len(self.centre)

    def take(self, index: NDArray[np.int64]) -> Outlines:
        """The outlines at an index array."""
        return Outlines(self.centre[index], self.edges[index], self.misfit[index])


@cache
def _directions() -> tuple[Floats, Floats]:
    """Unit vectors (D, 2) by angle in [0, 180), and the gap between parallel lattice lines (D,)."""
    steps = sorted(SLOPES, key=lambda s: np.arctan2(s[1], s[0]) % np.pi)
    vectors = np.array(steps, float)
    length = np.hypot(*vectors.T)
    return vectors / length[:, None], 1 / length


@cache
def _combinations(size: int, count: int) -> NDArray[np.int64]:
    return np.array(list(itertools.combinations(range(size), count)))


def find_outlines(mask: NDArray[np.bool_], extra: Floats | None = None) -> tuple[Outlines, Outlines]:
    """Hexagons and parallelograms that fit a mask, best first.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The object without its outer contour; not empty.
    extra : ndarray of shape (E, 2), optional
        More directions to try, unit vectors, such as the sides of the mask's hull.
    """
    unit, gap = _directions()
    if extra is not None and len(extra):
        unit, gap = np.concatenate([unit, extra]), np.concatenate([gap, np.full(len(extra), 0.5)])
        order = np.argsort(np.arctan2(unit[:, 1], unit[:, 0]) % np.pi, kind="stable")
        unit, gap = unit[order], gap[order]
    normal = np.stack([-unit[:, 1], unit[:, 0]], axis=1)
    sine = np.abs(unit[:, None, 0] * unit[None, :, 1] - unit[:, None, 1] * unit[None, :, 0])
    found: list[list[Outlines]] = [[], []]
    for part in _with_and_without_tails(mask):
        ys, xs = np.nonzero(part)
        points = np.stack([xs + 0.5, ys + 0.5], axis=1)
        reach = points @ normal.T
        low, high = reach.min(axis=0) - gap / 2, reach.max(axis=0) + gap / 2
        probe = _Probe.of(points)
        for kind, (maker, keep) in enumerate(((_triples, TRIPLES_KEPT), (_pairs, PAIRS_KEPT))):
            outlines = maker(unit, normal, high - low, (high + low) / 2, sine, len(points))
            found[kind].append(outlines.take(probe.rank(outlines, keep)))
    hexagons, flats = (_refined(_measured(_joined(parts), mask), mask) for parts in found)
    return _distinct(hexagons, OUTLINES_KEPT), _distinct(flats, FLATS_KEPT)


def _joined(parts: list[Outlines]) -> Outlines:
    return Outlines(
        *(np.concatenate([getattr(o, name) for o in parts]) for name in ("centre", "edges", "misfit"))
    )


def _with_and_without_tails(mask: NDArray[np.bool_]) -> list[NDArray[np.bool_]]:
    """The mask, and the mask without thin things that stick out, such as a bookmark, where there are any."""
    rows, cols = mask.shape
    wide = np.pad(mask, 2)
    solid = np.ones((rows + 2, cols + 2), bool)
    for dy in range(3):
        for dx in range(3):
            solid &= wide[dy : dy + rows + 2, dx : dx + cols + 2]
    opened = np.zeros((rows, cols), bool)
    for dy in range(3):
        for dx in range(3):
            opened |= solid[dy : dy + rows, dx : dx + cols]
    lost = int(mask.sum() - opened.sum())
    return [mask, opened] if lost >= LEAST_TAIL_PX and 2 * lost < mask.sum() else [mask]


def _triples(
    unit: Floats, normal: Floats, extent: Floats, middle: Floats, sine: Floats, area: int
) -> Outlines:
    i, j, k = _combinations(len(unit), 3).T
    s_ij, s_ik, s_jk = (np.maximum(sine[a, b], 1e-9) for a, b in ((i, j), (i, k), (j, k)))
    # With x_i = l_i / s_jk the three equations read x_j + x_k = extent_i / (s_ij s_ik).
    m_i, m_j, m_k = extent[i] / (s_ij * s_ik), extent[j] / (s_ij * s_jk), extent[k] / (s_ik * s_jk)
    l_i, l_j, l_k = (m_j + m_k - m_i) / 2 * s_jk, (m_i + m_k - m_j) / 2 * s_ik, (m_i + m_j - m_k) / 2 * s_ij
    whole = l_i * l_j * s_ij + l_i * l_k * s_ik + l_j * l_k * s_jk
    fits = np.minimum(np.minimum(l_i, l_j), l_k) >= LEAST_EDGE_PX
    fits &= (area >= AREA_BOUNDS[0] * whole) & (area <= AREA_BOUNDS[1] * whole)
    index = np.stack([i, j, k], axis=1)[fits]
    lengths = np.stack([l_i, l_j, l_k], axis=1)[fits]
    rows = normal[index]
    gram = np.einsum("kai,kaj->kij", rows, rows)
    right = np.einsum("kai,ka->ki", rows, middle[index])
    centre = np.linalg.solve(gram, right[..., None])[..., 0] if len(index) else np.zeros((0, 2))
    return Outlines(centre, unit[index] * lengths[..., None], np.zeros(len(index), np.int64))


def _pairs(unit: Floats, normal: Floats, extent: Floats, middle: Floats, sine: Floats, area: int) -> Outlines:
    i, j = _combinations(len(unit), 2).T
    s = sine[i, j]
    wide = s > 0.3
    i, j, s = i[wide], j[wide], s[wide]
    l_i, l_j = extent[j] / s, extent[i] / s
    fits = (area >= AREA_BOUNDS[0] * l_i * l_j * s) & (area <= AREA_BOUNDS[1] * l_i * l_j * s)
    # The upright rectangle stays, whatever the shape: every object gets a best guess.
    fits |= (np.abs(unit[i]).max(axis=1) == 1) & (np.abs(unit[j]).max(axis=1) == 1)
    i, j, l_i, l_j = i[fits], j[fits], l_i[fits], l_j[fits]
    index = np.stack([i, j], axis=1)
    centre = np.linalg.solve(normal[index], middle[index][..., None])[..., 0] if len(i) else np.zeros((0, 2))
    edges = np.stack([unit[i] * l_i[:, None], unit[j] * l_j[:, None], np.zeros((len(i), 2))], axis=1)
    return Outlines(centre, edges, np.zeros(len(i), np.int64))


@dataclass(frozen=True, eq=False)
class _Probe:
    """Support distances of the mask in evenly spread directions."""

    ways: Floats
    reach: Floats

    @classmethod
    def of(cls, points: Floats) -> _Probe:
        angle = (np.arange(PROBES) + 0.25) * 2 * np.pi / PROBES
        ways = np.stack([np.cos(angle), np.sin(angle)], axis=1)
        # A quarter pixel is the mean distance from the outermost centre to an edge in a free direction.
        return cls(ways, (points @ ways.T).max(axis=0) + 0.25)

    def rank(self, outlines: Outlines, keep: int) -> NDArray[np.int64]:
        half = np.abs(np.einsum("kei,pi->kep", outlines.edges, self.ways)).sum(axis=1) / 2
        off = np.abs(outlines.centre @ self.ways.T + half - self.reach).mean(axis=1)
        return np.argsort(off, kind="stable")[:keep]


def _misfit(centre: Floats, edges: Floats, mask: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Pixels in which each zonogon and the mask differ: the zonogon is the overlap of three strips."""
    gx, gy = -edges[..., 1], edges[..., 0]
    size = np.hypot(gx, gy)
    gx, gy = (g / np.where(size > 1e-9, size, 1.0) * (size > 1e-9) for g in (gx, gy))
    # Half the extent square to each edge; the edge itself adds nothing.
    half = np.abs(np.einsum("kex,kix->kie", edges, np.stack([gx, gy], -1))).sum(axis=2) / 2
    half = np.where(size > 1e-9, half, 1.0)
    middle = gx * centre[:, :1] + gy * centre[:, 1:]
    found = spans(Bands(gx, gy, -middle, -half, half), (mask.shape[0], mask.shape[1]))
    running = np.pad(np.cumsum(mask, axis=1), ((0, 0), (1, 0)))
    lines = np.arange(mask.shape[0])
    covered: NDArray[np.int64] = (running[lines, found.stop] - running[lines, found.start]).sum(axis=1)
    return np.asarray(found.count + running[:, -1].sum() - 2 * covered)


def _measured(outlines: Outlines, mask: NDArray[np.bool_]) -> Outlines:
    return Outlines(outlines.centre, outlines.edges, _misfit(outlines.centre, outlines.edges, mask))


def _refined(outlines: Outlines, mask: NDArray[np.bool_]) -> Outlines:
    """Move centre and lengths in half pixels as long as fewer pixels differ."""
    keep = np.argsort(outlines.misfit, kind="stable")[:REFINED]
    outlines = outlines.take(keep)
    if not len(outlines):
        return outlines
    moves = np.array([(0, 0, 0, 0, 0), *(s * row for row in np.eye(5) for s in (1, -1))]) * 0.5
    centre, edges, best = outlines.centre.copy(), outlines.edges.copy(), outlines.misfit.copy()
    # One that no move improves stays where it is.
    active = np.arange(len(best))
    for _ in range(REFINEMENTS):
        length = np.hypot(edges[active, :, 0], edges[active, :, 1])
        unit = edges[active] / np.maximum(length, 1e-9)[..., None]
        new_centre = centre[active, None] + moves[:, :2]
        new_length = np.where(length[:, None] > 0, np.maximum(length[:, None] + moves[:, 2:], 1.0), 0.0)
        new_edges = unit[:, None] * new_length[..., None]
        found = _misfit(new_centre.reshape(-1, 2), new_edges.reshape(-1, 3, 2), mask).reshape(len(active), -1)
        pick = found.argmin(axis=1)
        at = np.flatnonzero(found[np.arange(len(active)), pick] < best[active])
        active, pick = active[at], pick[at]
        if not len(active):
            break
        centre[active], edges[active], best[active] = (
            new_centre[at, pick],
            new_edges[at, pick],
            found[at, pick],
        )
    return Outlines(centre, edges, best)


def _rarity(edges: Floats) -> Floats:
    """Pixels of misfit that rare slopes are held against an outline (K, 3, 2): of two that fit alike the
    plainer one is kept."""
    size = np.abs(edges)
    ratio = size.min(axis=2) / np.maximum(size.max(axis=2), 1e-9)
    plain = np.stack([np.abs(ratio - value) < 0.02 for value in (0.0, 0.5, 1.0)])
    third = np.minimum(np.abs(ratio - 1 / 3), np.abs(ratio - 2 / 3)) < 0.02
    cost = np.where(plain[0], 0.0, np.where(plain.any(axis=0), 0.5, np.where(third, 1.0, 1.5)))
    return np.asarray(cost.sum(axis=1))


def _distinct(outlines: Outlines, keep: int) -> Outlines:
    """The best ones, leaving out those whose six outer points all lie close to a better one's."""
    order = np.argsort(outlines.misfit + _rarity(outlines.edges), kind="stable")
    outlines = outlines.take(order)
    e = outlines.edges
    ring = np.stack(
        [e[:, 0] + e[:, 1] + e[:, 2], -e[:, 0] + e[:, 1] + e[:, 2], -e[:, 0] - e[:, 1] + e[:, 2]], axis=1
    )
    points = outlines.centre[:, None] + ring / 2
    kept: list[int] = []
    for i in range(len(outlines)):
        if len(kept) == keep:
            break
        if not kept or np.abs(points[kept] - points[i]).max(axis=(1, 2)).min() > 0.35:
            kept.append(i)
    return outlines.take(np.array(kept, int))
