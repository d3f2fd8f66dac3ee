"""All dimensions of a book from its three outside edges, whichever way its boards hang on it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.scale import Scaled
from pixel2make.design.span import Span
from pixel2make.errors import DesignError
from pixel2make.kinds.book import rules, structure
from pixel2make.kinds.book.bands import band_dimensions, cord_places
from pixel2make.kinds.book.bevel import bevel_dimensions
from pixel2make.kinds.book.block import Block, block_of, creep_mm
from pixel2make.kinds.book.rules import Answers, Ruled
from pixel2make.kinds.book.seen import seen
from pixel2make.kinds.book.sewing import Sewing, sewing_of, spine_swell_mm, swell
from pixel2make.kinds.book.sewing_lengths import sewing_dimensions, sheet_dimensions
from pixel2make.quantity import Dimension, rounded_down, rounded_up

__all__ = ["EDGE_NAMES", "book_lengths"]

EDGE_NAMES = {"height": "cover_height", "width": "cover_width", "thickness": "book_thickness"}

_WEDGE_MM = 0.6
"""Difference between the room for the pages and the pages that nobody sees: half a section."""

_PRACTICE = "common practice"


@dataclass(frozen=True)
class _Ruled:
    """What the trade says about this book, before anything is added up."""

    board: Ruled
    covering: Ruled
    square: Ruled
    joint: Ruled
    lining: Ruled
    extra: Ruled


def book_lengths(scaled: Scaled) -> Lengths:
    """Dimensions of a book with a flat spine, cased or laced in.

    The closed book is as high as its boards. Its width is board, joint and spine with the covering over
    it; its thickness, taken at the fore-edge, is the block between two covered boards. At the spine it is
    thicker by the swell of the thread.

    Raises
    ------
    DesignError
        Where boards and covering leave no room for a single folio, or a chosen length does not fit.
    """
    taken = scaled.taken
    if scaled.given == "thickness" and isinstance(taken["thickness"], float):
        raise DesignError("the thickness is given twice, as the size and as a choice; leave one of them out")
    height, width, thickness = (Span.of(scaled.edge(edge)) for edge in ("height", "width", "thickness"))
    ruled = _rules(scaled)
    board_mm, square_mm, joint_mm = ruled.board.mm, ruled.square.mm, ruled.joint.mm

    room = thickness - 2 * (board_mm + ruled.covering.mm) - rules.paste_mm()
    _check_room(scaled, room.value, board_mm, ruled.covering.mm)
    room = room.at_least(0.0)
    block = block_of(taken, room.value)
    leaf_height = height - 2 * square_mm
    leaf_width = width - (square_mm + ruled.lining.mm + ruled.covering.mm)
    board_width = leaf_width + (
        square_mm - structure.set_back_mm(str(taken["structure"]), joint_mm, board_mm)
    )
    _check_above_zero("leaf height", leaf_height, "square", square_mm)
    _check_above_zero("leaf width", leaf_width, "square", square_mm)
    _check_above_zero("board width", board_width, "joint_gap", joint_mm)
    leaf_height, leaf_width, board_width = (
        span.at_least(0.0) for span in (leaf_height, leaf_width, board_width)
    )
    cords = cord_places(taken, scaled.reading, height_mm=height.value, square_mm=square_mm)
    sewing = sewing_of(taken, block, leaf_height.value, cords)
    swelling, swell_mm = _swell(taken, sewing)
    sewn_spine = room + swelling
    dimensions = (
        *_outside(scaled),
        height.dimension("board_height", "rule", "as high as the closed book", _PRACTICE),
        board_width.dimension("board_width", "rule", _board_rule(scaled), _PRACTICE),
        _ruled("board_thickness", ruled.board),
        _ruled("square", ruled.square),
        leaf_height.dimension("leaf_height", "rule", "board height less two squares", _PRACTICE),
        leaf_width.dimension(
            "leaf_width", "rule", f"cover width less square, {_spine_word(scaled)} and covering", _PRACTICE
        ),
        *_block(block, room),
        *sheet_dimensions(taken, leaf_width, leaf_height),
        swell_mm,
        sewn_spine.dimension(
            "sewn_spine_thickness", "rule", "block and swell of the thread; measure the sewn block", _PRACTICE
        ),
        *_covering(scaled, ruled, sewn_spine, board_width),
        *sewing_dimensions(sewing, sewn_spine.value),
        *_corner_radius(scaled, min(board_width.value, height.value)),
        *bevel_dimensions(scaled, board_mm=board_mm, shorter_mm=min(board_width.value, height.value)),
        *band_dimensions(
            taken,
            scaled.reading,
            sewing,
            height=height,
            square_mm=square_mm,
            covering_mm=ruled.covering.mm,
        ),
    )
    return Lengths(seen(dimensions), tuple(_warnings(scaled, room.value, block)))


def _swell(taken: Answers, sewing: Sewing) -> tuple[Span, Dimension]:
    """The swell of the sewn spine; all that thread may do is its interval until the maker has measured it."""
    ruled = swell(taken["swell"], sewing.passes, sewing.thread_mm)
    _, least, most = spine_swell_mm(sewing.passes, sewing.thread_mm)
    is_measured = ruled.origin == "maker"
    span = Span.exact(ruled.mm) if is_measured else Span(ruled.mm, least, most)
    return span, span.dimension("swell", ruled.origin, ruled.rule, ruled.source)


def _rules(scaled: Scaled) -> _Ruled:
    taken, height_mm = scaled.taken, scaled.height.value_mm
    board = rules.board_thickness(taken["board"], height_mm, scaled.thickness.value_mm)
    covering = rules.covering_thickness(str(taken["covering"]), height_mm)
    drawn = scaled.reading.square_px
    drawn_mm = None if drawn is None else drawn.value_px * scaled.px_mm.value
    square = rules.square(taken["square"], height_mm, drawn_mm)
    return _Ruled(
        board,
        covering,
        square,
        structure.joint(taken, board.mm, covering.mm, square_mm=square.mm),
        structure.spine_lining(taken, board.mm),
        structure.spine_extra(taken, board.mm),
    )


def _board_rule(scaled: Scaled) -> str:
    if scaled.taken["structure"] == "case":
        return "leaf width and square, less the joint's set-back of one board"
    return "leaf width and square, less the close joint"


def _spine_word(scaled: Scaled) -> str:
    return "spine piece" if scaled.taken["structure"] == "case" else "spine lining"


def _outside(scaled: Scaled) -> Iterator[Dimension]:
    yield _edge(scaled.height, EDGE_NAMES["height"])
    yield _edge(scaled.width, EDGE_NAMES["width"])
    yield _edge(scaled.thickness, EDGE_NAMES["thickness"])
    yield scaled.px_mm.dimension(
        "px_mm", "sprite", "one native pixel along the drawn height", scaled.proportions.source
    )


def _block(block: Block, room: Span) -> Iterator[Dimension]:
    """The leaves, what they come to, and how far that is from the room for them."""
    yield Span.exact(block.leaf_mm).dimension(
        "leaf_thickness",
        "rule",
        f"{block.grammage:g} g/m2 at a bulk of {block.bulk:g} cm3/g",
        "ISO 534:2011, ISO 536; grammage and bulk common practice",
    )
    yield room.dimension(
        "block_thickness", "rule", "book thickness less two covered boards and paste", _PRACTICE
    )
    off = block.thickness_mm - room.value
    said = f"{abs(off):.2f} mm {'more' if off > 0 else 'less'} than the room"
    core = " and a foam core" if block.core_mm else ""
    yield Span.exact(block.thickness_mm).dimension(
        "pages_thickness",
        "rule",
        f"{block.leaves} leaves pressed{core}, the whole sections that come nearest, {said}",
        _PRACTICE,
    )
    yield from _core(block)
    yield Span.exact(creep_mm(block.folios, block.leaf_mm)).dimension(
        "creep", "rule", "the innermost folded sheet stands out at the fore-edge before trimming", _PRACTICE
    )
    factor = trade.value("paper.loose_factor")
    low, high = factor.numbers
    paper = block.leaves * block.leaf_mm
    yield (Span((low + high) / 2, low, high) * paper + block.core_mm).dimension(
        "loose_thickness", "rule", "the leaves before they are pressed", factor.cited
    )


def _covering(scaled: Scaled, ruled: _Ruled, sewn_spine: Span, board_width: Span) -> Iterator[Dimension]:
    """Spine, joint and the flat covering over them."""
    height = Span.of(scaled.height)
    turn_in = rules.turn_in(scaled.taken["turn_in"], board_width.value)
    spine = sewn_spine + ruled.extra.mm
    if scaled.taken["structure"] == "case":
        yield spine.dimension("spine_piece_width", "rule", ruled.extra.rule, ruled.extra.source)
        yield height.dimension("spine_piece_height", "rule", "as high as the boards", _PRACTICE)
        yield _ruled("spine_piece_thickness", ruled.lining)
    else:
        yield spine.dimension("spine_width", "rule", ruled.extra.rule, ruled.extra.source)
        yield _ruled("spine_lining_thickness", ruled.lining)
    yield _ruled("joint_gap", ruled.joint)
    yield _ruled("turn_in", turn_in)
    yield _ruled("covering_thickness", ruled.covering)
    flat = board_width * 2 + spine + 2 * (ruled.joint.mm + turn_in.mm)
    what = "spine piece" if scaled.taken["structure"] == "case" else "spine over the shoulders"
    yield flat.dimension(
        "covering_width", "rule", f"two boards, two joints, {what} and two turn-ins", _PRACTICE
    )
    yield (height + 2 * turn_in.mm).dimension(
        "covering_height", "rule", "board height and two turn-ins", _PRACTICE
    )


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
                f"choice corner_radius: {taken:g} mm does not fit on the board; choose at most "
                f"{rounded_down(most)} mm"
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
    block = block_of(scaled.taken, 0.0)
    if room_mm >= block.thickness_mm or math.isclose(room_mm, block.thickness_mm):
        return
    thickness = scaled.thickness.value_mm
    needed = 2 * (board_mm + covering_mm) + rules.paste_mm() + block.thickness_mm
    message = (
        f"the closed book would be {rounded_down(thickness)} mm thick, but two boards of {board_mm:g} mm, "
        f"covering and "
        f"one folio need {rounded_up(needed)} mm"
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
    page = block_of(scaled.taken, 0.0).thickness_mm
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


def _warnings(scaled: Scaled, room_mm: float, block: Block) -> Iterator[str]:
    if scaled.thickness.origin == "rule":
        yield (
            f"No thickness is drawn: {scaled.thickness.value_mm:.0f} mm is a guess, {scaled.thickness.rule}. "
            "Choose the thickness in the plan."
        )
    pages_mm = block.thickness_mm
    if abs(room_mm - pages_mm) > _WEDGE_MM + 1e-9:
        yield (
            f"The pages come to {pages_mm:.1f} mm and have room for {room_mm:.1f} mm; "
            "make up the difference with endpapers or guards."
        )
