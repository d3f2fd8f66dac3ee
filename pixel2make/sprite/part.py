"""Which part of the file is meant: a region in file pixels, or one cell of a sheet."""

from __future__ import annotations

import re

from pixel2make.errors import SpriteError

__all__ = ["Box", "parse_cell", "parse_region", "part_box"]

Box = tuple[int, int, int, int]

_FOUR = re.compile(r"\s*([0-9]{1,9})\s*,\s*([0-9]{1,9})\s*,\s*([0-9]{1,9})\s*,\s*([0-9]{1,9})\s*")


def parse_region(text: str) -> Box:
    """(x, y, width, height) in file pixels from ``x,y,w,h``.

    >>> parse_region("16, 0, 32, 32")
    (16, 0, 32, 32)
    """
    x, y, width, height = _four(text, "--region", "x,y,w,h in file pixels, such as 0,0,32,32")
    if width == 0 or height == 0:
        raise SpriteError(f"--region {text!r} has no area; give x,y,w,h with w and h above zero")
    return x, y, width, height


def parse_cell(text: str) -> Box:
    """(width, height, column, row) from ``W,H,COLUMN,ROW``; column and row count from 0.

    >>> parse_cell("16,16,2,0")
    (16, 16, 2, 0)
    """
    width, height, column, row = _four(text, "--cell", "W,H,COLUMN,ROW counted from 0, such as 16,16,2,0")
    if width == 0 or height == 0:
        raise SpriteError(f"--cell {text!r} has no area; give W,H,COLUMN,ROW with W and H above zero")
    return width, height, column, row


def _four(text: str, option: str, form: str) -> Box:
    match = _FOUR.fullmatch(text)
    if match is None:
        raise SpriteError(f"{option} {text[:40]!r} is not four whole numbers; give {form}")
    first, second, third, fourth = (int(number) for number in match.groups())
    return first, second, third, fourth


def part_box(size: tuple[int, int], region: Box | None, cell: Box | None) -> Box | None:
    """(x, y, w, h) in file pixels of the part that is meant; None for the whole picture.

    Parameters
    ----------
    size : (width, height)
        Of the file.
    region : (x, y, w, h), optional
    cell : (w, h, column, row), optional

    Raises
    ------
    SpriteError
        Both are given, or the part does not lie inside the picture.
    """
    if region is not None and cell is not None:
        raise SpriteError("is given both a region and a cell; keep one of --region and --cell")
    if region is not None:
        return _inside(region, size)
    return None if cell is None else _cell_box(cell, size)


def _inside(region: Box, size: tuple[int, int]) -> Box:
    x, y, width, height = region
    if min(x, y) < 0 or min(width, height) < 1 or x + width > size[0] or y + height > size[1]:
        raise SpriteError(
            f"--region {x},{y},{width},{height} reaches outside the picture; "
            f"it is {size[0]} x {size[1]} file pixels"
        )
    return region


def _cell_box(cell: Box, size: tuple[int, int]) -> Box:
    width, height, column, row = cell
    if min(width, height) < 1:
        raise SpriteError(f"--cell {width},{height},{column},{row} has no area; give W,H,COLUMN,ROW")
    columns, rows = size[0] // width, size[1] // height
    if not (0 <= column < columns and 0 <= row < rows):
        raise SpriteError(
            f"--cell {width},{height},{column},{row} is not in the picture: {size[0]} x {size[1]} pixels "
            f"have {columns} columns and {rows} rows of {width} x {height}, counted from 0"
        )
    return column * width, row * height, width, height
