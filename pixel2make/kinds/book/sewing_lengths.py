"""Dimensions of the paper before it is folded and of the sewing."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from pixel2make import trade
from pixel2make.design.span import Span
from pixel2make.kinds.book import structure
from pixel2make.kinds.book.rules import Answers, Ruled
from pixel2make.kinds.book.sewing import Sewing, thread_length_mm
from pixel2make.quantity import Dimension

__all__ = ["sewing_dimensions", "sheet_dimensions", "trim_mm"]

_PRACTICE = "common practice"


def trim_mm(taken: Answers) -> float:
    """What is left at head, tail and fore-edge for trimming the sewn block."""
    return trade.value("paper.trim").number if taken["edges"] == "trimmed" else 0.0


def sheet_dimensions(taken: Answers, leaf_width: Span, leaf_height: Span) -> Iterator[Dimension]:
    """The sheet that is folded once into two leaves, its fold along the spine."""
    trim = trim_mm(taken)
    said = f", {trim:g} mm more at each trimmed edge" if trim else ""
    source = trade.value("paper.trim").cited if trim else _PRACTICE
    yield (leaf_width * 2 + 2 * trim).dimension(
        "sheet_width", "rule", f"two leaves side by side before folding{said}", source
    )
    yield (leaf_height + 2 * trim).dimension(
        "sheet_height", "rule", f"height of the leaf, the grain along it{said}", source
    )


def sewing_dimensions(sewing: Sewing, sewn_spine_mm: float) -> Iterator[Dimension]:
    """Stations, supports, thread and holes."""
    yield _ruled("kettle_head", sewing.kettle_head)
    yield _ruled("kettle_tail", sewing.kettle_tail)
    centres = [support.mm for support in sewing.supports]
    gaps = [below - above for above, below in pairwise(centres)]
    if gaps:
        # Rules that set the ends alone leave unlike gaps only by the last bit of a float.
        yield Span(gaps[0], min(gaps), max(gaps)).dimension(
            "support_spacing", "rule", f"{len(centres)} {sewing.kind}, middle to middle", _PRACTICE
        )
    if sewing.supports:
        is_cord = sewing.kind == "cords"
        length = (structure.cord_length_mm if is_cord else structure.tape_length_mm)(sewn_spine_mm)
        rule = (
            "over the spine and a slip on each side" if is_cord else "over the spine and onto both endpapers"
        )
        yield Span.exact(sewing.supports[0].width_mm).dimension(
            "support_width",
            "stock",
            sewing.kind,
            trade.value("sewing.cord_diameter" if is_cord else "sewing.tape_width").cited,
        )
        yield Span.exact(length).dimension("support_length", "rule", rule, _PRACTICE)
    yield Span.exact(sewing.thread_mm).dimension(
        "thread_diameter",
        "stock",
        f"waxed linen {sewing.thread}",
        trade.value("sewing.thread_diameter").cited,
    )
    yield Span.exact(sewing.hole_mm).dimension(
        "sewing_hole", "rule", "awl for needle and thread", trade.value("sewing.hole_diameter").cited
    )
    span = sewing.stations[-1].mm - sewing.stations[0].mm
    two_on = ", two sections at a time" if sewing.is_two_on else ""
    share = trade.value("sewing.thread_allowance").number
    yield Span.exact(thread_length_mm(sewing.passes, span)).dimension(
        "thread_length",
        "rule",
        f"end to end of every section{two_on}, links, tails and {share:.0%}",
        _PRACTICE,
    )


def _ruled(name: str, ruled: Ruled) -> Dimension:
    return Span.exact(ruled.mm).dimension(name, ruled.origin, ruled.rule, ruled.source)
