"""Colours to materials: the shades of one ramp, noise and dithering belong together.

A pixel artist shades with a ramp: few steps from dark to light of one hue, the hue drifting a little.
So two colours are near when their hue and chroma agree at equal lightness, whatever their lightness,
and nearer when the drawing mixes them pixel by pixel.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference

__all__ = ["materials_of", "misfit_of", "shade_distance"]

LIGHTNESS_WEIGHT = 0.35
"""Weight of L* against hue and chroma in CIEDE2000: a ramp spans lightness, not hue."""

NO_LIGHTNESS = 1e-3
"""Weight of L* that compares hue and chroma alone; the formula divides by its inverse, so not 0."""

COMMON_L = 34.0
"""Lightness at which hue and chroma are compared."""

SAME_RAMP = 12.5
"""Distance up to which two shades that touch belong to one ramp."""

DRIFT, DRIFT_PER_L = 5.5, 0.43
"""Largest difference of hue and chroma within one material, at equal lightness and for each step of L*
between: the hue of a ramp drifts with its lightness. Keeps a chain of shades from running on."""

APART_FACTOR, TOUCH_SHARE = 2.2, 0.12
"""Colours that never touch must be this much closer to count as one material, since shading goes step by
step; the factor fades to 1 where a shade has this share of its pixel edges with the other."""

CLEAR_STEP = 12.5
"""Mean distance along the pixel edges that two groups of shades share from which the drawing parts them,
even where other shades would bridge it."""

QUIET, LOUD = 20.0, 45.0
"""CIEDE2000 up to which scattered pixels are texture, and from which they are lettering or ornament."""

FEW_SHADES, FEW_STEP = 4, 17.0
"""Where so few shades of one hue draw everything, each is a material rather than a step of a ramp: a step
of this CIEDE2000 counts as if the two never touched. The steps of an ordinary ramp are smaller."""

MIXED_SHARE = 0.9
"""How much of its distance a pair loses when the drawing mixes it pixel by pixel."""


def shade_distance(
    lab1: NDArray[np.float64], lab2: NDArray[np.float64], weight: float
) -> NDArray[np.float64]:
    """CIEDE2000 between colours brought to a common lightness in proportion, L* weighing `weight`.

    Light scales all three primaries alike, which scales L* + 16, a* and b* by one factor (CIELAB is a
    cube root), so hue and chroma are compared as they would show under equal light.
    """
    return np.asarray(difference(_evened(lab1), _evened(lab2), lightness_weight=weight), float)


def _evened(lab: NDArray[np.float64]) -> NDArray[np.float64]:
    factor = np.clip((COMMON_L + 16) / (lab[..., :1] + 16), 0.7, 1.8)
    return np.concatenate([lab[..., :1], lab[..., 1:] * factor], axis=-1)


def materials_of(
    lab: NDArray[np.float64],
    counts: NDArray[np.int64],
    touching: NDArray[np.int64],
    specks: NDArray[np.float64],
) -> NDArray[np.int32]:
    """Group shades into materials.

    Parameters
    ----------
    lab : ndarray of shape (K, 3)
    counts : ndarray of shape (K,)
        Pixels of each shade.
    touching : ndarray of shape (K, K)
        Pixel edges that two shades share; symmetric.
    specks : ndarray of shape (K,)
        0..1, how much a shade is scattered in specks, dithering or lines.

    Returns
    -------
    material : ndarray of shape (K,), int32
        0.. in order of the first shade.
    """
    near, seen, span = _distances(lab, counts, touching, specks)
    contact, steps = touching.astype(float), touching * seen
    np.fill_diagonal(near, np.inf)
    group = np.arange(len(lab), dtype=np.int32)
    while len(lab) > 1:
        first, second = np.unravel_index(int(near.argmin()), near.shape)
        if near[first, second] > SAME_RAMP:
            break
        low, high = sorted((int(first), int(second)))
        if span[low, high] > 1 or steps[low, high] > CLEAR_STEP * contact[low, high]:
            near[low, high] = near[high, low] = np.inf
            continue
        group[group == high] = low
        for table, joined in ((contact, np.add), (steps, np.add), (near, np.minimum), (span, np.maximum)):
            table[low] = joined(table[low], table[high])
            table[:, low] = table[low]
        near[low, low], span[low, low] = np.inf, 0
        near[high, :] = near[:, high] = np.inf
    return np.unique(group, return_inverse=True)[1].astype(np.int32)


def _distances(
    lab: NDArray[np.float64],
    counts: NDArray[np.int64],
    touching: NDArray[np.int64],
    specks: NDArray[np.float64],
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Three tables of shape (K, K) for pairs of shades.

    How far they are for joining; how far where they touch; and how much their hue and chroma differ,
    as a share of what one material allows.
    """
    one, two = lab[:, None], lab[None, :]
    drift = shade_distance(one, two, NO_LIGHTNESS)
    span = drift / (DRIFT + DRIFT_PER_L * np.abs(one[..., 0] - two[..., 0]))
    fewer = np.minimum(counts[:, None], counts[None, :]).clip(min=1)
    rarer = np.where(counts[:, None] <= counts[None, :], specks[:, None], specks[None, :])
    contrast = difference(one, two)
    quiet = np.clip((LOUD - contrast) / (LOUD - QUIET), 0, 1)
    # Scattered single pixels share four edges each with what they lie in, lines two.
    mixed = np.minimum(touching / (2.0 * fewer), 1) * rarer * quiet
    seen = shade_distance(one, two, LIGHTNESS_WEIGHT) * (1 - MIXED_SHARE * mixed)
    edges = touching.sum(axis=1).clip(min=1)
    share = np.maximum(touching / edges[:, None], touching / edges[None, :])
    apart = 1 + (APART_FACTOR - 1) * np.clip(1 - share / TOUCH_SHARE, 0, 1)
    if len(lab) <= FEW_SHADES and span.max() <= 1:
        apart = np.where(contrast >= FEW_STEP, apart * APART_FACTOR, apart)
    return seen * apart, seen, span


def misfit_of(lab: NDArray[np.float64], material: NDArray[np.int32]) -> NDArray[np.float64]:
    """Cost of each shade in each material, shape (K, materials): distance to its nearest shade there.

    1 is the limit of a ramp.
    """
    near = shade_distance(lab[:, None], lab[None, :], LIGHTNESS_WEIGHT) / SAME_RAMP
    return np.stack([near[:, material == m].min(axis=1) for m in range(int(material.max()) + 1)], axis=1)
