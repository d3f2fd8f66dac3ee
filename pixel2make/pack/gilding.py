"""Leaf for gilded areas: how much, how the leaves lie, what is too narrow to gild."""

from __future__ import annotations

from collections.abc import Iterator

import shapely
from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.design.finishing import finishing_of
from pixel2make.design.leaf import LEAVES, LeafPlan, books_to_buy, leaf_plan, leaf_side_mm
from pixel2make.design.model import Area, Design, Finding
from pixel2make.errors import DesignError
from pixel2make.geometry.narrow import Place, narrow_places
from pixel2make.pack.face_page import FacePage, face_page, register_boxes
from pixel2make.pack.masks import face_size_mm
from pixel2make.pack.pens import Drawing, text_width_mm
from pixel2make.quantity import rounded_down

__all__ = ["gilding_files", "gilding_findings", "gilding_sheet"]

_NAMES = {"leaf": "Gold leaf", "leaf_us": "American gold leaf", "imitation_leaf": "Imitation leaf"}

_FIGURE_MM = trade.value("drawing.lettering").value["dimension"]

_CLEAR_MM = 1.0
"""A figure keeps this far from the leaf's lap and from what else is drawn."""

_RING_MM = 4.0
"""Radius of the ring that points out a narrow strip."""


def gilding_findings(design: Design) -> tuple[Finding, ...]:
    """Places of gilded areas narrower than size laid through a mask holds, one finding an area."""
    return tuple(finding for area in _gilded(design) for finding in _narrow(area))


def gilding_sheet(design: Design, area_name: str, *, leaf: str = "leaf") -> Drawing:
    """One gilded area on its face at true size, with the leaves as they are laid.

    Parameters
    ----------
    design : Design
    area_name : str
    leaf : {"leaf", "leaf_us", "imitation_leaf"}

    Raises
    ------
    DesignError
        For an area that is not gilded, or an unknown leaf.
    """
    area = next((a for a in _gilded(design) if a.name == area_name), None)
    if area is None:
        known = ", ".join(a.name for a in _gilded(design)) or "none"
        raise DesignError(f"there is no gilded area {area_name!r}; gilded are {known}")
    plan = leaf_plan(area.outline, leaf=leaf)
    face = face_size_mm(design, area.face)
    patches = [patch.shape for patch in plan.patches]
    reach = shapely.total_bounds([*plan.laid, *patches, box(0, 0, *face)]).tolist()
    page = face_page(
        f"Leaf for {_named(area)}",
        face,
        _notes(design, area, plan, leaf),
        reach=(reach[0], reach[1], reach[2], reach[3]),
        units=design.units,
    )
    page.sheet.polygon("detail", page.shape(area.outline), tint=area.color)
    for each in (*plan.laid, *patches):
        page.sheet.polygon("score", page.shape(each))
    _number(page, plan)
    for place in _narrow_places(area):
        page.sheet.circle("leader", page.point(*place.at), _RING_MM)
    return page.sheet.build()


def gilding_files(design: Design) -> dict[str, Drawing]:
    """``gilding/<area>`` of every gilded area, by path; empty where nothing is gilded."""
    leaf = finishing_of(design.taken).leaf
    return {f"gilding/{area.name}": gilding_sheet(design, area.name, leaf=leaf) for area in _gilded(design)}


def _number(page: FacePage, plan: LeafPlan) -> None:
    """The order of laying in a corner of each leaf that no other leaf covers, on a ground of its own.

    Of the four corners the first that is clear of the registration crosses: a figure on a cross spoils both.
    """
    crosses = shapely.union_all([box(*cross) for cross in register_boxes(page.face)])
    inset = trade.value("gilding.overlap").number + _CLEAR_MM
    for i, each in enumerate(plan.laid, 1):
        x0, y0, x1, y1 = each.bounds
        width = text_width_mm(f"{i}", _FIGURE_MM)
        corners = [
            (x, y) for y in (y0 + inset + _FIGURE_MM, y1 - inset) for x in (x0 + inset, x1 - inset - width)
        ]
        at = next((p for p in corners if _figure(p, width).distance(crosses) >= _CLEAR_MM), corners[0])
        text = page.sheet.text(f"{i}", page.point(*at), _FIGURE_MM)
        page.sheet.polygon("print", text.box, tint="#ffffff")


