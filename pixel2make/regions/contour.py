"""The drawn contour: a thin dark line at the object's border and between its faces.

Darkness alone does not make a contour: a black book is dark all over. What does: the border's pixels
are darker than those just inside, nearly all the way round, and the line is thin.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference
from pixel2make.regions.palette import Palette

__all__ = ["find_contour"]

CLOSED_SHARE = 0.86
"""Share of the border that must be drawn dark for a contour that runs all the way round; corners
that were cleaned up and metal that breaks the line make up the rest."""

PARTIAL_SHARE = 0.18
"""Share of the border from which a one-sided contour is believed; one short side of a book is more."""

LINE_SHARE = 0.7
"""Share of a partial contour's colour that must lie on thin lines: shade of a face is no contour."""

DROP_SHARE, MIN_DROP, MAX_DROP = 0.12, 2.5, 8.0
"""How much darker (L*) than just inside the line must be: a share of the inside, within bounds that
allow black on near-black and ask for a visible step on light ground."""

DEEP_ENOUGH = 5
"""Depth in pixels (half the short side) from which a line two pixels wide is looked for: inside it is left
a patch of the object that is broader than the line."""

SECOND_SHARE = 0.8
"""Share of the pixels under the border that a line two pixels wide covers; fittings break it."""

MIN_PIECE_PX = 3
"""A shorter dark piece of the border is the end of a strap or a shadow."""

RARE_SHARE, MAIN_SHARE = 0.02, 0.25
"""Share of the dark border below which a colour is chance, and share of the whole border from which it is
the line's colour even where the object beside it is as dark: a black book shows its line at the pages."""

LINE_LIKE = 4.0
"""CIEDE2000 up to which an inner line is in the contour's colour: it may be drawn a touch lighter, but the
next shade of a ramp is twice as far."""

MANY_SQUARES = 3
"""Squares in checkerboard order that share a pixel of dithering; a slanted line has two."""

BLOB_PX = 6
"""A dark patch two pixels wide with more pixels than this is a thing, not a joint of lines."""


def find_contour(palette: Palette) -> NDArray[np.bool_]:
    """Tell the drawn contour from the object's dark parts.

    Parameters
    ----------
    palette : Palette

    Returns
    -------
    contour : ndarray of shape (M, N), bool
        The line round the object and the lines between faces that join it; all False where no
        contour is drawn. Dark lines that do not join it (lettering, ornament) are no contour.
    """
    from scipy import ndimage

    inside = palette.index >= 0
    none = np.zeros(inside.shape, bool)
    depth = ndimage.distance_transform_cdt(np.pad(inside, 1), metric="taxicab")[1:-1, 1:-1]
    ring = depth == 1
    if not (depth > 1).any():
        return none
    found, plain = none, ~_dithered(palette.index)
    for look in (2, 3) if depth.max() >= DEEP_ENOUGH else (2,):
        dark = _darker_than_inside(palette, depth, look)
        common = _line_colors(palette, ring, dark)
        like = _like(palette, common)
        rim = (depth >= 1) & (depth < look)
        kept = like & _kept_for_lines(palette, rim, like)
        drawn, strict, thin = (
            inside & np.append(colors, False)[palette.index] for colors in (common, common & kept, kept)
        )
        line = ring & (dark | drawn)
        is_closed = line.sum() >= CLOSED_SHARE * ring.sum()
        if look == 3:
            second = rim & ~ring & drawn
            is_closed &= second.sum() >= SECOND_SHARE * (rim & ~ring).sum()
            line |= second
        if is_closed:
            return _joined(thin & plain, strict, line)
        if look == 2:
            found = _joined(thin & plain, strict, _long_pieces(ring & dark & strict, ring))
    return found


def _darker_than_inside(palette: Palette, depth: NDArray[np.int32], look: int) -> NDArray[np.bool_]:
    """Border pixels (depth 1) that are darker than the pixels of depth `look` next to them, (M, N).

    A line two pixels wide is as dark one pixel in: looking at depth 3 sees past it.
    """
    ring = depth == 1
    lightness = np.pad(palette.lightness, 2, constant_values=np.nan)
    level = np.pad(depth, 2)
    rows, cols = np.nonzero(ring)
    reach = range(-look + 1, look)
    around, use = (
        np.stack([array[rows + 2 + dy, cols + 2 + dx] for dy in reach for dx in reach], axis=1)
        for array in (lightness, level == look)
    )
    inner = _median(around, use)
    drop = inner - palette.lightness[ring]
    dark = np.zeros(ring.shape, bool)
    dark[ring] = drop >= np.clip(DROP_SHARE * inner, MIN_DROP, MAX_DROP)
    return dark


