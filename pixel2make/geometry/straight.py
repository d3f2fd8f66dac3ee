"""Straight lines: the fewest straight edges that pass all gates of a chain."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from pixel2make.geometry.chains import Chain, level_runs
from pixel2make.geometry.digital import straight_reach
from pixel2make.geometry.fairing import gate_frame

__all__ = ["Polygonal", "intersection", "straight_line"]

_UNFIT = 0.05
"""Cost of one squared pixel of misfit against one more edge: decides where a corner lies, not how many."""

_POINT_LEG = 2
"""A tip of two pixels has its point in the middle; all others are an edge of their own."""

_DIGITS = 9
"""Decimals to which costs are compared: more is rounding, which would tell a line from its mirror image."""

_SAME_DIRECTION = 1e-6
"""Sine of the angle under which two edges count as one direction and do not intersect."""


class Polygonal:
    """Fewest-edge polyline of a chain.

    Attributes
    ----------
    gates : ndarray of shape (K, 2)
        Where the line passes each gate.
    vertices : dict of int to (x, y)
        Lattice index and place of each vertex between two gates.
    """

    def __init__(self, gates: NDArray[np.float64], vertices: dict[int, NDArray[np.float64]]) -> None:
        self.gates = gates
        self.vertices = vertices


def straight_line(chain: Chain, *, reach: float, corners: tuple[int, ...] = ()) -> Polygonal:
    """Draw a chain with as few straight edges as pass all its gates, corners kept.

    Parameters
    ----------
    chain : Chain
    reach : float
        Largest offset in a gate, pixels.
    corners : tuple of int
        Lattice points that have to be vertices.

    Returns
    -------
    Polygonal
    """
    middles, normals = gate_frame(chain.points)
    count = len(middles)
    level = [index for run in level_runs(chain, corners) for index in run]
    stops = {index % count if chain.is_closed else index for index in (*corners, *level)}
    breaks = _breaks(chain, tuple(sorted(stops - (set() if chain.is_closed else {0, count}))), middles)
    lines = [_fit(middles, normals, a, b) for a, b in _pairs(breaks, chain)]
    vertices = _vertices(chain, breaks, lines, reach)
    gates = middles.copy()
    for (a, b), (point, direction) in zip(_pairs(breaks, chain), lines, strict=True):
        for index in range(a, b):
            i = index % len(middles)
            gates[i] = _crossing(middles[i], normals[i], point, direction, reach)
    return Polygonal(gates, vertices)


def _pairs(breaks: list[int], chain: Chain) -> list[tuple[int, int]]:
    pairs = list(itertools.pairwise(breaks))
    if chain.is_closed:
        pairs.append((breaks[-1], breaks[0] + len(chain.points) - 1))
    return pairs


def _breaks(chain: Chain, corners: tuple[int, ...], middles: NDArray[np.float64]) -> list[int]:
    """Lattice indices where one straight edge ends and the next begins; both ends for an open chain."""
    count = len(middles)
    reach = straight_reach(chain.points, is_closed=chain.is_closed)
    behind = straight_reach(chain.points[::-1].copy(), is_closed=chain.is_closed)
    stops = [0, *corners, count]
    if chain.is_closed:
        first = corners or _caps(chain)
        stops = [*first, first[0] + count]
    found = {stops[0]}
    for a, b in itertools.pairwise(stops):
        ahead = _cheapest(middles, reach, a, b)
        back = _cheapest(middles[::-1], behind, count - b, count - a)
        # Of equally good breaks either walk takes its own: both together lie the same way in a mirror.
        found |= {*ahead, *(count - i for i in back)}
    return sorted({index % count for index in found} if chain.is_closed else found)


def _caps(chain: Chain) -> tuple[int, ...]:
    """Where a closed line without corners is broken: at the outermost legs of each bulge and dent.

    A leg between two like turns is on no straight line that holds both, so at least one edge ends on it.
    Breaking at both its ends, or amid a leg of two, favours neither side.
    """
    steps = np.diff(chain.points, axis=0)
    count = len(steps)
    before = np.roll(steps, 1, axis=0)
    cross = before[:, 0] * steps[:, 1] - before[:, 1] * steps[:, 0]
    turns = np.flatnonzero(cross).tolist()
    found: set[int] = set()
    for a, b in zip(turns, [*turns[1:], turns[0] + count], strict=True):
        if cross[a] == cross[b % count]:
            found |= {(a + 1) % count} if b - a == _POINT_LEG else {a, b % count}
    return tuple(sorted(found))


def _cheapest(middles: NDArray[np.float64], reach: list[int], start: int, stop: int) -> list[int]:
    """Breaks from start to stop with the fewest edges and, among those, the least misfit."""
    count = len(middles)
    turned = middles[np.arange(start, stop) % count]
    turned = turned - turned[0]
    sums = np.vstack([np.zeros(5), np.cumsum(_moments(turned), axis=0)])
    length = stop - start
    cost = np.full(length + 1, np.inf)
    cost[0] = 0
    previous = np.zeros(length + 1, int)
    for i in range(length):
        far = min(reach[(start + i) % len(reach)], length - i)
        ahead = np.arange(i + 1, i + far + 1)
        total = np.round(cost[i] + 1 + _UNFIT * _misfit(sums, i, ahead), _DIGITS)
        better = total < cost[ahead] - 0.5 * 10.0**-_DIGITS
        cost[ahead[better]] = total[better]
        previous[ahead[better]] = i
    path = [length]
    while path[-1]:
        path.append(int(previous[path[-1]]))
    return [start + i for i in reversed(path)]


def _moments(points: NDArray[np.float64]) -> NDArray[np.float64]:
    x, y = points.T
    return np.stack([x, y, x * x, x * y, y * y], axis=1)


def _misfit(sums: NDArray[np.float64], i: int, ahead: NDArray[np.int64]) -> NDArray[np.float64]:
    """Squared distances of gate middles i..j-1 to their best line (total least squares)."""
    n = (ahead - i).astype(float)
    sx, sy, sxx, sxy, syy = (sums[ahead] - sums[i]).T
    cxx, cxy, cyy = sxx - sx * sx / n, sxy - sx * sy / n, syy - sy * sy / n
    half = np.sqrt(((cxx - cyy) / 2) ** 2 + cxy**2)
    return np.maximum(0.0, (cxx + cyy) / 2 - half)


def _fit(
    middles: NDArray[np.float64], normals: NDArray[np.float64], a: int, b: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Best line through the gate middles a..b-1 as (point, unit direction); level through a single one."""
    points = middles[np.arange(a, b) % len(middles)]
    centre = points.mean(axis=0)
    if len(points) == 1:
        across, down = normals[a % len(middles)]
        return centre, np.array([-down, across])
    _, _, axes = np.linalg.svd(points - centre)
    direction = axes[0] if axes[0] @ (points[-1] - points[0]) >= 0 else -axes[0]
    return centre, direction


