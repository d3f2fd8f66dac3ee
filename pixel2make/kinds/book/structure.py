"""The two ways in which boards hang on a block: in a case made off the book, or laced on by its cords."""

from __future__ import annotations

from shapely.geometry import Point, Polygon

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.kinds.book import rules
from pixel2make.kinds.book.rules import Answers, Ruled
from pixel2make.kinds.book.sewing import Sewing

__all__ = [
    "LACINGS",
    "STRUCTURES",
    "cord_length_mm",
    "joint",
    "laced_outline",
    "lacing_hole_mm",
    "lacing_holes",
    "set_back_mm",
    "spine_extra",
    "spine_lining",
    "tape_length_mm",
]

STRUCTURES = ("case", "laced")
LACINGS = ("half_inch", "three_eighths")

_ARC_SEGMENTS = 8
"""Straight pieces of a quarter circle: at a radius of 1.5 mm the chord strays 0.007 mm from the arc."""


def joint(taken: Answers, board_mm: float, covering_mm: float, *, square_mm: float) -> Ruled:
    """Gap between board and spine on the flat covering: a groove in a case, next to nothing if laced."""
    answer = taken["joint_gap"]
    if taken["structure"] == "case" or isinstance(answer, float):
        return rules.joint_gap(answer, board_mm, str(taken["covering"]), covering_mm, square_mm=square_mm)
    value = trade.value("boards.close_joint")
    rule = f"close joint of a laced-in board, {value.number:g} thickness of the covering"
    return Ruled(value.number * covering_mm, "rule", rule, value.cited)


def set_back_mm(structure: str, joint_mm: float, board_mm: float) -> float:
    """How far the board's back edge stands from the back of the leaf.

    In a case the covering dips into the groove by a board's thickness; a laced board stands where it is.
    """
    return joint_mm - board_mm if structure == "case" else joint_mm


def spine_extra(taken: Answers, board_mm: float) -> Ruled:
    """How much wider the spine is outside than the sewn block."""
    if taken["structure"] == "case":
        return rules.spine_extra(str(taken["spine_piece"]), board_mm)
    value = trade.value("boards.shoulder")
    rule = "sewn spine and a backing shoulder on each side, as high as the boards are thick"
    return Ruled(2 * value.number * board_mm, "rule", rule, value.cited)


def spine_lining(taken: Answers, board_mm: float) -> Ruled:
    """What lies between the backs of the sections and the covering."""
    if taken["structure"] == "case":
        return rules.spine_thickness(str(taken["spine_piece"]), board_mm)
    value = trade.value("covering.lining_thickness")
    return Ruled(value.number, "rule", "mull and paper under a tight back", value.cited)


def lacing_hole_mm(cord_mm: float) -> float:
    """Diameter of a lacing hole for the frayed and pasted slip of a cord.

    >>> lacing_hole_mm(4.0)
    4.0
    """
    return cord_mm * trade.value("sewing.lacing_hole").number


def lacing_holes(taken: Answers, sewing: Sewing, lengths: Lengths) -> tuple[Polygon, ...]:
    """Holes in a board, its back edge at x = 0 and its head at y = 0: two in a row for each cord.

    The board overhangs the leaf by a square, so each pair lies that much farther from the board's head
    than its cord from the leaf's.
    """
    if taken["structure"] != "laced":
        return ()
    first, further = trade.value(f"sewing.lacing.{taken['lacing']}").numbers
    holes = []
    for support in sewing.supports:
        radius = lacing_hole_mm(support.width_mm) / 2
        for x in (first, first + further):
            holes.append(Point(x, support.mm + lengths["square"]).buffer(radius, quad_segs=_ARC_SEGMENTS))
    return tuple(holes)


def laced_outline(board: Polygon, holes: tuple[Polygon, ...]) -> Polygon:
    """The board with its lacing holes."""
    return Polygon(board.exterior, [hole.exterior for hole in holes])


def cord_length_mm(sewn_spine_mm: float) -> float:
    """One finished cord: over the spine and a slip on each side."""
    return sewn_spine_mm + 2 * trade.value("sewing.slip_length").number


def tape_length_mm(sewn_spine_mm: float) -> float:
    """One finished tape: over the spine and onto both endpapers."""
    return sewn_spine_mm + 2 * trade.value("sewing.tape_reach").number
