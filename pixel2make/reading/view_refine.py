"""Move the edges of promising boxes in half pixels, and to neighbouring slopes, as long as it helps."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import Boxes, cross, stack
from pixel2make.reading.view_evidence import FAMILIES, families_of
from pixel2make.reading.view_outline import SLOPES

__all__ = ["refined", "settled", "snapped"]

Floats = NDArray[np.float64]
Scorer = Callable[[Boxes], Floats]

STEP_PX = 0.5
"""Edges of pixel art end on pixels; half a pixel tells a contour that is shared by two faces."""

ROUNDS = 3
"""Moves that a box may make; each is half a pixel, and the start is at most about 1.5 px off."""

LEAST_EDGE_PX = 1.0

SHIFTS_PX = (-0.5, -0.25, 0.0, 0.25, 0.5)
"""Where a box may lie between pixels; its edges' pixels are the same for a range of places."""

OFF_GRID = 12.0
"""How much a level or upright edge that lies a pixel off the grid costs, against the evidence's nats: it can
only be drawn on the grid."""


def _unit(edge: Floats) -> Floats:
    """Along the edge, one pixel of its longer coordinate long; zero for no edge."""
    longest = np.abs(edge).max(axis=1, keepdims=True)
    return np.where(longest > 1e-9, edge / np.maximum(longest, 1e-9), 0.0)


def snapped(boxes: Boxes) -> Boxes:
    """Every edge to the nearest half pixel of its longer coordinate; the cover's middle stays."""

    def snap(edge: Floats) -> Floats:
        longest = np.abs(edge).max(axis=1, keepdims=True)
        return _unit(edge) * np.where(
            longest > 0, np.maximum(np.round(longest / STEP_PX) * STEP_PX, LEAST_EDGE_PX), 0
        )

    p, q, t, more = (snap(e) for e in (boxes.p, boxes.q, boxes.t, boxes.more))
    apex = boxes.apex + (boxes.p + boxes.q + boxes.t - p - q - t) / 2
    return Boxes(np.round(apex * 4) / 4, p, q, t, more)


def _moves(boxes: Boxes) -> Boxes:
    """The boxes, then all moved copies, move by move."""
    a, p, q, t, more = boxes.apex, boxes.p, boxes.q, boxes.t, boxes.more
    dp, dq, dt, dm = (_unit(e) * STEP_PX for e in (p, q, t, more))
    out = [boxes]
    for s in (1.0, -1.0):
        out += [Boxes(a + s * STEP_PX * np.array(way), p, q, t, more) for way in ((1.0, 0.0), (0.0, 1.0))]
        out += [
            Boxes(a, p + s * dp, q, t, more),
            Boxes(a - s * dp, p + s * dp, q, t, more),
            Boxes(a, p, q + s * dq, t, more),
            Boxes(a - s * dq, p, q + s * dq, t, more),
            Boxes(a, p, q, t + s * dt, more),
            Boxes(a - s * dt, p, q, t + s * dt, more),
            # The inner edge alone moves, the outline stays.
            Boxes(a - s * dp, p + s * dp, q, t + s * dp * _along(t, p), more),
            Boxes(a - s * dq, p, q + s * dq, t + s * dq * _along(t, q), more + s * dq * _along(more, q)),
            Boxes(a, p + s * dp * _along(more, p), q, t, more - s * dm * _along(more, p)),
        ]
    return stack(out)


