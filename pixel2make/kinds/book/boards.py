"""The flat pieces of a book: boards, spine piece, covering, leaves, endpapers."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely.affinity import scale as mirrored
from shapely.affinity import translate
from shapely.geometry import Point, Polygon, box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Part
from pixel2make.kinds.book.bands import band_marks
from pixel2make.kinds.book.bevel import bevel_mm, flat_outline
from pixel2make.kinds.book.block import Block, leaf_thickness_mm
from pixel2make.kinds.book.structure import laced_outline

__all__ = [
    "board_outline",
    "book_parts",
    "corner_radius_mm",
    "covering_marks",
    "covering_outline",
    "has_spine_piece",
    "leaf_outline",
    "spine_mm",
    "turned",
]

_ARC_SEGMENTS = 32
"""Straight pieces of a quarter circle: at a radius of 50 mm the chord strays 0.015 mm from the arc."""


def board_outline(width: float, height: float, radius: float = 0.0) -> Polygon:
    """A board seen from outside, spine edge at x = 0; the two fore-edge corners may be rounded."""
    if radius <= 0:
        return box(0, 0, width, height)
    core = box(0, 0, width - radius, height).union(box(0, radius, width, height - radius))
    for y in (radius, height - radius):
        core = core.union(Point(width - radius, y).buffer(radius, quad_segs=_ARC_SEGMENTS))
    return core


def book_parts(
    lengths: Lengths, block: Block, *, covering: Sequence[Part], holes: tuple[Polygon, ...] = ()
) -> tuple[Part, ...]:
    """Boards, spine piece, covering, leaves, endpapers and core, each in its own coordinates.

    Parameters
    ----------
    lengths : Lengths
        A case has a spine piece among them, a laced-in book none.
    block : Block
    covering : sequence of Part
        Its pieces.
    holes : tuple of Polygon
        Lacing holes of a board, its back edge at x = 0.
    """
    board_mm, radius = lengths["board_thickness"], corner_radius_mm(lengths)
    front = board_outline(lengths["board_width"], lengths["board_height"], radius)
    holed = laced_outline(front, holes)
    flat, back_flat = _bevel_marks(front, bevel_mm(lengths))
    leaf = leaf_outline(lengths)
    sheet = turned(leaf).union(translate(leaf, lengths["leaf_width"], 0))
    endpapers = int(trade.value("paper.endpaper_folios").number)
    endpaper_mm = leaf_thickness_mm(
        trade.value("paper.endpaper_grammage").number, trade.value("paper.bulk").number
    )
    return (
        Part("front_board", "greyboard", 1, board_mm, holed, "height", marks=flat),
        Part("back_board", "greyboard", 1, board_mm, turned(holed), "height", marks=back_flat),
        *_spine_piece(lengths),
        *covering,
        Part("text_block_leaf", "paper", block.leaves, block.leaf_mm, leaf, "height", is_cut=False),
        Part("endpaper", "endpaper", endpapers, endpaper_mm, sheet, "height"),
        *([Part("core", "foam", 1, block.core_mm, leaf)] if block.core_mm else []),
    )


_Marks = tuple[tuple[str, Polygon], ...]


def _bevel_marks(front: Polygon, width_mm: float) -> tuple[_Marks, _Marks]:
    """To where the bevel reaches on front and back board, seen from outside; none where edges are square."""
    if not width_mm:
        return (), ()
    flat = flat_outline(front, width_mm)
    middle = front.bounds[2] / 2
    mirror = mirrored(flat, xfact=-1, yfact=1, origin=(middle, 0))
    return (("flat", flat),), (("flat", mirror),)


def leaf_outline(lengths: Lengths) -> Polygon:
    """A leaf, its fold at x = 0; its rounded corners have the same centres as those of the board."""
    radius = max(0.0, corner_radius_mm(lengths) - lengths["square"])
    return board_outline(lengths["leaf_width"], lengths["leaf_height"], radius)


def _spine_piece(lengths: Lengths) -> Iterator[Part]:
    if not has_spine_piece(lengths):
        return
    thickness = lengths["spine_piece_thickness"]
    material = "greyboard" if math.isclose(thickness, lengths["board_thickness"]) else "card"
    outline = box(0, 0, lengths["spine_piece_width"], lengths["spine_piece_height"])
    yield Part(
        "spine_piece", material, 1, thickness, outline, "height", marks=band_marks(lengths, spine_mm(lengths))
    )


def has_spine_piece(lengths: Lengths) -> bool:
    """A case has one; the spine of a laced-in book is the block itself."""
    return any(dimension.name == "spine_piece_width" for dimension in lengths.dimensions)


def spine_mm(lengths: Lengths) -> float:
    """Width of the spine on the flat covering."""
    return lengths["spine_piece_width" if has_spine_piece(lengths) else "spine_width"]


def covering_outline(lengths: Lengths, *, covering: str) -> Polygon:
    """The flat covering: all boards and a turn-in around, mitred at the corners.

    A square corner is cut at 45 degrees, a multiple of the board's thickness away from the board's
    corner and measured square to the cut. Over a rounded corner the covering is pleated, so it keeps an
    even turn-in along the arc.
    """
    width, height, turn_in = lengths["covering_width"], lengths["covering_height"], lengths["turn_in"]
    radius = corner_radius_mm(lengths)
    if radius > 0:
        inside = box(turn_in, turn_in, width - turn_in, height - turn_in)
        rounded = inside.buffer(-radius).buffer(radius, quad_segs=_ARC_SEGMENTS)
        return rounded.buffer(turn_in, quad_segs=_ARC_SEGMENTS)
    key = "covering.corner_cut_leather" if covering == "leather" else "covering.corner_cut"
    distance = trade.value(key).number * lengths["board_thickness"]
    leg = max(0.0, 2 * turn_in - distance * math.sqrt(2))
    return Polygon(
        [
            (leg, 0),
            (width - leg, 0),
            (width, leg),
            (width, height - leg),
            (width - leg, height),
            (leg, height),
            (0, height - leg),
            (0, leg),
        ]
    )


def covering_marks(lengths: Lengths) -> tuple[tuple[str, Polygon], ...]:
    """Where back board, spine and front board lie on the wrong side of the covering.

    Seen from the wrong side, so front and back change sides against the closed book seen from the front: the
    front board lies at the left with its spine edge to the right.
    """
    front = board_outline(lengths["board_width"], lengths["board_height"], corner_radius_mm(lengths))
    edge, gap, spine = lengths["turn_in"], lengths["joint_gap"], spine_mm(lengths)
    spine_at = edge + lengths["board_width"] + gap
    back_at = spine_at + spine + gap
    return (
        ("front_board", translate(turned(front), edge, edge)),
        (
            "spine_piece" if has_spine_piece(lengths) else "spine",
            box(spine_at, edge, spine_at + spine, edge + lengths["board_height"]),
        ),
        *((name, translate(mark, spine_at, edge)) for name, mark in band_marks(lengths, spine_mm(lengths))),
        ("back_board", translate(front, back_at, edge)),
        ("turn_in", box(edge, edge, lengths["covering_width"] - edge, lengths["covering_height"] - edge)),
    )


def turned(piece: Polygon) -> Polygon:
    """The mirror image of a piece, in place: its left edge becomes its right."""
    return mirrored(piece, xfact=-1, yfact=1, origin="center")


def corner_radius_mm(lengths: Lengths) -> float:
    """Of the boards' fore-edge corners; 0 where they are square."""
    return next((d.value_mm for d in lengths.dimensions if d.name == "corner_radius"), 0.0)
