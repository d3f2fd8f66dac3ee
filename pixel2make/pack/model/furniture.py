"""What is fitted to the book: straps, clasps, metal corner pieces, ribbons."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.design.facegrid import cells_on_face
from pixel2make.design.model import Part
from pixel2make.design.scale import face_named, feature_masks
from pixel2make.pack.clasp import assembly
from pixel2make.pack.model.frame import Frame
from pixel2make.pack.model.inlays import ribbon_on_cover
from pixel2make.pack.model.paint import region_color
from pixel2make.pack.model.shapes import Body, extruded, placed, polygon_of
from pixel2make.pack.model.solid import Points, Solid
from pixel2make.reading.model import Feature

__all__ = ["StrapPlace", "furniture_solids", "strap_place"]

_ARC_STEPS = 6
_OVERLAP_MM = 0.01
"""Boxes of one strap run this far into each other, so that their union is one piece."""

_STRAP_FACES = ("cover", "fore_edge", "spine", "back", "head", "tail")
_WRAPS = 0.9
"""A strap that covers this much of the cover's width runs on round the spine."""

_PRESSED = 0.75
"""A strap that is pulled tight is this share of its thickness; so clasps lie over it."""

_RIBBON_SHARE = 0.35
"""Where the drawing does not show the ribbon's root: this far across the leaf from the spine."""

_TAIL_SHARE = 0.1
"""Of the height: a tail that is not drawn hangs out no farther, however small the book."""

_BRASS, _RIBBON, _STRAP = "#c8963c", "#a03030", "#6b4a2f"


def furniture_solids(frame: Frame) -> Iterator[Solid]:
    """Straps first, clasps over them."""
    yield from _straps(frame)
    for piece in assembly(frame.design):
        color = piece.color or _BRASS
        yield Solid(piece.name, "clasp", "metal", color, piece.vertices, piece.faces)
    yield from _ribbons(frame)


def _feature(frame: Frame, name: str) -> Feature | None:
    return next((f for f in frame.design.reading.features if f.id == name), None)


def _color(frame: Frame, name: str, default: str) -> str:
    feature = _feature(frame, name)
    found = "" if feature is None else region_color(frame.design.reading, feature.mask)
    return found or default


def _straps(frame: Frame) -> Iterator[Solid]:
    for part in frame.design.parts:
        place = strap_place(frame, part)
        if place is not None:
            body, color = _strap_body(frame, place, part), _color(frame, part.name, _STRAP)
            yield Solid(part.name, "strap", "leather", color, *body, is_smooth=True)


@dataclass(frozen=True)
class StrapPlace:
    """Where a strap lies on the closed book.

    Attributes
    ----------
    is_across : bool
        It runs over the fore-edge, else over head and tail.
    middle_mm : float
        Of its breadth: y of one that runs across, else x.
    reach_mm : float
        Onto both covers from the edge that it goes over.
    is_round : bool
        It goes on behind, all round the book.
    """

    is_across: bool
    middle_mm: float
    reach_mm: float
    is_round: bool


def strap_place(frame: Frame, part: Part) -> StrapPlace | None:
    """Where a strap of the design lies; None for a part that is no strap or lies on no face."""
    feature = _feature(frame, part.name)
    if feature is None or feature.feature != "strap":
        return None
    reading = frame.design.reading
    masks = feature_masks(reading, feature)
    face = next((name for name in _STRAP_FACES if name in masks and face_named(reading, name)), None)
    drawn = face_named(reading, face) if face else None
    if face is None or drawn is None:
        return None
    cells = cells_on_face(drawn, masks[face])
    (a0, a1), (b0, b1) = (tuple(np.clip(cells.extent(axis), 0, 1)) for axis in (0, 1))
    width, height, _ = frame.size
    size_a, size_b = frame.face_size(face)
    is_across = (
        (a1 - a0) * size_a >= (b1 - b0) * size_b if face in ("cover", "back") else face in _STRAP_FACES[:3]
    )
    if not is_across:
        return StrapPlace(False, float(width * (a0 + a1) / 2), height, True)
    on_board = face in ("cover", "back")
    reach = width * (1 - a0) if on_board else width / 3
    return StrapPlace(
        True, float(height * (1 - (b0 + b1) / 2)), float(reach), bool(on_board and a1 - a0 > _WRAPS)
    )


def _strap_body(frame: Frame, place: StrapPlace, part: Part) -> Body:
    """A band as wide as the part, bent round the edge that it was drawn over, as far back as in front."""
    width, height, thickness = frame.size
    band = part.size_mm[1]
    edge = width if place.is_across else height
    section = _bent(edge, thickness, place.reach_mm, _PRESSED * part.thickness_mm, is_round=place.is_round)
    body = extruded(section, place.middle_mm - band / 2, place.middle_mm + band / 2)
    axes = ((1, 0, 0), (0, 0, 1), (0, 1, 0)) if place.is_across else ((0, 1, 0), (0, 0, 1), (1, 0, 0))
    return placed(body, axes, (0, 0, 0))


