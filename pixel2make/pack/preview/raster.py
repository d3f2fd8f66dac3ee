"""Triangles to pixels: which triangle is nearest at the middle of every pixel.

Every triangle is cut into the rows of the picture and every row into its pixels, for all triangles at once;
the nearest of all that fall on a pixel is kept as the largest of one packed number.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Hits", "rasterize"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

_ON_EDGE_PX = 1e-6
"""A pixel's middle this near outside an edge still belongs to the triangle, so that rounding opens no gap
between neighbours."""

_ID_BITS = 22
_DEPTH_STEPS = 2**40
"""Room for four million triangles beside a trillion steps of depth in one 63-bit number."""

_AT_ONCE = 1_500_000
"""Pixels of triangles that are held in memory at a time."""


@dataclass(frozen=True, eq=False)
class Hits:
    """What is seen.

    Attributes
    ----------
    triangle : ndarray of shape (rows, columns), int64
        Number of the nearest triangle; -1 where there is none.
    planes : ndarray of shape (M, 3)
        Nearness on each triangle's plane as a x + b y + c of picture coordinates.
    """

    triangle: Ints
    planes: Array

    def nearness(self, step: int = 1) -> Array:
        """Nearness at the middle of every pixel, or of every `step`-th; -inf where nothing is."""
        triangle = self.triangle[::step, ::step]
        found = np.full(triangle.size, -np.inf)
        seen = np.flatnonzero(triangle >= 0)
        number = triangle.ravel()[seen]
        ys, xs = np.divmod(seen, triangle.shape[1])
        a, b, c = np.ascontiguousarray(self.planes.T)
        found[seen] = a[number] * (xs * step + 0.5) + b[number] * (ys * step + 0.5) + c[number]
        return found.reshape(triangle.shape)


def rasterize(
    points: Array, triangles: Ints, shape: tuple[int, int], *, is_facing: NDArray[np.bool_] | None = None
) -> Hits:
    """The nearest triangle at every pixel's middle; of equally near ones the last.

    Parameters
    ----------
    points : ndarray of shape (N, 3)
        Picture x, picture y, nearness.
    triangles : ndarray of shape (M, 3), int
    shape : (rows, columns)
    is_facing : ndarray of shape (M,), bool, optional
        Triangles that may be seen at all: those of a closed solid that face the eye.
    """
    rows, columns = shape
    if len(triangles) >= 2**_ID_BITS:
        raise ValueError(f"at most {2**_ID_BITS - 1} triangles, got {len(triangles)}")
    corners = points[triangles]
    planes = _planes(corners)
    is_drawn = np.isfinite(planes).all(axis=1)
    drawn = np.flatnonzero(is_drawn if is_facing is None else is_drawn & is_facing)
    low, high = float(points[:, 2].min()), float(points[:, 2].max())
    # A hundredth on both sides is left for what a plane says just outside its triangle.
    steps = _DEPTH_STEPS / max(high - low, 1e-9) / 1.02
    low -= 0.01 * (high - low)
    best = np.full(rows * columns, -1, np.int64)
    for number, row, first, count in _in_lots(_row_spans(corners[drawn], drawn, shape)):
        ends = np.cumsum(count)
        running = np.arange(ends[-1])
        a, b, c = (planes[number] * steps).T
        shift = first - (ends - count)
        packed = np.repeat(a, count)
        packed *= running
        packed += np.repeat(a * (shift + 0.5) + b * (row + 0.5) + c - low * steps, count)
        key = packed.astype(np.int64)
        key <<= _ID_BITS
        key |= np.repeat(number, count)
        running += np.repeat(row * columns + shift, count)
        np.maximum.at(best, running, key)
    triangle = np.where(best >= 0, best & (2**_ID_BITS - 1), -1).reshape(shape)
    return Hits(triangle, planes)


def _planes(corners: Array) -> Array:
    """a, b, c of nearness = a x + b y + c; not finite for triangles that are seen edge on."""
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    area = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        a = (one[:, 2] * two[:, 1] - two[:, 2] * one[:, 1]) / area
        b = (two[:, 2] * one[:, 0] - one[:, 2] * two[:, 0]) / area
        c = corners[:, 0, 2] - a * corners[:, 0, 0] - b * corners[:, 0, 1]
    found = np.stack([a, b, c], axis=1)
    found[np.abs(area) < 1e-9] = np.nan
    return found


def _row_spans(corners: Array, number: Ints, shape: tuple[int, int]) -> tuple[Ints, Ints, Ints, Ints]:
    """Triangle, row, first column and number of pixels of every piece of a row that a triangle covers."""
    rows, columns = shape
    top = np.clip(np.ceil(corners[..., 1].min(axis=1) - 0.5 - _ON_EDGE_PX), 0, rows).astype(np.int64)
    end = np.clip(np.floor(corners[..., 1].max(axis=1) - 0.5 + _ON_EDGE_PX) + 1, 0, rows).astype(np.int64)
    count = np.maximum(end - top, 0)
    index = np.repeat(np.arange(len(count)), count)
    starts = np.cumsum(count) - count
    row = np.arange(len(index)) - starts[index] + top[index]
    y = row + 0.5
    left, right = np.full(len(index), -np.inf), np.full(len(index), np.inf)
    turn = np.sign(_twice_area(corners))
    for k in range(3):
        start, stop = corners[:, k, :2], corners[:, (k + 1) % 3, :2]
        # Inside where (stop - start) x (p - start) has the sign of the triangle's own area. A level edge
        # parts nothing within the rows of its own triangle.
        over = -(stop[:, 1] - start[:, 1]) * turn
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = (stop[:, 0] - start[:, 0]) / (stop[:, 1] - start[:, 1])
            at = start[:, 0] - slope * start[:, 1]
        for is_own, bound, merge in ((over > 0, left, np.maximum), (over < 0, right, np.minimum)):
            none = -np.inf if bound is left else np.inf
            edge = np.where(is_own, at, none)[index]
            edge += np.where(is_own, slope, 0.0)[index] * y
            merge(bound, edge, out=bound)
    first = np.ceil(np.clip(left - 0.5 - _ON_EDGE_PX, 0, columns)).astype(np.int64)
    last = np.floor(np.clip(right - 0.5 + _ON_EDGE_PX, -1, columns - 1)).astype(np.int64)
    some = last >= first
    return number[index[some]], row[some], first[some], (last - first + 1)[some]


def _twice_area(corners: Array) -> Array:
    one, two = corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]
    return np.asarray(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])


def _in_lots(spans: tuple[Ints, Ints, Ints, Ints]) -> list[tuple[Ints, Ints, Ints, Ints]]:
    """The spans in lots of about `_AT_ONCE` pixels."""
    if not len(spans[3]):
        return []
    lot = np.cumsum(spans[3]) // _AT_ONCE
    cuts = np.flatnonzero(np.diff(lot)) + 1
    pieces = [np.split(each, cuts) for each in spans]
    return [tuple(piece) for piece in zip(*pieces, strict=True)]
