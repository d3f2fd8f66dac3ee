"""Colour: sRGB to CIELAB and back, CIEDE2000, hex."""

from __future__ import annotations

from pixel2make.color.light import encoded_srgb, linear_light
from pixel2make.color.space import difference, hex_of, lab_to_srgb, rgb_of, srgb_to_lab, tone_down

__all__ = [
    "difference",
    "encoded_srgb",
    "hex_of",
    "lab_to_srgb",
    "linear_light",
    "rgb_of",
    "srgb_to_lab",
    "tone_down",
]
