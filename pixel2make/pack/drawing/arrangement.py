"""General arrangement: front view and fore-edge view of the closed book on one dimensioned sheet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from shapely.affinity import affine_transform
from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry

from pixel2make import trade
from pixel2make.design.model import Area, Design
from pixel2make.errors import DesignError
from pixel2make.pack.drawing.dimension_line import Linear, leader, linear, radius
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import (
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    Sheet,
    TitleBlock,
    draw_frame,
    draw_title_block,
    scale_name,
)
from pixel2make.pack.drawing.table import HEIGHT_MM, ROW_MM, Table, dimension_rows, millimetres
from pixel2make.pack.drawing.view import Measure, View, fore_edge_view, front_view
from pixel2make.pack.pens import Drawing, DrawingBuilder, Point
from pixel2make.quantity import length_digits

__all__ = ["general_arrangement"]

LEAST_DRAWN_MM = 80.0
"""The longer edge of the cover as drawn: any smaller, and a clasp of a tenth is lost in its lettering."""
LEAST_ROOM_MM = (29.0, 42.0, 29.0)
"""Free width left of both views, between them, and right of them, for three, four and one dimension
lines with their lettering; less is not worth a try."""
LEAST_ROOM_ABOVE_MM, LEAST_ROOM_BELOW_MM = 36.0, 26.0
LARGER_SHEET_COSTS = 3
"""Dimensions that may stand in the table alone before the next scale or sheet is worth its size."""
MOST_SPREAD = 1.4
"""How much wider than the least room the room between views may become; the rest goes outside."""
PAD_MM = 4.0
TABLE_INSET_MM = 5.5
"""Tables keep off the centring mark, which reaches 5 into the drawing space."""
TINT_SHARE = 0.15
"""How much of an area's own colour lies under it; its lettering keeps a contrast of 10 to 1 and more."""
MOST_AREAS = 14
UPRIGHT_SHARE = 0.35
"""Rows of the list of areas, and the share of an upright sheet that the tables may take."""
NAME_GAP_MM, NAME_STEP_MM = 10.0, 1.0
"""A view's name stands this far above its dimension lines, or as many steps higher as it takes."""
NAME_MM = 6.0
"""Height of a strip at the head of the sheet that is kept for the views' names."""
NAME_HEIGHT_MM: float = trade.value("drawing.lettering").value["dimension"]
DOCUMENT = "general arrangement"
KIND_TITLES = {"book": "Closed book"}


@dataclass(frozen=True)
class _Placing:
    """Where a view lies on the page: page = offset + scale * model."""

    view: View
    scale: float
    offset: Point
    units: str = "mm"

    def point(self, point: Point) -> Point:
        return (self.offset[0] + self.scale * point[0], self.offset[1] + self.scale * point[1])

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        s, (dx, dy) = self.scale, self.offset
        return affine_transform(geometry, (s, 0, 0, s, dx, dy))


@dataclass(frozen=True)
class _Attempt:
    page: DrawingBuilder
    missing: int
    is_usable: bool


def general_arrangement(design: Design) -> Drawing:
    """The closed book with its dimensions, front view and fore-edge view in first-angle projection.

    The sheet is the smallest of ISO 5457 on which everything finds its place with the largest scale of
    ISO 5455 that fits. A dimension that finds no place clear of all others stands in the table alone.

    Raises
    ------
    DesignError
        Where not even the largest sheet at the smallest scale holds the book.
    """
    views = (fore_edge_view(design), front_view(design))
    best: _Attempt | None = None
    tries = 0
    for sheet, scale in _candidates(views[1]):
        attempt = _attempt(design, views, sheet, scale)
        if attempt is None or not attempt.is_usable:
            continue
        if best is None or attempt.missing + LARGER_SHEET_COSTS * tries < best.missing:
            best = attempt
        tries += 1
        if best.missing <= LARGER_SHEET_COSTS * tries:
            break
    if best is None:
        x0, y0, x1, y1 = views[1].bounds
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


