"""The shaded pictures of the pack: as the sprite shows the object, lying on its back, and from the spine."""

from __future__ import annotations

import io
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import encoded_srgb
from pixel2make.design.model import Design
from pixel2make.pack.model.build import model_of
from pixel2make.pack.model.glb import glb_bytes
from pixel2make.pack.model.solid import Model
from pixel2make.pack.preview.camera import Camera, fitted, looking_from
from pixel2make.pack.preview.drawn import as_drawn_cameras, is_mirrored, mirrored
from pixel2make.pack.preview.scene import scene_of
from pixel2make.pack.preview.shade import Picture, picture_of

__all__ = ["developed", "lamp_for", "png_bytes", "preview_files"]

PAPER = (0.955, 0.945, 0.925)
"""Linear light of the ground, a warm white."""

_SIDE, _MARGIN = 640, 44
"""Pixels along the longer side of a picture, and what is left free around the object."""

_SHADOW_REACH, _SHADOW_DARK = 0.05, 0.42
"""The object's shadow on the paper behind it: how far it falls, as a share of the picture, and how dark."""

_COARSE = 4
"""Pixels along a cell of the grid that the shadow is made on; its finest blur is a few of them wide."""

_LAMP = (-0.52, 0.62, 0.85)
"""Towards the light, along the picture's right and up and towards the eye: over the left shoulder, as
drawings are lit."""


def preview_files(design: Design) -> dict[str, bytes]:
    """The shaded pictures and the model for 3D viewers, by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    dict of str to bytes
        "preview/as_drawn.png" from where the sprite shows the object, "preview/lying.png",
        "preview/spine.png", "preview/beside_the_sprite.png", "preview/model.glb"; "preview/turntable.webp"
        where it was asked for.
    """
    model, reading = model_of(design), design.reading
    drawn = as_drawn_cameras(design)[0]
    seen = mirrored(model) if is_mirrored(reading.view) else model
    files = {"preview/as_drawn.png": png_bytes(_on_paper(model, drawn))}
    for name, towards, up in _OTHERS:
        away = (-towards[0], *towards[1:]) if is_mirrored(reading.view) else towards
        files[f"preview/{name}.png"] = png_bytes(_on_paper(seen, looking_from(away, up)))
    files["preview/beside_the_sprite.png"] = beside_png(design, seen)
    if design.taken.get("turntable") == "webp":
        files["preview/turntable.webp"] = _turntable(seen)
    files["preview/model.glb"] = glb_bytes(seen, reading.regions.sprite.file.rsplit(".", 1)[0])
    return files


_OTHERS = (
    ("lying", (0.62, -0.95, 1.02), (0.0, 0.0, 1.0)),
    ("spine", (-1.0, 0.52, 0.95), (0.0, 1.0, 0.0)),
)


def lamp_for(camera: Camera) -> NDArray[np.float64]:
    """Unit vector towards the light."""
    right, up, near = _LAMP
    lamp = right * camera.right + up * camera.up + near * camera.towards
    return np.asarray(lamp / np.linalg.norm(lamp))


def beside_png(design: Design, model: Model) -> bytes:
    """The sprite and the finished object side by side, with rule and hand."""
    from pixel2make.pack.preview.beside import beside

    return png_bytes(beside(design, model))


_FRAMES, _FRAME_PX, _FRAME_MS = 36, 360, 90
"""Frames of one turn, their side in pixels and how long each is shown."""


def _turntable(model: Model) -> bytes:
    """An animated WebP: the object standing, turned once about its upright axis, from a little above."""
    from PIL import Image

    scene = scene_of(model)
    low, high = model.bounds_mm
    reach = float(np.linalg.norm(high - low)) / 2
    frames = []
    for number in range(_FRAMES):
        angle = 2 * np.pi * number / _FRAMES
        camera = looking_from((np.sin(angle), 0.35, np.cos(angle)), (0.0, 1.0, 0.0))
        scale = 0.47 * _FRAME_PX / reach
        middle = camera.project((low + high)[None] / 2)[0, :2] * scale
        offset = (_FRAME_PX / 2 - float(middle[0]), _FRAME_PX / 2 - float(middle[1]))
        near = camera.scaled(scale, offset)
        picture = picture_of(scene, near, (_FRAME_PX, _FRAME_PX), lamp_for(near))
        frames.append(Image.fromarray(developed(picture)))
    out = io.BytesIO()
    frames[0].save(
        out, "WEBP", save_all=True, append_images=frames[1:], duration=_FRAME_MS, loop=0, quality=80, method=4
    )
    return out.getvalue()


