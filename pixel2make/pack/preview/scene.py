"""All triangles of a model in one list, with what a picture asks of each."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import linear_light
from pixel2make.pack.model.normals import corner_normals
from pixel2make.pack.model.solid import FINISHES, Model, Solid

__all__ = ["Scene", "scene_of"]

Array = NDArray[np.float64]
Ints = NDArray[np.int64]

_BETWEEN_BOARDS = ("text_block", "endpapers")
"""Solids whose level faces are covered by the boards; leaving them out halves the work."""


@dataclass(frozen=True, eq=False)
class Scene:
    """Triangles of a model.

    Attributes
    ----------
    points : ndarray of shape (N, 3)
        Millimetres.
    triangles : ndarray of shape (M, 3), int64
    normals : ndarray of shape (M, 3, 3)
        Unit normal at each corner.
    solid : ndarray of shape (M,), int64
        Number of each triangle's solid.
    color : ndarray of shape (S, 3)
        Linear light 0..1 of each solid.
    finish : ndarray of shape (S,), int64
        Number in `FINISHES`.
    """

    points: Array
    triangles: Ints
    normals: Array
    solid: Ints
    color: Array
    finish: Ints

    def facing(self, towards: Array) -> NDArray[np.bool_]:
        """Triangles that face the eye, shape (M,)."""
        return np.asarray(self.normals.sum(axis=1) @ towards > 0)


@lru_cache(maxsize=2)
def scene_of(model: Model) -> Scene:
    """The model's triangles in the order of its solids, without those that a closed object never shows."""
    model = Model(model.size_mm, tuple(_shown(solid) for solid in model.solids))
    start = np.cumsum([0, *(len(solid.vertices) for solid in model.solids)])
    return Scene(
        points=np.concatenate([solid.vertices for solid in model.solids]),
        triangles=np.concatenate([solid.faces + at for solid, at in zip(model.solids, start, strict=False)]),
        normals=np.concatenate([corner_normals(solid) for solid in model.solids]),
        solid=np.repeat(np.arange(len(model.solids)), [len(solid.faces) for solid in model.solids]),
        color=np.array([linear_light(solid.color) for solid in model.solids]),
        finish=np.array([FINISHES.index(solid.finish) for solid in model.solids]),
    )


def _shown(solid: Solid) -> Solid:
    """A solid without the faces that lie against the boards."""
    if solid.name not in _BETWEEN_BOARDS:
        return solid
    heights = solid.vertices[solid.faces][..., 2]
    return replace(solid, faces=solid.faces[np.ptp(heights, axis=1) > 0])
