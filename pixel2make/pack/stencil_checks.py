"""What a tool cannot cut, paint or leave standing on a stencil: findings with a place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.finishing import tool_limits
from pixel2make.design.model import Area, Design, Finding
from pixel2make.design.repair import CORNER_TOLERANCE
from pixel2make.geometry.narrow import Place, narrow_places, sharp_corners
from pixel2make.pack.stencils import bridged
from pixel2make.quantity import rounded_down, rounded_up

__all__ = ["area_findings", "stencil_findings"]

_MOST_COVERED = 0.5
"""Bridges that cover more of an opening than they leave make another picture of it."""


def area_findings(area: Area, process: str) -> Iterator[Finding]:
    """Places of an area that are too narrow for a process, and corners too sharp for it.

    Parameters
    ----------
    area : Area
    process : {"knife", "laser", "printer", "brush"}

    Yields
    ------
    Finding
        One for all narrow places with the narrowest, one for all corners with the first.
    """
    width, radius = tool_limits(process)
    if area.repairs:
        yield Finding("repaired", area.name, area.repairs, source=trade.value("stencils.process_width").cited)
    narrow = narrow_places(area.outline, width)
    if narrow:
        yield Finding(
            "narrow-place",
            area.name,
            f"{_named(area)} has {_count(narrow, 'place')} narrower than a {process} makes: "
            f"{rounded_down(narrow[0].size, 2)} mm at {_at(narrow[0])}, it needs at least {width:g} mm; "
            f"widen it or choose a size "
            f"{rounded_up(width / narrow[0].size, 2)} times as large.",
            round(narrow[0].size, 3),
            width,
            trade.value("stencils.process_width").cited,
        )
    sharp = sharp_corners(area.outline, radius, tolerance=CORNER_TOLERANCE * radius) if radius else []
    if sharp:
        yield Finding(
            "sharp-corner",
            area.name,
            f"{_named(area)} has {_count(sharp, 'corner')} sharper than a {process} makes in one stroke, the "
            f"first at {_at(sharp[0])}; expect a radius of {radius:g} mm there, or round the outline.",
            round(sharp[0].size, 3),
            radius,
            trade.value("stencils.process_radius").cited,
        )


def stencil_findings(
    design: Design,
    area_name: str,
    *,
    sheet_material: str = "film_knife",
    process: str = "knife",
    order: str = "light_over_dark",
) -> tuple[Finding, ...]:
    """All findings on one stencil: the opening, the webs that remain beside it, the bridges' share."""
    area = next(a for a in design.areas if a.name == area_name)
    done = bridged(design, area_name, sheet_material=sheet_material, order=order)
    return (*area_findings(area, process), *_webs(area, done.sheet), *_covered(area, done.openings))


def _webs(area: Area, sheet: Polygon) -> Iterator[Finding]:
    fragile, least = trade.value("cutting.fragile_web"), trade.value("cutting.closest_cuts")
    x0, y0, x1, y1 = area.outline.bounds
    frame = 2 * fragile.number
    near = sheet.intersection(box(x0 - frame, y0 - frame, x1 + frame, y1 + frame))
    webs = narrow_places(near, fragile.number)
    if webs:
        verdict = "tears or burns away" if webs[0].size < least.number else "is fragile"
        yield Finding(
            "fragile-web",
            area.name,
            f"The stencil for {_named(area, is_first=False)} keeps {_count(webs, 'web')} below "
            f"{fragile.number:g} mm: {rounded_down(webs[0].size, 2)} mm at {_at(webs[0])} {verdict}; "
            "use an adhesive mask or a larger size.",
            round(webs[0].size, 3),
            fragile.number,
            fragile.cited,
        )


def _covered(area: Area, openings: MultiPolygon) -> Iterator[Finding]:
    left = openings.intersection(area.outline).area
    if left < (1 - _MOST_COVERED) * area.outline.area:
        yield Finding(
            "bridges-cover-opening",
            area.name,
            f"Bridges cover {1 - left / area.outline.area:.0%} of {_named(area, is_first=False)}; "
            "use an adhesive mask, a laser-cut film or a larger size.",
        )


def _named(area: Area, *, is_first: bool = True) -> str:
    name = area.name.replace("_", " ")
    return name[:1].upper() + name[1:] if is_first else name


def _count(places: Sequence[Place], word: str) -> str:
    return f"{len(places)} {word}{'' if len(places) == 1 else 's'}"


def _at(place: Place) -> str:
    """From the upper left corner of the face."""
    return f"x {place.at[0]:.1f}, y {place.at[1]:.1f} mm"
