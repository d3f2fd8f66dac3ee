"""What each patch of a drawn book could be: weighed evidence, ties between patches, and sentences.

The weights stand in ``weights.json``; how they were made stands in its first lines.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.kinds.book.evidence import GROUPS, Evidence, gather
from pixel2make.kinds.book.sentences import TIES, place_sentence, sentence_of
from pixel2make.kinds.book.vocabulary import VOCABULARY
from pixel2make.reading.assign import Judgement, Link, marginals
from pixel2make.reading.patches import Scene

__all__ = ["BARRED", "GIVEN", "LEAST_TIE", "NEEDS", "TIED", "WORDS", "Weights", "judge", "lacking", "weights"]

WORDS: tuple[str, ...] = tuple(word for word in VOCABULARY if word != "background")
"""What a drawn patch may be; the background is told by the sprite stage."""

UNHEARD_OF = -6.0
"""Log score of a word that the drawings never showed in a group, such as a title on the pages: left as
a way out for a tie or a neighbour, but no evidence speaks for it."""

NEEDS: Mapping[tuple[str, str], str] = {
    ("cover", "clasp"): "short, towards the fore-edge",
    ("side", "clasp"): "short, unlike the pages",
    ("side", "strap"): "short along the side",
    ("cover", "corner_piece"): "towards a corner",
    ("cover", "border"): "along an edge or a frame",
    ("cover", "emblem"): "off the rim",
    ("cover", "title_area"): "wide, off the rim",
}
"""What makes a fitting what it is, by (group, word): without it the word costs `LACKING`. Drawings of
known truth show few of the things that could be mistaken for a clasp; this is known without them."""
LACKING = 5.0

BARRED: Mapping[tuple[str, str], str] = {
    ("cover", "clasp"): "no place for a clasp",
    ("cover", "corner_piece"): "from head to tail",
    ("spine", "clasp"): "always",
}
"""What a fitting cannot be, by (group, word): it costs `LACKING` once more. A strip all along the fore-edge
is the pages or a border, even where the drawn box takes it for a part of the cover. On the spine a book is
not fastened: what sits there is a band, a hinge or the end of a strap."""

GIVEN: Mapping[tuple[str, str], tuple[str, float]] = {("cover", "clasp"): ("a strap runs into it", 3.0)}
"""What a fact adds to a word by (group, word), whatever the drawings of the fit show: straps end in clasps.
As odds it is twenty to one, the share of such ends that were clasps in drawings of known truth."""

FITTINGS = ("clasp", "strap", "corner_piece", "emblem", "title_area", "border")

TIED: Mapping[str, tuple[tuple[str, str], ...]] = {
    "touches": (("clasp", "strap"),),
    "a shade beside": tuple((word, word) for word in FITTINGS),
    "inside": tuple((word, word) for word in ("clasp", "strap", "emblem", "title_area")),
    "alike": tuple((word, word) for word in (*FITTINGS, "cover", "page_edge", "spine")),
    "mirrored": tuple((word, word) for word in ("corner_piece", "clasp", "strap", "emblem")),
    "in line, a shade": (("strap", "strap"), ("clasp", "clasp"), ("title_area", "title_area")),
    "in line, unlike": (("strap", "clasp"),),
    "bends over an edge": (("clasp", "clasp"), ("strap", "strap"), ("cover", "spine")),
}
"""Which neighbours speak for each other: a clasp has a strap or a clasp's other half beside it, corner
pieces come in sets. Each tie only ever helps; how much stands in the weights."""

LEAST_TIE: Mapping[tuple[str, str], float] = {
    ("inside", "title_area"): 2.0,
    ("inside", "emblem"): 2.0,
    ("inside", "clasp"): 2.0,
    ("mirrored", "corner_piece"): 1.0,
    ("mirrored", "emblem"): 0.5,
}
"""Ties that hold whatever the drawings show: what lies inside a title's panel, an emblem or a clasp is a
part of it, as lettering, a stone's light or a keyhole is; corner pieces come in sets."""

LEAST_SAID: Mapping[str, float] = {"clasp": 0.85}
"""A clasp is said from this probability on and asked about below it: one that is none costs a maker metal.
By drawings of the tuning styles it makes nine of ten said clasps right, where 74 of 100 drawn ones are said
and not 80."""
HALVES = ("touches", "a shade beside", "bends over an edge")
"""By these ties a sure clasp carries its other half and its shades."""

_MOST_REASONS = 3
_LEAST_REASON = 0.35
"""A piece of evidence is told where it moves the log odds against the next best word by this much."""
_IS_SO = 0.5
"""A measure of at least this is said as a fact."""

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Weights:
    """What each piece of evidence adds to the log score of each word.

    Attributes
    ----------
    evidence : tuple of str
        E names.
    own : ndarray of shape (groups, E, K)
    base : ndarray of shape (groups, K)
        `UNHEARD_OF` where no drawing showed the word in that group, else 0.
    ties : mapping of str to ndarray of shape (K, K)
    said, right : ndarray
        Probability as computed, rising, and the share that was right.
    """

    evidence: tuple[str, ...]
    own: Array
    base: Array
    ties: Mapping[str, Array]
    said: Array
    right: Array

    def values(self, evidence: Evidence) -> Array:
        """Measures of every patch in the order of the names, shape (N, E)."""
        return np.stack([evidence.values[name] for name in self.evidence], axis=1)

    def scores(self, evidence: Evidence) -> Array:
        """Log score of every patch for every word, shape (N, K)."""
        own = np.einsum("ne,nek->nk", self.values(evidence), self.own[evidence.group])
        return np.asarray(own + self.base[evidence.group] - lacking(evidence))

    def links(self, evidence: Evidence) -> tuple[Link, ...]:
        """The ties between patches."""
        return tuple(Link(name, evidence.links[name], table) for name, table in self.ties.items())

    def confidence(self, probability: float) -> float:
        """What a computed probability is worth."""
        return float(np.interp(probability, self.said, self.right))


