"""Stencils for painted, gilded and lettered areas: openings with bridges, one sheet an area.

Each coat runs a little under the coats that follow it, so that no ground shows between them. Sheets of
one face carry their registration crosses at the same place. A mirrored sheet goes with each, for
transfer film and for what is cut from the back.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import shapely
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.color import difference, rgb_of, srgb_to_lab
from pixel2make.design.finishing import COAT_ORDERS, STENCIL_SHEETS, finishing_of
from pixel2make.design.model import Area, Design
from pixel2make.errors import DesignError
from pixel2make.geometry.bridges import Bridged, bridge, islands
from pixel2make.pack.face_page import MARGIN_MM, face_page
from pixel2make.pack.masks import face_size_mm
from pixel2make.pack.pens import Drawing

__all__ = ["ADHESIVE", "Coat", "Trap", "bridged", "coats", "stencil", "stencil_files", "traps"]

OVERLAP_MM = trade.value("cutting.layer_overlap").number

_SAME_COLOR = 1.0
"""CIEDE2000 below which two colours are one paint: about just visible side by side."""

_SPECK_MM2 = 1e-4
"""A trap smaller than this is two outlines that touch in a point."""

ADHESIVE = "masking_film"
"""The sheet on which islands lie by themselves, so that no stencil falls apart."""

_KEPT_STENCILS = 32
"""Areas of one object, both ways round; bridges are laid once for the sheets and for the findings."""

_WORDS = {"gilded": "gild", "painted": "paint", "lettering": "letter"}


@dataclass(frozen=True)
class Coat:
    """What is laid on a face in one go.

    Attributes
    ----------
    order : int
        From 1.
    face, treatment, color : str
    areas : tuple of str
    """

    order: int
    face: str
    treatment: str
    color: str
    areas: tuple[str, ...]


@dataclass(frozen=True)
class Trap:
    """How far an area runs under one that is laid later.

    Attributes
    ----------
    under : str
        The later area.
    kind : {"spread", "choke"}
        Spread where the area grows outwards below its neighbour, choke where it closes in on a neighbour
        that lies inside of it.
    strip : Polygon or MultiPolygon
        What is added to the area.
    """

    under: str
    kind: str
    strip: Polygon | MultiPolygon


def coats(design: Design, face: str, *, order: str = "light_over_dark") -> tuple[Coat, ...]:
    """The order in which the areas of a face are laid.

    Parameters
    ----------
    design : Design
    face : str
    order : {"light_over_dark", "dark_over_light"}
        Opaque paints go on light over dark; thin ones the other way round. Leaf is always last: it takes
        no paint, and size would lift it.

    Returns
    -------
    tuple of Coat
        Areas of one treatment and colour in one coat; of equally light ones by colour.
    """
    if order not in COAT_ORDERS:
        raise DesignError(f"the order of coats is {' or '.join(COAT_ORDERS)}, got {order!r}")
    groups: list[list[Area]] = []
    for area in sorted((a for a in design.areas if a.face == face), key=lambda a: (a.color, a.name)):
        like = (g for g in groups if g[0].treatment == area.treatment and _is_one_paint(g[0], area))
        found = next(like, None)
        if found is None:
            groups.append([area])
        else:
            found.append(area)
    sign = 1 if order == "light_over_dark" else -1
    groups.sort(key=lambda g: (g[0].treatment == "gilded", sign * _lightness(g[0].color), g[0].color))
    return tuple(
        Coat(i, face, g[0].treatment, g[0].color, tuple(sorted(a.name for a in g)))
        for i, g in enumerate(groups, 1)
    )


def traps(design: Design, area_name: str, *, order: str = "light_over_dark") -> tuple[Trap, ...]:
    """Strips by which an area runs under each neighbour that is laid later, by name of the neighbour."""
    area = _area(design, area_name)
    by_name = {name: coat.order for coat in coats(design, area.face, order=order) for name in coat.areas}
    later = [a for a in design.areas if a.face == area.face and by_name[a.name] > by_name[area.name]]
    found = []
    for other in sorted(later, key=lambda a: a.name):
        strip = area.outline.buffer(OVERLAP_MM, join_style="mitre").intersection(other.outline)
        strip = _polygons(strip.difference(area.outline))
        if strip.area > _SPECK_MM2:
            found.append(Trap(other.name, "choke" if _encloses(area, other) else "spread", strip))
    return tuple(found)


@lru_cache(maxsize=_KEPT_STENCILS)
def bridged(
    design: Design, area_name: str, *, sheet_material: str = "film_knife", order: str = "light_over_dark"
) -> Bridged:
    """Openings, remaining sheet and bridges of an area's stencil, in the face's millimetres.

    Raises
    ------
    DesignError
        For an unknown area or material, or where the islands cannot be held.
    """
    area = _area(design, area_name)
    width, height = face_size_mm(design, area.face)
    sheet = box(-MARGIN_MM, -MARGIN_MM, width + MARGIN_MM, height + MARGIN_MM)
    opening = area.outline
    for trap in traps(design, area_name, order=order):
        opening = opening.union(trap.strip)
    opening = _polygons(opening)
    if sheet_material == ADHESIVE:
        loose = islands(opening, sheet)
        return Bridged(opening, sheet.difference(shapely.union_all([opening, *loose])), (), tuple(loose))
    least = bridge_width_mm(sheet_material, (sheet.bounds[2] - sheet.bounds[0], height + 2 * MARGIN_MM))
    share = trade.value("cutting.bridge_share").number
    return bridge(opening, sheet, width=least, per_island=_bridges_for, share=share)


def bridge_width_mm(sheet_material: str, sheet_mm: tuple[float, float]) -> float:
    """Least width of a bridge by the sheet; card larger than A4 needs wider ones.

    >>> bridge_width_mm("film_laser", (250, 340)), bridge_width_mm("card_knife", (250, 340))
    (1.25, 4.0)
    """
    if sheet_material not in STENCIL_SHEETS:
        raise DesignError(f"a stencil sheet is one of {', '.join(STENCIL_SHEETS)}, got {sheet_material!r}")
    a4 = trade.value("paper.iso216.a").value["A4"]
    is_large = any(side > limit for side, limit in zip(sorted(sheet_mm), sorted(a4), strict=True))
    key = "film_laser" if sheet_material == "film_laser" else "hand_cut"
    if sheet_material == "card_knife" and is_large:
        key = "large_card"
    return float(trade.value("cutting.bridge").value[key])


def stencil(
    design: Design,
    area_name: str,
    *,
    sheet_material: str = "film_knife",
    order: str = "light_over_dark",
    is_mirrored: bool = False,
) -> Drawing:
    """The sheet of one area at true size.

    Parameters
    ----------
    design : Design
    area_name : str
    sheet_material : {"film_laser", "film_knife", "card_knife", "masking_film"}
    order : {"light_over_dark", "dark_over_light"}
    is_mirrored : bool
        x' = w - x, for transfer film, glass gilded from behind, and what is cut from the back.

    Returns
    -------
    Drawing
        Openings as cut lines, the drawn outline below the bridges as thin print, crosses, bars, notes.
    """
    area = _area(design, area_name)
    done = bridged(design, area_name, sheet_material=sheet_material, order=order)
    notes = _notes(design, area, done, sheet_material, order, is_mirrored)
    face = face_size_mm(design, area.face)
    page = face_page(_title(area, is_mirrored), face, notes, is_mirrored=is_mirrored, units=design.units)
    for each in done.bridges:
        page.sheet.polygon("print", page.shape(_polygons(each.strip.intersection(area.outline))))
    page.sheet.polygon("cut", page.shape(done.openings))
    return page.sheet.build()


def stencil_files(design: Design) -> dict[str, Drawing]:
    """``stencils/<area>`` and ``stencils/<area>_mirrored`` of every area, by path.

    A stencil that bridges cannot hold is drawn for masking film.
    """
    answers = finishing_of(design.taken)
    order = answers.coats
    files = {}
    for area in design.areas:
        sheet_material = answers.stencil_sheet
        try:
            bridged(design, area.name, sheet_material=sheet_material, order=order)
        except DesignError:
            sheet_material = ADHESIVE
        for is_mirrored, tail in ((False, ""), (True, "_mirrored")):
            drawing = stencil(
                design, area.name, sheet_material=sheet_material, order=order, is_mirrored=is_mirrored
            )
            files[f"stencils/{area.name}{tail}"] = drawing
    return files


def _notes(
    design: Design, area: Area, done: Bridged, sheet_material: str, order: str, is_mirrored: bool
) -> list[str]:
    all_coats = coats(design, area.face, order=order)
    own = next(coat for coat in all_coats if area.name in coat.areas)
    lines = [
        f"{_title(area, is_mirrored)}: {design.reading.regions.sprite.file}, "
        f"{area.face.replace('_', '-')}, true size, {sheet_material.replace('_', ', ')}",
        f"Cut along the cut lines, {_WORDS[area.treatment]} what is open: "
        f"{done.openings.area / 100:.1f} cm². Coat {own.order} of {len(all_coats)}.",
        "Order of coats: " + "; ".join(_coat_words(coat) for coat in all_coats) + ".",
    ]
    if is_mirrored:
        lines.append("Mirrored: cut from the back, or transfer; lay the other side up.")
    if done.bridges:
        widths = sorted({round(b.width, 1) for b in done.bridges})
        span = " to ".join(f"{w:g}" for w in dict.fromkeys((widths[0], widths[-1])))
        count = len(done.islands)
        lines.append(
            f"{len(done.bridges)} bridges of {span} mm hold {count} {'island' if count == 1 else 'islands'}; "
            "touch up by hand below them, along the thin lines."
        )
    elif done.islands:
        word = "island" if len(done.islands) == 1 else "islands"
        lines.append(
            f"{len(done.islands)} {word} inside: lay each on by itself before the sheet is lifted off."
        )
    for trap in traps(design, area.name, order=order):
        word = {"spread": "Spread", "choke": "Choked"}[trap.kind]
        lines.append(f"{word} {OVERLAP_MM:g} mm below {trap.under.replace('_', ' ')}, which is laid later.")
    return lines


def _coat_words(coat: Coat) -> str:
    names = ", ".join(name.replace("_", " ") for name in coat.areas)
    return f"{coat.order} {_WORDS[coat.treatment]} {names} ({coat.color})"


def _title(area: Area, is_mirrored: bool) -> str:
    return f"{'Mirrored stencil' if is_mirrored else 'Stencil'} for {area.name.replace('_', ' ')}"


def _area(design: Design, name: str) -> Area:
    for area in design.areas:
        if area.name == name:
            return area
    known = ", ".join(area.name for area in design.areas) or "none"
    raise DesignError(f"there is no area {name!r} to cut a stencil for; the areas are {known}")


def _bridges_for(longer_side: float) -> int:
    is_wide = longer_side > trade.value("cutting.wide_island").number
    key = "stencils.bridges_wide_island" if is_wide else "cutting.bridges_per_island"
    return int(trade.value(key).number)


def _encloses(outer: Area, inner: Area) -> bool:
    """Does an area surround another one?"""
    filled = MultiPolygon([Polygon(p.exterior) for p in _polygons(outer.outline).geoms])
    return bool(filled.buffer(OVERLAP_MM).covers(inner.outline))


def _lightness(color: str) -> float:
    return float(srgb_to_lab(rgb_of(color))[0])


def _is_one_paint(a: Area, b: Area) -> bool:
    return bool(difference(srgb_to_lab(rgb_of(a.color)), srgb_to_lab(rgb_of(b.color))) < _SAME_COLOR)


def _polygons(shape: Polygon | MultiPolygon) -> MultiPolygon:
    parts = getattr(shape, "geoms", [shape])
    return MultiPolygon([p for p in parts if isinstance(p, Polygon) and not p.is_empty])