def _vertices(
    chain: Chain,
    breaks: list[int],
    lines: list[tuple[NDArray[np.float64], NDArray[np.float64]]],
    reach: float,
) -> dict[int, NDArray[np.float64]]:
    found: dict[int, NDArray[np.float64]] = {}
    inner = breaks if chain.is_closed else breaks[1:-1]
    for k, index in enumerate(inner):
        before, after = (lines[k - 1], lines[k]) if chain.is_closed else (lines[k], lines[k + 1])
        corner = chain.points[index].astype(float)
        meet = intersection(before, after)
        place = corner if meet is None else meet
        found[index] = np.clip(place, corner - reach, corner + reach)
    return found


def intersection(
    a: tuple[NDArray[np.float64], NDArray[np.float64]], b: tuple[NDArray[np.float64], NDArray[np.float64]]
) -> NDArray[np.float64] | None:
    """Where two lines, each a point and a direction, meet; None for parallels."""
    (p, d), (q, e) = a, b
    cross = d[0] * e[1] - d[1] * e[0]
    if abs(cross) < _SAME_DIRECTION:
        return None
    gap = q - p
    return np.asarray(p + d * (gap[0] * e[1] - gap[1] * e[0]) / cross)


def _crossing(
    middle: NDArray[np.float64],
    normal: NDArray[np.float64],
    point: NDArray[np.float64],
    direction: NDArray[np.float64],
    reach: float,
) -> NDArray[np.float64]:
    """Where the line through `point` passes a gate, kept within reach of the gate's middle."""
    across = normal[0] * direction[1] - normal[1] * direction[0]
    if abs(across) < _SAME_DIRECTION:
        return middle
    gap = point - middle
    offset = (gap[0] * direction[1] - gap[1] * direction[0]) / across
    return np.asarray(middle + normal * float(np.clip(offset, -reach, reach)))
