"""Which material each patch of one shade belongs to: by its colour and by its neighbours.

Palettes are small, so one shade often serves two materials: the glint on brass is the cream of the
pages, the shadow of brass is the leather. Colour alone then tears things apart. Here every patch pays
for a material that its colour does not fit and for every pixel edge to a patch of another material;
patches change to the cheaper material until none gains (iterated conditional modes, Besag 1986, on
a Potts model).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.areas import areas_of, borders_of

__all__ = ["assign_materials"]

EDGE_COST = 0.28
"""Cost of one pixel edge between two materials; one pixel at the limit of a ramp costs 1. A pixel of
another colour (cost above 4 edges) survives alone, a pixel of a shared shade follows its neighbours."""

CONTRAST = 16.0
"""CIEDE2000 at which an edge counts for a third: what stands out sharply is no stray shade."""

MAX_ROUNDS = 200
"""Each round lowers the total cost, so the loop ends by itself; this bounds pictures of noise."""


def assign_materials(
    shade: NDArray[np.int32],
    misfit: NDArray[np.float64],
    contrast: NDArray[np.float64],
    start: NDArray[np.int32],
) -> NDArray[np.int32]:
    """Choose a material for every patch of one shade.

    Parameters
    ----------
    shade : ndarray of shape (M, N), int32
        0.. shade of each pixel; -1 where there is none.
    misfit : ndarray of shape (K, materials), float64
        Cost of one pixel of a shade in a material; 0 fits.
    contrast : ndarray of shape (K, K), float64
        CIEDE2000 between shades.
    start : ndarray of shape (K,), int32
        Material of each shade by its colour.

    Returns
    -------
    material : ndarray of shape (M, N), int32
        0.. ; -1 where there is no shade. Among equal costs the present material stays, then the first wins.
    """
    patch = areas_of(shade + 1)
    _, first, patch, area = np.unique(patch, return_index=True, return_inverse=True, return_counts=True)
    patch = patch.reshape(shade.shape)
    color = shade.ravel()[first]
    real = color >= 0
    unary = np.where(real[:, None], misfit[color] * area[:, None], 0.0)
    one, two, length = borders_of(patch, real)
    length = length * np.exp(-((contrast[color[one], color[two]] / CONTRAST) ** 2))
    state = np.where(real, start[color], -1).astype(np.int32)
    (size, kinds), shades = unary.shape, len(misfit)
    rows = np.arange(size)
    for _ in range(MAX_ROUNDS):
        support = np.zeros(size * kinds)
        np.add.at(support, one * kinds + state[two], length)
        # Rounded, so that the order of summing decides no tie.
        cost = np.round(unary - EDGE_COST * support.reshape(size, kinds), 9)
        best = cost.argmin(axis=1)
        gain = np.where(real, cost[rows, state] - cost[rows, best], 0.0)
        if not gain.any():
            break
        # Two neighbours that change at once could swap for ever: only the larger gain moves, ties by shade.
        rank = gain + 1e-10 * (color + 1) / (shades + 1)
        rival = np.zeros(size)
        np.maximum.at(rival, one, rank[two])
        moves = (gain > 0) & (rank > rival)
        state = np.where(moves, best, state).astype(np.int32)
    return np.asarray(state[patch], dtype=np.int32)
