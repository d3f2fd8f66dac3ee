"""Where straight edges begin and end along a run of pixel edges, alike for a run and its mirror image.

The fewest edges are rarely one single solution. So that symmetric regions stay symmetric, a run is always
solved from the end and in the direction in which its turns read first in order, a run that reads the same
from both ends is solved from its middle, and a closed one with axes of symmetry between two of its axes.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from pixel2make.geometry.digital import straight_reach

__all__ = ["closed_breaks", "open_breaks"]

_UNFIT = 0.05
"""Cost of one squared pixel of misfit against one more edge: decides where a corner lies, not how many."""

_LESS = 1e-9
"""Costs that differ by less are equal; sums round differently from the other end."""

Floats = NDArray[np.float64]
_SWAP = str.maketrans("LR", "RL")


def open_breaks(points: NDArray[np.int64]) -> list[int]:
    """Lattice indices of an open run where one straight edge ends and the next begins, with both ends.

    Parameters
    ----------
    points : ndarray of shape (K + 1, 2), int
        Lattice points one step apart.

    Returns
    -------
    list of int
        From 0 to K, ascending; the fewest edges and, among those, the least misfit.
    """
    count = len(points) - 1
    turns = _turns(np.diff(points, axis=0))
    back = turns[::-1]
    if back in (turns, turns.translate(_SWAP)):
        return _from_the_middle(points)
    if min(back, back.translate(_SWAP)) < min(turns, turns.translate(_SWAP)):
        return [count - i for i in reversed(_solved(points[::-1])[0])]
    return _solved(points)[0]


def closed_breaks(points: NDArray[np.int64]) -> list[int]:
    """Lattice indices of a closed run without corners where straight edges meet, ascending.

    Parameters
    ----------
    points : ndarray of shape (K + 1, 2), int
        Lattice points one step apart; the last is the first.
    """
    count = len(points) - 1
    steps = np.diff(points, axis=0)
    turns = _turns(np.vstack([steps[-1:], steps]))
    axes = _axes(turns)
    if axes:
        found = _between_axes(points, axes)
        if found is not None:
            return found
    start, is_back = _first_in_order(turns)
    order = (start - np.arange(count + 1)) if is_back else (start + np.arange(count + 1))
    ring = points[order % count]
    # The best of all beginnings within the first edge's reach.
    reach = straight_reach(ring, is_closed=True)
    spread = np.vstack([ring, ring[1:]])
    tries = range(min(count, reach[0] + 1))
    best, cost = [0], np.inf
    for first in tries:
        found, total = _solved(spread[first : first + count + 1], np.roll(reach, -first))
        if total < cost - _LESS:
            best, cost = [first + i for i in found[:-1]], total
    return sorted({int(order[i % count]) % count for i in best})


def _turns(steps: NDArray[np.int64]) -> str:
    """Left, right or straight on between each step and the next."""
    cross = steps[:-1, 0] * steps[1:, 1] - steps[:-1, 1] * steps[1:, 0]
    return "".join("LSR"[k + 1] for k in cross.tolist())


def _axes(turns: str) -> list[int]:
    """Sums j + k of the lattice indices that each axis of symmetry maps onto each other."""
    count, back = len(turns), turns[::-1] * 2
    # turns[i] == turns[(c - i) % count] for all i: the reversed ring, turned, is the ring itself.
    return [c for c in range(count) if back[count - 1 - c : 2 * count - 1 - c] == turns]


def _first_in_order(turns: str) -> tuple[int, bool]:
    """Where, and whether backwards, the turns of a ring read first in order."""
    count = len(turns)
    swapped = turns.translate(_SWAP)
    best: tuple[str, int, bool] | None = None
    for text in (turns, swapped):
        for is_back, ring in ((False, text * 2), (True, text[::-1] * 2)):
            for i in range(count):
                read = ring[i : i + count]
                if best is None or read < best[0]:
                    best = read, (count - 1 - i) % count if is_back else i, is_back
    assert best is not None
    return best[1], best[2]


class _Costs:
    """Cost of one straight edge over steps i to j of a run; the run may be a ring read twice."""

    def __init__(self, points: NDArray[np.int64], reach: list[int] | NDArray[np.int64]) -> None:
        middles = (points[:-1] + points[1:]) / 2
        # Sums of squares stay small about the middle.
        x, y = (middles - middles.mean(axis=0)).T
        self.sums = np.vstack([np.zeros(5), np.cumsum(np.stack([x, y, x * x, x * y, y * y], axis=1), axis=0)])
        self.reach = reach

    def of(self, i: int, ahead: NDArray[np.int64]) -> Floats:
        """Costs of edges from lattice index i to each of `ahead`."""
        n = (ahead - i).astype(float)
        sx, sy, sxx, sxy, syy = (self.sums[ahead] - self.sums[i]).T
        cxx, cxy, cyy = sxx - sx * sx / n, sxy - sx * sy / n, syy - sy * sy / n
        half = np.sqrt(((cxx - cyy) / 2) ** 2 + cxy**2)
        return np.asarray(1 + _UNFIT * np.maximum(0.0, (cxx + cyy) / 2 - half))

    def run(self, cost: Floats, start: int, stop: int) -> NDArray[np.int64]:
        """Spread costs over start .. stop in place; the index before each on its cheapest way, or -1."""
        before = np.full(len(cost), -1)
        for i in range(start, stop):
            if not np.isfinite(cost[i]):
                continue
            far = min(int(self.reach[i % len(self.reach)]), stop - i)
            ahead = np.arange(i + 1, i + far + 1)
            total = cost[i] + self.of(i, ahead)
            better = total < cost[ahead] - _LESS
            cost[ahead[better]] = total[better]
            before[ahead[better]] = i
        return before


def _way(before: NDArray[np.int64], stop: int) -> list[int]:
    """The cheapest way to an index, ascending."""
    path = [stop]
    while before[path[-1]] >= 0:
        path.append(int(before[path[-1]]))
    return path[::-1]


def _solved(
    points: NDArray[np.int64], reach: list[int] | NDArray[np.int64] | None = None
) -> tuple[list[int], float]:
    count = len(points) - 1
    known = straight_reach(points, is_closed=False) if reach is None else reach
    cost = np.full(count + 1, np.inf)
    cost[0] = 0
    before = _Costs(points, known).run(cost, 0, count)
    return _way(before, count), float(cost[count])


def _from_the_middle(points: NDArray[np.int64]) -> list[int]:
    """Breaks of a run that reads the same from both ends: one edge over its middle, or a break there."""
    count = len(points) - 1
    reach = straight_reach(points, is_closed=False)
    costs = _Costs(points, reach)
    cost = np.full(count + 1, np.inf)
    cost[0] = 0
    before = costs.run(cost, 0, count // 2)
    best, least = 0, np.inf
    for i in range(count // 2 + 1):
        rest = count - 2 * i
        if rest > reach[i]:
            continue
        total = 2 * cost[i] + (float(costs.of(i, np.array([count - i]))[0]) if rest else 0.0)
        if total < least - _LESS:
            best, least = i, total
    half = _way(before, best)
    return sorted({*half, *(count - i for i in half)})


def _between_axes(points: NDArray[np.int64], axes: list[int]) -> list[int] | None:
    """Breaks of a ring with axes of symmetry: solved between two neighbouring axes, mirrored by all."""
    count = len(points) - 1
    # Places of the axes on the ring, in half steps.
    places = sorted({place % (2 * count) for c in axes for place in (c, c + count)})
    first, second = places[0], places[1]
    # Read from a full round before, so that an edge over the first axis has no negative index.
    ring = np.vstack([points[:-1], points[:-1], points])
    reach = straight_reach(points, is_closed=True)
    costs = _Costs(ring, reach)
    low, high = first + 2 * count, second + 2 * count
    inside = range(-(-low // 2), high // 2 + 1)
    cost = np.full(len(ring), np.inf)
    for i in inside:
        over = 2 * i - low
        if over == 0:
            cost[i] = 0.0
        elif over <= reach[(low - i) % count]:
            cost[i] = float(costs.of(low - i, np.array([i]))[0]) / 2
    if not inside:
        return None
    before = costs.run(cost, inside[0], inside[-1])
    best, least = -1, np.inf
    for i in inside:
        over = high - 2 * i
        if over > reach[i % count]:
            continue
        total = float(cost[i]) + (float(costs.of(i, np.array([high - i]))[0]) / 2 if over else 0.0)
        if total < least - _LESS:
            best, least = i, total
    if best < 0:
        return None
    found = {i % count for i in _way(before, best)}
    for c in itertools.cycle(axes):
        more = found | {(c - i) % count for i in found}
        if all((d - i) % count in more for d in axes for i in more):
            return sorted(more)
        found = more
    return None
