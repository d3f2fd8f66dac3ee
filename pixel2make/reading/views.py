"""RegionMap to View: the drawn box that explains the sprite, by analysis by synthesis.

Outlines that fit the object are proposed (`view_outline`), every way to see a box in them is weighed
(`view_inner`, `view_evidence`), the best are moved into place (`view_refine`) and their edges named
(`view_naming`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import ReadingError
from pixel2make.reading.box import Boxes, cross, stack, stepless
from pixel2make.reading.model import View
from pixel2make.reading.proj_shape import ShapeTable, shape_log_density, table_of
from pixel2make.reading.projection import ShapePrior, is_right_pair, solve_many
from pixel2make.reading.view_evidence import EVIDENCE, FAMILIES, evidence_of, families_of, side_looks
from pixel2make.reading.view_ground import Ground, grounds_of
from pixel2make.reading.view_inner import boxes_in
from pixel2make.reading.view_naming import TURNS, Named, names_of, naming_evidence
from pixel2make.reading.view_outline import Outlines, find_outlines
from pixel2make.reading.view_peel import peeled
from pixel2make.reading.view_refine import refined, settled
from pixel2make.reading.view_sums import sums_of
from pixel2make.reading.view_weights import box_weights, naming_weights
from pixel2make.reading.view_why import why_of
from pixel2make.regions.model import RegionMap

__all__ = ["find_views", "kinds_of"]

Floats = NDArray[np.float64]

VIEWS_KEPT = 6
STARTS = 8
"""Boxes that are moved into place on one ground; the right one is among them in 99 of 100 drawings."""
OUT_OF_REACH = 6.0
"""Nats below the best start of all grounds from which on a start is left alone: of drawn books none whose
box was the best in the end lay 4 below."""
LOOKED_AT = 400
"""Best boxes among which runners-up are looked for; the rest have no chance worth telling."""
DOUBT_SCORE, DOUBT_SPREAD = -6.0, 2.5
"""Best scores about which an object may be no box at all: of drawn books 2 in 100 score so low, of discs,
shields and figures most."""
STEPLESS = 0.7
"""What a slope that shows no step costs, in nats: about one in two artists would have drawn it level."""
DISTINCT_PX = 1.0
"""Views whose corners all lie closer than this are the same view to a maker."""
FLAT_SHARE = 1e-3
"""A strip whose part across the height is a smaller share of the other's lies along the width."""
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
    grounds = grounds_of(regions)
    # A protocol does not say that it is hashable; every object is unless it defines equality.
    table = table_of(prior)  # type: ignore[arg-type]
    found = search(grounds, table)
    if found is None:
        area = grounds[0].area
        raise ReadingError(
            f"the object has {area} px, too few to show a box; give a sprite of 10 px a side or more"
        )
    return _views(found, found.grounds, table)


@dataclass(frozen=True, eq=False)
class Found:
    """Boxes that were tried, best first, with their chance among all of them.

    ``ground`` (K,) is the index into ``grounds`` of the ground on which each was found; ``best`` is the
    first box's score.
    """

    boxes: Boxes
    evidence: Floats
    chance: Floats
    ground: NDArray[np.int64]
    grounds: tuple[Ground, ...]
    best: float


def search(grounds: Sequence[Ground], table: ShapeTable) -> Found | None:
    """All boxes worth a look, best first; None where the object is too small for any."""
    places = [(ground, find_outlines(ground.body)) for ground in grounds]
    rest = peeled(*places[0])
    if rest is not None:
        places.append((rest, find_outlines(rest.body)))
    tried = [_weighed_starts(ground, outlines, i, table) for i, (ground, outlines) in enumerate(places)]
    tried = [batch for batch in tried if len(batch[0])]
    if not tried:
        return None
    least = max(float(batch[2].max()) for batch in tried) - OUT_OF_REACH
    for start, _, score, index in tuple(tried):
        kept = _starts(start, score)
        kept = kept[score[kept] >= least]
        if len(kept):
            number = int(index[0])
            tried += _climbed(start.take(kept), places[number][0], number, table)
    boxes = stack([batch[0] for batch in tried])
    evidence, score, index = (np.concatenate([batch[k] for batch in tried]) for k in (1, 2, 3))
    order = np.argsort(-score, kind="stable")
    chance = np.exp(score[order] - score[order[:1]])
    return Found(
        boxes.take(order),
        evidence[order],
        chance / max(chance.sum(), 1e-300),
        index[order],
        tuple(g for g, _ in places),
        float(score[order[0]]),
    )


