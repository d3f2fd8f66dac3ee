"""The sprite's own projection, and which way round the object is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from pixel2make.design.model import Design
from pixel2make.pack.model.solid import Model
from pixel2make.pack.preview.camera import Camera, from_rows
from pixel2make.reading.model import Proportions, View

__all__ = ["as_drawn_cameras", "is_mirrored", "mirrored"]


def is_mirrored(view: View) -> bool:
    """True where the spine is drawn at the right of the upright front cover."""
    (ux, uy), (vx, vy) = view.width_px, view.height_px
    return ux * vy - uy * vx < 0


def mirrored(model: Model) -> Model:
    """The model with its spine at the other side, as a book that is drawn so is built."""
    width = model.size_mm[0]
    solids = tuple(
        replace(solid, vertices=solid.vertices * (-1, 1, 1) + (width, 0, 0), faces=solid.faces[:, ::-1])
        for solid in model.solids
    )
    return Model(model.size_mm, solids)


def as_drawn_cameras(design: Design) -> tuple[Camera, ...]:
    """The sprite's own projection, native pixels for millimetres; a second where two sides are flat.

    The scale along each edge comes from the true proportions that were read and from the size along the
    height, not from the finished object's edges: an object of another width shows as one.
    """
    view = design.reading.view
    width, height, thickness = (r * _scale_mm(design) for r in _proportions(design).ratio)
    cameras: list[Camera] = []
    for depth in (view.thickness_px, view.strip_px):
        if depth is None and cameras:
            continue
        away = (0.0, 0.0) if depth is None or thickness <= 0 else -np.array(depth) / thickness
        columns = np.array([np.array(view.width_px) / width, -np.array(view.height_px) / height, away]).T
        # The box's head-spine corner stands where the drawing has it, whatever the object's own size.
        corner = columns @ np.array([0.0, height, thickness or design.dimension("book_thickness").value_mm])
        offset = np.array(view.origin_px) - corner
        cameras.append(from_rows(columns, (float(offset[0]), float(offset[1])), (0.0, 0.0, 1.0)))
    return tuple(cameras)


def _proportions(design: Design) -> Proportions:
    name = design.taken.get("proportions")
    found = design.reading.proportions
    return next((p for p in found if p.name == name), found[0])


def _scale_mm(design: Design) -> float:
    """Millimetres of the height, from the edge whose size the maker gave."""
    edges = {"width": ("cover_width", 0), "height": ("cover_height", 1), "thickness": ("book_thickness", 2)}
    name, place = edges[design.given]
    return design.dimension(name).value_mm / _proportions(design).ratio[place]
