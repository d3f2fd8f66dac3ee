"""PDF at true size: a sheet printed whole, or a page laid in tiles over the maker's paper.

One millimetre is 72 / 25.4 points (ISO 32000). The page is stored once and shown through each tile's
window, so that a large drawing costs its size once. Viewers are asked not to scale when they print.
Nothing in the file depends on the machine, and on the day only where a date of issue was asked for.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from typing import Any

from pixel2make.pack.issued import date_of_issue
from pixel2make.pack.pens.lines import LINES, LineStyle
from pixel2make.pack.pens.pdf_text import FONT, capital_per_em, shown
from pixel2make.pack.pens.pdf_tiles import PAGE_FORM, index_page, tile_page
from pixel2make.pack.pens.pen import Point
from pixel2make.pack.pens.shapes import Drawing, Path, Text
from pixel2make.pack.pens.tiles import POINTS_PER_MM, tile

__all__ = ["pdf_bytes"]


def pdf_bytes(drawing: Drawing, paper: str, units: str = "mm") -> bytes:
    """A drawing as a PDF file.

    Parameters
    ----------
    drawing : Drawing
    paper : str
        What the maker prints on, a key of `pixel2make.pack.pens.tiles.papers_mm`. A drawing that is
        a sheet of its own keeps its size.
    units : {"mm", "in"}
        What the maker measures a tile's bar in.

    Returns
    -------
    bytes
        One page for a sheet or for a drawing that fits the paper; else an index of the tiles and
        one page a tile.
    """
    if drawing.is_sheet:
        canvas, file = _canvas(drawing, (drawing.width_mm, drawing.height_mm))
        _draw(canvas, drawing)
        canvas.showPage()
    else:
        tiling = tile(drawing.width_mm, drawing.height_mm, paper)
        canvas, file = _canvas(drawing, tiling.paper_mm)
        canvas.beginForm(PAGE_FORM, 0, 0, drawing.width_mm, drawing.height_mm)
        _draw(canvas, drawing, scale=1.0)
        canvas.endForm()
        if len(tiling.tiles) > 1:
            index_page(canvas, drawing, tiling)
        for each in tiling.tiles:
            tile_page(canvas, drawing, tiling, each, units)
    canvas.save()
    return file.getvalue()


def _canvas(drawing: Drawing, size_mm: tuple[float, float]) -> tuple[Any, io.BytesIO]:
    from reportlab.pdfgen.canvas import Canvas

    capital_per_em()
    file = io.BytesIO()
    canvas = Canvas(
        file,
        pagesize=tuple(length * POINTS_PER_MM for length in size_mm),
        invariant=1,
        pageCompression=1,
        initialFontName=FONT,
    )
    canvas.setTitle(drawing.title or "drawing")
    canvas.setCreator("pixel2make")
    canvas.setProducer("pixel2make")
    canvas.setAuthor("")
    canvas.setViewerPreference("PrintScaling", "None")
    if not date_of_issue():
        _leave_out_dates(canvas)
    return canvas, file


def _leave_out_dates(canvas: Any) -> None:
    """ISO 32000 asks for no date; the library would write one of its own choosing."""
    from reportlab.pdfbase.pdfdoc import PDFDictionary, PDFString

    class Undated(type(canvas._doc.info)):  # type: ignore[misc]
        def format(self, document: Any) -> Any:
            said = {"Title": self.title, "Producer": self.producer, "Creator": self.creator}
            entries = PDFDictionary({name: PDFString(text) for name, text in said.items()})
            return entries.format(document)

    canvas._doc.info.__class__ = Undated


class _PdfPen:
    """Draws onto a reportlab path."""

    def __init__(self, path: Any) -> None:
        self._path = path

    def move_to(self, point: Point) -> None:
        self._path.moveTo(*point)

    def line_to(self, point: Point) -> None:
        self._path.lineTo(*point)

    def curve_to(self, control1: Point, control2: Point, point: Point) -> None:
        self._path.curveTo(*control1, *control2, *point)

    def close(self) -> None:
        self._path.close()

    def end(self) -> None:
        return


def _draw(canvas: Any, drawing: Drawing, *, scale: float = POINTS_PER_MM) -> None:
    """The drawing with its upper left corner at the upper left, in units of 1 / `scale`."""
    canvas.saveState()
    canvas.transform(scale, 0, 0, -scale, 0, drawing.height_mm * scale)
    canvas.setLineJoin(1)
    for path in drawing.paths:
        if path.tint:
            canvas.setFillColor(path.tint)
            canvas.drawPath(_path(canvas, path), stroke=0, fill=1, fillMode=0)
    for style in LINES.values():
        _draw_lines(canvas, style, [path for path in drawing.paths if path.purpose == style.name])
    for text in drawing.texts:
        _draw_text(canvas, text)
    canvas.restoreState()


def _path(canvas: Any, path: Path) -> Any:
    found = canvas.beginPath()
    path.draw(_PdfPen(found))
    return found


def _draw_lines(canvas: Any, style: LineStyle, paths: Iterable[Path]) -> None:
    canvas.setStrokeColor(style.color)
    canvas.setFillColor(style.color)
    canvas.setLineWidth(style.width_mm)
    canvas.setDash(list(style.dashes_mm))
    for path in paths:
        canvas.drawPath(_path(canvas, path), stroke=0 if path.is_solid else 1, fill=1 if path.is_solid else 0)
    canvas.setDash([])


def _draw_text(canvas: Any, text: Text) -> None:
    value = shown(text.value)
    size = text.height_mm / capital_per_em()
    canvas.saveState()
    canvas.translate(*text.at)
    # The page is y down; lettering has to stand up again.
    canvas.scale(1, -1)
    if text.is_upward:
        canvas.rotate(90)
    canvas.setFont(FONT, size)
    canvas.setFillColor(text.color)
    show = {"start": canvas.drawString, "middle": canvas.drawCentredString, "end": canvas.drawRightString}
    show[text.anchor](0, 0, value)
    canvas.restoreState()
