"""Clear steps: a patch that stands out all round is a thing of its own, though its colour is the ground's.

A leather strap on a leather cover, blind lettering, an iron clasp on a grey book: the shade is one of the
ground's own, but the patch is compact and its rim is a sharp step, where shading would go by small ones.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.areas import areas_of, borders_of

__all__ = ["parted_at_steps"]

SMOOTH = 10.0
"""CIEDE2000 up to which neighbouring shades are one patch: a small step of a ramp, or texture."""

CLEAR = 24.0
"""Mean CIEDE2000 along its rim from which a patch stands out."""

LEAST_PX, MOST_SHARE = 6, 0.4
"""Smaller patches are texture; a patch with more of its region than this is the ground itself."""


LEAST_RIM = 3
"""Pixel edges: a patch that hangs on its ground by fewer is a corner cut off by the contour."""


def parted_at_steps(
    material: NDArray[np.int32], shade: NDArray[np.int32], contrast: NDArray[np.float64]
) -> NDArray[np.int32]:
    """Part each material where a patch in it is bounded by a clear step.

    Parameters
    ----------
    material : ndarray of shape (M, N), int32
        -1 background, 0 contour, 1.. materials.
    shade : ndarray of shape (M, N), int32
        Position in `contrast`; -1 for background.
    contrast : ndarray of shape (K, K), float64
        CIEDE2000 between shades.

    Returns
    -------
    part : ndarray of shape (M, N), int32
        -1 background, else 0.. ; neighbours of one part are one region.
    """

    size = len(contrast)
    zone = areas_of(np.where(material >= 0, material * (size + 1) + shade + 1, 0).astype(np.int32))
    _, first, zone, area = np.unique(zone, return_index=True, return_inverse=True, return_counts=True)
    zone = zone.reshape(material.shape)
    kind, tone = material.ravel()[first], shade.ravel()[first]
    one, two, length = borders_of(zone, kind > 0)
    same = kind[one] == kind[two]
    one, two, length = one[same], two[same], length[same]
    step = contrast[tone[one], tone[two]]
    patch, count = _linked(one[step <= SMOOTH], two[step <= SMOOTH], len(first))
    outer = patch[one] != patch[two]
    rim = np.bincount(patch[one[outer]], length[outer], count)
    # Rounded, so that the order of summing decides nothing.
    mean = np.round(np.bincount(patch[one[outer]], (length * step)[outer], count) / rim.clip(min=1), 9)
    whole = areas_of((material + 1).astype(np.int32)).ravel()
    ground = np.zeros(count)
    np.maximum.at(ground, patch, np.bincount(whole)[whole[first]])
    pixels = np.bincount(patch, area, count)
    stands = (mean >= CLEAR) & (rim >= LEAST_RIM) & (pixels >= LEAST_PX) & (pixels <= MOST_SHARE * ground)
    part = np.where(stands[patch], material.max() + 1 + patch, kind)
    return np.asarray(part[zone], dtype=np.int32)


def _linked(one: NDArray[np.int64], two: NDArray[np.int64], size: int) -> tuple[NDArray[np.int64], int]:
    """Group 0..size-1 by links: the group of each, and how many groups there are."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    links = coo_array((np.ones(len(one), np.int8), (one, two)), shape=(size, size))
    count, group = connected_components(links, directed=False)
    return np.asarray(group, np.int64), int(count)
