"""What a piece of metalwork is: bent from sheet or turned about an axis, and where it sits."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from pixel2make.geometry.folded import FlatPattern, Matrix, Panel, flat_pattern
from pixel2make.geometry.solids import Solid, sheet_solid, turned_solid

__all__ = ["Piece", "Placing", "Pose", "Sheet", "Turned", "moved", "placing"]

Placing = tuple[tuple[float, float, float, float], ...]
"""Rows of a (4, 4) matrix; a value that can be compared."""


def placing(matrix: Matrix) -> Placing:
    """A matrix as a value."""
    return tuple((float(a), float(b), float(c), float(d)) for a, b, c, d in np.asarray(matrix))


def moved(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Matrix:
    """The matrix of a shift."""
    matrix = np.eye(4)
    matrix[:3, 3] = (x, y, z)
    return matrix


@lru_cache(maxsize=256)
def _bent(panel: Panel, sheet_mm: float) -> Solid:
    return sheet_solid(panel, sheet_mm)


@lru_cache(maxsize=64)
def _turned(profile: tuple[tuple[float, float], ...]) -> Solid:
    return turned_solid(profile)


@dataclass(frozen=True)
class Sheet:
    """Cut from sheet and bent.

    Attributes
    ----------
    panel : Panel
        The first panel, with what is bent off it.
    sheet_mm, k_factor : float
    """

    panel: Panel
    sheet_mm: float
    k_factor: float

    def solid(self) -> Solid:
        """The bent piece in the first panel's (u, v, w)."""
        return _bent(self.panel, self.sheet_mm)

    def flat(self) -> FlatPattern:
        """The piece before it is bent."""
        return flat_pattern(self.panel, self.sheet_mm, self.k_factor)


@dataclass(frozen=True)
class Turned:
    """Turned about z: radius and z from the axis at the bottom to the axis at the top."""

    profile: tuple[tuple[float, float], ...]

    def solid(self) -> Solid:
        """About z."""
        return _turned(self.profile)

    @property
    def diameter_mm(self) -> float:
        """The largest."""
        return 2 * max(radius for radius, _ in self.profile)

    @property
    def length_mm(self) -> float:
        """Along the axis."""
        return self.profile[-1][1] - self.profile[0][1]


@dataclass(frozen=True)
class Piece:
    """One piece of metalwork where it sits.

    Attributes
    ----------
    name : str
        "clasp-1_arm" ...
    title : str
        In words: "arm".
    shape : Sheet or Turned
    at : Placing
        From the shape's own axes to the book's, closed.
    body : str
        What it moves with: "front", "back", "arm", "strap".
    material : str
    color : str
        sRGB hex.
    source : {"made", "wire", "rod", "leather"}
        Made of sheet or printed; cut from wire or rod; cut from leather.
    joined_to : str
        Name of the piece that it is printed with in one; "" where it stands alone.
    hand : {"", "left", "right"}
    """

    name: str
    title: str
    shape: Sheet | Turned
    at: Placing
    body: str
    material: str
    color: str
    source: str = "made"
    joined_to: str = ""
    hand: str = ""

    def solid(self) -> Solid:
        """Where it sits on the closed book."""
        return self.shape.solid().placed(self.at)


@dataclass(frozen=True)
class Pose:
    """Where the bodies of a mechanism stand.

    Attributes
    ----------
    name : str
        In words: "nipped, arm 30 degrees out".
    moves : tuple of (body, Placing)
        Bodies that are not named stay.
    bent : tuple of (piece, Sheet)
        Pieces that give way, in the shape that they then have.
    is_barred : bool
        True where something must be in the way: that the clasp holds.
    """

    name: str
    moves: tuple[tuple[str, Placing], ...]
    bent: tuple[tuple[str, Sheet], ...] = ()
    is_barred: bool = False
