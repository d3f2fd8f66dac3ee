"""The grid that an artist drew a face on, however the face is turned.

A face that is drawn square to the picture has the picture's own pixels for its grid. A face at a slant
is drawn in steps: on a cover with the width vector (14, 7) a line along the width moves fourteen columns
and takes half a row with each. Laying the square pixels on such a face would turn every straight line
into a saw. So the face gets cells of its own, one for each step along either edge, and a cell belongs to
what covers most of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face

__all__ = ["Cells", "cells_on_face"]

_SQUARE = 1e-6
"""Pixels by which an edge may stray from the picture's axes and still be square to it."""

_COVERED = 0.45
"""Share of a cell that makes it part of a shape. Half would do but for ties: on a cover that lies 2 : 1
every other cell along a straight edge is covered to exactly one half, and belongs to it."""

_TIE_PX = 0.1
"""Samples are moved down by this much, so that two cells that share a pixel evenly do not both get it."""

_SAMPLES = 8
"""Samples along each side of a cell; 1/64 of a cell is far finer than the two limits above."""

_SPARSE = 0.75
"""Cells a pixel of area below which a face is drawn along the diagonal, two pixels to a step: its cells
are halved along both edges so that no pixel is lost."""


@dataclass(frozen=True, eq=False)
class Cells:
    """A shape on a face's grid.

    Attributes
    ----------
    mask : ndarray of shape (rows, columns), bool
        ``mask[j, i]`` spans from ``origin + step * (i, j)`` one step on.
    origin, step : (float, float)
        In face coordinates, along ``a`` and ``b``; a step is below zero where the face is drawn mirrored.
    pixel : (float, float)
        Share of each edge that one native pixel makes.
    """

    mask: NDArray[np.bool_]
    origin: tuple[float, float]
    step: tuple[float, float]
    pixel: tuple[float, float]

    def extent(self, axis: int) -> tuple[float, float]:
        """Low and high end along an edge, 0 for ``a`` and 1 for ``b``, in face coordinates."""
        filled = np.flatnonzero(self.mask.any(axis=axis))
        ends = [self.origin[axis] + self.step[axis] * k for k in (filled[0], filled[-1] + 1)]
        return float(min(ends)), float(max(ends))


def cells_on_face(face: Face, mask: NDArray[np.bool_]) -> Cells:
    """Lay the pixels of a mask on a face's own grid.

    Parameters
    ----------
    face : Face
        Drawn with an inside.
    mask : ndarray of shape (M, N), bool
        At least one pixel.

    Returns
    -------
    Cells
        The pixels themselves for a face that is square to the picture, its edges along the picture's x
        and y; cells within the face for any other. Never empty.
    """
    (ax, ay), (bx, by) = ((float(x), float(y)) for x, y in (face.a_px, face.b_px))
    if abs(ay) < _SQUARE and abs(bx) < _SQUARE:
        x, y = (float(v) for v in face.origin_px)
        return Cells(mask, (-x / ax, -y / by), (1 / ax, 1 / by), (abs(1 / ax), abs(1 / by)))
    columns, rows = (max(1, round(max(abs(u), abs(v)))) for u, v in ((ax, ay), (bx, by)))
    pixel = (1 / columns, 1 / rows)
    if columns * rows < _SPARSE * abs(ax * by - ay * bx):
        columns, rows = 2 * columns, 2 * rows
    covered = _coverage(face, mask, columns, rows)
    cells = covered >= _COVERED
    if not cells.any():
        cells[np.unravel_index(int(np.argmax(covered)), cells.shape)] = True
    return Cells(cells, (0.0, 0.0), (1 / columns, 1 / rows), pixel)


def _coverage(face: Face, mask: NDArray[np.bool_], columns: int, rows: int) -> NDArray[np.float64]:
    """Share of every cell that lies on pixels of the mask, shape (rows, columns)."""
    ys, xs = np.nonzero(mask)
    corners = np.array([[x, y] for x in (xs.min(), xs.max() + 1) for y in (ys.min(), ys.max() + 1)], float)
    on_face = face.to_face(corners) * (columns, rows)
    i0, j0 = np.clip(np.floor(on_face.min(axis=0)).astype(int), 0, (columns - 1, rows - 1))
    i1, j1 = np.clip(np.ceil(on_face.max(axis=0)).astype(int), (i0 + 1, j0 + 1), (columns, rows))
    inner = (np.arange(_SAMPLES) + 0.5) / _SAMPLES
    a = (np.arange(i0, i1)[:, None] + inner).ravel() / columns
    found = np.zeros((rows, columns))
    for j in range(j0, j1):
        b = (j + inner) / rows
        points = face.to_picture(
            np.stack(np.broadcast_arrays(a[None, :], b[:, None]), axis=-1).reshape(-1, 2)
        )
        x, y = np.floor(points[:, 0]).astype(int), np.floor(points[:, 1] + _TIE_PX).astype(int)
        inside = (x >= 0) & (y >= 0) & (x < mask.shape[1]) & (y < mask.shape[0])
        hit = np.zeros(len(points))
        hit[inside] = mask[y[inside], x[inside]]
        found[j, i0:i1] = hit.reshape(_SAMPLES, i1 - i0, _SAMPLES).mean(axis=(0, 2))
    return found
