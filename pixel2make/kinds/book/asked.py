"""What a binder may choose about structure, paper and sewing."""

from __future__ import annotations

from collections.abc import Iterator

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Number
from pixel2make.kinds.book.block import PAPER_STOCK
from pixel2make.kinds.book.rules import TURN_INS
from pixel2make.kinds.book.sewing import KETTLES, SEWINGS, SUPPORTS, SWELLS, THREADS
from pixel2make.kinds.book.structure import LACINGS, STRUCTURES

__all__ = ["block_keys", "board_key", "sewing_keys", "structure_keys", "turn_in_key"]


def structure_keys() -> Iterator[ChoiceKey]:
    """How boards and block hold together."""
    yield ChoiceKey(
        "structure",
        "How do the boards hang on the pages? A case is made off the book and hung by mull and endpapers; "
        "laced boards are tied on by the cords of the sewing, stronger and with a close joint.",
        STRUCTURES,
        "case",
        shows=("leaf_width", "board_width", "joint_gap", "covering_width"),
    )
    yield ChoiceKey(
        "lacing",
        "How far from the back edge are laced boards holed? Handbooks differ.",
        LACINGS,
        "half_inch",
    )


def board_key() -> ChoiceKey:
    """The board."""
    return ChoiceKey(
        "board",
        "How thick are the boards? By height is common practice; give the thickness of yours.",
        ("by_height",),
        "by_height",
        takes_length=True,
        shows=("board_thickness", "block_thickness", "joint_gap", "spine_piece_width"),
    )


def turn_in_key() -> ChoiceKey:
    """The covering's edge."""
    return ChoiceKey(
        "turn_in",
        "How much of the covering is turned in? Handbooks differ.",
        TURN_INS,
        "usual",
        takes_length=True,
        shows=("turn_in", "covering_width", "covering_height"),
    )


def block_keys() -> Iterator[ChoiceKey]:
    """Paper and what is cut from it."""
    low, high = trade.value("paper.grammage_range").numbers
    usual = trade.value("paper.grammage").number
    yield ChoiceKey(
        "grammage",
        f"How heavy is the text paper? Usual is {usual:g} g/m2; thinner paper makes more pages.",
        ("usual",),
        "usual",
        shows=("leaf_thickness", "sewn_spine_thickness"),
        number=Number(low, high, "g/m2", 100),
    )
    low, high = trade.value("paper.bulk_limits").numbers
    usual = trade.value("paper.bulk").number
    yield ChoiceKey(
        "bulk",
        f"How bulky is the text paper? Usual is {usual:g} cm3/g: measure 20 leaves in um, divide by 20 and "
        "by the grammage.",
        ("usual",),
        "usual",
        shows=("leaf_thickness", "sewn_spine_thickness"),
        number=Number(low, high, "cm3/g", 1.5),
    )
    yield ChoiceKey(
        "paper_stock",
        "From which sheets are the leaves cut? Their grain runs along the long side unless it says short "
        "grain; other sheets are given as stock, such as stock paper=450x640mm.",
        PAPER_STOCK,
        str(trade.value("paper.stock").value),
    )
    yield ChoiceKey(
        "edges",
        "Are the edges of the pages left as they are folded, or trimmed after sewing?",
        ("left", "trimmed"),
        "left",
        shows=("sheet_width", "sheet_height"),
    )


def sewing_keys() -> Iterator[ChoiceKey]:
    """Stations and thread."""
    yield ChoiceKey(
        "kettle",
        "How far from head and tail are the kettle stitches? Handbooks differ.",
        KETTLES,
        "half_inch",
        takes_length=True,
        shows=("kettle_head", "kettle_tail", "support_spacing", "thread_length"),
    )
    yield ChoiceKey(
        "supports",
        "Over how many tapes or cords are the sections sewn? Handbooks differ.",
        SUPPORTS,
        "by_height",
        shows=("support_spacing",),
    )
    yield ChoiceKey(
        "sewing",
        "Is each section sewn along its whole fold, or two with one length of thread to keep the swell down?",
        SEWINGS,
        "by_swell",
        shows=("sewn_spine_thickness", "thread_length"),
    )
    yield ChoiceKey(
        "swell",
        "How much thicker is the sewn spine than the fore-edge? No formula is agreed on: sew the block, "
        "measure both and give the difference.",
        SWELLS,
        "usual",
        takes_length=True,
        shows=("swell", "sewn_spine_thickness", "spine_piece_width", "covering_width"),
    )
    yield ChoiceKey(
        "thread",
        "Which linen thread? Thicker for few thick sections, thinner for many thin ones.",
        THREADS,
        "by_section",
        shows=("thread_diameter", "sewn_spine_thickness", "spine_piece_width"),
    )
