"""The cover at its exact size: outline, joint, title, emblem, border and corners in place.

The page is the cover: its corner at (0, 0) is head and spine, its sides are the cover's, so that the sheet
can be laid on the board edge to edge. Writing is drawn in the single-stroke face, so that it looks the same
everywhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make.design.model import Design
from pixel2make.pack.cover_carving import cover_carving
from pixel2make.pack.cover_marks import add_bar, add_lettering
from pixel2make.pack.cover_place import Rectangle, cover_of
from pixel2make.pack.cover_png import png_bytes
from pixel2make.pack.cover_title import set_stencil, set_title, stencil_lacks
from pixel2make.pack.formats import Content
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.pack.spine_layout import spine_layout

__all__ = ["cover_layout", "cover_layout_files", "cover_stencil"]

TINT_SHARE = 0.4
"""How much of an area's colour stays in its tint: enough to tell areas apart, pale enough to draw upon."""
OPENING_TINT = "#d9d6de"


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
        add_lettering(page, [turn(glyph.shape) for glyph in found.lettering], "detail")
        taken.append(_rectangle(found.place.area_mm))
    add_bar(page, turn(cover.board), turn(unary_union(taken)), words, design.units)
    return page.build()


def cover_stencil(
    design: Design, *, title: str, subtitle: str | None = None, byline: str | None = None
) -> Drawing | None:
    """The title as openings in a sheet of the cover's size, in the stencil face: nothing falls out.

    None where bridges as wide as the sheet needs would leave too little of a letter of the title; a subtitle
    or byline that they would cover is left out.

    Raises
    ------
    DesignError
        As `cover_layout`; characters that the stencil face lacks.
    """
    cover = cover_of(design)
    done = set_stencil(cover, title, subtitle, byline)
    assert done is not None
    found, lines = done
    lost = {line.line.name for line in lines if line.lost}
    if "title" in lost:
        return None
    page = DrawingBuilder(cover.width_mm, cover.height_mm, "Front cover, stencil of the title")
    page.polygon("mark", cover.outline)
    shapes = [shape for line in lines if line.line.name not in lost for shape in line.shapes]
    add_lettering(page, shapes, "cut", OPENING_TINT)
    add_bar(page, cover.board, _rectangle(found.place.area_mm), "stencil", design.units)
    return page.build()


def cover_layout_files(
    design: Design,
    *,
    title: str | None,
    subtitle: str | None = None,
    byline: str | None = None,
    face: str | Path = "engraved",
) -> dict[str, Content]:
    """Layout, mirrored layout, stencil, carving and spine as drawings, the layout as PNG of 300 dots an inch.

    Without a title there is the layout alone. The stencil is left out where its face lacks a character or
    bridges would cover its letters, the carving where grooves would run together, the spine where it is too
    narrow, as `cover_findings` says.

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
        files |= {"cover/stencil": stencil} if stencil else {}
    if title is not None:
        grooves = cover_carving(design, title=title, subtitle=subtitle, byline=byline, face=face)
        spine = spine_layout(design, title=title, byline=byline, face=face)
        files |= {"cover/carving": grooves} if grooves else {}
        files |= {"cover/spine": spine} if spine else {}
    return files


def _rectangle(rectangle: Rectangle) -> Polygon:
    x, y, width, height = rectangle
    return box(x, y, x + width, y + height)


def _tint(color: str) -> str:
    parts = (int(color[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(255 - TINT_SHARE * (255 - part)):02x}" for part in parts)
