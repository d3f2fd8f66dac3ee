"""What to buy for the block and its sewing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Material, Part
from pixel2make.kinds.book.block import Block, Stock, sheets_needed
from pixel2make.kinds.book.sewing import Sewing

__all__ = ["adhesive_materials", "paper_materials", "sewing_materials", "spine_materials"]

_M2 = 1e6
"""Square millimetres in a square metre."""


def paper_materials(
    lengths: Lengths, block: Block, stock: Stock, parts: Sequence[Part]
) -> Iterator[Material]:
    """Text paper in stock sheets, a core, endpapers."""
    if block.core_mm:
        yield Material(
            f"foam sheet {block.core_mm:g} mm",
            1,
            "pieces",
            "none; layers may be glued together",
            "one leaf in size",
        )
    folios = block.folios * block.sections
    fit = stock.folios(lengths["sheet_width"], lengths["sheet_height"])
    said = (
        f"{block.leaves} leaves, {block.pages} pages, {block.leaves * block.leaf_mm:.1f} mm: "
        f"{block.sections} sections of {block.folios} folded sheets"
    )
    if fit:
        yield Material(
            f"text paper {block.grammage:g} g/m2, {stock.name}",
            sheets_needed(folios, fit),
            "sheets",
            "none; cut a few spare",
            f"{said}, {fit} folded sheets out of one, grain parallel to the spine",
        )
    else:
        yield Material(
            f"text paper {block.grammage:g} g/m2",
            block.leaves,
            "leaves",
            "none; cut a few spare",
            f"{said}; a folded sheet does not come out of {stock.name}",
        )
    yield Material(
        f"endpaper {trade.value('paper.endpaper_grammage').number:g} g/m2",
        trade.value("paper.endpaper_folios").number,
        "folded sheets",
        "none",
        f"one at each end of the block{_like(parts, 'endpaper')}",
    )


def sewing_materials(lengths: Lengths, sewing: Sewing) -> Iterator[Material]:
    """Thread, and tape or cord with what the frame takes."""
    share = trade.value("sewing.thread_allowance").number
    low, high = trade.value("sewing.working_length").numbers
    metres = lengths["thread_length"] / 1000
    pieces = math.ceil(lengths["thread_length"] / high)
    yield Material(
        f"linen thread {sewing.thread}, waxed",
        round(metres, 2),
        "m",
        f"{share:.0%} and two tails",
        f"end to end of every section; sewn in {pieces} lengths of {low / 1000:g} to {high / 1000:g} m",
    )
    if not sewing.supports:
        return
    is_cord = sewing.kind == "cords"
    more = trade.value("sewing.frame_length" if is_cord else "sewing.frame_tape").number
    name, count = ("hemp cord" if is_cord else "linen tape"), len(sewing.supports)
    yield Material(
        f"{name} {sewing.supports[0].width_mm:g} mm",
        round(count * (lengths["support_length"] + more) / 1000, 2),
        "m",
        f"{more:g} mm each for the frame",
        f"{count} of {lengths['support_length']:.0f} mm when done",
    )


def spine_materials(parts: Sequence[Part]) -> Iterator[Material]:
    """Mull and lining by area, headbands and ribbon by length."""
    for part in parts:
        width, height = part.size_mm
        if part.name in ("mull", "spine_lining"):
            name = "mull" if part.name == "mull" else f"lining paper {part.thickness_mm:.2g} mm"
            size = f"one piece {width:.0f} x {height:.0f} mm"
            yield Material(name, round(part.outline.area / _M2, 4), "m2", "none", size)
        elif part.name == "headband":
            said = f"{part.quantity} of {width:.0f} mm{_like(parts, 'headband')}"
            yield Material("headband", round(part.quantity * width / 1000, 3), "m", "none", said)
    for part in parts:
        if part.material == "ribbon":
            said = f"one marker{_like(parts, part.name)}"
            width, height = part.size_mm
            yield Material(f"ribbon {width:g} mm for {part.name}", round(height / 1000, 3), "m", "none", said)


def adhesive_materials(parts: Sequence[Part]) -> Iterator[Material]:
    """For one coat on the whole covering and on both pastedowns."""
    coats = sum(
        p.quantity * p.outline.area / (1 if p.name.startswith("covering") else 2)
        for p in parts
        if p.name.startswith("covering") or p.name == "endpaper"
    )
    value = trade.value("covering.adhesive_cover").number
    yield Material(
        "bookbinder's PVA or paste",
        round(coats / _M2 * value),
        "g",
        "waste of one coat",
        f"covering and pastedowns, {value:g} g/m2 wet",
    )


def _like(parts: Sequence[Part], name: str) -> str:
    """The colour to look for."""
    color = next((part.color for part in parts if part.name == name), "")
    return f"; in a colour like {color}" if color else ""
