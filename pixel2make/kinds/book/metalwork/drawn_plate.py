"""The front plate of a clasp, from its pixels: its outline, its place, and which pieces are of one clasp."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.affinity import affine_transform, scale, translate
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.outlines import outline_on_face, polygons_only
from pixel2make.design.scale import Box, Scaled, feature_masks
from pixel2make.design.span import Span
from pixel2make.reading.model import Feature

__all__ = ["DrawnPlate", "drawn_plate", "one_each"]

_SIDE_FACES = ("fore_edge", "head", "tail", "spine")

_OVERLAP_MM = 0.01
"""Pieces of one plate run this far into each other, so that their union is one piece."""


@dataclass(frozen=True)
class DrawnPlate:
    """A clasp's front plate with its place.

    Attributes
    ----------
    outline : Polygon
        x from the fore-edge inwards, y down the height of the book, its bounding box at (0, 0).
    top_mm : float
        Its upper end below the head edge.
    length, width : Span
        Reach onto the cover, and along the height.
    origin : {"sprite", "rule"}
    length_rule, width_rule : str
    is_on_cover : bool
        Whether it was drawn there.
    """

    outline: Polygon
    top_mm: float
    length: Span
    width: Span
    origin: str
    length_rule: str
    width_rule: str
    is_on_cover: bool = True


def drawn_plate(scaled: Scaled, lengths: Lengths, feature: Feature) -> DrawnPlate | None:
    """The plate as drawn on the cover, or one by rule where only an edge shows the clasp.

    None where it lies on no face that is drawn.
    """
    masks = feature_masks(scaled.reading, feature)
    if "cover" in masks:
        place = scaled.box(masks["cover"], "cover")
        size = (lengths["cover_width"], lengths["cover_height"])
        style = str(scaled.taken.get("outline", "stepped"))
        outline = outline_on_face(scaled.reading, "cover", masks["cover"], size, style=style)
        if place is not None and outline is not None:
            return _as_drawn(scaled, lengths, place, outline)
    for face in _SIDE_FACES:
        if face in masks:
            place = scaled.box(masks[face], face)
            if place is not None:
                return _by_rule(lengths, place, along_height=face in ("fore_edge", "spine"))
    return None


def one_each(
    found: list[tuple[Feature, DrawnPlate]],
) -> tuple[list[tuple[Feature, DrawnPlate, bool]], list[str]]:
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


def _as_drawn(scaled: Scaled, lengths: Lengths, place: Box, outline: Polygon | MultiPolygon) -> DrawnPlate:
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
    return DrawnPlate(translate(plate, -x0, -y0), top, length, width, origin, rules[0], rules[1])


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


def _by_rule(lengths: Lengths, place: Box, *, along_height: bool) -> DrawnPlate:
    """A plate for a clasp that is drawn on the edge of the leaves alone: its reach is a rule."""
    reach, least = trade.value("clasp.plate_reach"), trade.value("clasp.least_width")
    low, high = reach.numbers
    most = lengths["cover_width"] / 3
    length = Span((low + high) / 2, low, high).at_most(most)
    drawn = place.height if along_height else place.width
    width = drawn.at_least(min(least.number, lengths["cover_height"] / 2))
    top = place.y_mm + drawn.value / 2 - width.value / 2 if along_height else 0.0
    top = min(max(top, 0.0), max(0.0, lengths["cover_height"] - width.value))
    return DrawnPlate(
        box(0, 0, length.value, width.value),
        top,
        length,
        width,
        "rule",
        "usual reach on the board, none is drawn",
        "along the height, as drawn" if width == drawn else f"at least {least.number:g} mm",
        is_on_cover=False,
    )
