"""The title of a cover set in its place, and what a maker should know of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from pixel2make import trade
from pixel2make.design.model import Design, Finding
from pixel2make.errors import DesignError
from pixel2make.lettering import faces
from pixel2make.lettering.model import Lettering, Line
from pixel2make.lettering.setting import clean_text, fit_lines, set_lines
from pixel2make.lettering.strokes import check_tool, narrowest_bridge_mm
from pixel2make.pack.cover_place import Cover, TitlePlace, cover_of, title_place

__all__ = ["STENCIL_FACE", "CoverTitle", "cover_findings", "set_title", "stencil_lacks"]

STENCIL_FACE = "stencil"


@dataclass(frozen=True, eq=False)
class CoverTitle:
    """Lettering and the place that it stands in."""

    place: TitlePlace
    lettering: Lettering


def set_title(
    cover: Cover, title: str | None, subtitle: str | None, byline: str | None, face: str | Path
) -> CoverTitle | None:
    """Title, subtitle and byline in the title's place, as large as fits; None without a title.

    Sizes stand to one another as the trade table says. A line feed ends a line; a text without one is
    broken between words where that makes the lettering larger.

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
    blocks = [Line(text, float(sizes[name])) for name, text in named if text is not None]
    place = title_place(cover)
    chosen = faces.face_for(face, "".join(clean_text(block.text) for block in blocks) + " ")
    gap = trade.value("lettering.stencil_gap").number if face == STENCIL_FACE else 0.0
    if any("\n" in block.text for block in blocks):
        lines = [Line(text, block.size) for block in blocks for text in block.text.splitlines()]
        return CoverTitle(place, set_lines(lines, chosen, box_mm=place.box_mm, letter_gap=gap))
    return CoverTitle(place, fit_lines(blocks, chosen, box_mm=place.box_mm, letter_gap=gap))


def stencil_lacks(*texts: str | None) -> tuple[str, ...]:
    """Characters of the texts that the stencil face does not have."""
    return faces.face(STENCIL_FACE).missing("".join(clean_text(text) for text in texts if text))


def cover_findings(
    design: Design,
    *,
    title: str | None,
    subtitle: str | None = None,
    byline: str | None = None,
    face: str | Path = "engraved",
    tool_mm: float | None = None,
) -> tuple[Finding, ...]:
    """What a maker should know of the lettering: its place, strokes too thin for the tool, thin bridges.

    Parameters
    ----------
    design : Design
    title, subtitle, byline, face
        As for the layout.
    tool_mm : float, optional
        Thinnest stroke that the maker's tool cuts. Without it strokes are not judged: a brush takes any.

    Raises
    ------
    DesignError
        As `set_title`; a tool's limit that is not above zero.
    """
    cover = cover_of(design)
    found = set_title(cover, title, subtitle, byline, face)
    if found is None:
        return ()
    findings = []
    if not found.place.is_drawn:
        findings.append(Finding("title-place", "title", f"{found.place.rule}.", source=found.place.source))
    check = check_tool(found.lettering, tool_mm) if tool_mm is not None else None
    if check is not None and not check.is_enough:
        limits = check.thinnest_mm, check.limit_mm, "the maker's tool"
        findings.append(Finding("thin-stroke", "title", f"{check.sentence}.", *limits))
    lacking = stencil_lacks(title, subtitle, byline)
    if lacking:
        words = f"The stencil face has no {' '.join(lacking)}, so no stencil is made; spell it otherwise."
        findings.append(Finding("no-stencil", "title", words))
        return tuple(findings)
    stencil = set_title(cover, title, subtitle, byline, STENCIL_FACE)
    return (*findings, *(_bridge_findings(stencil.lettering) if stencil else ()))


def _bridge_findings(stencil: Lettering) -> tuple[Finding, ...]:
    least = trade.value("cutting.fragile_web")
    width = narrowest_bridge_mm(stencil)
    if width is None or width >= least.number:
        return ()
    needed = stencil.capital_mm * least.number / width
    sentence = (
        f"The narrowest bridge of the stencil is {width:.2f} mm, below {least.number:g} mm: capitals of "
        f"{needed:.1f} mm would do, they are {stencil.capital_mm:.1f} mm."
    )
    return (Finding("thin-bridge", "title", sentence, width, least.number, least.cited),)
