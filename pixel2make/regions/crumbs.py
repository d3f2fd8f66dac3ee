"""Crumbs: specular pixels and stray pixels of noise join the material they lie in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.material import shade_distance
from pixel2make.regions.palette import Palette

__all__ = ["absorb_crumbs"]

CRUMB_PX = 2
"""Pieces up to this size may be a highlight or noise; three pixels and more are drawn on purpose."""

CRUMB_DISTANCE = 16.0
"""Distance of shade up to which a crumb is of the stuff round it: its edge pixels are mixed colours."""

SPECULAR_L, SPECULAR_CHROMA = 70.0, 28.0
"""A highlight takes the lamp's colour: light and of little chroma (CIELCh)."""

ROUNDS = 3
"""Crumbs next to crumbs need a second look, hardly ever a third."""


def absorb_crumbs(material: NDArray[np.int32], palette: Palette) -> NDArray[np.int32]:
    """Let crumbs join the one material that encloses them, where their colour allows.

    Parameters
    ----------
    material : ndarray of shape (M, N), int32
        -1 background, 0 contour, 1.. materials.
    palette : Palette

    Returns
    -------
    material : ndarray of shape (M, N), int32
    """
    material = material.copy()
    for _ in range(ROUNDS):
        if not _absorb_once(material, palette):
            break
    return material


def _absorb_once(material: NDArray[np.int32], palette: Palette) -> bool:
    """One pass over the small pieces, smallest first, raster order within; True where one joined."""
    from scipy import ndimage
    from skimage.measure import label

    pieces = label(np.maximum(material, 0), connectivity=2)
    area = np.bincount(pieces.ravel())
    small = np.flatnonzero((area <= CRUMB_PX) & (np.arange(len(area)) > 0))
    boxes = ndimage.find_objects(pieces)
    median = _medians(material, palette)
    changed = False
    for piece in small[np.argsort(area[small], kind="stable")]:
        rows, cols = boxes[piece - 1]
        window = (slice(max(rows.start - 1, 0), rows.stop + 1), slice(max(cols.start - 1, 0), cols.stop + 1))
        mask = pieces[window] == piece
        edge = ndimage.binary_dilation(mask) & ~mask
        around = material[window][edge]
        around = around[around > 0]
        if len(around) == 0:
            continue
        host = int(np.bincount(around).argmax())
        share = (around == host).sum() / max(1, edge.sum())
        lab = palette.lab[palette.index[window][mask]].mean(axis=0)
        if _joins(lab, median[host], share):
            material[window][mask] = host
            changed = True
    return changed


def _medians(material: NDArray[np.int32], palette: Palette) -> NDArray[np.float64]:
    """Middle shade of each material in CIELAB, shape (materials, 3)."""
    table = np.zeros((int(material.max()) + 1, 3))
    for value in np.unique(material[material > 0]):
        shades = np.sort(palette.index[material == value])
        table[value] = palette.lab[shades[len(shades) // 2]]
    return table


def _joins(lab: NDArray[np.float64], host: NDArray[np.float64], share: float) -> bool:
    """Whether a crumb is of its host's stuff: like it in hue, or a highlight that lies inside it."""
    if shade_distance(lab, host, 0.3) <= CRUMB_DISTANCE:
        return True
    specular = lab[0] >= max(SPECULAR_L, host[0]) and float(np.hypot(lab[1], lab[2])) <= SPECULAR_CHROMA
    return bool(specular and share >= 0.99)
