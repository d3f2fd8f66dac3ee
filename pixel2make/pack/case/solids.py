"""Triangles of the case with the object in it, in the case's own frame, for pictures.

x to the viewer's right, y away from the viewer, z up; the clear inside begins at (0, 0, 0).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.color import linear_light
from pixel2make.design.case import CaseDesign
from pixel2make.design.case.parts import inside_origin
from pixel2make.design.case.pose import cradle_lengths
from pixel2make.design.case.trench import trench_boxes
from pixel2make.design.model import Design
from pixel2make.pack.model.build import model_of
from pixel2make.pack.preview.drawn import is_mirrored, mirrored
from pixel2make.pack.preview.scene import scene_of

__all__ = ["Boxes", "case_boxes", "cover_edges", "held_scene"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

WOOD = {
    "birch_plywood": "#d9c39a",
    "mdf": "#a98e6c",
    "white_oak": "#b9935f",
    "sugar_maple": "#d8bd90",
    "black_walnut": "#5d4330",
    "black_cherry": "#9a5f3c",
    "beech": "#c79c70",
}
LINING, DIFFUSER, BRASS = "#4a3350", "#e8e8ec", "#c9a24a"
"""Colours of a picture, by eye."""

_CORNERS = np.array([(x, y, z) for x in (0, 1) for y in (0, 1) for z in (0, 1)], float)
_FACES = (
    ((0, 1, 3, 2), (-1, 0, 0)),
    ((4, 6, 7, 5), (1, 0, 0)),
    ((0, 4, 5, 1), (0, -1, 0)),
    ((2, 3, 7, 6), (0, 1, 0)),
    ((0, 2, 6, 4), (0, 0, -1)),
    ((1, 5, 7, 3), (0, 0, 1)),
)
"""Corners of a box and outward normal of each side."""


@dataclass(frozen=True, eq=False)
class Boxes:
    """Triangles with one normal and one colour each, colours in linear light."""

    points: Array
    triangles: Ints
    normals: Array
    albedo: Array


def held_scene(design: Design, case: CaseDesign) -> tuple[Array, Ints, Array, Array]:
    """Points, triangles, normals and colours of the object where it sits in the case."""
    model = model_of(design)
    scene = scene_of(mirrored(model) if is_mirrored(design.reading.view) else model)
    turn, origin = _stance(case)
    points = scene.points @ turn.T + origin
    normals = scene.normals.mean(axis=1)
    normals = normals / np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-9) @ turn.T
    return points, scene.triangles, normals, scene.color[scene.solid]


def _stance(case: CaseDesign) -> tuple[Array, Array]:
    """Rotation of the object's frame (across, up its height, back to front), and where its origin lies."""
    angle = {"standing": 90.0, "lying": 0.0}.get(case.pose.name, case.pose.angle_deg)
    c, s = math.cos(math.radians(angle)), math.sin(math.radians(angle))
    turn = np.array([(1.0, 0.0, 0.0), (0.0, c, -s), (0.0, s, c)])
    held, (room_x, _, _) = case.held, case.pose.size_mm
    whole = held.width.value_mm + held.projection("spine") + held.projection("fore_edge")
    inner = np.array([held.projection("spine"), held.projection("tail"), held.projection("back")])
    if case.pose.name == "standing":
        corner = (case.pose.size_mm[1], 0.0)
    elif case.pose.name == "lying":
        corner = (0.0, 0.0)
    else:
        corner = case.pose.section.exterior.coords[0]
    start = np.array([(room_x - whole) / 2, *corner])
    return turn, start + turn @ inner + (case["clearance"], case["clearance"], 0.0)


