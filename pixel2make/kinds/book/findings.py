"""Checks that only a book knows, each with the nearest thing that works."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Area, Clasp, Finding
from pixel2make.kinds.book.block import PAPER_STOCK, Stock, paper_stock
from pixel2make.kinds.book.boards import spine_mm
from pixel2make.quantity import compared, rounded_down, rounded_up

__all__ = ["book_findings"]


def book_findings(
    lengths: Lengths,
    clasps: Iterable[Clasp],
    stock: Stock,
    *,
    areas: Iterable[Area] = (),
    block_mass_g: float = 0.0,
    is_laced: bool = False,
) -> Iterator[Finding]:
    """What a maker should know before cutting anything; each sentence ends with what would do.

    Parameters
    ----------
    lengths : Lengths
    clasps : iterable of Clasp
    stock : Stock
        Of the text paper.
    areas : iterable of Area
    block_mass_g : float
        Of all leaves.
    is_laced : bool
    """
    square, limits = lengths["square"], trade.value("boards.square.range")
    low, high = limits.numbers
    if not low <= square <= high:
        yield Finding(
            "odd-square",
            "square",
            f"The boards overhang the pages by {compared(square, low if square < low else high)} mm; "
            f"books have {low:g} to {high:g} mm. "
            f"Choose square {low if square < low else high:g}mm.",
            square,
            low if square < low else high,
            limits.cited,
        )
    yield from _paper(lengths, stock)
    yield from _clasps(lengths, clasps)
    yield from _lettering(lengths, areas)
    if not is_laced:
        yield from _hanging(block_mass_g)


def _paper(lengths: Lengths, stock: Stock) -> Iterator[Finding]:
    """Does a folded sheet come out of the stock with its grain along the spine?"""
    size = (lengths["sheet_width"], lengths["sheet_height"])
    if stock.folios(*size):
        return
    sides = ((size[0], stock.across_mm), (size[1], stock.along_mm))
    side, limit = max(sides, key=lambda pair: pair[0] / pair[1])
    others = [name for name in PAPER_STOCK if paper_stock(name).folios(*size)]
    advice = (
        f"choose paper_stock {others[0]}"
        if others
        else "guard single leaves together, or choose a size below "
        f"{math.floor(100 * limit / side)}% of this one"
    )
    yield Finding(
        "folio-larger-than-stock",
        "text_block_leaf",
        f"A folded sheet is {rounded_up(size[0])} x {rounded_up(size[1])} mm before folding, larger than "
        f"{stock.name} with "
        f"its grain along the spine ({stock.across_mm:g} x {stock.along_mm:g} mm); {advice}.",
        side,
        limit,
        _stock_source(stock),
    )


def _stock_source(stock: Stock) -> str:
    """ISO 216 for its sizes; the maker for all others."""
    series = stock.name[0].lower()
    return trade.value(f"paper.iso216.{series}").cited if series in "ab" else "the maker"


def _clasps(lengths: Lengths, clasps: Iterable[Clasp]) -> Iterator[Finding]:
    """Is a clasp wider than what it holds together?"""
    height = lengths["cover_height"]
    for clasp in clasps:
        if clasp.width.value_mm > height:
            yield Finding(
                "clasp-wider-than-book",
                clasp.name,
                f"{clasp.name.capitalize()} is {rounded_up(clasp.width.value_mm)} mm wide, the book only "
                f"{rounded_down(height)} mm high; choose a height of at least "
                f"{rounded_up(clasp.width.value_mm, 0)} mm.",
                clasp.width.value_mm,
                height,
                "common practice",
            )
        elif clasp.width.value_mm > lengths["leaf_height"]:
            least, _ = trade.value("boards.square.range").numbers
            most = math.floor(10 * (height - clasp.width.value_mm) / 2) / 10
            square = f"choose square {most:g}mm, or " if most >= least else ""
            yield Finding(
                "clasp-wider-than-block",
                clasp.name,
                f"{clasp.name.capitalize()} is {rounded_up(clasp.width.value_mm)} mm wide, the block it "
                f"holds only "
                f"{rounded_down(lengths['leaf_height'])} mm high; {square}call fewer of its regions a "
                f"clasp in a plan, "
                f"so that it is at most {rounded_down(lengths['leaf_height'])} mm wide.",
                clasp.width.value_mm,
                lengths["leaf_height"],
                "common practice",
            )


def _lettering(lengths: Lengths, areas: Iterable[Area]) -> Iterator[Finding]:
    """Is the spine wide enough for the title that is drawn on it?"""
    least = trade.value("covering.lettered_spine")
    width = spine_mm(lengths)
    for area in areas:
        if area.face == "spine" and area.treatment == "lettering" and width < least.number:
            more = math.ceil(lengths["book_thickness"] + least.number - width)
            yield Finding(
                "spine-too-narrow",
                area.name,
                f"The spine is {rounded_down(width)} mm wide; it takes lettering from {least.number:g} mm "
                f"on. Choose a "
                f"thickness of at least {more} mm, or leave the title to the cover.",
                width,
                least.number,
                least.cited,
            )


def _hanging(block_mass_g: float) -> Iterator[Finding]:
    """Can mull and endpapers carry the block of a case? ``measured_mm`` stays empty: grams are no lengths."""
    most = trade.value("boards.case_block_mass")
    if block_mass_g > most.number:
        yield Finding(
            "heavy-for-case",
            "text_block_leaf",
            f"The pages weigh {block_mass_g:.0f} g; mull and endpapers of a case carry up to "
            f"{most.number:g} g for long. Choose structure laced, or pages foam_core.",
            source=most.cited,
        )
