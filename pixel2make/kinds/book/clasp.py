"""Clasps over the fore-edge, from their pixels and the thickness of the closed book."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from shapely.affinity import affine_transform, scale, translate
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.metalwork import Load
from pixel2make.design.model import Clasp, Finding, Part
from pixel2make.design.outlines import outline_on_face, polygons_only
from pixel2make.design.scale import Box, Scaled, feature_masks
from pixel2make.design.span import Span
from pixel2make.geometry.pieces import Sheet
from pixel2make.geometry.plate import RootedPlate, rooted_plate
from pixel2make.kinds.book.areas import main_region
from pixel2make.kinds.book.metalwork.findings import metalwork_findings
from pixel2make.kinds.book.metalwork.folded_slide import folded_slide, most_stud_mm
from pixel2make.kinds.book.metalwork.gauges import (
    chosen_gauge,
    print_gauges,
    sheet_gauges,
    taken_metal,
)
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm, bar_mm, hooked_arm
from pixel2make.kinds.book.metalwork.pin_strap import peg_place_mm, pin_strap
from pixel2make.kinds.book.metalwork.place import Gauge, Site
from pixel2make.kinds.book.metalwork.proposal import form_of
from pixel2make.kinds.book.metalwork.strength import loads, pull_n
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Feature

__all__ = ["MadeClasps", "book_clasps", "clasp_mass_g", "clasp_part"]

BUILDERS = {"hooked_arm": hooked_arm, "pin_strap": pin_strap, "folded_slide": folded_slide}
_WORDS = {"hooked_arm": "hook", "pin_strap": "peg and strap end", "folded_slide": "bend"}
_JOIN_MM = 1.0
"""Parts of a drawn plate that touch at a corner are joined by so much."""
_ROOT_MM = 2.0
"""Least depth of the straight root at the fore-edge; a bend begins there."""
_SIDE_FACES = ("fore_edge", "head", "tail", "spine")

_OVERLAP_MM = 0.01
"""Pieces of one plate run this far into each other, so that their union is one piece."""


@dataclass(frozen=True)
class _Plate:
    """A clasp's front plate with its place."""

    outline: Polygon
    top_mm: float
    length: Span
    width: Span
    origin: str
    length_rule: str
    width_rule: str
    is_on_cover: bool = True


@dataclass(frozen=True)
class MadeClasps:
    """Clasps with their dimensions, straps, findings and warnings."""

    clasps: tuple[Clasp, ...] = ()
    dimensions: tuple[Dimension, ...] = ()
    parts: tuple[Part, ...] = ()
    findings: tuple[Finding, ...] = ()
    warnings: tuple[str, ...] = ()


def book_clasps(scaled: Scaled, lengths: Lengths, *, mass_g: float = 0.0) -> MadeClasps:
    """Every drawn clasp with its mechanism, its dimensions, and what the maker should know about it.

    Parameters
    ----------
    scaled : Scaled
    lengths : Lengths
    mass_g : float
        Of the book without its clasps, which they have to hold.
    """
    drawn = []
    warnings = []
    for feature in scaled.reading.features:
        if feature.feature != "clasp":
            continue
        plate = _plate(scaled, lengths, feature)
        if plate is None:
            warnings.append(f"{feature.id} lies on no face that is drawn, so no clasp is made of it.")
        else:
            drawn.append((feature, plate))
    found, merged = _one_each(drawn)
    warnings += merged
    form, why = _form(scaled, lengths, found)
    made = [
        _made(scaled, lengths, feature, plate, pull_n(mass_g, len(found)), form, why)
        for feature, plate, _ in found
    ]
    return MadeClasps(
        tuple(one.clasp for one in made),
        tuple(dimension for one in made for dimension in one.dimensions),
        tuple(part for one in made for part in one.parts),
        tuple(finding for one in made for finding in one.findings),
        tuple(warnings),
    )


def _one_each(
    found: list[tuple[Feature, _Plate]],
) -> tuple[list[tuple[Feature, _Plate, bool]], list[str]]:
    """A piece that is drawn over the fore-edge beside a plate on the cover is of the same clasp.

    Each feature that stays, its plate, and whether such a piece was drawn with it.
    """
    on_cover = [pair for pair in found if pair[1].is_on_cover]
    said, with_more, rest = [], set(), []
    for feature, plate in found:
        if plate.is_on_cover:
            continue
        low, high = plate.top_mm, plate.top_mm + plate.outline.bounds[3]
        host = next(
            (f for f, p in on_cover if p.top_mm < high and low < p.top_mm + p.outline.bounds[3]), None
        )
        if host is None:
            rest.append((feature, plate))
        else:
            with_more.add(host.id)
            said.append(f"{feature.id} is drawn over the fore-edge beside {host.id}: both are one clasp.")
    kept = [pair for pair in found if pair[1].is_on_cover or any(pair[0] is other for other, _ in rest)]
    return [(feature, plate, feature.id in with_more) for feature, plate in kept], said


