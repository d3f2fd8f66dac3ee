"""What speaks for each drawn box: outline, colour steps at the edges, one material a face, book habits."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import Boxes, cross
from pixel2make.reading.view_flat import FLAT_EVIDENCE, flat_columns
from pixel2make.reading.view_ground import Ground
from pixel2make.reading.view_sums import Sums, sums_of

__all__ = ["EVIDENCE", "FAMILIES", "evidence_of", "families_of"]

Floats = NDArray[np.float64]
Columns = Mapping[str, Floats]

FAMILIES = ("plain", "strip", "corner", "opposite", "slanted")
"""Cover alone; one flat strip; two strips round a corner; two on opposite sides; a box at a slant."""

SLOPE_CLASSES: tuple[tuple[str, tuple[float, ...]], ...] = (
    ("level", (0.0,)),
    ("diagonal", (1.0,)),
    ("half", (0.5,)),
    ("third", (1 / 3, 2 / 3)),
    ("quarter", (0.25, 0.75)),
)
"""Slopes (short step over long step) from the commonest to the rarest; all others are odd."""

SLOPE_TOLERANCE = 0.02

SHADOW_LIGHT = 40.0
"""CIELAB lightness from which a floor in the shade is no longer dark."""

NARROW_PX = 9.0
"""A side this broad or broader is not narrow at all."""

EVIDENCE = (
    "missing",
    "excess",
    "gain",
    "gain_rooted",
    "spread_gain",
    "step_at_edges",
    "material_at_edges",
    "line_at_edges",
    "step_mean",
    "step_weakest",
    "material_mean",
    "material_weakest",
    "even_mean",
    "even_weakest",
    "even_sum",
    "step_within",
    "material_within",
    "line_within",
    "ridge_step",
    "ridge_material",
    "ridge_line",
    "ridge_even",
    "paper_cover",
    "paper_best",
    "paper_other",
    "paper_capped",
    "alike_best",
    "alike_other",
    "neither",
    "darker_best",
    "cover_share",
    "chroma_cover",
    "thick",
    "thin",
    "narrow",
    "aspect",
    "sine",
    "level_cover",
    "level_side",
    "t_level",
    "t_upright",
    "t_up",
    "cover_diagonal",
    "cover_half",
    "cover_third",
    "cover_quarter",
    "cover_odd",
    "t_diagonal",
    "t_half",
    "t_third",
    "t_quarter",
    "t_odd",
    "broken_steps",
    "broken_pixels",
    "solvable",
    "shape_likely",
    "size",
    "whole",
    "whole_closed",
    "dropped",
    "taken_off",
    "sides_one",
    "sides_one_dark",
    "line_mean",
    "line_weakest",
    "shaded",
    "shaded_grey",
    *FLAT_EVIDENCE,
)
"""Names of the columns of `evidence_of`."""


def families_of(boxes: Boxes) -> NDArray[np.int64]:
    """Index into `FAMILIES` of each box, shape (K,)."""
    p, q, t, more = boxes.p, boxes.q, boxes.t, boxes.more
    flat = np.minimum(np.abs(cross(p, t)), np.abs(cross(q, t))) < 1e-6
    two = np.abs(more).sum(axis=1) > 0
    corner = two & (np.abs(cross(more, t)) > 1e-6)
    none = np.abs(t).sum(axis=1) == 0
    index = np.where(flat, 1, 4)
    index[two] = 3
    index[corner] = 2
    index[none] = 0
    return np.asarray(index)


def evidence_of(boxes: Boxes, ground: Ground, shape: Floats | None = None) -> Floats:
    """What speaks for and against each box.

    Parameters
    ----------
    boxes : Boxes
        On the ground's canvas.
    ground : Ground
    shape : ndarray of shape (K,), optional
        Log density of the true proportions behind each box.

    Returns
    -------
    ndarray of shape (K, len(EVIDENCE))
        Comparable between sizes: pixel counts are relative to the square root of the area.
    """
    sums = sums_of(boxes, ground)
    columns: dict[str, Floats] = {}
    columns |= _outline(sums, ground)
    columns |= _edges(sums, ground)
    columns |= _faces(sums, ground)
    columns |= _drawing(boxes, sums, ground)
    is_flat = families_of(boxes) != FAMILIES.index("slanted")
    columns |= flat_columns(boxes, sums, ground, is_flat)
    columns["shape_likely"] = np.zeros(len(boxes)) if shape is None else shape
    return np.stack([np.asarray(columns[name], float) for name in EVIDENCE], axis=1)


def _outline(sums: Sums, ground: Ground) -> Columns:
    root = np.sqrt(ground.area)
    return {"missing": sums.missing / root, "excess": sums.excess / root}


def _mean(block: Floats, column: int) -> Floats:
    return np.asarray(block[..., column] / np.maximum(block[..., 0], 1.0))


def _edges(sums: Sums, ground: Ground) -> Columns:
    """Colour steps, changes of material and lines where faces meet, and inside the faces."""
    root = np.sqrt(ground.area)
    pair = sums.pair
    both = pair[:, 1:3]
    drawn = both[..., 0] > 0.5
    any_drawn = drawn.any(axis=1)

    def over_edges(value: Floats) -> tuple[Floats, Floats]:
        """Mean over all edge pairs, and the weaker of the cover's two edges."""
        count = np.where(drawn, both[..., 0], 0.0)
        mean = (value * count).sum(axis=1) / np.maximum(count.sum(axis=1), 1.0)
        weakest = np.where(drawn, value, np.inf).min(axis=1)
        return mean, np.where(any_drawn, np.minimum(weakest, 2.0), 0.0)

    step_mean, step_weakest = over_edges(_mean(both, 1))
    material_mean, material_weakest = over_edges(_mean(both, 2))
    line_mean, line_weakest = over_edges(_mean(both, 3))
    even_mean, even_weakest = over_edges(sums.even[:, :2])
    ridge = pair[:, 3]
    return {
        "step_at_edges": both[..., 1].sum(axis=1) / root,
        "material_at_edges": both[..., 2].sum(axis=1) / root,
        "line_at_edges": both[..., 3].sum(axis=1) / root,
        "step_mean": step_mean,
        "step_weakest": step_weakest,
        "material_mean": material_mean,
        "material_weakest": material_weakest,
        "line_mean": line_mean,
        "line_weakest": line_weakest,
        "even_mean": even_mean,
        "even_weakest": even_weakest,
        "even_sum": (sums.even[:, :2] * both[..., 0]).sum(axis=1) / root,
        "step_within": _mean(pair[:, 0], 1),
        "material_within": _mean(pair[:, 0], 2),
        "line_within": pair[:, 0, 3] / root,
        "ridge_step": _mean(ridge, 1),
        "ridge_material": _mean(ridge, 2),
        "ridge_line": ridge[:, 3] / root,
        "ridge_even": sums.even[:, 2],
    }


