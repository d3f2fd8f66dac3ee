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
MIN_LINES = 3
"""Lines between squares on each axis; two could be a drawn frame."""
MIN_BORDER_SHARE = 0.5
"""Of the border pixels that fit the board."""
MIN_SHARE_EACH = 0.15
"""Of the border pixels that each of the two colours takes."""
MIN_AREA_SHARE = 0.05
MIN_CONTRAST, MOST_TOLERANCE = 6, 24
"""Levels between the two colours, and how far compression may take a pixel from them."""
LINE_SHARE = 0.3
"""A line between squares shows in nearly all free rows; a line of the drawing only in its own."""


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
    shade = _shades(rgb, *pair)
    columns, rows = _lattice(shade), _lattice(shade.T)
    if columns is None or rows is None or abs(columns.scale / rows.scale - 1) > 0.1:
        return None
    return _board(shade, columns, rows)


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
    shade = _shades(border[None], found[0], found[1])
    if min((shade == 0).mean(), (shade == 1).mean()) < MIN_SHARE_EACH:
        return None
    return found[0], found[1]


def _shades(rgb: NDArray[np.int16], first: NDArray[np.int16], second: NDArray[np.int16]) -> Ints:
    """0 and 1 for pixels near the two colours, -1 for all others."""
    to_first, to_second = abs(rgb - first).max(axis=-1), abs(rgb - second).max(axis=-1)
    tolerance = min(MOST_TOLERANCE, int(abs(first - second).max()) // 2)
    near = np.minimum(to_first, to_second) <= tolerance
    return np.where(near, (to_second < to_first).astype(np.int64), -1)


def _lattice(shade: Ints) -> Axis | None:
    """Equally spaced lines along x at which one shade turns into the other."""
    turns = (shade[:, 1:] + shade[:, :-1] == 1) & (shade[:, 1:] >= 0) & (shade[:, :-1] >= 0)
    counts = turns.sum(axis=0)
    lines = np.flatnonzero(counts >= max(1.0, LINE_SHARE * counts.max())) + 1
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
    if _border(fits).mean() < MIN_BORDER_SHARE:
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
