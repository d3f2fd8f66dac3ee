"""What is drawn can be seen: no fitting without contrast, no side face that melts into the cover."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel, Mask
from tests.truth.palettes import srgb_to_oklab
from tests.truth.raster import grow

__all__ = ["contrast", "melting_sides", "mend_faint"]

LEAST_CONTRAST = 0.06
"""OKLab distance, three just noticeable differences; artists mend what stands out less."""
ORNAMENTS = ("border", "title_area", "emblem", "corner_piece", "strap", "clasp")


def contrast(rgba: NDArray[np.uint8], one: Mask, other: Mask) -> float:
    """OKLab distance of the middle colours of two areas; 0 where one is empty."""
    if not one.any() or not other.any():
        return 0.0
    middle = [np.median(srgb_to_oklab(rgba[mask][:, :3]), axis=0) for mask in (one, other)]
    return float(np.linalg.norm(middle[0] - middle[1]))


def mend_faint(easel: Easel, rgba: NDArray[np.uint8], ground: NDArray[np.str_]) -> None:
    """Redraw faint ornaments in the shade of theirs that stands out most.

    Parameters
    ----------
    easel : Easel
    rgba : ndarray of shape (M, N, 4), uint8
        Changed in place.
    ground : ndarray of shape (M, N), str
        Features before ornaments were laid.
    """
    for word in ORNAMENTS:
        mask = easel.feature == word
        for under in ("cover", "page_edge", "spine"):
            part = mask & (ground == under)
            around = grow(part) & ~mask & (easel.feature != "background")
            if not part.any() or contrast(rgba, part, around) >= LEAST_CONTRAST:
                continue
            shades = easel.ramps[str(easel.material[part][0])]
            gaps = [contrast(_repainted(rgba, part, shade), part, around) for shade in shades]
            rgba[part, :3] = shades[int(np.argmax(gaps))]


def _repainted(rgba: NDArray[np.uint8], mask: Mask, shade: NDArray[np.uint8]) -> NDArray[np.uint8]:
    out = rgba.copy()
    out[mask, :3] = shade
    return out


def melting_sides(easel: Easel, rgba: NDArray[np.uint8]) -> Mask:
    """Pixels of side faces along the cover where the face has the cover's own colour."""
    cover = easel.cover
    out = np.zeros_like(cover)
    for face in ("fore_edge", "spine", "head", "tail"):
        along = grow(cover) & (easel.buffer.face == face)
        if along.any() and contrast(rgba, along, grow(along) & cover) < LEAST_CONTRAST:
            out |= along
    return out
