"""All dimensions of a cased book from its three outside edges."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.scale import Scaled
from pixel2make.design.span import Span
from pixel2make.errors import DesignError
from pixel2make.kinds.book import rules
from pixel2make.kinds.book.block import Block, block_for, spine_swell_mm
from pixel2make.kinds.book.rules import Ruled
from pixel2make.quantity import Dimension

__all__ = ["EDGE_NAMES", "book_lengths"]

EDGE_NAMES = {"height": "cover_height", "width": "cover_width", "thickness": "book_thickness"}

_WEDGE_MM = 0.6
"""Difference between the room for the pages and the pages that nobody sees: half a section."""


def book_lengths(scaled: Scaled) -> Lengths:
    """Dimensions of a cased book with a flat spine.

    The closed book is as high as its boards. Its width is board, joint and spine piece with the
    covering over it; its thickness, taken at the fore-edge, is the block between two covered boards.
    At the spine it is thicker by the swell of the thread.

    Raises
    ------
    DesignError
        Where boards and covering leave no room for a single folio, or a chosen length does not fit.
    """
    taken = scaled.taken
    if scaled.given == "thickness" and isinstance(taken["thickness"], float):
        raise DesignError("the thickness is given twice, as the size and as a choice; leave one of them out")
    height, width, thickness = (Span.of(scaled.edge(edge)) for edge in ("height", "width", "thickness"))
    covering_word, spine_word = str(taken["covering"]), str(taken["spine_piece"])
    board = rules.board_thickness(height.value, thickness.value)
    covering = rules.covering_thickness(covering_word, height.value)
    drawn = scaled.reading.square_px
    drawn_mm = None if drawn is None else drawn.value_px * scaled.px_mm.value
    square = rules.square(taken["square"], height.value, drawn_mm)
    joint = rules.joint_gap(taken["joint_gap"], board.mm, covering_word, covering.mm)
    lining = rules.spine_thickness(spine_word, board.mm)

    block_room = thickness - 2 * (board.mm + covering.mm) - rules.paste_mm()
    _check_room(scaled, block_room.value, board.mm, covering.mm)
    block_thickness = block_room.at_least(0.0)
    block = block_for(block_thickness.value, has_core=taken["pages"] == "foam_core")
    usual, low, high = spine_swell_mm(block.sections)
    sewn_spine = block_thickness + Span(usual, low, high)
    extra = rules.spine_extra(spine_word, board.mm)

    leaf_height = height - 2 * square.mm
    leaf_width = width - (square.mm + lining.mm + covering.mm)
    set_back = joint.mm - board.mm
    board_width = leaf_width + (square.mm - set_back)
    _check_above_zero("leaf height", leaf_height, "square", square.mm)
    _check_above_zero("leaf width", leaf_width, "square", square.mm)
    _check_above_zero("board width", board_width, "joint_gap", joint.mm)
    leaf_height, leaf_width, board_width = (
        span.at_least(0.0) for span in (leaf_height, leaf_width, board_width)
    )
    turn_in = rules.turn_in(board_width.value)
    spine_piece = sewn_spine + extra.mm
    flat_width = board_width * 2 + spine_piece + 2 * (joint.mm + turn_in.mm)

    practice = "common practice"
    dimensions = [
        _edge(scaled.height, EDGE_NAMES["height"]),
        _edge(scaled.width, EDGE_NAMES["width"]),
        _edge(scaled.thickness, EDGE_NAMES["thickness"]),
        scaled.px_mm.dimension(
            "px_mm", "sprite", "one native pixel along the drawn height", scaled.proportions.source
        ),
        height.dimension("board_height", "rule", "as high as the closed book", practice),
        board_width.dimension(
            "board_width", "rule", "leaf width and square, less the joint's set-back of one board", practice
        ),
        _ruled("board_thickness", board),
        _ruled("square", square),
        leaf_height.dimension("leaf_height", "rule", "board height less two squares", practice),
        leaf_width.dimension(
            "leaf_width", "rule", "cover width less square, spine piece and covering", practice
        ),
        Span.exact(block.leaf_mm).dimension(
            "leaf_thickness",
            "rule",
            f"{block.grammage:g} g/m2 at a bulk of {trade.value('paper.bulk').number:g} cm3/g",
            "ISO 534:2011, ISO 536; grammage and bulk common practice",
        ),
        block_thickness.dimension(
            "block_thickness", "rule", "book thickness less two covered boards and paste", practice
        ),
        Span.exact(block.thickness_mm).dimension(
            "pages_thickness",
            "rule",
            f"{block.leaves} leaves pressed{' and a foam core' if block.core_mm else ''}, "
            "the whole sections that come nearest",
            practice,
        ),
        *_core(block),
        sewn_spine.dimension(
            "sewn_spine_thickness", "rule", "block and swell of the thread; measure the sewn block", practice
        ),
        spine_piece.dimension("spine_piece_width", "rule", extra.rule, extra.source),
        height.dimension("spine_piece_height", "rule", "as high as the boards", practice),
        _ruled("spine_piece_thickness", lining),
        _ruled("joint_gap", joint),
        _ruled("turn_in", turn_in),
        _ruled("covering_thickness", covering),
        flat_width.dimension(
            "covering_width", "rule", "two boards, two joints, spine piece and two turn-ins", practice
        ),
        (height + 2 * turn_in.mm).dimension(
            "covering_height", "rule", "board height and two turn-ins", practice
        ),
        *_corner_radius(scaled, min(board_width.value, height.value)),
    ]
    return Lengths(tuple(dimensions), tuple(_warnings(scaled, block_thickness.value, block.thickness_mm)))


def _edge(dimension: Dimension, name: str) -> Dimension:
    return Span.of(dimension).dimension(name, dimension.origin, dimension.rule, dimension.source)


def _ruled(name: str, ruled: Ruled) -> Dimension:
    return Span.exact(ruled.mm).dimension(name, ruled.origin, ruled.rule, ruled.source)


def _corner_radius(scaled: Scaled, shorter_mm: float) -> Iterator[Dimension]:
    """The radius of the boards' fore-edge corners, where they are not square."""
    taken, drawn = scaled.taken["corner_radius"], scaled.reading.corner_rounding
    most = shorter_mm / 2
    if isinstance(taken, float):
        if taken > most:
            raise DesignError(
                f"choice corner_radius: {taken:g} mm does not fit on the board; choose at most {most:.1f} mm"
            )
        yield Span.exact(taken).dimension("corner_radius", "maker", "chosen by the maker")
    elif taken == "drawn" and drawn is not None:
        span = Span(drawn.value_px, drawn.low_px, drawn.high_px) * scaled.px_mm
        yield span.at_most(most).dimension("corner_radius", "sprite", drawn.why.rstrip("."), "sprite")


