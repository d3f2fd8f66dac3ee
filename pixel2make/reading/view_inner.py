"""Every way to see a box in an outline."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import Boxes, cross, stack
from pixel2make.reading.view_outline import Outlines

__all__ = ["boxes_in"]

Floats = NDArray[np.float64]

LEAST_STRIP_PX = 1.0
MOST_STRIP_SHARE = 0.55
"""A strip beside the cover is narrower than this share of the whole, or it is the cover."""

LEAST_COVER_PX = 1.5
"""A narrower cover is a line."""

STRIP_OUTLINES, TWO_STRIP_OUTLINES = 4, 2
"""Parallelograms in which one strip and two strips are looked for, best first."""

TWO_STRIPS_PX = 7
"""Strips on two sides are drawn at most this broad: more would be drawn at a slant."""

UNLIKE_STRIPS = 2.5
"""A rounded spine is drawn up to so many times as broad as the pages that show the same thickness."""


def boxes_in(hexagons: Outlines, flats: Outlines) -> Boxes:
    """All boxes that draw the given outlines.

    A hexagon has two inner corners where three faces can meet, and each face can be the cover. A
    parallelogram is a cover alone, or a cover with strips on one side or on two.
    """
    parts = [_seen_in_hexagon(hexagons), _plain(flats)]
    for i in range(min(STRIP_OUTLINES, len(flats))):
        parts.append(_with_strip(flats.centre[i], flats.edges[i]))
    for i in range(min(TWO_STRIP_OUTLINES, len(flats))):
        parts.append(_with_two(flats.centre[i], flats.edges[i]))
    boxes = stack(parts)
    area = np.abs(cross(boxes.p, boxes.q))
    breadth = area / np.maximum(np.maximum(np.hypot(*boxes.p.T), np.hypot(*boxes.q.T)), 1e-9)
    return boxes.take(breadth >= LEAST_COVER_PX)


def _make(apex: Floats, p: Floats, q: Floats, t: Floats, more: Floats | None = None) -> Boxes:
    return Boxes(apex, p, q, t, np.zeros_like(t) if more is None else more)


def _seen_in_hexagon(outlines: Outlines) -> Boxes:
    e1, e2, e3 = (outlines.edges[:, i] for i in range(3))
    start = outlines.centre - (e1 + e2 + e3) / 2
    parts = []
    for apex, rays in ((start + e2, (e1, -e2, e3)), (start + e1 + e3, (-e1, e2, -e3))):
        for back in range(3):
            p, q = (rays[i] for i in range(3) if i != back)
            parts.append(_make(apex, p, q, rays[back]))
    return stack(parts)


def _plain(outlines: Outlines) -> Boxes:
    p, q = outlines.edges[:, 0], outlines.edges[:, 1]
    return _make(outlines.centre - (p + q) / 2, p, q, np.zeros_like(p))


def _splits(length: float) -> Floats:
    return np.arange(
        LEAST_STRIP_PX, max(MOST_STRIP_SHARE * length, LEAST_STRIP_PX + 0.1), 0.5 if length < 20 else 1.0
    )


def _with_strip(centre: Floats, edges: Floats) -> Boxes:
    parts = []
    for along, across in ((0, 1), (1, 0)):
        e, f = edges[along], edges[across]
        length = float(np.hypot(*e))
        split = _splits(length)[:, None] / length
        for sign in (1.0, -1.0):
            # The strip lies at the end towards -sign * e; the cover takes the rest.
            whole = sign * e
            p = whole * (1 - split)
            corner = centre - (whole + f) / 2 + whole * split
            parts.append(_make(corner, p, np.broadcast_to(f, p.shape), -whole * split))
    return stack(parts)


def _with_two(centre: Floats, edges: Floats) -> Boxes:
    """Strips on two sides: round a corner, or on opposite sides."""
    lengths = np.hypot(edges[:2, 0], edges[:2, 1])
    most = [min(TWO_STRIPS_PX, MOST_STRIP_SHARE * n) for n in lengths]
    a, b = np.meshgrid(np.arange(1.0, most[0] + 0.1), np.arange(1.0, most[1] + 0.1), indexing="ij")
    near = (a / b <= UNLIKE_STRIPS + 0.01) & (b / a <= UNLIKE_STRIPS + 0.01)
    a, b = a[near][:, None], b[near][:, None]
    parts = []
    for s1 in (1.0, -1.0):
        for s2 in (1.0, -1.0):
            e, f = s1 * edges[0], s2 * edges[1]
            one, two = e * a / lengths[0], f * b / lengths[1]
            parts.append(_make(centre - (e + f) / 2 + one + two, e - one, f - two, -one, -two))
    for along, across in ((0, 1), (1, 0)):
        e, f = edges[along], edges[across]
        fits = (a + b)[:, 0] <= 2 * MOST_STRIP_SHARE * lengths[along] - 1
        one, two = e * a[fits] / lengths[along], e * b[fits] / lengths[along]
        apex = centre - (e + f) / 2 + one
        parts.append(_make(apex, e - one - two, np.broadcast_to(f, one.shape), -one, two))
    return stack(parts)
