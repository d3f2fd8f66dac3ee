"""Normals at the corners of a solid's faces, so that facets of a curved surface do not show."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from pixel2make.pack.model.solid import Points, Solid

__all__ = ["corner_normals"]

_CREASE_COS = float(np.cos(np.radians(40.0)))
"""Facets that meet at less than this angle stand for one curved surface."""

_NO_AREA = 1e-9
"""Twice the area, in mm2, below which a triangle is a line."""


_KEPT = 256
"""Solids whose normals are kept: those of one object, which several pictures and the model file ask for."""


@lru_cache(maxsize=_KEPT)
def corner_normals(solid: Solid) -> Points:
    """Unit normals (M, 3, 3) at the corners of a solid's faces.

    On a smooth solid the normals of all facets that share the place and do not meet in a crease are
    averaged, each by its area; else every corner has its facet's own.
    """
    a, b, c = (solid.vertices[solid.faces[:, k]] for k in range(3))
    weighted = np.cross(b - a, c - a)
    length = np.linalg.norm(weighted, axis=1)
    # A triangle without area shows nowhere; it gets a normal all the same, since viewers ask for one.
    flat = np.where(length[:, None] > _NO_AREA, weighted / np.maximum(length, _NO_AREA)[:, None], (0, 0, 1))
    normals = np.repeat(flat[:, None], 3, axis=1)
    if not solid.is_smooth:
        return normals
    _, place = np.unique(solid.vertices.round(3), axis=0, return_inverse=True)
    corner_place = place.reshape(-1)[solid.faces].ravel()
    order = np.argsort(corner_place, kind="stable")
    counts = np.bincount(corner_place[order])
    counts = counts[counts > 0]
    first = np.cumsum(counts) - counts
    # Every pair of corners at one place, itself included.
    own_count = np.repeat(counts, counts)
    one = np.repeat(np.arange(len(order)), own_count)
    starts = np.repeat(np.repeat(first, counts), own_count)
    offset = np.arange(len(one)) - np.repeat(np.cumsum(own_count) - own_count, own_count)
    one, other = order[one] // 3, order[starts + offset] // 3
    corner = order[np.repeat(np.arange(len(order)), own_count)]
    is_near = np.einsum("ij,ij->i", flat[one], flat[other]) > _CREASE_COS
    total = np.zeros((len(order), 3))
    np.add.at(total, corner[is_near], weighted[other[is_near]])
    norm = np.linalg.norm(total, axis=1)
    fine = norm > 1e-12
    out = normals.reshape(-1, 3).copy()
    out[fine] = total[fine] / norm[fine, None]
    return out.reshape(-1, 3, 3)
