"""The colours of a sprite: few, each with its place in CIELAB."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference, srgb_to_lab
from pixel2make.sprite.model import Sprite

__all__ = ["Palette", "cleaned", "folded", "palette_of"]

MAX_COLORS = 256
"""Colours looked at one by one, as many as an indexed picture holds; a photo has more and is binned."""

MAX_SHADES = 40
"""Shades that the work on pairs of colours is done for; more are folded together, nearest first."""

NOTICEABLE = 2.3
"""CIEDE2000 below which two colours are one: about what is seen side by side (2 to 3 is visible)."""


@dataclass(frozen=True, eq=False)
class Palette:
    """Colours of the object and which pixel has which.

    Attributes
    ----------
    rgb : ndarray of shape (K, 3), uint8
        In order of lightness, ties by value.
    lab : ndarray of shape (K, 3), float64
    index : ndarray of shape (M, N), int32
        Position in `rgb`; -1 for the background.
    """

    rgb: NDArray[np.uint8]
    lab: NDArray[np.float64]
    index: NDArray[np.int32]

    @property
    def counts(self) -> NDArray[np.int64]:
        """Pixels of each colour, shape (K,)."""
        return np.bincount(self.index[self.index >= 0], minlength=len(self.rgb))

    @property
    def lightness(self) -> NDArray[np.float64]:
        """L* of every pixel, shape (M, N); NaN for the background."""
        return np.where(self.index >= 0, self.lab[self.index, 0], np.nan)


def palette_of(sprite: Sprite) -> Palette:
    """Collect the object's colours; alpha is not looked at.

    More than `MAX_COLORS` colours are binned in ever coarser steps of their value; a bin shows as its
    most frequent colour (ties: the smallest value), so that every colour of the palette occurs.
    """
    mask = sprite.object
    rgb = sprite.rgba[..., :3][mask].astype(np.int64)
    key = (rgb[:, 0] << 16) | (rgb[:, 1] << 8) | rgb[:, 2]
    values, inverse, counts = np.unique(key, return_inverse=True, return_counts=True)
    values, inverse = _binned(values, inverse, counts)
    colors = np.stack([values >> 16, values >> 8 & 255, values & 255], axis=1).astype(np.uint8)
    lab = srgb_to_lab(colors) if len(colors) else np.zeros((0, 3))
    order = np.lexsort((values, lab[:, 0]))
    rank = np.zeros(len(order), np.int32)
    rank[order] = np.arange(len(order))
    index = np.full(mask.shape, -1, np.int32)
    index[mask] = rank[inverse]
    return Palette(colors[order], lab[order], index)


def _binned(
    values: NDArray[np.int64], inverse: NDArray[np.int64], counts: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """At most MAX_COLORS values, each the most frequent of its bin."""
    shift = 0
    bins = values
    while len(np.unique(bins)) > MAX_COLORS:
        shift += 1
        keep = (0xFF >> shift << shift) * 0x010101
        bins = values & keep
    if shift == 0:
        return values, inverse
    _, bin_of = np.unique(bins, return_inverse=True)
    order = np.lexsort((values, -counts, bin_of))
    first = order[np.unique(bin_of[order], return_index=True)[1]]
    return values[first], bin_of[inverse]


def cleaned(palette: Palette) -> Palette:
    """The palette as it was before noise: folded where it has more than `MAX_SHADES` colours."""
    if len(palette.rgb) <= MAX_SHADES:
        return palette
    leader = folded(palette)
    kept, position = np.unique(leader, return_inverse=True)
    index = np.append(position, -1)[palette.index].astype(np.int32)
    return Palette(palette.rgb[kept], palette.lab[kept], index)


def folded(palette: Palette) -> NDArray[np.int32]:
    """Fold colours that look the same: position of the colour that stands for each, shape (K,).

    The frequent colour stands for the rare one. Where more than `MAX_SHADES` are left, the step grows.
    """
    order = np.lexsort((np.arange(len(palette.rgb)), -palette.counts))
    if len(order) < 2:
        return np.arange(len(order), dtype=np.int32)
    apart = difference(palette.lab[:, None], palette.lab[None, :])
    step = NOTICEABLE
    while True:
        leader = np.full(len(order), -1, np.int32)
        leaders: list[int] = []
        for color in order:
            near = [other for other in leaders if apart[color, other] < step]
            if near:
                leader[color] = min(near, key=lambda other: (apart[color, other], other))
            else:
                leaders.append(int(color))
                leader[color] = color
        if len(leaders) <= MAX_SHADES:
            return leader
        step *= 1.25
