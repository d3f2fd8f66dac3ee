"""Grain of leather, weave of cloth, unevenness of leaf: small tiles that repeat without a seam.

They are made by arithmetic alone, without a random generator, so that every run gives the same picture.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

__all__ = ["PEBBLES", "TILE", "grain", "mottle", "scatter"]

Array = NDArray[np.float32]

TILE = 256
"""Texels along a tile's side."""

PEBBLES = 26
"""Grains of leather along a tile's side."""


def scatter(count: int, seed: int) -> NDArray[np.float64]:
    """Numbers 0..1 that look like chance, always the same: a multiplicative hash of 1, 2, 3 ..."""
    value = (np.arange(1, count + 1, dtype=np.uint64) + np.uint64(seed * 7919)) * np.uint64(
        0x9E3779B97F4A7C15
    )
    value ^= value >> np.uint64(29)
    value *= np.uint64(0xBF58476D1CE4E5B9)
    value ^= value >> np.uint64(32)
    return (value >> np.uint64(11)).astype(np.float64) / 2.0**53


@cache
def grain() -> Array:
    """Slopes (TILE, TILE, 2) of pebbled leather: one pebble around each point of a shaken lattice."""
    from scipy.spatial import cKDTree

    cells = np.arange(PEBBLES)
    lattice = np.stack(np.meshgrid(cells, cells), axis=-1).reshape(-1, 2).astype(float)
    shaken = lattice + scatter(lattice.size, 1).reshape(-1, 2)
    points = (shaken * TILE / PEBBLES) % TILE
    ys, xs = np.mgrid[0:TILE, 0:TILE]
    away, _ = cKDTree(points, boxsize=TILE).query(np.stack([xs, ys], -1).reshape(-1, 2), k=2)
    # High in a pebble's middle, low in the furrow between two of them.
    height = np.minimum((away[:, 1] - away[:, 0]).reshape(TILE, TILE), 5.0) / 5.0
    return _slopes(height + 0.35 * mottle())


@cache
def mottle() -> Array:
    """Soft unevenness (TILE, TILE) around 0, from -1 to 1, at four scales."""
    total = np.zeros((TILE, TILE))
    for octave, cells in enumerate((4, 8, 16, 32)):
        values = scatter(cells * cells, 11 + octave).reshape(cells, cells) * 2 - 1
        total += _spread(values) * 0.6**octave
    return np.asarray(total / np.abs(total).max(), np.float32)


def _spread(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """A small periodic grid of values drawn out to a tile, smoothly."""
    cells = len(values)
    place = np.arange(TILE) * cells / TILE
    low = place.astype(int)
    share = place - low
    share = share * share * (3 - 2 * share)
    after = (low + 1) % cells
    rows = values[low] * (1 - share)[:, None] + values[after] * share[:, None]
    return rows[:, low] * (1 - share) + rows[:, after] * share


def _slopes(height: NDArray[np.float64]) -> Array:
    across = (np.roll(height, -1, axis=1) - np.roll(height, 1, axis=1)) / 2
    down = (np.roll(height, -1, axis=0) - np.roll(height, 1, axis=0)) / 2
    return np.stack([across, down], axis=-1).astype(np.float32)
