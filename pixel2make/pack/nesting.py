"""Lay parts on stock sheets: deterministic, grain kept, holes of large parts used.

Each part, grown by half the gap, is rasterised so that every touched cell counts; parts whose cells do
not meet keep the gap between them, whatever their outlines are. A part goes to the first free
place, top row first, then from the left, in the turn that reaches least far down.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon

__all__ = ["Placed", "Sheet", "nest"]

CELL_MM = 2.0
"""Raster step: costs at most this much of the sheet along each part."""

MOST_CELLS = 360
"""Cells along a sheet's longer side; larger sheets get larger cells."""

_HAIR_MM = 1e-7
"""Far below what any tool holds; far above rounding."""

TURNS_WITH_GRAIN = (0, 180)
TURNS_FREE = (0, 90, 180, 270)

Outline: TypeAlias = Polygon | MultiPolygon
Point: TypeAlias = tuple[float, float]


@dataclass(frozen=True)
class Placed:
    """A part on a sheet.

    Attributes
    ----------
    index : int
        Which of the outlines that were given.
    turn_deg : int
        Counter-clockwise as seen, about the part's own origin, before it was moved.
    x, y : float
        Upper left corner of the turned part's bounding box, millimetres from the sheet's.
    outline : Polygon or MultiPolygon
        On the sheet.
    """

    index: int
    turn_deg: int
    x: float
    y: float
    outline: Outline


@dataclass(frozen=True)
class Sheet:
    """One sheet with its parts.

    Attributes
    ----------
    width_mm, height_mm : float
    parts : tuple of Placed
    is_oversize : bool
        True where a part is larger than the stock and the sheet was made as large as needed.
    """

    width_mm: float
    height_mm: float
    parts: tuple[Placed, ...]
    is_oversize: bool = False

    @property
    def utilisation(self) -> float:
        """Share of the sheet's area that the parts cover, 0..1."""
        return sum(part.outline.area for part in self.parts) / (self.width_mm * self.height_mm)


class _Raster:
    """Free cells of one sheet."""

    def __init__(self, room: tuple[float, float], cell: tuple[float, float]) -> None:
        self.cell = cell
        columns, rows = (round(length / step) for length, step in zip(room, cell, strict=True))
        self.taken = np.zeros((rows, columns), bool)
        self.parts: list[Placed] = []
        self.full_for: set[bytes] = set()
        """Stamps that found no place; as a sheet only fills up, they never will."""

    def first_place(self, stamp: NDArray[np.bool_]) -> tuple[int, int] | None:
        """Row and column of the first place where no cell of the stamp is taken."""
        rows = self.taken.shape[0] - stamp.shape[0] + 1
        columns = self.taken.shape[1] - stamp.shape[1] + 1
        if rows < 1 or columns < 1:
            return None
        if not self.taken.any():
            return 0, 0
        # Correlation by the Fourier transform: how many taken cells each place of the stamp meets.
        meets = np.fft.irfft2(
            np.fft.rfft2(self.taken) * np.fft.rfft2(stamp, self.taken.shape).conj(), self.taken.shape
        )
        free = np.argwhere(meets[:rows, :columns] < 0.5)
        return (int(free[0][0]), int(free[0][1])) if len(free) else None

    def take(self, row: int, column: int, stamp: NDArray[np.bool_]) -> None:
        self.taken[row : row + stamp.shape[0], column : column + stamp.shape[1]] |= stamp


def nest(
    outlines: Sequence[Outline],
    *,
    sheet_mm: tuple[float, float],
    gap_mm: float,
    margin_mm: float,
    has_grain: Sequence[bool],
) -> tuple[Sheet, ...]:
    """Lay outlines on as few sheets as a greedy search finds.

    Parameters
    ----------
    outlines : sequence of Polygon or MultiPolygon
        Each with its bounding box at (0, 0).
    sheet_mm : (width, height)
        Stock; its grain runs along the height.
    gap_mm : float
        Least distance of two parts.
    margin_mm : float
        Least distance of a part from the sheet's edge.
    has_grain : sequence of bool
        True where the part may only be turned by half a turn.

    Returns
    -------
    tuple of Sheet
        A part that does not fit the stock gets a sheet of its own, as large as needed.
    """
    width, height = sheet_mm
    coarse = max(CELL_MM, max(width, height) / MOST_CELLS)
    inner = (width - 2 * margin_mm + gap_mm, height - 2 * margin_mm + gap_mm)
    # Whole cells fill the room, so that a part as large as the room fits it.
    cell = (inner[0] / max(1, math.ceil(inner[0] / coarse)), inner[1] / max(1, math.ceil(inner[1] / coarse)))
    rasters: list[_Raster] = []
    oversize: list[Sheet] = []
    order = sorted(range(len(outlines)), key=lambda i: (-outlines[i].area, i))
    known: dict[tuple[bytes, bool], list[_Turned]] = {}
    for index in order:
        alike = (outlines[index].wkb, bool(has_grain[index]))
        if alike not in known:
            known[alike] = list(_fitting(outlines[index], has_grain[index], inner, gap_mm, cell))
        fitting = known[alike]
        if not fitting:
            oversize.append(_own_sheet(index, outlines[index], margin_mm))
            continue
        if not any(_place(raster, index, fitting, margin_mm) for raster in rasters):
            rasters.append(_Raster(inner, cell))
            _place(rasters[-1], index, fitting, margin_mm)
    sheets = [Sheet(width, height, tuple(raster.parts)) for raster in rasters]
    return (*sheets, *oversize)


