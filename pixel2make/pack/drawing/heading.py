"""What the sheets of one design have in common: frame, title block, and what is written into it."""

from __future__ import annotations

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.drawing.sheet import FIRST_ANGLE, Sheet, TitleBlock, draw_frame, draw_title_block
from pixel2make.pack.pens import DrawingBuilder

__all__ = ["GOVERNING_MATERIAL", "entries", "frame_views", "heading", "start_sheet", "tolerance_of"]

VIEWS_AIR_MM = 5.0
"""Round the views where they are shown without the rest of their sheet."""
GOVERNING_MATERIAL = "greyboard"
"""The boards give the book its size, so the sheet's general tolerance is theirs."""


def heading(
    design: Design, sheet: Sheet, *, title: str, document: str, mark: str, scale: str, note: str = ""
) -> TitleBlock:
    """The title block of a sheet of this design.

    Parameters
    ----------
    design : Design
    sheet : Sheet
    title, document : str
        What is shown, and what kind of document shows it.
    mark : str
        Tells the sheets of one design apart in the identification number.
    scale : str
    note : str
        Goes on after the sprite's name.
    """
    sprite = design.reading.regions.sprite
    return entries(
        sheet,
        title=title,
        supplement=f"after the sprite {sprite.file}" + (f"; {note}" if note else ""),
        document=document,
        identification=f"{sprite.sha256[:8]}-{mark}",
        scale=scale,
        tolerance=tolerance_of(GOVERNING_MATERIAL),
        units=design.units,
        projection=FIRST_ANGLE,
    )


def entries(
    sheet: Sheet,
    *,
    title: str,
    supplement: str,
    document: str,
    identification: str,
    scale: str,
    tolerance: str = "",
    units: str = "mm",
    projection: str | None = None,
) -> TitleBlock:
    """A title block by what is written into it; creator and size of the sheet are alike on all."""
    from pixel2make import __version__

    return TitleBlock(
        title=title,
        supplement=supplement,
        document_type=document,
        identification=identification,
        creator=f"pixel2make {__version__}",
        scale=scale,
        sheet_name=sheet.name,
        tolerance=tolerance,
        units=units,
        projection=projection,
    )


def tolerance_of(material: str) -> str:
    """The general tolerance of a material, as it is written."""
    return f"ISO 2768-1 {trade.value('drawing.tolerance_class').value[material]}"


def start_sheet(sheet: Sheet, block: TitleBlock, title: str, *, is_sheet: bool = True) -> DrawingBuilder:
    """A page with frame and title block; `title` is the file's own.

    A sheet is printed whole, any other page at true size.
    """
    page = DrawingBuilder(sheet.width_mm, sheet.height_mm, title, is_sheet=is_sheet)
    draw_frame(page, sheet)
    draw_title_block(page, sheet, block)
    return page


def frame_views(page: DrawingBuilder, paths: int, texts: int) -> None:
    """Note on the page where its views are: all that came after so many paths and texts."""
    boxes = [text.bounds for text in page.texts[texts:]]
    boxes += [line.bounds for path in page.paths[paths:] for line in path.lines]
    if boxes:
        x0, y0 = (min(box[i] for box in boxes) - VIEWS_AIR_MM for i in (0, 1))
        x1, y1 = (max(box[i] for box in boxes) + VIEWS_AIR_MM for i in (2, 3))
        page.views = (max(0.0, x0), max(0.0, y0), min(page.width_mm, x1), min(page.height_mm, y1))
