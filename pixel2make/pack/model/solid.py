"""What the model is made of: closed solids with a name, a feature word, a finish and a colour."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

__all__ = ["FINISHES", "Faces", "Model", "Points", "Solid"]

Points = NDArray[np.float64]
Faces = NDArray[np.int64]

FINISHES = ("leather", "cloth", "paper", "ribbon", "metal", "gilded", "painted", "thread")
"""How a surface takes the light; "preview.finish" of the trade tables says how."""


@dataclass(frozen=True, eq=False)
class Solid:
    """One closed body of one colour.

    Attributes
    ----------
    name : str
        "front_board", "clasp-1", "emblem-1" ...; bodies that belong to one thing share its name.
    feature : str
        A word of the reading's vocabulary: what a drawing of the object would call this.
    finish : str
        One of `FINISHES`.
    color : str
        sRGB hex.
    vertices : ndarray of shape (N, 3), float64
        Millimetres, in the object's frame.
    faces : ndarray of shape (M, 3), int64
        Triangles, counter-clockwise seen from outside. Read-only, as the vertices.
    is_smooth : bool
        True where facets stand for a curved surface.
    """

    name: str
    feature: str
    finish: str
    color: str
    vertices: Points
    faces: Faces
    is_smooth: bool = False

    def __post_init__(self) -> None:
        if self.finish not in FINISHES:
            raise ValueError(f"{self.name}: a finish is one of {', '.join(FINISHES)}, got {self.finish!r}")
        vertices = np.array(self.vertices, np.float64).reshape(-1, 3)
        faces = np.array(self.faces, np.int64).reshape(-1, 3)
        vertices.flags.writeable = faces.flags.writeable = False
        object.__setattr__(self, "vertices", vertices)
        object.__setattr__(self, "faces", faces)

    def moved(self, by_mm: tuple[float, float, float]) -> Solid:
        """The same body elsewhere."""
        return replace(self, vertices=self.vertices + np.asarray(by_mm, float))

    @property
    def volume_mm3(self) -> float:
        """Volume enclosed, by the divergence theorem; above zero where the faces wind outwards."""
        a, b, c = (self.vertices[self.faces[:, k]] for k in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)


@dataclass(frozen=True, eq=False)
class Model:
    """The finished object in its own frame.

    Attributes
    ----------
    size_mm : (float, float, float)
        Width, height and thickness of the closed object without its furniture.
    solids : tuple of Solid
        x from the spine's outer face to the fore-edge, y from tail to head, z from the back board's
        outer face to the front board's. Right-handed. Later ones lie on earlier ones where both meet.
    """

    size_mm: tuple[float, float, float]
    solids: tuple[Solid, ...]

    @property
    def bounds_mm(self) -> tuple[Points, Points]:
        """Lowest and highest corner of all solids."""
        low = np.min([solid.vertices.min(axis=0) for solid in self.solids], axis=0)
        high = np.max([solid.vertices.max(axis=0) for solid in self.solids], axis=0)
        return low, high