def weighed(boxes: Boxes, ground: Ground, table: ShapeTable) -> tuple[Floats, Floats]:
    """Evidence (K, E) and score (K,) of boxes on one ground."""
    shape = np.maximum(
        shape_log_density(boxes.q, boxes.p, boxes.t, table),
        shape_log_density(boxes.p, boxes.q, boxes.t, table),
    )
    rows = evidence_of(boxes, ground, shape)
    score = box_weights().score(rows, families_of(boxes))
    return rows, score - STEPLESS * stepless(boxes)


Batch = tuple[Boxes, Floats, Floats, NDArray[np.int64]]


def _weighed_starts(
    ground: Ground, outlines: tuple[Outlines, Outlines], index: int, table: ShapeTable
) -> Batch:
    """Every box in the outlines of one ground, with evidence, score and the ground's index."""
    start = boxes_in(*outlines)
    rows, score = weighed(start, ground, table)
    return start, rows, score, np.full(len(start), index)


def _climbed(start: Boxes, ground: Ground, index: int, table: ShapeTable) -> list[Batch]:
    """All boxes that were tried while moving the starts into place."""
    tried: list[Batch] = []

    def weigh(boxes: Boxes) -> Floats:
        rows, score = weighed(boxes, ground, table)
        tried.append((boxes, rows, score, np.full(len(boxes), index)))
        return score

    refined(start, weigh)
    return tried


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

    A box at a slant is oblique where one face is drawn true, with two edges at a right angle, and where no
    orthographic view has such edges.
    """
    p, q, t = boxes.p, boxes.q, boxes.t
    family = families_of(boxes)
    true_face = is_right_pair(p, q) | is_right_pair(p, t) | is_right_pair(q, t)
    orthographic = ~np.isnan(solve_many(p, q, t)).any(axis=1) & ~true_face
    names = np.where(orthographic, "axonometric", "oblique")
    flat = np.where(family == 0, "front", "front_with_edges")
    return np.where(family == FAMILIES.index("slanted"), names, flat)


def _views(found: Found, grounds: Sequence[Ground], table: ShapeTable) -> tuple[View, ...]:
    kinds = kinds_of(found.boxes)
    is_box = 1 / (1 + float(np.exp((DOUBT_SCORE - found.best) / DOUBT_SPREAD)))
    by_kind = {
        k: is_box * box_weights().confidence(float(found.chance[kinds == k].sum())) for k in np.unique(kinds)
    }
    kept = _distinct(found, kinds)
    best, index = found.boxes.take(kept), found.ground[kept]
    best = _settled(best, index, grounds, table)
    turn, name_chance = _turns(best, index, grounds, table)
    named = names_of(best)
    views: list[View] = []
    spreads = _spreads(found, kept)
    for n, i in enumerate(kept):
        view = _geometry(str(kinds[i]), named[turn[n]], n, grounds[0])
        seen = dict(zip(EVIDENCE, found.evidence[i].tolist(), strict=True))
        views.append(
            replace(
                view,
                confidence=by_kind[view.kind],
                uncertainty_px=spreads[n],
                why=why_of(view.kind, seen, TURNS[turn[n]], float(name_chance[n]), is_box),
                score=float(found.chance[i]),
            )
        )
    return tuple(views)


def _settled(boxes: Boxes, index: NDArray[np.int64], grounds: Sequence[Ground], table: ShapeTable) -> Boxes:
    """The boxes in the middle of the places that the pixels allow."""
    apex = boxes.apex.copy()
    for i, ground in enumerate(grounds):
        mine = np.flatnonzero(index == i)
        if len(mine):

            def score(copies: Boxes, ground: Ground = ground) -> Floats:
                return weighed(copies, ground, table)[1]

            apex[mine] = settled(boxes.take(mine), score).apex
    return replace(boxes, apex=apex)


def _distinct(found: Found, kinds: NDArray[np.str_]) -> NDArray[np.int64]:
    """The best boxes that a maker would tell apart, best first."""
    corners = np.sort(found.boxes.cover_corners().reshape(-1, 8), axis=1)
    kept: list[int] = []
    for i in range(min(len(kinds), LOOKED_AT)):
        same = [
            kinds[i] == kinds[k]
            and np.abs(corners[i] - corners[k]).max() <= DISTINCT_PX
            and np.abs(found.boxes.t[i] - found.boxes.t[k]).max() <= DISTINCT_PX
            for k in kept
        ]
        if not any(same):
            kept.append(i)
        if len(kept) == VIEWS_KEPT:
            break
    return np.array(kept, int)


def _turns(
    boxes: Boxes, index: NDArray[np.int64], grounds: Sequence[Ground], table: ShapeTable
) -> tuple[NDArray[np.int64], Floats]:
    """The likeliest naming of each box and its chance."""
    score = np.zeros((len(boxes), len(TURNS)))
    for i, ground in enumerate(grounds):
        mine = index == i
        if not mine.any():
            continue
        part = boxes.take(mine)
        looks = side_looks(sums_of(part, ground))
        score[mine] = naming_weights().score(naming_evidence(part, ground, looks, table))
    share = np.exp(score - score.max(axis=1, keepdims=True))
    share /= share.sum(axis=1, keepdims=True)
    turn = share.argmax(axis=1)
    return turn, share[np.arange(len(turn)), turn]


def _geometry(kind: str, name: Named, i: int, ground: Ground) -> View:
    """Where the box lies on the sprite; of two flat strips the one along the height comes first."""
    t, more = name.t[i], name.more[i]
    has_more = bool(np.abs(more).sum() > 0)
    # A strip along the height is as broad as its part across the height.
    if has_more and abs(cross(t, name.v[i])) < abs(cross(more, name.v[i])) * FLAT_SHARE:
        t, more = more, t
    return View(
        kind=kind,
        confidence=0.0,
        origin_px=_pair(name.origin[i] + ground.shift),
        width_px=_pair(name.u[i]),
        height_px=_pair(name.v[i]),
        thickness_px=None if kind == "front" else _pair(t),
        strip_px=_pair(more) if has_more else None,
    )


def _pair(vector: Floats) -> tuple[float, float]:
    return round(float(vector[0]), 3) + 0.0, round(float(vector[1]), 3) + 0.0


def _spreads(found: Found, kept: NDArray[np.int64]) -> list[float]:
    """Spread of the corners over all boxes near each of the kept ones, per coordinate."""
    corners = found.boxes.cover_corners()
    middle = corners.mean(axis=1)
    out = []
    for i in kept:
        # Corners that lie near on the mean have middles as near, whatever the order round.
        some = np.flatnonzero(np.abs(middle - middle[i]).max(axis=1) < 2 * NEAR_PX)
        part = corners[some]
        gap = np.stack(
            [
                np.abs(part - np.roll(corners[i, ::way], turn, axis=0)).mean(axis=(1, 2))
                for turn in range(4)
                for way in (1, -1)
            ]
        ).min(axis=0)
        near = gap < NEAR_PX
        weight = found.chance[some[near]] / found.chance[some[near]].sum()
        spread = float(np.sqrt((weight * gap[near] ** 2).sum()))
        out.append(round(float(np.hypot(spread, LEAST_UNCERTAINTY_PX)), 2))
    return out
