"""What is drawn can be seen: no fitting without contrast, no side face that melts into the cover."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel, Mask
from tests.truth.palettes import srgb_to_oklab
from tests.truth.raster import grow

__all__ = ["contrast", "drop_unseen", "melting_sides"]

LEAST_CONTRAST = 0.05
"""OKLab distance, two to three just noticeable differences; artists do not draw fainter things."""
ORNAMENTS = ("border", "title_area", "emblem", "corner_piece", "strap", "clasp")


def contrast(rgba: NDArray[np.uint8], one: Mask, other: Mask) -> float:
    """OKLab distance of the middle colours of two areas; 0 where one is empty."""
    if not one.any() or not other.any():
        return 0.0
    middle = [np.median(srgb_to_oklab(rgba[mask][:, :3]), axis=0) for mask in (one, other)]
    return float(np.linalg.norm(middle[0] - middle[1]))


def drop_unseen(easel: Easel, rgba: NDArray[np.uint8], ground: NDArray[np.str_]) -> list[str]:
    """Give ornaments that do not stand out back to what they lie on; gives their words.

    Parameters
    ----------
    easel : Easel
    rgba : ndarray of shape (M, N, 4), uint8
    ground : ndarray of shape (M, N), str
        Features before ornaments were laid.
    """
    dropped = []
    for word in ORNAMENTS:
        mask = easel.feature == word
        for under in ("cover", "page_edge", "spine"):
            part = mask & (ground == under)
            round_it = grow(part) & ~mask & (easel.feature != "background")
            if part.any() and contrast(rgba, part, round_it) < LEAST_CONTRAST:
                easel.feature[part] = under
                dropped.append(f"{word} on {under}")
    return dropped


def melting_sides(easel: Easel, rgba: NDArray[np.uint8]) -> Mask:
    """Pixels of side faces along the cover where the face has the cover's own colour."""
    cover = easel.cover
    out = np.zeros_like(cover)
    for face in ("fore_edge", "spine", "head", "tail"):
        along = grow(cover) & (easel.buffer.face == face)
        if along.any() and contrast(rgba, along, grow(along) & cover) < LEAST_CONTRAST:
            out |= along
    return out