def _bent(edge: float, thickness: float, reach: float, band: float, *, is_round: bool) -> Polygon:
    """Section of a band: over both faces as far as it reaches from the edge, and round the edge.

    In the coordinates across the edge and through the book; all round where it goes on behind.
    """
    start = 0.0 if is_round else edge - reach
    outer = box(start, -band, edge, thickness + band).union(
        box(edge - _OVERLAP_MM, 0, edge + band, thickness)
    )
    for z in (0.0, thickness):
        outer = outer.union(_disc(edge, z, band))
    if is_round:
        outer = outer.union(box(-band, 0, _OVERLAP_MM, thickness))
        for z in (0.0, thickness):
            outer = outer.union(_disc(0.0, z, band))
    return polygon_of(np.asarray(outer.exterior.coords)).difference(
        box(start - (0 if is_round else 2 * band), 0, edge, thickness)
    )


def _disc(x: float, y: float, radius: float) -> Polygon:
    turns = np.linspace(0, 2 * math.pi, 4 * _ARC_STEPS, endpoint=False)
    return Polygon(np.stack([x + radius * np.cos(turns), y + radius * np.sin(turns)], axis=1))


def _ribbons(frame: Frame) -> Iterator[Solid]:
    for part in frame.design.parts:
        feature = _feature(frame, part.name)
        if feature is None or feature.feature != "bookmark":
            continue
        laid = feature_masks(frame.design.reading, feature).get("cover")
        body = None if laid is None else ribbon_on_cover(frame, laid)
        if body is not None:
            yield Solid(part.name, "bookmark", "ribbon", _color(frame, part.name, _RIBBON), *body)
        else:
            yield _ribbon(frame, feature, part)


def _ribbon(frame: Frame, feature: Feature, part: Part) -> Solid:
    """The tail of a ribbon, hanging out of the leaves where and as long as it is drawn, its end cut in."""
    width, height, thickness = frame.size
    root, way = _hanging(frame, feature)
    free = max(part.size_mm[1] - (height - 2 * frame.square), part.size_mm[0])
    length = float(np.clip(np.hypot(*way), 1.5 * part.size_mm[0], free))
    along = way / max(float(np.hypot(*way)), 1e-9)
    across = np.array([-along[1], along[0]])
    half, inside = part.size_mm[0] / 2, frame.square + 10.0
    ring = np.array(
        [
            root - along * inside - across * half,
            root + along * length - across * half,
            root + along * (length - half),
            root + along * length + across * half,
            root - along * inside + across * half,
        ]
    )
    body = extruded(polygon_of(ring), thickness / 2, thickness / 2 + part.thickness_mm)
    del width
    return Solid(part.name, "bookmark", "ribbon", _color(frame, part.name, _RIBBON), *body)


def _hanging(frame: Frame, feature: Feature) -> tuple[Points, Points]:
    """Root of the ribbon at the leaves' tail edge and where its end hangs from there, x and y in mm.

    The drawn pixels are taken to lie in the plane half-way between both covers.
    """
    reading, view = frame.design.reading, frame.design.reading.view
    width, height, _ = frame.size
    ys, xs = np.nonzero(feature.mask)
    middle = np.array(view.origin_px, float) + np.array(view.thickness_px or (0.0, 0.0)) / 2
    basis = np.array([view.width_px, view.height_px], float)
    places = (np.stack([xs + 0.5, ys + 0.5], axis=1) - middle) @ np.linalg.inv(basis)
    places = places * (width, height)
    root_x = float(np.clip(places[:, 0].mean(), frame.spine + 10, width - frame.square - 10))
    near = places[places[:, 1] <= places[:, 1].min() + height * 0.05]
    if 0 < near[:, 0].mean() < width:
        root_x = float(np.clip(near[:, 0].mean(), frame.spine + 5, width - frame.square - 5))
    elif not len(reading.features):
        root_x = width * _RIBBON_SHARE
    reach = float(places[:, 1].max()) - height
    tip_x = float(places[places[:, 1] >= places[:, 1].max() - height * 0.05][:, 0].mean())
    root = np.array([root_x, frame.square])
    # As long as it is drawn; where no tail is drawn, half of what the ribbon is longer than it need be.
    unseen = min(trade.value("covering.bookmark_extra").number / 2, _TAIL_SHARE * height)
    tip = np.array([tip_x, -(reach if reach > 0 else unseen)])
    return root, tip - root
