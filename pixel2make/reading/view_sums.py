"""Sums over the faces of many boxes and over the pairs of pixels that their edges part."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import COVER, SIDE_P, SIDE_Q, Boxes
from pixel2make.reading.view_ground import STEP_BOUNDS, Ground
from pixel2make.reading.view_spans import bands_of, spans

__all__ = ["Sums", "pair_table", "sums_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]

BATCH = 256
"""Boxes that are added up at once: what lies between stays in the processor's cache."""

EDGES = ((COVER, SIDE_P), (COVER, SIDE_Q), (SIDE_P, SIDE_Q))


@dataclass(frozen=True, eq=False)
class Sums:
    """What K boxes add up to on a ground.

    Attributes
    ----------
    face : ndarray of shape (K, 3, F)
        For cover, side p, side q: body pixels, sums of L*, a*, b*, L*^2, a*^2 + b*^2, paper, line, then
        pixels of each material.
    shade : ndarray of shape (K, 3, S)
        Pixels of each exact colour, the rare ones counted with the nearest frequent one.
    within : ndarray of shape (K, 3, 2, 4)
        For pairs of neighbours inside each face, side by side and one above the other: as ``pair``.
    empty : ndarray of shape (K, 3)
        Pixels of each face without body.
    pair : ndarray of shape (K, 4, 4)
        For pairs of neighbours within a face, cover to p, cover to q, p to q: their number, colour steps
        (0..1 each), changes of material, pairs with a drawn line.
    even : ndarray of shape (K, 3)
        Length of the mean colour step over mean length of the step, for the last three: 1 where every
        pixel along the edge changes alike, near 0 for texture.
    missing, excess : ndarray of shape (K,)
        Box pixels without body, body pixels outside the box.
    """

    face: Floats
    shade: Floats
    within: Floats
    empty: Floats
    pair: Floats
    even: Floats
    missing: Floats
    excess: Floats


SHADES = 12
"""Exact colours that are counted by themselves; a small sprite has a dozen, textured ones hundreds."""


def _shades(ground: Ground) -> Ints:
    """Number of each pixel's colour, shape (pixels,); rare colours get that of the nearest frequent one."""
    lab = np.round(ground.lab.reshape(-1, 3), 2)
    colors, index = np.unique(lab, axis=0, return_inverse=True)
    counts = np.bincount(index.ravel(), weights=ground.body.ravel(), minlength=len(colors))
    kept = colors[np.argsort(-counts, kind="stable")[:SHADES]]
    apart = ((colors[:, None] - kept) ** 2).sum(axis=-1)
    return np.asarray(apart.argmin(axis=1)[index.ravel()])


def _pixel_table(ground: Ground) -> Floats:
    lab = ground.lab.reshape(-1, 3)
    material = ground.material.ravel()
    columns = [
        np.ones((len(lab), 1)),
        lab,
        lab[:, :1] ** 2,
        (lab[:, 1:] ** 2).sum(axis=1, keepdims=True),
        ground.paper.reshape(-1, 1),
        ground.line.reshape(-1, 1).astype(float),
        (material[:, None] == np.arange(material.max(initial=0) + 1)).astype(float),
        (_shades(ground)[:, None] == np.arange(SHADES)).astype(float),
    ]
    return np.asarray(np.concatenate(columns, axis=1) * ground.body.ravel()[:, None])


def pair_table(ground: Ground, axis: int) -> Floats:
    """Per pair of neighbours: both body, step, other material, line, then the step in L*, a*, b*."""
    one = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
    two = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
    both = ground.body[one] & ground.body[two]
    way = ground.lab[two] - ground.lab[one]
    length = np.sqrt((way**2).sum(axis=-1))
    step = np.clip((length - STEP_BOUNDS[0]) / (STEP_BOUNDS[1] - STEP_BOUNDS[0]), 0, 1)
    other = (ground.material[one] != ground.material[two]).astype(float)
    line = (ground.line[one] | ground.line[two]).astype(float)
    table = np.concatenate([np.stack([np.ones(step.shape), step, other, line, length], -1), way], axis=-1)
    return np.asarray(table * both[..., None])


