"""Leaf for gilded areas: how much, how the leaves lie, what is too narrow to gild."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.model import Area, Design, Finding
from pixel2make.errors import DesignError
from pixel2make.geometry.narrow import Place, narrow_places
from pixel2make.pack.face_page import FacePage, face_page
from pixel2make.pack.masks import face_size_mm
from pixel2make.pack.pens import Drawing

__all__ = [
    "LEAVES",
    "LeafCount",
    "books_to_buy",
    "gilding_files",
    "gilding_findings",
    "gilding_sheet",
    "leaf_count",
    "leaf_grid",
]

LEAVES = ("leaf", "leaf_us", "imitation_leaf")
"""European and American gold leaf, imitation leaf: keys of the trade table "gilding"."""

_NAMES = {"leaf": "Gold leaf", "leaf_us": "American gold leaf", "imitation_leaf": "Imitation leaf"}

_FIGURE_MM = trade.value("drawing.lettering").value["dimension"]

_RING_MM = 4.0
"""Radius of the ring that points out a narrow strip."""


@dataclass(frozen=True)
class LeafCount:
    """Leaves for one area.

    Attributes
    ----------
    area_mm2 : float
        Net.
    by_area : int
        With lap and waste.
    by_grid : int
        As they are laid over the area's extent; 0 where several pieces are cut from one leaf.
    pieces_in_leaf : int
        Pieces of the area's extent that a leaf gives; 0 where it gives none.
    """

    area_mm2: float
    by_area: int
    by_grid: int
    pieces_in_leaf: int

    @property
    def leaves(self) -> int:
        """The larger of the two counts."""
        return max(self.by_area, self.by_grid)


def leaf_count(area_mm2: float, extent_mm: tuple[float, float], *, leaf: str = "leaf") -> LeafCount:
    """Count the leaves for one area by its net size and by the grid in which they are laid.

    Parameters
    ----------
    area_mm2 : float
    extent_mm : (float, float)
        Width and height of the area's bounding box.
    leaf : {"leaf", "leaf_us", "imitation_leaf"}

    Returns
    -------
    LeafCount
        An area that fits a leaf with a margin all around counts by area, and at least one.

    Examples
    --------
    A panel of 250 x 180 mm with leaves of 80 mm, 5 mm over each other:

    >>> count = leaf_count(250 * 180, (250, 180))
    >>> count.by_area, count.by_grid, count.leaves, books_to_buy(count.leaves)
    (10, 12, 12, 1)
    """
    side = _side(leaf)
    by_area = max(1, math.ceil(trade.value("gilding.lap_and_waste").number * area_mm2 / side**2))
    margin = 2 * trade.value("gilding.overlap_small").number
    across, down = (math.floor(side / (length + margin)) for length in extent_mm)
    if across and down:
        return LeafCount(area_mm2, by_area, 0, across * down)
    columns, rows = _steps(extent_mm, side)
    return LeafCount(area_mm2, by_area, columns * rows, 0)


def leaf_grid(bounds: tuple[float, float, float, float], *, leaf: str = "leaf") -> list[shapely.Polygon]:
    """Leaves laid over an extent, row by row, each over the one before; the grid stands over its middle.

    >>> [leaf.bounds for leaf in leaf_grid((0, 0, 155, 80))]
    [(0.0, 0.0, 80.0, 80.0), (75.0, 0.0, 155.0, 80.0)]
    """
    side, overlap = _side(leaf), trade.value("gilding.overlap").number
    x0, y0, x1, y1 = bounds
    columns, rows = _steps((x1 - x0, y1 - y0), side)
    pitch = side - overlap
    left = (x0 + x1 - columns * pitch - overlap) / 2
    top = (y0 + y1 - rows * pitch - overlap) / 2
    corners = [(left + i * pitch, top + j * pitch) for j in range(rows) for i in range(columns)]
    return [box(x, y, x + side, y + side) for x, y in corners]


def books_to_buy(leaves: int) -> int:
    """Books of leaf, with one for every five kept for mending.

    >>> books_to_buy(0), books_to_buy(12), books_to_buy(24)
    (0, 1, 2)
    """
    with_spare = leaves * (1 + trade.value("gilding.spare_books").number)
    return math.ceil(with_spare / trade.value("gilding.leaves_in_book").number)


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
    leaves = leaf_grid(area.outline.bounds, leaf=leaf)
    face = face_size_mm(design, area.face)
    reach = shapely.total_bounds([*leaves, box(0, 0, *face)]).tolist()
    page = face_page(
        f"Leaf for {_named(area)}",
        face,
        _notes(design, area, leaves, leaf),
        reach=(reach[0], reach[1], reach[2], reach[3]),
        units=design.units,
    )
    page.sheet.polygon("detail", page.shape(area.outline), tint=area.color)
    for each in leaves:
        page.sheet.polygon("score", page.shape(each))
    _number(page, area, leaves)
    for place in _narrow_places(area):
        page.sheet.circle("leader", page.point(*place.at), _RING_MM)
    return page.sheet.build()


def gilding_files(design: Design, *, leaf: str = "leaf") -> dict[str, Drawing]:
    """``gilding/<area>`` of every gilded area, by path; empty where nothing is gilded."""
    return {f"gilding/{area.name}": gilding_sheet(design, area.name, leaf=leaf) for area in _gilded(design)}


def _number(page: FacePage, area: Area, leaves: Sequence[shapely.Polygon]) -> None:
    """The order of laying in the corner of each leaf that no other leaf covers, on a ground of its own."""
    overlap = trade.value("gilding.overlap").number
    for i, each in enumerate(leaves, 1):
        x, y = page.point(each.bounds[0] + overlap + 1, each.bounds[1] + overlap + 1 + _FIGURE_MM)
        text = page.sheet.text(f"{i}" if each.intersects(area.outline) else f"({i})", (x, y), _FIGURE_MM)
        page.sheet.polygon("print", text.box, tint="#ffffff")


def _notes(design: Design, area: Area, leaves: Sequence[shapely.Polygon], leaf: str) -> list[str]:
    own = _count(area, leaf)
    side = _side(leaf)
    lap = trade.value("gilding.lap_and_waste").number
    lines = [
        f"Leaf for {_named(area)}: {design.reading.regions.sprite.file}, true size. {area.why}",
        f"Net {area.outline.area / 100:.1f} cm², {area.outline.area * lap / 100:.1f} cm² with lap and waste "
        f"(x {lap:g}).",
        f"{_NAMES[leaf]} {side:g} mm: {own.by_area} by area, {_grid_words(own)}; take {own.leaves}.",
    ]
    empty = sum(not each.intersects(area.outline) for each in leaves)
    if empty:
        lines.append(f"{empty} places of the grid, in brackets, lie beside the area and take no leaf.")
    if len(leaves) > 1:
        overlap = trade.value("gilding.overlap").number
        lines.append(f"Lay them in order, each {overlap:g} mm over the one before.")
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
        leaves = sum(_count(area, leaf).leaves for area in areas)
        books = books_to_buy(leaves)
        yield (
            f"{_NAMES[leaf]} {_side(leaf):g} mm: {leaves} {'leaf' if leaves == 1 else 'leaves'} in all, "
            f"buy {books} {'book' if books == 1 else 'books'} of "
            f"{trade.value('gilding.leaves_in_book').number:g}."
        )


def _grid_words(count: LeafCount) -> str:
    if count.pieces_in_leaf == 1:
        return "the area fits into one leaf"
    if count.pieces_in_leaf:
        return f"a leaf gives {count.pieces_in_leaf} pieces of its size"
    return f"{count.by_grid} by the grid"


def _narrow(area: Area) -> Iterator[Finding]:
    places = _narrow_places(area)
    if not places:
        return
    limit = trade.value("gilding.smallest_line")
    first, least = places[0], float(limit.value["masked_size"])
    yield Finding(
        "narrow-gilding",
        area.name,
        f"{_named(area)[:1].upper()}{_named(area)[1:]} is {first.size:.2f} mm narrow at x {first.at[0]:.1f}, "
        f"y {first.at[1]:.1f} mm{_more(len(places) - 1)}; size through a mask holds from {least:g} mm, "
        f"laid by brush from {limit.value['brushed_size']:g} mm, "
        f"a foil pen from {limit.value['foil_pen']:g} mm.",
        round(first.size, 3),
        least,
        limit.cited,
    )


def _more(count: int) -> str:
    return f" and narrow in {count} more {'place' if count == 1 else 'places'}" if count else ""


def _narrow_places(area: Area) -> list[Place]:
    return narrow_places(area.outline, float(trade.value("gilding.smallest_line").value["masked_size"]))


def _count(area: Area, leaf: str) -> LeafCount:
    x0, y0, x1, y1 = area.outline.bounds
    return leaf_count(area.outline.area, (x1 - x0, y1 - y0), leaf=leaf)


def _steps(extent_mm: tuple[float, float], side: float) -> tuple[int, int]:
    """Columns and rows; what a leaf covers in one direction still takes one leaf across."""
    overlap = trade.value("gilding.overlap").number
    columns, rows = (max(1, math.ceil((v - overlap) / (side - overlap))) for v in extent_mm)
    return columns, rows


def _side(leaf: str) -> float:
    if leaf not in LEAVES:
        raise DesignError(f"a leaf is one of {', '.join(LEAVES)}, got {leaf!r}")
    return trade.value(f"gilding.{leaf}").number


def _gilded(design: Design) -> list[Area]:
    return [area for area in design.areas if area.treatment == "gilded"]


def _named(area: Area) -> str:
    return area.name.replace("_", " ")
