"""Lengths as makers write them, and dimensions that know where they come from."""

from __future__ import annotations

from dataclasses import dataclass

from pixel2make.errors import QuantityError

__all__ = ["ORIGINS", "Dimension"]

ORIGINS = ("sprite", "rule", "stock", "maker")


@dataclass(frozen=True)
class Dimension:
    """A length on the real object with its interval and its origin.

    Attributes
    ----------
    name : str
        Lower-case words joined by underscores, such as "cover_width".
    value_mm, low_mm, high_mm : float
        ``low_mm <= value_mm <= high_mm``; equal where the value is chosen, not measured.
    origin : {"sprite", "rule", "stock", "maker"}
        Measured in the sprite, a rule of the trade, a stock size, or the maker's own word.
    rule : str
        How the value was made, such as "board height less two squares".
    source : str
        Where the rule or the value stands, with its label, such as "common practice".
    """

    name: str
    value_mm: float
    low_mm: float
    high_mm: float
    origin: str
    rule: str = ""
    source: str = ""

    def __post_init__(self) -> None:
        if self.origin not in ORIGINS:
            raise QuantityError(f"{self.name}: origin is one of {', '.join(ORIGINS)}, got {self.origin!r}")
        if not self.low_mm <= self.value_mm <= self.high_mm:
            raise QuantityError(
                f"{self.name}: {self.value_mm} mm lies outside {self.low_mm} to {self.high_mm} mm"
            )
