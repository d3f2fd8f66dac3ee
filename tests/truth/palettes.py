"""Colour ramps with hue shift, and the colours that books, pages and fittings are drawn in."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

__all__ = ["COOL_HUE", "METALS", "PAGES", "PALETTES", "oklch_to_srgb", "ramp", "srgb_to_oklab"]

Shade = tuple[float, float, float]
"""(lightness 0..1, chroma 0..0.3, hue in degrees) in OKLCh."""

COOL_HUE = 285.0
"""Shadows lean to blue violet, lights to yellow: the hue shift that pixel artists use (common practice)."""
WARM_HUE = 95.0

PALETTES: dict[str, tuple[Shade, ...]] = {
    "leather": (
        (0.42, 0.075, 45),
        (0.50, 0.085, 55),
        (0.36, 0.06, 35),
        (0.58, 0.09, 62),
        (0.46, 0.10, 40),
    ),
    "vivid": (
        (0.50, 0.19, 25),
        (0.48, 0.16, 262),
        (0.52, 0.14, 148),
        (0.46, 0.17, 305),
        (0.58, 0.12, 205),
        (0.62, 0.18, 45),
        (0.60, 0.19, 355),
    ),
    "muted": (
        (0.45, 0.09, 22),
        (0.42, 0.06, 255),
        (0.46, 0.06, 140),
        (0.42, 0.07, 310),
        (0.52, 0.03, 230),
        (0.55, 0.06, 90),
    ),
    "extreme": (
        (0.27, 0.015, 280),
        (0.24, 0.03, 300),
        (0.88, 0.015, 90),
        (0.84, 0.02, 250),
        (0.74, 0.14, 86),
        (0.60, 0.01, 260),
    ),
    "candy": (
        (0.72, 0.13, 350),
        (0.75, 0.11, 190),
        (0.78, 0.12, 110),
        (0.68, 0.13, 290),
        (0.74, 0.13, 60),
    ),
    "quartet": (
        (0.56, 0.09, 130),
        (0.56, 0.05, 250),
        (0.56, 0.10, 20),
        (0.56, 0.02, 90),
    ),
    "abyss": (
        (0.34, 0.08, 195),
        (0.32, 0.10, 335),
        (0.38, 0.07, 120),
        (0.33, 0.09, 270),
        (0.40, 0.10, 15),
        (0.45, 0.05, 75),
    ),
}
PAGES: dict[str, Shade] = {
    "cream": (0.90, 0.045, 88),
    "white": (0.94, 0.008, 90),
    "grey": (0.80, 0.01, 260),
    "parchment": (0.82, 0.07, 80),
    "gilt": (0.76, 0.12, 85),
    "bluish": (0.88, 0.03, 235),
    "pinkish": (0.86, 0.04, 20),
}
METALS: dict[str, Shade] = {
    "gold": (0.76, 0.14, 85),
    "silver": (0.78, 0.012, 250),
    "bronze": (0.60, 0.10, 60),
    "iron": (0.50, 0.012, 265),
    "copper": (0.64, 0.12, 45),
    "brass": (0.70, 0.11, 95),
}

TO_LMS = np.array(
    [
        [1, 0.3963377774, 0.2158037573],
        [1, -0.1055613458, -0.0638541728],
        [1, -0.0894841775, -1.2914855480],
    ]
)
TO_RGB = np.array(
    [
        [4.0767416621, -3.3077115913, 0.2309699292],
        [-1.2684380046, 2.6097574011, -0.3413193965],
        [-0.0041960863, -0.7034186147, 1.7076147010],
    ]
)
"""B. Ottosson, "A perceptual color space for image processing", 2020: OKLab to cone roots, cones to RGB."""


def oklch_to_srgb(lch: NDArray[np.float64]) -> NDArray[np.uint8]:
    """Colours (K, 3) in OKLCh (hue in degrees) as sRGB bytes (K, 3), clipped to the gamut."""
    lch = np.atleast_2d(np.asarray(lch, float))
    hue = np.radians(lch[:, 2])
    lab = np.stack([lch[:, 0], lch[:, 1] * np.cos(hue), lch[:, 1] * np.sin(hue)], 1)
    linear = np.clip(((lab @ TO_LMS.T) ** 3) @ TO_RGB.T, 0, 1)
    curved = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.round(curved * 255).astype(np.uint8)


def srgb_to_oklab(rgb: NDArray[np.uint8]) -> NDArray[np.float64]:
    """sRGB bytes (K, 3) as OKLab (K, 3); a just noticeable difference is about 0.02 (from memory)."""
    part = np.atleast_2d(np.asarray(rgb, float)) / 255
    linear = np.where(part <= 0.04045, part / 12.92, ((part + 0.055) / 1.055) ** 2.4)
    return np.asarray(np.cbrt(linear @ np.linalg.inv(TO_RGB).T) @ np.linalg.inv(TO_LMS).T)


def ramp(base: Shade, count: int, *, contrast: float, shift: float) -> NDArray[np.uint8]:
    """Shades of one material, darkest first, sRGB bytes (count, 3).

    Parameters
    ----------
    base : (lightness, chroma, hue)
        The middle shade.
    count : int
    contrast : float
        Lightness between the middle and the ends; squeezed where the base is near black or white.
    shift : float
        Degrees by which the ends lean to cool (dark) and warm (light).
    """
    lightness, chroma, hue = base
    steps = np.linspace(-1, 1, count) if count > 1 else np.zeros(1)
    room = np.where(steps < 0, min(contrast, lightness - 0.10), min(contrast, 0.985 - lightness))
    out = np.zeros((count, 3))
    out[:, 0] = lightness + steps * room
    out[:, 1] = chroma * (1 - 0.3 * steps**2)
    for i, s in enumerate(steps):
        goal = COOL_HUE if s < 0 else WARM_HUE
        gap = (goal - hue + 180) % 360 - 180
        out[i, 2] = hue + np.sign(gap) * min(abs(gap), shift * abs(s))
    return oklch_to_srgb(out)