def _core(block: Block) -> Iterator[Dimension]:
    if block.core_mm:
        share = trade.value("paper.core_share")
        yield Span.exact(block.core_mm).dimension(
            "core_thickness", "rule", f"foam for {share.number:.0%} of the sections", share.cited
        )


def _check_room(scaled: Scaled, room_mm: float, board_mm: float, covering_mm: float) -> None:
    """Refuse a book without pages, and name a size that has some."""
    block = block_for(0.0)
    if room_mm >= block.thickness_mm or math.isclose(room_mm, block.thickness_mm):
        return
    thickness = scaled.thickness.value_mm
    needed = 2 * (board_mm + covering_mm) + rules.paste_mm() + block.thickness_mm
    message = (
        f"the closed book would be {thickness:.1f} mm thick, but two boards of {board_mm:g} mm, covering and "
        f"one folio need {needed:.1f} mm"
    )
    if scaled.thickness.origin != "sprite" and scaled.given != "thickness":
        raise DesignError(f"{message}; choose a thickness from {math.ceil(needed)} mm on under [choices]")
    raise DesignError(f"{message}; choose a {scaled.given} from {_enough(scaled, needed):g} mm on")


def _enough(scaled: Scaled, needed_mm: float) -> float:
    """Smallest size of the given edge, in whole mm, whose thickness holds a book.

    Larger books take thicker leather, so the size that just held the thin leather may need to be
    raised; the steps are few.
    """
    covering = str(scaled.taken["covering"])
    board = min(trade.value("boards.stock_thickness").numbers)
    page = block_for(0.0).thickness_mm
    factor = needed_mm / scaled.thickness.value_mm
    while True:
        height = scaled.height.value_mm * factor
        need = 2 * (board + rules.covering_thickness(covering, height).mm) + rules.paste_mm() + page
        if need <= scaled.thickness.value_mm * factor * (1 + 1e-9):
            return math.ceil(scaled.edge(scaled.given).value_mm * factor)
        factor = need / scaled.thickness.value_mm


def _check_above_zero(what: str, span: Span, choice: str, chosen_mm: float) -> None:
    if span.value <= 0:
        raise DesignError(
            f"a {choice.replace('_', ' ')} of {chosen_mm:.1f} mm leaves a {what} of {span.value:.1f} mm; "
            f"choose a smaller {choice} or a larger size"
        )


def _warnings(scaled: Scaled, room_mm: float, pages_mm: float) -> Iterator[str]:
    if scaled.thickness.origin == "rule":
        yield (
            f"No thickness is drawn: {scaled.thickness.value_mm:.0f} mm is a guess, {scaled.thickness.rule}. "
            "Choose the thickness in the plan."
        )
    if abs(room_mm - pages_mm) > _WEDGE_MM + 1e-9:
        yield (
            f"The pages come to {pages_mm:.1f} mm and have room for {room_mm:.1f} mm; "
            "make up the difference with endpapers or guards."
        )
