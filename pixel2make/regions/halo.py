"""Opaque glow and cast shadow: what is painted round an object without being a part of it.

A box shows a convex outline that looks the same upside down, however it is turned (every parallel
projection of a box is a hexagon, a parallelogram or a rectangle with that symmetry). Flames and a shadow on
one side break it. So where an outline is not like that, the outermost materials are taken off in turn,
and what is taken off is believed to be halo where the rest is much more like a box.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.contour import find_contour
from pixel2make.regions.model import Halo
from pixel2make.regions.palette import Palette, folded

__all__ = ["box_likeness", "find_halo"]

LIKE_A_BOX = 0.88
"""From here on an outline is a box's as it is. Of drawn books 5 in 100 come below, by rounded corners at
small sizes; of books on an opaque shadow or in flames nearly all."""

LEAST_GAIN = 0.035
"""How much more like a box the rest must be; a pixel more or less at a corner is a third of that."""

LEAST_SHARE, LEAST_REST = 0.04, 0.3
"""A smaller halo moves nothing; a smaller rest is an emblem, not the object."""

DARK_L, DARKER_SHARE = 32.0, 0.75
"""A shadow is at most so light (L*), and darker than this share of the rest."""

FLAT_L = 12.0
"""Spread of lightness (L*) within a shadow: two or three steps that fade; a shaded face has more."""

AROUND_SHARE = 0.75
"""A glow lies in this share of all directions from the middle of the rest."""

MOST_PEELED = 5
"""Flames take an outline and two or three shades; more materials than that are the object."""

DIRECTIONS = 24

BROAD_SHARE = 0.25
"""Share of a shadow that lies more than a pixel from the object; a line along one side does not."""

CLOSED_SHARE = 0.95
"""Share of the rest's border that must be line: clasps and corner pieces break it."""

LIGHTER_L = 8.0
"""A glow is so much lighter (L*) than the line that it surrounds; what is dark all round is the line."""

LINED_CONFIDENCE = 0.92
"""What lies outside a closed line is hardly ever a part of the object."""

Mask = NDArray[np.bool_]


def box_likeness(mask: Mask) -> float:
    """How much a silhouette is like a box's: 1 is convex and the same turned upside down.

    The share of common pixels (intersection over union) with itself turned by 180 degrees about the
    best point, times the share of its convex hull that it fills.
    """
    from skimage.morphology import convex_hull_image

    ys, xs = np.nonzero(mask)
    if not len(ys):
        return 0.0
    cut = mask[ys.min() : ys.max() + 1, xs.min() : xs.max() + 1]
    area = float(cut.sum())
    size = (2 * cut.shape[0], 2 * cut.shape[1])
    wave = np.fft.rfft2(cut.astype(float), size)
    common = float(np.rint(np.fft.irfft2(wave * wave, size).max()))
    hull = float(convex_hull_image(cut).sum()) if min(cut.shape) > 1 else area  # type: ignore[no-untyped-call]
    return common / (2 * area - common) * min(1.0, area / max(hull, 1.0))


def find_halo(palette: Palette, material: NDArray[np.int32]) -> Halo | None:
    """Tell opaque glow and cast shadow from the object.

    Parameters
    ----------
    palette : Palette
    material : ndarray of shape (M, N), int32
        -1 background, 0 contour, 1.. materials.

    Returns
    -------
    Halo or None
        None where the drawn line or the box-like outline already runs along the background, or where nothing
        that could be taken off makes it so.
    """
    whole = material >= 0
    if not whole.any():
        return None
    return _outside_the_line(palette, material) or _breaks_the_box(palette, material)


def _outside_the_line(palette: Palette, material: NDArray[np.int32]) -> Halo | None:
    """What lies between the background and a drawn line that runs all round."""
    whole = palette.index >= 0
    shade = np.append(folded(palette), -1)[palette.index].astype(np.int32)
    levels = palette.lightness
    for outer in _peels(shade, singles=MOST_PEELED):
        rest = whole & ~outer
        if not LEAST_SHARE * whole.sum() <= outer.sum() <= (1 - LEAST_REST) * whole.sum():
            continue
        ring = _ring(rest)
        kind = "glow" if _directions(outer, rest) >= AROUND_SHARE else "shadow"
        if kind == "glow" and np.median(levels[outer]) < np.median(levels[ring]) + LIGHTER_L:
            continue
        if kind == "shadow" and not _is_cast(outer, rest, levels):
            continue
        if _is_of(material, outer, rest) or _filled(_largest(rest)).sum() < rest.sum():
            continue
        line = find_contour(replace(palette, index=np.where(rest, palette.index, -1).astype(np.int32)))
        if (line & ring).sum() >= CLOSED_SHARE * ring.sum():
            return Halo(kind, outer, LINED_CONFIDENCE, _WHY_LINED[kind])
    return None


def _is_of(material: NDArray[np.int32], outer: Mask, rest: Mask) -> bool:
    """True where most of the outer pixels are of a material that the rest is made of."""
    inside = np.bincount(material[rest], minlength=int(material.max()) + 1)
    own = np.bincount(material[outer], minlength=len(inside))
    shared = (inside > own) & (np.arange(len(own)) > 0)
    return bool(own[shared].sum() > 0.5 * own.sum())


