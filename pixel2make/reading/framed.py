"""A frame on the cover that light and shade break into several colours.

A gilded fillet is bright on the lit sides and dark on the others, and parts of it fall together with a
shade of the cover. No colour tells it; its form does: on four sides, parallel to the cover's edges, runs a
line one step wide that differs from what lies inside and outside of it, everywhere in the same direction of
colour. An edge in light and shade differs upwards on two sides and downwards on the other two.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face

__all__ = ["frame_line"]

_LEAST_STEPS = 9
"""A cover of fewer steps a side has no room for line, ground outside and ground inside."""
_DEEPEST = 0.36
"""A frame's sides lie in the outer part of the cover, so far in at most; what lies further in is a panel."""
_LEAST_GAP = 5.0
"""CIEDE2000 between the line and the ground on either side of it: texture differs by less on the whole."""
_FILLED, _WORST = 0.84, 0.65
"""Share of the line's steps that differ so, on the whole and on the worst side; a clasp or a corner piece
hides some."""
_ONE_WAY = 0.2
"""Least cosine, in CIELAB, between the way a side differs from its ground and the way all sides do."""

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def frame_line(face: Face, lab: Floats) -> Mask | None:
    """The pixels of a frame's line on a face, shape (M, N); None where there is none.

    Parameters
    ----------
    face : Face
    lab : ndarray of shape (M, N, 3)
        CIELAB of the sprite.
    """
    steps = np.array([max(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)])
    across, along = np.round(steps).astype(int)
    if min(across, along) < _LEAST_STEPS:
        return None
    at_x, at_y = np.meshgrid((np.arange(across) + 0.5) / across, (np.arange(along) + 0.5) / along)
    place = face.to_picture(np.stack([at_x.ravel(), at_y.ravel()], 1))
    xs, ys = np.floor(place).astype(int).T
    inside = (xs >= 0) & (ys >= 0) & (xs < lab.shape[1]) & (ys < lab.shape[0])
    grid = np.zeros((along, across, 3))
    grid.reshape(-1, 3)[inside] = lab[ys[inside], xs[inside]]
    found = _rectangle(grid)
    if found is None:
        return None
    left, right, top, bottom = found
    own = np.zeros((along, across), bool)
    own[top : bottom + 1, [left, right]] = True
    own[[top, bottom], left : right + 1] = True
    out = np.zeros(face.mask.shape, bool)
    at = own.ravel() & inside
    out[ys[at], xs[at]] = True
    return out & face.mask


def _rectangle(grid: Floats) -> tuple[int, int, int, int] | None:
    """First and last column and row of the best frame on a rectified face."""
    along, across = grid.shape[:2]
    upright, up_way = _ridges(grid)
    level, level_way = (np.swapaxes(a, 0, 1) for a in _ridges(np.swapaxes(grid, 0, 1)))
    best: tuple[float, tuple[int, int, int, int]] | None = None
    lefts, rights = _places(upright.mean(axis=0), across)
    tops, bottoms = _places(level.mean(axis=1), along)
    # Steps that stand out before each row and column: whole numbers, and a mean is one difference.
    above, before = (
        np.cumsum(np.pad(upright, ((1, 0), (0, 0))), axis=0).tolist(),
        np.cumsum(np.pad(level, ((0, 0), (1, 0))), axis=1).tolist(),
    )
    for left, right, top, bottom in itertools.product(lefts, rights, tops, bottoms):
        rows, columns = slice(top, bottom + 1), slice(left, right + 1)
        tall, broad = bottom + 1 - top, right + 1 - left
        beside = [above[bottom + 1][k] - above[top][k] for k in (left, right)]
        across_it = [before[k][right + 1] - before[k][left] for k in (top, bottom)]
        worst = min(min(beside) / tall, min(across_it) / broad)
        whole = (sum(beside) + sum(across_it)) / (2 * tall + 2 * broad)
        if worst < _WORST or whole < _FILLED or (best is not None and whole <= best[0]):
            continue
        ways = np.array(
            [
                up_way[rows, left].mean(axis=0),
                up_way[rows, right].mean(axis=0),
                level_way[top, columns].mean(axis=0),
                level_way[bottom, columns].mean(axis=0),
            ]
        )
        if _is_one_way(ways):
            best = whole, (left, right, top, bottom)
    return None if best is None else best[1]


def _ridges(grid: Floats) -> tuple[NDArray[np.float64], Floats]:
    """Where a step differs from both beside it in its row (0 or 1), and the way it differs, in CIELAB."""
    from pixel2make.color import difference

    gap = np.asarray(difference(grid[:, 1:], grid[:, :-1])) >= _LEAST_GAP
    ridge = np.zeros(grid.shape[:2])
    ridge[:, 1:-1] = gap[:, 1:] & gap[:, :-1]
    way = np.zeros(grid.shape)
    way[:, 1:-1] = grid[:, 1:-1] - (grid[:, 2:] + grid[:, :-2]) / 2
    return ridge, way


def _places(ridge: Floats, size: int) -> tuple[list[int], list[int]]:
    """Lines near either end on which enough steps stand out for a side of a frame."""
    depth = int(_DEEPEST * size)
    # A frame's side is shorter than the face by what lies outside of the frame.
    least = _WORST * (1 - 2 * _DEEPEST)
    near = [k for k in range(1, depth + 1) if ridge[k] >= least]
    far = [k for k in range(size - 1 - depth, size - 1) if ridge[k] >= least]
    return near, far


def _is_one_way(ways: Floats) -> bool:
    """Whether all sides differ from their ground in one direction of colour."""
    length = np.linalg.norm(ways, axis=1)
    mean = ways.mean(axis=0)
    if length.min() == 0 or not mean.any():
        return False
    return bool((ways @ mean >= _ONE_WAY * length * np.linalg.norm(mean)).all())
