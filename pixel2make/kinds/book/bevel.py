"""Bevelled boards: their outer edges slope down at head, tail and fore-edge."""

from __future__ import annotations

from collections.abc import Iterator

from shapely.affinity import translate
from shapely.geometry import Polygon

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Lengths
from pixel2make.design.model import Finding
from pixel2make.design.scale import Scaled
from pixel2make.design.span import Span
from pixel2make.errors import DesignError
from pixel2make.quantity import Dimension, compared, rounded_down
from pixel2make.reading.model import Reading

__all__ = ["bevel_dimensions", "bevel_findings", "bevel_key", "bevel_mm", "flat_outline", "wedge_mm3"]

_MOST_SHARE = 0.25
"""Of the board's shorter side: two bevels leave at least half of it flat."""


def bevel_key(reading: Reading) -> ChoiceKey:
    """How broad the slope is; as drawn where the drawing shows one."""
    is_drawn = reading.chamfer is not None
    return ChoiceKey(
        "bevel",
        "Do the outer edges of the boards slope down? A length is how far the slope reaches in.",
        ("drawn", "none") if is_drawn else ("none",),
        "drawn" if is_drawn else "none",
        takes_length=True,
        shows=("bevel_width", "bevel_depth"),
        idle=("drawn",),
    )


def bevel_dimensions(scaled: Scaled, *, board_mm: float, shorter_mm: float) -> Iterator[Dimension]:
    """How far a bevel reaches in from the edge, and how far down.

    The slope is longer than what it takes off the face and the upright edge by less than it spares, so the
    covering as cut reaches farther in behind, never less far.

    Raises
    ------
    DesignError
        Where a chosen bevel would leave too little of the board flat.
    """
    taken, drawn = scaled.taken["bevel"], scaled.reading.chamfer
    most = _MOST_SHARE * shorter_mm
    if isinstance(taken, float):
        if taken > most:
            raise DesignError(
                f"choice bevel: {taken:g} mm leave too little of the board flat; choose at most "
                f"{rounded_down(most)} mm"
            )
        yield Span.exact(taken).dimension("bevel_width", "maker", "chosen by the maker")
    elif taken == "drawn" and drawn is not None and not _is_thin(board_mm):
        limit = trade.value("boards.bevel_range").numbers[1]
        span = (Span(drawn.value_px, drawn.low_px, drawn.high_px) * scaled.px_mm).at_most(min(most, limit))
        rule = f"{drawn.why.rstrip('.')}; at most {min(most, limit):.1f} mm can be worked"
        yield span.dimension("bevel_width", "sprite", rule, "sprite")
    else:
        return
    depth = trade.value("boards.bevel_depth")
    rule = f"{depth.number:g} board thicknesses, the rest of the edge upright"
    yield Span.exact(depth.number * board_mm).dimension("bevel_depth", "rule", rule, depth.cited)


def _is_thin(board_mm: float) -> bool:
    """Too thin for a bevel to show."""
    return board_mm < trade.value("boards.bevel_least_board").number


def bevel_mm(lengths: Lengths) -> float:
    """How far a bevel reaches in; 0 where the edges are square."""
    return next((d.value_mm for d in lengths.dimensions if d.name == "bevel_width"), 0.0)


def flat_outline(board: Polygon, width_mm: float) -> Polygon:
    """What stays flat of a board's outer face: in from head, tail and fore-edge, up to the spine at x = 0.

    >>> from shapely.geometry import box
    >>> flat_outline(box(0, 0, 200, 300), 10).bounds
    (0.0, 10.0, 190.0, 290.0)
    """
    # The spine edge is not bevelled, so the board is carried on beyond it before it is drawn in.
    outside = Polygon(board.exterior)
    whole = outside.union(translate(outside, -2 * width_mm, 0))
    inside = whole.buffer(-width_mm, join_style="mitre").intersection(outside)
    return inside if isinstance(inside, Polygon) else max(inside.geoms, key=lambda part: part.area)


def wedge_mm3(board: Polygon, width_mm: float, depth_mm: float) -> float:
    """What the bevel takes away of one board.

    Sections at equal steps down the slope are drawn in by equal steps, so that the prismoidal formula is
    exact for straight edges.

    >>> from shapely.geometry import box
    >>> wedge_mm3(box(0, 0, 1000, 10), 0.001, 2) < 1000 * 10 * 2
    True
    """
    foot = Polygon(board.exterior)
    middle, top = (flat_outline(foot, share * width_mm) for share in (0.5, 1.0))
    return depth_mm * (foot.area - (foot.area + 4 * middle.area + top.area) / 6)


def bevel_findings(lengths: Lengths, *, taken: str | float) -> Iterator[Finding]:
    """Is the board thick enough to be bevelled, and the bevel of a breadth that can be worked?

    A bevel that is drawn is left out on a thin board and kept to what can be worked; one that the maker chose
    is made as chosen.
    """
    width = bevel_mm(lengths)
    least = trade.value("boards.bevel_least_board")
    board = lengths["board_thickness"]
    if taken != "none" and _is_thin(board):
        left_out = "" if width else ", so the drawn one is left out"
        yield Finding(
            "board-thin-for-bevel",
            "front_board",
            f"The boards are {board:g} mm thick; a bevel shows from {least.number:g} mm on{left_out}. Choose "
            f"board {least.number:g}mm, two sheets glued together, or bevel none.",
            board,
            least.number,
            least.cited,
        )
    if not width:
        return
    limits = trade.value("boards.bevel_range")
    low, high = limits.numbers
    if not low <= width <= high:
        yield Finding(
            "odd-bevel",
            "front_board",
            f"The bevel is {compared(width, low if width < low else high)} mm broad; books have {low:g} "
            f"to {high:g} mm. Choose bevel "
            f"{low if width < low else high:g}mm, or none.",
            width,
            low if width < low else high,
            limits.cited,
        )
