"""What tells a strip beside the cover from marks upon it: a hinge line, a frame, a lit edge, corner pieces.

A strip's border runs the whole edge, to its very ends, and lies on one side only; a frame, a bevel or a lit
edge comes back on other sides at the same depth and stops short of the corners. Where pages or a spine lie
beside the cover, frame and emblem sit in the middle of the cover, not of the whole.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import Boxes
from pixel2make.reading.view_ground import Ground
from pixel2make.reading.view_sums import Sums, pair_table

__all__ = ["FLAT_EVIDENCE", "flat_columns"]

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Mask = NDArray[np.bool_]
Columns = Mapping[str, Floats]

FLAT_EVIDENCE = (
    "empty_sides",
    "along_side",
    "across_side",
    "shade_best",
    "shade_other",
    "hue_apart",
    "breadth_one",
    "breadth_two",
    "ends_step",
    "mirror_line",
    "frame_most",
    "frame_least",
    "asym_along",
    "asym_across",
)
"""Names of the columns of `flat_columns`."""

MOST_END_PX = 3
"""So much of a strip's border near the corners is its end; frames are drawn at most about so deep."""

GRID = 12
"""The cover is compared with its mirror image on a grid of so many places each way."""

FEW_MARKS = 0.05
"""Share of the cover below which marks lie where they lie by chance."""

LINES = ("ends_step", "mirror_line", "frame_most", "frame_least")


@dataclass(frozen=True, eq=False)
class _LineSums:
    """Running sums over the pairs of pixels that a line parts, a row of `table` a place along a line.

    Upright lines come first, then level ones; ``first``, ``count`` and ``length`` are, upright and level, the
    row of the first, how many lines there are, and how many pairs each has.
    """

    table: Floats
    first: Ints
    count: Ints
    length: Ints


@lru_cache(maxsize=4)
def _line_sums(ground: Ground) -> _LineSums:
    rows, cols = ground.shape
    # (pairs along the line + 1, lines, 8)
    sums = [
        np.pad(np.cumsum(pairs, axis=0), ((1, 0), (0, 0), (0, 0))).reshape(-1, pairs.shape[-1])
        for pairs in (pair_table(ground, 1), pair_table(ground, 0).swapaxes(0, 1))
    ]
    return _LineSums(
        np.concatenate(sums),
        np.array([0, len(sums[0])]),
        np.array([cols - 1, rows - 1]),
        np.array([rows, cols]),
    )


@lru_cache(maxsize=4)
def _foreign(ground: Ground) -> Mask:
    """True where a material other than the most frequent one shows, shape (M, N)."""
    known = ground.body & (ground.material >= 0)
    if not known.any():
        return np.zeros(ground.shape, bool)
    main = np.bincount(ground.material[known]).argmax()
    return np.asarray(known & (ground.material != main))


def _firm(total: Floats) -> Floats:
    """How plain and even the step across a line is, 0..1, from sums over its pairs (..., 8)."""
    number = np.maximum(total[..., 0], 1.0)
    even = np.hypot(np.hypot(total[..., 5], total[..., 6]), total[..., 7]) / np.maximum(total[..., 4], 1e-6)
    return np.asarray(total[..., 1] / number * np.where(total[..., 4] > 0, even, 0.0))


def _lines(sums: _LineSums, place: Ints, start: Ints, stop: Ints, is_upright: Mask) -> Floats:
    """Sums (K, 8) over the pairs across the line at `place`, from `start` up to `stop`."""
    way = np.where(is_upright, 0, 1)
    length, count, base = sums.length[way], sums.count[way], sums.first[way]
    is_in = (place >= 1) & (place <= count)
    base = base + np.clip(place - 1, 0, count - 1)
    first, last = np.clip(start, 0, length), np.clip(stop, 0, length)
    found = sums.table[base + np.maximum(last, first) * count] - sums.table[base + first * count]
    return np.asarray(found * is_in[:, None])