def _entropy(counts: Floats) -> Floats:
    """n H(counts) in nats along the last axis."""
    total = counts.sum(axis=-1)
    logs = np.log(np.maximum(counts, 1e-9))
    return np.asarray(total * np.log(np.maximum(total, 1e-9)) - (counts * logs).sum(axis=-1))


def _spread(face: Floats) -> Floats:
    """Sum of squared distances from each face's mean colour, shape (K, faces)."""
    n = np.maximum(face[..., 0], 1e-9)
    total = face[..., 4] + face[..., 5]
    return np.asarray(total - (face[..., 1:4] ** 2).sum(axis=-1) / n)


def side_looks(sums: Sums) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """How much more each side looks like paper than the cover, how much it is the cover's material, and
    whether it is drawn; each (K, 2)."""
    number = np.maximum(sums.face[..., 0], 1e-9)
    paper = sums.face[..., 6] / number
    histogram = sums.face[..., 8:]
    share = histogram / np.maximum(histogram.sum(axis=-1), 1e-9)[..., None]
    alike = np.minimum(share[:, 1:], share[:, :1]).sum(axis=-1)
    seen = sums.face[:, 1:, 0] > 0.5
    return np.where(seen, paper[:, 1:] - paper[:, :1], 0.0), np.where(seen, alike, 0.0), seen


def _faces(sums: Sums, ground: Ground) -> Columns:
    """One material a face, sides that look like paper or like the cover."""
    area = float(ground.area)
    face = sums.face
    number = np.maximum(face[..., 0], 1e-9)
    side_paper, alike, seen = side_looks(sums)
    any_side, two = seen.any(axis=1), seen.all(axis=1)
    histogram = face[..., 8:]
    gain = (_entropy(histogram.sum(axis=1)) - _entropy(histogram).sum(axis=1)) / area
    spread_all = _spread(face.sum(axis=1, keepdims=True))[:, 0]
    spread_gain = 1 - _spread(face).sum(axis=1) / np.maximum(spread_all, 1e-9)
    best = np.where(seen, side_paper, -2.0).argmax(axis=1)
    at = np.arange(len(best))
    light = face[..., 1] / number / 100
    paper_best = np.where(any_side, side_paper[at, best], 0.0)
    # Both sides in one material that the cover lacks, and how dark it is: a shadow looks so, a book does not.
    share = histogram / np.maximum(histogram.sum(axis=-1), 1e-9)[..., None]
    one = np.where(two, np.maximum(share[:, 1:].min(axis=1) - share[:, 0], 0).max(axis=1), 0.0)
    dark = np.clip((SHADOW_LIGHT - 100 * light[:, 1:].max(axis=1)) / SHADOW_LIGHT, 0, 1)
    return {
        "sides_one": one,
        "sides_one_dark": one * dark,
        "gain": gain,
        "gain_rooted": gain * np.sqrt(np.sqrt(area)),
        "spread_gain": np.where(any_side, spread_gain, 0.0),
        "paper_cover": face[:, 0, 6] / number[:, 0],
        "paper_best": paper_best,
        "paper_other": np.where(two, side_paper[at, 1 - best], 0.0),
        "paper_capped": np.minimum(paper_best, 0.3),
        "alike_best": np.where(any_side, alike[at, best], 0.0),
        "alike_other": np.where(two, alike[at, 1 - best], 0.0),
        "neither": np.where(seen, np.maximum(0, 0.5 - np.maximum(side_paper, alike)), 0.0).sum(axis=1),
        "darker_best": np.where(any_side, np.maximum(0, light[:, 0] - light[at, 1 + best]), 0.0),
        "cover_share": face[:, 0, 0] / area,
        "chroma_cover": np.hypot(face[:, 0, 2], face[:, 0, 3]) / number[:, 0] / 100,
    }


