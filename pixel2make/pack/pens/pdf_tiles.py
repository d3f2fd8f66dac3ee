"""The pages of a tiled print: an index of the tiles, and each tile with its marks and its bar."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

from pixel2make import trade
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.pens.lines import INK, NARROW_MM
from pixel2make.pack.pens.pdf_text import FONT, capital_per_em, fitting, lines_of
from pixel2make.pack.pens.pen import Point
from pixel2make.pack.pens.shapes import Drawing
from pixel2make.pack.pens.tiles import FOOT_MM, MARGIN_MM, OVERLAP_MM, POINTS_PER_MM, Tile, Tiling

__all__ = ["PAGE_FORM", "index_page", "tile_page"]

PAGE_FORM = "page"
"""Name of the stored page that every tile shows a part of."""

_MARK_MM = 4.0
"""Length of a cut mark beyond the join it belongs to."""

_NOTE_MM: float = trade.value("drawing.lettering").value["note"]
_TICK_MM = 2.0

_INDEX_NOTE = (
    "Print at 100 % (actual size). Measure the bar on every tile first. Cut along the marks on one of two "
    "neighbours, lay it on the other so that the marks meet, and tape."
)


def tile_page(canvas: Any, drawing: Drawing, tiling: Tiling, each: Tile, units: str = "mm") -> None:
    """A window onto the page, its cut marks, and a foot with the tile's name and the bar."""
    width, height = tiling.window_mm
    paper_width, paper_height = tiling.paper_mm
    canvas.setPageSize((paper_width * POINTS_PER_MM, paper_height * POINTS_PER_MM))
    canvas.saveState()
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    left, bottom = MARGIN_MM, paper_height - MARGIN_MM - height
    canvas.saveState()
    window = canvas.beginPath()
    window.rect(left, bottom, width, height)
    canvas.clipPath(window, stroke=0, fill=0)
    # Form space is y up with the page's foot at 0.
    canvas.translate(left - each.x_mm, bottom + height + each.y_mm - drawing.height_mm)
    canvas.doForm(PAGE_FORM)
    canvas.restoreState()
    _marks(canvas, tiling, each, left, bottom + height)
    _foot(canvas, drawing, tiling, each, units)
    canvas.restoreState()
    canvas.showPage()


def _marks(canvas: Any, tiling: Tiling, each: Tile, left: float, top: float) -> None:
    """Ticks at the window's edges on every join that crosses it, and a cross where joins meet."""
    width, height = tiling.window_mm
    xs = [x - each.x_mm for x in tiling.joins_x if 0 < x - each.x_mm < width]
    ys = [y - each.y_mm for y in tiling.joins_y if 0 < y - each.y_mm < height]
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(NARROW_MM)
    for x in xs:
        for y0, y1 in ((0.0, _MARK_MM), (height - _MARK_MM, height)):
            canvas.line(left + x, top - y0, left + x, top - y1)
    for y in ys:
        for x0, x1 in ((0.0, _MARK_MM), (width - _MARK_MM, width)):
            canvas.line(left + x0, top - y, left + x1, top - y)
    for x in xs:
        for y in ys:
            canvas.line(left + x - _MARK_MM, top - y, left + x + _MARK_MM, top - y)
            canvas.line(left + x, top - y - _MARK_MM, left + x, top - y + _MARK_MM)


