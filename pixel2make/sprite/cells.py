"""Which cells of a sheet of sprites have something drawn in them."""

from __future__ import annotations

from pathlib import Path

from pixel2make.errors import SpriteError
from pixel2make.sprite.decode import read_frame

__all__ = ["cells_of"]


def cells_of(path: str | Path, cell: tuple[int, int], *, frame: int = 0) -> tuple[tuple[int, int], ...]:
    """(column, row) of every cell that is neither transparent nor of one colour, in raster order.

    Parameters
    ----------
    path : path
    cell : (width, height)
        File pixels; a last column or row that is not whole is left out.
    frame : int

    Raises
    ------
    SpriteError
        The cell is larger than the picture, or nothing is drawn in any.
    """
    rgba = read_frame(Path(path), frame).rgba
    width, height = cell
    rows, columns = rgba.shape[0] // max(height, 1), rgba.shape[1] // max(width, 1)
    if min(width, height) < 1 or rows < 1 or columns < 1:
        raise SpriteError(
            f"has no cell of {width} x {height}; the picture is {rgba.shape[1]} x {rgba.shape[0]} file pixels"
        )
    found = []
    for row in range(rows):
        for column in range(columns):
            part = rgba[row * height : (row + 1) * height, column * width : (column + 1) * width]
            if part[..., 3].any() and (part != part[0, 0]).any():
                found.append((column, row))
    if not found:
        raise SpriteError("has nothing drawn in any cell; check the cell's size")
    return tuple(found)
