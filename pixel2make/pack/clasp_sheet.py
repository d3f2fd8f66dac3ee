"""A page with views, their dimensions, notes below and the title block: what clasp drawings share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import chain

from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.drawing.dimension_line import Linear, leader, linear
from pixel2make.pack.drawing.heading import entries, start_sheet, tolerance_of
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import (
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    Sheet,
    TitleBlock,
    scale_name,
)
from pixel2make.pack.pens import (
    Drawing,
    DrawingBuilder,
    Point,
    RecordingPen,
    draw_polygon,
    draw_polyline,
    text_width_mm,
)
from pixel2make.pack.pens.lines import INK

__all__ = [
    "BAR_MM",
    "BAR_STRIP_MM",
    "BETWEEN_MM",
    "MARGIN_MM",
    "NOTE_MM",
    "Matrix",
    "View",
    "lines_of",
    "note_lines",
    "page",
    "sheet_and_scale",
    "sheet_for",
    "title_block",
    "wrapped",
]

MARGIN_MM = 32.0
"""Room round a view for its dimension lines: three tracks and the lettering of a short length beside
its arrows."""
LARGEST, SMALLEST = 5.0, 1 / 5
"""Scales of the drawing on an A4 sheet; smaller ones would crowd the walls."""
BETWEEN_MM = 34.0
"""Room between two views, with dimension lines of both."""
BAR_MM = check_bar("in")
"""Room for a check bar: the longer of both units."""
BAR_INSET_MM = 8.0
"""The bars keep off the frame and its centring marks."""
BAR_STRIP_MM = 14.0
"""A bar with its lettering, from the frame on."""
TICK_MM = 2.0
NOTE_PITCH_MM = 4.4
SPECK_MM = 0.1
"""A shorter line is what cutting off what is hidden leaves over."""

_LETTERING = trade.value("drawing.lettering").value
DIMENSION_MM = float(_LETTERING["dimension"])
NOTE_MM = float(_LETTERING["note"])


Matrix = tuple[float, float, float, float, float, float]
"""Of an affine map onto the page, as shapely has it."""


@dataclass(frozen=True)
class View:
    """Geometry on the page, what is measured on it and what is pointed at.

    Attributes
    ----------
    shapes : tuple of (purpose, geometry)
        "solid" is filled black, as thin sections are.
    measures : tuple of Linear
    labels : tuple of (words, where)
        Each with a leader to its place.
    captions : tuple of (words, where) or (words, where, anchor)
        Plain lettering; in the middle of its place unless an anchor is given.
    """

    shapes: tuple[tuple[str, BaseGeometry], ...]
    measures: tuple[Linear, ...] = ()
    labels: tuple[tuple[str, Point], ...] = ()
    captions: tuple[tuple[str, Point] | tuple[str, Point, str], ...] = ()


def title_block(
    title: str,
    material: str,
    kind: str,
    name: str,
    scale: float,
    sheet: Sheet,
    tolerance: str,
    units: str,
    projection: str | None = None,
) -> TitleBlock:
    """The title block of a drawing of metalwork; a projection only where views stand beside each other."""
    return entries(
        sheet,
        title=title,
        supplement=material,
        document=kind,
        identification=name,
        scale=scale_name(scale),
        tolerance=tolerance_of(tolerance),
        units=units,
        projection=projection,
    )


def _room(sheet: Sheet, notes: int) -> tuple[float, float]:
    """What a sheet leaves for views, after title block, notes and margins."""
    x0, y0, x1, y1 = sheet.space
    below = TITLE_BLOCK_HEIGHT_MM + (notes + 1) * NOTE_PITCH_MM
    return x1 - x0 - 2 * MARGIN_MM, y1 - y0 - 2 * MARGIN_MM - below


def sheet_for(width: float, height: float, notes: int) -> Sheet:
    """The smallest sheet; beyond A0 a strip of its own that is long enough."""
    for sheet in SHEETS.values():
        room = _room(sheet, notes)
        if width <= room[0] and height <= room[1]:
            return sheet
    largest = SHEETS["A0"]
    room = _room(largest, notes)
    more = (max(0.0, width - room[0]), max(0.0, height - room[1]))
    return Sheet("roll", largest.width_mm + more[0], largest.height_mm + more[1])


def sheet_and_scale(width: float, height: float, notes: int) -> tuple[Sheet, float]:
    """Sheet and scale for two views one above the other."""
    room = _room(SHEETS["A4"], notes)
    for scale in SCALES:
        is_fit = width * scale <= room[0] and height * scale + BETWEEN_MM <= room[1]
        if SMALLEST <= scale <= LARGEST and is_fit:
            return SHEETS["A4"], scale
    return sheet_for(width, height + BETWEEN_MM, notes), 1.0


def wrapped(notes: Sequence[str], width_mm: float) -> list[str]:
    """Notes broken into lines no wider than that, by words."""
    lines: list[str] = []
    for note in notes:
        line = ""
        for word in note.split(" "):
            longer = f"{line} {word}" if line else word
            if line and text_width_mm(longer, NOTE_MM) > width_mm:
                lines.append(line)
                line = f"    {word}"
            else:
                line = longer
        lines.append(line)
    return lines


def note_lines(notes: Sequence[str]) -> int:
    """Lines that notes take on the smallest sheet; on a larger one they take no more."""
    x0, _, x1, _ = SHEETS["A4"].space
    return len(wrapped(notes, x1 - x0 - 2 * TICK_MM))


def page(
    sheet: Sheet, block: TitleBlock, views: Sequence[View], notes: Sequence[str], *, has_bars: bool = False
) -> Drawing:
    """Frame, title block, notes and bars, then the views, then each dimension where it finds room."""
    drawn = start_sheet(sheet, block, f"{block.title} {block.identification}")
    x0, y0, x1, y1 = sheet.space
    notes = wrapped(notes, x1 - x0 - 2 * TICK_MM)
    floor = y1 - TITLE_BLOCK_HEIGHT_MM - (len(notes) + 1) * NOTE_PITCH_MM
    for i, note in enumerate(notes, 1):
        drawn.text(note, (x0 + TICK_MM, floor + i * NOTE_PITCH_MM), NOTE_MM)
    if has_bars:
        _draw_bars(drawn, x0 + BAR_INSET_MM, floor - BAR_INSET_MM, block.units)
    for view in views:
        for purpose, geometry in view.shapes:
            _draw(drawn, purpose, geometry)
        for words, at, *anchor in view.captions:
            drawn.text(words, at, NOTE_MM, anchor[0] if anchor else "middle")
    strip = BAR_STRIP_MM if has_bars else 0.0
    layout = Layout(drawn, (x0 + strip, y0, x1, floor - strip))
    for view in views:
        for measure in view.measures:
            both = (measure, _turned_over(measure, view))
            layout.place(chain(*(linear(layout.fragment, m, DIMENSION_MM) for m in both)))
        for words, where in view.labels:
            layout.place(leader(layout.fragment, words, where, NOTE_MM, 6.0))
    return drawn.build()


def _turned_over(measure: Linear, view: View) -> Linear:
    """The same length measured on the other side of the view, where the first has no room left."""
    x0, y0, x1, y1 = unary_union([geometry for _, geometry in view.shapes]).bounds
    low, high = measure.span
    if measure.is_vertical:
        base = x0 if measure.side > 0 else x1
        return replace(measure, start=(base, low), end=(base, high), side=-measure.side, base=base)
    base = y0 if measure.side > 0 else y1
    return replace(measure, start=(low, base), end=(high, base), side=-measure.side, base=base)


def _draw(page: DrawingBuilder, purpose: str, geometry: BaseGeometry) -> None:
    if purpose == "solid":
        page.polygon("detail", geometry, tint=INK)
        return
    pen = RecordingPen()
    if isinstance(geometry, LineString):
        draw_polyline([(float(x), float(y)) for x, y in geometry.coords], pen)
    else:
        draw_polygon(geometry, pen)
    page.add(purpose, pen)


def _draw_bars(page: DrawingBuilder, x: float, y: float, units: str) -> None:
    """A bar of a round length to the right and one upwards, which do not touch, each from tick to tick."""
    half, up, bar, words = TICK_MM / 2, y - BAR_INSET_MM, check_bar(units), check_bar_words(units)
    page.line("print", (x, y), (x + bar, y))
    page.line("print", (x, up), (x, up - bar))
    for along in (0.0, bar):
        page.line("print", (x + along, y - half), (x + along, y + half))
        page.line("print", (x - half, up - along), (x + half, up - along))
    page.text(words, (x + bar / 2, y - TICK_MM), NOTE_MM, "middle")
    page.text(words, (x + TICK_MM + NOTE_MM, up - bar / 2), NOTE_MM, "middle", is_upward=True)


def lines_of(shape: BaseGeometry) -> list[LineString]:
    """Lines of a geometry that are long enough to be seen."""
    return [
        LineString(part.coords)
        for part in getattr(shape, "geoms", [shape])
        if isinstance(part, LineString) and part.length > SPECK_MM
    ]
