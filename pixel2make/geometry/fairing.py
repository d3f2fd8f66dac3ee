"""Faired lines: of all lines through an arc's gates, the one that bends least."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from pixel2make.geometry.chains import Chain

__all__ = ["FIRM_TIE", "LOOSE_TIE", "fair_offsets", "gate_frame"]

LOOSE_TIE = 0.02
"""Weight that draws a line to the middle of its gates against bending; small, it only settles what bending
leaves open."""

FIRM_TIE = 1e4
"""The same where a region is one pixel wide: there the middle is all that keeps a dot or a line its size."""

_ROUNDS = 30
"""Rounds of the active-set search; sprites settle in fewer than ten."""

Nodes = Mapping[tuple[int, int], NDArray[np.float64]]


def gate_frame(points: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Middles (K, 2) of a run's unit edges and the unit vectors (K, 2) of their gates, to the left."""
    ends = points.astype(float)
    step = np.diff(ends, axis=0)
    return (ends[:-1] + ends[1:]) / 2, np.stack([step[:, 1], -step[:, 0]], axis=1)


def fair_offsets(
    lines: Sequence[tuple[Chain, tuple[int, ...], NDArray[np.float64]]], nodes: Nodes, *, reach: float
) -> list[NDArray[np.float64]]:
    """Offsets in the gates that make each line bend least, corners apart.

    Minimises the squared second divided differences of the points in the gates, with every offset
    within `reach`, by an active-set search on one sparse system for all lines together.

    Parameters
    ----------
    lines : sequence of (Chain, corners, ties)
        Corners are indices of lattice points at which the line may bend freely; ties, shape (K,),
        weigh each gate's offset against bending.
    nodes : mapping of lattice point to (x, y)
        Where open lines have to end; ends without an entry are free.
    reach : float
        Largest offset, pixels.

    Returns
    -------
    list of ndarray of shape (K,)
        Positive to the left of the line's direction.
    """
    from scipy import sparse
    from scipy.sparse.linalg import spsolve

    if not lines:
        return []
    frames = [gate_frame(chain.points) for chain, _, _ in lines]
    sizes = [len(middles) for middles, _ in frames]
    starts = np.concatenate([[0], np.cumsum(sizes)])
    rows: list[tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]] = []
    for (chain, corners, _), (middles, _), start in zip(lines, frames, starts[:-1].tolist(), strict=True):
        rows.append(_differences(chain, corners, middles, nodes, start))
    index = np.concatenate([row[0] for row in rows])
    weight = np.concatenate([row[1] for row in rows])
    fixed = np.concatenate([row[2] for row in rows])
    middles = np.concatenate([frame[0] for frame in frames])
    normals = np.concatenate([frame[1] for frame in frames])
    count = len(middles)
    at = np.repeat(np.arange(len(index)), 3)
    d = sparse.csr_matrix((weight.ravel(), (at, index.ravel())), shape=(len(index), count))
    a = sparse.vstack([d.multiply(normals[:, 0]), d.multiply(normals[:, 1])]).tocsr()
    base = np.concatenate([d @ middles[:, 0] + fixed[:, 0], d @ middles[:, 1] + fixed[:, 1]])
    h = (a.T @ a + sparse.diags(np.concatenate([ties for _, _, ties in lines]))).tocsc()
    g = a.T @ base

    def solve(free: NDArray[np.bool_], offsets: NDArray[np.float64]) -> NDArray[np.float64]:
        out = offsets.copy()
        which = np.flatnonzero(free)
        held = np.flatnonzero(~free)
        if len(which):
            part = h[which]
            right = -(g[which] + part[:, held] @ offsets[held])
            out[which] = spsolve(part[:, which].tocsc(), right)
        return out

    offsets = _bounded(solve, h, g, count, reach)
    return [offsets[a:b] for a, b in zip(starts[:-1].tolist(), starts[1:].tolist(), strict=True)]


def _differences(
    chain: Chain, corners: tuple[int, ...], middles: NDArray[np.float64], nodes: Nodes, start: int
) -> tuple[NDArray[np.int64], NDArray[np.float64], NDArray[np.float64]]:
    """Second divided differences as (gate indices, weights, constant part), none across a corner."""
    count = len(middles)
    is_corner = np.zeros(count + 1, bool)
    is_corner[list(corners)] = True
    if chain.is_closed:
        is_corner[count] = is_corner[0]
        centre = np.arange(count) if count > 2 else np.arange(0)
    else:
        centre = np.arange(1, count - 1)
    centre = centre[~(is_corner[centre] | is_corner[centre + 1])]
    index = np.stack([(centre - 1) % count, centre, (centre + 1) % count], axis=1)
    before = np.hypot(*(middles[index[:, 1]] - middles[index[:, 0]]).T)
    after = np.hypot(*(middles[index[:, 2]] - middles[index[:, 1]]).T)
    weight = _weights(before, after)
    fixed = np.zeros((len(index), 2))
    if not chain.is_closed and count > 1:
        ends = [(0, 0, 1), (count, count - 1, count - 2)]
        for lattice, near, far in ends:
            node = nodes.get((int(chain.points[lattice][0]), int(chain.points[lattice][1])))
            if node is None or is_corner[1 if lattice == 0 else count - 1]:
                continue
            # The node stands in for the gate before the first one: its part is constant.
            gap = np.hypot(*(middles[far] - middles[near]))
            w = _weights(np.array([max(0.25, float(np.hypot(*(middles[near] - node))))]), np.array([gap]))[0]
            index = np.vstack([index, [near, near, far]])
            weight = np.vstack([weight, [0.0, w[1], w[2]]])
            fixed = np.vstack([fixed, w[0] * node])
    return index + start, weight, fixed


def _weights(before: NDArray[np.float64], after: NDArray[np.float64]) -> NDArray[np.float64]:
    scale = 1 / np.sqrt((before + after) / 2)
    return np.stack([1 / before, -(1 / before + 1 / after), 1 / after], axis=1) * scale[:, None]


def _bounded(solve, h, g, count: int, reach: float) -> NDArray[np.float64]:  # type: ignore[no-untyped-def]
    """Active-set search: hold what leaves its gate at the gate's end, let go what the bending pulls back."""
    free = np.ones(count, bool)
    offsets = np.zeros(count)
    slack = 1e-9
    for _ in range(_ROUNDS):
        wanted = solve(free, offsets)
        beyond = np.abs(wanted) > reach + slack
        offsets = np.clip(wanted, -reach, reach)
        pull = h @ offsets + g
        released = ~free & (((offsets > 0) & (pull > slack)) | ((offsets < 0) & (pull < -slack)))
        if not (beyond & free).any() and not released.any():
            break
        free = (free & ~beyond) | released
    return offsets
