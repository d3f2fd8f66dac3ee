"""An opaque shadow that the object casts on the ground: dark, of one shade, below it or to one side."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.view_ground import neighbours_background
from pixel2make.regions.model import RegionMap

__all__ = ["cast_shadow", "grey_alone"]

Mask = NDArray[np.bool_]

MOST_LIGHT, MOST_CHROMA = 42.0, 22.0
"""CIELAB: floors in the shade are dark and nearly grey; leather that dark and that grey is looked at both
ways, since this only adds a candidate."""

SHARE_BOUNDS = (0.03, 0.5)
"""Of the object: less is a line's thickness, more is the object."""

OUTSIDE_SHARE = 0.35
"""So much of a shadow's edge lies against the background; a dark patch inside a cover has none."""


def cast_shadow(regions: RegionMap) -> Mask | None:
    """The pixels that may be a cast shadow, shape (M, N); None where nothing looks like one.

    Parameters
    ----------
    regions : RegionMap
    """
    from scipy import ndimage

    from pixel2make.color import srgb_to_lab

    obj = regions.sprite.object
    lab = srgb_to_lab(regions.sprite.rgba[..., :3])
    dark = obj & (lab[..., 0] < MOST_LIGHT) & (np.hypot(lab[..., 1], lab[..., 2]) < MOST_CHROMA)
    best: Mask | None = None
    for shade in _shades(regions, dark):
        pieces, count = ndimage.label(shade)
        sizes = np.bincount(pieces.ravel(), minlength=count + 1)
        # Opening takes away only: a piece that is too small stays so.
        for number in range(1, count + 1):
            if sizes[number] < SHARE_BOUNDS[0] * obj.sum():
                continue
            piece = pieces == number
            # A contour of the same shade is a pixel thick; what is left after opening is broad.
            broad = ndimage.binary_opening(np.pad(piece, 1), np.ones((2, 2), bool))[1:-1, 1:-1]
            if _is_cast(broad, obj) and (best is None or broad.sum() > best.sum()):
                best = np.asarray(broad)
    return best


def grey_alone(regions: RegionMap, shadow: Mask) -> float:
    """How much a shadow looks like one and no face, 0..1: grey, and of a colour that nothing else has."""
    from pixel2make.color import srgb_to_lab

    rgb = regions.sprite.rgba[..., :3]
    lab = srgb_to_lab(rgb[shadow])
    grey = float(np.clip(1 - np.hypot(lab[:, 1], lab[:, 2]).mean() / MOST_CHROMA, 0, 1))
    code = rgb.astype(np.int64) @ np.array([1 << 16, 1 << 8, 1])
    same = np.isin(code, np.unique(code[shadow])) & regions.sprite.object
    return grey * float(shadow.sum() / max(int(same.sum()), 1))


def _shades(regions: RegionMap, dark: Mask) -> list[Mask]:
    """Dark pixels by their exact colour: a shadow on an even floor has one."""
    rgb = regions.sprite.rgba[..., :3].astype(np.int64) @ np.array([1 << 16, 1 << 8, 1])
    values, counts = np.unique(rgb[dark], return_counts=True)
    return [dark & (rgb == value) for value in values[np.argsort(-counts, kind="stable")][:3]]


def _is_cast(piece: Mask, obj: Mask) -> bool:
    share = piece.sum() / obj.sum()
    if not SHARE_BOUNDS[0] <= share <= SHARE_BOUNDS[1]:
        return False
    rest = obj & ~piece
    ys, xs = np.nonzero(piece)
    rest_ys, rest_xs = np.nonzero(rest)
    if ys.mean() < rest_ys.mean():
        return False
    # It reaches beyond the object below, or below and to one side.
    beyond = ys.max() > rest_ys.max() or xs.max() > rest_xs.max() or xs.min() < rest_xs.min()
    edge = neighbours_background(obj) & piece
    return bool(
        beyond and edge.sum() >= OUTSIDE_SHARE * min(piece.sum(), 2 * np.ptp(xs) + 2 * np.ptp(ys)) / 2
    )