def flat_columns(boxes: Boxes, sums: Sums, ground: Ground, is_flat: Mask) -> Columns:
    """Evidence about strips, (K,) a name of `FLAT_EVIDENCE`; lines at a strip's depth are 0 at a slant.

    Parameters
    ----------
    boxes : Boxes
    sums : Sums
        Of the boxes.
    ground : Ground
    is_flat : ndarray of shape (K,), bool
        False for boxes at a slant.
    """
    return _sides(boxes, sums, ground, is_flat) | _marks_and_lines(boxes, ground)


def _marks_and_lines(boxes: Boxes, ground: Ground) -> dict[str, Floats]:
    """Lines at a strip's depth on all sides, and marks against their mirror image."""
    out = {name: np.zeros(len(boxes)) for name in LINES}
    one, two = _mirrored(boxes, ground)
    along_p = np.abs(boxes.t[:, 0] * boxes.p[:, 1] - boxes.t[:, 1] * boxes.p[:, 0]) < 1e-6
    along_q = np.abs(boxes.t[:, 0] * boxes.q[:, 1] - boxes.t[:, 1] * boxes.q[:, 0]) < 1e-6
    has_t = np.abs(boxes.t).sum(axis=1) > 0
    mean = (one + two) / 2
    out["asym_along"] = np.where(has_t & along_p, one, np.where(has_t & along_q, two, mean))
    out["asym_across"] = np.where(has_t & along_p, two, np.where(has_t & along_q, one, mean))
    flat = np.flatnonzero(has_t & (along_p | along_q) & _is_upright(boxes))
    if len(flat):
        part = boxes.take(flat)
        first = _strip_lines(part, part.t, ground)
        second = _strip_lines(part, part.more, ground)
        has_more = np.abs(part.more).sum(axis=1) > 0
        for i, name in enumerate(LINES):
            out[name][flat] = np.where(has_more, (first[i] + second[i]) / 2, first[i])
    return out


def _mean_step(total: Floats) -> Floats:
    return np.asarray(total[:, 1] / np.maximum(total[:, 0], 1.0))


def _sides(boxes: Boxes, sums: Sums, ground: Ground, is_flat: Mask) -> dict[str, Floats]:
    """Sides drawn flat: shades that the cover has too, lines along them, and where they lack pixels."""
    root = np.sqrt(ground.area)
    number = np.maximum(sums.face[..., 0], 1e-9)
    seen = sums.face[:, 1:, 0] > 0.5
    two = seen.all(axis=1)
    share = sums.shade / number[..., None]
    alike = np.where(seen, np.minimum(share[:, 1:], share[:, :1]).sum(axis=-1), 0.0)
    hue = sums.face[..., 2:4] / number[..., None] / 100
    apart = np.where(seen, np.sqrt(((hue[:, 1:] - hue[:, :1]) ** 2).sum(axis=-1)), 0.0)
    # Pairs side by side run along an edge that is nearer to level.
    level = np.stack([np.abs(e[:, 0]) > np.abs(e[:, 1]) for e in (boxes.p, boxes.q)], axis=1)[..., None]
    level = level & seen[..., None]
    upright = ~level & seen[..., None]
    along, across = (
        np.where(level, sums.within[:, 1:, i], np.where(upright, sums.within[:, 1:, 1 - i], 0.0)).sum(axis=1)
        for i in (0, 1)
    )
    breadth = np.round(np.abs(boxes.t).max(axis=1))
    return {
        "empty_sides": sums.empty[:, 1:].sum(axis=1) / root,
        "along_side": _mean_step(along),
        "across_side": _mean_step(across),
        "shade_best": np.where(two, alike.max(axis=1), alike.sum(axis=1)),
        "shade_other": np.where(two, alike.min(axis=1), 0.0),
        "hue_apart": apart.max(axis=1),
        "breadth_one": (is_flat & (breadth == 1)).astype(float),
        "breadth_two": (is_flat & (breadth == 2)).astype(float),
    }


