"""Sums over the faces of many boxes and over the pairs of pixels that their edges part."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import COVER, SIDE_P, SIDE_Q, Boxes
from pixel2make.reading.view_ground import STEP_BOUNDS, Ground
from pixel2make.reading.view_spans import Spans, bands_of, spans

__all__ = ["Sums", "pair_table", "sums_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]

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


def _shades(ground: Ground) -> NDArray[np.int64]:
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
class Tables:
    """What a ground's pixels and pairs hold.

    Attributes
    ----------
    rows : ndarray of shape (2 * M * (N + 1), F + 4)
        Running sums along rows, of pixels and of pairs of neighbours inside a span: what to add at the place
        after its last pixel, then what to take off at its first.
    columns : ndarray of shape (2 * N * (M + 1), 4)
        The pairs' along columns.
    met : ndarray of shape (M * (N + 1) + N * (M + 1), 8)
        Pairs whose second pixel is at that place of a row, then of a column.
    """

    shape: tuple[int, int]
    area: float
    rows: Floats
    columns: Floats
    met: Floats


@lru_cache(maxsize=4)
def _tables(ground: Ground) -> Tables:
    rows, cols = ground.shape
    pixels = _running(_pixel_table(ground).reshape(rows, cols, -1))
    # (lines, places, 8), zeros where a pair would reach out of the line
    right, down = (
        np.pad(table, ((0, 0), (1, 1), (0, 0)))
        for table in (pair_table(ground, 1), pair_table(ground, 0).swapaxes(0, 1))
    )

    def inside(pairs: Floats) -> tuple[Floats, Floats]:
        """Pairs that lie before a place, and pairs that lie before the pixel after it."""
        total = np.cumsum(pairs[..., :4], axis=1)
        return np.pad(total[:, :-1], ((0, 0), (1, 0), (0, 0))), total

    (one, two), (three, four) = inside(right), inside(down)
    add, take = np.concatenate([pixels, one], axis=-1), np.concatenate([pixels, two], axis=-1)
    return Tables(
        ground.shape,
        float(ground.area),
        np.stack([add, take]).reshape(-1, add.shape[-1]),
        np.stack([three, four]).reshape(-1, 4),
        np.concatenate([right.reshape(-1, 8), down.reshape(-1, 8)]),
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
    if len(parts) == 1:
        return parts[0]
    names = ("face", "shade", "within", "empty", "pair", "even", "missing", "excess")
    return Sums(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def _sums_of(boxes: Boxes, tables: Tables) -> Sums:
    bands = bands_of(boxes)
    by_row, by_column = (spans(bands, tables.shape, by_column=each) for each in (False, True))
    face = _added(tables.rows, by_row)
    within = np.stack([face[..., -4:], _added(tables.columns, by_column)], axis=2)
    face, shade = face[..., : -SHADES - 4], face[..., -SHADES - 4 : -4]
    drawn = by_row.count
    forward, back = _met(tables.met, by_row, by_column)
    mean = np.sqrt(((forward[..., 5:] - back[..., 5:]) ** 2).sum(axis=-1))
    even = mean / np.maximum(forward[..., 4] + back[..., 4], 1e-6)
    edges = forward[..., :4] + back[..., :4]
    covered = face[..., 0].sum(axis=1)
    return Sums(
        face,
        shade,
        within,
        drawn - face[..., 0],
        np.concatenate([within.sum(axis=(1, 2))[:, None], edges], axis=1),
        np.where(edges[..., 0] > 0, even, 0.0),
        drawn.sum(axis=1) - covered,
        tables.area - covered,
    )


def _gathered(table: Floats, places: Ints, ends: Ints, values: Floats) -> Floats:
    """Sums of rows of a table times values; those of sum i stand before ends[i]. Shape (sums, columns)."""
    from scipy.sparse import csr_array

    start = np.concatenate([[0], ends]).astype(np.int32)
    return np.asarray(csr_array((values, places, start), shape=(len(ends), len(table))) @ table)


def _added(running: Floats, part: Spans) -> Floats:
    """Sums over spans of a table of running sums, what to add above what to take off: (K, faces, F)."""
    lines = part.start.shape[-1]
    areas = part.start.size // lines
    start, stop = part.start.reshape(areas, lines), part.stop.reshape(areas, lines)
    half = len(running) // 2
    filled = stop > start
    line = np.arange(0, half, half // lines, dtype=np.int32)
    places = np.empty((int(np.count_nonzero(filled)), 2), np.int32)
    places[:, 0] = (stop + line)[filled]
    places[:, 1] = (start + (line + np.int32(half)))[filled]
    values = np.empty(places.shape)
    values[:, 0], values[:, 1] = 1.0, -1.0
    ends = 2 * np.cumsum(np.count_nonzero(filled, axis=1))
    total = _gathered(running, places.ravel(), ends, values.ravel())
    return total.reshape(*part.start.shape[:-1], running.shape[1])


def _met(pairs: Floats, by_row: Spans, by_column: Spans) -> tuple[Floats, Floats]:
    """Sums over the pairs of pixels where the span of an edge's one face ends and that of its other begins,
    and the other way round: (K, 3, 8) each."""
    start = np.concatenate([by_row.start, by_column.start], axis=-1)
    stop = np.concatenate([by_row.stop, by_column.stop], axis=-1)
    # An empty span meets nothing.
    empty = stop <= start
    start[empty], stop[empty] = -1, -2
    here, there = [one for one, _ in EDGES], [two for _, two in EDGES]
    ends, begins = stop[:, here + there], start[:, there + here]
    met = ends == begins
    rows, columns = by_row.start.shape[-1], by_column.start.shape[-1]
    line = np.concatenate(
        [np.arange(rows) * (columns + 1), rows * (columns + 1) + np.arange(columns) * (rows + 1)]
    ).astype(np.int32)
    places = (ends + line)[met]
    counts = np.cumsum(np.count_nonzero(met, axis=-1).ravel())
    total = _gathered(pairs, places, counts, np.ones(len(places))).reshape(len(met), 2, 3, pairs.shape[1])
    return total[:, 0], total[:, 1]
