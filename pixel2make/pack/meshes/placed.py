"""A mesh with a name, a material and a colour, where it belongs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["PlacedMesh"]


@dataclass(frozen=True, eq=False)
class PlacedMesh:
    """A closed solid of triangles in millimetres.

    Attributes
    ----------
    name : str
        "clasp-1_arm" ...
    material : str
        Key of the material, such as "brass".
    color : str
        sRGB hex.
    vertices : ndarray of shape (V, 3), float
        mm; read-only. In the book's frame x runs from the spine's outer face to the fore-edge, y from
        the tail up to the head, z from the back board's outer face to the front board's.
    faces : ndarray of shape (F, 3), int
        Counter-clockwise seen from outside; read-only.
    """

    name: str
    material: str
    color: str
    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]

    def __post_init__(self) -> None:
        for name, kind in (("vertices", np.float64), ("faces", np.int64)):
            values = np.array(getattr(self, name), dtype=kind).reshape(-1, 3)
            values.flags.writeable = False
            object.__setattr__(self, name, values)

    @property
    def bounds(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Lowest and highest corner of the upright box."""
        return self.vertices.min(axis=0), self.vertices.max(axis=0)

    @property
    def volume_mm3(self) -> float:
        """By the divergence theorem; above zero where the faces look outwards."""
        a, b, c = (self.vertices[self.faces[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)
