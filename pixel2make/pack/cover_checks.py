"""What a maker should know of lettering: its place, height, bridges, grooves, the room on the spine."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path

from pixel2make import trade
from pixel2make.design.model import Design, Finding
from pixel2make.lettering.widen_bridges import OpenLine
from pixel2make.pack.cover_carving import carving_findings
from pixel2make.pack.cover_place import cover_of
from pixel2make.pack.cover_sizes import low_lines
from pixel2make.pack.cover_title import set_stencil, set_title, stencil_lacks
from pixel2make.pack.spine_layout import spine_findings
from pixel2make.quantity import rounded_down, rounded_up

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
    stencil = set_stencil(cover, title, subtitle, byline)
    return (*findings, *(_bridge_findings(stencil[1]) if stencil else ()))


def _bridge_findings(lines: Iterable[OpenLine]) -> Iterator[Finding]:
    """Says what a stencil leaves out, with the size at which it can be cut."""
    least = trade.value("cutting.fragile_web")
    by_name: dict[str, list[OpenLine]] = {}
    for line in lines:
        if line.lost:
            by_name.setdefault(line.line.name, []).append(line)
    for name, lost in by_name.items():
        sizes = [line.needed_mm for line in lost]
        needed = None if None in sizes else max(size for size in sizes if size is not None)
        capital = lost[0].capital_mm
        would = (
            f"capitals of at least {rounded_up(needed)} mm would do, they have {rounded_down(capital)} mm"
            if needed is not None
            else "take fewer words"
        )
        chars = dict.fromkeys(char for line in lost for char in line.lost)
        what = "no stencil is drawn" if name == "title" else "it is left out of the stencil"
        yield Finding(
            "thin-bridge",
            name,
            f"Bridges of a stencil are at least {least.number:g} mm wide; they would leave too little of "
            f"{' '.join(chars)} in the {name}, so {what}: {would}.",
            capital,
            needed,
            least.cited,
        )
        if name == "title":
            return
