"""A picture brought back to its native pixel grid, however it was enlarged.

First the exact case: every change of colour lies on equally spaced lines (`grid_exact`). Where blending or
lossy compression has blurred the changes, the picture is explained as a blend of native pixels
(`grid_blend`). A picture that neither explains is on its native grid already and is left alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis
from pixel2make.sprite.grid_exact import exact_axes
from pixel2make.sprite.model import Grid

__all__ = ["Recovery", "recover"]

PALETTE_COLORS = 40
"""A picture of so few colours was not blended: even two colours blend into more (the fewest in a set of
small drawings enlarged by 1.5 were 44), while a sprite's palette has 8 to 32."""

LOSSY_COLORS = 256
"""More than any palette file holds: compression has spread the colours of a native picture."""


@dataclass(frozen=True, eq=False)
class Recovery:
    """The picture on its native grid, and how the file lies on it.

    Attributes
    ----------
    rgba : ndarray of shape (M, N, 4), uint8
    grid : Grid
    x_axis, y_axis : Axis
    is_lossy : bool
        The file's pixels are blends or compressed, so the native colours are estimates.
    """

    rgba: NDArray[np.uint8]
    grid: Grid
    x_axis: Axis
    y_axis: Axis
    is_lossy: bool = False

    def to_native(self, mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """A mask of file pixels on the native grid: True where it takes more than half of a pixel."""
        across = np.add.reduceat(mask.astype(np.int64), self.x_axis.bounds[:-1], axis=1)
        counts = np.add.reduceat(across, self.y_axis.bounds[:-1], axis=0)
        areas = np.outer(np.diff(self.y_axis.bounds), np.diff(self.x_axis.bounds))
        return np.asarray(2 * counts > areas)


def recover(rgba: NDArray[np.uint8], board: NDArray[np.bool_] | None = None) -> Recovery:
    """Find the native grid and the native pixels.

    Parameters
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
        File pixels.
    board : ndarray of shape (H, W), bool, optional
        Pixels of a checkerboard, whose squares may lie off the grid and prove nothing.
    """
    drawn = rgba
    if board is not None:
        drawn = rgba.copy()
        drawn[board] = np.median(rgba[board], axis=0)
    found = exact_axes(drawn)
    if found is not None:
        return _exact_recovery(rgba, *found)
    colors = _color_count(rgba)
    blended = _blended_recovery(drawn) if colors > PALETTE_COLORS else None
    return blended or _as_it_is(rgba, is_lossy=colors > LOSSY_COLORS)


def _color_count(rgba: NDArray[np.uint8]) -> int:
    words = np.where(rgba[:, :, 3] == 0, np.uint32(0), np.ascontiguousarray(rgba).view(np.uint32)[:, :, 0])
    return len(np.unique(words))


def _exact_recovery(rgba: NDArray[np.uint8], x_axis: Axis, y_axis: Axis, evidence: float) -> Recovery:
    scale = (x_axis.scale + y_axis.scale) / 2
    grid = Grid(
        scale,
        (x_axis.offset, y_axis.offset),
        1 - math.exp(-evidence),
        f"Every change of colour lies on a grid of {scale:.4g} file pixels.",
    )
    return Recovery(rgba[np.ix_(y_axis.middles, x_axis.middles)], grid, x_axis, y_axis)


def _blended_recovery(rgba: NDArray[np.uint8]) -> Recovery | None:
    from pixel2make.sprite.grid_blend import blend_axes
    from pixel2make.sprite.grid_unblend import calm_colors, unblend

    blend = blend_axes(rgba)
    if blend is None:
        return None
    native, noise = unblend(rgba, blend)
    how = "averages" if blend.kernel in ("nearest", "area") else f"blends ({blend.kernel})"
    grid = Grid(
        blend.scale,
        (blend.x_axis.offset, blend.y_axis.offset),
        1 - blend.left_over,
        f"The file's pixels are {how} of native ones of {blend.scale:.4g} file pixels: this grid leaves "
        f"{blend.left_over:.1%} of what a shifted one leaves unexplained.",
    )
    return Recovery(calm_colors(native, noise), grid, blend.x_axis, blend.y_axis, is_lossy=True)


def _as_it_is(rgba: NDArray[np.uint8], *, is_lossy: bool) -> Recovery:
    height, width = rgba.shape[:2]
    why = "Colours change from one file pixel to the next; no coarser grid explains them."
    return Recovery(np.array(rgba), Grid(why=why), Axis(width, 1.0, 0.0), Axis(height, 1.0, 0.0), is_lossy)
