"""What strengthens and finishes the spine: lining, mull, headbands."""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Part
from pixel2make.design.span import Span
from pixel2make.kinds.book.block import leaf_thickness_mm
from pixel2make.kinds.book.sewing import Sewing
from pixel2make.quantity import Dimension

__all__ = ["headband_dimensions", "spine_parts"]


def spine_parts(lengths: Lengths, sewing: Sewing, *, is_laced: bool) -> tuple[Part, ...]:
    """Lining paper, mull and two headbands, as wide as the sewn spine; one section alone has mull only.

    A laced-in book hangs on its cords, so it has no mull that reaches onto the boards.
    """
    return tuple(_spine_parts(lengths, sewing, is_laced=is_laced))


def _spine_parts(lengths: Lengths, sewing: Sewing, *, is_laced: bool) -> Iterator[Part]:
    spine, leaf = lengths["sewn_spine_thickness"], lengths["leaf_height"]
    if not is_laced:
        # From kettle to kettle stitch, so that it does not show at head and tail.
        height = sewing.stations[-1].mm - sewing.stations[0].mm
        width = spine + 2 * trade.value("covering.mull_reach").number
        thickness = trade.value("covering.mull_thickness").number
        yield Part("mull", "mull", 1, thickness, box(0, 0, width, height), "height")
    if sewing.kind == "pamphlet":
        return
    grammage, bulk = trade.value("covering.lining_grammage").number, trade.value("paper.bulk").number
    height = leaf - trade.value("covering.spine_lining_short").number
    yield Part(
        "spine_lining",
        "lining_paper",
        1,
        leaf_thickness_mm(grammage, bulk),
        box(0, 0, spine, height),
        "height",
    )
    yield Part(
        "headband",
        "headband",
        2,
        trade.value("covering.headband_thickness").number,
        box(0, 0, spine, trade.value("covering.headband_height").number),
        None,
        is_cut=False,
    )


def headband_dimensions(lengths: Lengths, sewing: Sewing) -> Iterator[Dimension]:
    """How far the bead stands up: as taught, but never above the square that covers it."""
    if sewing.kind == "pamphlet":
        return
    value = trade.value("covering.headband_rise")
    square = lengths["square"]
    if value.number <= square:
        yield Span.exact(value.number).dimension(
            "headband_rise", "rule", "bead above the leaves", value.cited
        )
    else:
        yield Span.exact(square).dimension(
            "headband_rise", "rule", "bead no higher than the square", "common practice"
        )
