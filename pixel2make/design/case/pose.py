"""How the object sits in the case: on a cradle, standing, or lying."""

from __future__ import annotations

import math

from shapely.affinity import translate
from shapely.geometry import Polygon, box
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.case.model import Held, Pose

__all__ = ["cradle_lengths", "pose_of"]

Point = tuple[float, float]


def pose_of(held: Held, name: str, angle_deg: float) -> Pose:
    """Room that the object takes, its fittings included.

    The object's front faces the viewer, its head is up; lying, its tail edge is nearest.

    Parameters
    ----------
    held : Held
    name : {"cradle", "standing", "lying"}
    angle_deg : float
        Of the cover from level, on a cradle.
    """
    width = held.width.value_mm + held.projection("spine") + held.projection("fore_edge")
    height = held.height.value_mm + held.projection("head") + held.projection("tail")
    thickness = held.thickness.value_mm + held.projection("cover") + held.projection("back")
    if name == "standing":
        return Pose(name, (width, thickness, height), box(0, 0, thickness, height))
    if name == "lying":
        return Pose(name, (width, height, thickness), box(0, 0, height, thickness), angle_deg=0.0)
    return _on_cradle(held, width, height, thickness, angle_deg)


def cradle_lengths(held: Held) -> dict[str, float]:
    """Board behind the object, ledge below it and lip before it, by name, in mm."""
    shares = trade.value("case.cradle").value
    height = held.height.value_mm + held.projection("head") + held.projection("tail")
    thickness = held.thickness.value_mm + held.projection("cover") + held.projection("back")
    board = trade.step("case.cradle_thickness", held.height.value_mm).number
    return {
        "thickness": board,
        "width": shares["width_share"] * held.width.value_mm,
        "back": shares["back_share"] * height,
        "ledge": board + thickness + shares["foot"] / 2,
        "lip": shares["lip"] + board,
        "foot": float(shares["foot"]),
    }


def _on_cradle(held: Held, width: float, height: float, thickness: float, angle_deg: float) -> Pose:
    """Leaning back: u runs up the object's back, v from its back to its front."""
    sizes = cradle_lengths(held)
    board, turn = sizes["thickness"], math.radians(angle_deg)
    u, v = (math.cos(turn), math.sin(turn)), (-math.sin(turn), math.cos(turn))

    def at(along: float, off: float) -> Point:
        return (along * u[0] + off * v[0], along * u[1] + off * v[1])

    def slab(along: tuple[float, float], off: tuple[float, float]) -> Polygon:
        (a0, a1), (o0, o1) = along, off
        return Polygon([at(a0, o0), at(a1, o0), at(a1, o1), at(a0, o1)])

    front = sizes["ledge"] - board
    boards = {
        "cradle_back": slab((0.0, sizes["back"]), (-board, 0.0)),
        "cradle_ledge": slab((-board, 0.0), (-board, front)),
        "cradle_lip": slab((-board, sizes["lip"] - board), (front, front + board)),
    }
    low = at(-board, -board)[1] - sizes["foot"]
    heel, top, toe = at(-board, -board), at(sizes["back"], -board), at(-board, front)
    boards["cradle_rib"] = Polygon([toe, heel, top, (top[0], low), (toe[0], low)])
    section = slab((0.0, height), (0.0, thickness))
    x0, y0, x1, y1 = unary_union([section, *boards.values()]).bounds
    moved = tuple((name, translate(shape, -x0, -y0)) for name, shape in boards.items())
    return Pose(
        "cradle",
        (max(width, sizes["width"]), x1 - x0, y1 - y0),
        translate(section, -x0, -y0),
        moved,
        angle_deg,
    )
