"""What a maker may choose about corner pieces and bosses of metal."""

from __future__ import annotations

from collections.abc import Iterator

from pixel2make.design.kind import ChoiceKey
from pixel2make.reading.model import Reading

__all__ = ["fitting_keys"]


def fitting_keys(reading: Reading) -> Iterator[ChoiceKey]:
    """The questions, in the order of the plan; asked where such a piece is drawn."""
    drawn = {feature.feature for feature in reading.features}
    has_corner, has_boss = "corner_piece" in drawn, "emblem" in drawn
    yield ChoiceKey(
        "corner_fold",
        "How do corner pieces of metal hold the board: folded over its edges, round the board with a lip "
        "inside the square, or flat?",
        ("over_edge", "round_board", "flat"),
        "over_edge",
        is_asked=has_corner,
    )
    yield ChoiceKey(
        "corner_thickness",
        "How thick is the sheet for corner pieces and bosses? By rule takes thicker sheet for long plates.",
        ("by_rule",),
        "by_rule",
        takes_length=True,
        is_asked=has_corner or has_boss,
    )
    yield ChoiceKey(
        "furniture_on",
        "Do corner pieces of metal sit on both boards, or on the drawn one alone?",
        ("both_boards", "drawn_board"),
        "both_boards",
        is_asked=has_corner,
    )
    yield ChoiceKey(
        "boss_form",
        "Is a boss a dome on a pin, or plates in steps? Proposed takes a dome for small round ones.",
        ("proposed", "domed", "stepped"),
        "proposed",
        is_asked=has_corner or has_boss,
    )
