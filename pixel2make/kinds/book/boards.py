"""The flat pieces of a cased book: boards, spine piece, covering, leaves, endpapers."""

from __future__ import annotations

import math
from collections.abc import Iterator

from shapely.affinity import scale as mirrored
from shapely.affinity import translate
from shapely.geometry import Point, Polygon, box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Part
from pixel2make.kinds.book.block import Block

__all__ = ["board_outline", "book_parts", "covering_outline"]

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


def book_parts(lengths: Lengths, block: Block, *, covering: str) -> tuple[Part, ...]:
    """Boards, spine piece, covering, leaves, endpapers and core, each in its own coordinates."""
    board_mm, radius = lengths["board_thickness"], _radius(lengths)
    front = board_outline(lengths["board_width"], lengths["board_height"], radius)
    back = _turned(front)
    leaf_radius = max(0.0, radius - lengths["square"])
    leaf = board_outline(lengths["leaf_width"], lengths["leaf_height"], leaf_radius)
    sheet = _turned(leaf).union(translate(leaf, lengths["leaf_width"], 0))
    lining_mm = lengths["spine_piece_thickness"]
    lining = "greyboard" if math.isclose(lining_mm, board_mm) else "card"
    endpapers = int(trade.value("paper.endpaper_folios").number)
    return (
        Part("front_board", "greyboard", 1, board_mm, front, "height"),
        Part("back_board", "greyboard", 1, board_mm, back, "height"),
        Part(
            "spine_piece",
            lining,
            1,
            lining_mm,
            box(0, 0, lengths["spine_piece_width"], lengths["spine_piece_height"]),
            "height",
        ),
        Part(
            "covering",
            covering,
            1,
            lengths["covering_thickness"],
            covering_outline(lengths, covering=covering),
            "height" if covering == "cloth" else None,
            marks=tuple(_marks(lengths, front, back)),
        ),
        Part("text_block_leaf", "paper", block.leaves, block.leaf_mm, leaf, "height", is_cut=False),
        Part("endpaper", "paper", endpapers, block.leaf_mm, sheet, "height"),
        *([Part("core", "foam", 1, block.core_mm, leaf)] if block.core_mm else []),
    )


def covering_outline(lengths: Lengths, *, covering: str) -> Polygon:
    """The flat covering: all boards and a turn-in around, mitred at the corners.

    A square corner is cut at 45 degrees, a multiple of the board's thickness away from the board's
    corner and measured square to the cut. Over a rounded corner the covering is pleated, so it keeps an
    even turn-in along the arc.
    """
    width, height, turn_in = lengths["covering_width"], lengths["covering_height"], lengths["turn_in"]
    radius = _radius(lengths)
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


def _marks(lengths: Lengths, front: Polygon, back: Polygon) -> Iterator[tuple[str, Polygon]]:
    """Where back board, spine piece and front board lie on the wrong side of the covering.

    Seen from the wrong side, so front and back change sides against the closed book seen from the front: the
    front board lies at the left with its spine edge to the right.
    """
    edge, gap = lengths["turn_in"], lengths["joint_gap"]
    at = edge
    yield "front_board", translate(_turned(front), at, edge)
    at += lengths["board_width"] + gap
    yield (
        "spine_piece",
        box(at, edge, at + lengths["spine_piece_width"], edge + lengths["spine_piece_height"]),
    )
    at += lengths["spine_piece_width"] + gap
    yield "back_board", translate(_turned(back), at, edge)
    yield "turn_in", box(edge, edge, lengths["covering_width"] - edge, lengths["covering_height"] - edge)


def _turned(piece: Polygon) -> Polygon:
    """The mirror image of a piece, in place: its left edge becomes its right."""
    return mirrored(piece, xfact=-1, yfact=1, origin="center")


def _radius(lengths: Lengths) -> float:
    return next((d.value_mm for d in lengths.dimensions if d.name == "corner_radius"), 0.0)