def _slopes(edge: Floats) -> Floats:
    """Whether each edge (K, 2) has a slope of each class or none of them, shape (K, classes + 1)."""
    size = np.abs(edge)
    ratio = size.min(axis=1) / np.maximum(size.max(axis=1), 1e-9)
    hits = [
        np.min([np.abs(ratio - value) for value in values], axis=0) < SLOPE_TOLERANCE
        for _, values in SLOPE_CLASSES
    ]
    known = np.stack(hits, axis=1)
    return np.concatenate([known, ~known.any(axis=1, keepdims=True)], axis=1).astype(float)


def _broken(boxes: Boxes) -> Columns:
    """How far edges are from ending on whole pixels, of the longer coordinate and of both."""
    edges = np.stack([boxes.p, boxes.q, boxes.t, boxes.more], axis=1)
    off = np.abs(edges - np.round(edges))
    longer = np.abs(edges).argmax(axis=2)
    pixels = np.take_along_axis(off, longer[..., None], axis=2)[..., 0]
    return {"broken_pixels": pixels.sum(axis=1), "broken_steps": off.max(axis=2).sum(axis=1)}


def _drawing(boxes: Boxes, sums: Sums, ground: Ground) -> Columns:
    """Habits of drawing books: slopes, thickness, breadth of the sides."""
    from pixel2make.reading.projection import is_right_pair, solve_many

    p, q, t = boxes.p, boxes.q, boxes.t
    long_p, long_q, long_t = (np.hypot(*v.T) for v in (p, q, t))
    longest, shortest = np.maximum(long_p, long_q), np.minimum(long_p, long_q)
    slanted = families_of(boxes) == FAMILIES.index("slanted")
    has_t = long_t > 0
    breadth = np.stack([np.abs(cross(p, t)) / long_p, np.abs(cross(q, t)) / long_q], axis=1)
    breadth = np.where(breadth > 1e-6, breadth, NARROW_PX)
    more = np.hypot(*boxes.more.T)
    breadth[:, 0] = np.where(more > 0, more, breadth[:, 0])
    side = breadth.min(axis=1)
    cover = _slopes(p) + _slopes(q)
    depth = _slopes(t) * slanted[:, None]
    unit = t / np.maximum(long_t, 1e-9)[:, None]
    columns = {
        "thick": np.where(has_t, np.log(np.maximum(long_t, 0.3) / shortest), 0.0),
        "thin": np.where(has_t, np.maximum(0, np.log(0.12 * shortest / np.maximum(long_t, 0.3))), 0.0),
        "narrow": np.where(has_t, np.exp(-side), 0.0),
        "aspect": np.log(longest / shortest),
        "sine": np.abs(cross(p, q)) / (long_p * long_q),
        "level_cover": slanted & is_right_pair(p, q),
        "level_side": slanted & (is_right_pair(p, t) | is_right_pair(q, t)),
        "t_level": slanted & (np.abs(unit[:, 1]) < 1e-6),
        "t_upright": slanted & (np.abs(unit[:, 0]) < 1e-6),
        "t_up": np.where(slanted, np.maximum(0, -unit[:, 1]), 0.0),
        **_broken(boxes),
        "solvable": slanted & ~np.isnan(solve_many(p, q, t)).any(axis=1),
        "size": np.full(len(boxes), np.log(np.sqrt(ground.area) / 16)),
        "whole": np.full(len(boxes), float(ground.is_whole)),
        "whole_closed": np.full(len(boxes), ground.closed * ground.is_whole),
        "dropped": np.full(len(boxes), ground.dropped),
        "shaded": np.full(len(boxes), ground.shaded),
        "shaded_grey": np.full(len(boxes), ground.shaded_grey),
        "taken_off": np.full(len(boxes), float(ground.dropped > 0)),
    }
    for i, word in enumerate(("diagonal", "half", "third", "quarter", "odd"), start=1):
        columns[f"cover_{word}"] = cover[:, i]
        columns[f"t_{word}"] = depth[:, i]
    return columns
