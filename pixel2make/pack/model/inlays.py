"""What lies on the faces: gilded, painted and lettered areas, and the pieces of a quarter or half binding."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make.color import rgb_of, srgb_to_lab
from pixel2make.design.model import Area
from pixel2make.design.outlines import outline_on_face, polygons_only
from pixel2make.design.scale import feature_masks
from pixel2make.pack.model.case import board_zones, groove, ribbed
from pixel2make.pack.model.frame import Frame
from pixel2make.pack.model.paint import Colors
from pixel2make.pack.model.shapes import Body, extruded, joined
from pixel2make.pack.model.solid import Solid
from pixel2make.regions.part import region_of

__all__ = ["area_solids", "binding_solids", "ribbon_on_cover"]

_LEATHER_MM, _INLAY_MM = 0.15, 0.3
"""How far binding pieces and areas stand out: thicker than leaf or paint, so that a viewer tells them from
the face below, and too thin to throw a shadow."""

_SUNK_MM = 0.2
"""An inlay begins this far below the face: nothing shines through."""

_SAME_METAL_DEG = 40.0
"""Hues closer than this are shades of one leaf; brown and yellow of drawn gold lie 25 degrees apart."""

_LEAST_CHROMA = 18.0
"""CIELAB; below it a hue says nothing, and a light grey in a silver area is silver."""


def area_solids(frame: Frame) -> Iterator[Solid]:
    """One inlay for each colour of each area, on the face it was drawn on."""
    style = next((c.taken for c in frame.design.choices if c.key == "outline"), "stepped")
    for area in frame.design.areas:
        for outline, color in _colored(frame, area, style):
            finish = _finish(area, color)
            body = _on_face(frame, area.face, outline)
            if body is not None:
                yield Solid(area.name, area.feature, finish, color, *body)


def ribbon_on_cover(frame: Frame, mask: NDArray[np.bool_]) -> Body | None:
    """A ribbon that lies on the front cover: straight, as long and on the whole as broad as it is drawn."""
    face = next(f for f in frame.design.reading.faces if f.name == "cover")
    width, height = frame.face_size("cover")
    ys, xs = np.nonzero(mask)
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], axis=1))
    half = [0.5 / max(abs(edge[0]), abs(edge[1]), 1.0) for edge in (face.a_px, face.b_px)]
    low, high = place.min(axis=0) - half, place.max(axis=0) + half
    share = len(xs) / abs(face.a_px[0] * face.b_px[1] - face.a_px[1] * face.b_px[0])
    size = high - low
    across, along = (0, 1) if size[1] * height >= size[0] * width else (1, 0)
    breadth = share / size[along]
    start, stop = np.zeros(2), np.zeros(2)
    start[across] = place[:, across].mean() - breadth / 2
    stop[across] = start[across] + breadth
    start[along], stop[along] = low[along], high[along]
    scale = np.array([width, height])
    corners = np.clip(np.stack([start, stop]), 0, 1) * scale
    outline = box(*corners.ravel())
    return _on_face(frame, "cover", outline)


def _colored(frame: Frame, area: Area, style: str) -> Iterator[tuple[Polygon | MultiPolygon, str]]:
    """The regions of an area, cut to its outline; the area in one colour where its drawing is not at hand."""
    reading = frame.design.reading
    feature = next((f for f in reading.features if f.id == area.name.split(".")[0]), None)
    mask = None if feature is None else feature_masks(reading, feature).get(area.face)
    left: Polygon | MultiPolygon | None = area.outline
    if mask is not None:
        for region in reading.regions.regions:
            own = mask & (reading.regions.labels == region.id)
            part = region_of(reading.regions, own)
            if part is None or part.color == area.color or left is None:
                continue
            drawn = outline_on_face(reading, area.face, own, frame.face_size(area.face), style=style)
            piece = None if drawn is None else polygons_only(drawn.intersection(left))
            if piece is not None:
                left = polygons_only(left.difference(piece))
                yield piece, part.color
    if left is not None:
        yield left, area.color


def _finish(area: Area, color: str) -> str:
    """Leaf shines; what lies in a gilded area in another hue is painted."""
    if area.treatment != "gilded":
        return "painted"
    one, other = (srgb_to_lab(rgb_of(hexa)) for hexa in (area.color, color))
    chromas = [math.hypot(lab[1], lab[2]) for lab in (one, other)]
    if min(chromas) < _LEAST_CHROMA:
        return "gilded" if max(chromas) < _LEAST_CHROMA else "painted"
    turn = math.degrees(math.atan2(one[2], one[1]) - math.atan2(other[2], other[1]))
    return "gilded" if abs((turn + 180) % 360 - 180) < _SAME_METAL_DEG else "painted"


def _on_face(frame: Frame, face: str, outline: Polygon | MultiPolygon) -> Body | None:
    """An inlay on a face of the book; in the joint it lies in the groove, and ends where the face does."""
    depth = {"fore_edge": frame.square, "head": frame.square, "tail": frame.square}.get(face, 0.0)
    bodies = []
    for zone, sunk in _zones(frame, face):
        piece = polygons_only(outline.intersection(zone))
        if piece is not None:
            level = -sunk - depth
            bodies.append(frame.on_face(face, extruded(piece, level - _SUNK_MM, level + _INLAY_MM)))
    return joined(bodies) if bodies else None


def _zones(frame: Frame, face: str) -> Iterator[tuple[Polygon | MultiPolygon, float]]:
    """Where something can lie on a face and how far below the face's plane."""
    width, height, thickness = frame.size
    if face in ("cover", "back"):
        spine = box(0, 0, groove(frame)[0], height)
        yield spine, 0.0
        yield from ribbed(frame)
        # Picture coordinates run down, the board's up; its outline is the same either way.
        yield from board_zones(frame)
    elif face == "spine":
        yield box(0, 0, thickness, height), 0.0
    elif face == "fore_edge":
        yield box(0, frame.square, thickness, height - frame.square), 0.0
    else:
        yield box(0, 0, width - frame.square, thickness), 0.0


def binding_solids(frame: Frame, colors: Colors) -> Iterator[Solid]:
    """Leather of the spine that comes onto the boards, and leather corners, on both boards."""
    parts = {part.name: part for part in frame.design.parts}
    if "covering_spine" not in parts:
        return
    width, height, _ = frame.size
    side = (frame.get("covering_width") - parts["covering_spine"].size_mm[0]) / 2 - frame.get("turn_in")
    shapes = [box(0, 0, width - side, height)]
    if "covering_corner" in parts:
        leg = max(parts["covering_corner"].size_mm) - 2 * frame.get("turn_in")
        lower = Polygon([(width - leg, 0), (width, 0), (width, leg)])
        upper = affine_transform(lower, [1, 0, 0, -1, 0, height])
        shapes += [lower, upper]
    for face, feature in (("cover", "cover"), ("back", "back_cover")):
        for shape in shapes:
            bodies = []
            for zone, sunk in board_zones(frame):
                piece = polygons_only(shapely.make_valid(shape.intersection(zone)))
                if piece is not None:
                    bodies.append(frame.on_face(face, extruded(piece, -sunk - _SUNK_MM, -sunk + _LEATHER_MM)))
            if bodies:
                yield Solid("covering_spine", feature, "leather", colors.spine, *joined(bodies))
