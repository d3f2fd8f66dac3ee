"""One assignment over all patches: scores of each, and ties between them, decided together.

Each patch gets the feature that is most probable when all patches are taken together, so that as many
pixels as possible are right. The probabilities are those of the mean field: every patch sees its
neighbours as likely as they are, all at once, until nothing moves any more.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Judgement", "Link", "marginals"]

Array = NDArray[np.float64]

_ROUNDS = 12
"""Mean-field rounds; a sprite has tens of patches and settles within ten."""
_DAMPING = 0.5
"""Share of the old value that each round keeps, so that two patches do not swap for ever."""


@dataclass(frozen=True, eq=False)
class Link:
    """One relation between patches.

    Attributes
    ----------
    name : str
    strength : ndarray of shape (N, N)
        How much the relation holds from patch i to patch j, 0..1; 0 on the diagonal.
    table : ndarray of shape (K, K)
        What it adds to the score where i is the row's feature and j the column's.
    """

    name: str
    strength: Array
    table: Array


@dataclass(frozen=True, eq=False)
class Judgement:
    """What a kind of object makes of the patches of one sprite.

    Attributes
    ----------
    words : tuple of str
        The K features that a patch may be.
    scores : ndarray of shape (N, K)
        Log scores of each patch by itself.
    links : tuple of Link
    reasons : callable (patch number, feature) -> tuple of str
        Short sentences of the evidence that speaks for a feature.
    confidence : callable (probability) -> float
        What a marginal is worth; rises with it.
    least : mapping of str to float
        The probability from which on a word is said where it is the likeliest; below it the next best one is.
    carried : tuple of str
        Ties by which a patch that is sure of such a word carries its neighbours: halves of one thing.
    """

    words: tuple[str, ...]
    scores: Array
    links: tuple[Link, ...]
    reasons: Callable[[int, str], tuple[str, ...]]
    confidence: Callable[[float], float]
    least: Mapping[str, float] = field(default_factory=dict)
    carried: tuple[str, ...] = ()

    def taken(self, beliefs: Array) -> NDArray[np.int64]:
        """Number of the word that is said of each patch, from its beliefs (N, K)."""
        kept = beliefs >= np.array([self.least.get(word, 0.0) for word in self.words])
        ties = [link.strength + link.strength.T for link in self.links if link.name in self.carried]
        if ties:
            kept |= (np.sum(ties, axis=0) > 0) @ kept
        # Where a word has no least, all are kept; the ties change nothing there.
        return np.asarray(np.where(kept, beliefs, 0.0).argmax(axis=1))


def _soft(scores: Array) -> Array:
    shifted = np.exp(scores - scores.max(axis=1, keepdims=True))
    return np.asarray(shifted / shifted.sum(axis=1, keepdims=True))


def _pull(links: tuple[Link, ...], beliefs: Array) -> Array:
    """What the ties add to every score where the others are as believed, shape (N, K)."""
    out = np.zeros_like(beliefs)
    for link in links:
        out += link.strength @ beliefs @ link.table.T + link.strength.T @ beliefs @ link.table
    return out


def marginals(scores: Array, links: tuple[Link, ...]) -> Array:
    """Probability of each feature for each patch, all taken together, shape (N, K).

    Parameters
    ----------
    scores : ndarray of shape (N, K)
        Log scores.
    links : tuple of Link

    Returns
    -------
    ndarray of shape (N, K)
        Rows add up to 1. Without ties it is the softmax of the scores.
    """
    beliefs = _soft(scores)
    for _ in range(_ROUNDS):
        beliefs = _DAMPING * beliefs + (1 - _DAMPING) * _soft(scores + _pull(links, beliefs))
    return beliefs
