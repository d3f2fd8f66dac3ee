"""General arrangement: front, fore-edge and head of the closed book on one dimensioned sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import NamedTuple

from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

from pixel2make import trade
from pixel2make.design.model import Area, Design
from pixel2make.errors import DesignError
from pixel2make.pack.drawing.cutting_plane import cutting_plane
from pixel2make.pack.drawing.dimension_line import Linear, leader, linear, radius
from pixel2make.pack.drawing.head_view import head_view
from pixel2make.pack.drawing.heading import frame_views, heading, start_sheet
from pixel2make.pack.drawing.layers import has_layers
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.placing import NAME_GAP_MM, Placing, lay_views
from pixel2make.pack.drawing.sheet import (
    FIRST_ANGLE,
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    TITLE_BLOCK_WIDTH_MM,
    Sheet,
    scale_name,
)
from pixel2make.pack.drawing.table import HEIGHT_MM, ROW_MM, Table, dimension_rows, millimetres
from pixel2make.pack.drawing.view import Measure, View, fore_edge_view, front_view
from pixel2make.pack.pens import Drawing, DrawingBuilder, Point
from pixel2make.quantity import length_digits

__all__ = ["general_arrangement"]

LEAST_DRAWN_MM = 80.0
"""The longer edge of the cover as drawn: any smaller, and a clasp of a tenth is lost in its lettering."""
LARGER_SHEET_COSTS = 3
"""Dimensions that may stand in the table alone before the next scale or sheet is worth its size."""
PAD_MM = 4.0
TABLE_INSET_MM = 5.5
"""Tables keep off the centring mark, which reaches 5 into the drawing space."""
TINT_SHARE = 0.15
"""How much of an area's own colour lies under it; its lettering keeps a contrast of 10 to 1 and more."""
MOST_AREAS = 14
UPRIGHT_SHARE = 0.35
"""Rows of the list of areas, and the share of an upright sheet that the tables may take."""
NAME_STEP_MM, NAME_BELOW_MM = 1.0, 24.0
"""A view's name that finds no room above its dimension lines goes up in such steps, or down below the view
within so much."""
NAME_HEIGHT_MM: float = trade.value("drawing.lettering").value["dimension"]
DOCUMENT = "general arrangement"
KIND_TITLES = {"book": "Closed book"}


_Zone = tuple[float, float, float, float]


class _Views(NamedTuple):
    front: View
    side: View
    head: View


@dataclass(frozen=True)
class _Attempt:
    page: DrawingBuilder
    missing: int
    is_usable: bool


def general_arrangement(design: Design) -> Drawing:
    """The closed book with its dimensions: front, fore-edge and head, by first or third angle as was asked.

    The sheet is the smallest of ISO 5457 on which everything finds its place with the largest scale of
    ISO 5455 that fits. A dimension that finds no place clear of all others stands in the table alone.

    Raises
    ------
    DesignError
        Where not even the largest sheet at the smallest scale holds the book.
    """
    views = _Views(front_view(design), fore_edge_view(design), head_view(design))
    best: _Attempt | None = None
    tries = 0
    for sheet, scale in _candidates(views.front):
        attempt = _attempt(design, views, sheet, scale)
        if attempt is None or not attempt.is_usable:
            continue
        if best is None or attempt.missing + LARGER_SHEET_COSTS * tries < best.missing:
            best = attempt
        tries += 1
        if best.missing <= LARGER_SHEET_COSTS * tries:
            break
    if best is None:
        x0, y0, x1, y1 = views.front.bounds
        raise DesignError(
            f"a book of {millimetres(x1 - x0)} x {millimetres(y1 - y0)} mm fits no drawing sheet up to A0; "
            "choose another size"
        )
    return best.page.build()


def _candidates(front: View) -> Iterator[tuple[Sheet, float]]:
    """Smallest sheet first, on each the largest scale first; too small drawings come last."""
    longer = max(front.bounds[2] - front.bounds[0], front.bounds[3] - front.bounds[1])
    for is_legible in (True, False):
        for sheet in SHEETS.values():
            for scale in SCALES:
                if (longer * scale >= LEAST_DRAWN_MM) == is_legible:
                    yield sheet, scale


def _tables(design: Design, sheet: Sheet) -> tuple[Table, Table]:
    """Dimensions and areas, as many rows as the sheet has room for."""
    rows = [
        (str(i), area.name, area.treatment, area.color, *_middle(area, design.units))
        for i, area in enumerate(design.areas, 1)
    ]
    head = ("no.", "area", "treatment", "colour", "x", "y")
    areas = Table(head, rows, right=(0, 4, 5), most=MOST_AREAS)
    _, top, _, low = sheet.space
    room = low - top - TITLE_BLOCK_HEIGHT_MM - 2 * PAD_MM
    if _is_upright(sheet):
        most = int(room * UPRIGHT_SHARE / ROW_MM)
    else:
        most = int((room - areas.height_mm - PAD_MM) / ROW_MM) - 1
    sizes = ("dimension", design.units, "low to high", "from")
    return Table(sizes, dimension_rows(design), right=(1, 2), most=most), areas


