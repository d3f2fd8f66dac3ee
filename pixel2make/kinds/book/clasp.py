"""Clasps over the fore-edge, from their pixels and the thickness of the closed book."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.affinity import affine_transform, scale, translate
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Clasp, Part
from pixel2make.design.outlines import outline_on_face, polygons_only
from pixel2make.design.scale import Box, Scaled, feature_masks
from pixel2make.design.span import Span
from pixel2make.kinds.book.areas import main_region
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Feature

__all__ = ["book_clasps", "clasp_mass_g", "clasp_part"]

_METAL = "brass"

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


def book_clasps(
    scaled: Scaled, lengths: Lengths
) -> tuple[tuple[Clasp, ...], tuple[Dimension, ...], tuple[str, ...]]:
    """Every drawn clasp, its dimensions by name, and what the maker should know about it."""
    clasps, dimensions, warnings = [], [], []
    for feature in scaled.reading.features:
        if feature.feature != "clasp":
            continue
        plate = _plate(scaled, lengths, feature)
        if plate is None:
            warnings.append(f"{feature.id} lies on no face that is drawn, so no clasp is made of it.")
            continue
        clasp = _clasp(scaled, lengths, feature, plate)
        clasps.append(clasp)
        dimensions += [
            clasp.width,
            clasp.plate_length,
            clasp.span,
            clasp.wall,
            clasp.sheet,
            clasp.inside_radius,
        ]
    return tuple(clasps), tuple(dimensions), tuple(warnings)


def _clasp(scaled: Scaled, lengths: Lengths, feature: Feature, plate: _Plate) -> Clasp:
    name = feature.id.replace("-", "_")
    sheets, long_plate = trade.value("metal.clasp_sheet"), trade.value("metal.long_plate").number
    sheet = float(sheets.value["long_plate" if plate.length.value > long_plate else "hook"])
    radius = trade.value("metal.least_radius")
    coefficient = trade.value("metal.bend_coefficient.half_hard")
    clearance, wall = trade.value("clasp.clearance"), trade.value("printing.fdm_wall_loaded")
    span = Span.of(lengths.dimension("book_thickness")) + clearance.number
    region = main_region(scaled.reading, feature.mask)
    source = scaled.proportions.source if plate.origin == "sprite" else "common practice"
    return Clasp(
        name=feature.id,
        plate=plate.outline,
        position_mm=plate.top_mm,
        span=span.dimension(
            f"{name}_span", "rule", f"book thickness and {clearance.number:g} mm clearance", clearance.cited
        ),
        plate_length=plate.length.dimension(f"{name}_plate_length", plate.origin, plate.length_rule, source),
        width=plate.width.dimension(f"{name}_width", plate.origin, plate.width_rule, source),
        wall=Span.exact(wall.number).dimension(
            f"{name}_wall", "rule", "printed wall that carries load", wall.cited
        ),
        sheet=Span.exact(sheet).dimension(f"{name}_sheet", "stock", "half-hard brass sheet", sheets.cited),
        inside_radius=Span.exact(sheet * float(radius.value["half_hard_brass"])).dimension(
            f"{name}_inside_radius", "rule", "one sheet thickness for half-hard brass", radius.cited
        ),
        # The handbook gives the straight length of a right angle; its share per sheet thickness over a
        # quarter turn is the place of the neutral line.
        k_factor=coefficient.numbers[0] / (math.pi / 2),
        material=_METAL,
        color=region.color if region else "#000000",
    )


def _plate(scaled: Scaled, lengths: Lengths, feature: Feature) -> _Plate | None:
    masks = feature_masks(scaled.reading, feature)
    if "cover" in masks:
        place = scaled.box(masks["cover"], "cover")
        size = (lengths["cover_width"], lengths["cover_height"])
        outline = outline_on_face(scaled.reading, "cover", masks["cover"], size)
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
    )


def clasp_part(clasp: Clasp) -> Part:
    """A clasp as a part; its flat pattern is drawn with the clasp, so it lies on no cut sheet."""
    return Part(clasp.name, clasp.material, 1, clasp.sheet.value_mm, clasp.plate, None, is_cut=False)


def clasp_mass_g(clasp: Clasp) -> float:
    """Two plates and the piece across the edge, in sheet metal."""
    density = trade.value("metal.density").value[clasp.material]
    area_mm2 = 2 * clasp.plate.area + clasp.span.value_mm * clasp.width.value_mm
    return float(area_mm2 * clasp.sheet.value_mm / 1000 * density)
