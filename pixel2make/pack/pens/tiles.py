"""How a page at true size is laid over the sheets of a desk printer.

Tiles overlap by a stated width and are named like the squares of a map: letters to the right,
numbers down. Each tile shows its part of the page in a window; below the window is a foot for the
tile's name and the bar to measure.
"""

from __future__ import annotations

import math
import string
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.errors import PackError

__all__ = ["FOOT_MM", "MARGIN_MM", "OVERLAP_MM", "POINTS_PER_MM", "Tile", "Tiling", "papers_mm", "tile"]

MARGIN_MM = trade.value("print.margin").number
OVERLAP_MM = trade.value("print.overlap").number

POINTS_PER_MM = 72 / 25.4
"""Of the PDF point, ISO 32000."""

FOOT_MM = 13.0
"""Height of the strip below the window: two lines of 2.5 mm lettering and a bar with its ticks."""


def papers_mm() -> dict[str, tuple[float, float]]:
    """Shorter and longer side of every paper that prints may be made for.

    >>> papers_mm()["A4"]
    (210.0, 297.0)
    """
    return {name: (float(a), float(b)) for name, (a, b) in trade.value("print.papers").value.items()}


@dataclass(frozen=True)
class Tile:
    """One sheet of paper.

    Attributes
    ----------
    name : str
        "A1"; letters count to the right, numbers down.
    x_mm, y_mm : float
        Where the window's upper left corner lies on the page.
    """

    name: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Tiling:
    """A page laid over sheets of paper.

    Attributes
    ----------
    paper : str
    paper_mm : (width, height)
        As the paper lies: turned where fewer sheets do then.
    window_mm : (width, height)
        Part of the page that a sheet shows.
    tiles : tuple of Tile
        Row by row.
    columns, rows : int
    joins_x, joins_y : tuple of float
        Where on the page neighbouring tiles are cut and joined: the middle of their overlap.
    """

    paper: str
    paper_mm: tuple[float, float]
    window_mm: tuple[float, float]
    tiles: tuple[Tile, ...]
    columns: int
    rows: int
    joins_x: tuple[float, ...]
    joins_y: tuple[float, ...]


def tile(width_mm: float, height_mm: float, paper: str) -> Tiling:
    """Lay a page over paper in as few sheets as either lay of the paper allows, upright when alike.

    n = ceil((w - o) / (u - o)) sheets a side for a page of w, windows of u and an overlap of o.

    Parameters
    ----------
    width_mm, height_mm : float
        Of the page.
    paper : str
        Key of `papers_mm`.

    Raises
    ------
    PackError
        For an unknown paper.

    Examples
    --------
    >>> found = tile(453.2, 250.0, "A4")
    >>> found.columns, found.rows, [each.name for each in found.tiles]
    (3, 1, ['A1', 'B1', 'C1'])
    """
    papers = papers_mm()
    if paper not in papers:
        raise PackError(f"there is no paper {paper!r}; {', '.join(papers)} would do")
    short, long = papers[paper]
    lays = [_laid(width_mm, height_mm, paper, size) for size in ((short, long), (long, short))]
    return min(lays, key=lambda lay: len(lay.tiles))


def _laid(width_mm: float, height_mm: float, paper: str, size: tuple[float, float]) -> Tiling:
    window = size[0] - 2 * MARGIN_MM, size[1] - 2 * MARGIN_MM - FOOT_MM
    columns, rows = _count(width_mm, window[0]), _count(height_mm, window[1])
    step_x, step_y = window[0] - OVERLAP_MM, window[1] - OVERLAP_MM
    tiles = tuple(
        Tile(f"{_letters(column)}{row + 1}", column * step_x, row * step_y)
        for row in range(rows)
        for column in range(columns)
    )
    return Tiling(
        paper,
        size,
        window,
        tiles,
        columns,
        rows,
        tuple(i * step_x + OVERLAP_MM / 2 for i in range(1, columns)),
        tuple(i * step_y + OVERLAP_MM / 2 for i in range(1, rows)),
    )


def _count(length_mm: float, window_mm: float) -> int:
    if length_mm <= window_mm + 1e-6:
        return 1
    return math.ceil((length_mm - OVERLAP_MM) / (window_mm - OVERLAP_MM) - 1e-9)


def _letters(column: int) -> str:
    """A to Z, then AA.

    >>> _letters(0), _letters(25), _letters(26)
    ('A', 'Z', 'AA')
    """
    name = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        name = string.ascii_uppercase[rest] + name
    return name
