"""The region that a part of the drawing belongs to, in that part's own colour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.model import Region, RegionMap

__all__ = ["region_of"]


def region_of(regions: RegionMap, mask: NDArray[np.bool_]) -> Region | None:
    """The region that most pixels of a mask belong to, of equals the first; None off the object.

    Lettering in a darker shade of the leather lies in the leather's region. Where none of the mask's pixels
    has the region's colour, the region is given with the colour, shades, area and bounds of those pixels.

    Parameters
    ----------
    regions : RegionMap
    mask : ndarray of shape (M, N), bool
    """
    from pixel2make.color import hex_of, srgb_to_lab

    labels = regions.labels[mask]
    labels = labels[labels > 0]
    if not labels.size:
        return None
    wanted = int(np.bincount(labels).argmax())
    region = next((region for region in regions.regions if region.id == wanted), None)
    ys, xs = np.nonzero(mask & (regions.labels == wanted))
    rgb = regions.sprite.rgba[ys, xs][:, :3]
    colors, counts = np.unique(rgb, axis=0, return_counts=True)
    names = [hex_of(color) for color in colors]
    if region is None or region.color in names:
        return region
    lab = srgb_to_lab(colors)
    order = np.lexsort((np.arange(len(colors)), lab[:, 0]))
    passed = np.cumsum(counts[order])
    middle = int(order[int(np.searchsorted(passed, len(ys) // 2, side="right"))])
    lightness, a, b = (round(float(value), 3) for value in lab[middle])
    return replace(
        region,
        area_px=len(ys),
        bbox=(int(xs.min()), int(ys.min()), int(xs.max()) + 1, int(ys.max()) + 1),
        lab=(lightness, a, b),
        color=names[middle],
        shades=tuple(names[i] for i in order),
    )