def _attempt(design: Design, views: tuple[View, View], sheet: Sheet, scale: float) -> _Attempt | None:
    page = DrawingBuilder(sheet.width_mm, sheet.height_mm, f"{_title(design)}, {DOCUMENT}", is_sheet=True)
    zone = _lay_tables(page, sheet, _tables(design, sheet))
    placings = _lay_views(views, zone, scale, design.units) if zone else None
    if zone is None or placings is None:
        return None
    draw_frame(page, sheet)
    draw_title_block(page, sheet, _title_block(design, sheet, scale))
    for placing in placings:
        _draw_view(page, placing)
    layout = Layout(page, zone)
    height = _lettering(sheet)
    missing, is_usable = 0, True
    for placing in placings:
        for mark in placing.view.marks:
            missing += not _place_mark(layout, placing.shape(mark.outline), mark.label)
    for placing in placings:
        for measure in placing.view.measures:
            is_placed = layout.place(_measure_fragments(layout, placing, measure, height))
            missing += not is_placed
            is_usable &= is_placed or not measure.is_essential
        missing += not _place_radius(layout, placing, height)
        layout.place(_name_fragments(layout, placing))
    return _Attempt(page, missing, is_usable)


def _lettering(sheet: Sheet) -> float:
    sizes = trade.value("drawing.lettering").value
    return float(sizes["note"] if sheet.name == "A4" else sizes["dimension"])


def _title(design: Design) -> str:
    return KIND_TITLES.get(design.reading.kind, design.reading.kind.replace("_", " ").capitalize())


def _title_block(design: Design, sheet: Sheet, scale: float) -> TitleBlock:
    from pixel2make import __version__

    sprite = design.reading.regions.sprite
    return TitleBlock(
        title=_title(design),
        supplement=f"after the sprite {sprite.file}",
        document_type=DOCUMENT.capitalize(),
        identification=f"{sprite.sha256[:8]}-GA",
        creator=f"pixel2make {__version__}",
        scale=scale_name(scale),
        sheet_name=sheet.name,
        units=design.units,
        tolerance=f"ISO 2768-1 {trade.value('drawing.tolerance_class').value['greyboard']}",
    )


def _lay_tables(
    page: DrawingBuilder, sheet: Sheet, tables: tuple[Table, Table]
) -> tuple[float, float, float, float] | None:
    """Draw the tables; returns what is left for the views, None where they do not fit.

    On an upright sheet they stand above the title block side by side, else in a column at the right.
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
    return (x0 + PAD_MM / 2, y0 + PAD_MM / 2, left - PAD_MM, floor)


def _lay_views(
    views: tuple[View, View], zone: tuple[float, float, float, float], scale: float, units: str
) -> tuple[_Placing, _Placing] | None:
    """Both views level beside each other in the middle of the zone; None if they are too large for it."""
    x0, y0, x1, y1 = zone
    y0 += NAME_MM
    side, front = views
    widths = [(view.bounds[2] - view.bounds[0]) * scale for view in views]
    height = (front.bounds[3] - front.bounds[1]) * scale
    spare = (x1 - x0) - sum(widths) - sum(LEAST_ROOM_MM)
    spare_height = (y1 - y0) - height - LEAST_ROOM_ABOVE_MM - LEAST_ROOM_BELOW_MM
    if spare < 0 or spare_height < 0:
        return None
    between = LEAST_ROOM_MM[1] * min(1 + spare / sum(LEAST_ROOM_MM), MOST_SPREAD)
    left = x0 + LEAST_ROOM_MM[0] + (spare - (between - LEAST_ROOM_MM[1])) / 2
    top = y0 + LEAST_ROOM_ABOVE_MM + spare_height / 2
    return (
        _Placing(side, scale, (left - side.bounds[0] * scale, top), units),
        _Placing(front, scale, (left + widths[0] + between - front.bounds[0] * scale, top), units),
    )


def _draw_view(page: DrawingBuilder, placing: _Placing) -> None:
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
    layout: Layout, placing: _Placing, measure: Measure, height: float
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


def _name_fragments(layout: Layout, placing: _Placing) -> Iterator[DrawingBuilder]:
    """The view's name above all dimension lines of its upper side."""
    x0, y0, x1, _ = placing.view.bounds
    left, top = placing.point((x0, y0))
    right = placing.point((x1, y0))[0]
    lines = (path.contours for path in layout.page.paths if path.purpose == "dimension")
    over = (y for contours in lines for points in contours for x, y in points if left <= x <= right)
    level = min([top, *over]) - NAME_GAP_MM
    while level > layout.zone[1]:
        page = layout.fragment()
        page.text(placing.view.name, ((left + right) / 2, level), NAME_HEIGHT_MM, "middle")
        yield page
        level -= NAME_STEP_MM


def _place_radius(layout: Layout, placing: _Placing, height: float) -> bool:
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
