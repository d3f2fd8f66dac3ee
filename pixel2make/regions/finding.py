"""Sprite to RegionMap: contour, materials, connected areas, crumbs, light."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference, hex_of
from pixel2make.regions.assign import assign_materials
from pixel2make.regions.contour import find_contour
from pixel2make.regions.crumbs import absorb_crumbs
from pixel2make.regions.dither import blend_dither
from pixel2make.regions.light import find_light
from pixel2make.regions.material import materials_of, misfit_of
from pixel2make.regions.model import Region, RegionMap
from pixel2make.regions.palette import Palette, folded, palette_of
from pixel2make.sprite.model import Sprite

__all__ = ["segment"]


def segment(sprite: Sprite) -> RegionMap:
    """Tell the connected areas of one material apart, and the drawn contour from both.

    Parameters
    ----------
    sprite : Sprite

    Returns
    -------
    RegionMap
        Every pixel of the object has a label 1..K, in raster order of each region's first pixel; the
        background has 0. Regions are 4-connected. A sprite without an object has no regions.
    """
    palette = palette_of(sprite)
    contour = find_contour(palette)
    material = _material_map(palette, contour)
    labels = _raster_labels(material)
    regions = tuple(_regions(palette, labels, material, contour))
    return RegionMap(sprite, labels, regions, find_light(palette, material, contour))


def _material_map(palette: Palette, contour: NDArray[np.bool_]) -> NDArray[np.int32]:
    """Material of every pixel, shape (M, N): -1 background, 0 contour, 1.. the rest."""
    shade = np.append(folded(palette), -1)[palette.index].astype(np.int32)
    shade[contour] = -1
    shade, lab = blend_dither(shade, palette.lab)
    used, shade_of = np.unique(shade[shade >= 0], return_inverse=True)
    material = np.where(contour, 0, -1).astype(np.int32)
    if len(used):
        compact = np.full(shade.shape, -1, np.int32)
        compact[shade >= 0] = shade_of
        counts = np.bincount(shade_of, minlength=len(used))
        group = materials_of(lab[used], counts, _touching(compact, len(used)), _specks(compact, len(used)))
        found = assign_materials(
            compact, misfit_of(lab[used], group), difference(lab[used][:, None], lab[used][None]), group
        )
        material[found >= 0] = found[found >= 0] + 1
        material = absorb_crumbs(material, palette)
    return material


def _touching(shade: NDArray[np.int32], size: int) -> NDArray[np.int64]:
    """Pixel edges that each pair of shades shares, shape (K, K), symmetric, diagonal 0."""
    table = np.zeros((size, size), np.int64)
    for one, two in ((shade[:, :-1], shade[:, 1:]), (shade[:-1], shade[1:])):
        both = (one >= 0) & (two >= 0) & (one != two)
        table += np.bincount(one[both] * size + two[both], minlength=size * size).reshape(size, size)
    return table + table.T


def _specks(shade: NDArray[np.int32], size: int) -> NDArray[np.float64]:
    """How much each shade is scattered, shape (K,), 0..1: in small or thin pieces, and in several."""
    from skimage.measure import label

    pieces = label(shade + 1, connectivity=2)
    _, first, area = np.unique(pieces.ravel(), return_index=True, return_counts=True)
    owner = shade.ravel()[first]
    solid = np.zeros(shade.shape, bool)
    block = (
        (shade[:-1, :-1] == shade[1:, :-1])
        & (shade[:-1, :-1] == shade[:-1, 1:])
        & (shade[:-1, :-1] == shade[1:, 1:])
    )
    for rows in (slice(None, -1), slice(1, None)):
        for cols in (slice(None, -1), slice(1, None)):
            solid[rows, cols] |= block
    real = owner >= 0
    count = np.bincount(owner[real], minlength=size)
    total = np.bincount(owner[real], weights=area[real], minlength=size)
    thin = np.bincount(shade[(shade >= 0) & ~solid], minlength=size) / total.clip(min=1)
    return np.asarray(thin * np.clip((count - 1) / 4, 0, 1))


def _raster_labels(material: NDArray[np.int32]) -> NDArray[np.int32]:
    """4-connected areas of equal material, numbered in raster order of their first pixel."""
    from skimage.measure import label

    found = label(material + 1, connectivity=1)
    values, first = np.unique(found.ravel(), return_index=True)
    order = [v for _, v in sorted(zip(first.tolist(), values.tolist(), strict=True)) if v != 0]
    number = np.zeros(int(values.max(initial=0)) + 1, np.int32)
    number[order] = np.arange(1, len(order) + 1)
    return np.asarray(number[found], dtype=np.int32)


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
        kind = number.setdefault(int(material.flat[pixels[0]]), len(number))
        regions.append(
            Region(
                id=label_,
                material=kind,
                is_contour=bool(contour.flat[pixels[0]]),
                area_px=len(pixels),
                bbox=(cols.start, rows.start, cols.stop, rows.stop),
                lab=tuple(round(float(v), 3) for v in palette.lab[middle]),
                color=hex_of(palette.rgb[middle]),
                shades=tuple(hex_of(palette.rgb[s]) for s in np.unique(shades)),
            )
        )
    return regions