def _breaks_the_box(palette: Palette, material: NDArray[np.int32]) -> Halo | None:
    """What must be taken off to leave the outline of a box."""
    whole = material >= 0
    start = box_likeness(whole)
    if start >= LIKE_A_BOX:
        return None
    best: tuple[float, Halo] | None = None
    for outer in _peels(material, singles=2 * MOST_PEELED):
        rest = _filled(_largest(whole & ~outer))
        off = whole & ~rest
        if not LEAST_SHARE * whole.sum() <= off.sum() or rest.sum() < LEAST_REST * whole.sum():
            continue
        kind = _kind_of(off, rest, palette.lightness)
        if not kind:
            continue
        gain = box_likeness(rest) - start
        if gain >= LEAST_GAIN and (best is None or gain > best[0]):
            sure = float(np.clip(0.55 + 2.5 * gain, 0, 0.95))
            best = gain, Halo(kind, off, round(sure, 3), _WHY[kind])
    return best[1] if best else None


_WHY = {
    "glow": "It lies all round the object, and without it the outline is that of a box.",
    "shadow": "It is dark and lies low on one side, and without it the outline is that of a box.",
}


_WHY_LINED = {
    "glow": "It lies all round the object, outside its drawn line.",
    "shadow": "It lies on one side of the object, outside its drawn line.",
}


def _peels(kinds: NDArray[np.int32], *, singles: int) -> Iterator[Mask]:
    """Pixels that can be reached from the background through one, two or more of the outermost kinds.

    Single kinds come first, most frequent along the background first; -1 is the background.
    """
    from scipy import ndimage

    outside = np.pad(kinds < 0, 1, constant_values=True)
    inner = np.pad(kinds, 1, constant_values=-1)
    size = int(inner.max()) + 1

    def flooded(through: list[int]) -> Mask:
        pieces, _ = ndimage.label(outside | np.isin(inner, through))
        reached = np.isin(pieces, np.unique(pieces[outside])) & ~outside
        return np.asarray(reached[1:-1, 1:-1])

    def beside(mask: Mask) -> NDArray[np.int64]:
        ring = ndimage.binary_dilation(mask, np.ones((3, 3))) & ~mask
        return np.bincount(inner[ring & ~outside], minlength=size)

    counts = beside(outside)
    for kind in np.argsort(-counts, kind="stable")[:singles]:
        if counts[kind]:
            yield flooded([int(kind)])
    taken = [int(counts.argmax())]
    for _ in range(MOST_PEELED - 1):
        last = outside.copy()
        last[1:-1, 1:-1] |= flooded(taken)
        counts = beside(last)
        counts[taken] = 0
        if not counts.any():
            return
        taken.append(int(counts.argmax()))
        yield flooded(taken)


def _largest(mask: Mask) -> Mask:
    from scipy import ndimage

    pieces, count = ndimage.label(mask, np.ones((3, 3)))
    if not count:
        return mask
    return np.asarray(pieces == 1 + np.bincount(pieces.ravel())[1:].argmax())


def _filled(mask: Mask) -> Mask:
    from scipy import ndimage

    return np.asarray(ndimage.binary_fill_holes(mask))


def _ring(mask: Mask) -> Mask:
    """Pixels of a mask that share an edge with what is not in it."""
    wide = np.pad(mask, 1)
    inner = wide[2:, 1:-1] & wide[:-2, 1:-1] & wide[1:-1, 2:] & wide[1:-1, :-2]
    return np.asarray(mask & ~inner)


def _directions(off: Mask, rest: Mask) -> float:
    """Share of all directions from the middle of the rest in which something lies."""
    ys, xs = np.nonzero(rest)
    rows, cols = np.nonzero(off)
    angle = np.arctan2(rows - ys.mean(), cols - xs.mean())
    turn = np.floor(angle / (2 * np.pi) * DIRECTIONS).astype(int) % DIRECTIONS
    return len(np.unique(turn)) / DIRECTIONS


def _kind_of(off: Mask, rest: Mask, lightness: NDArray[np.float64]) -> str:
    """ "glow", "shadow" or "" for neither."""
    from scipy import ndimage

    away = off & ~ndimage.binary_dilation(rest, np.ones((3, 3)))
    if _directions(away, rest) >= AROUND_SHARE:
        return "glow"
    return "shadow" if _is_cast(off, rest, lightness) else ""


def _is_cast(off: Mask, rest: Mask, lightness: NDArray[np.float64]) -> bool:
    """True where something is dark, even, broader than a line, and lies low on one side."""
    from scipy import ndimage

    away = off & ~ndimage.binary_dilation(rest, np.ones((3, 3)))
    if away.sum() < BROAD_SHARE * off.sum():
        return False
    shade = lightness[off]
    is_dark = np.median(shade) <= DARK_L and (lightness[rest] > np.median(shade)).mean() >= DARKER_SHARE
    is_low = np.nonzero(off)[0].mean() > np.nonzero(rest)[0].mean()
    is_even = float(shade.std()) <= FLAT_L
    return bool(is_dark and is_even and is_low and _directions(off, rest) < AROUND_SHARE)
