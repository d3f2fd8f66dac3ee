"""The text block: how many leaves fill a thickness, how they are gathered and how much thread swells them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pixel2make import trade

__all__ = ["Block", "block_for", "leaf_thickness_mm", "spine_swell_mm", "thread_length_mm"]


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
    """

    sections: int
    folios: int
    leaf_mm: float
    grammage: float
    core_mm: float = 0.0

    @property
    def leaves(self) -> int:
        """Two leaves a folio; each leaf has two pages."""
        return 2 * self.folios * self.sections

    @property
    def thickness_mm(self) -> float:
        """Pressed thickness of all leaves and the core."""
        return self.leaves * self.leaf_mm + self.core_mm


def leaf_thickness_mm(grammage: float, bulk: float) -> float:
    """Thickness of a leaf from its grammage (g/m2) and bulk (cm3/g).

    Bulk is thickness in um divided by grammage (ISO 534), so thickness is their product.

    >>> leaf_thickness_mm(80, 1.5)
    0.12
    """
    return grammage * bulk / 1000


def block_for(room_mm: float, *, has_core: bool = False) -> Block:
    """The leaves of usual text paper that fill a thickness best, to the nearest whole section.

    A block thinner than one section becomes a single section of fewer folios, at least one. A core takes
    the place of its share of the sections; at least one stays on either side of it, so a block of fewer
    than three has none.
    """
    grammage = trade.value("paper.grammage").number
    leaf = leaf_thickness_mm(grammage, trade.value("paper.bulk").number)
    folios = int(trade.step("paper.sheets_per_section", grammage).number)
    section = 2 * folios * leaf
    if room_mm < section:
        # Rounding keeps 0.3 mm of room from being one folio less for the last bit of a float.
        return Block(1, min(folios, max(1, math.floor(round(room_mm / (2 * leaf), 9)))), leaf, grammage)
    sections = max(1, round(room_mm / section))
    share = trade.value("paper.core_share").number if has_core else 0.0
    core = min(math.floor(share * sections), max(0, sections - 2))
    return Block(sections - core, folios, leaf, grammage, core * section)


def spine_swell_mm(sections: int) -> tuple[float, float, float]:
    """How much thicker the sewn spine is than the fore-edge: usual, least, most.

    Every section but the first adds a share of the thread's diameter. A single section has no swell.
    """
    thread = trade.value("sewing.thread_diameter").value[trade.value("sewing.thread").value]
    low, high = trade.value("sewing.thread_bedding_range").numbers
    usual = trade.value("sewing.thread_bedding").number
    count = sections if sections > 1 else 0
    return count * thread * usual, count * thread * low, count * thread * high


def thread_length_mm(sections: int, leaf_height_mm: float) -> float:
    """Thread for all sections with its links, tails and allowance.

    Each section is sewn from kettle to kettle stitch; the rule is common practice.
    """
    kettle = min(trade.value("sewing.kettle_distance").number, leaf_height_mm / 4)
    link = trade.value("sewing.thread_link").number
    tails = 2 * trade.value("sewing.thread_tail").number
    bare = sections * (leaf_height_mm - 2 * kettle + link) + tails
    return bare * (1 + trade.value("sewing.thread_allowance").number)
