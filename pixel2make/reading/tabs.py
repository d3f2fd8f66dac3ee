"""Parts of one region that colour does not tell apart: tabs at the fore-edge, medallions, lumps on a line.

A brass clasp on cream pages, or an iron one on a grey book, is drawn in shades of the ground and so lies
in the ground's region; corner pieces and a clasp of one metal hang together by the border between them.
Their form gives them away: shades that occur nowhere else but in one short stretch of the fore-edge, and
places where a thin line grows thick.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face

__all__ = ["lumps", "medallions", "tabs"]

_SHORT = 0.4
"""A tab's shades keep to this share of the edge: a clasp is a tenth to a quarter of it."""
_ENDS = 0.06
"""A tab keeps away from head and tail by this share; there corner pieces sit."""
_LEAST_STEPS = 7
"""An edge of fewer steps has no room for a tab between two stretches of ground."""
_FILLED = 0.6
"""A tab fills this share of its box; light and shade may take the corners."""
_DEEPEST = 0.4
"""On the cover a tab reaches no further in from the fore-edge than this."""
_LEAST_CONTRAST = 9.0
"""CIEDE2000 between a tab's middle colour and the nearest shade of its ground: texture differs by less."""
_MOST_TABS = 2
"""A book has one clasp or two; more such patches are texture."""

_INNER = 0.7
"""An ornament's shades keep to this share of the cover, each way, and off its rim."""
_LEAST_MEDALLION, _ONE_PIECE = 5, 0.6
"""Pixels of an ornament, and how much of its shades lie in one piece: texture is scattered."""

_SPAN = 0.5
"""Only what spans this share of its face is looked at for lumps: an emblem is smaller, a border is not."""
_MOST_SHARE = 0.4
"""A larger share of its face is the ground, not a fitting."""
_LEAST_LUMP, _LEAST_LINE = 4, 5
"""Pixels of a lump, two by two at least, and of the line between lumps."""
_LEAST_TONGUE = 2
"""Pixels of a line that runs from a lump to the fore-edge."""

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def tabs(mask: Mask, face: Face, lab: Floats) -> tuple[Mask, ...]:
    """Short patches at the fore-edge in shades that the rest of a region has not.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The region's pixels on the face.
    face : Face
        The cover or the fore-edge.
    lab : ndarray of shape (M, N, 3)

    Returns
    -------
    tuple of ndarray
        Masks within `mask` that do not overlap; empty for nearly all regions.
    """
    steps = np.array([max(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)])
    ys, xs = np.nonzero(mask)
    if steps[1] < _LEAST_STEPS or steps[0] < 1 or len(ys) < steps[1]:
        return ()
    across, along = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1)).T
    colors, shade = np.unique(np.round(lab[ys, xs], 6), axis=0, return_inverse=True)
    shade = shade.reshape(-1)
    rare = _rare(shade, along)
    if not rare.any() or rare.all():
        return ()
    found = list(_compact(mask, rare, face, steps, (ys, xs), (across, along)))
    found = [tab for tab in found if _stands_out(lab[tab], colors[np.unique(shade[~rare])])]
    return tuple(found) if len(found) <= _MOST_TABS else ()


def _rare(shade: NDArray[np.int64], along: Floats) -> Mask:
    """Pixels whose shade keeps to one short stretch away from the ends."""
    size = int(shade.max()) + 1
    low, high = np.full(size, np.inf), np.full(size, -np.inf)
    np.minimum.at(low, shade, along)
    np.maximum.at(high, shade, along)
    return np.asarray(((high - low <= _SHORT) & (low > _ENDS) & (high < 1 - _ENDS))[shade])


def _compact(
    mask: Mask,
    rare: Mask,
    face: Face,
    steps: Floats,
    at: tuple[NDArray[np.int64], NDArray[np.int64]],
    place: tuple[Floats, Floats],
) -> Iterator[Mask]:
    """Connected areas of rare shades that lie at the fore-edge and fill their box, holes closed."""
    from scipy import ndimage

    (ys, xs), (across, along) = at, place
    drawn = np.zeros(mask.shape, bool)
    drawn[ys[rare], xs[rare]] = True
    pieces, count = ndimage.label(drawn, np.ones((3, 3)))
    number = pieces[ys, xs]
    half = 0.5 / steps
    for piece in range(1, count + 1):
        own = number == piece
        low = np.array([across[own].min(), along[own].min()]) - half
        high = np.array([across[own].max(), along[own].max()]) + half
        wide, tall = high - low
        if face.name == "cover" and (high[0] < 1 - 1.2 / steps[0] or wide > _DEEPEST):
            continue
        if own.sum() < 2 or tall > _SHORT or own.sum() < _FILLED * wide * tall * steps.prod():
            continue
        inside = (across > low[0]) & (across < high[0]) & (along > low[1]) & (along < high[1])
        tab = np.zeros(mask.shape, bool)
        tab[ys[inside], xs[inside]] = True
        yield tab


