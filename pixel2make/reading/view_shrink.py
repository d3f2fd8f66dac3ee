"""Large drawings on a coarser grid: the box of a big sprite needs no more pixels than a small one's.

The search for the drawn box weighs hundreds of boxes pixel by pixel. Beyond some sixty pixels a side more
of them cost time and memory and tell little, since the ends of long edges are known well enough.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import View
from pixel2make.regions.model import RegionMap

__all__ = ["enlarged", "shrink_factor", "shrunk"]

MOST_SIDE_PX = 80
"""Up to here the drawing is searched as it is; a 64 px book with its margin and bookmark fits in."""


def shrink_factor(regions: RegionMap) -> int:
    """How many native pixels a side the search takes as one; 1 for all but large drawings."""
    rows, columns = np.nonzero(regions.sprite.object)
    if len(rows) == 0:
        return 1
    side = max(int(np.ptp(rows)), int(np.ptp(columns))) + 1
    return -(-side // MOST_SIDE_PX)


def shrunk(regions: RegionMap, factor: int) -> RegionMap:
    """The region map with blocks of `factor` x `factor` pixels as one, each of its most frequent label.

    Parameters
    ----------
    regions : RegionMap
    factor : int
        2 or more. A last row or column of blocks may reach beyond the picture; there is background.

    Returns
    -------
    RegionMap
        Regions keep their colours and are numbered anew; those that lose every block are left out.
    """
    labels = _blocks(regions.labels, factor, 0)
    rows, columns, size = labels.shape
    winner = _most_frequent(labels.reshape(rows * columns, size))
    where = np.argmax(labels.reshape(rows * columns, size) == winner[:, None], axis=1)
    rgba = np.stack(
        [
            _blocks(regions.sprite.rgba[..., k], factor, 0).reshape(rows * columns, size)[
                np.arange(rows * columns), where
            ]
            for k in range(4)
        ],
        axis=1,
    )
    kept = [region for region in regions.regions if (winner == region.id).any()]
    numbers = np.zeros(len(regions.regions) + 1, np.int32)
    for number, region in enumerate(kept, 1):
        numbers[region.id] = number
    small = numbers[winner].reshape(rows, columns)
    sprite = replace(
        regions.sprite,
        rgba=rgba.reshape(rows, columns, 4),
        background=small == 0,
        glow=np.zeros((rows, columns), bool),
    )
    return RegionMap(
        sprite,
        small,
        tuple(
            replace(region, id=number, area_px=int((small == number).sum()))
            for number, region in enumerate(kept, 1)
        ),
        regions.light,
    )


def enlarged(view: View, factor: int) -> View:
    """A view that was found on the coarser grid, in native pixels again."""
    (x, y), (ux, uy), (vx, vy) = view.origin_px, view.width_px, view.height_px
    t = view.thickness_px
    return replace(
        view,
        origin_px=(x * factor, y * factor),
        width_px=(ux * factor, uy * factor),
        height_px=(vx * factor, vy * factor),
        thickness_px=None if t is None else (t[0] * factor, t[1] * factor),
        uncertainty_px=view.uncertainty_px * factor,
    )


def _blocks(array: NDArray[np.generic], factor: int, fill: int) -> NDArray[np.generic]:
    """(rows, columns, factor**2) of an array cut into blocks."""
    rows, columns = (-(-n // factor) for n in array.shape)
    wide = np.full((rows * factor, columns * factor), fill, array.dtype)
    wide[: array.shape[0], : array.shape[1]] = array
    return wide.reshape(rows, factor, columns, factor).swapaxes(1, 2).reshape(rows, columns, factor**2)


def _most_frequent(rows: NDArray[np.generic]) -> NDArray[np.int64]:
    """The most frequent value of each row, the smallest of several."""
    ordered = np.sort(rows.astype(np.int64), axis=1)
    count = np.ones(ordered.shape, np.int64)
    for k in range(1, ordered.shape[1]):
        count[:, k] = np.where(ordered[:, k] == ordered[:, k - 1], count[:, k - 1] + 1, 1)
    return ordered[np.arange(len(ordered)), np.argmax(count, axis=1)]
