"""Small tables on a drawing: dimensions with interval and origin, areas with colour and treatment."""

from __future__ import annotations

from collections.abc import Sequence

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.pens import DrawingBuilder, text_width_mm
from pixel2make.quantity import Dimension, length_digits

__all__ = ["HEIGHT_MM", "ROW_MM", "Table", "dimension_rows", "millimetres"]

ROW_MM = 4.4
"""Line pitch of 2.5 mm lettering with a rule between rows; ISO 3098 asks for 1.5 h = 3.75 at least."""
PAD_MM = 1.2
HEIGHT_MM: float = trade.value("drawing.lettering").value["note"]
BASELINE_MM = 3.2
"""Of a row's lettering below its upper rule."""


def millimetres(value: float) -> str:
    """A length as it stands on a drawing: a tenth from 10 mm on, a hundredth below.

    >>> millimetres(300.0), millimetres(27.24), millimetres(0.15)
    ('300', '27.2', '0.15')
    """
    return length_digits(value)


def dimension_rows(design: Design) -> list[tuple[str, ...]]:
    """Name, value, interval and origin of each dimension of the finished object, the maker's first on top.

    Those of the bench, such as a length of thread, stand in the report and in spec.json. The maker's own
    word and what was read from the sprite come before what follows by rule; within each the design's order
    is kept. A chosen value has no interval.
    """
    shown = [dimension for dimension in design.dimensions if dimension.is_seen]
    ranked = sorted(shown, key=lambda d: d.origin not in ("maker", "sprite"))
    return [_row(dimension, design.units) for dimension in ranked]


def _row(dimension: Dimension, units: str) -> tuple[str, ...]:
    low, high = length_digits(dimension.low_mm, units), length_digits(dimension.high_mm, units)
    interval = "" if low == high else f"{low} to {high}"
    value = length_digits(dimension.value_mm, units)
    return (dimension.name.replace("_", " "), value, interval, dimension.origin)


class Table:
    """A table of lettering with rules between the rows.

    Parameters
    ----------
    head : sequence of str
    rows : sequence of sequence of str
    right : sequence of int
        Columns that are set flush right.
    most : int, optional
        Rows that are drawn; a last line says how many more there are.
    """

    def __init__(
        self,
        head: Sequence[str],
        rows: Sequence[Sequence[str]],
        right: Sequence[int] = (),
        most: int | None = None,
    ) -> None:
        shown = rows if most is None or len(rows) <= most else rows[: max(most - 1, 0)]
        self.head, self.rows, self.right = tuple(head), [tuple(row) for row in shown], tuple(right)
        self.more = len(rows) - len(shown)
        lines = (self.head, *self.rows)
        self.widths = [
            max(text_width_mm(line[i], HEIGHT_MM) for line in lines) + 2 * PAD_MM
            for i in range(len(self.head))
        ]

    @property
    def width_mm(self) -> float:
        """Of all columns."""
        return sum(self.widths)

    @property
    def height_mm(self) -> float:
        """With head and last line; 0 for a table without rows."""
        lines = 1 + len(self.rows) + (self.more > 0)
        return ROW_MM * lines if self.rows else 0.0

    def draw(self, page: DrawingBuilder, x: float, y: float) -> None:
        """Draw with the upper left corner at (x, y); nothing where there are no rows."""
        if not self.rows:
            return
        for i, row in enumerate((self.head, *self.rows)):
            top, left = y + i * ROW_MM, x
            if i:
                page.line("visible" if i == 1 else "print", (x, top), (x + self.width_mm, top))
            for column, (cell, width) in enumerate(zip(row, self.widths, strict=True)):
                is_right = column in self.right
                at = left + width - PAD_MM if is_right else left + PAD_MM
                page.text(cell, (at, top + BASELINE_MM), HEIGHT_MM, "end" if is_right else "start")
                left += width
        bottom = y + (len(self.rows) + 1) * ROW_MM
        page.line("detail", (x, bottom), (x + self.width_mm, bottom))
        if self.more:
            page.text(f"and {self.more} more in spec.json", (x + PAD_MM, bottom + BASELINE_MM), HEIGHT_MM)
