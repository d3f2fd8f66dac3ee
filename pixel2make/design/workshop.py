"""What a maker's own workshop answers, whatever kind of object is made: units, the paper of the printer."""

from __future__ import annotations

from collections.abc import Iterator

from pixel2make import trade
from pixel2make.design.bed import bed_keys
from pixel2make.design.cutting import cutting_keys
from pixel2make.design.finishing import finishing_keys
from pixel2make.design.kind import ChoiceKey
from pixel2make.quantity import UNITS

__all__ = ["PRINT_PAPERS", "workshop_keys"]

PRINT_PAPERS: tuple[str, ...] = tuple(trade.value("print.papers").value)
"""Names of the papers that prints are tiled over, the usual one first."""


def workshop_keys() -> Iterator[ChoiceKey]:
    """The questions, in the order of the plan."""
    yield ChoiceKey(
        "units",
        "In which units are lengths shown? Files for other programs stay in mm.",
        UNITS,
        UNITS[0],
    )
    yield ChoiceKey(
        "print_paper",
        "Which paper does your printer take? Drawings larger than it are printed in tiles.",
        PRINT_PAPERS,
        PRINT_PAPERS[0],
    )
    yield ChoiceKey(
        "projection",
        "How do your drawings arrange the views? First angle is usual in Europe, third angle in America.",
        ("first_angle", "third_angle"),
        "first_angle",
    )
    yield ChoiceKey(
        "maker_height",
        "How tall are you? The picture beside the sprite then shows you next to the object.",
        ("unsaid",),
        "unsaid",
        takes_length=True,
    )
    yield ChoiceKey(
        "turntable",
        "Is a turning picture of the finished object wanted? It takes some seconds to draw.",
        ("none", "webp"),
        "none",
    )
    yield from bed_keys()
    yield from cutting_keys()
    yield from finishing_keys()
