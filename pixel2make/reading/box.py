"""Many drawn boxes at once: their faces on the pixel grid.

A box is kept by the corner of its cover at which the visible faces meet (`apex`), the two cover
edges from there (`p`, `q`) and the edge that runs to the back cover (`t`). Zero thickness draws the
cover alone; a thickness along one cover edge draws one strip beside the cover.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["COVER", "NOTHING", "SIDE_P", "SIDE_Q", "Boxes", "paint", "stack", "stepless"]

NOTHING, COVER, SIDE_P, SIDE_Q = 0, 1, 2, 3
"""Labels of a painted box: outside, cover, the side along edge p, the side along edge q."""

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


def paint(boxes: Boxes, shape: tuple[int, int]) -> NDArray[np.uint8]:
    """Which face each pixel centre lies on.

    Parameters
    ----------
    boxes : Boxes
    shape : (rows, columns)

    Returns
    -------
    labels : ndarray of shape (K, rows * columns), uint8
        `NOTHING`, `COVER`, `SIDE_P` or `SIDE_Q`; row by row. Where faces overlap the cover wins.
    """
    rows, cols = shape
    xs = np.tile(np.arange(cols) + 0.5 + NUDGE[0], rows)
    ys = np.repeat(np.arange(rows) + 0.5 + NUDGE[1], cols)
    along, across, _ = _local(boxes, boxes.p, boxes.q, xs, ys)
    labels = np.zeros(along.shape, np.uint8)
    for edge, label in ((boxes.q, SIDE_Q), (boxes.p, SIDE_P)):
        one, two, seen = _local(boxes, edge, boxes.t, xs, ys)
        labels[_unit(one) & _unit(two) & seen[:, None]] = label
    second = np.flatnonzero(np.abs(boxes.more).sum(axis=1) > 0)
    if len(second):
        labels[second] = _strips(boxes.take(second), along[second], across[second])
    labels[_unit(along) & _unit(across)] = COVER
    return labels


def _unit(value: NDArray[np.float32]) -> NDArray[np.bool_]:
    return np.asarray((value >= 0) & (value < 1))


def _local(
    boxes: Boxes, e: Floats, f: Floats, xs: Floats, ys: Floats
) -> tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.bool_]]:
    """Coordinates (K, N) of pixel centres in the basis (e, f) at the apex, and which bases are not flat."""
    area = cross(e, f)
    seen = np.abs(area) > FLAT
    safe = np.where(seen, area, 1.0)
    # Coordinates are linear in x and y: one outer sum each.
    x0, y0 = boxes.apex[:, 0], boxes.apex[:, 1]
    ax, ay = f[:, 1] / safe, -f[:, 0] / safe
    bx, by = -e[:, 1] / safe, e[:, 0] / safe
    one = _plane(ax, ay, -(ax * x0 + ay * y0), xs, ys)
    two = _plane(bx, by, -(bx * x0 + by * y0), xs, ys)
    return one, two, np.asarray(seen)


def _plane(gx: Floats, gy: Floats, c: Floats, xs: Floats, ys: Floats) -> NDArray[np.float32]:
    basis = np.stack([xs, ys, np.ones_like(xs)])
    return np.asarray(np.stack([gx, gy, c], axis=1) @ basis, dtype=np.float32)


def _strips(boxes: Boxes, along: NDArray[np.float32], across: NDArray[np.float32]) -> NDArray[np.uint8]:
    """Labels of two flat strips; the corner where they meet is parted by its diagonal."""
    p, q, t, more = boxes.p, boxes.q, boxes.t, boxes.more
    area = cross(p, q)
    before = np.maximum(-cross(t, q) / area, 0.0)[:, None]
    after = np.maximum(cross(more, q) / area, 0.0)[:, None]
    above = np.maximum(-cross(p, more) / area, 0.0)[:, None]
    inside = (along >= -before) & (along < 1 + after) & (across >= -above) & (across < 1)
    second = (along >= 1) | ((across < 0) & ((along >= 0) | (across * before < along * above)))
    return np.where(inside, np.where(second, SIDE_P, SIDE_Q), NOTHING).astype(np.uint8)
