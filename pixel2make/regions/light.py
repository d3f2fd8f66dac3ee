"""Where the drawn light comes from: one plane through the lightness of all regions."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.model import Light
from pixel2make.regions.palette import Palette

__all__ = ["find_light"]

MIN_PIXELS = 12
"""A region with fewer pixels shows no gradient."""

LOUD_L = 25.0
"""Lightness (L*) beyond which a pixel is a glint or a hole, not shading; it is clipped to this."""

MIN_EXPLAINED = 0.08
"""Share of the lightness variation that the plane must explain; texture alone explains less."""

BASE_CONFIDENCE, MOST_CONFIDENCE = 0.53, 0.88
"""Confidence at no explained share and its limit. On drawings of known light, a direction that explains a
tenth of the shading is right within 45 degrees two times in three, one that explains a third nine in ten."""


def find_light(palette: Palette, labels: NDArray[np.int32], contour: NDArray[np.bool_]) -> Light | None:
    """Fit one slope to the lightness within each region; uphill is where the light comes from.

    Faces turned to the light are lighter as a whole, which says more about the faces than about the
    direction in the picture: each region is measured from its own middle.

    Parameters
    ----------
    palette : Palette
    labels : ndarray of shape (M, N), int32
        Regions 1..; 0 for the background.
    contour : ndarray of shape (M, N), bool
        Not looked at.

    Returns
    -------
    Light or None
        None where the regions are not shaded in one direction.
    """
    use = (labels > 0) & ~contour
    use &= (np.bincount(labels.ravel()) >= MIN_PIXELS)[labels]
    if not use.any():
        return None
    region = np.unique(labels[use], return_inverse=True)[1]
    rows, cols = np.nonzero(use)
    place = np.stack([_centred(cols, region), _centred(rows, region)])
    light = palette.lab[palette.index[use], 0]
    light = np.clip(light - _medians(light, region)[region], -LOUD_L, LOUD_L)
    light = _centred(light, region)
    moment, slope, total = place @ place.T, place @ light, float(light @ light)
    if total <= 0 or np.linalg.matrix_rank(moment) < 2:
        return None
    gradient = np.linalg.solve(moment, slope)
    explained = float(gradient @ slope) / total
    if explained < MIN_EXPLAINED:
        return None
    x, y = gradient / np.hypot(*gradient)
    return Light(
        (round(float(x), 3), round(float(y), 3)),
        round(min(BASE_CONFIDENCE + explained, MOST_CONFIDENCE), 3),
        f"Lightness falls away from this side; that explains {explained:.0%} of the shading.",
    )


def _centred(values: NDArray[np.generic], group: NDArray[np.int64]) -> NDArray[np.float64]:
    """Values less the mean of their group."""
    numbers = np.asarray(values, float)
    mean = np.bincount(group, numbers) / np.bincount(group)
    return np.asarray(numbers - mean[group])


def _medians(values: NDArray[np.float64], group: NDArray[np.int64]) -> NDArray[np.float64]:
    """Upper median of each group; groups are 0.. without a gap."""
    order = np.lexsort((values, group))
    size = np.bincount(group)
    return np.asarray(values[order][np.cumsum(size) - size + size // 2])
