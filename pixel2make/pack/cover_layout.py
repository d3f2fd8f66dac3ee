"""The cover at its exact size: outline, joint, title, emblem, border and corners in place.

The page is the cover: its corner at (0, 0) is head and spine, its sides are the cover's, so that the sheet
can be laid on the board edge to edge. Writing is drawn in the single-stroke face, so that it looks the same
everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from shapely import orient_polygons
from shapely.affinity import affine_transform
from shapely.geometry import LineString, MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.errors import DesignError
from pixel2make.lettering import faces
from pixel2make.lettering.setting import set_lines
from pixel2make.lettering.strokes import require_stencil
from pixel2make.pack.cover_place import Rectangle, cover_of
from pixel2make.pack.cover_png import png_bytes
from pixel2make.pack.cover_title import STENCIL_FACE, cover_findings, set_title, stencil_lacks
from pixel2make.pack.formats import Content
from pixel2make.pack.pens import Drawing, DrawingBuilder, RecordingPen, draw_polygon, draw_polyline

__all__ = ["cover_findings", "cover_layout", "cover_layout_files", "cover_stencil"]

LABEL_FACE = "single-stroke"
TINT_SHARE = 0.4
"""How much of an area's colour stays in its tint: enough to tell areas apart, pale enough to draw upon."""
OPENING_TINT = "#d9d6de"
BARS_MM: tuple[float, ...] = (trade.value("cutting.check_bar").number, 50.0, 20.0, 10.0)
"""The longest that finds a place is drawn; the shorter ones are for small covers."""
LABEL_MM: float = trade.value("drawing.lettering").value["note"]
EDGE_MM = 4.0
"""Bar and label keep clear of edges and of what is drawn by this much."""
PLACES = 24
"""Places tried each way for the bar."""


@dataclass(frozen=True)
class _Turn:
    """Mirrors shapes about the upright middle line of the page, where asked for."""

    width: float
    is_mirrored: bool

    def __call__(self, shape: BaseGeometry) -> BaseGeometry:
        return affine_transform(shape, (-1, 0, 0, 1, self.width, 0)) if self.is_mirrored else shape


def cover_layout(
    design: Design,
    *,
    title: str | None,
    subtitle: str | None = None,
    byline: str | None = None,
    face: str | Path = "engraved",
    is_mirrored: bool = False,
) -> Drawing:
    """The front cover laid out at 1 : 1.

    Parameters
    ----------
    design : Design
    title, subtitle, byline : str or None
        Without a title the outlines alone are drawn. A line feed ends a line; a text without one is broken
        between words where that makes the lettering larger.
    face : str or Path
        "engraved", "stencil", "single-stroke", or a font file of the maker's own.
    is_mirrored : bool
        For transfer film and work from the back: all but the writing at the bar is mirrored.

    Returns
    -------
    Drawing
        As wide and high as the cover.

    Raises
    ------
    DesignError
        Subtitle or byline without a title, characters that the face lacks, no place for the title.
    """
    cover = cover_of(design)
    found = set_title(cover, title, subtitle, byline, face)
    turn = _Turn(cover.width_mm, is_mirrored)
    words = "layout, mirrored" if is_mirrored else "layout"
    page = DrawingBuilder(cover.width_mm, cover.height_mm, f"Front cover, {words}")
    page.polygon("visible", turn(cover.outline))
    if cover.joint_mm > 0:
        joint = LineString([(cover.joint_mm, 0), (cover.joint_mm, cover.height_mm)])
        page.line("score", *turn(joint).coords)
    for area in cover.areas:
        page.polygon("detail", turn(area.outline), tint=_tint(area.color))
    for plate in cover.plates:
        page.polygon("hidden", turn(plate))
    taken = [area.outline for area in cover.areas] + list(cover.plates)
    if found:
        page.polygon("mark", turn(_rectangle(found.place.box_mm)))
        _add_lettering(page, [turn(glyph.shape) for glyph in found.lettering], "detail")
        taken.append(_rectangle(found.place.area_mm))
    _add_bar(page, turn(cover.board), turn(unary_union(taken)), words)
    return page.build()


def cover_stencil(
    design: Design, *, title: str, subtitle: str | None = None, byline: str | None = None
) -> Drawing:
    """The title as openings in a sheet of the cover's size, in the stencil face: nothing falls out.

    Raises
    ------
    DesignError
        As `cover_layout`; characters that the stencil face lacks.
    """
    cover = cover_of(design)
    found = set_title(cover, title, subtitle, byline, STENCIL_FACE)
    if found is None:
        raise DesignError("a stencil needs a title; give one")
    require_stencil(found.lettering)
    page = DrawingBuilder(cover.width_mm, cover.height_mm, "Front cover, stencil of the title")
    page.polygon("mark", cover.outline)
    _add_lettering(page, [glyph.shape for glyph in found.lettering], "cut", OPENING_TINT)
    _add_bar(page, cover.board, _rectangle(found.place.area_mm), "stencil")
    return page.build()


def cover_layout_files(
    design: Design,
    *,
    title: str | None,
    subtitle: str | None = None,
    byline: str | None = None,
    face: str | Path = "engraved",
) -> dict[str, Content]:
    """Layout, mirrored layout and stencil as drawings, and the layout as PNG of 300 dots an inch.

    The stencil is left out without a title, and where its face lacks a character, as `cover_findings` says.

    Raises
    ------
    DesignError
        As `cover_layout`.
    """
    layout, turned = (
        cover_layout(
            design, title=title, subtitle=subtitle, byline=byline, face=face, is_mirrored=is_mirrored
        )
        for is_mirrored in (False, True)
    )
    files: dict[str, Content] = {
        "cover/layout": layout,
        "cover/layout_mirrored": turned,
        "cover/layout.png": png_bytes(layout),
    }
    if title is not None and not stencil_lacks(title, subtitle, byline):
        stencil = cover_stencil(design, title=title, subtitle=subtitle, byline=byline)
        files["cover/stencil"] = stencil
    return files


def _rectangle(rectangle: Rectangle) -> Polygon:
    x, y, width, height = rectangle
    return box(x, y, x + width, y + height)


def _tint(color: str) -> str:
    parts = (int(color[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(255 - TINT_SHARE * (255 - part)):02x}" for part in parts)


def _add_lettering(
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


def _add_bar(page: DrawingBuilder, board: BaseGeometry, taken: BaseGeometry, words: str) -> None:
    """A bar of known length with its label, in a free place near the tail, for checking a print."""
    for length in BARS_MM:
        label = f"{length:g} mm, {words}, 1:1"
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
            _add_lettering(page, [glyph.shape for glyph in writing], "print")
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
