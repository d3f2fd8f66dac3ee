"""The title of a cover set in its place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from pixel2make import trade
from pixel2make.errors import DesignError
from pixel2make.lettering import faces
from pixel2make.lettering.model import Face, Lettering, Line
from pixel2make.lettering.setting import clean_text, fit_lines, set_lines
from pixel2make.lettering.strokes import require_stencil
from pixel2make.lettering.widen_bridges import OpenLine, widened
from pixel2make.pack.cover_place import Cover, TitlePlace, title_places

__all__ = ["STENCIL_FACE", "CoverTitle", "set_stencil", "set_title", "stencil_lacks"]

STENCIL_FACE = "stencil"
_WIDEST_STENCIL_GAP = 0.3
"""Capital heights between two letters; set wider, a word falls apart into letters."""


_LARGE = 0.75
"""A place in the middle of the board is worth a quarter of the letters' height, not more."""
_ALIKE = 0.95
"""Letters that differ by less are taken for equally large, and the higher place is taken."""


@dataclass(frozen=True, eq=False)
class CoverTitle:
    """Lettering and the place that it stands in."""

    place: TitlePlace
    lettering: Lettering


def set_title(
    cover: Cover,
    title: str | None,
    subtitle: str | None,
    byline: str | None,
    face: str | Path,
    *,
    letter_gap: float | None = None,
    place: TitlePlace | None = None,
) -> CoverTitle | None:
    """Title, subtitle and byline in the title's place, as large as fits; None without a title.

    Sizes stand to one another as the trade table says. A line feed ends a line; a text without one is
    broken between words where that makes the lettering larger. Letters of a stencil stand apart as the table
    says, others by `letter_gap`, in capital heights. Of several free places that one is taken which gives
    large letters, in the middle of the board where that costs few of them; or `place`.

    Raises
    ------
    DesignError
        Subtitle or byline without a title, characters that the face lacks, no place for the title.
    """
    if title is None:
        if subtitle is not None or byline is not None:
            raise DesignError("a subtitle or byline stands below a title; give a title too")
        return None
    sizes = trade.value("lettering.sizes").value
    named = (("title", title), ("subtitle", subtitle), ("byline", byline))
    blocks = [Line(text, float(sizes[name]), name) for name, text in named if text is not None]
    chosen = faces.face_for(face, "".join(clean_text(block.text) for block in blocks) + " ")
    gap = letter_gap
    if gap is None:
        gap = trade.value("lettering.stencil_gap").number if face == STENCIL_FACE else 0.0
    places = title_places(cover) if place is None else (place,)
    return _best([CoverTitle(each, _fitted(blocks, chosen, each, gap)) for each in places])


def _fitted(blocks: Sequence[Line], face: Face, place: TitlePlace, gap: float) -> Lettering:
    if any("\n" in block.text for block in blocks):
        lines = [replace(block, text=text) for block in blocks for text in block.text.splitlines()]
        return set_lines(lines, face, box_mm=place.box_mm, letter_gap=gap)
    return fit_lines(blocks, face, box_mm=place.box_mm, letter_gap=gap)


def _best(found: Sequence[CoverTitle]) -> CoverTitle:
    """Large letters in the middle of the board and high up, in this order."""
    largest = max(each.lettering.capital_mm for each in found)
    large = [each for each in found if each.lettering.capital_mm >= _LARGE * largest]
    centred = [each for each in large if each.place.is_centred] or large
    largest = max(each.lettering.capital_mm for each in centred)
    alike = [each for each in centred if each.lettering.capital_mm >= _ALIKE * largest]
    return min(alike, key=lambda each: (each.place.area_mm[1], -each.lettering.capital_mm))


def set_stencil(
    cover: Cover, title: str | None, subtitle: str | None, byline: str | None
) -> tuple[CoverTitle, tuple[OpenLine, ...]] | None:
    """The lettering in the stencil face, its letters apart and its bridges as wide as a sheet needs.

    None without a title.

    Raises
    ------
    DesignError
        As `set_title`; letters out of which pieces would fall.
    """
    found = set_title(cover, title, subtitle, byline, STENCIL_FACE)
    if found is None:
        return None
    bridge = trade.value("cutting.fragile_web").number
    smallest = found.lettering.capital_mm * min(line.size for line in found.lettering.lines)
    gap = min(_WIDEST_STENCIL_GAP, max(trade.value("lettering.stencil_gap").number, bridge / smallest))
    wider = set_title(cover, title, subtitle, byline, STENCIL_FACE, letter_gap=gap, place=found.place)
    assert wider is not None
    require_stencil(wider.lettering)
    return wider, widened(wider.lettering, bridge)


def stencil_lacks(*texts: str | None) -> tuple[str, ...]:
    """Characters of the texts that the stencil face does not have."""
    return faces.face(STENCIL_FACE).missing("".join(clean_text(text) for text in texts if text))
