"""Two pages for a clasp: its drawing with dimensions, and its flat pattern at 1:1."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain

from shapely.affinity import affine_transform
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.model import Clasp
from pixel2make.pack.drawing.dimension_line import Linear, linear
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
from pixel2make.pack.drawing.table import millimetres
from pixel2make.pack.meshes.flat import FlatPattern
from pixel2make.pack.meshes.plate import RootedPlate, rooted_plate
from pixel2make.pack.pens import Drawing, DrawingBuilder, RecordingPen, draw_polygon, draw_polyline

__all__ = ["clasp_drawing", "flat_page"]

CREATOR = "pixel2make"
MARGIN_MM = 32.0
"""Room round a view for its dimension lines: three tracks and the lettering of a short length beside
its arrows."""
LARGEST, SMALLEST = 5.0, 1 / 5
"""Scales of the drawing on an A4 sheet; smaller ones would crowd the walls."""
BETWEEN_MM = 34.0
"""Room between two views, with dimension lines of both."""
BAR_MM = 100.0
"""Length of the check bars; a round number that any rule shows."""
BAR_INSET_MM = 8.0
"""The bars keep off the frame and its centring marks."""
BAR_STRIP_MM = 14.0
"""A bar with its lettering, from the frame on."""
TICK_MM = 2.0
NOTE_PITCH_MM = 4.4
SAME_MM = 1e-6

_LETTERING = trade.value("drawing.lettering").value
DIMENSION_MM = float(_LETTERING["dimension"])
NOTE_MM = float(_LETTERING["note"])


@dataclass(frozen=True)
class _View:
    """Geometry on the page and what is measured on it."""

    shapes: tuple[tuple[str, BaseGeometry], ...]
    measures: tuple[Linear, ...]


def clasp_drawing(clasp: Clasp) -> Drawing:
    """Front view and view from above (first-angle) of the printed clasp, with all its dimensions.

    The scale is the largest of ISO 5455 from 5:1 to 1:5 that fits an A4 sheet, or 1:1 on the smallest
    larger sheet.
    """
    plate = rooted_plate(clasp, least_depth_mm=clasp.wall.value_mm)
    wall, span = clasp.wall.value_mm, clasp.span.value_mm
    wide, high = plate.length_mm + wall, plate.outline.bounds[3]
    deep = span + 2 * wall
    notes = (
        f"Wall {millimetres(wall)} all round. The same outline front and back.",
        f"Upper end of the plate {millimetres(clasp.position_mm)} from the head edge of the cover.",
        f"Clear width {millimetres(span)}: {clasp.span.rule or clasp.span.origin}.",
    )
    sheet, scale = _sheet_and_scale(wide, high + deep, len(notes))
    left = sheet.space[0] + (sheet.space[2] - sheet.space[0] - wide * scale) / 2
    top = sheet.space[1] + MARGIN_MM
    views = (
        _front(clasp, plate, scale, left, top),
        _above(clasp, plate, scale, left, top + high * scale + BETWEEN_MM),
    )
    block = _title(clasp, "Clasp to print", "clasp drawing", scale, sheet, "print")
    return _page(sheet, block, views, notes)


def flat_page(clasp: Clasp, pattern: FlatPattern) -> Drawing:
    """The flat pattern at 1:1 with bend lines, dimensions and a 100 mm bar in both directions."""
    x0, y0, x1, y1 = pattern.outline.bounds
    first, second = pattern.bends
    notes = (
        f"Sheet t = {millimetres(pattern.sheet_mm)}, {clasp.material}. Print at 100 %; check both bars.",
        f"Both bends up {first.angle_deg:g}°, inside radius {millimetres(first.radius_mm)}; "
        f"K = {pattern.k_factor:.3g}, bend allowance {first.allowance_mm:.2f}.",
        f"Bend lines {first.line_mm:.2f} and {second.line_mm:.2f} from the left end.",
        f"Flat {pattern.length_mm:.2f}; bent {millimetres(pattern.legs_mm[0])} + "
        f"{millimetres(pattern.across_mm)} + {millimetres(pattern.legs_mm[1])} outside.",
    )
    # one bar stands in a column of its own at the left, the other lies in a row of its own below
    sheet = _sheet_for(x1 - x0 + BAR_STRIP_MM, max(y1 - y0 + BAR_STRIP_MM, BAR_MM), len(notes))
    left = sheet.space[0] + BAR_STRIP_MM
    left += (sheet.space[2] - left - (x1 - x0)) / 2
    top = sheet.space[1] + MARGIN_MM
    block = _title(clasp, "Flat pattern of the clasp", "cutting pattern", 1.0, sheet, "brass")
    return _page(sheet, block, (_flat(pattern, left, top),), notes, has_bars=True)


def _title(clasp: Clasp, title: str, kind: str, scale: float, sheet: Sheet, material: str) -> TitleBlock:
    grade = trade.value("drawing.tolerance_class").value[material]
    return TitleBlock(
        title,
        clasp.material if material != "print" else "printed",
        kind,
        clasp.name,
        CREATOR,
        scale_name(scale),
        sheet.name,
        f"ISO 2768-{grade}",
    )


def _room(sheet: Sheet, notes: int) -> tuple[float, float]:
    """What a sheet leaves for views, after title block, notes and margins."""
    x0, y0, x1, y1 = sheet.space
    below = TITLE_BLOCK_HEIGHT_MM + (notes + 1) * NOTE_PITCH_MM
    return x1 - x0 - 2 * MARGIN_MM, y1 - y0 - 2 * MARGIN_MM - below


def _sheet_for(width: float, height: float, notes: int) -> Sheet:
    """The smallest sheet; beyond A0 a strip of its own that is long enough."""
    for sheet in SHEETS.values():
        room = _room(sheet, notes)
        if width <= room[0] and height <= room[1]:
            return sheet
    largest = SHEETS["A0"]
    room = _room(largest, notes)
    more = (max(0.0, width - room[0]), max(0.0, height - room[1]))
    return Sheet("roll", largest.width_mm + more[0], largest.height_mm + more[1])


def _sheet_and_scale(width: float, height: float, notes: int) -> tuple[Sheet, float]:
    """Sheet and scale for two views one above the other."""
    room = _room(SHEETS["A4"], notes)
    for scale in SCALES:
        is_fit = width * scale <= room[0] and height * scale + BETWEEN_MM <= room[1]
        if SMALLEST <= scale <= LARGEST and is_fit:
            return SHEETS["A4"], scale
    return _sheet_for(width, height + BETWEEN_MM, notes), 1.0


def _front(clasp: Clasp, plate: RootedPlate, scale: float, left: float, top: float) -> _View:
    """Seen on the cover: the fore-edge is at the right, so x from the fore-edge runs to the left."""
    wall, length = clasp.wall.value_mm, plate.length_mm
    matrix = (-scale, 0, 0, scale, left + length * scale, top)
    end = affine_transform(box(-wall, plate.low_mm, 0, plate.high_mm), matrix)
    outline = affine_transform(plate.outline, matrix)
    x0, y0, x1, y1 = outline.bounds
    right = x1 + wall * scale
    low, high = (top + v * scale for v in (plate.low_mm, plate.high_mm))
    measures = [
        Linear(millimetres(length), (x0, y0), (x1, y0), False, -1, y0),
        Linear(millimetres(plate.outline.bounds[3]), (x0, y0), (x0, y1), True, -1, x0),
    ]
    if high - low < y1 - y0 - SAME_MM:
        measures.append(Linear(millimetres(plate.root_mm), (right, low), (right, high), True, 1, right))
    shapes = (("visible", outline), ("visible", end))
    return _View(shapes, tuple(measures))


def _above(clasp: Clasp, plate: RootedPlate, scale: float, left: float, top: float) -> _View:
    """Seen from the head: the back plate above, the span at the right, the front plate below."""
    wall, span, length = clasp.wall.value_mm, clasp.span.value_mm, plate.length_mm
    deep = span + 2 * wall
    matrix = (-scale, 0, 0, scale, left + length * scale, top)

    def at(x: float, z: float) -> tuple[float, float]:
        return (left + (length - x) * scale, top + z * scale)

    profile = box(-wall, 0, length, wall).union(box(-wall, span + wall, length, deep))
    outline = affine_transform(profile.union(box(-wall, 0, 0, deep)), matrix)
    x0, y0, x1, y1 = outline.bounds
    edges = [
        ("visible", LineString([at(x, z), at(x, z + wall)]))
        for x in _steps_seen(plate)
        for z in (0.0, span + wall)
    ]
    measures = (
        Linear(millimetres(span), at(length, wall), at(length, wall + span), True, -1, x0),
        Linear(millimetres(wall), at(length, span + wall), at(length, deep), True, -1, x0),
        Linear(millimetres(deep), (x1, y0), (x1, y1), True, 1, x1),
        Linear(millimetres(length + wall), (x0, y1), (x1, y1), False, 1, y1),
    )
    return _View((("visible", outline), *edges), measures)


def _steps_seen(plate: RootedPlate) -> list[float]:
    """Where the upper edge of the plate turns, so that an edge is seen from above."""
    ring = plate.outline.exterior
    found = set()
    for x, y in ring.coords:
        above = LineString([(x, -1), (x, y - 0.01)])
        if 0.01 < x < plate.length_mm - 0.01 and not plate.outline.buffer(-0.005).intersects(above):
            found.add(round(x, 3))
    return sorted(found)


def _flat(pattern: FlatPattern, left: float, top: float) -> _View:
    outline = affine_transform(pattern.outline, (1, 0, 0, 1, left, top))
    x0, y0, x1, y1 = outline.bounds
    low, high = top + pattern.low_mm, top + pattern.high_mm
    shapes: list[tuple[str, BaseGeometry]] = [("cut", outline)]
    for bend in pattern.bends:
        line = left + bend.line_mm
        shapes.append(("bend", LineString([(line, low), (line, high)])))
        for edge in (bend.start_mm, bend.end_mm):
            shapes.append(("detail", LineString([(left + edge, low), (left + edge, high)])))
    first, second = (left + bend.line_mm for bend in pattern.bends)
    measures = [
        Linear(millimetres(first - x0), (x0, y1), (first, high), False, 1, y1),
        Linear(millimetres(second - first), (first, low), (second, low), False, -1, y0),
        Linear(millimetres(x1 - x0), (x0, y1), (x1, y1), False, 1, y1),
        Linear(millimetres(y1 - y0), (x0, y0), (x0, y1), True, -1, x0),
    ]
    if high - low < y1 - y0 - SAME_MM:
        measures.append(Linear(millimetres(high - low), (second, low), (second, high), True, 1, x1))
    return _View(tuple(shapes), tuple(measures))


def _page(
    sheet: Sheet, block: TitleBlock, views: Sequence[_View], notes: Sequence[str], *, has_bars: bool = False
) -> Drawing:
    page = DrawingBuilder(sheet.width_mm, sheet.height_mm, f"{block.title} {block.identification}")
    draw_frame(page, sheet)
    draw_title_block(page, sheet, block)
    x0, y0, x1, y1 = sheet.space
    floor = y1 - TITLE_BLOCK_HEIGHT_MM - (len(notes) + 1) * NOTE_PITCH_MM
    for i, note in enumerate(notes, 1):
        page.text(note, (x0 + TICK_MM, floor + i * NOTE_PITCH_MM), NOTE_MM)
    if has_bars:
        _draw_bars(page, x0 + BAR_INSET_MM, floor - BAR_INSET_MM)
    for view in views:
        for purpose, geometry in view.shapes:
            _draw(page, purpose, geometry)
    strip = BAR_STRIP_MM if has_bars else 0.0
    layout = Layout(page, (x0 + strip, y0, x1, floor - strip))
    for view in views:
        for measure in view.measures:
            both = (measure, _turned_over(measure, view))
            layout.place(chain(*(linear(layout.fragment, m, DIMENSION_MM) for m in both)))
    return page.build()


def _turned_over(measure: Linear, view: _View) -> Linear:
    """The same length measured on the other side of the view, where the first has no room left."""
    x0, y0, x1, y1 = unary_union([geometry for _, geometry in view.shapes]).bounds
    low, high = measure.span
    if measure.is_vertical:
        base = x0 if measure.side > 0 else x1
        return replace(measure, start=(base, low), end=(base, high), side=-measure.side, base=base)
    base = y0 if measure.side > 0 else y1
    return replace(measure, start=(low, base), end=(high, base), side=-measure.side, base=base)


def _draw(page: DrawingBuilder, purpose: str, geometry: BaseGeometry) -> None:
    pen = RecordingPen()
    if isinstance(geometry, LineString):
        draw_polyline([(float(x), float(y)) for x, y in geometry.coords], pen)
    else:
        draw_polygon(geometry, pen)
    page.add(purpose, pen)


def _draw_bars(page: DrawingBuilder, x: float, y: float) -> None:
    """A bar of 100 mm to the right and one upwards, which do not touch, each from tick to tick."""
    half, up = TICK_MM / 2, y - BAR_INSET_MM
    page.line("print", (x, y), (x + BAR_MM, y))
    page.line("print", (x, up), (x, up - BAR_MM))
    for along in (0.0, BAR_MM):
        page.line("print", (x + along, y - half), (x + along, y + half))
        page.line("print", (x - half, up - along), (x + half, up - along))
    page.text("100 mm", (x + BAR_MM / 2, y - TICK_MM), NOTE_MM, "middle")
    page.text("100 mm", (x + TICK_MM + NOTE_MM, up - BAR_MM / 2), NOTE_MM, "middle", is_upward=True)
