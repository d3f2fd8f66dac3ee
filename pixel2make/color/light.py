"""The transfer curve of sRGB (IEC 61966-2-1): between 8-bit codes and linear light."""

from __future__ import annotations

import functools
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.color.space import rgb_of

__all__ = ["encoded_srgb", "linear_light"]

_STEPS = 1 << 14
"""Steps of linear light in the table: where it is steepest the curve rises by a fifth of a code a step."""


def linear_light(color: str) -> NDArray[np.float64]:
    """Linear light 0..1 of an sRGB hex, shape (3,).

    Examples
    --------
    >>> linear_light("#ff8000").round(4).tolist()
    [1.0, 0.2159, 0.0]
    """
    value = rgb_of(color) / 255.0
    return np.asarray(np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4))


def encoded_srgb(light: NDArray[Any]) -> NDArray[np.uint8]:
    """8-bit sRGB of linear light 0..1 of any shape; what lies beyond is clipped.

    Examples
    --------
    >>> encoded_srgb(np.array([-1.0, 0.0, 0.2159, 1.0, 7.0])).tolist()
    [0, 0, 128, 255, 255]
    """
    steps = np.clip(light * (_STEPS - 1) + 0.5, 0, _STEPS - 1).astype(np.uint16)
    return _curve()[steps]


@functools.cache
def _curve() -> NDArray[np.uint8]:
    linear = np.linspace(0, 1, _STEPS)
    curve = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    return np.asarray(np.rint(curve * 255), np.uint8)
