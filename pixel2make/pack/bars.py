"""Lines of known length on a print, to be measured before anything is cut."""

from __future__ import annotations

from pixel2make import trade
from pixel2make.quantity import format_length

__all__ = ["check_bar", "check_bar_words"]


def check_bar(units: str = "mm") -> float:
    """Length in mm of the bar that a rule in these units measures without a remainder.

    >>> check_bar("mm"), round(check_bar("in"), 6)
    (100.0, 101.6)
    """
    return trade.value("cutting.check_bar" if units == "mm" else "cutting.check_bar_inches").number


def check_bar_words(units: str = "mm") -> str:
    """What stands beside that bar.

    >>> check_bar_words("mm"), check_bar_words("in")
    ('100 mm', '4 in')
    """
    return format_length(check_bar(units), units)