def _stands_out(lab: Floats, ground: Floats) -> bool:
    from pixel2make.color import difference

    middle = np.median(lab, axis=0)
    return bool(difference(middle[None], ground).min() >= _LEAST_CONTRAST)


def medallions(mask: Mask, face: Face, lab: Floats) -> tuple[Mask, ...]:
    """An ornament off the rim of the cover in shades that the rest of its region has not.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The region's pixels on the face.
    face : Face
        The cover.
    lab : ndarray of shape (M, N, 3)

    Returns
    -------
    tuple of ndarray
        One mask within `mask`, or none.
    """
    from scipy import ndimage

    steps = np.array([max(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)])
    ys, xs = np.nonzero(mask)
    if steps.min() < _LEAST_STEPS or len(ys) < steps.prod() / 4:
        return ()
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
    colors, shade = np.unique(np.round(lab[ys, xs], 6), axis=0, return_inverse=True)
    shade = shade.reshape(-1)
    low, high = np.full((len(colors), 2), np.inf), np.full((len(colors), 2), -np.inf)
    np.minimum.at(low, shade, place)
    np.maximum.at(high, shade, place)
    rim = 1.2 / steps
    own = ((high - low <= _INNER) & (low > rim) & (high < 1 - rim)).all(axis=1)[shade]
    if own.sum() < _LEAST_MEDALLION or own.all():
        return ()
    drawn = np.zeros(mask.shape, bool)
    drawn[ys[own], xs[own]] = True
    pieces, count = ndimage.label(
        ndimage.binary_closing(np.pad(drawn, 1))[1:-1, 1:-1] | drawn, np.ones((3, 3))
    )
    sizes = np.bincount(pieces[drawn], minlength=count + 1)
    if sizes.max() < max(_LEAST_MEDALLION, _ONE_PIECE * own.sum()):
        return ()
    found = ndimage.binary_fill_holes(pieces == int(sizes.argmax())) & mask
    ground = colors[np.unique(shade[~own])]
    return (np.asarray(found),) if _stands_out(lab[found & drawn], ground) else ()


def lumps(mask: Mask, face: Face) -> tuple[Mask, ...]:
    """Places where a thin region grows thick, each a mask; the line between them is what is left.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The region's pixels on the face.
    face : Face

    Returns
    -------
    tuple of ndarray
        Empty where the region is not a line with lumps, nor lumps that hang together.
    """
    from scipy import ndimage

    area = int(mask.sum())
    if area < 2 * _LEAST_LUMP + 2 or area > _MOST_SHARE * max(1, int(face.mask.sum())):
        return ()
    ys, xs = np.nonzero(mask)
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
    if np.ptp(place, axis=0).max() < _SPAN:
        return ()
    thick = ndimage.binary_opening(mask, np.ones((2, 2)))
    pieces, count = ndimage.label(thick)
    sizes = np.bincount(pieces.ravel(), minlength=count + 1)
    kept = [piece for piece in range(1, count + 1) if sizes[piece] >= _LEAST_LUMP]
    line = area - int(sizes[kept].sum())
    rest = mask & ~np.isin(pieces, kept)
    # A clasp of the ornament's metal hangs on it as a tongue that runs to the fore-edge.
    ends = 1 - 1.2 / max(abs(face.a_px[0]), abs(face.a_px[1]), 1.0)
    has_tongue = line >= _LEAST_TONGUE and bool((place[rest[ys, xs], 0] > ends).any())
    if not kept or (line < _LEAST_LINE and len(kept) < 2 and not has_tongue):
        return ()
    if line < _LEAST_LINE and not has_tongue:
        # The largest lump keeps what little lies between.
        kept.remove(max(kept, key=lambda piece: int(sizes[piece])))
    return tuple(np.asarray(pieces == piece) for piece in kept)
