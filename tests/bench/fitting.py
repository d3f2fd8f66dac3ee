"""The fit behind ``fit_features.py``: weights of patches by themselves, ties between them, calibration."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.optimize import isotonic_regression, minimize

from pixel2make.kinds.book.evidence import GROUPS, WHOLE, Evidence
from pixel2make.kinds.book.features import BARRED, GIVEN, LEAST_TIE, NEEDS, TIED, UNHEARD_OF, WORDS, lacking

__all__ = [
    "Problem",
    "Sample",
    "calibration",
    "calls",
    "fit_more",
    "fit_own",
    "fit_ties",
    "mean_field",
]

PENALTY, TIE_PENALTY = 20.0, 40.0
"""Chosen by the drawings of the left-out styles; twice or half of them moves the figures little."""
MOST_TIE = 3.0
"""A tie weighs at most as much as odds of twenty to one."""
WHOLE_PENALTY = 2.0
"""Measures of the whole repeat those of the patch; they are held down so many times harder."""
TIE_ROUNDS = 3
OPTIONS = {"maxiter": 80, "maxcor": 20}
RARE = 0.0008
"""A word with a smaller share of a group's pixels is unheard of there."""
KNOTS = np.array([0.0, 0.35, 0.5, 0.6, 0.7, 0.8, 0.88, 0.94, 0.97, 0.985, 0.995, 1.0])

RULED = {*NEEDS.values(), BARRED["cover", "clasp"], *(fact for fact, _ in GIVEN.values())}
"""Facts that the reading weighs by rule, not by the fit."""

Array = NDArray[np.float64]
K = len(WORDS)


@dataclass(eq=False)
class Sample:
    """Evidence of one drawing and what its patches truly are."""

    style: str
    evidence: Evidence
    truth: Array
    pixels: Array


class Problem:
    """All samples stacked: one row a patch."""

    def __init__(self, samples: Sequence[Sample]) -> None:
        self.names = tuple(name for name in samples[0].evidence.values if name not in RULED)
        self.ties = tuple(samples[0].evidence.links)
        self.x = np.concatenate([np.stack([s.evidence.values[n] for n in self.names], 1) for s in samples])
        self.y = np.concatenate([s.truth for s in samples])
        self.pixels = np.concatenate([s.pixels for s in samples])
        self.group = np.concatenate([s.evidence.group for s in samples])
        self.lack = np.concatenate([lacking(s.evidence) for s in samples])
        self.links = [
            sparse.block_diag([s.evidence.links[t] for s in samples], format="csr") for t in self.ties
        ]
        self.turned = [link.T.tocsr() for link in self.links]
        self.at = [np.flatnonzero(self.group == g) for g in range(len(GROUPS))]

    def heard_of(self) -> NDArray[np.bool_]:
        """(groups, K): words that a group shows."""
        out = np.zeros((len(GROUPS), K), bool)
        for g, at in enumerate(self.at):
            area = (self.y[at] * self.pixels[at, None]).sum(0)
            out[g] = area / max(1.0, area.sum()) > RARE
        return out

    def scores(self, own: Array, heard: NDArray[np.bool_]) -> Array:
        """Log scores (N, K) of the patches by themselves."""
        out = np.where(heard, 0.0, UNHEARD_OF)[self.group] - self.lack
        for g, at in enumerate(self.at):
            out[at] += self.x[at] @ own[g]
        return out

    def near(self, beliefs: Array) -> list[tuple[Array, Array]]:
        """What each patch is tied to, as believed: a pair of (N, K) a tie."""
        return [
            (link @ beliefs, turned @ beliefs) for link, turned in zip(self.links, self.turned, strict=True)
        ]


def soft(scores: Array) -> Array:
    """Probabilities of log scores."""
    e = np.exp(scores - scores.max(1, keepdims=True))
    return e / e.sum(1, keepdims=True)


def misfit(scores: Array, truth: Array, weight: Array) -> tuple[float, Array]:
    """Cross-entropy and its slope by the scores."""
    top = scores.max(1, keepdims=True)
    norm = np.log(np.exp(scores - top).sum(1, keepdims=True)) + top
    value = float((weight * (norm[:, 0] - (truth * scores).sum(1))).sum())
    return value, weight[:, None] * (np.exp(scores - norm) - truth)


def fit_own(p: Problem) -> tuple[Array, NDArray[np.bool_]]:
    """Weights (groups, E, K) of the patches by themselves, and the words heard of."""
    heard = p.heard_of()
    shape = (len(GROUPS), p.x.shape[1], K)
    hold = PENALTY * np.array([WHOLE_PENALTY if n.startswith(WHOLE) else 1.0 for n in p.names])[None, :, None]

    def loss(z: Array) -> tuple[float, Array]:
        own = z.reshape(shape)
        value, slope = misfit(p.scores(own, heard), p.y, np.sqrt(p.pixels))
        grad = hold * own
        for g, at in enumerate(p.at):
            grad[g] += p.x[at].T @ slope[at]
        grad = np.where(heard[:, None, :], grad, 0.0)
        return value + 0.5 * float((hold * own**2).sum()), grad.ravel()

    found = minimize(loss, np.zeros(shape).ravel(), jac=True, method="L-BFGS-B", options=OPTIONS)
    return found.x.reshape(shape), heard


