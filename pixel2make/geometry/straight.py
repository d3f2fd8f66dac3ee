"""Straight lines: the fewest straight edges that pass all gates of a chain."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from pixel2make.geometry.breaks import closed_breaks, open_breaks
from pixel2make.geometry.chains import Chain, level_runs
from pixel2make.geometry.fairing import gate_frame

__all__ = ["Polygonal", "intersection", "straight_line"]

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
    breaks = _breaks(chain, tuple(sorted(stops - (set() if chain.is_closed else {0, count}))))
    lines = [_fit(chain.points, middles, a, b) for a, b in _pairs(breaks, chain)]
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


def _breaks(chain: Chain, corners: tuple[int, ...]) -> list[int]:
    """Lattice indices where one straight edge ends and the next begins; both ends for an open chain."""
    count = len(chain.points) - 1
    if chain.is_closed and not corners:
        return closed_breaks(chain.points)
    ring = np.vstack([chain.points, chain.points[1:]]) if chain.is_closed else chain.points
    stops = [*corners, corners[0] + count] if chain.is_closed else [0, *corners, count]
    found = [stops[0]]
    for a, b in itertools.pairwise(stops):
        found += [a + i for i in open_breaks(ring[a : b + 1])[1:]]
    return sorted({index % count for index in found}) if chain.is_closed else found


def _fit(
    lattice: NDArray[np.int64], middles: NDArray[np.float64], a: int, b: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Best line through the gate middles a..b-1 as (point, unit direction); of one gate the pixel's edge."""
    count = len(middles)
    points = middles[np.arange(a, b) % count]
    centre = points.mean(axis=0)
    if len(points) == 1:
        return centre, (lattice[a % count + 1] - lattice[a % count]).astype(float)
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
