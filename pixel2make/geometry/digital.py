"""Digital straightness: which runs of pixel edges are the trace of one straight line.

A run of lattice steps is a digital straight segment when some straight line passes between the pixel
centres on its two sides all along. For a 4-connected run that is the arithmetic line
0 <= a x - b y - mu < |a| + |b| (Reveilles 1991; recognised step by step as in Debled-Rennesson and
Reveilles, A linear algorithm for segmentation of digital curves, 1995).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["straight_reach"]


def straight_reach(points: NDArray[np.int64], *, is_closed: bool) -> list[int]:
    """For each lattice point, how many steps further the run stays digitally straight.

    Parameters
    ----------
    points : ndarray of shape (K + 1, 2), int
        Lattice points one step apart; a closed run repeats its first point at the end.
    is_closed : bool
        Closed runs go on past their end, at most once round.

    Returns
    -------
    reach : list of K or K + 1 int
        ``reach[i]`` is the largest n with points i .. i + n on one digital straight segment. A closed
        run has K entries, an open one K + 1, the last of them 0.

    Examples
    --------
    >>> straight_reach(np.array([[0, 0], [1, 0], [2, 0], [2, 1], [2, 2]]), is_closed=False)
    [3, 3, 2, 1, 0]
    """
    xs, ys = points[:, 0].tolist(), points[:, 1].tolist()
    count = len(xs) - 1
    if is_closed:
        xs, ys = xs[:-1] * 2 + xs[:1], ys[:-1] * 2 + ys[:1]
    starts = count if is_closed else count + 1
    limit = count if is_closed else None
    return [_reach_from(xs, ys, i, limit) for i in range(starts)]


def _reach_from(xs: list[int], ys: list[int], start: int, limit: int | None) -> int:
    """Grow the segment from one point, keeping the outermost points that lean on its two border lines.

    With u steps of the first direction and v of the other one, (u + v, v) is an 8-connected path in
    the first octant, and the run is straight where it is a naive line mu <= a x - b y < mu + b.
    """
    end = len(xs) - 1 if limit is None else min(len(xs) - 1, start + limit)
    if start >= end:
        return 0
    first = (xs[start + 1] - xs[start], ys[start + 1] - ys[start])
    other: tuple[int, int] | None = None
    x, y = 1, 0
    a, b, mu = 0, 1, 0
    upper_first = lower_first = (0, 0)
    upper_last = lower_last = (1, 0)
    for index in range(start + 1, end):
        step = (xs[index + 1] - xs[index], ys[index + 1] - ys[index])
        if step != first:
            if other is None and step != (-first[0], -first[1]):
                other = step
            if step != other:
                return index - start
            y += 1
        x += 1
        r = a * x - b * y
        if r < mu - 1 or r > mu + b:
            return index - start
        if r == mu - 1:
            lower_first, upper_last = lower_last, (x, y)
            a, b = y - upper_first[1], x - upper_first[0]
            mu = a * x - b * y
        elif r == mu + b:
            upper_first, lower_last = upper_last, (x, y)
            a, b = y - lower_first[1], x - lower_first[0]
            mu = a * x - b * y - b + 1
        else:
            if r == mu:
                upper_last = (x, y)
            if r == mu + b - 1:
                lower_last = (x, y)
    return end - start