def case_boxes(case: CaseDesign) -> Boxes:
    """Base, lining, diffuser, nameplate and cradle."""
    x0, y0 = inside_origin(case)
    wide, deep, total = case["base_width"], case["base_depth"], case["base_total_height"]
    top = -case["lining_thickness"]
    wood = WOOD[str(case.taken["case_wood"])]
    near, far = (-x0, -y0, top - total), (wide - x0, deep - y0, top)
    inside_x, inside_y, _ = case.inside_mm
    parts = [(near, far, wood)]
    if case["lining_thickness"]:
        parts.append(((1.0, 1.0, top), (inside_x - 1.0, inside_y - 1.0, 0.0), LINING))
    parts += [
        ((x, y, top), (x2, y2, DIFFUSER_Z), DIFFUSER)
        for x, y, x2, y2 in (room.bounds for room in trench_boxes(case).values())
    ]
    plate = trade.value("case.nameplate").value
    w, h = plate["width_share"] * wide / 2, plate["height_share"] * case["base_side_height"] / 2
    middle, z = wide / 2 - x0, top - total + case["base_side_height"] / 2
    parts.append(((middle - w, -y0 - plate["thickness"], z - h), (middle + w, -y0, z + h), BRASS))
    boxes = [_box(np.array(low), np.array(high), color) for low, high, color in parts]
    boxes += _cradle(case, wood)
    return _joined(boxes)


DIFFUSER_Z = 0.3
"""The diffuser is drawn a hair above the lining, so that the picture shows it."""


def _box(low: Array, high: Array, color: str) -> Boxes:
    points = low + _CORNERS * (high - low)
    return _hull(points, color)


def _hull(points: Array, color: str) -> Boxes:
    """A box or a sheared box from its eight corners in the order of `_CORNERS`."""
    triangles = np.array([t for (a, b, c, d), _ in _FACES for t in ((a, b, c), (a, c, d))])
    corners = points[triangles]
    normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    outward = corners.mean(axis=1) - points.mean(axis=0)
    normals *= np.sign((normals * outward).sum(axis=1, keepdims=True))
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-9)
    return Boxes(points, triangles, normals, np.tile(linear_light(color), (len(triangles), 1)))


def _cradle(case: CaseDesign, color: str) -> list[Boxes]:
    """Its boards, each a section drawn out over the cradle's width; the ribs hide behind them."""
    if case.pose.name != "cradle":
        return []
    width = cradle_lengths(case.held)["width"]
    middle = case["clearance"] + case.pose.size_mm[0] / 2
    found = []
    for name, section in case.pose.supports:
        ring = np.array(section.exterior.coords[:4])
        if name == "cradle_rib":
            continue
        order = ring[[0, 3, 1, 2]] + (case["clearance"], 0.0)
        points = np.array([(x, y, z) for x in (middle - width / 2, middle + width / 2) for y, z in order])
        found.append(_hull(points, color))
    return found


def _joined(boxes: list[Boxes]) -> Boxes:
    starts = np.cumsum([0, *(len(box.points) for box in boxes)])
    return Boxes(
        np.concatenate([box.points for box in boxes]),
        np.concatenate([box.triangles + at for box, at in zip(boxes, starts, strict=False)]),
        np.concatenate([box.normals for box in boxes]),
        np.concatenate([box.albedo for box in boxes]),
    )


def cover_edges(case: CaseDesign) -> Array:
    """Edges of the clear cover, shape (E, 2, 3): both ends' outlines, and the lines between their corners."""
    sheet = case["acrylic_thickness"]
    x0, x1 = -sheet, case.inside_mm[0] + sheet
    y0, y1 = -sheet, case.inside_mm[1] + sheet
    low = -case["lining_thickness"]
    high = low - case["seat_depth"] + case["cover_height"]
    radius = case["bend_radius"] + sheet if case.bent else 0.0
    outline = [(y0, low)]
    for cy, start in ((y0 + radius, 180.0), (y1 - radius, 90.0)):
        for i in range(ARC_STEPS + 1):
            turn = math.radians(start - 90.0 * i / ARC_STEPS)
            outline.append((cy + radius * math.cos(turn), high - radius + radius * math.sin(turn)))
    outline.append((y1, low))
    edges = [((x, *a), (x, *b)) for x in (x0, x1) for a, b in pairwise(outline)]
    kept = (0, 1, ARC_STEPS + 1, ARC_STEPS + 2, 2 * ARC_STEPS + 2, -1) if radius else range(len(outline))
    edges += [((x0, *outline[i]), (x1, *outline[i])) for i in kept]
    return np.array(edges)


ARC_STEPS = 8
