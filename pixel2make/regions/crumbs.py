"""Crumbs: specular pixels and stray pixels of noise join the material they lie in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.areas import areas_of
from pixel2make.regions.material import LIGHTNESS_WEIGHT, shade_distance
from pixel2make.regions.palette import Palette

__all__ = ["absorb_crumbs"]

CRUMB_PX = 2
"""Pieces up to this size may be a highlight or noise; three pixels and more are drawn on purpose."""

CRUMB_DISTANCE = 18.0
"""Distance of shade up to which a crumb is of the stuff round it: its edge pixels are mixed colours."""

LOUD = 12.5
"""CIEDE2000 from which a crumb stands out too much to be a stray shade."""

SPECULAR_L, SPECULAR_CHROMA = 75.0, 30.0
"""A highlight takes the lamp's colour: light and of little chroma (CIELCh)."""

MAX_GLINTS = 3
"""More light specks than this in one piece are lettering or ornament, not highlights."""

ROUNDS = 3
"""Crumbs inside crumbs need a second look, hardly ever a third."""


def absorb_crumbs(material: NDArray[np.int32], palette: Palette) -> NDArray[np.int32]:
    """Let crumbs join the material that they lie in, where their colour allows.

    A crumb joins when its shade is near that of its surroundings, or when it is a highlight: light,
    of little chroma, wholly inside, and one of few. A crumb of another hue stays.

    Parameters
    ----------
    material : ndarray of shape (M, N), int32
        -1 background, 0 contour, 1.. materials.
    palette : Palette

    Returns
    -------
    material : ndarray of shape (M, N), int32
    """
    for _ in range(ROUNDS):
        joined = _absorb_once(material, palette)
        if (joined == material).all():
            break
        material = joined
    return material


def _absorb_once(material: NDArray[np.int32], palette: Palette) -> NDArray[np.int32]:
    """All crumbs that join at once, looked at side by side so that no order matters."""
    piece = areas_of(np.maximum(material, 0), diagonal=True)
    area = np.bincount(piece.ravel())
    size = len(area)
    crumb = (area <= CRUMB_PX) & (np.arange(size) > 0)
    if not crumb.any():
        return material
    around, edges, host_piece = _neighbours(material, piece, crumb)
    host = around.argmax(axis=1)
    touched = around[np.arange(size), host]
    colored = material > 0
    weight = np.bincount(piece[colored], minlength=size).clip(min=1)
    mean = [
        np.bincount(piece[colored], palette.lab[palette.index[colored], k], size) / weight for k in range(3)
    ]
    lab = np.stack(mean, axis=1)
    ground = _middle(material, palette)[host]
    near = shade_distance(lab, ground, LIGHTNESS_WEIGHT) <= CRUMB_DISTANCE
    near &= shade_distance(lab, ground, 1.0) <= LOUD
    glint = crumb & (lab[:, 0] >= np.maximum(SPECULAR_L, ground[:, 0]))
    glint &= (np.hypot(lab[:, 1], lab[:, 2]) <= SPECULAR_CHROMA) & (touched == edges)
    glint &= np.bincount(host_piece[glint], minlength=size)[host_piece] <= MAX_GLINTS
    joins = crumb & (touched > 0) & (near | glint)
    return np.where(joins[piece], host[piece], material).astype(np.int32)


def _neighbours(
    material: NDArray[np.int32], piece: NDArray[np.int64], crumb: NDArray[np.bool_]
) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """What lies round each piece.

    Returns the pixel edges of each piece to each material, crumbs and contour not counted, shape
    (pieces, materials); all its edges, shape (pieces,); and the largest-numbered piece that is no crumb
    among its neighbours, shape (pieces,).
    """
    size, kinds = len(crumb), int(material.max()) + 1
    piece, material = np.pad(piece, 1), np.pad(material, 1, constant_values=-1)
    around = np.zeros((size, kinds), np.int64)
    edges, host = np.zeros(size, np.int64), np.zeros(size, np.int64)
    left, right = (slice(None), slice(None, -1)), (slice(None), slice(1, None))
    up, down = (slice(None, -1), slice(None)), (slice(1, None), slice(None))
    for here, there in ((left, right), (right, left), (up, down), (down, up)):
        own, other, kind = piece[here], piece[there], material[there]
        out = crumb[own] & (own != other)
        edges += np.bincount(own[out], minlength=size)
        solid = out & (kind > 0) & ~crumb[other]
        around += np.bincount(own[solid] * kinds + kind[solid], minlength=size * kinds).reshape(size, kinds)
        np.maximum.at(host, own[solid], other[solid])
    return around, edges, host


def _middle(material: NDArray[np.int32], palette: Palette) -> NDArray[np.float64]:
    """Middle shade of each material in CIELAB, shape (materials, 3)."""
    table = np.zeros((int(material.max()) + 1, 3))
    for value in np.unique(material[material > 0]):
        shades = np.sort(palette.index[material == value])
        table[value] = palette.lab[shades[len(shades) // 2]]
    return table