def _is_upright(boxes: Boxes) -> Mask:
    """True where the cover's edges are level and upright."""
    return np.asarray((np.abs(boxes.p).min(axis=1) < 1e-6) & (np.abs(boxes.q).min(axis=1) < 1e-6))


def _strip_lines(boxes: Boxes, strip: Floats, ground: Ground) -> tuple[Floats, Floats, Floats, Floats]:
    """The weaker end of a strip's border, and how firm the lines at its depth are on the other sides: the
    opposite one, the firmer and the fainter of the two between; each (K,)."""
    corners = boxes.cover_corners()
    low, high = corners.min(axis=1), corners.max(axis=1)
    reach = np.stack([boxes.t, boxes.more])
    low_all = np.round(low + np.minimum(reach, 0).sum(axis=0)).astype(np.int64)
    high_all = np.round(high + np.maximum(reach, 0).sum(axis=0)).astype(np.int64)
    low, high = np.round(low).astype(np.int64), np.round(high).astype(np.int64)
    depth = np.maximum(np.round(np.abs(strip).max(axis=1)), 1).astype(np.int64)
    sums = _line_sums(ground)
    is_beside = np.abs(strip[:, 0]) > np.abs(strip[:, 1])
    before = np.where(is_beside, strip[:, 0], strip[:, 1]) < 0
    axis = np.where(is_beside, 0, 1)
    at = np.arange(len(strip))
    near, far = low_all[at, axis], high_all[at, axis]
    place = np.where(before, near + depth, far - depth)
    start, stop = low[at, 1 - axis], high[at, 1 - axis]

    def firm(place: Ints, start: Ints, stop: Ints, beside: Mask) -> Floats:
        return _firm(_lines(sums, place, start, stop, beside))

    def about(place: Ints, start: Ints, stop: Ints, beside: Mask) -> Floats:
        # A frame's line may lie a pixel nearer or further than the strip's.
        return np.max([firm(place + step, start, stop, beside) for step in (-1, 0, 1)], axis=0)

    end = np.minimum(np.minimum(depth, MOST_END_PX), np.maximum((stop - start) // 3, 1))
    ends = np.minimum(firm(place, start, start + end, is_beside), firm(place, stop - end, stop, is_beside))
    mirror = about(np.where(before, far - depth, near + depth), start, stop, is_beside)
    others = [
        about(where, low[at, axis], high[at, axis], ~is_beside)
        for where in (low_all[at, 1 - axis] + depth, high_all[at, 1 - axis] - depth)
    ]
    return ends, mirror, np.maximum(*others), np.minimum(*others)


def _mirrored(boxes: Boxes, ground: Ground) -> tuple[Floats, Floats]:
    """How far the marks on each cover differ from their mirror image along p and along q, 0..1, each (K,)."""
    # A hair towards the middle, so that a place between two pixels and its mirror image are mirror images.
    steps = 0.5 + ((np.arange(GRID) + 0.5) / GRID - 0.5) * (1 - 1e-6)
    foreign = _foreign(ground)
    # (K, along q, along p)
    x, y = (
        boxes.apex[:, None, None, i]
        + steps[None, None, :] * boxes.p[:, None, None, i]
        + steps[None, :, None] * boxes.q[:, None, None, i]
        for i in (0, 1)
    )
    column = np.clip(x.astype(np.int32), 0, ground.shape[1] - 1)
    row = np.clip(y.astype(np.int32), 0, ground.shape[0] - 1)
    marks = foreign.ravel()[row * np.int32(ground.shape[1]) + column]
    half, all_places = GRID // 2, GRID * GRID
    total = 2 * (np.count_nonzero(marks, axis=(1, 2)) / all_places + FEW_MARKS)
    # Two halves that differ count from either side.
    one = np.count_nonzero(marks[:, :, :half] != marks[:, :, : half - 1 : -1], axis=(1, 2))
    two = np.count_nonzero(marks[:, :half] != marks[:, : half - 1 : -1], axis=(1, 2))
    return 2 * one / all_places / total, 2 * two / all_places / total
