"""What a strap runs into: pixels in a shade of the cover that go on from a strap's end to the fore-edge.

A brass clasp on a yellow book, or a tin one on a grey book, lies in the cover's region. A strap of another
colour points at it: where the strap stops short of the fore-edge, something covers the rest of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face
from pixel2make.regions.model import RegionMap

__all__ = ["Strip", "covered", "strap_ends", "strips"]

_TALLEST = 0.25
"""A strap is a narrow band; a taller one is a panel."""
_SHORTEST = 0.2
"""Less of the cover's width may be a mark of lettering, or a buckle."""
_FARTHEST = 0.4
"""A clasp reaches no further in from the fore-edge than this share of the cover's width."""
_NEAREST_STEPS = 0.8
"""A strap that comes this near to the fore-edge goes round it, and covers it itself."""
_ENDS = 0.08
"""Straps keep away from head and tail by this share; there borders run."""
_FILLED = 0.7
"""A strap fills this share of its box; light and shade may take the rest."""
_LEAST_STEPS = 8
"""On a smaller cover a strap's end and its surroundings are the same few pixels."""
_BESIDE_STEPS = 4.0
"""The ground is looked for so far above and below: a gradient or a fold may change it further on."""
_GROUND_PX = 4
"""So few pixels of ground tell nothing of its shades."""
_LEAST_CONTRAST = 7.0
"""CIEDE2000 between a pixel and every shade beside; a smaller one is the texture of the ground. The strap's
own place speaks for a clasp already, so it need not stand out as much as a tab without one."""
_COVERED = 0.6
"""Share of the way from the strap's end to the fore-edge that stands out; a scratch covers less."""
_LEAST_PX = 2

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Strip:
    """A flat band on the cover that stops short of the fore-edge, in face coordinates.

    ``low`` and ``high`` bound it from head to tail, ``end`` is where it stops; ``region`` is its region.
    """

    low: float
    high: float
    end: float
    region: int


def _steps(face: Face) -> Floats:
    return np.array([max(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)])


def strips(regions: RegionMap, face: Face) -> tuple[Strip, ...]:
    """Flat bands of one region each that stop short of the fore-edge.

    Parameters
    ----------
    regions : RegionMap
    face : Face
        The cover.

    Returns
    -------
    tuple of Strip
        From the first region to the last; empty for most covers.
    """
    from scipy import ndimage

    steps = _steps(face)
    if steps.min() < _LEAST_STEPS:
        return ()
    half, out = 0.5 / steps, []
    least = _SHORTEST * steps[0]
    for region in regions.regions:
        mine = regions.mask(region.id) & face.mask
        if region.is_contour or mine.sum() < least or 2 * mine.sum() > face.mask.sum():
            continue
        pieces, count = ndimage.label(mine, np.ones((3, 3)))
        for piece in range(1, count + 1):
            ys, xs = np.nonzero(pieces == piece)
            if len(ys) < least:
                continue
            place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
            low, high = place.min(axis=0) - half, place.max(axis=0) + half
            wide, tall = high - low
            stops = 1 - _FARTHEST <= high[0] <= 1 - _NEAREST_STEPS / steps[0]
            is_flat = wide >= _SHORTEST and tall <= _TALLEST and low[1] > _ENDS and high[1] < 1 - _ENDS
            if stops and is_flat and len(ys) >= _FILLED * wide * tall * steps.prod():
                out.append(Strip(float(low[1]), float(high[1]), float(high[0]), region.id))
    return tuple(out)


def strap_ends(mask: Mask, face: Face, lab: Floats, found: Sequence[Strip]) -> tuple[Mask, ...]:
    """Pixels of a region that cover straps from their ends to the fore-edge, in shades the ground has not.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The region's pixels on the face.
    face : Face
        The cover.
    lab : ndarray of shape (M, N, 3)
    found : sequence of Strip

    Returns
    -------
    tuple of ndarray
        Masks within `mask`, one a strap at most.
    """
    parts = (part & mask for part in covered(face, lab, found))
    return tuple(part for part in parts if part.any())


def covered(face: Face, lab: Floats, found: Sequence[Strip]) -> tuple[Mask, ...]:
    """What covers each strap from its end to the fore-edge, of whatever region; empty where nothing does.

    Parameters
    ----------
    face : Face
        The cover.
    lab : ndarray of shape (M, N, 3)
    found : sequence of Strip

    Returns
    -------
    tuple of ndarray of shape (M, N), bool
        One a strap.
    """
    ys, xs = np.nonzero(face.mask)
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1)) if found else np.zeros((0, 2))
    out = []
    for strip in found:
        chosen = _covering(place, _steps(face), lab[ys, xs], strip)
        part = np.zeros(face.mask.shape, bool)
        part[ys[chosen], xs[chosen]] = True
        out.append(part)
    return tuple(out)


def _covering(place: Floats, steps: Floats, lab: Floats, strip: Strip) -> Mask:
    """Flags of the face's pixels that go on from a strap's end in shades that the ground beside has not, and
    of one row more on either side where it is as whole."""
    from pixel2make.color import difference

    beyond = place[:, 0] > strip.end - 0.25 / steps[0]
    above, below = (strip.low - place[:, 1]) * steps[1], (place[:, 1] - strip.high) * steps[1]
    off = np.maximum(above, below)
    near, inner = beyond & (off < 1), beyond & (off < 0)
    ground = beyond & (off >= 1) & (off <= 1 + _BESIDE_STEPS)
    stands_out = np.zeros(len(place), bool)
    if ground.sum() < _GROUND_PX or inner.sum() < _LEAST_PX:
        return stands_out
    shades = np.unique(np.round(lab[ground], 6), axis=0)
    stands_out[near] = difference(lab[near][:, None], shades[None]).min(axis=1) >= _LEAST_CONTRAST
    room = (1 - strip.end) * steps[0] * (strip.high - strip.low) * steps[1]
    if (stands_out & inner).sum() < max(_LEAST_PX, _COVERED * room):
        return np.zeros(len(place), bool)
    chosen = inner & stands_out
    for row in (beyond & (above >= 0) & (above < 1), beyond & (below >= 0) & (below < 1)):
        if row.any() and stands_out[row].mean() >= _COVERED:
            chosen |= row & stands_out
    return chosen
