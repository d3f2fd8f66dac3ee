"""The native pixels of a picture whose enlargement is known, and its few colours told from the noise."""

from __future__ import annotations

import itertools
import math

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis
from pixel2make.sprite.grid_blend import Blend
from pixel2make.sprite.grid_kernels import Floats, premultiplied, weights

__all__ = ["calm_colors", "unblend"]

_CLEAR = 24
"""Alpha this close to nothing or to full is taken for it: rounding and compression strayed."""
_INSET = 0.25
"""Share of a native pixel left out at each side when its file pixels are averaged: colours bleed there."""
_CLIP_ROUNDS = 6
"""Repeats of the fit while it finds what overshoots were cut off at black and white."""
_RIDGE = 1e-6
_MIN_TOLERANCE, _MAX_TOLERANCE = 2.0, 16.0
"""Bounds of the distance within which colours are one; neighbouring shades of a ramp lie wider apart."""
_NOISES = 3.0
"""That distance in standard deviations of what the fit left over."""
_MAX_COLORS = 3000
"""With more colours left the picture is no drawing in a few colours, and is not calmed."""


def unblend(rgba: NDArray[np.uint8], blend: Blend) -> tuple[NDArray[np.uint8], float]:
    """The native pixels under `blend`.

    Parameters
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
    blend : Blend

    Returns
    -------
    native : ndarray of shape (M, N, 4), uint8
    noise : float
        Root mean square, in levels, of what the native pixels do not explain.
    """
    picture = premultiplied(rgba).astype(float)
    to_rows, rows = _shares(blend.y_axis, blend.kernel)
    to_columns, columns = _shares(blend.x_axis, blend.kernel)
    native = _along(to_rows, to_columns, picture)
    if blend.kernel in ("cubic", "sinc"):
        for _ in range(_CLIP_ROUNDS):
            again = _along(rows, columns, native)
            cut = np.where(
                picture <= 0, np.minimum(again, 0), np.where(picture >= 255, np.maximum(again, 255), picture)
            )
            native = _along(to_rows, to_columns, cut)
    left = picture - _along(rows, columns, native).clip(0, 255)
    return _straight(native), float(np.sqrt((left**2).mean()))


def _along(down: Floats, across: Floats, picture: Floats) -> Floats:
    """Apply one matrix to the columns and one to the rows of each channel."""
    return np.asarray(np.einsum("yh,hwc,xw->yxc", down, picture, across, optimize=True))


def _shares(axis: Axis, kernel: str) -> tuple[Floats, Floats]:
    """(file to native, native to file) along one axis."""
    if kernel in ("nearest", "area"):
        return _inner_means(axis), np.asarray(axis.cells[:, None] == np.arange(axis.count), float)
    # A line at half a pixel or less from the border has no native pixel before it.
    offset = axis.offset - axis.scale if axis.offset > 0.5 else axis.offset
    positions = np.asarray((np.arange(axis.size) + 0.5 - offset) / axis.scale - 0.5, float)
    share = weights(positions, axis.count, kernel, axis.scale)
    inner = share.T @ share + _RIDGE * np.eye(axis.count)
    return np.asarray(np.linalg.solve(inner, share.T)), share


def _inner_means(axis: Axis) -> Floats:
    bounds = axis.bounds
    out = np.zeros((axis.count, axis.size))
    for index, (start, stop) in enumerate(itertools.pairwise(bounds.tolist())):
        inset = math.floor(_INSET * (stop - start))
        out[index, start + inset : stop - inset] = 1 / (stop - start - 2 * inset)
    return out


def _straight(native: Floats) -> NDArray[np.uint8]:
    """Colours no longer weighted by alpha, as bytes."""
    out = native.copy()
    alpha = out[:, :, 3]
    alpha[alpha < _CLEAR] = 0
    alpha[alpha > 255 - _CLEAR] = 255
    out[:, :, :3] *= 255 / np.maximum(alpha, 1)[:, :, None]
    out[alpha == 0] = 0
    return np.asarray(out.clip(0, 255).round().astype(np.uint8))


def calm_colors(native: NDArray[np.uint8], noise: float) -> NDArray[np.uint8]:
    """One colour for all pixels whose colours lie within the noise of each other.

    The colour with most others near it goes first and takes them with it; ties go to the darker one.

    Parameters
    ----------
    native : ndarray of shape (M, N, 4), uint8
    noise : float
        Standard deviation in levels.
    """
    tolerance = min(_MAX_TOLERANCE, max(_MIN_TOLERANCE, _NOISES * noise))
    colors, which, counts = np.unique(native.reshape(-1, 4), axis=0, return_inverse=True, return_counts=True)
    if len(colors) > _MAX_COLORS:
        return native
    levels = colors.astype(np.int16)
    near = np.ones((len(colors), len(colors)), bool)
    for channel in range(4):
        near &= abs(levels[:, None, channel] - levels[None, :, channel]) <= tolerance
    calm = colors.copy()
    free = np.ones(len(colors), bool)
    while free.any():
        weight = np.where(free, near @ np.where(free, counts, 0), -1)
        members = near[int(weight.argmax())] & free
        calm[members] = np.round(np.average(colors[members], axis=0, weights=counts[members]))
        free &= ~members
    return np.asarray(calm[which.reshape(-1)].reshape(native.shape))
