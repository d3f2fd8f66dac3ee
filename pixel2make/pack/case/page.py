"""Pages of the case: views with dimensions and leaders on the smallest sheet, at 1:1 or to a scale."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import chain

from shapely.affinity import affine_transform
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry, BaseMultipartGeometry
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.drawing.dimension_line import Linear, leader, linear
from pixel2make.pack.drawing.heading import entries, start_sheet
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import (
    FIRST_ANGLE,
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    TITLE_BLOCK_WIDTH_MM,
    Sheet,
    scale_name,
)
from pixel2make.pack.pens import Drawing, DrawingBuilder, Point, text_width_mm
from pixel2make.quantity import length_digits

__all__ = ["Label", "Measure", "PageText", "View", "drawing_page", "true_size_page", "wrapped_notes"]

MARGIN_MM = 34.0
"""Room round a view for three dimension lines and their lettering."""
BETWEEN_MM = 44.0
"""Room between two views, with dimension lines of both."""
NOTE_PITCH_MM = 4.6
BAR_STRIP_MM, BAR_INSET_MM, TICK_MM = 14.0, 8.0, 2.0
NAME_GAP_MM = 5.0
"""A view's name stands this far below it and its dimension lines."""

_LETTERING = trade.value("drawing.lettering").value
DIMENSION_MM = float(_LETTERING["dimension"])
NOTE_MM = float(_LETTERING["note"])


@dataclass(frozen=True)
class Measure:
    """A length from one coordinate to another along x or, where upright, along y.

    Attributes
    ----------
    start, end : (x, y)
        Of the view's own millimetres.
    side : {-1, 1}
        -1 above or left of the view, 1 below or right.
    """

    start: Point
    end: Point
    is_vertical: bool
    side: int

    @property
    def value_mm(self) -> float:
        """The length."""
        axis = 1 if self.is_vertical else 0
        return abs(self.end[axis] - self.start[axis])


@dataclass(frozen=True)
class Label:
    """Words at a leader that ends in a dot at a point of the view."""

    words: str
    at: Point


