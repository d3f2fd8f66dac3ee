"""Simple closed bodies: lofts between convex rings, and flat outlines given a thickness."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon

from pixel2make.pack.model.solid import Faces, Points

__all__ = ["extruded", "joined", "loft", "placed", "rounded_rectangle"]

Body = tuple[Points, Faces]

_QUARTER_STEPS = 8
_ROUND_MM = 0.5
"""A corner of a smaller radius is broken by one facet, since no picture shows that it is round."""
"""Straight pieces of a rounded corner: at a radius of 10 mm the chord strays 0.05 mm from the arc."""

_DECIMALS = 4
"""The extruding library hands out 32-bit floats; a ten-thousandth of a mm brings the exact places back."""


def rounded_rectangle(
    low: tuple[float, float],
    high: tuple[float, float],
    radii: tuple[float, float, float, float],
    *,
    inset: float = 0.0,
    steps: int | None = None,
) -> Points:
    """A rectangle with four round corners, counter-clockwise; the radii alone say how many points.

    Parameters
    ----------
    low, high : (x, y)
        Opposite corners.
    radii : tuple of four float
        At (low, low), (high, low), (high, high), (low, high); above `inset`.
    inset : float
        How far the outline is drawn in, parallel to itself.
    steps : int, optional
        Straight pieces of every corner, whatever its radius.

    Returns
    -------
    ndarray of shape (K, 2)
    """
    corners = ((low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]))
    inward = ((1, 1), (-1, 1), (-1, -1), (1, -1))
    points = []
    for number, ((x, y), (dx, dy), radius) in enumerate(zip(corners, inward, radii, strict=True)):
        count = steps or (_QUARTER_STEPS if radius >= _ROUND_MM else 1)
        angles = math.pi * (1 + number / 2) + np.linspace(0, math.pi / 2, count + 1)
        around = np.stack([np.cos(angles), np.sin(angles)], axis=1) * (radius - inset)
        points.append(np.array([x + dx * radius, y + dy * radius]) + around)
    return np.concatenate(points)


def loft(rings: Sequence[Points], heights: Sequence[float]) -> Body:
    """A body with convex rings of equally many points, one above the other, closed at both ends.

    Parameters
    ----------
    rings : sequence of ndarray of shape (K, 2)
        Counter-clockwise seen from above.
    heights : sequence of float
        z of each ring, rising or equal.
    """
    count, levels = len(rings[0]), len(rings)
    vertices = np.concatenate(
        [np.column_stack([ring, np.full(count, z)]) for ring, z in zip(rings, heights, strict=True)]
    )
    here = np.arange(count)
    after = np.roll(here, -1)
    sides = [
        np.concatenate(
            [
                np.stack([base + here, base + after, base + count + after], axis=1),
                np.stack([base + here, base + count + after, base + count + here], axis=1),
            ]
        )
        for base in range(0, count * (levels - 1), count)
    ]
    fan = np.stack([np.zeros(count - 2, np.int64), here[1:-1], here[2:]], axis=1)
    return vertices, np.concatenate([*sides, fan[:, ::-1], fan + count * (levels - 1)])


def extruded(outline: Polygon | MultiPolygon, low: float, high: float) -> Body:
    """An outline with a thickness, from z = low to z = high; holes go through."""
    import manifold3d

    pieces = outline.geoms if isinstance(outline, MultiPolygon) else (outline,)
    rings = [
        np.asarray(ring.coords)[:-1, :2] for piece in pieces for ring in (piece.exterior, *piece.interiors)
    ]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd)
    mesh = manifold3d.Manifold.extrude(section, 1.0).to_mesh()
    vertices = np.asarray(mesh.vert_properties, float)[:, :3].round(_DECIMALS)
    vertices[:, 2] = np.where(vertices[:, 2] > 0.5, high, low)
    return vertices, np.asarray(mesh.tri_verts, np.int64)


def placed(body: Body, axes: Sequence[Sequence[float]], origin: Sequence[float]) -> Body:
    """A body whose x, y and z run along other axes; a mirroring turns its faces round.

    Parameters
    ----------
    axes : three vectors
        Where the body's x, y and z point.
    origin : (x, y, z)
        Where its origin lies.
    """
    matrix = np.asarray(axes, float)
    vertices, faces = body
    turned = faces if np.linalg.det(matrix) > 0 else faces[:, ::-1]
    return vertices @ matrix + np.asarray(origin, float), turned


def joined(bodies: Sequence[Body]) -> Body:
    """Several bodies as one list of vertices and faces."""
    start = np.cumsum([0, *(len(vertices) for vertices, _ in bodies)])
    vertices = np.concatenate([vertices for vertices, _ in bodies])
    return vertices, np.concatenate([faces + at for (_, faces), at in zip(bodies, start, strict=False)])


def polygon_of(points: Points) -> Polygon:
    """A polygon of points, counter-clockwise."""
    return shapely.geometry.polygon.orient(Polygon(points))
