"""Exploded view: the parts drawn apart along their axes, with item numbers and a parts list.

Item references after ISO 6433, the parts list after ISO 7573.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.drawing.apart import bodies_apart
from pixel2make.pack.drawing.bodies import Body
from pixel2make.pack.drawing.heading import frame_views, heading, start_sheet
from pixel2make.pack.drawing.layout import DRAWN, Layout
from pixel2make.pack.drawing.sheet import (
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    scale_name,
)
from pixel2make.pack.drawing.table import ROW_MM, Table
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.quantity import length_digits

__all__ = ["can_explode", "exploded_view"]

_BALLOON = trade.value("drawing.balloon").value
BALLOON_MM, NUMBER_MM = float(_BALLOON["radius"]), float(_BALLOON["number"])
CLEAR_MM, ROOM_MM = float(_BALLOON["clear"]), float(_BALLOON["room"])
_REACHES_MM = trade.value("drawing.balloon_reach").numbers
_MARGIN = trade.value("drawing.sheet_margin").value
INSET_MM, TABLE_MM, BAND_MM = (float(_MARGIN[key]) for key in ("inset", "table", "band"))
_TURNS_DEG = (-90, -60, -120, -30, -150, 90, 60, 120, 0, 180, -75, -105, -45, -135, 30, 150)
"""Directions of a leader that are tried, upwards first, where the page is emptiest."""
_PLACES = 6
"""Spots across and down a part that are tried for the dot of its leader."""
_LEAST_LINE_MM = 0.05
"""Crumbs of edges, on the page, that cutting off what is hidden leaves."""


def can_explode(design: Design) -> bool:
    """Whether the design has the sizes and parts that the view is made of."""
    names = {d.name for d in design.dimensions}
    parts = {part.name for part in design.parts}
    return {"cover_width", "cover_height", "book_thickness"} <= names and {
        "front_board",
        "back_board",
    } <= parts


def exploded_view(design: Design) -> Drawing:
    """Sheet with the exploded view, a balloon at each part shown, and the list of all parts."""
    sheet = SHEETS["A3"]
    x0, y0, x1, y1 = sheet.space
    table = _parts_list(design, int((y1 - y0 - TITLE_BLOCK_HEIGHT_MM - BAND_MM) / ROW_MM) - 1)
    left = x1 - INSET_MM - table.width_mm
    zone = (x0 + INSET_MM, y0 + INSET_MM, left - TABLE_MM, y1 - TITLE_BLOCK_HEIGHT_MM - TABLE_MM)
    bodies = bodies_apart(design)
    bx0, by0, bx1, by1 = unary_union([body.silhouette for body in bodies]).bounds
    wide, tall = zone[2] - zone[0] - 2 * ROOM_MM, zone[3] - zone[1] - 2 * ROOM_MM
    scale = next((s for s in SCALES if (bx1 - bx0) * s <= wide and (by1 - by0) * s <= tall), SCALES[-1])
    dx = (zone[0] + zone[2]) / 2 - scale * (bx0 + bx1) / 2
    dy = (zone[1] + zone[3]) / 2 - scale * (by0 + by1) / 2

    def on_page(geometry: BaseGeometry) -> BaseGeometry:
        return affine_transform(geometry, (scale, 0, 0, scale, dx, dy))

    is_broken = any(part.material == "ribbon" for part in design.parts)
    block = heading(
        design,
        sheet,
        title="Exploded view",
        document="Exploded view, parts list",
        mark="EX",
        scale=scale_name(scale),
        note="thin parts thicker" + (", ribbon broken" if is_broken else ""),
    )
    page = start_sheet(sheet, replace(block, projection=None), "Closed book, exploded view")
    table.draw(page, left, y0 + INSET_MM)
    before = len(page.paths), len(page.texts)
    shown = _draw_bodies(page, bodies, on_page)
    drawn = unary_union([line for path in page.paths if path.purpose in DRAWN for line in path.lines])
    layout, named = Layout(page, zone), set()
    for number, seen in shown:
        if number not in named and layout.place(_balloons(layout, number, seen, drawn)):
            named.add(number)
    frame_views(page, *before)
    return page.build()


def _draw_bodies(
    page: DrawingBuilder, bodies: Sequence[Body], on_page: Callable[[BaseGeometry], BaseGeometry]
) -> list[tuple[int, BaseGeometry]]:
    """Draw what is not behind something nearer; number and seen part of each body, the small ones first.

    What is small has the fewest places for its balloon.
    """
    nearer: BaseGeometry = Polygon()
    shown: list[tuple[int, BaseGeometry]] = []
    for body in bodies:
        whole = nearer
        for face in body.faces:
            for line in _lines(on_page(face.boundary.difference(nearer))):
                page.line("visible", *((float(x), float(y)) for x, y in line.coords))
            nearer = nearer.union(face)
        for mark in body.marks:
            for line in _lines(on_page(mark.difference(whole))):
                page.line("detail", *((float(x), float(y)) for x, y in line.coords))
        seen = on_page(body.silhouette.difference(whole))
        if not seen.is_empty:
            shown.append((body.number, seen))
    return sorted(shown, key=lambda one: one[1].area)


def _lines(geometry: BaseGeometry) -> Iterator[LineString]:
    for part in getattr(geometry, "geoms", [geometry]):
        if isinstance(part, LineString) and part.length > _LEAST_LINE_MM:
            yield part


def _balloons(
    layout: Layout, number: int, seen: BaseGeometry, drawn: BaseGeometry
) -> Iterator[DrawingBuilder]:
    """A dot on the part, a leader, and its number in a circle that no edge runs through."""
    for at in _places(seen):
        for reach in _REACHES_MM:
            for turn in _TURNS_DEG:
                ux, uy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
                center = (at.x + ux * (reach + BALLOON_MM), at.y + uy * (reach + BALLOON_MM))
                if drawn.distance(Point(center)) < BALLOON_MM + CLEAR_MM:
                    continue
                page = layout.fragment()
                page.dot((at.x, at.y))
                page.line("leader", (at.x, at.y), (at.x + ux * reach, at.y + uy * reach))
                page.circle("leader", center, BALLOON_MM)
                page.text(str(number), (center[0], center[1] + NUMBER_MM / 2), NUMBER_MM, "middle")
                yield page


def _places(seen: BaseGeometry) -> Iterator[Point]:
    """Points of a part that are seen: its middle first, then others over its largest piece."""
    piece = max(getattr(seen, "geoms", [seen]), key=lambda g: g.area)
    yield piece.representative_point()
    x0, y0, x1, y1 = piece.bounds
    for i in range(1, _PLACES):
        for j in range(1, _PLACES):
            at = Point(x0 + (x1 - x0) * i / _PLACES, y0 + (y1 - y0) * j / _PLACES)
            if piece.contains(at):
                yield at


def _parts_list(design: Design, most: int) -> Table:
    """Item, part, pieces, material and size of every part (ISO 7573)."""
    units = design.units
    rows = [
        (
            str(i),
            part.name.replace("_", " "),
            str(part.quantity),
            part.material.replace("_", " "),
            " x ".join(length_digits(v, units) for v in (*part.size_mm, part.thickness_mm)),
        )
        for i, part in enumerate(design.parts, 1)
    ]
    return Table(("item", "part", "pieces", "material", f"size {units}"), rows, right=(0, 2), most=most)
