"""Dithering: two colours in a checkerboard are seen as their mean."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference

__all__ = ["blend_dither"]

MIN_BLOCKS = 4
"""Squares of 2 x 2 pixels in checkerboard order from which a pair is dithering, not a chance corner."""

LOUD, LOUD_BLOCKS = 45.0, 24
"""From this CIEDE2000 nobody sees the mean of two colours in a small patch: crossed strokes of lettering lie
in checkerboard order too. A pair so far apart must fill a field, so many squares, to be dithering."""

MIN_SHARE = 0.3
"""Share of the rarer colour's pixels that must lie in such squares."""


def blend_dither(
    shade: NDArray[np.int32], lab: NDArray[np.float64]
) -> tuple[NDArray[np.int32], NDArray[np.float64]]:
    """Give pixels of a checkerboard a shade of its own, the mean of the two.

    Parameters
    ----------
    shade : ndarray of shape (M, N), int32
        Position in `lab`; -1 for what is not looked at.
    lab : ndarray of shape (K, 3)

    Returns
    -------
    shade : ndarray of shape (M, N), int32
    lab : ndarray of shape (K + mixed, 3)
    """
    top, bottom = shade[:-1, :-1], shade[:-1, 1:]
    checker = (
        (top == shade[1:, 1:]) & (bottom == shade[1:, :-1]) & (top != bottom) & (top >= 0) & (bottom >= 0)
    )
    if not checker.any():
        return shade, lab
    size = len(lab)
    pair = np.minimum(top, bottom) * size + np.maximum(top, bottom)
    counts = np.bincount(shade[shade >= 0], minlength=size)
    mixed = shade.copy()
    extra: list[NDArray[np.float64]] = []
    for value, blocks in zip(*np.unique(pair[checker], return_counts=True), strict=True):
        low, high = divmod(int(value), size)
        here = checker & (pair == value)
        covered = np.zeros(shade.shape, bool)
        for rows in (slice(None, -1), slice(1, None)):
            for cols in (slice(None, -1), slice(1, None)):
                covered[rows, cols] |= here
        rarer = low if counts[low] <= counts[high] else high
        least = LOUD_BLOCKS if difference(lab[low], lab[high]) >= LOUD else MIN_BLOCKS
        if blocks >= least and (covered & (shade == rarer)).sum() >= MIN_SHARE * counts[rarer]:
            mixed[covered] = size + len(extra)
            extra.append((lab[low] + lab[high]) / 2)
    return mixed, np.vstack([lab, *extra]) if extra else lab
