"""RegionMap to View: the drawn box that explains the sprite, by analysis by synthesis.

Outlines that fit the object are proposed (`view_outline`), every way to see a box in them is weighed
(`view_inner`), and the edges of the best boxes are named (`view_naming`).
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import ReadingError
from pixel2make.reading.box import Boxes
from pixel2make.reading.model import View
from pixel2make.reading.projection import ShapePrior, is_upright_pair, solve_many
from pixel2make.reading.view_ground import Ground, ground_of
from pixel2make.reading.view_inner import EVIDENCE, boxes_in, evidence_of
from pixel2make.reading.view_naming import NAMING, TURNS, naming_evidence, names_of
from pixel2make.reading.view_outline import find_outlines
from pixel2make.reading.view_weights import EVIDENCE_WEIGHTS
from pixel2make.regions.model import RegionMap

__all__ = ["find_views"]

Floats = NDArray[np.float64]

VIEWS_KEPT = 6
NAMED_BOXES = 24
"""Best boxes whose edges are named; the rest cannot win any more."""
DISTINCT_PX = 1.0
"""Views whose corners all lie closer than this are the same view to a maker."""
LEAST_UNCERTAINTY_PX = 0.29
"""One end known to its pixel: 1/sqrt(12) px, JCGM 100:2008 (GUM), uniform distribution."""


def find_views(regions: RegionMap, prior: ShapePrior | None = None) -> tuple[View, ...]:
    """Drawn boxes that explain the sprite, best first.

    Parameters
    ----------
    regions : RegionMap
    prior : ShapePrior, optional
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
    hexagons, flats = find_outlines(ground.body)
    boxes = boxes_in(hexagons, flats)
    if not len(boxes):
        raise ReadingError(
            f"the object is {ground.area} px, too small to show a box; give a sprite of 10 px or more"
        )
    evidence = evidence_of(boxes, ground)
    score = evidence @ np.array([EVIDENCE_WEIGHTS[name] for name in EVIDENCE])
    order = np.argsort(-score, kind="stable")
    chance = np.exp(score[order] - score[order[0]])
    chance /= chance.sum()
    kinds = kinds_of(boxes.take(order))
    best = order[:NAMED_BOXES]
    return _named_views(boxes.take(best), evidence[best], chance, kinds, ground)


def kinds_of(boxes: Boxes) -> NDArray[np.str_]:
    """View kind of each box, shape (K,)."""
    p, q, t = boxes.p, boxes.q, boxes.t
    none = np.hypot(*t.T) == 0

    def parallel(one: Floats, two: Floats) -> NDArray[np.bool_]:
        area = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        return np.asarray(np.abs(area) <= 1e-6 * np.hypot(*one.T) * np.hypot(*two.T))

    strips = ~none & (boxes.is_filled | parallel(p, t) | parallel(q, t))
    true_face = is_upright_pair(p, q) | is_upright_pair(p, t) | is_upright_pair(q, t)
    orthographic = ~np.isnan(solve_many(p, q, t)).any(axis=1) & ~true_face
    names = np.where(orthographic, "axonometric", "oblique")
    return np.where(none, "front", np.where(strips, "front_with_edges", names))


def _named_views(
    boxes: Boxes, evidence: Floats, chance: Floats, kinds: NDArray[np.str_], ground: Ground
) -> tuple[View, ...]:
    column = {name: evidence[:, i] for i, name in enumerate(EVIDENCE)}
    sides = {
        name: np.stack([column[f"{name}_p"], column[f"{name}_q"]], axis=1)
        for name in ("paper", "alike", "seen")
    }
    naming = naming_evidence(boxes, sides["paper"], sides["alike"], sides["seen"] > 0.5)
    naming = naming @ np.array([NAMING[name] for name in NAMING])
    shares = np.exp(naming - naming.max(axis=1, keepdims=True))
    shares /= shares.sum(axis=1, keepdims=True)
    views: list[View] = []
    named = names_of(boxes)
    by_kind: Mapping[str, float] = {k: float(chance[kinds == k].sum()) for k in np.unique(kinds)}
    uncertainty = _uncertainty(boxes, chance[: len(boxes)])
    for i in range(len(boxes)):
        turn = int(shares[i].argmax())
        name = named[turn]
        origin = name.origin[i] + ground.shift
        thickness = None if kinds[i] == "front" else _pair(name.t[i])
        view = View(
            kind=str(kinds[i]),
            confidence=by_kind[str(kinds[i])],
            origin_px=_pair(origin),
            width_px=_pair(name.u[i]),
            height_px=_pair(name.v[i]),
            thickness_px=thickness,
            uncertainty_px=uncertainty,
            why=_why(str(kinds[i]), {k: float(v[i]) for k, v in column.items()}, TURNS[turn]),
            score=float(chance[i]),
        )
        if all(_differs(view, other) for other in views):
            views.append(view)
        if len(views) == VIEWS_KEPT:
            break
    return tuple(views)


def _pair(vector: Floats) -> tuple[float, float]:
    return round(float(vector[0]), 3) + 0.0, round(float(vector[1]), 3) + 0.0


def _differs(one: View, two: View) -> bool:
    a, b = np.array(one.cover_corners_px), np.array(two.cover_corners_px)
    t1, t2 = (np.array(v.thickness_px or (0.0, 0.0)) for v in (one, two))
    return (
        one.kind != two.kind
        or float(np.abs(a - b).max()) > DISTINCT_PX
        or float(np.abs(t1 - t2).max()) > DISTINCT_PX
    )


def _uncertainty(boxes: Boxes, chance: Floats) -> float:
    """Spread of the corners over all boxes that stay close to the best one, per coordinate."""
    corners = boxes.cover_corners()
    gap = np.stack(
        [
            np.abs(np.roll(corners[:, ::way], turn, axis=1) - corners[:1]).mean(axis=(1, 2))
            for turn in range(4)
            for way in (1, -1)
        ]
    ).min(axis=0)
    near = gap < 2.0
    weight = chance[near] / chance[near].sum()
    spread = float(np.sqrt((weight * gap[near] ** 2).sum()))
    return round(float(np.hypot(spread, LEAST_UNCERTAINTY_PX)), 2)


def _why(kind: str, seen: Mapping[str, float], turn: tuple[bool, bool, bool]) -> tuple[str, ...]:
    fits = (
        "The box and the object's outline agree"
        if seen["missing"] + seen["excess"] < 0.3
        else "The box follows the object's outline only roughly"
    )
    out = [f"{fits}."]
    if kind == "front":
        out.append("No side face is told apart from the cover.")
        return tuple(out)
    swap, fore, tail = turn
    lateral, end = ("q", "p") if swap else ("p", "q")
    if seen[f"seen_{lateral}"] > 0.5:
        look = seen[f"paper_{lateral}"] > 0.1
        word = "fore-edge" if fore else "spine"
        out.append(
            f"The side along the height is taken for the {word}: it {'looks' if look else 'does not look'} like paper."
        )
    if seen[f"seen_{end}"] > 0.5:
        out.append(f"The side along the width shows the {'tail' if tail else 'head'}.")
    return tuple(out)
