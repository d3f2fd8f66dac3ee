"""Which arcs of a planar map go on through a junction as one drawn line, and where it has corners."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np
from numpy.typing import NDArray

from pixel2make.geometry.digital import straight_reach
from pixel2make.geometry.planar import PlanarMap

__all__ = ["Chain", "chains_of", "corners_of", "level_runs"]

_LOOK_PX = 4
"""Steps from a junction over which an arc's direction is judged: enough to tell a 3:1 slope from level."""

_SHARP_LEG = 2
"""Two level legs of at least this many pixels meet in a corner: a digital curve has a leg of one there."""

_CLEAR_LEG = 3
"""Legs this long make a corner whatever lies beyond; shorter ones also occur on small discs, beside a
leg of one."""

_STAIR_LEG = 3
"""Turns that alternate with legs up to this long are a staircase, drawn with doubled pixels."""

_LEAST_LEG = 5.0
"""Slanted legs shorter than this, in pixels, do not tell a corner from a small round."""

_LEAST_TURN = math.radians(40)
"""A slanted line that turns less is one bent line, not two."""

_ROUND_MARGIN = 1.3
"""How much sharper than any circle that draws both legs straight a corner has to be."""


@dataclass(frozen=True, eq=False)
class Chain:
    """Arcs that follow each other as one line.

    Attributes
    ----------
    arcs : tuple of (int, bool)
        Index of the arc and whether the chain runs along its direction.
    points : ndarray of shape (K + 1, 2), int
        Lattice points; a closed chain repeats its first point at the end.
    is_closed : bool
    """

    arcs: tuple[tuple[int, bool], ...]
    points: NDArray[np.int64]
    is_closed: bool


def chains_of(planar: PlanarMap) -> tuple[Chain, ...]:
    """Join arcs at junctions of three where two of them go on as one line.

    The object's own outline (an arc beside label 0) goes on before any inner line; else the pair that
    turns least. Where two pairs turn alike none goes on, so that a symmetric drawing stays symmetric.
    Junctions of four stay ends.

    Returns
    -------
    tuple of Chain
        Every arc lies in exactly one chain.
    """
    partner = _partners(planar)
    chains: list[Chain] = []
    done: set[int] = set()
    for index, arc in enumerate(planar.arcs):
        if index in done:
            continue
        if arc.is_closed:
            done.add(index)
            chains.append(Chain(((index, True),), arc.points, True))
            continue
        run, is_closed = _run_through(index, partner)
        done |= {i for i, _ in run}
        pieces = [_directed(planar, i, along) for i, along in run]
        points = np.concatenate([pieces[0][:1], *(piece[1:] for piece in pieces)])
        chains.append(Chain(tuple(run), points, is_closed))
    return tuple(chains)


def _run_through(
    index: int, partner: dict[tuple[int, bool], tuple[int, bool]]
) -> tuple[list[tuple[int, bool]], bool]:
    """Walk back to the chain's beginning, then forward; an end is (arc, True) at its last point."""
    first = (index, True)
    here = first
    while (before := partner.get((here[0], not here[1]))) is not None:
        # `before` is an arc's end; walking forward out of that end means along it if it is its last point.
        here = (before[0], before[1])
        if here == first:
            break
    start = here
    run = [start]
    while (after := partner.get((here[0], here[1]))) is not None:
        here = (after[0], not after[1])
        if here == start:
            return run, True
        run.append(here)
    return run, False


def _partners(planar: PlanarMap) -> dict[tuple[int, bool], tuple[int, bool]]:
    """Which arc's end goes on into which; an end is (arc, True) for its last point."""
    ends: dict[tuple[int, int], list[tuple[int, bool]]] = {}
    for index, arc in enumerate(planar.arcs):
        if not arc.is_closed:
            for at_last in (False, True):
                x, y = arc.points[-1 if at_last else 0].tolist()
                ends.setdefault((x, y), []).append((index, at_last))
    partner: dict[tuple[int, bool], tuple[int, bool]] = {}
    for meeting in ends.values():
        if len(meeting) != 3:
            continue
        pairs = [(meeting[i], meeting[j]) for i, j in ((0, 1), (0, 2), (1, 2))]
        ranks = [_pair_rank(planar, *pair) for pair in pairs]
        a, b = pairs[ranks.index(min(ranks))]
        if ranks.count(min(ranks)) == 1:
            partner[a], partner[b] = b, a
    return partner


def _pair_rank(planar: PlanarMap, a: tuple[int, bool], b: tuple[int, bool]) -> tuple[bool, float]:
    outer = all(0 in (planar.arcs[i].left, planar.arcs[i].right) for i, _ in (a, b))
    cosine = float(_outward(planar, a) @ _outward(planar, b))
    return (not outer, round(cosine, 9))


def _outward(planar: PlanarMap, end: tuple[int, bool]) -> NDArray[np.float64]:
    points = planar.arcs[end[0]].points
    points = points[::-1] if end[1] else points
    ahead = points[min(_LOOK_PX, len(points) - 1)] - points[0]
    length = float(np.hypot(*ahead))
    return ahead / length if length else np.zeros(2)


def _directed(planar: PlanarMap, index: int, along: bool) -> NDArray[np.int64]:
    points = planar.arcs[index].points
    return points if along else points[::-1]


def corners_of(chain: Chain) -> tuple[int, ...]:
    """Indices of the lattice points at which the drawing means a corner.

    Two level legs that meet, unless they are a step of a staircase; and two slanted legs, each a
    digital straight segment, that meet at a sharper turn than any circle that would draw both of
    them straight (a straight digital run of length L bends by less than a pixel, so the circle's radius
    is at least L^2 / 8 and it turns by at most 8 / L).

    Returns
    -------
    tuple of int
        Ascending, between 1 and K - 1 for open chains, 0 and K - 1 for closed ones.
    """
    level = _level_corners(chain)
    slanted = _slanted_corners(chain, level)
    return tuple(sorted({*level, *slanted}))


