"""Blending as a linear map from native pixels to file pixels, and what least squares leaves over.

An enlargement works along rows and columns apart, so one axis at a time is enough.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis

__all__ = ["KERNELS", "Floats", "left_over", "premultiplied", "weights"]

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
    total = float((lines**2).sum())
    if kernel == "nearest":
        explained = _explained_by_means(lines, scale, offsets)
    else:
        count = math.ceil(len(lines) / scale) + 1
        positions = (np.arange(len(lines)) + 0.5 - offsets[:, None]) / scale + 0.5
        share = weights(positions, count, kernel, scale)
        explained = _explained(share, share.transpose(0, 2, 1) @ lines, _REACH[kernel])
    return np.asarray(np.maximum(total - explained, 0))


def _explained(share: Floats, right: Floats, reach: int) -> Floats:
    """Energy r' A^-1 r of least squares, A = share' share of few diagonals, by elimination for all at once.

    A library solver would start threads for each of thousands of small systems.
    """
    count = share.shape[2]
    bands = np.zeros((len(share), count, reach + 1))
    for step in range(min(reach + 1, count)):
        bands[:, : count - step, step] = (share[:, :, : count - step] * share[:, :, step:]).sum(axis=1)
    bands[:, :, 0] += _RIDGE
    out = np.zeros(len(share))
    for row in range(count):
        pivot = bands[:, row, 0]
        out += (right[:, row] ** 2).sum(axis=1) / pivot
        for step in range(1, min(reach + 1, count - row)):
            factor = (bands[:, row, step] / pivot)[:, None]
            right[:, row + step] -= factor * right[:, row]
            bands[:, row + step, : reach + 1 - step] -= factor * bands[:, row, step:]
    return out


def _explained_by_means(lines: Floats, scale: float, offsets: Floats) -> Floats:
    """Without blending the best native column is the mean of its file columns."""
    sums = np.concatenate([np.zeros((1, lines.shape[1])), np.cumsum(lines, axis=0)])
    out = np.zeros(len(offsets))
    for index, offset in enumerate(offsets):
        bounds = Axis(len(lines), scale, float(offset)).bounds
        out[index] = ((np.diff(sums[bounds], axis=0) ** 2).sum(axis=1) / np.diff(bounds)).sum()
    return out
