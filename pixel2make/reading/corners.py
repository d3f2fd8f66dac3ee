"""How far the cover's outer corners are rounded: the arc that cuts off just what is not drawn there."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.faces import visible_sides
from pixel2make.reading.model import Rounding, View
from pixel2make.regions.model import RegionMap

__all__ = ["corner_rounding"]

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]

LIMIT_SHARE = 0.35
"""A corner rounded over more of the cover's shorter edge than this makes a disc, not a book."""

STEP_PX = 0.25
"""Finer than pixels tell."""

ONE_PX = 1.0
"""A pixel a corner more or less may be the artist's, who softens steps by hand."""

EXPLAINED_SHARE = 0.5
"""An arc that explains less than half of what lacks at the corners is none: a fitting of the contour's
colour lies there, or the box is askew."""

LINE_SHARE = 0.5
"""With so much of the border's pixels drawn contour, the contour is within the box and counts as drawn."""

CORNERS = {"spine": ((0, 0), (0, 1)), "fore_edge": ((1, 0), (1, 1))}
"""Corners by the edge that they end, as steps along the cover's width and height."""


def corner_rounding(view: View, regions: RegionMap) -> Rounding | None:
    """Radius of the cover's outer corners.

    Corners are rounded in pairs, those of the fore-edge mostly; the pair that is rounded more is told,
    since the drawing may not tell spine from fore-edge.

    Parameters
    ----------
    view : View
    regions : RegionMap

    Returns
    -------
    Rounding or None
        In native pixels along the cover's edges; None where no cover corner lies free, against the
        background. A radius of 0 is a sharp corner; the interval holds what a pixel a corner more or less
        would tell.
    """
    o, u, v = (np.array(p, float) for p in (view.origin_px, view.width_px, view.height_px))
    length = np.array([np.hypot(*u), np.hypot(*v)])
    rows, cols = regions.contour.shape
    ys, xs = np.mgrid[0:rows, 0:cols]
    local = (np.stack([xs + 0.5, ys + 0.5], -1) - o) @ np.linalg.inv(np.stack([u, v]))
    inside = ((local >= 0) & (local < 1)).all(-1)
    touched = set(visible_sides(view))
    drawn = _drawn(regions, local, length, inside, touched)
    told = []
    for side, corners in CORNERS.items():
        free = [c for c in corners if side not in touched and ("tail" if c[1] else "head") not in touched]
        if free:
            away = [np.abs(local - corner) * length for corner in free]
            told.append(_fitted(away, inside, inside & ~drawn, LIMIT_SHARE * float(length.min())))
    return max(told, key=lambda rounding: rounding.value_px) if told else None


def _drawn(regions: RegionMap, local: Floats, length: Floats, inside: Mask, touched: set[str]) -> Mask:
    """What counts as drawn cover: the object without its contour, or with it where the box is drawn round
    the contour's outer side."""
    reach = LIMIT_SHARE * length.min()
    along = np.minimum(local, 1 - local) * length
    near = np.stack([local[..., 0], 1 - local[..., 0], local[..., 1], 1 - local[..., 1]])
    near = near * length[[0, 0, 1, 1], None, None]
    border = np.zeros_like(inside)
    for i, side in enumerate(("spine", "fore_edge", "head", "tail")):
        if side not in touched:
            border |= inside & (near[i] < 1) & (along[..., 1 if i < 2 else 0] > reach)
    if border.any() and regions.contour[border].mean() > LINE_SHARE:
        return regions.sprite.object
    return regions.sprite.object & ~regions.contour


def _fitted(away: list[Floats], inside: Mask, missing: Mask, limit: float) -> Rounding:
    """The radius whose arc cuts off the missing pixels, from distances (M, N, 2) to each corner."""
    radii = np.arange(0.0, limit + STEP_PX / 2, STEP_PX)
    near = [inside & (part < limit).all(-1) for part in away]
    lacking = sum(int((missing & at).sum()) for at in near) / len(near)
    wrong, cut_off = np.zeros(len(radii)), np.zeros(len(radii))
    for part, at in zip(away, near, strict=True):
        x, y = part[at].T
        gone = missing[at]
        for i, r in enumerate(radii):
            cut = (x < r) & (y < r) & ((r - x) ** 2 + (r - y) ** 2 > r**2)
            wrong[i] += (cut != gone).sum() / len(near)
            cut_off[i] += cut.sum() / len(near)
    why = f"The cover's free corners lack {lacking:g} px each against sharp ones."
    if wrong.min() > (1 - EXPLAINED_SHARE) * wrong[0] or wrong[0] == 0:
        return Rounding(0.0, 0.0, float(radii[cut_off <= ONE_PX].max()), why)
    best = float(wrong.min())
    value = float(radii[wrong <= best + 1e-9].mean())
    close = radii[wrong <= best + ONE_PX]
    return Rounding(value, float(close.min()), float(close.max()), why)
