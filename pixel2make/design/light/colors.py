"""The sprite's own glow: the colours that its light is made of."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import srgb_to_lab
from pixel2make.design.light.model import Rgb
from pixel2make.reading.model import Reading

__all__ = ["glow_colors"]

MOST = 3
"""A band of more colours than these reads as a rainbow."""
LEAST_CHROMA = 15.0
"""Below this a colour is a grey, which a lamp shows as white."""
LEAST_APART = 18.0
"""Two colours nearer than this in CIELAB look like one lamp."""
WARM_WHITE: Rgb = (255, 190, 120)
BRIGHT = {"emblem": 3.0, "title_area": 2.0, "border": 2.0, "clasp": 1.5, "corner_piece": 1.5}
"""What shines on an object; a cover's own colour counts once."""


def glow_colors(reading: Reading) -> tuple[Rgb, ...]:
    """Up to three colours, the strongest first, each at full light; a warm white for a grey sprite.

    A half-transparent halo that is drawn round the object is its glow. Where there is none, those colours of
    the object stand for it that are strong and light, on ornaments before the cover.
    """
    sprite = reading.regions.sprite
    assert sprite.glow is not None  # set when the sprite is made
    rgb = sprite.rgba[..., :3]
    weights = _halo(sprite.rgba, sprite.glow) if sprite.glow.any() else _object(reading)
    found: list[tuple[Rgb, NDArray[np.float64]]] = []
    for color in _ranked(rgb, weights):
        lab = np.asarray(srgb_to_lab(np.array(color, np.uint8)), float)
        if all(np.linalg.norm(lab - other) >= LEAST_APART for _, other in found):
            found.append((color, lab))
        if len(found) == MOST:
            break
    return tuple(_full(color) for color, _ in found) or (WARM_WHITE,)


def _halo(rgba: NDArray[np.uint8], glow: NDArray[np.bool_]) -> NDArray[np.float64]:
    return np.where(glow, rgba[..., 3] / 255.0, 0.0)


def _object(reading: Reading) -> NDArray[np.float64]:
    weights = np.zeros(reading.regions.sprite.shape)
    for feature in reading.features:
        if feature.feature not in ("background", "outline"):
            weights[feature.mask] = BRIGHT.get(feature.feature, 1.0)
    return weights


def _ranked(rgb: NDArray[np.uint8], weights: NDArray[np.float64]) -> list[Rgb]:
    """Colours with a weight, by how strongly they would shine; ties by the colour's own value."""
    where = weights > 0
    colors, inverse = np.unique(rgb[where], axis=0, return_inverse=True)
    if not len(colors):
        return []
    lab = np.asarray(srgb_to_lab(colors), float)
    chroma = np.hypot(lab[:, 1], lab[:, 2])
    amount = np.bincount(inverse.ravel(), weights[where])
    score = np.where(chroma >= LEAST_CHROMA, chroma * lab[:, 0] * np.sqrt(amount), 0.0)
    order = sorted(range(len(colors)), key=lambda i: (-score[i], colors[i].tolist()))
    return [(int(r), int(g), int(b)) for r, g, b in (colors[i] for i in order if score[i] > 0)]


def _full(color: Rgb) -> Rgb:
    """The same colour with its strongest channel at full: how bright it is the animation says."""
    top = max(color)
    r, g, b = (round(v * 255 / top) for v in color)
    return r, g, b