def fit_more(p: Problem, scores: Array, word: int, fresh: Sequence[str]) -> Array:
    """Weights (groups, F) of fresh evidence for one word, on top of scores that stay as they are."""
    x = p.x[:, [p.names.index(name) for name in fresh]]
    shape = (len(GROUPS), len(fresh))

    def loss(z: Array) -> tuple[float, Array]:
        more = z.reshape(shape)
        moved = scores.copy()
        moved[:, word] += (x * more[p.group]).sum(1)
        value, slope = misfit(moved, p.y, np.sqrt(p.pixels))
        grad = PENALTY * more
        for g, at in enumerate(p.at):
            grad[g] += x[at].T @ slope[at, word]
        return value + 0.5 * PENALTY * float((more**2).sum()), grad.ravel()

    found = minimize(loss, np.zeros(shape).ravel(), jac=True, method="L-BFGS-B", options=OPTIONS)
    return found.x.reshape(shape)


def tie_pairs(names: Sequence[str]) -> list[tuple[int, int, int]]:
    """(tie, word, word) of every weight that `TIED` allows."""
    return [
        (i, WORDS.index(one), WORDS.index(two)) for i, name in enumerate(names) for one, two in TIED[name]
    ]


def tables_of(values: Array, pairs: Sequence[tuple[int, int, int]], count: int) -> Array:
    """Symmetric tables (R, K, K)."""
    out = np.zeros((count, K, K))
    for value, (i, one, two) in zip(values, pairs, strict=True):
        out[i, one, two] = out[i, two, one] = value
    return out


def pulled(scores: Array, near: Sequence[tuple[Array, Array]], tables: Array) -> Array:
    """Scores with what the ties add."""
    return scores + sum(a @ table.T + b @ table for (a, b), table in zip(near, tables, strict=True))


def mean_field(p: Problem, scores: Array, tables: Array) -> Array:
    """What `pixel2make.reading.assign.marginals` makes of each drawing, all at once."""
    beliefs = soft(scores)
    for _ in range(12):
        beliefs = 0.5 * beliefs + 0.5 * soft(pulled(scores, p.near(beliefs), tables))
    return beliefs


def fit_ties(judged: Sequence[tuple[Problem, Array]]) -> Array:
    """Tables (R, K, K) for scores that were made without knowing the drawings."""
    names = judged[0][0].ties
    pairs = tie_pairs(names)
    values = np.array([LEAST_TIE.get((names[i], WORDS[one]), 0.0) for i, one, _ in pairs])
    bounds = [(low, MOST_TIE) for low in values.tolist()]
    for _ in range(TIE_ROUNDS):
        tables = tables_of(values, pairs, len(names))
        near = [p.near(mean_field(p, scores, tables)) for p, scores in judged]

        def loss(z: Array, near: list[list[tuple[Array, Array]]] = near) -> tuple[float, Array]:
            tables = tables_of(z, pairs, len(names))
            total, grad = 0.5 * TIE_PENALTY * float(z @ z), TIE_PENALTY * z
            for (p, scores), some in zip(judged, near, strict=True):
                value, slope = misfit(pulled(scores, some, tables), p.y, p.pixels)
                total += value
                by_table = np.array([slope.T @ a + b.T @ slope for a, b in some])
                grad = grad + [
                    by_table[i, one, two] + (by_table[i, two, one] if one != two else 0.0)
                    for i, one, two in pairs
                ]
            return total, grad

        values = minimize(loss, values, jac=True, method="L-BFGS-B", bounds=bounds, options=OPTIONS).x
    return tables_of(values, pairs, len(names))


def calls(problem: Problem, beliefs: Array) -> tuple[Array, Array, Array]:
    """(said, share right, pixels) a patch."""
    best = beliefs.argmax(1)
    rows = np.arange(len(best))
    return beliefs[rows, best], problem.y[rows, best], problem.pixels


def calibration(said: Array, right: Array, pixels: Array) -> Array:
    """(probability, share right) at `KNOTS`; a patch counts by the root of its size, as in the fit."""
    order = np.argsort(said)
    risen = isotonic_regression(right[order], weights=np.sqrt(pixels)[order]).x
    value = np.interp(KNOTS, said[order], risen)
    smooth = np.maximum.accumulate(np.clip(value, 0.02, 0.995))
    return np.stack([KNOTS, smooth], 1)
