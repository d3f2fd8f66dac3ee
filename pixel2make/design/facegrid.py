"""The grid that an artist drew a face on, however the face is turned.

A face that is drawn square to the picture has the picture's own pixels for its grid. A face at a slant
is drawn in steps: on a cover with the width vector (14, 7) a line along the width moves fourteen columns
and takes half a row with each. Laying the square pixels on such a face would turn every straight line
into a saw. So the steps are taken back: where one edge of the face runs along the picture's columns or
rows, each of them is moved by whole pixels; a face with both edges at a slant gets cells of its own, one
for each step along either edge, and a cell belongs to what covers most of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face

__all__ = ["Cells", "cells_on_face", "labels_on_face"]

_LEAST_STEP_PX = 0.5
"""An edge that strays less than this from the picture's axes was drawn without a step."""

_TIE = 1e-9
"""Half a pixel is rounded up, whatever the last bits of a sum are."""

_COVERED = 0.48
"""Share of a cell that makes it part of a shape. Half would do but for ties: on a cover that lies 2 : 1
every other cell along a straight edge is covered to exactly one half, and belongs to it."""

_TIE_PX = 0.04
"""Samples are moved down by this much, so that two cells that share a pixel evenly do not both get it: one
then has 0.54 of it and the other 0.46."""

_SAMPLES, _STRIDE = 144, 89
"""Neighbouring Fibonacci numbers: that many samples of a cell in a lattice which is even along both edges,
so that a share is known to about a hundredth."""

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
        Where an edge runs along the picture's rows or columns, one cell for each pixel; else cells within
        the face. Never empty.
    """
    (ax, ay), (bx, by) = ((float(x), float(y)) for x, y in (face.a_px, face.b_px))
    if abs(ay) < _LEAST_STEP_PX or abs(bx) < _LEAST_STEP_PX:
        return _unsheared(face, mask)
    if abs(ax) < _LEAST_STEP_PX or abs(by) < _LEAST_STEP_PX:
        # The face is drawn lying: its a runs down the picture. Its two edges change places and back.
        lying = Face(face.name, face.origin_px, face.b_px, face.a_px, face.is_visible, face.mask)
        found = _unsheared(lying, mask)
        return Cells(found.mask.T, found.origin[::-1], found.step[::-1], found.pixel[::-1])
    return _resampled(face, mask)


def labels_on_face(face: Face, masks: Sequence[NDArray[np.bool_]]) -> tuple[NDArray[np.int32], Cells]:
    """Lay several shapes on one grid, so that neighbours share the line between them.

    Parameters
    ----------
    face : Face
    masks : sequence of ndarray of shape (M, N), bool
        At least one pixel each.

    Returns
    -------
    labels : ndarray of shape (rows, columns), int32
        1 for cells of the first mask and so on, 0 for none. A cell that two would have goes to the one
        that covers more of it, then to the earlier.
    cells : Cells
        The grid, with all shapes together.
    """
    each = [cells_on_face(face, mask) for mask in masks]
    labels = np.zeros(each[0].mask.shape, np.int32)
    if _is_slanted(face):
        # As on its own a shape keeps cells that hold most of it even where it covers little of them.
        rows, columns = each[0].mask.shape
        covered = np.stack([_coverage(face, mask, columns, rows) for mask in masks])
        covered = np.where([cells.mask for cells in each], covered, -1.0)
        best = np.argmax(covered, axis=0)
        labels[covered.max(axis=0) >= 0] = (best + 1)[covered.max(axis=0) >= 0]
    else:
        for number, cells in reversed(list(enumerate(each, 1))):
            labels[cells.mask] = number
    grid = each[0]
    return labels, Cells(labels > 0, grid.origin, grid.step, grid.pixel)


def _is_slanted(face: Face) -> bool:
    """Do both edges run at a slant to the picture's rows and columns?"""
    return all(min(abs(float(v)) for v in edge) >= _LEAST_STEP_PX for edge in (face.a_px, face.b_px))


def _unsheared(face: Face, mask: NDArray[np.bool_]) -> Cells:
    """Cells for a face whose a runs along rows or whose b runs along columns, one for each pixel."""
    (ax, ay), (bx, by) = ((float(x), float(y)) for x, y in (face.a_px, face.b_px))
    x, y = (float(v) for v in face.origin_px)
    if abs(bx) < _LEAST_STEP_PX:
        moved, start = _moved_up(mask, ay / ax, x)
        first = (-x, start - y)
    else:
        turned, start = _moved_up(mask.T, bx / by, y)
        moved, first = turned.T, (start - x, -y)
    return Cells(moved, (first[0] / ax, first[1] / by), (1 / ax, 1 / by), (abs(1 / ax), abs(1 / by)))


def _moved_up(mask: NDArray[np.bool_], slope: float, origin: float) -> tuple[NDArray[np.bool_], int]:
    """Each column moved up by how far the slope has risen at its middle, and where the first row begins."""
    rows, columns = mask.shape
    shift = np.floor((np.arange(columns) + 0.5 - origin) * slope + 0.5 + _TIE).astype(int)
    if abs(slope) * columns < _LEAST_STEP_PX:
        shift[:] = 0
    highest = int(shift.max())
    moved = np.zeros((rows + highest - int(shift.min()), columns), bool)
    ys, xs = np.nonzero(mask)
    moved[ys - shift[xs] + highest, xs] = True
    return moved, -highest


def _resampled(face: Face, mask: NDArray[np.bool_]) -> Cells:
    """Cells for a face with both edges at a slant, by what covers most of each."""
    (ax, ay), (bx, by) = face.a_px, face.b_px
    columns, rows = (max(1, round(max(abs(u), abs(v)))) for u, v in (face.a_px, face.b_px))
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
    index = np.arange(_SAMPLES)
    along_a, along_b = (index + 0.5) / _SAMPLES, (index * _STRIDE % _SAMPLES + 0.5) / _SAMPLES
    a = np.arange(i0, i1)[:, None] + along_a
    found = np.zeros((rows, columns))
    for j in range(j0, j1):
        b = np.broadcast_to(j + along_b, a.shape)
        points = face.to_picture(np.stack([a.ravel() / columns, b.ravel() / rows], axis=1))
        x, y = np.floor(points[:, 0]).astype(int), np.floor(points[:, 1] + _TIE_PX).astype(int)
        inside = (x >= 0) & (y >= 0) & (x < mask.shape[1]) & (y < mask.shape[0])
        hit = np.zeros(len(points))
        hit[inside] = mask[y[inside], x[inside]]
        found[j, i0:i1] = hit.reshape(i1 - i0, _SAMPLES).mean(axis=1)
    return found
