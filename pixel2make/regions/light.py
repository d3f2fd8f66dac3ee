"""Where the drawn light comes from: a plane through each material's lightness."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.model import Light
from pixel2make.regions.palette import Palette

__all__ = ["find_light"]

MIN_PIXELS = 12
"""A material with fewer pixels shows no gradient."""

MIN_EXPLAINED = 0.08
"""Share of the lightness variation that the plane must explain; noise alone explains less."""


def find_light(palette: Palette, material: NDArray[np.int32], contour: NDArray[np.bool_]) -> Light | None:
    """Fit one plane to the lightness within each material; uphill is where the light comes from.

    Parameters
    ----------
    palette : Palette
    material : ndarray of shape (M, N), int32
        -1 background, 0 contour, 1.. materials.
    contour : ndarray of shape (M, N), bool

    Returns
    -------
    Light or None
        None where no material is shaded in one direction.
    """
    moment, slope, total = np.zeros((2, 2)), np.zeros(2), 0.0
    for value in np.unique(material[(material > 0) & ~contour]):
        rows, cols = np.nonzero(material == value)
        if len(rows) < MIN_PIXELS:
            continue
        light = palette.lab[palette.index[rows, cols], 0]
        light = light - light.mean()
        place = np.stack([cols - cols.mean(), rows - rows.mean()])
        moment += place @ place.T
        slope += place @ light
        total += float(light @ light)
    if total <= 0 or np.linalg.det(moment) <= 0:
        return None
    gradient = np.linalg.solve(moment, slope)
    explained = float(gradient @ slope) / total
    if explained < MIN_EXPLAINED:
        return None
    unit = gradient / np.hypot(*gradient)
    return Light(
        (round(float(unit[0]), 3), round(float(unit[1]), 3)),
        round(min(1.0, explained**0.5), 3),
        f"Lightness falls away from this side and explains {explained:.0%} of the shading.",
    )
