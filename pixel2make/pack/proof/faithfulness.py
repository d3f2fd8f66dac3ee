"""How faithful the finished object is to the drawing, in figures."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference, srgb_to_lab
from pixel2make.design.model import Design
from pixel2make.pack.proof.redraw import BACKGROUND, Redrawn, redrawn
from pixel2make.reading.model import Reading

__all__ = ["Comparison", "Faithfulness", "FeatureFit", "compared", "faithfulness", "faithfulness_json"]

Mask = NDArray[np.bool_]

_LINE = "outline"
"""The drawn contour is no part of the real object, so nothing is asked of its pixels."""


@dataclass(frozen=True)
class FeatureFit:
    """How one feature of the drawing came out.

    Attributes
    ----------
    feature : str
    pixels : int
        Drawn pixels of it.
    same : float
        0..1, share of them that show the same feature when the object is drawn again.
    color_difference : float or None
        Mean CIEDE2000 between drawn and made colour, where the object covers the pixel; None where it
        covers none.
    """

    feature: str
    pixels: int
    same: float
    color_difference: float | None


@dataclass(frozen=True)
class Faithfulness:
    """The finished object against the drawing, both on the sprite's native grid, the contour left out.

    Attributes
    ----------
    pixels : int
        Compared: those that show the object in either picture.
    same_feature : float
        0..1, share of them with the same feature in both.
    silhouette : float
        0..1, pixels that show the object in both pictures over those that do in either.
    color_difference : float
        Mean CIEDE2000 over pixels that show the object in both; light and shade of the drawing count.
    features : tuple of FeatureFit
        By feature of the drawing, the largest first.
    """

    pixels: int
    same_feature: float
    silhouette: float
    color_difference: float
    features: tuple[FeatureFit, ...]


@dataclass(frozen=True, eq=False)
class Comparison:
    """Pixel by pixel, on the grid of `again`.

    Attributes
    ----------
    again : Redrawn
    same, other, missing, added, line : ndarray of bool
        The same feature; another one; drawn but not made; made but not drawn; contour, left out. The rest
        is background in both.
    """

    again: Redrawn
    same: Mask
    other: Mask
    missing: Mask
    added: Mask
    line: Mask


def faithfulness(design: Design) -> Faithfulness:
    """The figures of a design."""
    return _both(design)[0]


def compared(design: Design) -> Comparison:
    """The comparison behind the figures, pixel by pixel."""
    return _both(design)[1]


@lru_cache(maxsize=1)
def _both(design: Design) -> tuple[Faithfulness, Comparison]:
    reading = design.reading
    again = redrawn(design)
    drawn = np.pad(_drawn(reading), again.margin, constant_values=BACKGROUND)
    made = np.array(again.words, object)[again.label]
    line = drawn == _LINE
    is_drawn, is_made = (drawn != BACKGROUND) & ~line, (made != BACKGROUND) & ~line
    same = is_drawn & is_made & (drawn == made)
    comparison = Comparison(
        again, same, is_drawn & is_made & ~same, is_drawn & ~is_made, is_made & ~is_drawn, line
    )
    either, both = is_drawn | is_made, is_drawn & is_made
    off = np.zeros(drawn.shape)
    edge = ((again.margin,) * 2, (again.margin,) * 2, (0, 0))
    rgb = np.pad(reading.regions.sprite.rgba[..., :3], edge)
    if both.any():
        off[both] = difference(srgb_to_lab(rgb[both]), srgb_to_lab(again.color[both]))
    figures = Faithfulness(
        pixels=int(either.sum()),
        same_feature=_share(same, either),
        silhouette=_share(both, either),
        color_difference=float(off[both].mean()) if both.any() else 0.0,
        features=_by_feature(drawn, is_drawn, same, both, off),
    )
    return figures, comparison


def _by_feature(
    drawn: NDArray[Any], is_drawn: Mask, same: Mask, both: Mask, off: NDArray[np.float64]
) -> tuple[FeatureFit, ...]:
    words, counts = np.unique(drawn[is_drawn].astype(str), return_counts=True)
    found = []
    for word, count in zip(words.tolist(), counts.tolist(), strict=True):
        own = is_drawn & (drawn == word)
        seen = own & both
        found.append(
            FeatureFit(word, count, _share(same & own, own), float(off[seen].mean()) if seen.any() else None)
        )
    return tuple(sorted(found, key=lambda fit: (-fit.pixels, fit.feature)))


def _share(part: Mask, whole: Mask) -> float:
    total = int(whole.sum())
    return int(part.sum()) / total if total else 0.0


def _drawn(reading: Reading) -> NDArray[Any]:
    """The feature word of every native pixel."""
    words = np.full(reading.regions.sprite.shape, BACKGROUND, object)
    for feature in reading.features:
        words[feature.mask] = feature.feature
    return words


def faithfulness_json(design: Design) -> dict[str, Any]:
    """The figures as they stand in spec.json."""
    found = faithfulness(design)
    return {
        "pixels": found.pixels,
        "same_feature": _rounded(found.same_feature),
        "silhouette": _rounded(found.silhouette),
        "color_difference": _rounded(found.color_difference),
        "features": [
            {
                "feature": fit.feature,
                "pixels": fit.pixels,
                "same": _rounded(fit.same),
                "color_difference": None if fit.color_difference is None else _rounded(fit.color_difference),
            }
            for fit in found.features
        ],
    }


def _rounded(value: float) -> float:
    return round(float(value), 3) + 0.0
