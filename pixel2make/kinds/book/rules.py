"""What the trade says about one size of book: board, covering, square, joint, spine, turn-in.

Each function gives a value with its rule and source, ready to become a dimension.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.errors import DesignError
from pixel2make.quantity import rounded_down

__all__ = [
    "COVERINGS",
    "JOINT_RULES",
    "SPINES",
    "SQUARES",
    "TURN_INS",
    "Ruled",
    "board_thickness",
    "covering_thickness",
    "joint_gap",
    "paste_mm",
    "spine_extra",
    "spine_thickness",
    "square",
    "turn_in",
]

COVERINGS = ("leather", "cloth")
JOINT_RULES = ("usual", "rule_a", "rule_b", "rule_c", "board_as_leaf")
SPINES = ("stiff", "narrow", "soft")
SQUARES = ("by_height", "neat", "bold")
TURN_INS = ("usual", "narrow", "wide")

Answers = Mapping[str, "str | float"]


@dataclass(frozen=True)
class Ruled:
    """A length in mm, where it comes from, by which rule and source."""

    mm: float
    origin: str
    rule: str
    source: str


def _chosen(mm: float) -> Ruled:
    return Ruled(mm, "maker", "chosen by the maker", "")


def board_thickness(taken: str | float, height_mm: float, thickness_mm: float) -> Ruled:
    """The maker's board, the one for a height, or the thickest that leaves a thin book the most for pages."""
    if isinstance(taken, float):
        low, high = trade.value("boards.board_range").numbers
        if not low <= taken <= high:
            raise DesignError(f"choice board: boards are {low:g} to {high:g} mm thick, got {taken:g} mm")
        return _chosen(taken)
    usual = trade.step("boards.thickness", height_mm)
    stock = trade.value("boards.stock_thickness").numbers
    share = trade.value("boards.share_of_thickness")
    room = share.number * thickness_mm / 2
    fitting = [board for board in stock if board <= min(room, usual.number)]
    if usual.number <= room:
        return Ruled(usual.number, "stock", "greyboard for this height", usual.cited)
    rule = f"thickest stock board of which two take at most {share.number:.0%} of the closed thickness"
    return Ruled(max(fitting, default=min(stock)), "stock", rule, share.cited)


def covering_thickness(covering: str, height_mm: float) -> Ruled:
    """Leather grows with the book, cloth does not."""
    if covering == "cloth":
        value = trade.value("covering.cloth_thickness")
        return Ruled(value.number, "stock", "book cloth", value.cited)
    value = trade.step("covering.leather_thickness", height_mm)
    return Ruled(value.number, "stock", "leather for this height", value.cited)


def square(taken: str | float, height_mm: float, drawn_mm: float | None) -> Ruled:
    """How far the boards overhang the leaves at head, tail and fore-edge."""
    if isinstance(taken, float):
        return _chosen(taken)
    if taken == "drawn" and drawn_mm is not None:
        return Ruled(drawn_mm, "sprite", "overhang as drawn", "sprite")
    if taken in ("neat", "bold"):
        value = trade.value(f"boards.square.{taken}")
        return Ruled(value.number, "rule", f"{taken} square", value.cited)
    value, most = trade.step("boards.square", height_mm), trade.value("boards.square_share")
    if value.number > most.number * height_mm:
        rule = f"{most.number:.0%} of the height of a small board"
        return Ruled(most.number * height_mm, "rule", rule, most.cited)
    return Ruled(value.number, "rule", "square for this height of board", value.cited)


def joint_gap(
    taken: str | float, board_mm: float, covering: str, covering_mm: float, *, square_mm: float
) -> Ruled:
    """Gap between board and spine piece on the flat covering; shops teach different rules."""
    if isinstance(taken, float):
        return _chosen(taken)
    if taken in ("rule_a", "rule_b"):
        value = trade.value(f"boards.joint_gap.{taken}")
        return Ruled(value.number * board_mm, "rule", f"{value.number:g} board thicknesses", value.cited)
    if taken == "rule_c":
        value = trade.value("boards.joint_gap.rule_c")
        return Ruled(value.number, "rule", "a quarter inch, French groove", value.cited)
    if taken == "board_as_leaf":
        value = trade.value("boards.joint_gap.board_as_leaf")
        rule = "board as wide as the leaf, so a square and a board thickness"
        return Ruled(value.number * square_mm + board_mm, "rule", rule, value.cited)
    offset, boards = (
        trade.value("boards.joint_gap.default_offset"),
        trade.value("boards.joint_gap.default_boards"),
    )
    leather_mm = 2 * covering_mm if covering == "leather" else 0.0
    rule = f"{offset.number:g} mm and {boards.number:g} board thicknesses"
    if leather_mm:
        rule += ", and twice the leather"
    return Ruled(offset.number + boards.number * board_mm + leather_mm, "rule", rule, boards.cited)


def spine_extra(taken: str, board_mm: float) -> Ruled:
    """How much wider the spine piece is than the sewn spine."""
    value = trade.value(f"boards.spine_piece.{taken}")
    rule = {
        "stiff": "sewn spine and two board thicknesses",
        "narrow": "sewn spine and one board thickness",
        "soft": "as wide as the sewn spine",
    }[taken]
    return Ruled(value.number * board_mm, "rule", rule, value.cited)


def spine_thickness(taken: str, board_mm: float) -> Ruled:
    """A soft spine is lined with card, the others with board."""
    if taken == "soft":
        value = trade.value("boards.soft_spine_thickness")
        return Ruled(value.number, "stock", "card", value.cited)
    return Ruled(board_mm, "stock", "the same board as the covers", "common practice")


def turn_in(taken: str | float, board_width_mm: float) -> Ruled:
    """How much of the covering is turned over the edges; less on small boards."""
    if isinstance(taken, float):
        most = board_width_mm / 2
        if taken > most:
            raise DesignError(
                f"choice turn_in: {taken:g} mm would meet on a board {board_width_mm:.1f} mm wide; "
                f"choose at most {rounded_down(most)} mm"
            )
        return _chosen(taken)
    share = trade.value("covering.turn_in_share")
    value = trade.value("covering.turn_in" if taken == "usual" else f"covering.turn_in_{taken}")
    if value.number <= share.number * board_width_mm:
        return Ruled(value.number, "rule", f"{taken} turn-in", value.cited)
    return Ruled(share.number * board_width_mm, "rule", f"{share.number:.0%} of a small board", share.cited)


def paste_mm() -> float:
    """Pasted endpapers and adhesive in the closed thickness."""
    return trade.value("boards.paste_layers").number
