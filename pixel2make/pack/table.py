"""Dimensions as a table of plain text, for the terminal and for README.txt."""

from __future__ import annotations

from collections.abc import Sequence

from pixel2make.design.model import Design
from pixel2make.design.moved import Move
from pixel2make.quantity import Dimension, in_units, length_digits

__all__ = ["dimension_table", "moved_table", "text_table"]


def dimension_table(design: Design) -> str:
    """One line a dimension: name, value, what the pixels or the rule allow, origin, rule and source."""
    units = design.units
    head = ("dimension", units, "low", "high", "from", "rule")
    rows = [_row(dimension, units) for dimension in design.dimensions]
    return text_table([head, *rows], right=(1, 2, 3))


def moved_table(moved: Sequence[Move], units: str) -> str:
    """One line a figure that moved: name, unit, before, after and the change between them.

    >>> print(moved_table([Move("square", "mm", 3.0, 4.5)], "mm"))
    moved   unit  before  after  change
    square  mm       3.0    4.5    +1.5
    """
    rows = [("moved", "unit", "before", "after", "change")]
    for move in moved:
        unit = units if move.unit == "mm" else move.unit
        before, after, change = (_figure(v, move.unit, units) for v in (move.before, move.after, move.change))
        sign = "+" if move.change is not None and move.change > 0 else ""
        rows.append((move.name, unit, before, after, sign + change))
    return text_table(rows, right=(2, 3, 4))


def _figure(value: float | None, unit: str, units: str) -> str:
    if value is None:
        return ""
    if unit != "mm":
        return f"{value:.1f}" if unit == "g" else f"{value:.0f}"
    if units != "mm":
        return length_digits(value, units)
    return f"{value:.2f}" if abs(value) < 1 else f"{value:.1f}"


def _row(dimension: Dimension, units: str) -> tuple[str, ...]:
    rule = in_units("; ".join(part for part in (dimension.rule, dimension.source) if part), units)
    value, low, high = (_words(v, units) for v in (dimension.value_mm, dimension.low_mm, dimension.high_mm))
    is_exact = low == high
    return (dimension.name, value, "" if is_exact else low, "" if is_exact else high, dimension.origin, rule)


def _words(mm: float, units: str) -> str:
    """A tenth of a millimetre, and a hundredth below one, where sheet and leaf thicknesses lie."""
    if units != "mm":
        return length_digits(mm, units)
    return f"{mm:.2f}" if 0 < mm < 1 else f"{mm:.1f}"


def text_table(rows: Sequence[Sequence[str]], *, right: Sequence[int] = ()) -> str:
    """Columns padded to their widest cell, two spaces between; `right` lists right-aligned columns.

    >>> print(text_table([("name", "mm"), ("board", "3.0")], right=(1,)))
    name    mm
    board  3.0
    """
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    lines = []
    for row in rows:
        cells = [
            cell.rjust(width) if i in right else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ]
        lines.append("  ".join(cells).rstrip())
    return "\n".join(lines)