@dataclass(frozen=True)
class _Made:
    clasp: Clasp
    dimensions: tuple[Dimension, ...]
    parts: tuple[Part, ...]
    findings: tuple[Finding, ...]


def _made(
    scaled: Scaled,
    lengths: Lengths,
    feature: Feature,
    plate: _Plate,
    pull: float,
    form: str,
    why: str,
) -> _Made:
    name = feature.id.replace("-", "_")
    region = main_region(scaled.reading, feature.mask)
    color = region.color if region else "#d29428"
    metal = taken_metal(scaled.taken, color)
    site = _site(lengths, feature.id, plate)
    chosen = {}
    for way, gauges in (
        (
            "sheet",
            sheet_gauges(
                scaled.taken,
                metal=metal,
                color=color,
                plate_mm=plate.length.value,
                width_mm=arm_width_mm(site),
            ),
        ),
        ("print", print_gauges(scaled.taken, color=color, width_mm=arm_width_mm(site))),
    ):
        gauge, found, is_raised = chosen_gauge(
            gauges,
            partial(_loads, form, site, pull),
            most_peg_mm=most_stud_mm(site) if form == "folded_slide" else math.inf,
        )
        own = replace(site, plate=_long_enough(site, form, gauge))
        mechanism = replace(BUILDERS[form](own, gauge), loads=found, pull_n=pull)
        chosen[way] = (own, gauge, mechanism, is_raised)
    sheet_site, gauge, sheet, is_raised = chosen["sheet"]
    _, wall, printed, _ = chosen["print"]
    clearance = trade.value("clasp.clearance")
    span = _closed(lengths) + clearance.number
    source = scaled.proportions.source if plate.origin == "sprite" else "common practice"
    length = plate.length
    outline = _plate_of(sheet_site)
    if outline.bounds[2] > length.value + 1e-6:
        length = length.at_least(outline.bounds[2])
        plate = replace(
            plate,
            length=length,
            origin="rule",
            length_rule=f"at least {length.value:.1f} mm, so that the {_WORDS[form]} has room",
        )
    stock, radius = trade.value("metal.stock_sheet"), trade.value("metal.least_radius")
    clasp = Clasp(
        name=feature.id,
        plate=outline,
        position_mm=plate.top_mm,
        span=span.dimension(
            f"{name}_span",
            "rule",
            "closed book under light pressure, turn-ins and clearance",
            trade.value("clasp.light_compression").cited,
        ),
        plate_length=length.dimension(f"{name}_plate_length", plate.origin, plate.length_rule, source),
        width=plate.width.dimension(f"{name}_width", plate.origin, plate.width_rule, source),
        wall=Span.exact(wall.sheet_mm).dimension(
            f"{name}_wall",
            "rule",
            f"printed wall ({wall.material}) that holds {pull:.0f} N",
            trade.value(f"printing.walls_{wall.material}").cited,
        ),
        sheet=Span.exact(gauge.sheet_mm).dimension(
            f"{name}_sheet",
            "maker" if isinstance(scaled.taken.get("clasp_thickness"), float) else "stock",
            f"{metal} sheet"
            + (f", raised to hold {pull:.0f} N" if is_raised else f" that holds {pull:.0f} N"),
            stock.cited,
        ),
        inside_radius=Span.exact(gauge.radius_mm).dimension(
            f"{name}_inside_radius",
            "rule",
            f"{gauge.radius_mm / gauge.sheet_mm:g} sheet thicknesses for {_temper(metal)}",
            radius.cited,
        ),
        k_factor=gauge.k_factor,
        material=metal,
        color=color,
        form=form,
        why=why,
        metal=sheet,
        printed=printed,
    )
    return _Made(
        clasp,
        tuple(_dimensions(clasp, name, pull)),
        tuple(_strap_parts(clasp, scaled, feature)),
        tuple(metalwork_findings(clasp.name, [(s, g, m) for s, g, m, _ in chosen.values()], lengths)),
    )


def _form(scaled: Scaled, lengths: Lengths, found: list[tuple[Feature, _Plate, bool]]) -> tuple[str, str]:
    """One form for all clasps of a book: that of the broadest."""
    if not found:
        return "", ""
    feature, plate, has_more = max(found, key=lambda one: one[1].outline.bounds[3])
    return form_of(
        scaled.taken,
        _site(lengths, feature.id, plate),
        has_strap=any(_has_strap(scaled, each) for each, _, _ in found),
        over_edge=has_more or "fore_edge" in feature_masks(scaled.reading, feature),
    )


