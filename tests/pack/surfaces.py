"""How far two surfaces lie from each other, by a library of its own."""

import numpy as np
import trimesh

_POINTS = 150
"""Spread over the surface; every corner is looked at besides."""
_AT_ONCE = 100


def mesh_of(solid):
    return trimesh.Trimesh(solid.vertices, solid.faces, process=False)


def surface_gap_mm(one, other):
    """Largest distance from a point on either surface to the other surface: corners and spread points.

    The library walks all triangles for each point; the points are the same in every run.
    """
    a, b = mesh_of(one), mesh_of(other)
    return max(_farthest(a, b), _farthest(b, a))


def _farthest(start, to):
    spread, _ = trimesh.sample.sample_surface(start, _POINTS, seed=1)
    points = np.vstack((start.vertices, spread))
    return max(
        float(trimesh.proximity.closest_point_naive(to, points[i : i + _AT_ONCE])[1].max())
        for i in range(0, len(points), _AT_ONCE)
    )