def _figure(at: tuple[float, float], width: float) -> Polygon:
    return box(at[0], at[1] - _FIGURE_MM, at[0] + width, at[1])


def _notes(design: Design, area: Area, plan: LeafPlan, leaf: str) -> list[str]:
    side = leaf_side_mm(leaf)
    lap = trade.value("gilding.lap_and_waste").number
    lines = [
        f"Leaf for {_named(area)}: {design.reading.regions.sprite.file}, true size. {area.why}",
        f"Net {area.outline.area / 100:.1f} cm², {area.outline.area * lap / 100:.1f} cm² with lap and waste "
        f"(x {lap:g}).",
        f"{_NAMES[leaf]} {side:g} mm: {plan.by_area} by area, {plan.by_laying} by laying "
        f"({_laying_words(plan)}); take {plan.leaves}.",
    ]
    if len(plan.laid) > 1:
        overlap = trade.value("gilding.overlap").number
        lines.append(f"Lay leaves that meet in order, each {overlap:g} mm over the one before.")
    if plan.patches:
        margin = trade.value("gilding.overlap_small").number
        lines.append(f"Patches reach {margin:g} mm beyond what they cover; cut them with a gilder's knife.")
    lines += [f"{finding.sentence} It is ringed." for finding in _narrow(area)]
    return [*lines, *_total(design)]


def _total(design: Design) -> Iterator[str]:
    """All gilded areas of the object together, for each size of leaf."""
    areas = _gilded(design)
    lap = trade.value("gilding.lap_and_waste").number
    net = sum(area.outline.area for area in areas)
    what = "The one gilded area" if len(areas) == 1 else f"All {len(areas)} gilded areas"
    yield f"{what}: net {net / 100:.1f} cm², {net * lap / 100:.1f} cm² with lap and waste."
    for leaf in LEAVES:
        leaves = sum(leaf_plan(area.outline, leaf=leaf).leaves for area in areas)
        books = books_to_buy(leaves)
        yield (
            f"{_NAMES[leaf]} {leaf_side_mm(leaf):g} mm: {_leaves(leaves)} in all, "
            f"buy {books} {'book' if books == 1 else 'books'} of "
            f"{trade.value('gilding.leaves_in_book').number:g}."
        )


def _laying_words(plan: LeafPlan) -> str:
    cut = len(plan.patches)
    words = [f"{len(plan.laid)} laid whole"] if plan.laid else []
    if cut:
        words.append(f"{cut} {'patch' if cut == 1 else 'patches'} cut from {_leaves(plan.cut_leaves)}")
    return " and ".join(words)


def _leaves(count: int) -> str:
    return f"{count} {'leaf' if count == 1 else 'leaves'}"


def _narrow(area: Area) -> Iterator[Finding]:
    places = _narrow_places(area)
    if not places:
        return
    limit = trade.value("gilding.smallest_line")
    first, least = places[0], float(limit.value["masked_size"])
    yield Finding(
        "narrow-gilding",
        area.name,
        f"{_named(area)[:1].upper()}{_named(area)[1:]} is {rounded_down(first.size, 2)} mm narrow at x "
        f"{first.at[0]:.1f}, "
        f"y {first.at[1]:.1f} mm{_more(len(places) - 1)}; size through a mask holds from {least:g} mm on, "
        f"laid by brush from {limit.value['brushed_size']:g} mm on, "
        f"a foil pen from {limit.value['foil_pen']:g} mm on. Repair widens "
        "for the tool of the edges (area_tool), not for leaf.",
        round(first.size, 3),
        least,
        limit.cited,
    )


def _more(count: int) -> str:
    return f" and narrow in {count} more {'place' if count == 1 else 'places'}" if count else ""


def _narrow_places(area: Area) -> list[Place]:
    return narrow_places(area.outline, float(trade.value("gilding.smallest_line").value["masked_size"]))


def _gilded(design: Design) -> list[Area]:
    return [area for area in design.areas if area.treatment == "gilded"]


def _named(area: Area) -> str:
    return area.name.replace("_", " ")