@dataclass(frozen=True, eq=False)
class _Turned:
    """A part in one turn, with the cells that it takes."""

    turn: int
    outline: Outline
    stamp: NDArray[np.bool_]
    key: bytes


def _fitting(outline: Outline, has_grain: bool, inner: Point, gap: float, cell: Point) -> Iterator[_Turned]:
    """The turns of a part that fit a sheet; of turns that take the same cells the first."""
    seen: set[bytes] = set()
    for turn in TURNS_WITH_GRAIN if has_grain else TURNS_FREE:
        shape = _turned(outline, turn)
        if not _fits(shape, inner, gap, cell):
            continue
        stamp = _stamp(shape, gap, cell)
        key = bytes(str(stamp.shape), "ascii") + np.packbits(stamp).tobytes()
        if key not in seen:
            seen.add(key)
            yield _Turned(turn, shape, stamp, key)


def _turned(outline: Outline, turn: int) -> Outline:
    shape = affinity.rotate(outline, -turn, origin=(0, 0))
    x, y, _, _ = shape.bounds
    return affinity.translate(shape, -x, -y)


def _fits(shape: Outline, inner: Point, gap: float, cell: Point) -> bool:
    return all(
        n <= round(length / step)
        for n, length, step in zip(_cells(shape, gap, cell), inner, cell, strict=True)
    )


def _cells(shape: Outline, gap: float, cell: Point) -> tuple[int, int]:
    """Columns and rows that a shape takes with its gap."""
    _, _, w, h = shape.bounds
    columns, rows = (
        max(1, math.ceil((length + gap - _HAIR_MM) / step)) for length, step in zip((w, h), cell, strict=True)
    )
    return columns, rows


def _own_sheet(index: int, outline: Outline, margin: float) -> Sheet:
    _, _, w, h = outline.bounds
    moved = affinity.translate(outline, margin, margin)
    placed = Placed(index, 0, margin, margin, moved)
    return Sheet(w + 2 * margin, h + 2 * margin, (placed,), is_oversize=True)


def _place(raster: _Raster, index: int, fitting: Sequence[_Turned], margin: float) -> bool:
    best: tuple[tuple[int, int, int], _Turned, tuple[int, int]] | None = None
    for one in fitting:
        if one.key in raster.full_for:
            continue
        where = raster.first_place(one.stamp)
        if where is None:
            raster.full_for.add(one.key)
            continue
        rank = (where[0] + one.stamp.shape[0], where[1] + one.stamp.shape[1], one.turn)
        if best is None or rank < best[0]:
            best = (rank, one, where)
    if best is None:
        return False
    _, one, (row, column) = best
    raster.take(row, column, one.stamp)
    x, y = column * raster.cell[0] + margin, row * raster.cell[1] + margin
    raster.parts.append(Placed(index, one.turn, x, y, affinity.translate(one.outline, x, y)))
    return True


def _stamp(shape: Outline, gap: float, cell: Point) -> NDArray[np.bool_]:
    """Cells that the shape, grown by half the gap, touches; the first cell begins half a gap before it."""
    # A cell that only shares an edge with the grown part is free, hence a hair less than half the gap.
    grown = affinity.translate(shape.buffer(gap / 2 - _HAIR_MM, join_style="mitre"), gap / 2, gap / 2)
    columns, rows = _cells(shape, gap, cell)
    if shape.area > shape.envelope.area - _HAIR_MM:
        return np.ones((rows, columns), bool)
    y, x = np.mgrid[0:rows, 0:columns]
    boxes = shapely.box(x * cell[0], y * cell[1], (x + 1) * cell[0], (y + 1) * cell[1])
    shapely.prepare(grown)
    return np.asarray(shapely.intersects(grown, boxes), bool)
