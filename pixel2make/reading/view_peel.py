"""Objects inside something: flames, an opaque glow or a cast shadow that no box explains.

Where no outline fits the whole object, its outermost materials are taken off in turn; what is left is a
candidate where a box fits it well.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.view_ground import Ground, neighbours_background
from pixel2make.reading.view_outline import Outlines, find_outlines

__all__ = ["peeled"]

POOR_FIT = 1.0
"""Differing pixels over the square root of the area from which no box explains the outline; of drawn books
2 in 100 come so far, by rounded corners, squares and fittings."""

GOOD_FIT_SHARE = 0.5
"""What is left must fit at least twice as well to be believed."""

LEAST_SHARE = 0.3
"""A smaller rest is an emblem, not the object."""

MOST_DROPPED = 3


def peeled(ground: Ground, outlines: tuple[Outlines, Outlines]) -> Ground | None:
    """The ground without its outermost materials, where that leaves a much better box; else None.

    Parameters
    ----------
    ground : Ground
    outlines : (hexagons, parallelograms)
        That fit its body best.
    """
    whole = _misfit(outlines, ground.body)
    if whole < POOR_FIT:
        return None
    found = [
        (_misfit(find_outlines(body), body), -int(body.sum()), i, body)
        for i, body in enumerate(_rests(ground))
    ]
    if not found:
        return None
    misfit, _, _, body = min(found, key=lambda entry: entry[:3])
    if misfit > GOOD_FIT_SHARE * whole:
        return None
    lost = 1 - float(body.sum() / ground.body.sum())
    return replace(ground, body=body, line=ground.line & body, dropped=lost)


def _misfit(outlines: tuple[Outlines, Outlines], body: NDArray[np.bool_]) -> float:
    """Pixels by which the best outline differs from a body, over the square root of its area."""
    fits = [int(part.misfit.min()) for part in outlines if len(part)]
    return min(fits) / float(np.sqrt(body.sum())) if fits else np.inf


def _rests(ground: Ground) -> list[NDArray[np.bool_]]:
    """What is left without the materials that make up most of the border, one, two or three of them."""
    body, material = ground.body, ground.material
    border = neighbours_background(body) & (material >= 0)
    if not border.any():
        return []
    counts = np.bincount(material[border])
    outermost = [int(m) for m in np.argsort(-counts, kind="stable")[:MOST_DROPPED] if counts[m]]
    drops = [{m} for m in outermost] + [set(outermost[:n]) for n in range(2, len(outermost) + 1)]
    out = []
    for drop in drops:
        rest = _largest(body & ~np.isin(material, sorted(drop)) & ~ground.line)
        # Lines inside the rest come back; those round it are its contour.
        rest = _closed(rest, body)
        if rest.sum() >= LEAST_SHARE * body.sum():
            out.append(rest)
    return out


def _largest(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    from scipy import ndimage

    pieces, count = ndimage.label(mask)
    if not count:
        return mask
    return np.asarray(pieces == 1 + np.bincount(pieces.ravel())[1:].argmax())


def _closed(mask: NDArray[np.bool_], body: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Holes and one-pixel cracks filled, within the body."""
    from scipy import ndimage

    wide = np.pad(mask, 2)
    closed = ndimage.binary_closing(wide, np.ones((3, 3), bool))
    return np.asarray(ndimage.binary_fill_holes(closed)[2:-2, 2:-2] & body)
