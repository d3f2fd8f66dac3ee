"""From drawn edges to the true proportions of the box behind them.

Drawn edges as complex numbers u, v, t of a box W x H x T seen in orthographic projection obey Gauss's
fundamental theorem of axonometry, (u/W)^2 + (v/H)^2 + (t/T)^2 = 0: two real equations, linear in 1/W^2,
1/H^2, 1/T^2, that give W : H : T. Drawings with one true face follow ISO 5456-3 instead.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Proportions, View

__all__ = [
    "ShapePrior",
    "is_right_pair",
    "proportions",
    "scale_factors",
    "solve_axonometry",
    "solve_many",
]

Floats = NDArray[np.float64]
Vector = Sequence[float]

SOLVABLE = 1e-6
"""A weight 1/W^2 below this share of the largest means that the edge would be endlessly long."""

RIGHT_COSINE = 1e-3
"""Below this the cosine between two drawn edges counts as none."""

CABINET = 0.5
"""Factor of the receding edges, ISO 5456-3:1996, cabinet axonometry."""


class ShapePrior(Protocol):
    """What bound objects of a kind look like; the kind supplies it."""

    @property
    def source(self) -> str:
        """Where the numbers stand, with their label."""

    def log_density(self, w_over_h: float, t_over_h: float | None) -> float:
        """Log density of width over height and thickness over height; None where none is drawn."""


def solve_many(u: Floats, v: Floats, t: Floats) -> Floats:
    """True width : height : thickness, height 1, of many orthographic drawings.

    Parameters
    ----------
    u, v, t : ndarray of shape (..., 2)
        Drawn edges.

    Returns
    -------
    ndarray of shape (..., 3)
        nan where no box draws like this.
    """
    squares = [np.stack([e[..., 0] ** 2 - e[..., 1] ** 2, 2 * e[..., 0] * e[..., 1]], -1) for e in (u, v, t)]

    def area(i: int, j: int) -> Floats:
        a, b = squares[i], squares[j]
        return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])

    weights = np.stack([area(1, 2), area(2, 0), area(0, 1)], axis=-1)
    largest = np.take_along_axis(weights, np.abs(weights).argmax(-1)[..., None], -1)
    weights = weights * np.sign(largest)
    good = (weights > SOLVABLE * np.abs(largest)).all(-1) & (np.abs(largest[..., 0]) > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        lengths = 1 / np.sqrt(np.where(good[..., None], weights, np.nan))
    return np.asarray(lengths / lengths[..., 1:2])


def solve_axonometry(u: Vector, v: Vector, t: Vector) -> tuple[float, float, float] | None:
    """True width, height, thickness behind an orthographic drawing, height 1.

    Parameters
    ----------
    u, v, t : (dx, dy)
        Drawn edges in any unit; signs do not matter.

    Returns
    -------
    (W, H, T) or None
        H = 1. None where no box draws like this: two edges parallel, two at a right angle, or all
        within a right angle.

    Examples
    --------
    >>> solve_axonometry((16, 8), (-16, 8), (0, 6 ** 0.5 * 8))
    (1.0, 1.0, 1.0)
    """
    out = solve_many(*(np.array([e], float) for e in (u, v, t)))[0]
    return None if np.isnan(out).any() else (float(out[0]), 1.0, float(out[2]))


def scale_factors(u: Vector, v: Vector, t: Vector) -> tuple[float, float, float] | None:
    """How much an orthographic drawing shortens width, height and thickness; None where there is none.

    Their squares add up to 2.
    """
    shape = solve_axonometry(u, v, t)
    if shape is None:
        return None
    drawn = [math.hypot(*e) / n for e, n in zip((u, v, t), shape, strict=True)]
    unit = float(np.sqrt(2 / sum(d * d for d in drawn)))
    return drawn[0] * unit, drawn[1] * unit, drawn[2] * unit


def is_right_pair(one: Floats, two: Floats) -> NDArray[np.bool_]:
    """True where two edges, (..., 2) each, are drawn at a right angle: their face is drawn true."""
    size = np.hypot(one[..., 0], one[..., 1]) * np.hypot(two[..., 0], two[..., 1])
    return np.asarray((np.abs((one * two).sum(-1)) <= RIGHT_COSINE * size) & (size > 0))


@dataclass(frozen=True)
class _Rule:
    """One way to read the drawn lengths: factors by which width, height, thickness are drawn short."""

    name: str
    factors: tuple[float, float, float] | None
    why: str
    source: str
    base: float


def _receding(view: View) -> int | None:
    """Which edge goes back in an oblique drawing: 0 width, 1 height, 2 thickness; None where unclear."""
    edges = [np.array(e, float) for e in (view.width_px, view.height_px, view.thickness_px or (0.0, 0.0))]
    for back, (i, j) in ((2, (0, 1)), (0, (1, 2)), (1, (0, 2))):
        if bool(is_right_pair(edges[i], edges[j])):
            return back
    return None


WORDS = ("width", "height", "thickness")

SECOND_CHOICE, THIRD_CHOICE = 0.15, 0.08
"""How often artists leave projection aside (taken as drawn, or counted in pixels): estimates."""


def _rules(view: View) -> list[_Rule]:
    if view.kind in ("front", "front_with_edges"):
        why = "The cover faces the viewer, so its drawn lengths are true."
        return [_Rule("as_drawn", (1.0, 1.0, 1.0), why, "sprite, lengths as drawn", 1.0)]
    counted = _Rule(
        "counted",
        (1.0, 1.0, 1.0),
        "Pixels are counted along each edge, a diagonal step as one.",
        "sprite, pixels counted along the edges (common practice)",
        THIRD_CHOICE,
    )
    back = _receding(view)
    if back is None:
        why = "The three drawn edges fix the proportions of a box seen from afar."
        source = "sprite, Gauss's fundamental theorem of axonometry"
        gauss = _Rule("orthographic", None, why, source, 1.0)
        why = "All drawn lengths are taken as they are."
        plain = _Rule("as_drawn", (1.0, 1.0, 1.0), why, "sprite, lengths as drawn", SECOND_CHOICE)
        return [gauss, plain, counted]
    factors = [CABINET if i == back else 1.0 for i in range(3)]
    lead = f"One face is drawn true; the {WORDS[back]} goes back at a slant and is drawn"
    half = _Rule(
        "cabinet",
        (factors[0], factors[1], factors[2]),
        f"{lead} half as long as it is.",
        "sprite, ISO 5456-3:1996, cabinet",
        1.0,
    )
    full = _Rule(
        "cavalier", (1.0, 1.0, 1.0), f"{lead} full length.", "sprite, ISO 5456-3:1996, cavalier", 1.0
    )
    return [half, full, counted]


SAMPLES = 256
"""Moved copies of the drawing that carry the pixel uncertainty; quantiles settle to about 1 %."""

TAIL_SHARE = 0.025
"""Share left out at either end of an interval: 95 % stay, more than the promised 90 %."""

FREE_ENDS_PX = 1.0
"""A flat length read as n px lies between n - 1 and n + 1: both ends free, common practice."""


def _moves() -> Floats:
    """Evenly spread moves (SAMPLES, 4, 2) of the four ends, standard deviation 1, the same every time."""
    # Additive recurrence in 8 dimensions; base is the root of x^9 = x + 1, so points fill the cube evenly.
    base = 1.0
    for _ in range(60):
        base = (1 + base) ** (1 / 9)
    steps = base ** -np.arange(1, 9)
    unit = (0.5 + np.outer(np.arange(1, SAMPLES + 1), steps)) % 1.0
    # A uniform spread has the pixel grid's own shape.
    return np.asarray((unit * 2 - 1) * np.sqrt(3.0)).reshape(SAMPLES, 4, 2)


@dataclass(frozen=True, eq=False)
class _Cloud:
    """Proportions of the drawing and of its moved copies under one rule."""

    rule: _Rule
    middle: Floats
    samples: Floats
    weights: Floats


def proportions(view: View, prior: ShapePrior) -> tuple[Proportions, ...]:
    """True proportions behind a view, best first, with what else they could be.

    Parameters
    ----------
    view : View
        Its `uncertainty_px` is carried through to the intervals.
    prior : ShapePrior
        Weighs the alternatives by what such objects look like.

    Returns
    -------
    tuple of Proportions
        At least one; weights add up to 1. Intervals hold 95 % of what the pixels allow; those of the
        first also hold other alternatives as far as their weights reach.
    """
    u, v = (np.array(e, float) for e in (view.width_px, view.height_px))
    t = _thickness(view)
    clouds = [
        c for rule in _rules(view) if (c := _cloud(rule, u, v, t, view.uncertainty_px, prior)) is not None
    ]
    total = np.array([c.rule.base * float(c.weights.mean()) for c in clouds])
    share = total / total.sum() if total.sum() > 0 else np.full(len(clouds), 1 / len(clouds))
    order = sorted(range(len(clouds)), key=lambda i: (-round(float(share[i]), 9), clouds[i].rule.name))
    flat = view.kind in ("front", "front_with_edges")
    out = []
    for rank, i in enumerate(order):
        cloud = clouds[i]
        parts = [(clouds[j], share[j]) for j in order] if rank == 0 else [(cloud, 1.0)]
        low, high = _bounds(parts)
        if flat:
            wide_low, wide_high = _free_ends(u, v, t)
            low, high = np.minimum(low, wide_low), np.maximum(high, wide_high)
        low, high = np.minimum(low, cloud.middle), np.maximum(high, cloud.middle)
        why = f"{cloud.rule.why} {_likely(float(share[i]), prior)}"
        out.append(
            Proportions(
                cloud.rule.name,
                _triple(cloud.middle),
                _triple(low),
                _triple(high),
                round(float(share[i]), 6),
                why,
                cloud.rule.source,
            )
        )
    return tuple(out)


def _thickness(view: View) -> Floats:
    """The drawn thickness; of two flat strips, which show the same thickness, the mean."""
    t = np.array(view.thickness_px or (0.0, 0.0), float)
    if view.strip_px is None or not t.any():
        return t
    one, two = float(np.hypot(*t)), float(np.hypot(*view.strip_px))
    return np.asarray(t * (one + two) / 2 / one)


def _triple(pair: Floats) -> tuple[float, float, float]:
    return round(float(pair[0]), 6), 1.0, round(float(pair[1]), 6)


def _likely(share: float, prior: ShapePrior) -> str:
    word = "likely" if share > 0.6 else "possible" if share > 0.2 else "unlikely"
    return f"Against the usual shape ({prior.source}) that is {word}."


def _cloud(rule: _Rule, u: Floats, v: Floats, t: Floats, sigma: float, prior: ShapePrior) -> _Cloud | None:
    middle = _shape_by(rule, u[None], v[None], t[None])[0]
    moves = _moves() * sigma
    away = [moves[:, i] - moves[:, 3] for i in range(3)]
    has_t = bool(np.hypot(*t) > 0)
    samples = _shape_by(rule, u + away[0], v + away[1], t + away[2] if has_t else np.zeros_like(away[2]))
    samples = samples[~np.isnan(samples).any(axis=1)]
    if np.isnan(middle).any() or not len(samples):
        return None
    density = np.array(
        [prior.log_density(float(w), float(d) or None) for w, d in samples[:: max(1, len(samples) // 64)]]
    )
    return _Cloud(rule, middle, samples, np.exp(density) * (len(samples) / SAMPLES))


def _shape_by(rule: _Rule, u: Floats, v: Floats, t: Floats) -> Floats:
    """(W/H, T/H) of many drawings, shape (K, 2), nan where the rule has none."""
    if rule.factors is None:
        return solve_many(u, v, t)[:, [0, 2]]
    w, h, d = (_length(rule, e) / f for e, f in zip((u, v, t), rule.factors, strict=True))
    return np.stack([w / np.maximum(h, 1e-9), d / np.maximum(h, 1e-9)], axis=1)


def _length(rule: _Rule, edge: Floats) -> Floats:
    return np.asarray(
        np.abs(edge).max(axis=-1) if rule.name == "counted" else np.hypot(edge[:, 0], edge[:, 1])
    )


def _bounds(parts: Sequence[tuple[_Cloud, float]]) -> tuple[Floats, Floats]:
    values = np.concatenate([cloud.samples for cloud, _ in parts])
    weights = np.concatenate(
        [np.full(len(cloud.samples), share / len(cloud.samples)) for cloud, share in parts]
    )
    low, high = [], []
    for column in values.T:
        order = np.argsort(column, kind="stable")
        reach = np.cumsum(weights[order]) / weights.sum()
        low.append(column[order][np.searchsorted(reach, TAIL_SHARE)])
        high.append(column[order][min(np.searchsorted(reach, 1 - TAIL_SHARE), len(order) - 1)])
    return np.array(low), np.array(high)


def _free_ends(u: Floats, v: Floats, t: Floats) -> tuple[Floats, Floats]:
    w, h, d = (float(np.hypot(*e)) for e in (u, v, t))
    least, most = max(h - FREE_ENDS_PX, 0.5), h + FREE_ENDS_PX
    has_t = d > 0
    low = [max(w - FREE_ENDS_PX, 0.0) / most, max(d - FREE_ENDS_PX, 0.0) / most if has_t else 0.0]
    high = [(w + FREE_ENDS_PX) / least, (d + FREE_ENDS_PX) / least if has_t else 0.0]
    return np.array(low), np.array(high)
