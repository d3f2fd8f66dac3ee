"""The clasp as one solid to print: a U of two plates and the span between them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

from pixel2make import trade
from pixel2make.design.model import Clasp
from pixel2make.errors import DesignError
from pixel2make.pack.meshes.plate import RootedPlate, rooted_plate

if TYPE_CHECKING:
    import trimesh

__all__ = ["Lay", "clasp_solid", "clasp_standing", "print_lay"]

Points = NDArray[np.float64]

_TURNS: dict[str, Callable[[Points], Points]] = {
    "on its side": lambda p: np.column_stack((p[:, 0], -p[:, 2], p[:, 1])),
    "on its other side": lambda p: np.column_stack((p[:, 0], p[:, 2], -p[:, 1])),
    "standing on its span": lambda p: np.column_stack((p[:, 1], p[:, 2], p[:, 0])),
}
"""Ways to lie on the bed, the preferred one first. Each only swaps axes, so coordinates stay exact;
each is a turn and no mirror image."""


@dataclass(frozen=True)
class Lay:
    """How the clasp lies on the printer's bed.

    Attributes
    ----------
    name : {"on its side", "on its other side", "standing on its span"}
    overhang_mm : float
        Length of the edges that hang in the air with more overhang than prints without support, seen
        from the side; 0.0 where nothing does.
    """

    name: str
    overhang_mm: float


def print_lay(clasp: Clasp) -> Lay:
    """The way of lying that leaves least in the air; ties go to lying on its side.

    A plate that is widest at its lower end, such as a rectangle, leaves nothing.
    """
    plate = _plate(clasp)
    profile = _profile(clasp, plate)
    wide = clasp.span.value_mm + 2 * clasp.wall.value_mm
    _, y0, _, y1 = profile.bounds
    points = np.asarray(profile.exterior.coords)
    holes = [np.asarray(ring.coords) for ring in profile.interiors]
    hanging = {
        # the span itself hangs too where it does not reach down to the bed
        "on its side": _overhang([points, *holes], (0, 1)) + (wide if plate.low_mm > y0 else 0.0),
        "on its other side": _overhang([points, *holes], (0, -1)) + (wide if plate.high_mm < y1 else 0.0),
        "standing on its span": _overhang([points, *holes], (1, 0)),
    }
    name = min(_TURNS, key=lambda n: round(hanging[n], 3))
    return Lay(name, round(hanging[name], 3))


def clasp_solid(clasp: Clasp) -> trimesh.Trimesh:
    """The clasp as a closed solid in millimetres, lying as it should be printed.

    Front and back plate have the same outline, so each is the other's mirror image seen from outside.
    The solid rests on z = 0 and lies in x, y, z >= 0.

    Parameters
    ----------
    clasp : Clasp

    Returns
    -------
    mesh : trimesh.Trimesh
        Watertight, normals outwards.

    Raises
    ------
    DesignError
        Where the plate, the wall or the span has no size, or the solid does not close.
    """
    import trimesh

    vertices, faces = clasp_standing(clasp)
    vertices = _TURNS[print_lay(clasp).name](vertices)
    mesh = trimesh.Trimesh(vertices - vertices.min(axis=0), faces, process=False)
    if not mesh.is_volume:
        raise DesignError(f"{clasp.name}: its outline gives no closed solid; choose another region or size")
    return mesh


def clasp_standing(clasp: Clasp) -> tuple[Points, NDArray[np.int64]]:
    """Vertices and faces as the clasp sits: x from the fore-edge inwards, y down the height of the book, z
    across it from the inside of the front plate to that of the back plate at the span."""
    wall, span = clasp.wall.value_mm, clasp.span.value_mm
    if min(wall, span) <= 0:
        raise DesignError(f"{clasp.name}: wall {wall:g} mm and span {span:g} mm have to be above 0")
    plate = _plate(clasp)
    return _united(_profile(clasp, plate), plate, wall, span)


def _plate(clasp: Clasp) -> RootedPlate:
    return rooted_plate(clasp, least_depth_mm=clasp.wall.value_mm)


def _profile(clasp: Clasp, plate: RootedPlate) -> Polygon:
    """The plate with the end of the span, which stands before the fore-edge."""
    end = box(-clasp.wall.value_mm, plate.low_mm, plate.depth_mm, plate.high_mm)
    return orient(plate.outline.union(end))


def _united(
    profile: Polygon, plate: RootedPlate, wall: float, span: float
) -> tuple[Points, NDArray[np.int64]]:
    """Vertices and faces of both plates and the span, x inwards, y along the height, z across."""
    import manifold3d

    def extruded(shape: Polygon, low: float, high: float) -> manifold3d.Manifold:
        rings = [np.asarray(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)]
        section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
        return manifold3d.Manifold.extrude(section, high - low).translate((0.0, 0.0, low))

    # The bar ends in the middle of both plates: ends level with a face would differ from it by a
    # rounding error and leave slivers.
    bar = extruded(box(-wall, plate.low_mm, 0.0, plate.high_mm), -wall / 2, span + wall / 2)
    solid = (extruded(profile, -wall, 0.0) + extruded(profile, span, span + wall) + bar).to_mesh()
    # the library hands out 32-bit floats; a tenth of the grid brings the exact places back
    vertices = np.asarray(solid.vert_properties, float)[:, :3].round(4)
    return vertices, np.asarray(solid.tri_verts, np.int64)


def _overhang(rings: list[Points], up: tuple[int, int]) -> float:
    """Length of downward edges above the bed that slope more than what prints without support."""
    limit = np.tan(np.radians(trade.value("printing.overhang").number))
    level = np.array(up, float)
    bed = min(float((ring @ level).min()) for ring in rings)
    total = 0.0
    for ring in rings:
        step = np.diff(ring, axis=0)
        rise = np.abs(step @ level)
        run = np.abs(step @ level[::-1])
        # the outside lies to the right of every step: shells run counter-clockwise, holes clockwise
        outward = np.column_stack((step[:, 1], -step[:, 0])) @ level
        height = np.minimum(ring[:-1] @ level, ring[1:] @ level)
        hangs = (outward < -1e-9) & (run > rise * limit + 1e-9) & (height > bed + 1e-6)
        total += float(run[hangs].sum())
    return total
