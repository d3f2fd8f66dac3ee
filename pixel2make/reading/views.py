"""RegionMap to View: the drawn box that explains the sprite, by analysis by synthesis.

Outlines that fit the object are proposed (`view_outline`), every way to see a box in them is weighed
(`view_inner`, `view_evidence`), the best are moved into place (`view_refine`) and their edges named
(`view_naming`).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import ReadingError
from pixel2make.reading.box import Boxes, stack
from pixel2make.reading.model import View
from pixel2make.reading.projection import ShapePrior, is_upright_pair, shape_log_density, solve_many
from pixel2make.reading.view_evidence import EVIDENCE, FAMILIES, evidence_of, families_of, side_looks
from pixel2make.reading.view_ground import Ground, ground_of
from pixel2make.reading.view_inner import boxes_in
from pixel2make.reading.view_naming import TURNS, Named, names_of, naming_evidence
from pixel2make.reading.view_outline import find_outlines
from pixel2make.reading.view_refine import refined
from pixel2make.reading.view_sums import sums_of
from pixel2make.reading.view_weights import box_weights, naming_weights
from pixel2make.reading.view_why import why_of
from pixel2make.regions.model import RegionMap

__all__ = ["find_views", "kinds_of"]

Floats = NDArray[np.float64]

VIEWS_KEPT = 6
STARTS = 8
"""Boxes that are moved into place; the right one is among them in 99 of 100 drawings."""
NAMED_BOXES = 60
"""Best boxes whose edges are named; the rest cannot win any more."""
DISTINCT_PX = 1.0
"""Views whose corners all lie closer than this are the same view to a maker."""
LEAST_UNCERTAINTY_PX = 0.29
"""One end known to its pixel: 1/sqrt(12) px, JCGM 100:2008 (GUM), uniform distribution."""
NEAR_PX = 1.5
"""Boxes whose corners lie closer to the best are other readings of the same edges, not other views."""


def find_views(regions: RegionMap, prior: ShapePrior) -> tuple[View, ...]:
    """Drawn boxes that explain the sprite, best first.

    Parameters
    ----------
    regions : RegionMap
    prior : ShapePrior
        What such objects look like.

    Returns
    -------
    tuple of View
        One to six, distinct. An object that is no box gets a best guess of low confidence.

    Raises
    ------
    ReadingError
        There is no object, or it is too small to show a box.
    """
    if not regions.sprite.object.any():
        raise ReadingError("no object is drawn; give a sprite that shows one")
    ground = ground_of(regions)
    found = search(ground, prior)
    if not len(found.boxes):
        raise ReadingError(
            f"the object has {ground.area} px, too few to show a box; give a sprite of 10 px a side or more"
        )
    return _views(found, ground, prior)


@dataclass(frozen=True, eq=False)
class Found:
    """Boxes that were tried, best first, with their chance among all of them."""

    boxes: Boxes
    evidence: Floats
    chance: Floats


def search(ground: Ground, prior: ShapePrior) -> Found:
    """All boxes worth a look, best first."""

    def weigh(boxes: Boxes) -> Floats:
        if not len(boxes):
            return np.zeros(0)
        shape = np.maximum(
            shape_log_density(boxes.q, boxes.p, boxes.t, prior),
            shape_log_density(boxes.p, boxes.q, boxes.t, prior),
        )
        rows = evidence_of(boxes, ground, shape)
        tried.append((boxes, rows))
        return box_weights().score(rows, families_of(boxes))

    tried: list[tuple[Boxes, Floats]] = []
    start = boxes_in(*find_outlines(ground.body))
    score = weigh(start)
    if len(start):
        starts = _starts(start, score)
        score = np.concatenate([score, refined(start.take(starts), weigh)[1]])
    boxes = stack([b for b, _ in tried]) if tried else start
    evidence = np.concatenate([e for _, e in tried]) if tried else np.zeros((0, len(EVIDENCE)))
    order = np.argsort(-score, kind="stable")
    chance = np.exp(score[order] - score[order[:1]])
    return Found(boxes.take(order), evidence[order], chance / max(chance.sum(), 1e-300))


def _starts(boxes: Boxes, score: Floats) -> NDArray[np.int64]:
    """The best boxes that differ from each other by more than the refinement can bridge."""
    family = families_of(boxes)
    middle = boxes.apex + (boxes.p + boxes.q) / 2
    reach = np.stack([np.abs(e).max(axis=1) for e in (boxes.p, boxes.q)], axis=1)
    kept: list[int] = []
    for i in np.argsort(-score, kind="stable"):
        if len(kept) == STARTS:
            break
        same = [
            family[i] == family[k]
            and np.abs(middle[i] - middle[k]).max() <= 0.75
            and np.abs(boxes.t[i] - boxes.t[k]).max() <= 1.0
            and np.abs(reach[i] - reach[k]).max() <= 1.0
            for k in kept
        ]
        if not any(same):
            kept.append(int(i))
    return np.array(kept, int)


def kinds_of(boxes: Boxes) -> NDArray[np.str_]:
    """View kind of each box, shape (K,).

    A box at a slant is oblique where one face is drawn true, with its edges along the picture's rows and
    columns or at a right angle to each other, and where no orthographic view has such edges.
    """
    p, q, t = boxes.p, boxes.q, boxes.t
    family = families_of(boxes)
    true_face = is_upright_pair(p, q) | is_upright_pair(p, t) | is_upright_pair(q, t)
    orthographic = ~np.isnan(solve_many(p, q, t)).any(axis=1) & ~true_face
    names = np.where(orthographic, "axonometric", "oblique")
    flat = np.where(family == 0, "front", "front_with_edges")
    return np.where(family == FAMILIES.index("slanted"), names, flat)


def _views(found: Found, ground: Ground, prior: ShapePrior) -> tuple[View, ...]:
    kinds = kinds_of(found.boxes)
    by_kind = {k: float(found.chance[kinds == k].sum()) for k in np.unique(kinds)}
    best = found.boxes.take(slice(NAMED_BOXES))
    turn, name_chance = _turns(best, ground, prior)
    named = names_of(best)
    views: list[View] = []
    for i in range(len(best)):
        kind = str(kinds[i])
        name = named[turn[i]]
        spread = _spread(found, kinds, i)
        seen = dict(zip(EVIDENCE, found.evidence[i].tolist(), strict=True))
        view = _view(kind, name, i, ground, spread)
        view = View(
            kind,
            by_kind[kind],
            *view,
            uncertainty_px=spread,
            why=why_of(kind, seen, TURNS[turn[i]], float(name_chance[i])),
            score=float(found.chance[i]),
            strip_px=_strip(name, i),
        )
        if all(_differs(view, other) for other in views):
            views.append(view)
        if len(views) == VIEWS_KEPT:
            break
    return tuple(views)


def _turns(boxes: Boxes, ground: Ground, prior: ShapePrior) -> tuple[NDArray[np.int64], Floats]:
    """The likeliest naming of each box and its chance."""
    looks = side_looks(sums_of(boxes, ground))
    # Sides come as (p, q) from the sums; the evidence of namings takes them in the same order.
    score = naming_weights().score(naming_evidence(boxes, ground, looks, prior))
    share = np.exp(score - score.max(axis=1, keepdims=True))
    share /= share.sum(axis=1, keepdims=True)
    turn = share.argmax(axis=1)
    return turn, share[np.arange(len(turn)), turn]


def _view(
    kind: str, name: Named, i: int, ground: Ground, spread: float
) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float], tuple[float, float] | None]:
    t = _primary(name, i)
    thickness = None if kind == "front" else _pair(t)
    return _pair(name.origin[i] + ground.shift), _pair(name.u[i]), _pair(name.v[i]), thickness


def _primary(name: Named, i: int) -> Floats:
    """The strip along the height where two are drawn flat, else the thickness."""
    t, more, u = name.t[i], name.more[i], name.u[i]
    is_lateral = abs(more[0] * u[1] - more[1] * u[0]) < 1e-6 and np.abs(more).sum() > 0
    return more if is_lateral and abs(t[0] * u[1] - t[1] * u[0]) > 1e-6 else t


def _strip(name: Named, i: int) -> tuple[float, float] | None:
    if not np.abs(name.more[i]).sum() > 0:
        return None
    return _pair(
        name.t[i]
        if _primary(name, i) is not name.t[i] and not np.array_equal(_primary(name, i), name.t[i])
        else name.more[i]
    )


def _pair(vector: Floats) -> tuple[float, float]:
    return round(float(vector[0]), 3) + 0.0, round(float(vector[1]), 3) + 0.0


def _differs(one: View, two: View) -> bool:
    a, b = np.array(one.cover_corners_px), np.array(two.cover_corners_px)
    t1, t2 = (np.array(v.thickness_px or (0.0, 0.0)) for v in (one, two))
    gap = max(float(np.abs(a - b).max()), float(np.abs(t1 - t2).max()))
    return one.kind != two.kind or gap > DISTINCT_PX


def _spread(found: Found, kinds: NDArray[np.str_], i: int) -> float:
    """Spread of the corners over all boxes near box i, per coordinate."""
    corners = found.boxes.cover_corners()
    gap = np.stack(
        [
            np.abs(np.roll(corners[:, ::way], turn, axis=1) - corners[i]).mean(axis=(1, 2))
            for turn in range(4)
            for way in (1, -1)
        ]
    ).min(axis=0)
    near = gap < NEAR_PX
    weight = found.chance[near] / found.chance[near].sum()
    spread = float(np.sqrt((weight * gap[near] ** 2).sum()))
    return round(float(np.hypot(spread, LEAST_UNCERTAINTY_PX)), 2)
