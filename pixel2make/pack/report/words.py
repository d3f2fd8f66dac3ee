"""How the report words numbers, names and parts of a pack."""

from __future__ import annotations

from pixel2make.quantity import Dimension, length_digits

__all__ = ["ORIGINS", "change", "digits", "identifier", "interval", "length", "mass", "percent", "plain"]

_WORDS = {"px_mm": "one native pixel"}
"""Keys that read badly as words."""

ORIGINS = {
    "maker": ("M", "your own word"),
    "sprite": ("S", "measured in the sprite"),
    "stock": ("K", "a stock size"),
    "rule": ("R", "a rule of the trade"),
}
"""Where a dimension comes from: its key letter and its words."""


def digits(mm: float, units: str) -> str:
    """A length without its unit, with a true minus sign."""
    return length_digits(mm, units).replace("-", "\u2212")


def length(mm: float, units: str) -> str:
    """A length with its unit, a no-break space between.

    >>> length(-2.5, "mm")
    '−2.5\\xa0mm'
    """
    return f"{digits(mm, units)}\u00a0{units}"


def change(mm: float, units: str) -> str:
    """A change of a length with its sign."""
    return ("+" if mm >= 0 else "") + length(mm, units)


def interval(dimension: Dimension, units: str) -> str:
    """Low to high; empty where the value is chosen."""
    low, high = digits(dimension.low_mm, units), digits(dimension.high_mm, units)
    return "" if low == high else f"{low} to {high}"


def mass(grams: float) -> str:
    """Grams, from a kilogram on kilograms.

    >>> mass(412.4), mass(5342.0)
    ('412\\xa0g', '5.34\\xa0kg')
    """
    return f"{grams / 1000:.2f}\u00a0kg" if grams >= 1000 else f"{grams:.0f}\u00a0g"


def percent(share: float) -> str:
    """A share as a percentage; 100 only where nothing is missing.

    >>> percent(0.876), percent(0.9994)
    ('88\\xa0%', '99.9\\xa0%')
    """
    text = f"{100 * share:.0f}"
    if text == "100" and share < 1:
        text = f"{int(1000 * share) / 10:g}"
    return f"{text}\u00a0%"


def plain(name: str) -> str:
    """A key as words.

    >>> plain("clasp_1_width")
    'clasp 1 width'
    """
    return _WORDS.get(name, name.replace("_", " "))


def identifier(text: str) -> str:
    """A word for an ``id``.

    >>> identifier("r38.cover")
    'r38-cover'
    """
    return "-".join("".join(c if c.isalnum() else " " for c in text.lower()).split())
