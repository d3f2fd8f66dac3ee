"""Which native pixels are background: clear, half-transparent glow or shadow, flat colour, or none.

A baked-in checkerboard is taken out before, while the picture is still on the file's pixels
(`checkerboard`). Rules:

- Fully transparent pixels are background wherever they lie.
- Half-transparent pixels are background (`glow`) where they reach the outside, save for a soft edge: a
  pixel of alpha 128 or more that touches the opaque body and does not belong to a wider haze.
- In a picture without transparency, one colour that fills the corners and reaches the border is
  background as far as it is connected to the border. Holes of that colour inside the object stay
  object, since white pages on white paper look just so.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["Background", "tell_background"]

Mask = NDArray[np.bool_]
Background = tuple[Mask, str, Mask]
"""(background, kind, glow)."""

OPAQUE = 250
"""Alpha from here on is a body: rescaled files miss 255 by a few levels."""
EDGE_ALPHA = 128
"""A soft edge pixel that is at least half covered belongs to the object."""
BODY_SHARE = 0.25
"""With fewer opaque pixels than this share of the half-covered ones, the object itself is translucent."""

CORNERS = 3
"""A flat background shows in all corners but for one that the object may cover."""
BORDER_SHARE = 0.25
"""A slanted book that touches all four sides still leaves a quarter of the border free."""
EXACT_TOLERANCE = 2
LOSSY_TOLERANCE = 24
"""Largest difference in any channel to the background's colour; JPEG at common qualities strays so far
beside a contour, while a black contour on a black ground is lost either way."""


def tell_background(rgba: NDArray[np.uint8], *, is_lossy: bool = False) -> Background:
    """Tell background from object.

    Parameters
    ----------
    rgba : ndarray of shape (M, N, 4), uint8
        Native pixels.
    is_lossy : bool
        Colours are estimates; one flat colour may stray by LOSSY_TOLERANCE.

    Returns
    -------
    background : ndarray of shape (M, N), bool
    kind : {"transparent", "flat", "none"}
    glow : ndarray of shape (M, N), bool
        Part of `background`.
    """
    alpha = rgba[:, :, 3]
    if (alpha < EDGE_ALPHA).any():
        background, glow = _transparent(alpha)
        return background, "transparent", glow
    none = np.zeros(alpha.shape, bool)
    flat = _flat(rgba[:, :, :3].astype(np.int16), LOSSY_TOLERANCE if is_lossy else EXACT_TOLERANCE)
    return (none, "none", none) if flat is None else (flat, "flat", none)


def _transparent(alpha: NDArray[np.uint8]) -> tuple[Mask, Mask]:
    from scipy import ndimage

    around = np.ones((3, 3), bool)
    opaque = alpha >= OPAQUE
    if opaque.sum() < BODY_SHARE * (alpha >= EDGE_ALPHA).sum():
        opaque = alpha >= EDGE_ALPHA
    clear = alpha == 0
    partial = ~opaque & ~clear
    outside = _reaches_out(clear | partial, clear)
    haze = partial & ~ndimage.binary_dilation(opaque, around)
    haze = ndimage.binary_dilation(haze, around) & partial
    edge = partial & (alpha >= EDGE_ALPHA) & ~haze
    glow = partial & outside & ~edge
    return clear | glow, glow


def _reaches_out(open_: Mask, clear: Mask) -> Mask:
    """Parts of `open_` (joined by sides) that hold a clear pixel or touch the picture's border."""
    from scipy import ndimage

    labels, _ = ndimage.label(open_)
    border = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
    reached = np.union1d(border, labels[clear])
    return np.asarray(np.isin(labels, reached[reached > 0]))


def _flat(rgb: NDArray[np.int16], tolerance: int) -> Mask | None:
    from scipy import ndimage

    corners = rgb[[0, 0, -1, -1], [0, -1, 0, -1]]
    near = abs(corners[:, None] - corners[None]).max(axis=-1) <= tolerance
    best = int(near.sum(axis=1).argmax())
    if near[best].sum() < CORNERS:
        return None
    color = np.median(corners[near[best]], axis=0)
    like = abs(rgb - color).max(axis=-1) <= tolerance
    border = np.concatenate([like[0], like[-1], like[1:-1, 0], like[1:-1, -1]])
    if border.mean() < BORDER_SHARE:
        return None
    labels, _ = ndimage.label(like)
    seeds = np.concatenate([labels[0], labels[-1], labels[:, 0], labels[:, -1]])
    flood = np.isin(labels, seeds[seeds > 0])
    return None if _is_contour(flood, rgb, color) else np.asarray(flood)


def _is_contour(flood: Mask, rgb: NDArray[np.int16], color: NDArray[np.float64]) -> bool:
    """Whether the ring round the picture is the drawn contour of an object that fills it.

    A ring one pixel wide that is darker than what it frames is taken for a contour.
    """
    is_thin = not (flood[1:, 1:] & flood[1:, :-1] & flood[:-1, 1:] & flood[:-1, :-1]).any()
    if not is_thin or flood.all():
        return False
    return bool(color.sum() < rgb[~flood].sum(axis=-1).mean())
