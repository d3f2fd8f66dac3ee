"""The text block: how many leaves fill a thickness, how they are gathered, and the sheets they come from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.cutting import cutting_of

__all__ = [
    "PAPER_STOCK",
    "Block",
    "Stock",
    "block_for",
    "block_of",
    "creep_mm",
    "leaf_thickness_mm",
    "paper_stock",
    "sheets_needed",
    "text_stock",
]

PAPER_STOCK = ("B1", "A1", "A2", "A3", "A3_short_grain", "A4", "A4_short_grain")
"""Sheets of text paper; the grain runs along the long side where nothing else is said."""


@dataclass(frozen=True)
class Block:
    """Leaves gathered into sections, perhaps round a core.

    Attributes
    ----------
    sections : int
    folios : int
        Folded sheets in a section; each makes two leaves.
    leaf_mm : float
        Thickness of one leaf.
    grammage : float
        g/m2.
    core_mm : float
        Thickness of a foam core between the sections, 0 without one.
    bulk : float
        cm3/g.
    """

    sections: int
    folios: int
    leaf_mm: float
    grammage: float
    core_mm: float = 0.0
    bulk: float = 0.0

    @property
    def leaves(self) -> int:
        """Two leaves a folio; each leaf has two pages."""
        return 2 * self.folios * self.sections

    @property
    def pages(self) -> int:
        """Two a leaf."""
        return 2 * self.leaves

    @property
    def section_mm(self) -> float:
        """Pressed thickness of one section."""
        return 2 * self.folios * self.leaf_mm

    @property
    def thickness_mm(self) -> float:
        """Pressed thickness of all leaves and the core."""
        return self.leaves * self.leaf_mm + self.core_mm


@dataclass(frozen=True)
class Stock:
    """A stock sheet of text paper.

    Attributes
    ----------
    name : str
        "B1", "A3 short grain".
    along_mm, across_mm : float
        Sides along and across the grain.
    """

    name: str
    along_mm: float
    across_mm: float

    def folios(self, width_mm: float, height_mm: float) -> int:
        """Folded sheets out of one sheet, their fold along the grain.

        >>> paper_stock("A3_short_grain").folios(420, 297), paper_stock("A3").folios(420, 297)
        (1, 0)
        """
        # Rounding keeps an exact fit from being one less for the last bit of a float.
        return math.floor(round(self.across_mm / width_mm, 9)) * math.floor(
            round(self.along_mm / height_mm, 9)
        )


def paper_stock(taken: str) -> Stock:
    """A sheet of ISO 216, with its grain along the long side unless the word says short grain."""
    name = taken.removesuffix("_short_grain")
    short, long = (float(v) for v in trade.value(f"paper.iso216.{name[0].lower()}").value[name])
    if name == taken:
        return Stock(name, long, short)
    return Stock(f"{name} short grain", short, long)


def text_stock(taken: Mapping[str, str | float]) -> Stock:
    """The maker's own sheets of paper where the stock names some, else those of the choice "paper_stock"."""
    own = dict(cutting_of(taken).stock).get("paper")
    if own is None:
        return paper_stock(str(taken["paper_stock"]))
    across, along = own
    return Stock(f"sheets of {across:g} x {along:g} mm", along, across)


def sheets_needed(folios: int, of_one_sheet: int) -> int:
    """Whole stock sheets for that many folded sheets."""
    return math.ceil(folios / of_one_sheet)


def leaf_thickness_mm(grammage: float, bulk: float) -> float:
    """Thickness of a leaf from its grammage (g/m2) and bulk (cm3/g).

    Bulk is thickness in um divided by grammage (ISO 534), so thickness is their product.

    >>> leaf_thickness_mm(80, 1.5)
    0.12
    """
    return grammage * bulk / 1000


def creep_mm(folios: int, leaf_mm: float) -> float:
    """How far the innermost folded sheet of a section stands out: half a turn round those outside it.

    >>> round(creep_mm(4, 0.15), 3)
    0.707
    """
    return (folios - 1) * math.pi / 2 * leaf_mm


def block_of(taken: Mapping[str, str | float], room_mm: float) -> Block:
    """The block for the maker's answers to "grammage", "bulk" and "pages"."""
    grammage, bulk = taken["grammage"], taken["bulk"]
    return block_for(
        room_mm,
        grammage=grammage if isinstance(grammage, float) else None,
        bulk=bulk if isinstance(bulk, float) else None,
        has_core=taken["pages"] == "foam_core",
    )


def block_for(
    room_mm: float, *, grammage: float | None = None, bulk: float | None = None, has_core: bool = False
) -> Block:
    """The leaves that fill a thickness best, to the nearest whole section; usual paper where none is given.

    A block thinner than one section becomes a single section of fewer folios, at least one. A core takes
    the place of its share of the sections; at least one stays on either side of it, so a block of fewer
    than three has none.
    """
    grammage = trade.value("paper.grammage").number if grammage is None else grammage
    bulk = trade.value("paper.bulk").number if bulk is None else bulk
    leaf = leaf_thickness_mm(grammage, bulk)
    folios = int(trade.step("paper.sheets_per_section", grammage).number)
    section = 2 * folios * leaf
    if room_mm < section:
        # Rounding keeps 0.3 mm of room from being one folio less for the last bit of a float.
        fewer = min(folios, max(1, math.floor(round(room_mm / (2 * leaf), 9))))
        return Block(1, fewer, leaf, grammage, bulk=bulk)
    sections = max(1, round(room_mm / section))
    share = trade.value("paper.core_share").number if has_core else 0.0
    core = min(math.floor(share * sections), max(0, sections - 2))
    return Block(sections - core, folios, leaf, grammage, core * section, bulk)
