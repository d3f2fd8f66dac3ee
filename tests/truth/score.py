"""Compare a reading with what is known about the drawing it was made from."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tests.truth.model import FEATURES, Drawn
from tests.truth.projection import Vec, gauss_ratio

if TYPE_CHECKING:
    from pixel2make.reading.model import Proportions, Reading, View
    from pixel2make.sprite.model import Sprite

__all__ = ["Score", "corner_errors", "feature_map", "limit_errors", "ratio_of", "score", "sprite_of"]

PERTURBATIONS = 24
"""Draws of the pixel error a drawing; pooled over hundreds of drawings the median moves by under 2 %."""
LOST = 1.0
"""Relative error where a proportion is missing or the perturbed drawing has no box: all of it."""
MAJORITY = 0.5
"""A patch or a feature counts as right where more than half of its pixels are."""


@dataclass(eq=False)
class Score:
    """How one drawing was read.

    Attributes
    ----------
    drawn : Drawn
    seconds : float
    said_kind, confidence : str, float
        "" and 0 where the reading failed.
    corners_ordered, corners_matched : float
        Mean distance of the four corners in pixels, in the stated order and in the best of the
        eight orders that keep the outline; infinite where the reading failed.
    ratio_errors : (W/H, T/H)
        Relative; the second is nan where no thickness is drawn.
    limits : ndarray of shape (K, 2)
        The same errors with true corners that are known only to their pixel.
    inside : (W/H, T/H)
        True where the truth lies in the stated interval, None where it does not apply.
    any_inside : bool or None
        True where some stated alternative's intervals hold the truth.
    confusion : ndarray of shape (F, F)
        Pixels, true feature by row, said feature by column; empty where only the view was read.
    patch_calls : list of (confidence, share of its pixels that are right, pixels)
    failure : str
    """

    drawn: Drawn
    seconds: float = 0.0
    said_kind: str = ""
    confidence: float = 0.0
    corners_ordered: float = np.inf
    corners_matched: float = np.inf
    ratio_errors: tuple[float, float] = (np.nan, np.nan)
    limits: NDArray[np.float64] = field(default_factory=lambda: np.zeros((0, 2)))
    inside: tuple[bool | None, bool | None] = (None, None)
    any_inside: bool | None = None
    confusion: NDArray[np.int64] = field(default_factory=lambda: np.zeros((0, 0), np.int64))
    patch_calls: list[tuple[float, float, int]] = field(default_factory=list)
    failure: str = ""

    @property
    def right_kind(self) -> bool:
        """True where the stated view kind is the drawn one."""
        return self.said_kind == self.drawn.kind


def sprite_of(drawn: Drawn) -> Sprite:
    """The drawing as the sprite stage would hand it on."""
    import hashlib

    from pixel2make.sprite.model import Sprite

    alpha = drawn.rgba[..., 3]
    return Sprite(
        file=f"{drawn.style}-{drawn.seed}-{drawn.size}.png",
        sha256=hashlib.sha256(drawn.rgba.tobytes()).hexdigest(),
        rgba=drawn.rgba,
        background=alpha < 255,
        background_kind="transparent" if (alpha == 0).any() else "none",
        glow=(alpha > 0) & (alpha < 255),
    )


def corner_errors(true: NDArray[np.float64], said: NDArray[np.float64]) -> tuple[float, float]:
    """Mean corner distance in the stated order, and in the best order that keeps the outline."""

    def mean(order: Sequence[int]) -> float:
        return float(np.hypot(*(said[list(order)] - true).T).mean())

    turns = [[(start + way * i) % 4 for i in range(4)] for start, way in itertools.product(range(4), (1, -1))]
    return mean(range(4)), min(mean(turn) for turn in turns)


def ratio_of(kind: str, name: str, u: Vec, v: Vec, t: Vec) -> tuple[float, float, float] | None:
    """True proportions of drawn edges by the rule that the drawing was made with.

    Parameters
    ----------
    kind : str
        View kind.
    name : str
        The drawing's pose; for an oblique one it says which edges recede and how they are shortened.
    u, v, t : (dx, dy)
    """
    if kind == "axonometric":
        return gauss_ratio(u, v, t)
    w, h, d = (float(np.hypot(*p)) for p in (u, v, t))
    if kind == "oblique":
        form, convention = name.split("_")
        factor = 0.5 if convention == "cabinet" else 1.0
        w, h, d = (
            length / factor if form == free else length
            for length, free in ((w, "spine"), (h, "tail"), (d, "cover"))
        )
    return (w / h, 1.0, d / h) if h > 0 else None


def _errors(said: Sequence[float] | None, true: Sequence[float]) -> tuple[float, float]:
    if said is None:
        return LOST, LOST if true[2] else np.nan
    thickness = abs(said[2] / true[2] - 1) if true[2] else np.nan
    return abs(said[0] / true[0] - 1), thickness


def limit_errors(drawn: Drawn, count: int = PERTURBATIONS) -> NDArray[np.float64]:
    """Errors (count, 2) of W/H and T/H where each end of an edge is known only to its pixel.

    The four ends (the common corner and the three far ones) move by up to half a pixel across and
    down, evenly spread.
    """
    rng = np.random.default_rng([drawn.seed, drawn.size, 5])
    moves = rng.uniform(-0.5, 0.5, (count, 4, 2))
    name = str(drawn.habits["pose"])
    rows = []
    for move in moves:
        u, v, t = (
            tuple(np.add(edge, move[i] - move[3]))
            for i, edge in enumerate((drawn.box.u, drawn.box.v, drawn.box.t))
        )
        rows.append(_errors(ratio_of(drawn.kind, name, u, v, t), drawn.ratio))
    return np.array(rows)


def feature_map(reading: Reading) -> NDArray[np.str_]:
    """The stated feature of every pixel; "" where a reading forgot one."""
    out = np.full(reading.regions.labels.shape, "", "<U12")
    for feature in reading.features:
        out[feature.mask] = feature.feature
    return out


def _score_view(result: Score, view: View) -> None:
    result.said_kind, result.confidence = view.kind, view.confidence
    said = np.array(view.cover_corners_px, float)
    result.corners_ordered, result.corners_matched = corner_errors(result.drawn.corners, said)


def _score_ratio(result: Score, proportions: Sequence[Proportions]) -> None:
    true = result.drawn.ratio
    taken = proportions[0]
    result.ratio_errors = _errors(taken.ratio, true)

    def holds(each: Proportions, i: int) -> bool:
        return each.low[i] - 1e-9 <= true[i] <= each.high[i] + 1e-9

    result.inside = (holds(taken, 0), holds(taken, 2) if true[2] else None)
    result.any_inside = any(holds(p, 0) and (not true[2] or holds(p, 2)) for p in proportions)


def _score_features(result: Score, reading: Reading) -> None:
    true, said = result.drawn.features, feature_map(reading)
    index = {word: i for i, word in enumerate(FEATURES)}
    result.confusion = np.zeros((len(FEATURES), len(FEATURES)), np.int64)
    # A painted shadow is "other" in the truth; taken off as background it is as right: neither is made.
    said = np.where((true == "other") & (said == "background"), "other", said)
    for a, b in zip(true.ravel(), said.ravel(), strict=True):
        result.confusion[index[a], index.get(b, index["other"])] += 1
    for patch in reading.patches:
        if patch.feature != "background" and patch.mask.any():
            right = float((true[patch.mask] == patch.feature).mean())
            result.patch_calls.append((patch.confidence, right, int(patch.mask.sum())))


def score(drawn: Drawn, found: Reading | View | None, *, seconds: float = 0.0, failure: str = "") -> Score:
    """Compare what was found with the truth.

    Parameters
    ----------
    drawn : Drawn
    found : Reading, View or None
        None where the reading failed.
    seconds : float
        Time it took.
    failure : str
        Why it failed.
    """
    result = Score(drawn, seconds=seconds, failure=failure, limits=limit_errors(drawn))
    if found is None:
        result.ratio_errors = _errors(None, drawn.ratio)
        return result
    if hasattr(found, "proportions"):
        _score_view(result, found.view)
        _score_ratio(result, found.proportions)
        _score_features(result, found)
    else:
        _score_view(result, found)  # type: ignore[arg-type]
        name = str(drawn.habits["pose"])
        t = found.thickness_px or (0.0, 0.0)  # type: ignore[union-attr]
        ratio = ratio_of(drawn.kind, name, found.width_px, found.height_px, t)  # type: ignore[union-attr]
        result.ratio_errors = _errors(ratio, drawn.ratio)
    return result