def _is_upright(sheet: Sheet) -> bool:
    return sheet.height_mm > sheet.width_mm


def _middle(area: Area, units: str) -> tuple[str, str]:
    """Middle of an area on its face, from the spine edge and the head."""
    x0, y0, x1, y1 = area.outline.bounds
    return length_digits((x0 + x1) / 2, units), length_digits((y0 + y1) / 2, units)


def _attempt(design: Design, views: _Views, sheet: Sheet, scale: float) -> _Attempt | None:
    projection = str(design.taken.get("projection", FIRST_ANGLE))
    block = heading(
        design,
        sheet,
        title=_title(design),
        document=DOCUMENT.capitalize(),
        mark="GA",
        scale=scale_name(scale),
    )
    page = start_sheet(sheet, replace(block, projection=projection), f"{_title(design)}, {DOCUMENT}")
    zone = _lay_tables(page, sheet, _tables(design, sheet))
    if zone is None:
        return None
    laid = (
        lay_views(*views, part, scale, projection=projection, units=design.units, corner=_corner(sheet))
        for part in _parts_of(zone, sheet)
    )
    placings = next((found for found in laid if found is not None), None)
    if placings is None:
        return None
    before = len(page.paths), len(page.texts)
    for placing in placings:
        _draw_view(page, placing)
    layout = Layout(page, zone, closed=[(*_corner(sheet), sheet.width_mm, sheet.height_mm)])
    missing = _mark(layout, placings[0], design)
    is_usable = True
    for placing in placings:
        own = len(page.paths)
        for measure in placing.view.measures:
            is_placed = layout.place(_measure_fragments(layout, placing, measure, _lettering(sheet)))
            missing += not is_placed
            is_usable &= is_placed or not measure.is_essential
        missing += not _place_radius(layout, placing, _lettering(sheet))
        layout.place(_name_fragments(layout, placing, own))
    frame_views(page, *before)
    return _Attempt(page, missing, is_usable)


def _mark(layout: Layout, front: Placing, design: Design) -> int:
    """Numbers of the areas and the marks of the section; how many of them found no place."""
    marks = [(front.shape(mark.outline), mark.label) for mark in front.view.marks]
    missing = sum(not _place_mark(layout, outline, label) for outline, label in marks)
    if has_layers(design):
        # the section shows no clasp, so it goes through none
        tops = [(front.point((0, c.position_mm))[1], c.width.value_mm * front.scale) for c in design.clasps]
        spans = [(top, top + high) for top, high in tops]
        missing += not layout.place(cutting_plane(layout.fragment, front.bounds, spans))
    return missing


def _corner(sheet: Sheet) -> Point:
    """Where the title block begins, with the air that views and tables keep from it."""
    _, _, x1, y1 = sheet.space
    return (x1 - TITLE_BLOCK_WIDTH_MM - PAD_MM, y1 - TITLE_BLOCK_HEIGHT_MM - PAD_MM)


def _parts_of(zone: _Zone, sheet: Sheet) -> Iterator[_Zone]:
    """Where views may be centred: above the title block, on all of the zone, beside the title block."""
    x0, y0, x1, y1 = zone
    left, top = _corner(sheet)
    yield (x0, y0, x1, min(y1, top))
    yield zone
    yield (x0, y0, min(x1, left), y1)


def _lettering(sheet: Sheet) -> float:
    sizes = trade.value("drawing.lettering").value
    return float(sizes["note"] if sheet.name == "A4" else sizes["dimension"])


def _title(design: Design) -> str:
    return KIND_TITLES.get(design.reading.kind, design.reading.kind.replace("_", " ").capitalize())


def _lay_tables(page: DrawingBuilder, sheet: Sheet, tables: tuple[Table, Table]) -> _Zone | None:
    """Draw the tables; returns what is left of the sheet, None where they do not fit.

    On an upright sheet they stand above the title block side by side, else in a column at the right, and
    the title block stands in a corner of what is left.
    """
    x0, y0, x1, y1 = sheet.space
    floor = y1 - TITLE_BLOCK_HEIGHT_MM - PAD_MM
    sizes, areas = tables
    if _is_upright(sheet):
        top = floor - max(sizes.height_mm, areas.height_mm)
        right = x0 + PAD_MM / 2 + sizes.width_mm + PAD_MM
        if areas.rows and right + areas.width_mm > x1:
            return None
        sizes.draw(page, x0 + PAD_MM / 2, top)
        areas.draw(page, right, top)
        return (x0 + PAD_MM / 2, y0 + PAD_MM / 2, x1 - PAD_MM / 2, top - PAD_MM)
    left = x1 - TABLE_INSET_MM - max(sizes.width_mm, areas.width_mm if areas.rows else 0.0)
    sizes.draw(page, left, y0 + PAD_MM)
    areas.draw(page, left, y0 + 2 * PAD_MM + sizes.height_mm)
    return (x0 + PAD_MM / 2, y0 + PAD_MM / 2, left - PAD_MM, y1 - PAD_MM)


