"""Small tables on a drawing: dimensions with interval and origin, areas with colour and treatment."""

from __future__ import annotations

from collections.abc import Sequence

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.pens import DrawingBuilder, text_width_mm
from pixel2make.quantity import Dimension

__all__ = ["Table", "dimension_rows", "millimetres"]

ROW_MM = 4.4
"""Line pitch of 2.5 mm lettering with a rule between rows; ISO 3098 asks for 1.5 h = 3.75 at least."""
PAD_MM = 1.2
HEIGHT_MM: float = trade.value("drawing.lettering").value["note"]
HEAD = ("dimension", "mm", "low to high", "from")


def millimetres(value: float) -> str:
    """A length as it stands on a drawing: a tenth from 10 mm on, a hundredth below.

    >>> millimetres(300.0), millimetres(27.24), millimetres(0.15)
    ('300', '27.2', '0.15')
    """
    text = f"{value:.1f}" if abs(value) >= 10 else f"{value:.2f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def dimension_rows(design: Design) -> list[tuple[str, ...]]:
    """Name, value, interval and origin of each dimension; a chosen value has no interval."""
    return [_row(dimension) for dimension in design.dimensions]


def _row(dimension: Dimension) -> tuple[str, ...]:
    is_chosen = dimension.low_mm == dimension.high_mm
    interval = "" if is_chosen else f"{millimetres(dimension.low_mm)} to {millimetres(dimension.high_mm)}"
    return (dimension.name.replace("_", " "), millimetres(dimension.value_mm), interval, dimension.origin)


class Table:
    """A table in one or more columns of blocks that stand beside each other.

    Parameters
    ----------
    head : sequence of str
    rows : sequence of sequence of str
    right : sequence of int
        Columns that are set flush right.
    """

    def __init__(self, head: Sequence[str], rows: Sequence[Sequence[str]], right: Sequence[int] = ()) -> None:
        self.head, self.rows, self.right = tuple(head), tuple(tuple(row) for row in rows), tuple(right)
        lines = (self.head, *self.rows)
        self.widths = [
            max(text_width_mm(line[i], HEIGHT_MM) for line in lines) + 2 * PAD_MM
            for i in range(len(self.head))
        ]

    @property
    def width_mm(self) -> float:
        """Of one block."""
        return sum(self.widths)

    def height_mm(self, blocks: int = 1) -> float:
        """With its rows shared out over that many blocks."""
        return ROW_MM * (1 + -(-len(self.rows) // blocks)) if self.rows else 0.0

    def draw(self, page: DrawingBuilder, x: float, y: float, *, blocks: int = 1, gap: float = 4.0) -> None:
        """Draw with the upper left corner at (x, y)."""
        count = -(-len(self.rows) // blocks) if self.rows else 0
        for block in range(blocks):
            rows = self.rows[block * count : (block + 1) * count]
            if rows:
                self._draw_block(page, x + block * (self.width_mm + gap), y, rows)

    def _draw_block(self, page: DrawingBuilder, x: float, y: float, rows: Sequence[Sequence[str]]) -> None:
        page.line("visible", (x, y + ROW_MM), (x + self.width_mm, y + ROW_MM))
        for i, row in enumerate((self.head, *rows)):
            top, left = y + i * ROW_MM, x
            if i > 1:
                page.line("print", (x, top), (x + self.width_mm, top))
            for column, (cell, width) in enumerate(zip(row, self.widths, strict=True)):
                is_right = column in self.right
                at = left + width - PAD_MM if is_right else left + PAD_MM
                page.text(cell, (at, top + 3.2), HEIGHT_MM, "end" if is_right else "start")
                left += width
        bottom = y + (len(rows) + 1) * ROW_MM
        page.line("detail", (x, bottom), (x + self.width_mm, bottom))