def lacking(evidence: Evidence) -> Array:
    """What each word loses for each patch by `NEEDS` and `BARRED`, less what `GIVEN` adds, shape (N, K)."""
    out = np.zeros((len(evidence.group), len(WORDS)))
    for (group, word), needed in NEEDS.items():
        at = evidence.group == GROUPS.index(group)
        out[at, WORDS.index(word)] = LACKING * (1 - evidence.values[needed][at])
    for (group, word), barred in BARRED.items():
        at = evidence.group == GROUPS.index(group)
        out[at, WORDS.index(word)] += LACKING * evidence.values[barred][at]
    for (group, word), (fact, gain) in GIVEN.items():
        at = evidence.group == GROUPS.index(group)
        out[at, WORDS.index(word)] -= gain * evidence.values[fact][at]
    return out


def _table(rows: Mapping[str, Mapping[str, float]]) -> Array:
    out = np.zeros((len(WORDS), len(WORDS)))
    for one, row in rows.items():
        for two, value in row.items():
            out[WORDS.index(one), WORDS.index(two)] = value
    return out


@cache
def weights() -> Weights:
    """The weights of ``weights.json``."""
    raw: dict[str, Any] = json.loads((files(__package__) / "weights.json").read_text("utf-8"))
    names = tuple(raw["evidence"])
    own = np.zeros((len(GROUPS), len(names), len(WORDS)))
    base = np.full((len(GROUPS), len(WORDS)), UNHEARD_OF)
    at = {name: i for i, name in enumerate(names)}
    for group, by_word in raw["own"].items():
        for word, by_name in by_word.items():
            base[GROUPS.index(group), WORDS.index(word)] = 0.0
            for name, value in by_name.items():
                own[GROUPS.index(group), at[name], WORDS.index(word)] = value
    ties = {name: _table(rows) for name, rows in raw["ties"].items()}
    said, right = np.array(raw["calibration"], float).T
    return Weights(names, own, base, ties, said, right)


def judge(scene: Scene) -> Judgement:
    """Scores of every patch for every feature, and what ties patches to each other.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Judgement
        Its words are `WORDS`.
    """
    evidence, table = gather(scene), weights()
    scores, links = table.scores(evidence), table.links(evidence)
    beliefs = marginals(scores, links)
    values = table.values(evidence)
    pulls = {name: (evidence.links[name] @ beliefs, evidence.links[name].T @ beliefs) for name in table.ties}

    def reasons(i: int, word: str) -> tuple[str, ...]:
        return _reasons(scene, evidence, table, beliefs, values, pulls, i, word)

    return Judgement(WORDS, scores, links, reasons, table.confidence, LEAST_SAID, HALVES)


Pulls = Mapping[str, tuple[Array, Array]]
"""By tie, what a patch's neighbours are taken for, shape (N, K), and what those are to whom it is one."""


def _reasons(
    scene: Scene,
    evidence: Evidence,
    table: Weights,
    beliefs: Array,
    values: Array,
    pulls: Pulls,
    i: int,
    word: str,
) -> tuple[str, ...]:
    """The facts that speak most for a word against the next best one; first of all the place."""
    own = WORDS.index(word)
    others = np.delete(np.arange(len(WORDS)), own)
    rival = int(others[np.argmax(beliefs[i, others])])
    group = int(evidence.group[i])
    speaks = (table.own[group, :, own] - table.own[group, :, rival]) * values[i]
    facts: list[tuple[float, str]] = []
    for at in np.flatnonzero((values[i] >= _IS_SO) & (speaks >= _LEAST_REASON)):
        sentence = sentence_of(GROUPS[group], table.evidence[at])
        facts += [(float(speaks[at]), sentence)] if sentence else []
    fact, gain = GIVEN.get((GROUPS[group], word), ("", 0.0))
    if fact and evidence.values[fact][i] >= _IS_SO:
        facts.append((gain, sentence_of(GROUPS[group], fact)))
    facts += _tie_facts(table, pulls, i, own, rival)
    best = [sentence for _, sentence in sorted(facts, key=lambda fact: (-fact[0], fact[1]))]
    unique = [s for s in dict.fromkeys(best) if s]
    return (place_sentence(GROUPS[group], scene.patches[i].face), *unique[: _MOST_REASONS - 1])


def _tie_facts(table: Weights, pulls: Pulls, i: int, own: int, rival: int) -> list[tuple[float, str]]:
    """What the neighbours say, by the neighbour word that says most."""
    facts = []
    for name, pull in table.ties.items():
        there = pulls[name]
        lead = (pull[own] - pull[rival]) * there[0][i] + (pull[:, own] - pull[:, rival]) * there[1][i]
        word = WORDS[int(np.argmax(lead))]
        sentence = TIES.get((name, word))
        if sentence and lead.max() >= _LEAST_REASON:
            facts.append((float(lead.max()), sentence))
    return facts