def _draw_view(page: DrawingBuilder, placing: Placing) -> None:
    for mark in placing.view.marks:
        _draw_shape(page, "detail", placing.shape(mark.outline), tint=_pale(mark.color))
    for purpose, shape in placing.view.shapes:
        _draw_shape(page, purpose, placing.shape(shape))


def _pale(color: str) -> str:
    """A colour mixed with white, so that lines and lettering stay readable on it.

    >>> _pale("#000000")
    '#d9d9d9'
    """
    channels = (int(color[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(255 - (255 - c) * TINT_SHARE):02x}" for c in channels)


def _draw_shape(page: DrawingBuilder, purpose: str, shape: BaseGeometry, *, tint: str | None = None) -> None:
    if isinstance(shape, LineString):
        page.line(purpose, *((float(x), float(y)) for x, y in shape.coords))
    elif isinstance(shape, Polygon | MultiPolygon):
        page.polygon(purpose, shape, tint=tint)
    elif isinstance(shape, BaseMultipartGeometry):
        for part in shape.geoms:
            _draw_shape(page, purpose, part, tint=tint)


def _measure_fragments(
    layout: Layout, placing: Placing, measure: Measure, height: float
) -> Iterator[DrawingBuilder]:
    x0, y0, x1, y1 = placing.view.bounds
    edges = {-1: placing.point((x0, y0)), 1: placing.point((x1, y1))}
    for side in measure.sides:
        base = edges[side][0 if measure.is_vertical else 1]
        start, end = measure.start, measure.end
        if side != measure.sides[0] and measure.opposite is not None:
            start, end = measure.opposite
        axis = 1 if measure.is_vertical else 0
        line = Linear(
            length_digits(measure.value_mm, placing.units),
            placing.point(start),
            placing.point(end),
            measure.is_vertical,
            side,
            base,
            is_low_first=start[axis] + end[axis] < placing.view.bounds[axis] + placing.view.bounds[axis + 2],
        )
        yield from linear(layout.fragment, line, height)


def _place_mark(layout: Layout, outline: BaseGeometry, label: str) -> bool:
    """The number inside its area where it is clear, else outside at a leader."""
    if outline.is_empty:
        return True
    inside = outline.representative_point()
    here = layout.fragment()
    text = here.text(label, (inside.x, inside.y + HEIGHT_MM / 2), HEIGHT_MM, "middle")
    if outline.contains(text.box) and layout.place([here]):
        return True
    return layout.place(leader(layout.fragment, label, (inside.x, inside.y), HEIGHT_MM))


def _name_fragments(layout: Layout, placing: Placing, own: int) -> Iterator[DrawingBuilder]:
    """The view's name above all dimension lines of its upper side, else below it.

    `own` counts the paths that were on the page before this view's dimensions.
    """
    left, top, right, bottom = placing.bounds
    lines = (path.contours for path in layout.page.paths[own:] if path.purpose == "dimension")
    over = (y for contours in lines for points in contours for x, y in points if left <= x <= right)
    highest = min([top, *over]) - NAME_GAP_MM
    ups = (highest - NAME_STEP_MM * i for i in range(int(max(0.0, highest - layout.zone[1]) / NAME_STEP_MM)))
    downs = (bottom + NAME_GAP_MM + NAME_STEP_MM * i for i in range(int(NAME_BELOW_MM / NAME_STEP_MM)))
    middle = (left + right) / 2
    for level in (top - NAME_GAP_MM, *ups, *downs):
        page = layout.fragment()
        page.text(placing.view.name, (middle, level), NAME_HEIGHT_MM, "middle")
        yield page


def _place_radius(layout: Layout, placing: Placing, height: float) -> bool:
    """One radius stands for all corners of the cover; true where there is none to place."""
    corners = placing.view.corners
    fragments = (
        fragment
        for corner in corners
        for fragment in radius(
            layout.fragment,
            f"R{length_digits(corner.radius_mm, placing.units)}",
            placing.point(corner.center),
            corner.radius_mm * placing.scale,
            corner.turns_deg,
            height,
        )
    )
    return not corners or layout.place(fragments)