@dataclass(frozen=True)
class View:
    """What is seen, y down, in millimetres.

    Attributes
    ----------
    name : str
        "" where the page has one view.
    shapes : tuple of (purpose, geometry, tint or None)
    """

    name: str
    shapes: tuple[tuple[str, BaseGeometry, str | None], ...]
    measures: tuple[Measure, ...] = ()
    labels: tuple[Label, ...] = ()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Of all shapes."""
        return unary_union([shape.envelope for _, shape, _ in self.shapes]).bounds


@dataclass(frozen=True)
class PageText:
    """Title block and notes."""

    title: str
    supplement: str
    document: str
    identification: str
    tolerance: str
    notes: tuple[str, ...] = ()
    units: str = "mm"


@dataclass
class _Placed:
    view: View
    scale: float
    dx: float
    dy: float
    box: tuple[float, float, float, float] = field(init=False)

    def __post_init__(self) -> None:
        x0, y0, x1, y1 = self.view.bounds
        self.box = (*self.point((x0, y0)), *self.point((x1, y1)))

    def point(self, point: Point) -> Point:
        return self.dx + self.scale * point[0], self.dy + self.scale * point[1]

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        return affine_transform(geometry, (self.scale, 0, 0, self.scale, self.dx, self.dy))


def true_size_page(view: View, text: PageText) -> Drawing:
    """One view at 1:1 with check bars, on the smallest sheet of ISO 5457 or a strip that is long enough."""
    x0, y0, x1, y1 = view.bounds
    bar = check_bar(text.units)
    notes = _wrapped_notes(text.notes, SHEETS["A4"])
    sheet = _sheet_for(x1 - x0 + BAR_STRIP_MM, max(y1 - y0 + BAR_STRIP_MM, bar), len(notes))
    left, top, right, low = sheet.space
    floor = low - TITLE_BLOCK_HEIGHT_MM - (len(notes) + 1) * NOTE_PITCH_MM
    dx = left + BAR_STRIP_MM + (right - left - BAR_STRIP_MM - (x1 - x0)) / 2 - x0
    placed = _Placed(view, 1.0, dx, top + MARGIN_MM - y0)
    return _page(sheet, 1.0, (placed,), text, notes, floor, has_bars=True)


def drawing_page(views: Sequence[Sequence[View]], text: PageText, *, largest: float = 1.0) -> Drawing:
    """Rows of views, each row on one base line, on the smallest sheet from A3 on at a scale that reads well.

    Parameters
    ----------
    views : rows of views
    text : PageText
    largest : float
        Of the scales of ISO 5455, the largest that is tried.
    """
    for least in (WELL_READ_SCALE, LEAST_SCALE):
        for sheet in (s for s in SHEETS.values() if s.name != "A4"):
            notes = _wrapped_notes(text.notes, sheet)
            for scale in (s for s in SCALES if least <= s <= largest):
                placed = _rows(views, sheet, scale, len(notes))
                if placed:
                    floor = sheet.space[3] - TITLE_BLOCK_HEIGHT_MM - (len(notes) + 1) * NOTE_PITCH_MM
                    return _page(sheet, scale, placed, text, notes, floor)
    raise AssertionError("A0 at 1:10 holds every case that a sheet of acrylic makes")


WELL_READ_SCALE = 0.2
LEAST_SCALE = 0.1
"""At 1:5 a sheet of acrylic is as wide as its line; smaller than 1:10 the seat is thinner than one."""


def _rows(views: Sequence[Sequence[View]], sheet: Sheet, scale: float, notes: int) -> tuple[_Placed, ...]:
    x0, y0, x1, y1 = sheet.space
    floor = y1 - TITLE_BLOCK_HEIGHT_MM - (notes + 1) * NOTE_PITCH_MM
    widths = [[(v.bounds[2] - v.bounds[0]) * scale for v in row] for row in views]
    heights = [max((v.bounds[3] - v.bounds[1]) * scale for v in row) for row in views]
    wide = max(sum(row) + BETWEEN_MM * (len(row) - 1) for row in widths)
    high = sum(heights) + BETWEEN_MM * (len(views) - 1)
    if wide > x1 - x0 - 2 * MARGIN_MM or high > floor - y0 - 2 * MARGIN_MM:
        return ()
    placed, top = [], y0 + MARGIN_MM + (floor - y0 - 2 * MARGIN_MM - high) / 2
    for row, sizes, height in zip(views, widths, heights, strict=True):
        left = x0 + MARGIN_MM + (x1 - x0 - 2 * MARGIN_MM - wide) / 2
        for view, size in zip(row, sizes, strict=True):
            vx0, _, _, vy1 = view.bounds
            placed.append(_Placed(view, scale, left - vx0 * scale, top + height - vy1 * scale))
            left += size + BETWEEN_MM
        top += height + BETWEEN_MM
    return tuple(placed)


def _sheet_for(width: float, height: float, notes: int) -> Sheet:
    below = TITLE_BLOCK_HEIGHT_MM + (notes + 1) * NOTE_PITCH_MM
    for sheet in SHEETS.values():
        for turned in (sheet, Sheet(sheet.name, sheet.height_mm, sheet.width_mm)):
            x0, y0, x1, y1 = turned.space
            if x1 - x0 < TITLE_BLOCK_WIDTH_MM:
                continue
            if width <= x1 - x0 - 2 * MARGIN_MM and height <= y1 - y0 - 2 * MARGIN_MM - below:
                return turned
    x0, y0, x1, y1 = SHEETS["A0"].space
    more = (x1 - x0 - 2 * MARGIN_MM, y1 - y0 - 2 * MARGIN_MM - below)
    return Sheet(
        "roll",
        SHEETS["A0"].width_mm + max(0.0, width - more[0]),
        SHEETS["A0"].height_mm + max(0.0, height - more[1]),
    )


def _wrapped_notes(notes: Sequence[str], sheet: Sheet) -> list[str]:
    """Notes broken to the width of the sheet."""
    x0, _, x1, _ = sheet.space
    return wrapped_notes(notes, x1 - x0 - 2 * TICK_MM)


def wrapped_notes(notes: Sequence[str], width_mm: float) -> list[str]:
    """Notes broken into lines that are no wider; what runs on is indented."""
    lines: list[str] = []
    for note in notes:
        line = ""
        for word in note.split():
            longer = f"{line} {word}".strip()
            if text_width_mm(longer, NOTE_MM) > width_mm:
                lines.append(line)
                longer = f"  {word}"
            line = longer
        lines.append(line)
    return lines


def _page(
    sheet: Sheet,
    scale: float,
    placed: Sequence[_Placed],
    text: PageText,
    notes: Sequence[str],
    floor: float,
    *,
    has_bars: bool = False,
) -> Drawing:
    block = entries(
        sheet,
        title=text.title,
        supplement=text.supplement,
        document=text.document,
        identification=text.identification,
        scale=scale_name(scale),
        tolerance=text.tolerance,
        units=text.units,
        projection=FIRST_ANGLE,
    )
    page = start_sheet(sheet, block, f"{text.title}, {text.document}", is_sheet=False)
    x0, y0, x1, _ = sheet.space
    for i, note in enumerate(notes, 1):
        page.text(note, (x0 + TICK_MM, floor + i * NOTE_PITCH_MM), NOTE_MM)
    if has_bars:
        _draw_bars(page, x0 + BAR_INSET_MM, floor - BAR_INSET_MM, text.units)
    for item in placed:
        for purpose, geometry, tint in item.view.shapes:
            _draw(page, purpose, item.shape(geometry), tint)
    strip = BAR_STRIP_MM if has_bars else 0.0
    layout = Layout(page, (x0 + strip, y0, x1, floor - strip))
    for item in placed:
        for measure in item.view.measures:
            both = (_linear(item, measure, text.units), _linear(item, measure, text.units, is_turned=True))
            layout.place(chain(*(linear(layout.fragment, m, DIMENSION_MM) for m in both)))
    for item in placed:
        for label in item.view.labels:
            layout.place(leader(layout.fragment, label.words, item.point(label.at), NOTE_MM))
        layout.place(_names(layout, item))
    return page.build()


def _linear(item: _Placed, measure: Measure, units: str, *, is_turned: bool = False) -> Linear:
    """A dimension line beside its view, or on the view's other side."""
    start, end = sorted((item.point(measure.start), item.point(measure.end)))
    if measure.is_vertical:
        start, end = sorted((start, end), key=lambda p: p[1])
    side = -measure.side if is_turned else measure.side
    x0, y0, x1, y1 = item.box
    low, high = (x0, x1) if measure.is_vertical else (y0, y1)
    base = low if side < 0 else high
    if is_turned:
        if measure.is_vertical:
            start, end = (base, start[1]), (base, end[1])
        else:
            start, end = (start[0], base), (end[0], base)
    label = length_digits(measure.value_mm, units)
    return Linear(label, start, end, measure.is_vertical, side, base)


