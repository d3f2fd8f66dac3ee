"""One picture of a drawing, its truth and its reading side by side."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tests.truth.model import FEATURES, Drawn
from tests.truth.score import feature_map

if TYPE_CHECKING:
    from PIL import Image

__all__ = ["FEATURE_RGB", "picture"]

SCALE = 12
GROUND = (92, 96, 104)
TRUE_RGB, SAID_RGB = (60, 230, 90), (255, 60, 60)
FEATURE_RGB = dict(
    zip(
        FEATURES,
        (
            (178, 60, 60),
            (120, 40, 100),
            (240, 230, 200),
            (110, 60, 30),
            (250, 200, 40),
            (60, 110, 60),
            (230, 130, 30),
            (60, 140, 230),
            (150, 220, 230),
            (180, 150, 240),
            (240, 90, 170),
            (20, 20, 26),
            GROUND,
            (128, 128, 128),
        ),
        strict=True,
    )
)
"""A colour a feature, told apart by lightness too."""


def _enlarged(rgb: NDArray[np.uint8]) -> NDArray[np.uint8]:
    return rgb.repeat(SCALE, 0).repeat(SCALE, 1)


def _painted(features: NDArray[np.str_]) -> NDArray[np.uint8]:
    out = np.full((*features.shape, 3), 255, np.uint8)
    for word, rgb in FEATURE_RGB.items():
        out[features == word] = rgb
    return out


def picture(drawn: Drawn, found: object) -> Image.Image:
    """Sprite with both boxes (true green, said red), true features, said features.

    Parameters
    ----------
    drawn : Drawn
    found : Reading, View or None
    """
    from PIL import Image, ImageDraw

    alpha = drawn.rgba[..., 3:].astype(float) / 255
    sprite = (drawn.rgba[..., :3] * alpha + np.array(GROUND) * (1 - alpha)).astype(np.uint8)
    panels = [sprite, sprite, _painted(drawn.features)]
    if hasattr(found, "features"):
        panels.append(_painted(feature_map(found)))  # type: ignore[arg-type]
    gap = np.full((drawn.rgba.shape[0] * SCALE, SCALE // 2, 3), 255, np.uint8)
    pieces = [piece for panel in panels for piece in (_enlarged(panel), gap)][:-1]
    image = Image.fromarray(np.concatenate(pieces, 1))
    pen = ImageDraw.Draw(image)
    left = drawn.rgba.shape[1] * SCALE + SCALE // 2
    box = drawn.box
    _outline(pen, left, drawn.corners, box.t, TRUE_RGB, 3)
    view = getattr(found, "view", found)
    if view is not None:
        corners = np.array(view.cover_corners_px, float)  # type: ignore[attr-defined]
        _outline(pen, left, corners, view.thickness_px or (0.0, 0.0), SAID_RGB, 1)  # type: ignore[attr-defined]
    return image


def _outline(
    pen: object,
    left: int,
    corners: NDArray[np.float64],
    t: tuple[float, float],
    rgb: tuple[int, int, int],
    width: int,
) -> None:
    """Draw cover, back cover and the edges between; a dot marks the head-spine corner."""

    def at(point: NDArray[np.float64]) -> tuple[float, float]:
        return left + float(point[0]) * SCALE, float(point[1]) * SCALE

    for i in range(4):
        here, there = corners[i], corners[(i + 1) % 4]
        pen.line([at(here), at(there)], fill=rgb, width=width)  # type: ignore[attr-defined]
        if t != (0.0, 0.0):
            pen.line([at(here + t), at(there + t)], fill=rgb, width=1)  # type: ignore[attr-defined]
            pen.line([at(here), at(here + t)], fill=rgb, width=1)  # type: ignore[attr-defined]
    x, y = at(corners[0])
    pen.ellipse([x - 3, y - 3, x + 3, y + 3], fill=rgb)  # type: ignore[attr-defined]
