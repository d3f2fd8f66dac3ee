"""A checkerboard that was saved into the picture where it should have been clear.

Viewers show clear pixels as squares of two colours in turn, and some pictures were saved with them. The
squares need not lie on the sprite's grid, so they are looked for on the file's pixels. A pixel is
background where it has the colour that the board has at its place and it is joined to the border, or
to a hole that shows both colours.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis

__all__ = ["find_checkerboard"]

Mask = NDArray[np.bool_]
Ints = NDArray[np.int64]

OPAQUE = 250
MIN_LINES, MANY_LINES = 2, 3
"""Lines between squares on each axis."""
MIN_BORDER_SHARE, FEW_LINES_BORDER_SHARE = 0.5, 0.9
"""Of the border pixels that fit the board; nearly all, where two lines could be a drawn frame."""
MIN_SHARE_EACH = 0.15
"""Of the border pixels that each of the two colours takes."""
MIN_AREA_SHARE = 0.05
MIN_CONTRAST = 6
"""Levels between the two colours."""
EXACT_TOLERANCE, LOSSY_TOLERANCE = 1, 24
"""How far a pixel may stray from them: in a clean file, and where compression took it."""
CLEAN_SHARE = 0.98
"""In a clean file the narrow tolerance takes nearly all that the wide one takes."""
LINE_SHARE = 0.5
"""At a line between squares nearly all free rows turn from one shade to the other; elsewhere few do."""


def find_checkerboard(rgba: NDArray[np.uint8]) -> Mask | None:
    """Where the checkerboard shows.

    Parameters
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
        File pixels.

    Returns
    -------
    ndarray of shape (H, W), bool, or None
        None where there is transparency already or no such board.
    """
    if min(rgba.shape[:2]) <= MIN_LINES or (rgba[:, :, 3] < OPAQUE).any():
        return None
    rgb = rgba[:, :, :3].astype(np.int16)
    pair = _two_colors(rgb)
    if pair is None:
        return None
    shade = _shades(rgb, *pair, EXACT_TOLERANCE)
    loose = _shades(rgb, *pair, min(LOSSY_TOLERANCE, int(abs(pair[0] - pair[1]).max()) // 2))
    if (_border(shade) >= 0).mean() < CLEAN_SHARE * (_border(loose) >= 0).mean():
        shade = loose
    joined = _joined_to_border(shade)
    columns, rows = _lattice(joined), _lattice(joined.T)
    if columns is None or rows is None or abs(columns.scale / rows.scale - 1) > 0.1:
        return None
    return _board(shade, columns, rows)


def _joined_to_border(shade: Ints) -> Ints:
    """`shade`, -1 where no path of either shade leads to the border."""
    from scipy import ndimage

    labels, _ = ndimage.label(shade >= 0)
    seeds = np.unique(_border(labels))
    return np.where(np.isin(labels, seeds[seeds > 0]), shade, -1)


def _border(values: NDArray[Any]) -> NDArray[Any]:
    return np.concatenate([values[0], values[-1], values[1:-1, 0], values[1:-1, -1]])


def _two_colors(rgb: NDArray[np.int16]) -> tuple[NDArray[np.int16], NDArray[np.int16]] | None:
    """The two commonest colours of the border that differ clearly."""
    border = _border(rgb)
    colors, counts = np.unique(border >> 3, axis=0, return_counts=True)
    order = np.argsort(-counts, kind="stable")
    found: list[NDArray[np.int16]] = []
    for index in order:
        color = np.median(border[(border >> 3 == colors[index]).all(axis=1)], axis=0).astype(np.int16)
        if counts[index] >= MIN_SHARE_EACH / 4 * len(border) and all(
            abs(color - other).max() >= MIN_CONTRAST for other in found
        ):
            found.append(color)
        if len(found) == 2:
            break
    if len(found) < 2:
        return None
    shade = _shades(border[None], found[0], found[1], int(abs(found[0] - found[1]).max()) // 2)
    if min((shade == 0).mean(), (shade == 1).mean()) < MIN_SHARE_EACH:
        return None
    return found[0], found[1]


def _shades(
    rgb: NDArray[np.int16], first: NDArray[np.int16], second: NDArray[np.int16], tolerance: int
) -> Ints:
    """0 and 1 for pixels near the two colours, -1 for all others."""
    to_first, to_second = abs(rgb - first).max(axis=-1), abs(rgb - second).max(axis=-1)
    near = np.minimum(to_first, to_second) <= tolerance
    return np.where(near, (to_second < to_first).astype(np.int64), -1)


def _lattice(shade: Ints) -> Axis | None:
    """Equally spaced lines along x at which one shade turns into the other."""
    both = (shade[:, 1:] >= 0) & (shade[:, :-1] >= 0)
    turns = both & (shade[:, 1:] != shade[:, :-1])
    lines = np.flatnonzero(turns.sum(axis=0) > LINE_SHARE * np.maximum(both.sum(axis=0), 1)) + 1
    if len(lines) < MIN_LINES:
        return None
    side = float(np.median(np.diff(lines)))
    span = float(lines[-1] - lines[0])
    side = span / max(1, round(span / side))
    offset = float(np.median((lines - lines[0] + side / 2) % side)) - side / 2 + float(lines[0])
    astray = abs((lines - offset + side / 2) % side - side / 2)
    return Axis(shade.shape[1], side, offset % side) if astray.max() <= 1 else None


def _board(shade: Ints, columns: Axis, rows: Axis) -> Mask | None:
    from scipy import ndimage

    turn = (rows.cells[:, None] + columns.cells[None, :]) % 2
    fits = max(shade == turn, shade == 1 - turn, key=lambda mask: int(mask.sum()))
    is_sure = min(columns.count, rows.count) > MANY_LINES
    if _border(fits).mean() < (MIN_BORDER_SHARE if is_sure else FEW_LINES_BORDER_SHARE):
        return None
    labels, count = ndimage.label(fits)
    index = np.arange(1, count + 1)
    seeds = set(_border(labels).tolist()) - {0}
    # A hole that shows both shades over more than a square is the board seen through the object.
    area = ndimage.sum_labels(fits, labels, index)
    share = ndimage.sum_labels(shade == 1, labels, index) / area
    holes = index[(area > 1.5 * columns.scale * rows.scale) & (share > 0.2) & (share < 0.8)]
    board = np.isin(labels, [*seeds, *holes.tolist()])
    return board if board.mean() >= MIN_AREA_SHARE else None
