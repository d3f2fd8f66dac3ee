"""Sprite to RegionMap: contour, materials, connected areas, crumbs, light."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference, hex_of
from pixel2make.regions.areas import raster_labels, specks_of, touching_of
from pixel2make.regions.assign import assign_materials
from pixel2make.regions.contour import find_contour
from pixel2make.regions.crumbs import absorb_crumbs
from pixel2make.regions.dither import blend_dither
from pixel2make.regions.halo import find_halo
from pixel2make.regions.light import find_light
from pixel2make.regions.material import materials_of, misfit_of
from pixel2make.regions.model import Region, RegionMap
from pixel2make.regions.palette import Palette, cleaned, folded, palette_of
from pixel2make.regions.steps import parted_at_steps
from pixel2make.sprite.model import Sprite

__all__ = ["segment"]

MOST_HALOS = 2
"""Flames round a book that throws a shadow; a third one is the book."""


def segment(sprite: Sprite) -> RegionMap:
    """Tell the connected areas of one material apart, and the drawn contour from both.

    Parameters
    ----------
    sprite : Sprite

    Returns
    -------
    RegionMap
        Every pixel of the object has a label 1..K, in raster order of each region's first pixel; the
        background has 0, opaque glow and shadow round the object too. Regions are 4-connected. A sprite
        without an object has no regions.
    """
    halo = []
    palette, contour, material = _looked_at(sprite)
    for _ in range(MOST_HALOS):
        found = find_halo(palette, material)
        if found is None:
            break
        halo.append(found)
        sprite = replace(sprite, background=sprite.background | found.mask)
        palette, contour, material = _looked_at(sprite)
    shade = np.append(folded(palette), -1)[palette.index].astype(np.int32)
    contrast = difference(palette.lab[:, None], palette.lab[None, :])
    labels = raster_labels(parted_at_steps(material, shade, contrast))
    regions = tuple(_regions(palette, labels, material, contour))
    return RegionMap(sprite, labels, regions, find_light(palette, labels, contour), tuple(halo))


def _looked_at(sprite: Sprite) -> tuple[Palette, NDArray[np.bool_], NDArray[np.int32]]:
    """The object's palette, its contour and the material of every pixel."""
    palette = palette_of(sprite)
    contour = find_contour(cleaned(palette))
    return palette, contour, _material_map(palette, contour)


def _material_map(palette: Palette, contour: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Material of every pixel, shape (M, N): -1 background, 0 contour, 1.. the rest."""
    shade = np.append(folded(palette), -1)[palette.index].astype(np.int32)
    shade[contour] = -1
    shade, lab = blend_dither(shade, palette.lab)
    used, shade_of = np.unique(shade[shade >= 0], return_inverse=True)
    material = np.where(contour, 0, -1).astype(np.int32)
    if len(used) == 0:
        return material
    compact = np.full(shade.shape, -1, np.int32)
    compact[shade >= 0] = shade_of
    size, lab = len(used), lab[used]
    counts = np.bincount(shade_of, minlength=size)
    group = materials_of(lab, counts, touching_of(compact, size), specks_of(compact, size))
    contrast = difference(lab[:, None], lab[None, :])
    found = assign_materials(compact, misfit_of(lab, group), contrast, group)
    material[found >= 0] = found[found >= 0] + 1
    return absorb_crumbs(material, palette)


def _regions(
    palette: Palette, labels: NDArray[np.int32], material: NDArray[np.int32], contour: NDArray[np.bool_]
) -> list[Region]:
    """One Region a label, in order; materials are numbered in order of first appearance."""
    from scipy import ndimage

    flat, color = labels.ravel(), palette.index.ravel()
    inside = np.flatnonzero(flat)
    order = inside[np.lexsort((color[inside], flat[inside]))]
    stops = np.searchsorted(flat[order], np.arange(1, labels.max(initial=0) + 2))
    number: dict[int, int] = {}
    regions = []
    for label_, (rows, cols) in enumerate(ndimage.find_objects(labels), start=1):
        pixels = order[stops[label_ - 1] : stops[label_]]
        shades = color[pixels]
        middle = int(shades[len(shades) // 2])
        lightness, a, b = (round(float(v), 3) for v in palette.lab[middle])
        kind = number.setdefault(int(material.flat[pixels[0]]), len(number))
        regions.append(
            Region(
                id=label_,
                material=kind,
                is_contour=bool(contour.flat[pixels[0]]),
                area_px=len(pixels),
                bbox=(cols.start, rows.start, cols.stop, rows.stop),
                lab=(lightness, a, b),
                color=hex_of(palette.rgb[middle]),
                shades=tuple(hex_of(palette.rgb[s]) for s in np.unique(shades)),
            )
        )
    return regions
