"""Bend a flat pattern in the computer, to see that it becomes the clasp it was unfolded from."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

from pixel2make.pack.meshes.flat import FlatPattern

if TYPE_CHECKING:
    import trimesh

__all__ = ["fold"]

STEPS = 16
"""Chords of a quarter bend: they cut into the true arc by less than 0.13 % of the radius."""

Points = NDArray[np.float64]


def fold(pattern: FlatPattern) -> trimesh.Trimesh:
    """The bent sheet as a closed solid in millimetres.

    The span's inner side lies at x = 0, the plates reach to x > 0, y runs along the height of the
    book and z across the book from the front plate to the back plate, with z = 0 the inner side of the front.

    Parameters
    ----------
    pattern : FlatPattern

    Returns
    -------
    mesh : trimesh.Trimesh
        Watertight, normals outwards.
    """
    import trimesh

    points, faces = _sheet(pattern)
    upper = _bent(points, 0.0, pattern)
    lower = _bent(points, pattern.sheet_mm, pattern)
    count = len(points)
    sides = [face for a, b in _boundary(faces) for face in ((a, b, b + count), (a, b + count, a + count))]
    solid = np.vstack((faces[:, ::-1], faces + count, np.array(sides)))
    return trimesh.Trimesh(np.vstack((upper, lower)), solid, process=False)


def _sheet(pattern: FlatPattern) -> tuple[Points, NDArray[np.int64]]:
    """The flat outline as triangles, cut across along every chord of the bends."""
    first, second = pattern.bends
    cuts = [*np.linspace(first.start_mm, first.end_mm, STEPS + 1)]
    cuts += [*np.linspace(second.start_mm, second.end_mm, STEPS + 1)]
    x0, y0, x1, y1 = pattern.outline.bounds
    low, high = pattern.low_mm, pattern.high_mm
    pieces = [
        pattern.outline.intersection(box(x0 - 1, y0 - 1, cuts[0], y1 + 1)),
        *(box(a, low, b, high) for a, b in pairwise(cuts)),
        pattern.outline.intersection(box(cuts[-1], y0 - 1, x1 + 1, y1 + 1)),
    ]
    index: dict[tuple[float, float], int] = {}
    faces: list[tuple[int, int, int]] = []
    for piece in pieces:
        points, triangles = _triangulated(piece)
        places = [index.setdefault((round(x, 6), round(y, 6)), len(index)) for x, y in points]
        faces += [(places[a], places[b], places[c]) for a, b, c in triangles]
    return np.array(list(index), float), np.array(faces, np.int64)


def _triangulated(piece: Polygon) -> tuple[list[tuple[float, float]], list[tuple[int, int, int]]]:
    import manifold3d

    piece = orient(piece)
    rings = [np.asarray(ring.coords)[:-1] for ring in (piece.exterior, *piece.interiors)]
    triangles = manifold3d.triangulate(rings)
    points = [(float(x), float(y)) for ring in rings for x, y in ring]
    return points, [(int(a), int(b), int(c)) for a, b, c in triangles]


def _boundary(faces: NDArray[np.int64]) -> list[tuple[int, int]]:
    """Directed edges that only one triangle has, in the order of the triangles."""
    edges = [(int(f[i]), int(f[(i + 1) % 3])) for f in faces for i in range(3)]
    present = set(edges)
    return [(a, b) for a, b in edges if (b, a) not in present]


def _bent(points: Points, depth: float, pattern: FlatPattern) -> Points:
    """Bent places of points of the flat sheet, `depth` below its inner side."""
    first, second = pattern.bends
    radius = first.radius_mm
    u, y = points.T
    turned = np.clip((u - first.start_mm) / first.allowance_mm, 0, 1) * (math.pi / 2)
    turned_back = np.clip((u - second.start_mm) / second.allowance_mm, 0, 1) * (math.pi / 2)
    reach = radius + depth
    on_front = np.minimum(u - first.start_mm, 0.0)
    on_back = np.maximum(u - second.end_mm, 0.0)
    on_span = np.clip(u - first.end_mm, 0.0, second.start_mm - first.end_mm)
    x = radius - on_front - reach * np.sin(turned) + reach * (1 - np.cos(turned_back)) + on_back
    z = -depth + reach * (1 - np.cos(turned)) + on_span + reach * np.sin(turned_back)
    return np.column_stack((x, y, z))
