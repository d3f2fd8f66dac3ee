"""The cover's lettering for a carving tool: strokes as wide as the tool at least, counters still standing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.finishing import finishing_of
from pixel2make.design.model import Design, Finding
from pixel2make.lettering.thicken import Carved, carved
from pixel2make.pack.cover_marks import add_bar, add_lettering
from pixel2make.pack.cover_place import Cover, cover_of
from pixel2make.pack.cover_title import CoverTitle, set_title
from pixel2make.pack.pens import Drawing, DrawingBuilder

__all__ = ["carving_findings", "cover_carving"]

GROOVE_TINT = "#e6d6bf"
_WIDEST_GAP = 0.3
"""Capital heights between two letters; set wider, a word falls apart into letters."""


def cover_carving(
    design: Design, *, title: str, subtitle: str | None = None, byline: str | None = None, face: str | Path
) -> Drawing | None:
    """The title's grooves on a sheet of the cover's size; None where they would run into each other.

    Raises
    ------
    DesignError
        As `pixel2make.pack.cover_title.set_title`.
    """
    cover = cover_of(design)
    done, found, tool = _carved(design, cover, title, subtitle, byline, face)
    if done.closed:
        return None
    page = DrawingBuilder(cover.width_mm, cover.height_mm, f"Front cover, carving, tool of {tool:g} mm")
    page.polygon("mark", cover.outline)
    add_lettering(page, done.shapes, "engrave", GROOVE_TINT)
    x, y, width, height = found.place.area_mm
    add_bar(page, cover.board, box(x, y, x + width, y + height), f"carving, tool {tool:g} mm")
    return page.build()


def carving_findings(
    design: Design, *, title: str, subtitle: str | None = None, byline: str | None = None, face: str | Path
) -> Iterator[Finding]:
    """Says that lettering cannot be carved as it is set, with the size that can."""
    done, found, tool = _carved(design, cover_of(design), title, subtitle, byline, face)
    if not done.closed:
        return
    land = trade.value("lettering.carved_land")
    would = (
        f"capitals of {done.needed_mm:.1f} mm would do, they are {found.lettering.capital_mm:.1f} mm"
        if done.needed_mm is not None
        else "take fewer words"
    )
    yield Finding(
        "carving-closes",
        "title",
        f"Carved with a tool of {tool:g} mm, less than {tool * land.number:g} mm would stand in or beside "
        f"{' '.join(done.closed)}, so no carving is drawn: {would}; or take a narrower tool (carving_tool).",
        found.lettering.capital_mm,
        done.needed_mm,
        land.cited,
    )


def _carved(
    design: Design,
    cover: Cover,
    title: str,
    subtitle: str | None,
    byline: str | None,
    face: str | Path,
) -> tuple[Carved, CoverTitle, float]:
    """Lettering set so much wider that a groove and what stands beside it find room between two letters."""
    tool = finishing_of(design.taken).carving_tool_mm
    land = tool * trade.value("lettering.carved_land").number
    found = set_title(cover, title, subtitle, byline, face)
    assert found is not None
    smallest = found.lettering.capital_mm * min(line.size for line in found.lettering.lines)
    gap = min(_WIDEST_GAP, (tool + land) / smallest)
    wider = set_title(cover, title, subtitle, byline, face, letter_gap=gap)
    assert wider is not None
    return carved(wider.lettering, tool_mm=tool, land_mm=land), wider, tool
