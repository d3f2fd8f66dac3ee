"""Clasps over the fore-edge, from their pixels and the thickness of the closed book."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Clasp, Finding, Part
from pixel2make.design.scale import Scaled, feature_masks
from pixel2make.design.span import Span
from pixel2make.geometry.pieces import Sheet
from pixel2make.kinds.book.areas import metal_of
from pixel2make.kinds.book.metalwork.drawn_plate import DrawnPlate, drawn_plate, one_each
from pixel2make.kinds.book.metalwork.findings import metalwork_findings, why_not
from pixel2make.kinds.book.metalwork.gauges import (
    taken_metal,
)
from pixel2make.kinds.book.metalwork.making import Way, both_ways, clasp_site, closed_span
from pixel2make.kinds.book.metalwork.proposal import form_of
from pixel2make.kinds.book.metalwork.strength import pull_n
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Feature

__all__ = ["MadeClasps", "book_clasps", "clasp_mass_g", "clasp_part"]

_SEEN = 0.3
"""A region with at least this share of the largest one's pixels is drawn to be seen, no light or shade."""

_WORDS = {"hooked_arm": "hook", "pin_strap": "peg and strap end", "folded_slide": "bend"}


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
        plate = drawn_plate(scaled, lengths, feature)
        if plate is None:
            warnings.append(f"{feature.id} lies on no face that is drawn, so no clasp is made of it.")
        else:
            drawn.append((feature, plate))
    found, merged = one_each(drawn)
    warnings += merged
    pull = pull_n(mass_g, len(found))
    form, why = _form(scaled, lengths, found, pull)
    made = [_made(scaled, lengths, feature, plate, pull, form, why) for feature, plate, _ in found]
    return MadeClasps(
        tuple(one.clasp for one in made),
        tuple(dimension for one in made for dimension in one.dimensions),
        tuple(part for one in made for part in one.parts),
        tuple(finding for one in made for finding in one.findings),
        tuple(warnings),
    )


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
    plate: DrawnPlate,
    pull: float,
    form: str,
    why: str,
) -> _Made:
    name = feature.id.replace("-", "_")
    color = _color(scaled, feature)
    metal = taken_metal(scaled.taken, color)
    site = clasp_site(lengths, feature.id, plate)
    sheet, printed = both_ways(
        scaled.taken, site, form, pull, metal=metal, color=color, plate_mm=plate.length.value
    )
    gauge = sheet.gauge
    clearance = trade.value("clasp.clearance")
    span = closed_span(lengths) + clearance.number
    source = scaled.proportions.source if plate.origin == "sprite" else "common practice"
    length = plate.length
    outline = sheet.site.plate.outline
    if outline.bounds[2] > length.value + 1e-6:
        length = length.at_least(outline.bounds[2])
        plate = replace(
            plate,
            length=length,
            origin="rule",
            length_rule=f"at least {length.value:.1f} mm, so that the {_WORDS[form]} and the pins have room",
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
        wall=Span.exact(printed.gauge.sheet_mm).dimension(
            f"{name}_wall",
            "rule",
            f"printed wall ({printed.gauge.material}), {_holds(printed, pull)}",
            trade.value(f"printing.walls_{printed.gauge.material}").cited,
        ),
        sheet=Span.exact(gauge.sheet_mm).dimension(
            f"{name}_sheet",
            "maker" if isinstance(scaled.taken.get("clasp_thickness"), float) else "stock",
            f"{metal} sheet, {_holds(sheet, pull)}",
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
        metal=sheet.mechanism,
        printed=printed.mechanism,
    )
    return _Made(
        clasp,
        tuple(_dimensions(clasp, name)),
        tuple(_strap_parts(clasp, scaled, feature)),
        tuple(metalwork_findings(clasp.name, (sheet, printed), lengths)),
    )


def _form(
    scaled: Scaled, lengths: Lengths, found: list[tuple[Feature, DrawnPlate, bool]], pull: float
) -> tuple[str, str]:
    """One form for all clasps of a book: that of the broadest."""
    if not found:
        return "", ""
    feature, plate, has_more = max(found, key=lambda one: one[1].outline.bounds[3])
    site, color = clasp_site(lengths, feature.id, plate), _color(scaled, feature)
    metal = taken_metal(scaled.taken, color)

    def hindrance(form: str) -> str:
        sheet, _ = both_ways(
            scaled.taken, site, form, pull, metal=metal, color=color, plate_mm=plate.length.value
        )
        return why_not(sheet)

    return form_of(
        scaled.taken,
        site,
        has_strap=any(_has_strap(scaled, each) for each, _, _ in found),
        over_edge=has_more or "fore_edge" in feature_masks(scaled.reading, feature),
        hindrance=hindrance,
    )


def _color(scaled: Scaled, feature: Feature) -> str:
    """The colour of the largest of the clasp's regions that is drawn like metal, else of the largest.

    A buckle on a strap is often one feature with the strap's end, and less of it.
    """
    labels = scaled.reading.regions.labels[feature.mask]
    ids, counts = np.unique(labels[labels > 0], return_counts=True)
    if not ids.size:
        return str(trade.value("metal.shades").value["brass"][0])
    regions = scaled.reading.regions.regions
    order = np.argsort(-counts, kind="stable")
    seen = [regions[int(ids[k]) - 1] for k in order if counts[k] >= _SEEN * counts.max()]
    return next((region.color for region in seen if metal_of(region.lab) is not None), seen[0].color)


def _holds(way: Way, pull: float) -> str:
    """In a few words, whether a gauge bears the pull."""
    if not all(load.is_held for load in way.mechanism.loads):
        return f"too weak for {pull:.0f} N"
    return f"{'taken to hold' if way.is_raised else 'holds'} {pull:.0f} N"


def _temper(metal: str) -> str:
    return str(trade.value("metal.temper").value[metal]).replace("_", " ").replace("half hard", "half-hard")


def _has_strap(scaled: Scaled, feature: Feature) -> bool:
    """Whether a strap is drawn in the rows of the clasp."""
    rows = np.flatnonzero(feature.mask.any(axis=1))
    for other in scaled.reading.features:
        if other.feature == "strap" and rows.size:
            own = np.flatnonzero(other.mask.any(axis=1))
            if own.size and own[0] <= rows[-1] and rows[0] <= own[-1]:
                return True
    return False


def _dimensions(clasp: Clasp, name: str) -> Iterator[Dimension]:
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