def _median(values: NDArray[np.float64], use: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Row-wise upper median of the used values; NaN where a row uses none."""
    ordered = np.sort(np.where(use, values, np.inf), axis=1)
    count = use.sum(axis=1)
    middle = np.take_along_axis(ordered, (count // 2)[:, None].clip(max=values.shape[1] - 1), axis=1)[:, 0]
    return np.where(count > 0, middle, np.nan)


def _line_colors(palette: Palette, ring: NDArray[np.bool_], dark: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Colours that draw the line, shape (K,): a fair part of the dark border has them."""
    size = len(palette.rgb)
    count = np.bincount(palette.index[dark], minlength=size)
    of_ring = np.bincount(palette.index[ring], minlength=size)
    mostly_dark = (count >= max(2, RARE_SHARE * dark.sum())) & (2 * count >= of_ring)
    return mostly_dark | (count >= MAIN_SHARE * ring.sum())


def _like(palette: Palette, common: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Colours as dark as the line's and like one of them, shape (K,): inner lines are often a bit lighter."""
    if not common.any():
        return common
    apart = difference(palette.lab[:, None], palette.lab[None, common]).min(axis=1)
    return np.asarray(common | (apart <= LINE_LIKE))


def _kept_for_lines(palette: Palette, rim: NDArray[np.bool_], common: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Colours that hardly occur in patches two pixels wide inside the object's rim, shape (K,)."""
    from scipy import ndimage

    size = len(palette.rgb)
    inner = np.append(common, False)[palette.index] & (palette.index >= 0) & ~rim
    patch = ndimage.binary_opening(inner, np.ones((2, 2)))
    in_patch = np.bincount(palette.index[patch], minlength=size)
    return np.asarray(in_patch <= (1 - LINE_SHARE) * palette.counts)


def _long_pieces(line: NDArray[np.bool_], ring: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """What is left of a contour drawn along a part of the border: nothing, unless one piece is long."""
    from scipy import ndimage

    pieces, _ = ndimage.label(line, np.ones((3, 3)))
    length = np.bincount(pieces.ravel())
    length[0] = 0
    if length.max(initial=0) < PARTIAL_SHARE * ring.sum():
        return np.zeros(line.shape, bool)
    return np.asarray((length >= MIN_PIECE_PX)[pieces])


def _dithered(index: NDArray[np.int32]) -> NDArray[np.bool_]:
    """Pixels of a checkerboard of two colours, shape (M, N).

    A slanted line is in checkerboard order with its ground too, but each of its pixels in two squares of
    2 x 2 only; inside dithering it is four, and its rim counts by its neighbours.
    """
    top, right = index[:-1, :-1], index[:-1, 1:]
    square = (top == index[1:, 1:]) & (right == index[1:, :-1]) & (top != right) & (top >= 0) & (right >= 0)

    def spread(squares: NDArray[np.bool_]) -> NDArray[np.int64]:
        padded = np.pad(squares.astype(np.int64), 1)
        return padded[:-1, :-1] + padded[:-1, 1:] + padded[1:, :-1] + padded[1:, 1:]

    core = spread(square) >= MANY_SQUARES
    touched = core[:-1, :-1] | core[:-1, 1:] | core[1:, :-1] | core[1:, 1:]
    return np.asarray(spread(square & touched) > 0)


def _joined(
    drawn: NDArray[np.bool_], strict: NDArray[np.bool_], line: NDArray[np.bool_]
) -> NDArray[np.bool_]:
    """The border's line and all thin lines of its colours that hang on it.

    A piece with no pixel of exactly the border's colours (`strict`) must be long, or it is texture.
    """
    from scipy import ndimage

    thick = ndimage.binary_opening(drawn, np.ones((3, 3)))
    rest = drawn & ~line & ~thick
    blobs, count = ndimage.label(ndimage.binary_opening(rest, np.ones((2, 2))))
    if count:
        big = np.bincount(blobs.ravel()) > BLOB_PX
        big[0] = False
        rest &= ~big[blobs]
    pieces, _ = ndimage.label(rest, np.ones((3, 3)))
    rest &= (np.bincount(pieces.ravel()) >= MIN_PIECE_PX)[pieces] | np.isin(pieces, pieces[rest & strict])
    pieces, _ = ndimage.label(line | rest, np.ones((3, 3)))
    return np.asarray(np.isin(pieces, np.unique(pieces[line])) & (line | rest))
