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


@dataclass(frozen=True, eq=False)
class Recovery:
    """The picture on its native grid, and how the file lies on it.

    Attributes
    ----------
    rgba : ndarray of shape (M, N, 4), uint8
    grid : Grid
    x_axis, y_axis : Axis
    is_lossy : bool
        The file's pixels are blends, so the native colours are estimates.
    """

    rgba: NDArray[np.uint8]
    grid: Grid
    x_axis: Axis
    y_axis: Axis
    is_lossy: bool = False


def recover(rgba: NDArray[np.uint8]) -> Recovery:
    """Find the native grid and the native pixels.

    Parameters
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
        File pixels.
    """
    height, width = rgba.shape[:2]
    found = exact_axes(rgba)
    if found is not None:
        return _exact_recovery(rgba, *found)
    return Recovery(
        np.array(rgba),
        Grid(why="Colours change from one file pixel to the next; no coarser grid explains them."),
        Axis(width, 1.0, 0.0),
        Axis(height, 1.0, 0.0),
    )


def _exact_recovery(rgba: NDArray[np.uint8], x_axis: Axis, y_axis: Axis, evidence: float) -> Recovery:
    scale = (x_axis.scale + y_axis.scale) / 2
    grid = Grid(
        scale,
        (x_axis.offset, y_axis.offset),
        1 - math.exp(-evidence),
        f"Every change of colour lies on a grid of {scale:.4g} file pixels.",
    )
    return Recovery(rgba[np.ix_(y_axis.middles, x_axis.middles)], grid, x_axis, y_axis)