def _foot(canvas: Any, drawing: Drawing, tiling: Tiling, each: Tile, units: str) -> None:
    bar = check_bar(units)
    paper_width = tiling.paper_mm[0]
    size = _NOTE_MM / capital_per_em()
    canvas.setFillColor(INK)
    canvas.setStrokeColor(INK)
    canvas.setFont(FONT, size)
    left, right = MARGIN_MM + 2, paper_width - MARGIN_MM - 2
    many = len(tiling.tiles) > 1
    where = f"tile {each.name} of A1 to {tiling.tiles[-1].name}" if many else "one sheet"
    room = right - left - bar - 8
    canvas.drawString(left, MARGIN_MM + 6.2, fitting(canvas, drawing.title, size, room))
    where = f"{where}, {tiling.paper}, print at 100 %"
    canvas.drawString(left, MARGIN_MM + 1.6, fitting(canvas, where, size, room))
    y = MARGIN_MM + 3.5
    canvas.setLineWidth(NARROW_MM)
    canvas.line(right - bar, y, right, y)
    for x in (right - bar, right):
        canvas.line(x, y - _TICK_MM, x, y + _TICK_MM)
    canvas.drawCentredString(right - bar / 2, y + 1.2, f"{check_bar_words(units)}: measure this bar")


def index_page(canvas: Any, drawing: Drawing, tiling: Tiling) -> None:
    """The whole page made small, with the tiles over it by name."""
    paper_width, paper_height = tiling.paper_mm
    canvas.setPageSize((paper_width * POINTS_PER_MM, paper_height * POINTS_PER_MM))
    canvas.saveState()
    canvas.scale(POINTS_PER_MM, POINTS_PER_MM)
    size = _NOTE_MM / capital_per_em()
    inset = MARGIN_MM + 5
    top = paper_height - inset - 2 * size
    canvas.setFillColor(INK)
    canvas.setFont(FONT, 2 * size)
    canvas.drawString(inset, top, fitting(canvas, drawing.title, 2 * size, paper_width - 2 * inset))
    note = f"{len(tiling.tiles)} tiles on {tiling.paper}. {_INDEX_NOTE}"
    lines = lines_of(canvas, note, size, paper_width - 2 * inset)
    canvas.setFont(FONT, size)
    for i, line in enumerate(lines):
        canvas.drawString(inset, top - size * 2 - i * size * 1.4, line)
    top -= size * (2 + 1.4 * len(lines))
    _index_map(canvas, drawing, tiling, (inset, inset, paper_width - 2 * inset, top - inset))
    canvas.restoreState()
    canvas.showPage()


def _index_map(
    canvas: Any, drawing: Drawing, tiling: Tiling, place: tuple[float, float, float, float]
) -> None:
    x, y, width, height = place
    whole_x, whole_y = drawing.width_mm, drawing.height_mm
    scale = min(width / whole_x, height / whole_y)
    canvas.saveState()
    canvas.translate(x, y + height - whole_y * scale)
    canvas.scale(scale, scale)
    canvas.doForm(PAGE_FORM)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(NARROW_MM / scale)
    for line in _cells(tiling, whole_x, whole_y):
        for (x0, y0), (x1, y1) in pairwise(line):
            canvas.line(x0, whole_y - y0, x1, whole_y - y1)
    canvas.setFillColor(INK)
    for each in tiling.tiles:
        name_size = min(OVERLAP_MM, FOOT_MM) / scale / 2
        canvas.setFont(FONT, name_size)
        column, row = _cell_start(tiling, each)
        canvas.drawString(column + name_size / 3, whole_y - row - name_size, each.name)
    canvas.restoreState()


def _cells(tiling: Tiling, whole_x: float, whole_y: float) -> list[list[Point]]:
    """Lines between the tiles where they are joined, and round them all."""
    frame = [(0.0, 0.0), (whole_x, 0.0), (whole_x, whole_y), (0.0, whole_y), (0.0, 0.0)]
    return [
        frame,
        *([(x, 0.0), (x, whole_y)] for x in tiling.joins_x),
        *([(0.0, y), (whole_x, y)] for y in tiling.joins_y),
    ]


def _cell_start(tiling: Tiling, each: Tile) -> Point:
    return (
        max((x for x in tiling.joins_x if x <= each.x_mm + OVERLAP_MM), default=0.0),
        max((y for y in tiling.joins_y if y <= each.y_mm + OVERLAP_MM), default=0.0),
    )
