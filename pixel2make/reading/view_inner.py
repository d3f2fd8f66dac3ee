"""Every way to see a box in an outline, and what speaks for each of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import COVER, SIDE_P, SIDE_Q, Boxes, cross, paint, stack
from pixel2make.reading.view_ground import STEP_BOUNDS, Ground
from pixel2make.reading.view_outline import Outlines

__all__ = ["EVIDENCE", "boxes_in", "evidence_of"]

Floats = NDArray[np.float64]

LEAST_STRIP_PX = 1.0
MOST_STRIP_SHARE = 0.55
"""A strip beside the cover is narrower than this share of the whole, or it is the cover."""

STRIP_OUTLINES = 4
"""Parallelograms in which strips are looked for."""

CORNER_STRIP_PX = 6
"""Strips on two sides are drawn at most this broad: more would be drawn at a slant."""


def boxes_in(hexagons: Outlines, flats: Outlines) -> Boxes:
    """All boxes that draw the given outlines.

    A hexagon has two inner corners where three faces can meet, and each face can be the cover. A
    parallelogram is a cover alone, or a cover with strips on one side or on two.
    """
    parts = [_seen_in_hexagon(hexagons), _plain(flats)]
    for i in range(min(STRIP_OUTLINES, len(flats))):
        parts.append(_with_strip(flats.centre[i], flats.edges[i]))
    for i in range(min(2, len(flats))):
        parts.append(_with_corner(flats.centre[i], flats.edges[i]))
    return stack(parts)


def _make(apex: Floats, p: Floats, q: Floats, t: Floats, filled: bool = False) -> Boxes:
    return Boxes(apex, p, q, t, np.full(len(apex), filled))


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


def _with_corner(centre: Floats, edges: Floats) -> Boxes:
    lengths = np.hypot(edges[:2, 0], edges[:2, 1])
    most = [min(CORNER_STRIP_PX, MOST_STRIP_SHARE * n) for n in lengths]
    a, b = np.meshgrid(np.arange(1.0, most[0] + 0.1), np.arange(1.0, most[1] + 0.1), indexing="ij")
    near = (a / b <= 3.0) & (b / a <= 3.0)
    a, b = a[near][:, None] / lengths[0], b[near][:, None] / lengths[1]
    parts = []
    for s1 in (1.0, -1.0):
        for s2 in (1.0, -1.0):
            e, f = s1 * edges[0], s2 * edges[1]
            apex = centre - (e + f) / 2 + e * a + f * b
            parts.append(_make(apex, e * (1 - a), f * (1 - b), -e * a - f * b, True))
    return stack(parts)


@dataclass(frozen=True, eq=False)
class _Counts:
    """Sums over faces and over pairs of neighbours.

    ``face`` (K, 3, F) for cover, side p, side q; ``pair`` (K, 4, G) for within a face, cover to p,
    cover to q, p to q.
    """

    face: Floats
    pair: Floats
    missing: Floats
    excess: Floats


_PAIR_KIND = np.zeros(16, np.uint8)
for _i in (COVER, SIDE_P, SIDE_Q):
    _PAIR_KIND[_i * 5] = 1
for _kind, (_i, _j) in enumerate(((COVER, SIDE_P), (COVER, SIDE_Q), (SIDE_P, SIDE_Q)), start=2):
    _PAIR_KIND[_i * 4 + _j] = _PAIR_KIND[_j * 4 + _i] = _kind


def _pixel_table(ground: Ground) -> Floats:
    """Per pixel (N, F): 1, L, a, b, L^2, a^2 + b^2, paper, line, one column a material."""
    lab = ground.lab.reshape(-1, 3)
    body = ground.body.ravel()[:, None]
    material = ground.material.ravel()
    kinds = material.max(initial=0) + 1
    columns = [
        np.ones((len(lab), 1)),
        lab,
        lab[:, :1] ** 2,
        (lab[:, 1:] ** 2).sum(axis=1, keepdims=True),
        ground.paper.reshape(-1, 1),
        ground.line.reshape(-1, 1).astype(float),
        (material[:, None] == np.arange(kinds)).astype(float),
    ]
    return np.concatenate(columns, axis=1) * body


def _pair_table(ground: Ground, axis: int) -> Floats:
    """Per pair of neighbours (rows, cols, 4): both body, colour step, other material, a line in it."""
    one = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
    two = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
    both = ground.body[one] & ground.body[two]
    step = np.sqrt(((ground.lab[one] - ground.lab[two]) ** 2).sum(axis=-1))
    step = np.clip((step - STEP_BOUNDS[0]) / (STEP_BOUNDS[1] - STEP_BOUNDS[0]), 0, 1)
    other = (ground.material[one] != ground.material[two]).astype(float)
    line = (ground.line[one] | ground.line[two]).astype(float)
    return np.stack([np.ones(step.shape), step, other, line], axis=-1) * both[..., None]


def _count(boxes: Boxes, ground: Ground) -> _Counts:
    rows, cols = ground.shape
    labels = paint(boxes, ground.shape)
    body = ground.body.ravel()
    table = _pixel_table(ground).astype(np.float32)
    face = np.stack([(labels == f).astype(np.float32) @ table for f in (COVER, SIDE_P, SIDE_Q)], axis=1)
    drawn = labels > 0
    missing = (drawn & ~body).sum(axis=1).astype(float)
    excess = (~drawn & body).sum(axis=1).astype(float)
    grid = labels.reshape(-1, rows, cols)
    pair = np.zeros((len(boxes), 4, 4), np.float32)
    for axis, (one, two) in enumerate(((grid[:, :-1], grid[:, 1:]), (grid[:, :, :-1], grid[:, :, 1:]))):
        kind = _PAIR_KIND[one * 4 + two].reshape(len(boxes), -1)
        pairs = _pair_table(ground, axis).reshape(-1, 4).astype(np.float32)
        for i in range(4):
            pair[:, i] += (kind == i + 1).astype(np.float32) @ pairs
    return _Counts(face.astype(float), pair.astype(float), missing, excess)


def _entropy(counts: Floats) -> Floats:
    """n H(counts) in nats along the last axis."""
    total = counts.sum(axis=-1)
    logs = np.log(np.maximum(counts, 1e-9))
    return np.asarray(total * np.log(np.maximum(total, 1e-9)) - (counts * logs).sum(axis=-1))


EVIDENCE = (
    "missing",
    "excess",
    "strip",
    "two_strips",
    "slanted",
    "gain",
    "gain_rooted",
    "spread_gain",
    "step_at_edges",
    "material_at_edges",
    "line_at_edges",
    "step_within",
    "material_within",
    "line_within",
    "ridge_step",
    "ridge_material",
    "ridge_line",
    "weak_edge",
    "weak_material",
    "paper_cover",
    "paper_best",
    "paper_other",
    "paper_edge",
    "alike_best",
    "alike_other",
    "neither",
    "cover_share",
    "chroma_cover",
    "thick",
    "thin_side",
    "aspect",
    "sine",
    "level_cover",
    "t_level",
    "t_upright",
    "t_up",
    "t_steep",
    "size",
    "paper_p",
    "paper_q",
    "alike_p",
    "alike_q",
    "seen_p",
    "seen_q",
)
"""Names of the columns of `evidence_of`."""


def evidence_of(boxes: Boxes, ground: Ground) -> Floats:
    """What speaks for and against each box.

    Parameters
    ----------
    boxes : Boxes
        On the ground's canvas.
    ground : Ground

    Returns
    -------
    ndarray of shape (K, len(EVIDENCE))
        Comparable between sizes: pixel counts are relative to the square root of the area.
    """
    counts = _count(boxes, ground)
    area = float(ground.area)
    root = np.sqrt(area)
    face, pair = counts.face, counts.pair
    number = face[..., 0]
    safe = np.maximum(number, 1e-9)
    seen = number > 0.5
    one_side = seen[:, 1] ^ seen[:, 2]
    two_sides = seen[:, 1] & seen[:, 2]
    histogram = face[..., 8:]
    whole = histogram.sum(axis=1)
    gain = (_entropy(whole) - _entropy(histogram).sum(axis=1)) / area
    spread = _spread(face)
    spread_all = _spread(face.sum(axis=1, keepdims=True))[:, 0]
    spread_gain = 1 - spread.sum(axis=1) / np.maximum(spread_all, 1e-9)

    edges = pair[:, 1:3].sum(axis=1)
    within, ridge = pair[:, 0], pair[:, 3]

    def mean(block: Floats, column: int) -> Floats:
        return np.asarray(block[..., column] / np.maximum(block[..., 0], 1.0))

    edge_means = pair[:, 1:3, 1] / np.maximum(pair[:, 1:3, 0], 1.0)
    edge_means = np.where(pair[:, 1:3, 0] > 0, edge_means, 1.0)
    edge_materials = np.where(pair[:, 1:3, 0] > 0, pair[:, 1:3, 2] / np.maximum(pair[:, 1:3, 0], 1.0), 1.0)
    any_side = one_side | two_sides

    paper = face[..., 6] / safe
    share = histogram / np.maximum(histogram.sum(axis=-1), 1e-9)[..., None]
    alike = np.minimum(share[:, 1:], share[:, :1]).sum(axis=-1)
    side_paper = np.where(seen[:, 1:], paper[:, 1:] - paper[:, :1], -1.0)
    side_alike = np.where(seen[:, 1:], alike, 0.0)
    best = side_paper.argmax(axis=1)
    at = np.arange(len(boxes))
    paper_best = np.where(any_side, side_paper[at, best], 0.0)
    paper_other = np.where(two_sides, side_paper[at, 1 - best], 0.0)
    alike_best = np.where(any_side, side_alike[at, best], 0.0)
    alike_other = np.where(two_sides, side_alike[at, 1 - best], 0.0)
    neither = np.where(two_sides, np.maximum(0, 0.5 - np.maximum(side_paper, side_alike)).sum(axis=1), 0.0)
    paper_edge = np.where(any_side, np.minimum(side_paper[at, best], 0.3), 0.0)
    lab = face[..., 1:4] / safe[..., None]

    long_p, long_q, long_t = (np.hypot(*v.T) for v in (boxes.p, boxes.q, boxes.t))
    longest, shortest = np.maximum(long_p, long_q), np.minimum(long_p, long_q)
    breadth = np.stack(
        [np.abs(cross(boxes.p, boxes.t)) / long_p, np.abs(cross(boxes.q, boxes.t)) / long_q], 1
    )
    breadth = np.where(boxes.is_filled[:, None], long_t[:, None] * 0.7, breadth)
    side = np.where(seen[:, 1:], breadth, 9.0).min(axis=1)
    t = boxes.t / np.maximum(long_t, 1e-9)[:, None]
    has_t = long_t > 0
    level = (np.minimum(np.abs(boxes.p[:, 0]), np.abs(boxes.p[:, 1])) < 1e-6) & (
        np.minimum(np.abs(boxes.q[:, 0]), np.abs(boxes.q[:, 1])) < 1e-6
    )
    slanted = two_sides & ~boxes.is_filled
    columns = {
        "missing": counts.missing / root,
        "excess": counts.excess / root,
        "strip": one_side,
        "two_strips": boxes.is_filled,
        "slanted": slanted,
        "gain": gain,
        "gain_rooted": gain * np.sqrt(root),
        "spread_gain": np.where(any_side, spread_gain, 0.0),
        "step_at_edges": edges[:, 1] / root,
        "material_at_edges": edges[:, 2] / root,
        "line_at_edges": edges[:, 3] / root,
        "step_within": mean(within, 1),
        "material_within": mean(within, 2),
        "line_within": within[:, 3] / root,
        "ridge_step": ridge[:, 1] / root,
        "ridge_material": np.where(two_sides, mean(ridge, 2), 0.0),
        "ridge_line": ridge[:, 3] / root,
        "weak_edge": np.where(any_side, 1 - edge_means.min(axis=1), 0.0),
        "weak_material": np.where(any_side, 1 - edge_materials.min(axis=1), 0.0),
        "paper_cover": paper[:, 0],
        "paper_best": paper_best,
        "paper_other": paper_other,
        "paper_edge": paper_edge,
        "alike_best": alike_best,
        "alike_other": alike_other,
        "neither": neither,
        "cover_share": number[:, 0] / area,
        "chroma_cover": np.hypot(lab[:, 0, 1], lab[:, 0, 2]) / 100,
        "thick": np.where(has_t, np.log(np.maximum(long_t, 0.3) / shortest), 0.0),
        "thin_side": np.where(has_t, np.exp(-side), 0.0),
        "aspect": np.log(longest / shortest),
        "sine": np.abs(cross(boxes.p, boxes.q)) / (long_p * long_q),
        "level_cover": level & slanted,
        "t_level": slanted & (np.abs(t[:, 1]) < 1e-6),
        "t_upright": slanted & (np.abs(t[:, 0]) < 1e-6),
        "t_up": slanted & (t[:, 1] < -1e-6),
        "t_steep": np.where(slanted, np.abs(t[:, 1]), 0.0),
        "size": np.where(any_side, np.log(root / 16), 0.0),
        "paper_p": np.where(seen[:, 1], paper[:, 1] - paper[:, 0], 0.0),
        "paper_q": np.where(seen[:, 2], paper[:, 2] - paper[:, 0], 0.0),
        "alike_p": side_alike[:, 0],
        "alike_q": side_alike[:, 1],
        "seen_p": seen[:, 1],
        "seen_q": seen[:, 2],
    }
    return np.stack([np.asarray(columns[name], float) for name in EVIDENCE], axis=1)


def _spread(face: Floats) -> Floats:
    """Sum of squared distances from each face's mean colour, shape (K, faces)."""
    n = np.maximum(face[..., 0], 1e-9)
    total = face[..., 4] + face[..., 5]
    return np.asarray(total - (face[..., 1:4] ** 2).sum(axis=-1) / n)