def _running(table: Floats) -> Floats:
    """Sums of all entries before each place along the second axis, one place more than entries."""
    return np.pad(np.cumsum(table, axis=1), ((0, 0), (1, 0), (0, 0)))


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of neighbours along lines, (lines, length - 1, 8), and running sums of the first four entries."""

    own: Floats
    running: Floats


@dataclass(frozen=True, eq=False)
class Tables:
    """What a ground's pixels and pairs hold, as running sums along rows and columns."""

    shape: tuple[int, int]
    area: float
    pixels: Floats
    right: Pairs
    down: Pairs


@lru_cache(maxsize=4)
def _tables(ground: Ground) -> Tables:
    rows, cols = ground.shape
    pixels = _running(_pixel_table(ground).reshape(rows, cols, -1))
    right, down = pair_table(ground, 1), pair_table(ground, 0).swapaxes(0, 1)
    return Tables(
        ground.shape,
        float(ground.area),
        pixels,
        Pairs(right, _running(right[..., :4])),
        Pairs(down, _running(down[..., :4])),
    )


def sums_of(boxes: Boxes, ground: Ground) -> Sums:
    """Add up what each box covers and parts.

    Parameters
    ----------
    boxes : Boxes
    ground : Ground
    """
    tables = _tables(ground)
    parts = [_sums_of(boxes.take(slice(i, i + BATCH)), tables) for i in range(0, max(len(boxes), 1), BATCH)]
    names = ("face", "shade", "within", "empty", "pair", "even", "missing", "excess")
    return Sums(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def _sums_of(boxes: Boxes, tables: Tables) -> Sums:
    bands = bands_of(boxes)
    count = len(boxes)
    within = np.zeros((count, 3, 2, 4))
    forward, back = np.zeros((count, 3, 8)), np.zeros((count, 3, 8))
    for by_column in (False, True):
        part = spans(bands, tables.shape, by_column=by_column)
        pairs = tables.down if by_column else tables.right
        if not by_column:
            face = _added(tables.pixels, part.start, part.stop)
            drawn = part.count
        # A span of n pixels holds n - 1 pairs.
        first = np.minimum(part.start, pairs.running.shape[1] - 1)
        within[:, :, int(by_column)] = _added(pairs.running, first, np.maximum(part.stop - 1, first))
        filled = part.stop > part.start
        for i, (one, two) in enumerate(EDGES):
            both = filled[:, one] & filled[:, two]
            forward[:, i] += _met(pairs.own, both, part.stop[:, one], part.start[:, two])
            back[:, i] += _met(pairs.own, both, part.stop[:, two], part.start[:, one])
    mean = np.sqrt(((forward[..., 5:] - back[..., 5:]) ** 2).sum(axis=-1))
    even = mean / np.maximum(forward[..., 4] + back[..., 4], 1e-6)
    edges = forward[..., :4] + back[..., :4]
    covered = face[..., 0].sum(axis=1)
    return Sums(
        face[..., :-SHADES],
        face[..., -SHADES:],
        within,
        drawn - face[..., 0],
        np.concatenate([within.sum(axis=(1, 2))[:, None], edges], axis=1),
        np.where(edges[..., 0] > 0, even, 0.0),
        drawn.sum(axis=1) - covered,
        tables.area - covered,
    )


def _added(running: Floats, start: Ints, stop: Ints) -> Floats:
    """Sums over spans (K, faces, lines) of a table of running sums (lines, length + 1, F): (K, faces, F)."""
    lines, length, columns = running.shape
    flat = running.reshape(-1, columns)
    out = np.zeros((start.shape[0] * start.shape[1], columns))
    area, line = np.nonzero((stop > start).reshape(-1, lines))
    if len(area):
        base = line * length
        gap = flat[base + stop.reshape(-1, lines)[area, line]]
        gap -= flat[base + start.reshape(-1, lines)[area, line]]
        # Areas come in order, so each one's lines are a run.
        first = np.flatnonzero(np.diff(area, prepend=-1))
        out[area[first]] = np.add.reduceat(gap, first, axis=0)
    return out.reshape(*start.shape[:2], columns)


def _met(pairs: Floats, both: Mask, stop: Ints, start: Ints) -> Floats:
    """Sums (K, F) over the pairs where one span ends and the next begins; pairs (lines, length - 1, F)."""
    box, line = np.nonzero(both & (stop == start))
    values = pairs[line, stop[box, line] - 1]
    out = np.zeros((len(both), pairs.shape[-1]))
    if len(box):
        first = np.flatnonzero(np.diff(box, prepend=-1))
        out[box[first]] = np.add.reduceat(values, first, axis=0)
    return out
