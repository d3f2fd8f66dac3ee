"""Blending as a linear map from native pixels to file pixels, and what least squares leaves over.

An enlargement works along rows and columns apart, so one axis at a time is enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

__all__ = ["KERNELS", "Floats", "left_over", "left_over_many", "premultiplied", "weights"]

Floats = NDArray[np.float64]


def _nearest(d: Floats, scale: float) -> Floats:
    return np.asarray((d >= -0.5) & (d < 0.5), float)


def _area(d: Floats, scale: float) -> Floats:
    half = 0.5 / scale
    return np.clip(0.5 + half - abs(d), 0, min(1.0, 2 * half)) / (2 * half)


def _linear(d: Floats, scale: float) -> Floats:
    return np.maximum(0, 1 - abs(d))


def _cubic(d: Floats, scale: float) -> Floats:
    """Cubic convolution with a = -1/2; R. G. Keys, IEEE Trans. ASSP 29 (1981)."""
    d = abs(d)
    near = 1.5 * d**3 - 2.5 * d**2 + 1
    far = -0.5 * d**3 + 2.5 * d**2 - 4 * d + 2
    return np.where(d < 1, near, np.where(d < 2, far, 0.0))


def _sinc(d: Floats, scale: float) -> Floats:
    """Windowed sinc of three lobes; C. E. Duchon, Journal of Applied Meteorology 18 (1979)."""
    return np.where(abs(d) < 3, np.sinc(d) * np.sinc(d / 3), 0.0)


KERNELS: Mapping[str, Callable[[Floats, float], Floats]] = {
    "nearest": _nearest,
    "area": _area,
    "linear": _linear,
    "cubic": _cubic,
    "sinc": _sinc,
}
"""Weight of a native pixel by the distance of its centre, in native pixels."""

_REACH: Mapping[str, int] = {"nearest": 0, "area": 1, "linear": 1, "cubic": 3, "sinc": 5}
"""How many native pixels on, a second one can share a file pixel."""

_RIDGE = 1e-6
"""Keeps a native pixel that the border cuts nearly off from taking a wild value."""


_AT_ONCE = 128
"""Grids that are fitted at once: what lies between stays in the processor's cache."""


def premultiplied(rgba: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Colours weighted by alpha, as blending works on them; (H, W, 4), 0..255."""
    out = rgba.astype(np.float32)
    out[:, :, :3] *= out[:, :, 3:] / 255
    return out


def weights(positions: Floats, count: int, kernel: str, scale: float) -> Floats:
    """Share of each native pixel in each file pixel.

    Parameters
    ----------
    positions : ndarray of shape (..., L)
        Centres of file pixels in native pixels; native pixel j has its centre at j.
    count : int
        Native pixels; what lies beyond the ends has no weight.

    Returns
    -------
    ndarray of shape (..., L, count); sums to 1 along the last axis.
    """
    share = KERNELS[kernel](positions[..., None] - np.arange(count), scale)
    return np.asarray(share / share.sum(axis=-1, keepdims=True))


def left_over(lines: Floats, scale: float, offsets: Floats, kernel: str) -> Floats:
    """Energy that the best native pixels leave over, for each offset of the grid.

    Parameters
    ----------
    lines : ndarray of shape (L, K)
        File columns (or rows) as rows of numbers, each of the K numbers with zero mean.
    scale : float
        File pixels a native pixel.
    offsets : ndarray of shape (P,)
        Of the first grid line, 0 <= offset < scale.
    kernel : str
        A name in KERNELS.

    Returns
    -------
    ndarray of shape (P,)
    """
    return left_over_many((lines,), np.full(len(offsets), float(scale)), offsets, kernel)[0]


def left_over_many(sides: Sequence[Floats], scales: Floats, offsets: Floats, kernel: str) -> list[Floats]:
    """`left_over` for many grids of different scale at once, for sides of one length.

    Parameters
    ----------
    sides : sequence of ndarray of shape (L, K)
    scales, offsets : ndarray of shape (P,)
    kernel : str
        "nearest" or "linear" where scales differ; the wider kernels' shape goes by one scale.

    Returns
    -------
    list of ndarray of shape (P,), one a side
    """
    lines = np.concatenate(sides, axis=1)
    parts = range(0, len(offsets), _AT_ONCE)
    solve = _explained_by_means if kernel == "nearest" else _explained_by_blends
    explained = np.concatenate(
        [solve(lines, scales[at : at + _AT_ONCE], offsets[at : at + _AT_ONCE], kernel) for at in parts]
    )
    out, first = [], 0
    for side in sides:
        energy = explained[:, first : first + side.shape[1]].sum(axis=1)
        out.append(np.asarray(np.maximum(float((side**2).sum()) - energy, 0)))
        first += side.shape[1]
    return out


def _explained_by_blends(lines: Floats, scales: Floats, offsets: Floats, kernel: str) -> Floats:
    """Energy of each column of `lines` that blends of native pixels explain, shape (P, K)."""
    counts = np.ceil(len(lines) / scales).astype(np.int64) + 1
    positions = (np.arange(len(lines)) + 0.5 - offsets[:, None]) / scales[:, None] + 0.5
    native = np.arange(int(counts.max(initial=0)))
    share = KERNELS[kernel](positions[..., None] - native, float(scales[0]))
    if counts.min(initial=0) < len(native):
        share *= (native < counts[:, None])[:, None]
    share /= share.sum(axis=-1, keepdims=True)
    return _explained(share, share.transpose(0, 2, 1) @ lines, _REACH[kernel])


def _explained(share: Floats, right: Floats, reach: int) -> Floats:
    """Energy r' A^-1 r of least squares, A = share' share of few diagonals, by elimination for all at once.

    A library solver would start threads for each of thousands of small systems.
    """
    count = share.shape[2]
    bands = np.zeros((count, reach + 1, len(share)))
    for step in range(min(reach + 1, count)):
        bands[: count - step, step] = np.einsum(
            "pln,pln->np", share[:, :, : count - step], share[:, :, step:]
        )
    bands[:, 0] += _RIDGE
    right = np.ascontiguousarray(right.transpose(1, 0, 2))
    out = np.zeros(right.shape[1:])
    for row in range(count):
        pivot = bands[row, 0]
        out += right[row] ** 2 / pivot[:, None]
        for step in range(1, min(reach + 1, count - row)):
            factor = bands[row, step] / pivot
            right[row + step] -= factor[:, None] * right[row]
            bands[row + step, : reach + 1 - step] -= factor * bands[row, step:]
    return out


def _explained_by_means(lines: Floats, scales: Floats, offsets: Floats, _kernel: str) -> Floats:
    """Without blending the best native column is the mean of its file columns; shape (P, K).

    Cells as `Axis` bounds them; those that the picture's border leaves empty explain nothing.
    """
    size = len(lines)
    sums = np.concatenate([np.zeros((1, lines.shape[1])), np.cumsum(lines, axis=0)])
    # The first line may lie a cell before the picture.
    steps = np.arange(-1, math.ceil(size / float(scales.min())) + 2)[:, None]
    inner = np.ceil(offsets + scales * steps - 0.5).astype(np.int64).clip(0, size)
    bounds = np.concatenate([np.zeros((1, len(offsets)), np.int64), inner, np.full((1, len(offsets)), size)])
    cells = np.diff(bounds, axis=0)
    energy = np.diff(sums[bounds], axis=0) ** 2 / np.maximum(cells, 1)[..., None]
    return np.asarray(energy.sum(axis=0))
