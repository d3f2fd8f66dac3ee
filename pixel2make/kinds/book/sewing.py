"""Sewing the sections: stations for kettle stitches and supports, thread, swell, holes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from pixel2make import trade
from pixel2make.errors import DesignError
from pixel2make.kinds.book.block import Block
from pixel2make.kinds.book.rules import Ruled
from pixel2make.quantity import rounded_down

__all__ = [
    "KETTLES",
    "SEWINGS",
    "SUPPORTS",
    "SWELLS",
    "THREADS",
    "Sewing",
    "Station",
    "Support",
    "hole_diameter_mm",
    "kettle_distances",
    "sewing_of",
    "spine_swell_mm",
    "support_centres",
    "swell",
    "thread_for",
    "thread_length_mm",
]

KETTLES = ("half_inch", "ten_mm", "larger_at_tail")
SUPPORTS = ("by_height", "three", "five", "none")
SEWINGS = ("by_swell", "all_along", "two_on")
THREADS = ("by_section", *trade.value("sewing.thread_diameter").value)

Answers = Mapping[str, "str | float"]


@dataclass(frozen=True)
class Station:
    """A hole in the fold; `mm` from the head of the finished leaf."""

    name: str
    mm: float


@dataclass(frozen=True)
class Support:
    """A tape or cord across the spine: its middle from the head of the leaf, and its width."""

    mm: float
    width_mm: float


@dataclass(frozen=True)
class Sewing:
    """How one block is sewn.

    Attributes
    ----------
    kind : {"tapes", "cords", "link", "pamphlet"}
    stations : tuple of Station
        From head to tail.
    supports : tuple of Support
    thread : str
        Number of the linen thread, such as "25/3".
    thread_mm, hole_mm : float
    is_two_on : bool
        Two sections are sewn with one length of thread in the fold.
    passes : int
        How often the thread runs from end to end.
    kettle_head, kettle_tail : Ruled
        Outermost holes from head and tail.
    """

    kind: str
    stations: tuple[Station, ...]
    supports: tuple[Support, ...]
    thread: str
    thread_mm: float
    hole_mm: float
    is_two_on: bool
    passes: int
    kettle_head: Ruled
    kettle_tail: Ruled


def kettle_distances(taken: str | float, leaf_height_mm: float) -> tuple[Ruled, Ruled]:
    """Distance of the kettle stitches from head and tail; teachings differ.

    A small leaf keeps half its height between them.
    """
    share = trade.value("sewing.kettle_share")
    if isinstance(taken, float):
        head = tail = Ruled(taken, "maker", "chosen by the maker", "")
        if taken > share.number * leaf_height_mm:
            raise DesignError(
                f"choice kettle: {taken:g} mm from either end leave too little of a leaf "
                f"{leaf_height_mm:.1f} mm high; choose at most "
                f"{rounded_down(share.number * leaf_height_mm)} mm"
            )
        return head, tail
    if taken == "larger_at_tail":
        value = trade.value("sewing.kettle_distance_large")
        distances = (float(value.value["head"]), float(value.value["tail"]))
    else:
        value = trade.value(f"sewing.kettle_distance{'_small' if taken == 'ten_mm' else ''}")
        distances = (value.number, value.number)
    if max(distances) > share.number * leaf_height_mm:
        most = share.number * leaf_height_mm
        rule = f"{share.number:.0%} of the height of a small leaf"
        return (
            Ruled(min(distances[0], most), "rule", rule, share.cited),
            Ruled(min(distances[1], most), "rule", rule, share.cited),
        )
    head, tail = (
        Ruled(mm, "rule", f"kettle stitch, {taken.replace('_', ' ')}", value.cited) for mm in distances
    )
    return head, tail


def support_centres(
    rule: str, height_mm: float, kettles: tuple[float, float], *, count: int, width_mm: float
) -> tuple[float, ...]:
    """Middles of tapes or cords from the head.

    "three" has one in the middle and one near each end (Bean & Brodhead), "five" begins a quarter inch
    inside the kettle stitches (Vaughn), "by_height" spreads `count` of them evenly between the kettles.

    >>> support_centres("by_height", 294, (12, 12), count=3, width_mm=10)
    (79.5, 147.0, 214.5)
    """
    head, tail = kettles[0], height_mm - kettles[1]
    if rule == "three":
        inset = trade.value("sewing.three_tapes_inset").number
        return inset, height_mm / 2, height_mm - inset
    if rule == "five":
        inset = trade.value("sewing.five_tapes_inset").number + width_mm / 2
        first, last = head + inset, tail - inset
        return tuple(first + (last - first) * j / 4 for j in range(5))
    return tuple(head + (tail - head) * j / (count + 1) for j in range(1, count + 1))


def sewing_of(
    taken: Answers, block: Block, leaf_height_mm: float, cords_mm: tuple[float, ...] = ()
) -> Sewing:
    """Stations, supports and thread for the maker's answers.

    Parameters
    ----------
    taken : mapping
    block : Block
    leaf_height_mm : float
    cords_mm : tuple of float, optional
        Where cords are wanted from the head of the leaf; they are spread evenly where these leave too little
        paper between two holes.

    Raises
    ------
    DesignError
        Where supports that the maker chose do not fit on the leaf, or boards have nothing to hang on.
    """
    is_laced = taken["structure"] == "laced"
    kettles = kettle_distances(taken["kettle"], leaf_height_mm)
    thread = thread_for(str(taken["thread"]), block)
    diameter = float(trade.value("sewing.thread_diameter").value[thread])
    passes, is_two_on = _passes(str(taken["sewing"]), block, diameter)
    kind: str = "pamphlet"
    supports: tuple[Support, ...] = ()
    if is_laced and block.sections == 1:
        raise DesignError(
            "choice structure: boards are laced on cords, which a single section does not hold; "
            "choose case, a thicker book or thinner paper"
        )
    if is_laced and taken["supports"] == "none":
        raise DesignError(
            "choice supports: laced boards hang on cords; choose by_height, three or five, or structure case"
        )
    if block.sections > 1:
        kind, supports = _supports(
            str(taken["supports"]), leaf_height_mm, kettles, is_laced=is_laced, wanted=cords_mm
        )
    stations = _stations(kind, supports, leaf_height_mm, (kettles[0].mm, kettles[1].mm))
    if kind == "pamphlet":
        inset = stations[0].mm
        value = trade.value("sewing.pamphlet_inset")
        kettles = (
            Ruled(inset, "rule", "outer hole of a single section", value.cited),
            Ruled(inset, "rule", "outer hole of a single section", value.cited),
        )
    hole = hole_diameter_mm(diameter)
    return Sewing(kind, stations, supports, thread, diameter, hole, is_two_on, passes, *kettles)


def _passes(taken: str, block: Block, thread_mm: float) -> tuple[int, bool]:
    """How often the thread runs through, and whether it takes two sections at a time.

    First and last section are sewn all along in any case.
    """
    if block.sections < 4 or taken == "all_along":
        return block.sections, False
    ratio = thread_mm * trade.value("sewing.thread_bedding").number / block.section_mm
    # Rounding keeps a ratio of 0.3 at the limit.
    if taken == "by_swell" and round(ratio, 9) <= trade.value("sewing.two_on_ratio").number:
        return block.sections, False
    return 2 + math.ceil((block.sections - 2) / 2), True


def _supports(
    rule: str,
    height_mm: float,
    kettles: tuple[Ruled, Ruled],
    *,
    is_laced: bool,
    wanted: tuple[float, ...] = (),
) -> tuple[str, tuple[Support, ...]]:
    if rule == "none":
        return "link", ()
    width = (
        trade.step("sewing.cord_diameter", height_mm).number
        if is_laced
        else trade.value("sewing.tape_width").number
    )
    ends = (kettles[0].mm, kettles[1].mm)
    kind = "cords" if is_laced else "tapes"
    least = trade.value("sewing.least_gap").number
    if wanted and _least_gap(wanted, width, height_mm, ends) >= least:
        return kind, tuple(Support(mm, width) for mm in wanted)
    count = int(trade.step("sewing.tapes_by_height", height_mm).number)
    counts = range(count, 0, -1) if rule == "by_height" else (0,)
    for tried in counts:
        centres = support_centres(rule, height_mm, ends, count=tried, width_mm=width)
        if _least_gap(centres, width, height_mm, ends) >= least:
            return kind, tuple(Support(mm, width) for mm in centres)
    if rule != "by_height":
        raise DesignError(
            f"choice supports: {rule} {kind} of {width:g} mm do not fit on a leaf {height_mm:.1f} mm high; "
            "choose by_height"
        )
    if is_laced:
        raise DesignError(
            f"choice structure: no cord of {width:g} mm fits on a leaf {height_mm:.1f} mm high; choose case"
        )
    return "link", ()


def _least_gap(
    centres: Sequence[float], width_mm: float, height_mm: float, kettles: tuple[float, float]
) -> float:
    edges = [mm for centre in centres for mm in (centre - width_mm / 2, centre + width_mm / 2)]
    marks = [kettles[0], *edges, height_mm - kettles[1]]
    # Across a support the holes lie as far apart as it is wide; only the gaps between count.
    return min(below - above for above, below in list(pairwise(marks))[::2])


def _stations(
    kind: str, supports: Sequence[Support], height_mm: float, kettles: tuple[float, float]
) -> tuple[Station, ...]:
    if kind == "pamphlet":
        return _pamphlet(height_mm)
    head, tail = kettles[0], height_mm - kettles[1]
    inner = [
        Station(f"{kind[:-1]} {number}", mm)
        for number, support in enumerate(supports, 1)
        # A cord is sewn round through one hole, a tape passed on either side.
        for mm in (
            (support.mm,)
            if kind == "cords"
            else (support.mm - support.width_mm / 2, support.mm + support.width_mm / 2)
        )
    ]
    if kind == "link":
        inner = _link(height_mm, head, tail)
    return Station("kettle", head), *inner, Station("kettle", tail)


def _link(height_mm: float, head: float, tail: float) -> list[Station]:
    """A pair of holes at each division between the kettles, as many divisions as have room."""
    half = trade.value("sewing.link_half_pair").number
    spaces = int(trade.step("sewing.link_divisions", height_mm).number)
    least = trade.value("sewing.least_gap").number
    while spaces > 1 and (tail - head) / spaces - 2 * half < least:
        spaces -= 1
    divisions = [head + (tail - head) * j / spaces for j in range(1, spaces)]
    return [Station(f"pair {j}", mm + side) for j, mm in enumerate(divisions, 1) for side in (-half, half)]


def _pamphlet(height_mm: float) -> tuple[Station, ...]:
    count = int(trade.step("sewing.pamphlet_holes", height_mm).number)
    most = trade.value("sewing.kettle_share").number * height_mm
    inset = min(trade.value("sewing.pamphlet_inset").number, most)
    step = (height_mm - 2 * inset) / (count - 1)
    return tuple(Station(f"hole {j + 1}", inset + j * step) for j in range(count))


def thread_for(taken: str, block: Block) -> str:
    """The number of the thread: the maker's, or by the thickness and count of the sections."""
    if taken != "by_section":
        return taken
    if block.sections <= trade.value("sewing.few_sections").number:
        return str(trade.value("sewing.few_thread").value)
    return str(trade.step("sewing.thread_by_section", round(block.section_mm, 9)).value)