def _level_corners(chain: Chain) -> list[int]:
    steps = np.diff(chain.points, axis=0)
    count = len(steps)
    before = np.roll(steps, 1, axis=0)
    cross = before[:, 0] * steps[:, 1] - before[:, 1] * steps[:, 0]
    if not chain.is_closed:
        cross[0] = 0
    turns = np.flatnonzero(cross).tolist()
    signs = [int(cross[i]) for i in turns]
    found = [turns[k] for k in range(len(turns)) if _is_level_corner(_legs(turns, k, count, chain), signs, k)]
    return found


def _legs(turns: list[int], k: int, count: int, chain: Chain) -> tuple[int, int, int, int]:
    """Lengths of the two level legs before turn k, farther one first, and of the two after it."""
    many = len(turns)

    def leg(a: int) -> int:
        """From turn a to turn a + 1; what lies beyond an open end counts as long."""
        if chain.is_closed:
            return (turns[(a + 1) % many] - turns[a % many]) % count or count
        if -1 <= a < many:
            start = turns[a] if a >= 0 else 0
            stop = turns[a + 1] if a + 1 < many else count
            return stop - start
        return count

    return leg(k - 2), leg(k - 1), leg(k), leg(k + 1)


def _is_level_corner(legs: tuple[int, int, int, int], signs: list[int], k: int) -> bool:
    farther, into, out, beyond = legs
    previous, following = signs[k - 1], signs[(k + 1) % len(signs)]
    # The square end of a single-pixel line: two like turns with one pixel between long legs.
    if out == 1 and following == signs[k]:
        return min(into, beyond) >= _CLEAR_LEG
    if into == 1 and previous == signs[k]:
        return min(farther, out) >= _CLEAR_LEG
    if min(into, out) < _SHARP_LEG:
        return False
    if previous == following == -signs[k] and max(into, out) <= _STAIR_LEG:
        return False
    return min(into, out) >= _CLEAR_LEG or min(farther, beyond) >= _SHARP_LEG


def level_runs(chain: Chain, corners: tuple[int, ...]) -> list[tuple[int, int]]:
    """Level legs that the drawing means level, from lattice index to lattice index.

    A leg between two corners; and a leg of at least three pixels from a corner on, unless the next leg
    of its direction is at least half as long: that is a slanted line's staircase.

    Returns
    -------
    list of (start, stop)
        With start < stop; for a closed chain stop may lie beyond the chain's end.
    """
    steps = np.diff(chain.points, axis=0)
    count = len(steps)
    before = np.roll(steps, 1, axis=0)
    turns = np.flatnonzero(np.any(steps != before, axis=1)).tolist()
    if not chain.is_closed:
        turns = sorted({0, *turns, count})
    kept = set(corners)
    legs = [(a, b) for a, b in pairwise(turns)]
    if chain.is_closed and turns:
        legs.append((turns[-1], turns[0] + count))
    found = []
    for k, (a, b) in enumerate(legs):
        at_a, at_b = a in kept, b % count in kept
        if at_a and at_b:
            found.append((a, b))
        elif (at_a or at_b) and b - a >= _CLEAR_LEG:
            beyond = k + 2 if at_a else k - 2
            if chain.is_closed:
                next_leg = legs[beyond % len(legs)]
            elif 0 <= beyond < len(legs):
                next_leg = legs[beyond]
            else:
                continue
            same_way = (steps[next_leg[0] % count] == steps[a % count]).all()
            if not same_way or 2 * (next_leg[1] - next_leg[0]) < b - a:
                found.append((a, b))
    return found


def _slanted_corners(chain: Chain, level: list[int]) -> list[int]:
    points = chain.points
    count = len(points) - 1
    ahead = straight_reach(points, is_closed=chain.is_closed)
    behind = straight_reach(points[::-1].copy(), is_closed=chain.is_closed)
    strength: dict[int, tuple[float, float]] = {}
    for index in range(0 if chain.is_closed else 1, count):
        after = points[(index + ahead[index]) % count if chain.is_closed else index + ahead[index]]
        back = behind[(count - index) % count if chain.is_closed else count - index]
        before = points[(index - back) % count if chain.is_closed else index - back]
        out, into = after - points[index], points[index] - before
        leg = min(float(np.hypot(*out)), float(np.hypot(*into)))
        if leg < _LEAST_LEG:
            continue
        turn = abs(math.atan2(float(into[0] * out[1] - into[1] * out[0]), float(into @ out)))
        if turn > max(_LEAST_TURN, _ROUND_MARGIN * 8 / leg):
            strength[index] = (turn, leg)
    return _strongest(strength, level, count, chain.is_closed)


def _strongest(
    strength: dict[int, tuple[float, float]], level: list[int], count: int, is_closed: bool
) -> list[int]:
    """Of candidates within half a leg of each other, only the sharpest; none beside a level corner.

    Candidates that are alike in all do not oust each other: they are the two sides of a symmetric tip.
    """
    kept: list[int] = []

    def apart(a: int, b: int) -> int:
        gap = abs(a - b)
        return min(gap, count - gap) if is_closed else gap

    def rank(index: int) -> tuple[float, float]:
        turn, leg = strength[index]
        return -round(turn, 9), -round(leg, 9)

    for (_, leg), alike in groupby(sorted(strength, key=rank), key=rank):
        reach = max(2.0, -leg / 2)
        kept += [i for i in alike if all(apart(i, other) > reach for other in (*kept, *level))]
    return kept
