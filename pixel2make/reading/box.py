"""Many drawn boxes at once.

A box is kept by the corner of its cover at which the visible faces meet (`apex`), the two cover
edges from there (`p`, `q`) and the edge that runs to the back cover (`t`). Zero thickness draws the
cover alone; a thickness along one cover edge draws one strip beside the cover.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["COVER", "FLAT", "NUDGE", "SIDE_P", "SIDE_Q", "Boxes", "cross", "stack", "stepless"]

COVER, SIDE_P, SIDE_Q = 0, 1, 2
"""Faces of a box in the order in which they are kept: cover, side along edge p, side along edge q."""

FLAT = 1e-6
"""A face whose drawn area is below this (px^2) is seen edge on."""

NUDGE = (1.3e-6, 2.1e-6)
"""Moves pixel centres off the edges, so that a centre on an edge belongs to one face only."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Boxes:
    """K drawn boxes; points and vectors are (x, y) in native pixels.

    Attributes
    ----------
    apex, p, q, t : ndarray of shape (K, 2)
        Cover corner where the visible faces meet, cover edges from there, thickness edge.
    more : ndarray of shape (K, 2)
        Breadth of a second side that is drawn flat beside the cover: against q, where it meets the
        first strip in a full corner, or along p, on the cover's far side. Zero for none.
    """

    apex: Floats
    p: Floats
    q: Floats
    t: Floats
    more: Floats

    def __len__(self) -> int:
        return len(self.apex)

    def take(self, index: object) -> Boxes:
        """The boxes at an index array, a mask or a slice."""
        return Boxes(*(getattr(self, name)[index] for name in ("apex", "p", "q", "t", "more")))

    def cover_corners(self) -> Floats:
        """Shape (K, 4, 2), in turn round the cover from the apex."""
        a, p, q = self.apex, self.p, self.q
        return np.stack([a, a + p, a + p + q, a + q], axis=1)


LEAST_STEP_PX = 0.95
STEEP = 0.5
"""An edge flatter than 1 in 2 that does not climb one whole pixel shows no step; it is more often level."""


def stepless(boxes: Boxes) -> NDArray[np.int64]:
    """How many edges are neither level nor upright and yet climb less than a pixel, shape (K,)."""
    count = np.zeros(len(boxes), np.int64)
    for edge in (boxes.p, boxes.q, boxes.t):
        size = np.abs(edge)
        rise, run = size.min(axis=1), size.max(axis=1)
        count += (rise >= FLAT) & (rise < LEAST_STEP_PX) & (rise < STEEP * run)
    return count


def stack(parts: Sequence[Boxes]) -> Boxes:
    """All boxes of several sets, in order."""
    names = ("apex", "p", "q", "t", "more")
    return Boxes(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def cross(one: Floats, two: Floats) -> Floats:
    """z of the cross product along the last axis; positive turns right on screen (y down)."""
    return np.asarray(one[..., 0] * two[..., 1] - one[..., 1] * two[..., 0])
