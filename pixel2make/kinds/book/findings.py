"""Checks that only a book knows, each with the nearest thing that works."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Clasp, Finding
from pixel2make.kinds.book.block import PAPER_STOCK, Stock, paper_stock

__all__ = ["book_findings"]


def book_findings(lengths: Lengths, clasps: Iterable[Clasp], stock: Stock) -> Iterator[Finding]:
    """Checks that only a book knows."""
    square, limits = lengths["square"], trade.value("boards.square.range")
    low, high = limits.numbers
    if not low <= square <= high:
        yield Finding(
            "odd-square",
            "square",
            f"The boards overhang the pages by {square:.1f} mm; books have {low:g} to {high:g} mm. "
            "Choose another square in the plan.",
            square,
            low if square < low else high,
            limits.cited,
        )
    yield from _paper(lengths, stock)
    yield from _clasps(lengths, clasps)


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
        f"A folded sheet is {size[0]:.0f} x {size[1]:.0f} mm before folding, larger than {stock.name} with "
        f"its grain along the spine ({stock.across_mm:g} x {stock.along_mm:g} mm); {advice}.",
        side,
        limit,
        trade.value(f"paper.iso216.{stock.name[0].lower()}").cited,
    )


def _clasps(lengths: Lengths, clasps: Iterable[Clasp]) -> Iterator[Finding]:
    """Is a clasp wider than what it holds together?"""
    height = lengths["cover_height"]
    for clasp in clasps:
        if clasp.width.value_mm > height:
            yield Finding(
                "clasp-wider-than-book",
                clasp.name,
                f"{clasp.name.capitalize()} is {clasp.width.value_mm:.1f} mm wide, the book only "
                f"{height:.1f} mm high; choose a height from {clasp.width.value_mm:.0f} mm on.",
                clasp.width.value_mm,
                height,
                "common practice",
            )
