"""sRGB, CIELAB and the CIEDE2000 difference.

Lab is CIELAB for the D65 white and the 2 degree observer (ISO/CIE 11664-4), sRGB is that of
IEC 61966-2-1, the difference is CIEDE2000 (ISO/CIE 11664-6). The arithmetic is scikit-image's.
"""

from __future__ import annotations

import re
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["difference", "hex_of", "lab_to_srgb", "rgb_of", "srgb_to_lab", "tone_down"]

_HEX = re.compile(r"#[0-9a-fA-F]{6}\Z")


def srgb_to_lab(rgb: ArrayLike) -> NDArray[np.float64]:
    """CIELAB of 8-bit sRGB.

    Parameters
    ----------
    rgb : array_like of shape (..., 3), uint8

    Returns
    -------
    lab : ndarray of shape (..., 3), float64
        L* 0..100, a*, b*; D65, 2 degree.

    Examples
    --------
    >>> srgb_to_lab([255, 255, 255]).round(2).tolist()[0]
    100.0
    """
    from skimage.color import rgb2lab

    values = np.asarray(rgb)
    if values.shape[-1:] != (3,):
        raise ValueError(f"rgb has shape (..., 3), got {values.shape}")
    return np.asarray(rgb2lab(values.astype(np.float64) / 255.0), dtype=np.float64)


def lab_to_srgb(lab: ArrayLike) -> NDArray[np.uint8]:
    """Nearest 8-bit sRGB of CIELAB, shape (..., 3); what sRGB cannot show is clipped per channel."""
    from skimage.color import lab2rgb

    return np.asarray(np.rint(lab2rgb(np.asarray(lab, dtype=np.float64)) * 255), dtype=np.uint8)


def difference(lab1: ArrayLike, lab2: ArrayLike, *, lightness_weight: float = 1.0) -> Any:
    """CIEDE2000 colour difference, symmetric in its two colours.

    Parameters
    ----------
    lab1, lab2 : array_like of shape (..., 3)
        They broadcast against each other.
    lightness_weight : float
        1 is CIEDE2000 with all weights 1; less makes light and shade count less (the formula's
        parametric factor k_L is its inverse).

    Returns
    -------
    delta : float64 or ndarray of shape (...)
        About 1 is just visible side by side.

    References
    ----------
    Sharma, Wu, Dalal: The CIEDE2000 Color-Difference Formula, Color Research and Application 30(1), 2005.
    """
    from skimage.color import deltaE_ciede2000

    first, second = np.broadcast_arrays(np.asarray(lab1, np.float64), np.asarray(lab2, np.float64))
    return deltaE_ciede2000(first, second, kL=1.0 / lightness_weight)  # type: ignore[no-untyped-call]


def hex_of(rgb: ArrayLike) -> str:
    """Lower-case hex of one 8-bit sRGB colour.

    >>> hex_of([216, 176, 64])
    '#d8b040'
    """
    red, green, blue = (int(v) for v in np.asarray(rgb).reshape(-1)[:3])
    return f"#{red:02x}{green:02x}{blue:02x}"


def rgb_of(color: str) -> NDArray[np.uint8]:
    """8-bit sRGB, shape (3,), of a hex like "#d8b040"; ValueError for anything else."""
    if not _HEX.match(color):
        raise ValueError(f"a colour is # and six hex digits, got {color!r}")
    return np.array([int(color[i : i + 2], 16) for i in (1, 3, 5)], dtype=np.uint8)


def tone_down(color: str, *, chroma: float = 0.6) -> str:
    """The same hue and lightness with less chroma, in CIELCh.

    Screen colours are purer than leather, cloth and paint; this is the colour to look for in a shop.

    Parameters
    ----------
    color : str
        "#d8b040".
    chroma : float
        0..1, share of the chroma that is kept.

    Returns
    -------
    str
        Hex. Less chroma never leaves sRGB here, but for clipping by rounding.

    Examples
    --------
    >>> tone_down("#808080")
    '#808080'
    """
    if not 0 <= chroma <= 1:
        raise ValueError(f"chroma is 0 to 1, got {chroma}")
    lab = srgb_to_lab(rgb_of(color))
    return hex_of(lab_to_srgb(lab * (1.0, chroma, chroma)))
