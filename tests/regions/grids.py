"""Small drawings typed as text, and what is asked of them."""

from __future__ import annotations

import numpy as np

from pixel2make.regions import Region, RegionMap
from pixel2make.sprite.model import Sprite

COLORS = {
    ".": (0, 0, 0, 0),
    "k": (20, 14, 26, 255),
    # A red ramp whose hue drifts from purple to orange, as it is drawn in leather.
    "a": (92, 24, 48, 255),
    "b": (142, 40, 52, 255),
    "c": (190, 70, 60, 255),
    # The same red darkened: a coloured contour.
    "A": (52, 12, 30, 255),
    # Cream pages with their darker bands.
    "w": (240, 228, 200, 255),
    "v": (214, 196, 160, 255),
    "u": (170, 148, 116, 255),
    # Brass.
    "x": (150, 96, 24, 255),
    "y": (214, 160, 48, 255),
    "z": (248, 214, 92, 255),
    # A blue stone, a white glint, near-black leather, black.
    "g": (48, 96, 190, 255),
    "W": (252, 252, 248, 255),
    "n": (38, 34, 44, 255),
    "m": (54, 50, 62, 255),
    "K": (0, 0, 0, 255),
}


def sprite_of(text: str) -> Sprite:
    """A native sprite from rows of the characters in COLORS."""
    return sprite_from(np.array([[COLORS[c] for c in row] for row in text.split()], np.uint8))


def sprite_from(rgba: np.ndarray) -> Sprite:
    return Sprite("drawn.png", "0" * 64, rgba, rgba[..., 3] == 0)


def where(text: str, letters: str) -> np.ndarray:
    """Mask of the pixels drawn with one of the letters."""
    return np.array([[c in letters for c in row] for row in text.split()])


def inner(regions: RegionMap) -> list[Region]:
    """The regions that are no contour."""
    return [region for region in regions.regions if not region.is_contour]
