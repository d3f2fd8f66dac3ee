"""Section across the spine: how block, lining, board and covering lie on one another, and an enlarged detail.

Drawn in millimetres of the real object: x from the spine's outer face to the fore-edge, y from the front
board's outer face to the back board's. Hatching after ISO 128-3: boards at 45 degrees, the leaves along
their length, the covering tinted, since it is too thin to hatch.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shapely.affinity import affine_transform, scale
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make.design.model import Design
from pixel2make.pack.drawing.dimension_line import Linear, leader, linear
from pixel2make.pack.drawing.heading import frame_views, heading, start_sheet
from pixel2make.pack.drawing.layers import DETAIL_REACH, Layer, spine_layers
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import (
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    scale_name,
)
from pixel2make.pack.drawing.view import length_of
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.quantity import length_digits

__all__ = ["section_drawing"]

HATCH_MM = 2.0
"""Between hatching lines on the page; ISO 128 asks for 0.7 at least."""
LEAF_MM = 1.4
DETAIL_DEPTH = 4.0
"""How far down it reaches, in thicknesses of the covered board."""
ROOM_MM = (36.0, 30.0)
"""Kept free left and right of a view, and above and below it, for dimensions and leaders."""
TINT = "#e3d3c4"
NOTE_MM = 2.5
NAME_MM = 3.5


@dataclass(frozen=True)
class _Placing:
    scale: float
    x: float
    y: float

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        return affine_transform(geometry, (self.scale, 0, 0, self.scale, self.x, self.y))

    def point(self, x: float, y: float) -> tuple[float, float]:
        return (self.x + self.scale * x, self.y + self.scale * y)


def section_drawing(design: Design) -> Drawing:
    """Section A-A across the spine and detail B of the front joint, each in a scale of ISO 5455."""
    width, thick = length_of(design, "cover_width"), length_of(design, "book_thickness")
    layers = spine_layers(design)
    edge = width - length_of(design, "board_width")
    deep = length_of(design, "covering_thickness") + length_of(design, "board_thickness")
    window = box(-0.5, -0.5, min(width, edge + DETAIL_REACH * deep), min(thick / 2, DETAIL_DEPTH * deep))
    sheet = SHEETS["A3"]
    x0, y0, x1, y1 = sheet.space
    zone = (x0 + 4.0, y0 + 8.0, x1 - 8.0, y1 - TITLE_BLOCK_HEIGHT_MM - 4.0)
    cut = (zone[3] - zone[1]) * 0.5
    first = _fitted((width, thick), zone[2] - zone[0] - 2 * ROOM_MM[0], cut - 2 * ROOM_MM[1] * 0.8)
    wx0, wy0, wx1, wy1 = window.bounds
    room = zone[3] - zone[1] - thick * first - 2.4 * ROOM_MM[1]
    second = _fitted((wx1 - wx0, wy1 - wy0), (zone[2] - zone[0]) / 2.4, room - ROOM_MM[1])
    block = heading(
        design,
        sheet,
        title="Section across the spine",
        document="Section and detail",
        mark="SE",
        scale=f"{scale_name(first)}, {scale_name(second)}",
        note="swell of the thread not drawn",
    )
    page = start_sheet(sheet, replace(block, projection=None), "Closed book, section across the spine")
    before = len(page.paths), len(page.texts)
    middle = (zone[0] + zone[2]) / 2
    whole = _Placing(first, middle - width * first / 2, zone[1] + ROOM_MM[1])
    top = whole.y + thick * first + 1.4 * ROOM_MM[1]
    detail = _Placing(second, middle - (wx0 + wx1) / 2 * second, top - wy0 * second)
    for layer in layers:
        _draw(page, layer, whole, None)
    for layer in layers:
        _draw(page, layer, detail, window)
    _ring(page, whole, window)
    page.text(f"A-A ({scale_name(first)})", (middle, zone[1] + 6.0), NAME_MM, "middle")
    page.text(f"B ({scale_name(second)})", (middle, top - ROOM_MM[1] * 0.75), NAME_MM, "middle")
    layout = Layout(page, zone)
    _measures(layout, design, whole, (width, thick))
    for layer in layers:
        layout.place(leader(layout.fragment, layer.name, detail.point(*layer.mark), NOTE_MM, 4.0))
    frame_views(page, *before)
    return page.build()


def _fitted(size: tuple[float, float], width: float, height: float) -> float:
    """The largest scale at which a size fits; the smallest of all where none does."""
    return next((s for s in SCALES if size[0] * s <= width and size[1] * s <= height), SCALES[-1])


def _draw(page: DrawingBuilder, layer: Layer, placing: _Placing, window: Polygon | None) -> None:
    shape = layer.shape if window is None else layer.shape.intersection(window)
    on_page = placing.shape(shape)
    if on_page.is_empty or not isinstance(on_page, Polygon | MultiPolygon):
        return
    page.polygon("detail", on_page, tint=TINT if not layer.hatch else None)
    for line in _hatching(on_page, layer.hatch):
        page.line("print", *((float(x), float(y)) for x, y in line.coords))


def _hatching(shape: Polygon | MultiPolygon, kind: str) -> Iterator[LineString]:
    if not kind:
        return
    x0, y0, x1, y1 = shape.bounds
    rows: list[LineString] = []
    if kind == "-":
        count = int((y1 - y0) / LEAF_MM)
        rows = [LineString([(x0, y0 + LEAF_MM * i), (x1, y0 + LEAF_MM * i)]) for i in range(1, count + 1)]
    else:
        reach = y1 - y0
        count = int((x1 - x0 + reach) / HATCH_MM)
        rows = [
            LineString([(x0 + HATCH_MM * i, y0), (x0 + HATCH_MM * i - reach, y1)])
            for i in range(1, count + 1)
        ]
    for row in rows:
        common = row.intersection(shape)
        for part in getattr(common, "geoms", [common]):
            if isinstance(part, LineString) and part.length > 0.2:
                yield part


def _ring(page: DrawingBuilder, placing: _Placing, window: Polygon) -> None:
    """A thin ring round what the detail enlarges (ISO 128-3)."""
    x0, y0, x1, y1 = placing.shape(window).bounds
    disc = Point((x0 + x1) / 2, (y0 + y1) / 2).buffer(1.0, quad_segs=16)
    circle = scale(disc, (x1 - x0) * 0.62, (y1 - y0) * 0.75)
    page.line("detail", *((float(x), float(y)) for x, y in circle.exterior.coords))
    page.text("B", (x0 - (x1 - x0) * 0.12 - 2.0, y0 - (y1 - y0) * 0.25), NAME_MM, "end")


def _measures(layout: Layout, design: Design, placing: _Placing, size: tuple[float, float]) -> None:
    width, thick = size
    units = design.units
    across = Linear(
        length_digits(width, units),
        placing.point(0, thick),
        placing.point(width, thick),
        False,
        1,
        placing.point(0, thick)[1],
    )
    down = Linear(
        length_digits(thick, units),
        placing.point(width, 0),
        placing.point(width, thick),
        True,
        1,
        placing.point(width, 0)[0],
    )
    for line in (across, down):
        layout.place(linear(layout.fragment, line, NAME_MM))