def _loads(form: str, site: Site, pull: float, gauge: Gauge) -> tuple[Load, ...]:
    return loads(form, site, gauge, pull)


def _temper(metal: str) -> str:
    return str(trade.value("metal.temper").value[metal]).replace("_", " ").replace("half hard", "half-hard")


def _closed(lengths: Lengths) -> Span:
    """Thickness at the fore-edge under light pressure: the pages give, pared turn-ins add."""
    gives = trade.value("clasp.light_compression").number * lengths["block_thickness"]
    adds = 2 * trade.value("clasp.turn_in_share").number * lengths["covering_thickness"]
    return Span.of(lengths.dimension("book_thickness")) + (adds - gives)


def _site(lengths: Lengths, name: str, plate: _Plate) -> Site:
    height, closed = lengths["cover_height"], _closed(lengths).value
    middle = lengths["book_thickness"] / 2
    return Site(
        name=name,
        fore_edge_mm=lengths["cover_width"],
        low_mm=height - plate.top_mm - plate.outline.bounds[3],
        back_mm=middle - closed / 2,
        front_mm=middle + closed / 2,
        joint_mm=lengths["cover_width"] - lengths["board_width"],
        board_mm=lengths["board_thickness"],
        covering_mm=lengths["covering_thickness"],
        square_mm=lengths["square"],
        height_mm=height,
        plate=rooted_plate(plate.outline, wall_mm=_JOIN_MM, least_depth_mm=_ROOT_MM, name=name),
    )


def _long_enough(site: Site, form: str, gauge: Gauge) -> RootedPlate:
    """The plate, carried on inwards where the mechanism would not fit onto it."""
    least = least_plate_mm(form, gauge)
    x1 = site.plate.outline.bounds[2]
    if x1 >= least:
        return site.plate
    low, high = site.plate.low_mm, site.plate.high_mm
    return rooted_plate(
        site.plate.outline.union(box(0, low, least, high)), wall_mm=_JOIN_MM, least_depth_mm=_ROOT_MM
    )


def least_plate_mm(form: str, gauge: Gauge) -> float:
    """Reach onto the cover that a form's front or catch plate needs."""
    t = gauge.sheet_mm
    if form == "pin_strap":
        return peg_place_mm(gauge) + 2 * gauge.peg_mm
    if form == "hooked_arm":
        return bar_mm(t) + 3 * gauge.slide_mm + gauge.radius_mm / 2 + 3 * t
    return 3 * t


def _plate_of(site: Site) -> Polygon:
    return site.plate.outline


def _has_strap(scaled: Scaled, feature: Feature) -> bool:
    """Whether a strap is drawn in the rows of the clasp."""
    rows = np.flatnonzero(feature.mask.any(axis=1))
    for other in scaled.reading.features:
        if other.feature == "strap" and rows.size:
            own = np.flatnonzero(other.mask.any(axis=1))
            if own.size and own[0] <= rows[-1] and rows[0] <= own[-1]:
                return True
    return False


def _dimensions(clasp: Clasp, name: str, pull: float) -> Iterator[Dimension]:
    yield from (clasp.width, clasp.plate_length, clasp.span, clasp.wall, clasp.sheet, clasp.inside_radius)
    if clasp.metal is not None and clasp.metal.nip_mm:
        yield Span.exact(clasp.metal.nip_mm).dimension(
            f"{name}_nip", "rule", "the book is pressed together so far to let go", "common practice"
        )


def _strap_parts(clasp: Clasp, scaled: Scaled, feature: Feature) -> Iterator[Part]:
    """The leather that a pin clasp needs, where no strap is drawn that has its own part."""
    if clasp.form != "pin_strap" or clasp.metal is None or _has_strap(scaled, feature):
        return
    strap = clasp.metal.piece("_strap").shape
    assert isinstance(strap, Sheet)
    length, width = strap.flat().size_mm
    thickness = trade.value("covering.strap_thickness").number
    yield Part(f"{clasp.name}-strap", "leather", 1, thickness, box(0, 0, length, width), None)


def _plate(scaled: Scaled, lengths: Lengths, feature: Feature) -> _Plate | None:
    masks = feature_masks(scaled.reading, feature)
    if "cover" in masks:
        place = scaled.box(masks["cover"], "cover")
        size = (lengths["cover_width"], lengths["cover_height"])
        style = str(scaled.taken.get("outline", "stepped"))
        outline = outline_on_face(scaled.reading, "cover", masks["cover"], size, style=style)
        if place is not None and outline is not None:
            return _drawn_plate(scaled, lengths, place, outline)
    for face in _SIDE_FACES:
        if face in masks:
            place = scaled.box(masks[face], face)
            if place is not None:
                return _ruled_plate(lengths, place, along_height=face in ("fore_edge", "spine"))
    return None


