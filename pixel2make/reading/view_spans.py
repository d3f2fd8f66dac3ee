"""Where convex areas begin and end in every row, or in every column, of the pixel grid.

A face of a drawn box is convex, so a row of pixels crosses it once: two numbers a row say what a mask
would, and sums over a face are differences of running sums.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import COVER, FLAT, NUDGE, SIDE_P, SIDE_Q, Boxes, cross

__all__ = ["Bands", "Spans", "bands_of", "spans"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

LEVEL = 1e-12
"""A band that climbs less than this per pixel along a line runs along it."""


@dataclass(frozen=True, eq=False)
class Bands:
    """Convex areas as the overlap of bands ``low <= x * gx + y * gy + c < high``.

    Attributes
    ----------
    gx, gy, c, low, high : ndarray of shape (..., bands)
        A band of all zeros with bounds round zero holds everything.
    """

    gx: Floats
    gy: Floats
    c: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, eq=False)
class Spans:
    """First pixel and pixel after the last, shape (..., lines); alike where a line misses the area."""

    start: Ints
    stop: Ints

    @property
    def count(self) -> Ints:
        """Pixels of each area, shape (...)."""
        return np.asarray((self.stop - self.start).sum(axis=-1))


def spans(bands: Bands, shape: tuple[int, int], *, by_column: bool = False) -> Spans:
    """The areas' pixels in every row, or in every column; a pixel belongs to an area with its centre.

    Parameters
    ----------
    bands : Bands
    shape : (rows, columns)
    by_column : bool
    """
    rows, cols = shape
    along, across = (bands.gy, bands.gx) if by_column else (bands.gx, bands.gy)
    lines, length = (cols, rows) if by_column else (rows, cols)
    nudge_along, nudge_across = (NUDGE[1], NUDGE[0]) if by_column else NUDGE
    places = np.arange(lines) + 0.5 + nudge_across
    offset = 0.5 + nudge_along
    # A band along the lines holds all of a line or nothing: its ends lie far off on either side.
    inverse = 1 / np.where(np.abs(along) < LEVEL, LEVEL, along)
    near, far = (np.where(inverse > 0, *pair) for pair in ((bands.low, bands.high), (bands.high, bands.low)))
    # Ends are linear in the line's number: x = (bound - c - gy * y) / gx.
    slope = -across * inverse
    begin, end = ((bound - bands.c) * inverse - offset for bound in (near, far))
    start = np.empty((*along.shape[:-1], lines))
    stop = np.empty_like(start)
    for k in range(along.shape[-1]):
        at: Any = ...
        if k >= 2:
            # Few areas have a third band.
            used = (along[..., k] != 0) | (across[..., k] != 0)
            at = ... if used.all() else used
        way = slope[at][..., k, None] * places
        low, high = way + begin[at][..., k, None], way + end[at][..., k, None]
        if k == 0:
            start[...], stop[...] = low, high
        elif at is ...:
            np.maximum(start, low, out=start)
            np.minimum(stop, high, out=stop)
        else:
            start[at], stop[at] = np.maximum(start[at], low), np.minimum(stop[at], high)
    first, last = (np.clip(np.ceil(each, out=each), 0, length, out=each) for each in (start, stop))
    return Spans(first.astype(np.int32), np.maximum(last, first).astype(np.int32))


def bands_of(boxes: Boxes) -> Bands:
    """The three faces of each box, shape (K, 3 faces, bands); a face seen edge on is empty.

    The faces of a box whose thickness runs away from its cover do not overlap.
    """
    apex, p, q, t = boxes.apex, boxes.p, boxes.q, boxes.t
    two = np.flatnonzero(np.abs(boxes.more).sum(axis=1) > 0)
    parts = [_parallelogram(apex, p, q), _parallelogram(apex, p, t), _parallelogram(apex, q, t)]
    gx, gy, c, low, high = (np.stack([part[i] for part in parts], axis=1) for i in range(5))
    if len(two):
        pad = [np.zeros((*gx.shape[:2], 1))] * 3
        gx, gy, c = (np.concatenate([a, z], axis=2) for a, z in zip((gx, gy, c), pad, strict=True))
        low = np.concatenate([low, np.full((*low.shape[:2], 1), -1.0)], axis=2)
        high = np.concatenate([high, np.full((*high.shape[:2], 1), 1.0)], axis=2)
        _two_strips(boxes.take(two), two, (gx, gy, c, low, high))
    return Bands(gx, gy, c, low, high)


def _parallelogram(corner: Floats, e: Floats, f: Floats) -> tuple[Floats, ...]:
    """gx, gy, c, low, high of the two bands, each (K, 2): coordinates along e and f within 0..1."""
    area = cross(e, f)
    seen = np.abs(area) > FLAT
    safe = np.where(seen, area, 1.0)
    gx = np.stack([f[:, 1] / safe, -e[:, 1] / safe], axis=1) * seen[:, None]
    gy = np.stack([-f[:, 0] / safe, e[:, 0] / safe], axis=1) * seen[:, None]
    c = -(gx * corner[:, :1] + gy * corner[:, 1:])
    low = np.where(seen[:, None], 0.0, 1.0) * np.ones((1, 2))
    high = np.where(seen[:, None], 1.0, 0.0) * np.ones((1, 2))
    return gx, gy, c, low, high


def _two_strips(boxes: Boxes, at: NDArray[np.int64], arrays: tuple[Floats, ...]) -> None:
    """Sides of covers with two flat strips; the corner where they meet is parted by its diagonal."""
    gx, gy, c, low, high = arrays
    p, q, t, more = boxes.p, boxes.q, boxes.t, boxes.more
    area = cross(p, q)
    before = np.maximum(-cross(t, q) / area, 0.0)
    after = np.maximum(cross(more, q) / area, 0.0)
    above = np.maximum(-cross(p, more) / area, 0.0)
    beside = after > FLAT
    for side in (SIDE_P, SIDE_Q):
        for array in (gx, gy, c):
            array[at, side, :2] = array[at, COVER, :2]
            # Positive on the side of the strip along q: across * before - along * above.
            way = array[at, COVER, 1] * before - array[at, COVER, 0] * above
            array[at, side, 2] = np.where(beside, 0.0, way)
    low[at, SIDE_Q, 0], high[at, SIDE_Q, 0] = -before, 0.0
    low[at, SIDE_Q, 1], high[at, SIDE_Q, 1] = np.where(beside, 0.0, -above), 1.0
    low[at, SIDE_Q, 2], high[at, SIDE_Q, 2] = np.where(beside, -1.0, 0.0), np.inf
    low[at, SIDE_P, 0] = np.where(beside, 1.0, -before)
    high[at, SIDE_P, 0] = np.where(beside, 1.0 + after, 1.0)
    low[at, SIDE_P, 1], high[at, SIDE_P, 1] = np.where(beside, 0.0, -above), np.where(beside, 1.0, 0.0)
    low[at, SIDE_P, 2], high[at, SIDE_P, 2] = np.where(beside, -1.0, -np.inf), np.where(beside, 1.0, 0.0)
