"""Frames and bands that one shade draws inside a region of its own material.

Regions join the shades of one material, so a border that is only a lighter shade of the cover, or a
strap in the cover's colour, lies in the cover's region. What gives it away is its form: one shade that
fills a frame along the face's edges or a straight band up to an edge, and is rare elsewhere.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face

__all__ = ["figures"]

_LEAST_STEPS = 6
"""A face of fewer steps has no room for a frame with something inside."""
_DEEPEST_FRAME = 4
"""Frames lie at most so many pixels inside the face's edge; the outermost line (0) is light or shade."""
_FRAME_FILLED = 0.7
_LEAST_SIDES = 3
"""A frame's shade fills this share of its line, on this many of the four sides (a clasp or a strap may hide
one); a lit and a shaded edge are two sides at most."""
_ELSEWHERE = 0.12
"""The shade's share of the rest of the region; a texture's shade is all over."""
_BAND_FILLED = 0.9
_BAND_WIDE = 0.3
_BAND_TALL = 0.25
"""A band fills its box, reaches at least so far in from the edge, and is no taller than this."""
_EDGE_STEPS = 0.8
"""A band touches the edge that it comes from; lettering keeps away from it."""

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def figures(mask: Mask, face: Face, rgb: NDArray[np.uint8]) -> tuple[Mask, ...]:
    """Frames and bands in one region's part of a face.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The region's pixels on the face.
    face : Face
    rgb : ndarray of shape (M, N, 3), uint8

    Returns
    -------
    tuple of ndarray
        Masks within `mask` that do not overlap; frames first, then bands. Empty for nearly all regions.
    """
    steps = np.array([max(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)])
    ys, xs = np.nonzero(mask)
    if steps.min() < _LEAST_STEPS or len(ys) < 2 * steps.max():
        return ()
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
    _, shade = np.unique(rgb[ys, xs].astype(np.int64) @ (1 << 16, 1 << 8, 1), return_inverse=True)
    if shade.max() == 0:
        return ()
    found: list[Mask] = []
    free = np.ones(len(ys), bool)
    drawn = (*_frames(face.mask, place, steps, shade, ys, xs), *_bands(place, steps, shade, ys, xs))
    for chosen in drawn:
        if (chosen & free).sum() >= chosen.sum() * _FRAME_FILLED:
            part = np.zeros(mask.shape, bool)
            part[ys[chosen & free], xs[chosen & free]] = True
            free &= ~chosen
            found.append(part)
    return tuple(found)


def _frames(
    whole: Mask,
    place: Floats,
    steps: Floats,
    shade: NDArray[np.int64],
    ys: NDArray[np.int64],
    xs: NDArray[np.int64],
) -> Iterator[Mask]:
    """Lines along the face's edges, each of one shade."""
    gaps = np.stack([place, 1 - place], -1) * steps[:, None]
    side = gaps.reshape(len(place), 4).argmin(axis=1)
    counted = np.floor(gaps.reshape(len(place), 4).min(axis=1)).astype(int)
    for depth in (_peeled(whole)[ys, xs], counted):
        hits = [chosen for k in range(1, _DEEPEST_FRAME) for chosen in _line(depth == k, side, shade)]
        if hits:
            yield np.logical_or.reduce(hits)
            return


def _line(line: Mask, side: NDArray[np.int64], shade: NDArray[np.int64]) -> Iterator[Mask]:
    if line.sum() < 4 * _LEAST_SIDES:
        return
    common = int(np.bincount(shade[line]).argmax())
    own = shade == common
    sides = sum(
        bool(own[line & (side == s)].mean() >= _FRAME_FILLED) for s in range(4) if (line & (side == s)).any()
    )
    rest = own[~line]
    if (
        own[line].mean() >= _FRAME_FILLED
        and sides >= _LEAST_SIDES
        and (not rest.size or rest.mean() <= _ELSEWHERE)
    ):
        yield line & own


def _peeled(whole: Mask) -> NDArray[np.int64]:
    """How many layers lie outside each pixel of a mask, edge neighbours only."""
    depth = np.zeros(whole.shape, np.int64)
    inner = whole
    for _ in range(_DEEPEST_FRAME):
        padded = np.pad(inner, 1)
        inner = inner & padded[2:, 1:-1] & padded[:-2, 1:-1] & padded[1:-1, 2:] & padded[1:-1, :-2]
        depth += inner
    return depth


def _bands(
    place: Floats, steps: Floats, shade: NDArray[np.int64], ys: NDArray[np.int64], xs: NDArray[np.int64]
) -> Iterator[Mask]:
    """Straight flat bands that run in from either end of the face's first edge."""
    from skimage.measure import label

    rows, cols = int(ys.max()) + 1, int(xs.max()) + 1
    canvas = np.zeros((rows, cols), np.int64)
    canvas[ys, xs] = shade + 1
    pieces = label(canvas, connectivity=1)[ys, xs]  # type: ignore[no-untyped-call]
    half = 0.5 / steps
    for piece in range(1, int(pieces.max()) + 1):
        own = pieces == piece
        low, high = place[own].min(axis=0) - half, place[own].max(axis=0) + half
        wide, tall = high - low
        reaches = high[0] >= 1 - _EDGE_STEPS / steps[0] or low[0] <= _EDGE_STEPS / steps[0]
        inside = low[1] > 1.0 / steps[1] and high[1] < 1 - 1.0 / steps[1]
        filled = own.sum() >= _BAND_FILLED * wide * tall * steps.prod()
        if reaches and inside and filled and wide >= _BAND_WIDE and tall <= _BAND_TALL:
            yield own
