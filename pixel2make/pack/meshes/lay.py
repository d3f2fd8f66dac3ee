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
_REST_PER_HANG = 4.0
"""Resting area that outweighs one of hanging area: a broad face holds to the bed and lets the layers run
along the pull, which is worth some support under a bend."""

_WAYS: tuple[tuple[str, tuple[tuple[int, int, int], ...]], ...] = (
    ("head end up", ((1, 0, 0), (0, 0, -1), (0, 1, 0))),
    ("tail end up", ((1, 0, 0), (0, 0, 1), (0, -1, 0))),
    ("front side up", ((1, 0, 0), (0, 1, 0), (0, 0, 1))),
    ("back side up", ((1, 0, 0), (0, -1, 0), (0, 0, -1))),
    ("spine side up", ((0, 0, 1), (0, 1, 0), (-1, 0, 0))),
    ("fore-edge side up", ((0, 0, -1), (0, 1, 0), (1, 0, 0))),
)
"""Turns of a piece as it sits on the book, by what of the book then looks up; each only swaps axes, so
coordinates stay exact."""


@dataclass(frozen=True, eq=False)
class Lay:
    """A piece as it should be printed.

    Attributes
    ----------
    solid : Solid
        Resting on z = 0, in x, y, z >= 0.
    name : str
        What of the book looks up: "front side up" ...
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
    """The way of lying that rests broadest on the bed, support counted against it."""
    lays = [_lay(solid, name, np.array(turn, float)) for name, turn in _WAYS]
    return max(lays, key=lambda lay: round(lay.resting_mm2 - _REST_PER_HANG * lay.hanging_mm2, 3))


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