def _along(one: Floats, two: Floats) -> Floats:
    """1 where two edges lie on one line, else 0; shape (K, 1)."""
    area = np.abs(one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    return (area < 1e-6)[:, None] * (np.abs(one).sum(axis=1) > 0)[:, None].astype(float)


def _slopes_near(edge: Floats, step: int) -> Floats:
    """The same reach of the longer coordinate along the next slope in angle, for each edge (K, 2)."""
    lines = np.array(sorted(SLOPES, key=lambda s: np.arctan2(s[1], s[0]) % np.pi), float)
    angles = np.arctan2(lines[:, 1], lines[:, 0]) % np.pi
    own = np.arctan2(edge[:, 1], edge[:, 0]) % np.pi
    gap = np.abs((own[:, None] - angles + np.pi / 2) % np.pi - np.pi / 2)
    line = lines[(gap.argmin(axis=1) + step) % len(lines)]
    line = line * np.sign((line * edge).sum(axis=1, keepdims=True))
    return _unit(line) * np.abs(edge).max(axis=1, keepdims=True)


def _levelled(edge: Floats) -> Floats:
    """The longer coordinate of each edge alone: level or upright."""
    longer = np.abs(edge) >= np.abs(edge).max(axis=1, keepdims=True)
    return np.where(longer, edge, 0.0)


def _turned(boxes: Boxes) -> Boxes:
    """Copies with one edge turned to a neighbouring slope or levelled; the middle stays."""
    a, p, q, t = boxes.apex, boxes.p, boxes.q, boxes.t
    out = []
    for turn in (
        lambda edge: _slopes_near(edge, 1),
        lambda edge: _slopes_near(edge, -1),
        _levelled,
    ):
        for edges in ((turn(p), q, t), (p, turn(q), t), (p, q, turn(t))):
            shift = (p + q + t - sum(edges)) / 2
            out.append(Boxes(a + np.round(shift * 4) / 4, *edges, boxes.more))
    return stack(out)


def refined(boxes: Boxes, score: Scorer) -> tuple[Boxes, Floats]:
    """Climb from each box to the best one nearby.

    Parameters
    ----------
    boxes : Boxes
    score : callable
        Boxes to scores, shape (K,), higher is better.

    Returns
    -------
    Boxes, ndarray
        Every box that was tried, the starts included, and its score.
    """
    here = snapped(boxes)
    tried, scores = [here], [score(here)]
    slanted = families_of(here) == FAMILIES.index("slanted")
    active = np.arange(len(here))
    value = scores[0]
    for _ in range(ROUNDS):
        moved = _moves(here.take(active))
        copies = len(moved) // len(active)
        owner = np.tile(active, copies)
        moved, owner = moved.take(slice(len(active), None)), owner[len(active) :]
        mine = active[slanted[active]]
        if len(mine):
            turned = _turned(here.take(mine))
            moved = stack([moved, turned])
            owner = np.concatenate([owner, np.tile(mine, len(turned) // len(mine))])
        good = _is_box(moved)
        moved, owner = moved.take(good), owner[good]
        found = score(moved)
        tried.append(moved)
        scores.append(found)
        still = []
        parts = {name: getattr(here, name).copy() for name in ("apex", "p", "q", "t", "more")}
        for k in active:
            mine = np.flatnonzero(owner == k)
            if len(mine) and found[mine].max() > value[k] + 1e-9:
                best = mine[found[mine].argmax()]
                for name in parts:
                    parts[name][k] = getattr(moved, name)[best]
                value[k] = found[best]
                still.append(k)
        here = Boxes(**parts)
        active = np.array(still, int)
        if not len(active):
            break
    return stack(tried), np.concatenate(scores)


def settled(boxes: Boxes, score: Scorer) -> Boxes:
    """Each box moved to the middle of the places that the pixels allow.

    Level and upright edges are drawn on the pixel grid; for the others, places between pixels are
    averaged by how well they score.
    """
    shifts = np.array([(x, y) for x in SHIFTS_PX for y in SHIFTS_PX])
    copies = stack([Boxes(boxes.apex + shift, boxes.p, boxes.q, boxes.t, boxes.more) for shift in shifts])
    value = (score(copies) - OFF_GRID * _off_grid(copies)).reshape(len(shifts), len(boxes))
    weight = np.exp(value - value.max(axis=0))
    weight /= weight.sum(axis=0)
    return Boxes(boxes.apex + weight.T @ shifts, boxes.p, boxes.q, boxes.t, boxes.more)


def _off_grid(boxes: Boxes) -> Floats:
    """Sum of the distances of level edges from rows and of upright edges from columns, shape (K,)."""
    corners = boxes.cover_corners()
    total = np.zeros(len(boxes))
    for edge, starts in ((boxes.p, (0, 3)), (boxes.q, (0, 1))):
        for axis in (0, 1):
            is_on = np.abs(edge[:, axis]) < 1e-6
            for start in starts:
                place = corners[:, start, axis]
                total += is_on * np.abs(place - np.round(place))
    return total


def _is_box(boxes: Boxes) -> NDArray[np.bool_]:
    """True where the edges are long enough and the thickness runs away from the cover."""
    p, q, t = boxes.p, boxes.q, boxes.t
    long = [np.abs(e).max(axis=1) for e in (p, q)]
    depth, more = (np.abs(e).max(axis=1) for e in (t, boxes.more))
    area = cross(p, q)
    safe = np.where(area == 0, 1.0, area)
    fine = (np.minimum(*long) >= 1.5) & (np.abs(area) >= 3.0)
    fine &= (cross(t, q) / safe < 1e-6) & (cross(p, t) / safe < 1e-6)
    return fine & ((depth == 0) | (depth >= 0.75)) & ((more == 0) | (more >= 0.75))
