"""Amounts to buy in the units that a workshop measures and shops by."""

from __future__ import annotations

from pixel2make import trade
from pixel2make.quantity import MM_PER_UNIT, in_units

__all__ = ["amount_in"]


def amount_in(amount: float, unit: str, units: str) -> tuple[float, str]:
    """An amount and its unit as a workshop with these units of length writes them.

    Areas become square feet and lengths feet where lengths are in inches; numbers of pieces, masses and
    volumes stay.

    >>> amount_in(3.048, "m", "in"), amount_in(2, "sheets", "in"), amount_in(1.5, "m2", "mm")
    ((10.0, 'ft'), (2, 'sheets'), (1.5, 'm2'))
    """
    word, _, rest = unit.partition(" ")
    if units == "in" and word == "m":
        return amount * 1000 / float(MM_PER_UNIT["ft"]), f"ft {in_units(rest, units)}".strip()
    if units == "in" and unit == "m2":
        return amount / trade.value("units.square_foot").number, "ft2"
    return amount, in_units(unit, units)
