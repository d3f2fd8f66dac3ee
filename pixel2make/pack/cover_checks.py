"""What a maker should know of lettering: its place, height, bridges, grooves, the room on the spine."""

from __future__ import annotations

from pathlib import Path

from pixel2make import trade
from pixel2make.design.model import Design, Finding
from pixel2make.lettering.model import Lettering
from pixel2make.lettering.strokes import narrowest_bridge_mm
from pixel2make.pack.cover_carving import carving_findings
from pixel2make.pack.cover_place import cover_of
from pixel2make.pack.cover_sizes import low_lines
from pixel2make.pack.cover_title import STENCIL_FACE, set_title, stencil_lacks
from pixel2make.pack.spine_layout import spine_findings

__all__ = ["cover_findings"]


def cover_findings(
    design: Design,
    *,
    title: str | None,
    subtitle: str | None = None,
    byline: str | None = None,
    face: str | Path = "engraved",
) -> tuple[Finding, ...]:
    """What a maker should know of the lettering: its place, lines too low, what closes up, thin bridges.

    Parameters
    ----------
    design : Design
    title, subtitle, byline, face
        As for the layout.

    Raises
    ------
    DesignError
        As `set_title`.
    """
    cover = cover_of(design)
    found = set_title(cover, title, subtitle, byline, face)
    if found is None:
        return ()
    findings = []
    if not found.place.is_drawn:
        findings.append(Finding("title-place", "title", f"{found.place.rule}.", source=found.place.source))
    height = design.dimension("cover_height").value_mm
    findings += low_lines(found.lettering, on="cover", book_mm=height)
    if title is not None:
        findings += carving_findings(design, title=title, subtitle=subtitle, byline=byline, face=face)
        findings += spine_findings(design, title=title, byline=byline, face=face)
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