def _on_paper(model: Model, camera: Camera) -> NDArray[np.uint8]:
    scene = scene_of(model)
    flat = camera.project(scene.points)[:, :2]
    extent = flat.max(axis=0) - flat.min(axis=0)
    factor = (_SIDE - 2 * _MARGIN) / float(extent.max())
    size = (int(extent[0] * factor) + 2 * _MARGIN, int(extent[1] * factor) + 2 * _MARGIN)
    near = fitted(camera, scene.points, size, (_MARGIN, _MARGIN))
    return developed(picture_of(scene, near, size, lamp_for(near)))


def developed(picture: Picture) -> NDArray[np.uint8]:
    """The picture on paper with a soft shadow, as 8-bit sRGB of shape (rows, columns, 3)."""
    from scipy.ndimage import gaussian_filter, shift

    rows, columns = picture.cover.shape
    reach = _SHADOW_REACH * max(rows, columns) / 2 / _COARSE
    # The shadow is soft, so it is made on a coarser grid.
    tall, wide = -(-rows // _COARSE), -(-columns // _COARSE)
    padded = np.pad(picture.cover, ((0, tall * _COARSE - rows), (0, wide * _COARSE - columns)), mode="edge")
    cover = padded.reshape(tall, _COARSE, wide, _COARSE).mean(axis=(1, 3))
    coarse = np.zeros_like(cover)
    for share, dark in ((1.0, 0.6), (0.35, 0.4)):
        moved = shift(cover, (reach * share, reach * share * 0.7), order=1)
        coarse += dark * gaussian_filter(moved, reach * share * 0.6)
    shadow = _enlarged(coarse, _COARSE)[:rows, :columns]
    ground = np.array(PAPER, np.float32) * (1 - _SHADOW_DARK * shadow[..., None])
    light = picture.light + ground * (1 - picture.cover[..., None])
    return encoded(light)


def _enlarged(values: NDArray[np.float32], by: int) -> NDArray[np.float32]:
    """Values at the middles of cells, drawn out straight between them."""
    for axis in (0, 1):
        count = values.shape[axis]
        place = np.clip((np.arange(count * by, dtype=np.float32) + 0.5) / by - 0.5, 0, count - 1)
        low = np.minimum(place.astype(int), max(count - 2, 0))
        share = (place - low).reshape((-1, 1) if axis == 0 else (1, -1))
        high = np.minimum(low + 1, count - 1)
        values = values.take(low, axis) * (1 - share) + values.take(high, axis) * share
    return np.asarray(values, np.float32)


def encoded(light: NDArray[Any]) -> NDArray[np.uint8]:
    """Linear light as 8-bit sRGB; what is too bright rolls off softly."""
    light = np.asarray(light, np.float32)
    peak = np.maximum(light.max(axis=-1, keepdims=True), np.float32(1e-6))
    wanted = np.where(peak > 0.8, 0.8 + 0.2 * (1 - np.exp(-(peak - 0.8) / 0.2)), peak)
    # The hue stays; only what is far too bright turns towards white, as a glint does.
    pale = np.clip((peak - 1.0) / 1.5, 0, 0.6)
    soft = light * (wanted / peak) * (1 - pale) + wanted * pale
    return encoded_srgb(soft)


def png_bytes(picture: NDArray[np.uint8]) -> bytes:
    """A PNG without date or comment."""
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(picture).save(out, "PNG", compress_level=3)
    return out.getvalue()
