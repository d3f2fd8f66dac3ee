"""The cover's lettering for a carving tool: strokes as wide as the tool at least, counters still standing."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.finishing import finishing_of
from pixel2make.design.model import Design, Finding
from pixel2make.lettering.thicken import Carved, CarvedLine, carved
from pixel2make.pack.cover_marks import add_bar, add_lettering
from pixel2make.pack.cover_place import Cover, cover_of
from pixel2make.pack.cover_title import CoverTitle, set_title
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.quantity import format_length, rounded_down, rounded_up

__all__ = ["carving_findings", "cover_carving"]

GROOVE_TINT = "#e6d6bf"
_WIDEST_GAP = 0.3
"""Capital heights between two letters; set wider, a word falls apart into letters."""

_TOOL_STEP = 0.9
"""What would do is known to a tenth, on the safe side, as tools are sold."""


@dataclass(frozen=True)
class _Words:
    title: str
    subtitle: str | None
    byline: str | None
    face: str | Path


def cover_carving(
    design: Design, *, title: str, subtitle: str | None = None, byline: str | None = None, face: str | Path
) -> Drawing | None:
    """The title's grooves on a sheet of the cover's size; None where they would run into each other.

    Raises
    ------
    DesignError
        As `pixel2make.pack.cover_title.set_title`.
    """
    cover, tool = cover_of(design), _tool_mm(design)
    done, found = _carved(cover, _Words(title, subtitle, byline, face), tool, is_sized=False)
    if done.closed:
        return None
    page = DrawingBuilder(cover.width_mm, cover.height_mm, f"Front cover, carving, tool of {tool:g} mm")
    page.polygon("mark", cover.outline)
    add_lettering(page, done.shapes, "engrave", GROOVE_TINT)
    x, y, width, height = found.place.area_mm
    bar_words = f"carving, tool {format_length(tool, design.units)}"
    add_bar(page, cover.board, box(x, y, x + width, y + height), bar_words, design.units)
    return page.build()


def carving_findings(
    design: Design, *, title: str, subtitle: str | None = None, byline: str | None = None, face: str | Path
) -> Iterator[Finding]:
    """Says line by line what cannot be carved as it is set, with the letters or the tool that can."""
    cover, tool = cover_of(design), _tool_mm(design)
    words = _Words(title, subtitle, byline, face)
    done, _ = _carved(cover, words, tool)
    closing = [line for line in done.lines if line.closed]
    if not closing:
        return
    land = trade.value("lettering.carved_land")
    narrower = _narrower_tools(cover, words, tool, {line.line.name for line in closing})
    for line in closing:
        would = narrower.get(line.line.name)
        ways = []
        if line.needed_mm is not None:
            ways.append(
                f"capitals of at least {rounded_up(line.needed_mm)} mm would do, they have "
                f"{rounded_down(line.capital_mm)} mm"
            )
        if would is not None:
            ways.append(f"a tool of at most {would:g} mm would do (carving_tool)")
        yield Finding(
            "carving-closes",
            line.line.name,
            f"Carved with a tool of {tool:g} mm, less than {rounded_up(tool * land.number, 2)} mm would "
            f"stand {_where(line)} in the {line.line.name} ({line.line.text}), so no carving is drawn: "
            f"{'; or '.join(ways) or 'take fewer words'}.",
            line.capital_mm,
            line.needed_mm,
            land.cited,
        )


def _where(line: CarvedLine) -> str:
    """The letters that close up; all of them are not spelled out."""
    letters = {char for char in line.line.text if not char.isspace()}
    return "in and between all letters" if letters <= set(line.closed) else f"at {' '.join(line.closed)}"


def _narrower_tools(cover: Cover, words: _Words, tool: float, names: Iterable[str]) -> dict[str, float]:
    """By name of lines a narrower tool that leaves them open, all being set anew for it.

    Each size is tried: a finer groove lets letters move together, so that one may close what a wider left
    open. A name that no tool opens is not there.
    """
    found: dict[str, float] = {}
    plain = _plain(cover, words)
    wanted = set(names)
    finest = trade.value("lettering.finest_groove").number
    narrower = _floor_mm(tool * _TOOL_STEP)
    while narrower >= finest and wanted:
        done, _ = _carved(cover, words, narrower, plain=plain, is_sized=False)
        closing = {line.line.name for line in done.lines if line.closed}
        found |= dict.fromkeys(wanted - closing, narrower)
        wanted &= closing
        narrower = _floor_mm(narrower * _TOOL_STEP)
    return found


def _floor_mm(width: float) -> float:
    """To a hundredth, so that what is told is what was tried."""
    return math.floor(100 * width) / 100


def _tool_mm(design: Design) -> float:
    return finishing_of(design.taken).carving_tool_mm


def _plain(cover: Cover, words: _Words) -> CoverTitle:
    found = set_title(cover, words.title, words.subtitle, words.byline, words.face)
    assert found is not None
    return found


def _carved(
    cover: Cover, words: _Words, tool: float, *, plain: CoverTitle | None = None, is_sized: bool = True
) -> tuple[Carved, CoverTitle]:
    """Lettering set so much wider that a groove and what stands beside it find room between two letters."""
    land = tool * trade.value("lettering.carved_land").number
    found = plain if plain is not None else _plain(cover, words)
    smallest = found.lettering.capital_mm * min(line.size for line in found.lettering.lines)
    gap = min(_WIDEST_GAP, (tool + land) / smallest)
    wider = set_title(
        cover, words.title, words.subtitle, words.byline, words.face, letter_gap=gap, place=found.place
    )
    assert wider is not None
    return carved(wider.lettering, tool_mm=tool, land_mm=land, is_sized=is_sized), wider