def _names(layout: Layout, item: _Placed) -> Iterator[DrawingBuilder]:
    """The view's name below all that stands under it."""
    if not item.view.name:
        return
    x0, _, x1, y1 = item.box
    level = y1 + NAME_GAP_MM + DIMENSION_MM
    while level < layout.zone[3]:
        page = layout.fragment()
        page.text(item.view.name, ((x0 + x1) / 2, level), DIMENSION_MM, "middle")
        yield page
        level += 1.0


def _draw(page: DrawingBuilder, purpose: str, shape: BaseGeometry, tint: str | None) -> None:
    if isinstance(shape, LineString):
        page.line(purpose, *((float(x), float(y)) for x, y in shape.coords))
    elif isinstance(shape, Polygon | MultiPolygon):
        page.polygon(purpose, shape, tint=tint)
    elif isinstance(shape, MultiLineString | BaseMultipartGeometry):
        for part in shape.geoms:
            _draw(page, purpose, part, tint)


def _draw_bars(page: DrawingBuilder, x: float, y: float, units: str) -> None:
    """A bar to the right and one upwards, which do not touch, each from tick to tick."""
    half, up, bar, words = TICK_MM / 2, y - BAR_INSET_MM, check_bar(units), check_bar_words(units)
    page.line("print", (x, y), (x + bar, y))
    page.line("print", (x, up), (x, up - bar))
    for along in (0.0, bar):
        page.line("print", (x + along, y - half), (x + along, y + half))
        page.line("print", (x - half, up - along), (x + half, up - along))
    page.text(words, (x + bar / 2, y - TICK_MM), NOTE_MM, "middle")
    page.text(words, (x + TICK_MM + NOTE_MM, up - bar / 2), NOTE_MM, "middle", is_upward=True)
