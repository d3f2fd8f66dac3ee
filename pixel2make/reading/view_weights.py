"""How much each piece of evidence weighs; the numbers stand in ``view_weights.json``.

The weights are those of a conditional logit model: of all boxes that fit a sprite's outline, the chance
of one is proportional to exp(score). They were fitted by likelihood on drawn books of known truth, the
tuning styles only.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

__all__ = ["NamingWeights", "Weights", "box_weights", "naming_weights"]

Floats = NDArray[np.float64]

CLIP = 4.0
"""Evidence further from the usual than this many spreads tells no more."""


@dataclass(frozen=True, eq=False)
class Weights:
    """A score that is linear in clipped evidence, family by family, and bends by a few soft units.

    Attributes
    ----------
    names : tuple of str
        Of the evidence.
    middle, spread : ndarray of shape (E,)
    linear : ndarray of shape (families, E + families)
    inner : ndarray of shape (E + families + 1, units)
        Last row the offsets.
    outer : ndarray of shape (units,)
    sure : (slope, offset)
        From the log odds that the scores give a view kind to those that it is right, as seen on drawings
        in styles that the fit left out.
    """

    names: tuple[str, ...]
    middle: Floats
    spread: Floats
    linear: Floats
    inner: Floats
    outer: Floats
    sure: tuple[float, float] = (1.0, 0.0)

    def confidence(self, chance: float) -> float:
        """How sure a view kind is whose boxes have this share of all chances."""
        odds = np.log(max(chance, 1e-9)) - np.log(max(1 - chance, 1e-9))
        return float(1 / (1 + np.exp(-np.clip(self.sure[0] * odds + self.sure[1], -30, 30))))

    def score(self, evidence: Floats, family: NDArray[np.int64]) -> Floats:
        """Score of each row of evidence (K, E), higher is better."""
        usual = np.clip((evidence - self.middle) / self.spread, -CLIP, CLIP)
        table = np.concatenate([usual, np.eye(len(self.linear))[family]], axis=1)
        bent = np.tanh(table @ self.inner[:-1] + self.inner[-1]) @ self.outer
        return np.asarray((table * self.linear[family]).sum(axis=1) + bent)


@cache
def box_weights() -> Weights:
    """The weights of the evidence for drawn boxes."""
    table = json.loads((files(__package__) / "view_weights.json").read_text("utf-8"))
    arrays = (np.array(table[key], float) for key in ("middle", "spread", "linear", "inner", "outer"))
    middle, spread, linear, inner, outer = arrays
    slope, offset = table["sure"]
    return Weights(tuple(table["names"]), middle, spread, linear, inner, outer, (slope, offset))


@dataclass(frozen=True, eq=False)
class NamingWeights:
    """A score that is linear in the evidence."""

    names: tuple[str, ...]
    linear: Floats

    def score(self, evidence: Floats) -> Floats:
        """Score of each naming, shape (K, 8), of evidence (K, 8, E + 1); the last column rules out."""
        return np.asarray(evidence[..., :-1] @ self.linear + IMPOSSIBLE * evidence[..., -1])


IMPOSSIBLE = -60.0
"""Score of a naming that no book has, such as strips at head and tail at once."""


@cache
def naming_weights() -> NamingWeights:
    """The weights of the evidence for namings."""
    table = json.loads((files(__package__) / "view_weights.json").read_text("utf-8"))
    return NamingWeights(tuple(table["naming_names"]), np.array(table["naming"], float))
