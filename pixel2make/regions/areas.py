"""Connected areas of equal value, and what they tell about a shade."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["areas_of", "borders_of", "raster_labels", "specks_of", "touching_of"]

MANY_PIECES = 5
"""A shade in so many pieces is scattered over the drawing."""


def areas_of(values: NDArray[np.int32], *, diagonal: bool = False) -> NDArray[np.int64]:
    """Label connected areas of equal value.

    Parameters
    ----------
    values : ndarray of shape (M, N), int
        0 and above; 0 is not labelled.
    diagonal : bool
        True joins pixels that share a corner also, False only those that share an edge.

    Returns
    -------
    areas : ndarray of shape (M, N), int64
        0 where `values` is 0, else 1.. in no promised order.
    """
    from skimage.measure import label

    return np.asarray(label(values, connectivity=2 if diagonal else 1), np.int64)  # type: ignore[no-untyped-call]


def raster_labels(material: NDArray[np.int32]) -> NDArray[np.int32]:
    """4-connected areas of equal material (-1 is none), 1.. in raster order of their first pixel."""
    found = areas_of(material + 1)
    values, first = np.unique(found.ravel(), return_index=True)
    order = values[np.argsort(first, kind="stable")]
    order = order[order > 0]
    number = np.zeros(int(values.max(initial=0)) + 1, np.int32)
    number[order] = np.arange(1, len(order) + 1)
    return np.asarray(number[found], dtype=np.int32)


def touching_of(shade: NDArray[np.int32], size: int) -> NDArray[np.int64]:
    """Pixel edges that each pair of shades shares, shape (size, size), symmetric, diagonal 0.

    `shade` is 0.. ; -1 is none.
    """
    table = np.zeros((size, size), np.int64)
    for one, two in ((shade[:, :-1], shade[:, 1:]), (shade[:-1], shade[1:])):
        both = (one >= 0) & (two >= 0) & (one != two)
        table += np.bincount(one[both] * size + two[both], minlength=size * size).reshape(size, size)
    return table + table.T


def specks_of(shade: NDArray[np.int32], size: int) -> NDArray[np.float64]:
    """How much each shade is scattered, shape (size,), 0..1.

    The share of its pixels that lie in no square of 2 x 2, times how near it comes to `MANY_PIECES`
    pieces (a piece may hang together by corners).
    """
    _, first = np.unique(areas_of(shade + 1, diagonal=True).ravel(), return_index=True)
    owner = shade.ravel()[first]
    pieces = np.bincount(owner[owner >= 0], minlength=size)
    solid = np.zeros(shade.shape, bool)
    corner = shade[:-1, :-1]
    square = (corner == shade[1:, :-1]) & (corner == shade[:-1, 1:]) & (corner == shade[1:, 1:])
    for rows in (slice(None, -1), slice(1, None)):
        for cols in (slice(None, -1), slice(1, None)):
            solid[rows, cols] |= square
    used = shade >= 0
    total = np.bincount(shade[used], minlength=size).clip(min=1)
    thin = np.bincount(shade[used & ~solid], minlength=size) / total
    return np.asarray(thin * np.clip((pieces - 1) / (MANY_PIECES - 1), 0, 1))


def borders_of(
    patch: NDArray[np.int64], real: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Pairs of areas that touch, each pair both ways round, and how many pixel edges they share.

    `patch` is 0.. ; only areas that are `real` count.
    """
    size = len(real)
    keys = []
    for a, b in ((patch[:, :-1], patch[:, 1:]), (patch[:-1], patch[1:])):
        use = (a != b) & real[a] & real[b]
        keys += [a[use] * size + b[use], b[use] * size + a[use]]
    pair, length = np.unique(np.concatenate(keys), return_counts=True)
    return pair // size, pair % size, length