def hole_diameter_mm(thread_mm: float) -> float:
    """Of the awl: needle and thread, within usual awls and not beyond two threads where one can.

    >>> hole_diameter_mm(0.6)
    1.0
    """
    least, most = trade.value("sewing.hole_diameter").numbers
    wanted = min(thread_mm + trade.value("sewing.needle_room").number, 2 * thread_mm)
    return round(min(max(wanted, least), most), 2)


SWELLS = ("usual", "least", "most")


def swell(taken: str | float, passes: int, thread_mm: float) -> Ruled:
    """The swell that the maker measured, or the usual, least or most that thread makes in the folds."""
    if isinstance(taken, float):
        return Ruled(taken, "maker", "swell as the maker measured it", "")
    usual, least, most = spine_swell_mm(passes, thread_mm)
    value = trade.value("sewing.thread_bedding" if taken == "usual" else "sewing.thread_bedding_range")
    mm = {"usual": usual, "least": least, "most": most}[taken]
    return Ruled(mm, "rule", f"{taken} swell of the thread", value.cited)


def spine_swell_mm(passes: int, thread_mm: float) -> tuple[float, float, float]:
    """How much thicker the sewn spine is than the fore-edge: usual, least, most.

    Every length of thread in the folds adds a share of its diameter. A single section has no swell.
    """
    low, high = trade.value("sewing.thread_bedding_range").numbers
    usual = trade.value("sewing.thread_bedding").number
    count = passes if passes > 1 else 0
    return count * thread_mm * usual, count * thread_mm * low, count * thread_mm * high


def thread_length_mm(passes: int, span_mm: float) -> float:
    """Thread for all sections with its links, tails and allowance.

    Each pass runs from the outermost hole to the other; a single section is sewn there and back. The rule
    is common practice.
    """
    link = trade.value("sewing.thread_link").number
    tails = 2 * trade.value("sewing.thread_tail").number
    runs = passes if passes > 1 else 2
    bare = runs * (span_mm + link) + tails
    return bare * (1 + trade.value("sewing.thread_allowance").number)