def _drawn_plate(scaled: Scaled, lengths: Lengths, place: Box, outline: Polygon | MultiPolygon) -> _Plate:
    """The plate as drawn, x from the fore-edge inwards, and no smaller than can be made."""
    cover_width = lengths["cover_width"]
    mirrored = affine_transform(outline, [-1, 0, 0, 1, cover_width, 0])
    plate = _one_piece(_to_the_edge(mirrored, cover_width))
    least_length, least_width = trade.value("clasp.least_plate"), trade.value("clasp.least_width")
    x0, y0, x1, y1 = plate.bounds
    length = _around(x1 - x0, place.width.high - place.width.value)
    width = _around(y1 - y0, place.height.high - place.height.value)
    top, rules = y0, ["reach on the cover, as drawn", "along the height, as drawn"]
    origin = "sprite"
    grow_x = _growth(length.value, min(least_length.number, cover_width / 2))
    grow_y = _growth(width.value, min(least_width.number, lengths["cover_height"] / 2))
    if grow_x > 1:
        rules[0] = f"at least {least_length.number:g} mm, so that two pins have room"
    if grow_y > 1:
        rules[1] = f"at least {least_width.number:g} mm"
        top -= (grow_y - 1) * width.value / 2
    if grow_x > 1 or grow_y > 1:
        origin = "rule"
        plate = scale(plate, grow_x, grow_y, origin=(0, 0))
        length, width = length.at_least(length.value * grow_x), width.at_least(width.value * grow_y)
    x0, y0, x1, y1 = plate.bounds
    top = min(max(top, 0.0), max(0.0, lengths["cover_height"] - (y1 - y0)))
    return _Plate(translate(plate, -x0, -y0), top, length, width, origin, rules[0], rules[1])


def _around(value: float, pixel: float) -> Span:
    return Span(value, max(0.0, value - pixel), value + pixel)


def _growth(value: float, least: float) -> float:
    return max(1.0, least / value)


def _to_the_edge(plate: Polygon | MultiPolygon, cover_width: float) -> Polygon | MultiPolygon:
    """The plate with a tongue to the fore-edge where the drawing leaves a gap there.

    A plate that is drawn nearer to the spine than to the fore-edge is left as it is.
    """
    x0, y0, _, y1 = plate.bounds
    if x0 <= 0 or x0 > cover_width / 2:
        return plate
    near = plate.intersection(box(x0, y0, x0 + _OVERLAP_MM, y1))
    _, low, _, high = near.bounds
    return plate.union(box(0, low, x0 + _OVERLAP_MM, high))


def _one_piece(plate: Polygon | MultiPolygon) -> Polygon:
    """The convex hull where the drawing parts the plate; else the plate without its holes' slivers."""
    found = polygons_only(plate)
    if isinstance(found, Polygon):
        return found
    hull = plate.convex_hull
    return hull if isinstance(hull, Polygon) else box(*plate.bounds)


def _ruled_plate(lengths: Lengths, place: Box, *, along_height: bool) -> _Plate:
    """A plate for a clasp that is drawn on the edge of the leaves alone: its reach is a rule."""
    reach, least = trade.value("clasp.plate_reach"), trade.value("clasp.least_width")
    low, high = reach.numbers
    most = lengths["cover_width"] / 3
    length = Span((low + high) / 2, low, high).at_most(most)
    drawn = place.height if along_height else place.width
    width = drawn.at_least(min(least.number, lengths["cover_height"] / 2))
    top = place.y_mm + drawn.value / 2 - width.value / 2 if along_height else 0.0
    top = min(max(top, 0.0), max(0.0, lengths["cover_height"] - width.value))
    return _Plate(
        box(0, 0, length.value, width.value),
        top,
        length,
        width,
        "rule",
        "usual reach on the board, none is drawn",
        "along the height, as drawn" if width == drawn else f"at least {least.number:g} mm",
        is_on_cover=False,
    )


def clasp_part(clasp: Clasp) -> Part:
    """A clasp as a part; its flat patterns are drawn with the clasp, so it lies on no cut sheet."""
    return Part(clasp.name, clasp.material, 1, clasp.sheet.value_mm, clasp.plate, None, is_cut=False)


def clasp_mass_g(clasp: Clasp) -> float:
    """Its pieces in metal, from their volumes."""
    densities = trade.value("metal.density").value
    if clasp.metal is None:
        return 0.0
    return sum(
        piece.shape.solid().volume_mm3 / 1000 * float(densities[piece.material])
        for piece in clasp.metal.pieces
        if piece.source != "leather"
    )
