"""The finished object drawn again from the sprite's view onto the sprite's native grid."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.design.model import Design
from pixel2make.pack.model.build import model_of
from pixel2make.pack.model.solid import Model
from pixel2make.pack.preview.camera import Camera
from pixel2make.pack.preview.drawn import as_drawn_cameras
from pixel2make.pack.preview.raster import rasterize
from pixel2make.pack.preview.scene import Scene, scene_of

__all__ = ["BACKGROUND", "Redrawn", "redrawn"]

BACKGROUND = "background"

_SAMPLES = 8
"""Samples along each side of a native pixel: a line of an eighth of a pixel is still seen."""

_COVERED = 0.5
"""A pixel that the object covers to half or more shows the object."""


@dataclass(frozen=True, eq=False)
class Redrawn:
    """The object on the native grid, which goes on around the picture where the object does.

    Attributes
    ----------
    margin : int
        Pixels by which the grid is larger than the picture on every side; 0 where all lies in it.
    words : tuple of str
        Feature words; `label` counts into them. The first is "background".
    label : ndarray of shape (M, N), int64
        What most of each pixel shows.
    color : ndarray of shape (M, N, 3), uint8
        sRGB of that, without light and shade; 0 where there is only background.
    """

    margin: int
    words: tuple[str, ...]
    label: NDArray[np.int64]
    color: NDArray[np.uint8]


def redrawn(design: Design) -> Redrawn:
    """Draw the design's solids through the drawn projection and sum them up pixel by pixel.

    Nothing of the sprite's pixels is used but the drawn box: what is seen comes from the design's own
    lengths, areas, parts and colours.
    """
    model = model_of(design)
    scene = scene_of(model)
    words = (BACKGROUND, *dict.fromkeys(solid.feature for solid in model.solids))
    word_of = np.array([words.index(solid.feature) for solid in model.solids])
    cameras = as_drawn_cameras(design)
    margin = _margin(scene, cameras, design.reading.regions.sprite.shape)
    rows, columns = (side + 2 * margin for side in design.reading.regions.sprite.shape)
    solid = np.full((rows * _SAMPLES, columns * _SAMPLES), -1)
    for camera in cameras:
        seen = _solids(scene, camera.scaled(1.0, (margin, margin)), solid.shape)
        solid = np.where(solid < 0, seen, solid)
    square = solid.reshape(rows, _SAMPLES, columns, _SAMPLES).transpose(0, 2, 1, 3)
    tiles = np.reshape(square, (rows, columns, _SAMPLES**2))
    shown = np.where(tiles < 0, 0, word_of[tiles])
    counts = np.stack([(shown == number).sum(axis=2) for number in range(len(words))], axis=2)
    is_object = counts[..., 1:].sum(axis=2) >= _COVERED * _SAMPLES**2
    label = np.where(is_object, counts[..., 1:].argmax(axis=2) + 1, 0)
    return Redrawn(margin, words, label, _colors(model, tiles, shown, label))


def _margin(scene: Scene, cameras: Sequence[Camera], shape: tuple[int, ...]) -> int:
    """Pixels that the object reaches beyond the picture; less than half a pixel shows nowhere."""
    rows, columns = shape
    flat = np.concatenate([camera.project(scene.points)[:, :2] for camera in cameras])
    beyond = max(float((-flat).max()), float((flat - (columns, rows)).max()))
    return max(0, min(math.floor(beyond + 0.5), max(rows, columns)))


def _solids(scene: Scene, camera: Camera, shape: tuple[int, int]) -> NDArray[np.int64]:
    fine = camera.scaled(_SAMPLES)
    hits = rasterize(fine.project(scene.points), scene.triangles, shape, is_facing=scene.facing(fine.towards))
    return np.where(hits.triangle >= 0, scene.solid[hits.triangle], -1)


def _colors(
    model: Model, tiles: NDArray[np.int64], shown: NDArray[np.int64], label: NDArray[np.int64]
) -> NDArray[np.uint8]:
    """The colour that most samples of each pixel's own feature have: a painter picks one and mixes none."""
    palette = sorted({solid.color for solid in model.solids})
    of_solid = np.array([palette.index(solid.color) for solid in model.solids])
    color = np.where(shown == label[..., None], of_solid[tiles], -1)
    counts = np.stack([(color == number).sum(axis=2) for number in range(len(palette))], axis=2)
    rgb = np.array([[int(c[i : i + 2], 16) for i in (1, 3, 5)] for c in palette], np.uint8)
    found = rgb[counts.argmax(axis=2)]
    found[label == 0] = 0
    return found
