"""What every sheet of the cover carries: lettering as areas or strokes, and a bar to measure a print by."""

from __future__ import annotations

from collections.abc import Sequence

from shapely import orient_polygons
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.lettering import faces
from pixel2make.lettering.setting import set_lines
from pixel2make.pack.bars import check_bar
from pixel2make.pack.pens import DrawingBuilder, RecordingPen, draw_polygon, draw_polyline
from pixel2make.quantity import format_length

__all__ = ["add_bar", "add_lettering"]

LABEL_FACE = "single-stroke"
BAR_SHARES = (1.0, 0.5, 0.2, 0.1)
BAR_SHARES_IN = (1.0, 0.5, 0.25, 0.125)
"""Of the usual bar, each a length that a rule shows. The longest that finds a place is drawn; the shorter
ones are for small covers."""
LABEL_MM: float = trade.value("drawing.lettering").value["note"]
EDGE_MM = 4.0
"""Bar and label keep clear of edges and of what is drawn by this much."""
PLACES = 24
"""Places tried each way for the bar."""


def add_lettering(
    page: DrawingBuilder, shapes: Sequence[BaseGeometry], purpose: str, tint: str | None = None
) -> None:
    """Areas glyph by glyph: outlines on a tint where there is one, else solid, so that no line makes them
    heavier than they are set. Strokes as they are."""
    for shape in shapes:
        if isinstance(shape, Polygon | MultiPolygon):
            pen = RecordingPen()
            # Holes turn against their outer ring, so that readers of either fill rule leave them open.
            draw_polygon(orient_polygons(shape), pen)
            page.add(purpose, pen, is_solid=tint is None, tint=tint)
            continue
        pen = RecordingPen()
        for line in shape.geoms:
            draw_polyline([(float(x), float(y)) for x, y in line.coords], pen)
        page.add(purpose, pen)


def add_bar(
    page: DrawingBuilder, board: BaseGeometry, taken: BaseGeometry, words: str, units: str = "mm"
) -> None:
    """A bar of known length with its label, in a free place near the tail, for checking a print."""
    for share in BAR_SHARES if units == "mm" else BAR_SHARES_IN:
        length = share * check_bar(units)
        label = f"{format_length(length, units)}, {words}, 1:1"
        block = (length, 3 * LABEL_MM)
        at = _free_place(board, taken, block)
        if at is not None:
            x, y = at[0], at[1] + block[1] - LABEL_MM / 2
            page.line("print", (x, y), (x + length, y))
            for end in (x, x + length):
                page.line("print", (end, y - LABEL_MM / 2), (end, y + LABEL_MM / 2))
            box_mm = (x, at[1], length, LABEL_MM * 1.5)
            writing = set_lines(
                [label], faces.face(LABEL_FACE), box_mm=box_mm, align="left", largest_mm=LABEL_MM
            )
            add_lettering(page, [glyph.shape for glyph in writing], "print")
            return


def _free_place(
    board: BaseGeometry, taken: BaseGeometry, size: tuple[float, float]
) -> tuple[float, float] | None:
    """Upper left corner of a free block on the board: nearest the tail, then furthest left."""
    free = board.difference(taken).buffer(-EDGE_MM)
    if free.is_empty:
        return None
    x0, y0, x1, y1 = free.bounds
    width, height = size
    for i in range(PLACES):
        y = y1 - height - i * (y1 - height - y0) / PLACES
        for k in range(PLACES):
            x = x0 + k * (x1 - width - x0) / (PLACES - 1)
            if free.covers(box(x, y, x + width, y + height)):
                return x, y
    return None
