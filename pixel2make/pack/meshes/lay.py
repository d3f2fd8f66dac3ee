"""How a piece lies on the printer's bed: on a flat face, with as little as can be in the air."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.geometry.solids import Solid

__all__ = ["Lay", "hanging_mm2", "laid"]

_ON_BED_MM = 0.02
"""Faces that end this near the bed lie on it."""
_TIE_MM2 = 0.5
"""Less difference in the air than a drop of filament is no reason to lie otherwise."""

_WAYS: tuple[tuple[str, tuple[tuple[int, int, int], ...]], ...] = (
    ("on its side", ((1, 0, 0), (0, 0, -1), (0, 1, 0))),
    ("on its other side", ((1, 0, 0), (0, 0, 1), (0, -1, 0))),
    ("flat, outside up", ((1, 0, 0), (0, 1, 0), (0, 0, 1))),
    ("flat, outside down", ((1, 0, 0), (0, -1, 0), (0, 0, -1))),
    ("on its edge", ((0, 0, 1), (0, 1, 0), (-1, 0, 0))),
    ("on its other edge", ((0, 0, -1), (0, 1, 0), (1, 0, 0))),
)
"""Turns of a piece as it sits on the book; each only swaps axes, so coordinates stay exact."""


@dataclass(frozen=True, eq=False)
class Lay:
    """A piece as it should be printed.

    Attributes
    ----------
    solid : Solid
        Resting on z = 0, in x, y, z >= 0.
    name : str
        "on its side" ...
    hanging_mm2 : float
        Area that slopes more than prints without support, above the bed.
    resting_mm2 : float
        Area that lies on the bed.
    """

    solid: Solid
    name: str
    hanging_mm2: float
    resting_mm2: float


def laid(solid: Solid) -> Lay:
    """The way of lying that leaves least in the air, then the one that rests on most."""
    lays = [_lay(solid, name, np.array(turn, float)) for name, turn in _WAYS]
    least = min(lay.hanging_mm2 for lay in lays)
    near = [lay for lay in lays if lay.hanging_mm2 <= least + _TIE_MM2]
    return max(near, key=lambda lay: round(lay.resting_mm2, 3))


def _lay(solid: Solid, name: str, turn: NDArray[np.float64]) -> Lay:
    vertices = solid.vertices @ turn.T
    turned = Solid(vertices - vertices.min(axis=0), solid.faces)
    hanging, resting = hanging_mm2(turned)
    return Lay(turned, name, hanging, resting)


def hanging_mm2(solid: Solid) -> tuple[float, float]:
    """Area that hangs in the air above the bed, and area that rests on it."""
    limit = math.sin(math.radians(trade.value("printing.overhang").number))
    a, b, c = (solid.vertices[solid.faces[:, i]] for i in range(3))
    cross = np.cross(b - a, c - a)
    area = np.linalg.norm(cross, axis=1) / 2
    down = np.divide(-cross[:, 2] / 2, area, out=np.zeros_like(area), where=area > 0)
    top = np.maximum(np.maximum(a[:, 2], b[:, 2]), c[:, 2])
    on_bed = top < _ON_BED_MM
    hangs = (down > limit + 1e-6) & ~on_bed
    return float(area[hangs].sum()), float(area[on_bed].sum())
