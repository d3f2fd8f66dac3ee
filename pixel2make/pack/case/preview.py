"""An animated picture of the case with its light running: the same frames that the board shows.

The case is rasterised once; each LED's share of light on each pixel is reckoned once, so that a frame is
one product of these shares with what the LEDs are told.
"""

from __future__ import annotations

import io
import math
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.design.case import CaseDesign
from pixel2make.design.case.trench import trench_centres
from pixel2make.design.light.frames import MODES, frames, light_of, periods
from pixel2make.design.light.model import LightPlan
from pixel2make.design.model import Design
from pixel2make.pack.case.solids import case_boxes, cover_edges, held_scene
from pixel2make.pack.preview.camera import Camera, fitted, looking_from
from pixel2make.pack.preview.pictures import encoded
from pixel2make.pack.preview.raster import rasterize

__all__ = ["preview_frames", "preview_webp"]

Array = NDArray[np.float64]

WIDTH, HEIGHT, MARGIN, FINE = 360, 420, 22, 2
"""Pixels of the picture, room round the case, and samples along each side of a pixel."""
TOWARDS = (-0.34, -1.0, 0.36)
"""From the case to the eye: a visitor a little to the left, looking down a little."""
SHOWN_A_SECOND = 8
"""Frames a second of the picture; the board shows more, a viewer sees no difference in a slow light."""
CANDLE_SECONDS = 8.0
ROOM = (0.020, 0.021, 0.026)
"""Linear light of the dark room behind the case."""
AMBIENT = 0.06
"""How much of its own colour everything shows in the dark room."""
REACH_MM = 26.0
"""Nearer than this a lamp's light grows no more: the diffuser makes a patch of a point."""
GAIN = 22000.0
"""A white wall that one LED at full lights squarely from 150 mm away shows as one: the picture's exposure."""
EDGE = 0.16
"""How bright the edges of the clear cover are."""
QUALITY = 72


@dataclass(frozen=True, eq=False)
class _Stage:
    """What each lit pixel shows in the dark room, and what each LED adds to it.

    Attributes
    ----------
    dark : ndarray of shape (HEIGHT, WIDTH, 3)
    lit : ndarray of shape (HEIGHT, WIDTH), bool
        Pixels that show anything at all.
    added : ndarray of shape (3, P, LEDs), float32
        Light of each LED at full, by colour, on the P lit pixels.
    edges : ndarray of shape (HEIGHT, WIDTH)
    """

    dark: Array
    lit: NDArray[np.bool_]
    added: NDArray[np.float32]
    edges: Array


def preview_webp(design: Design, case: CaseDesign, light: LightPlan) -> bytes:
    """One round of the animation that the light begins with, as an animated WebP that runs for ever."""
    from PIL import Image

    shown = [Image.fromarray(frame) for frame in preview_frames(design, case, light)]
    out = io.BytesIO()
    shown[0].save(
        out,
        "WEBP",
        save_all=True,
        append_images=shown[1:],
        duration=round(1000 / SHOWN_A_SECOND),
        loop=0,
        quality=QUALITY,
        method=2,
    )
    return out.getvalue()


def preview_frames(
    design: Design, case: CaseDesign, light: LightPlan, most: int | None = None
) -> list[NDArray[np.uint8]]:
    """Pictures of one round, 8-bit sRGB of shape (HEIGHT, WIDTH, 3); at most `most` of them."""
    stage = _stage(design, case, light)
    told = _told(light)[:most]
    return [_picture(stage, frame) for frame in told]


def _told(light: LightPlan) -> Array:
    """What the LEDs are told in each shown frame, linear 0..1 of the program's cap, shape (F, LEDs, 3)."""
    steps = periods(light.frame_rate)
    whole = {
        "shimmer": math.lcm(steps["band"], steps["fade"]),
        "breathing": steps["breath"],
        "candle": round(CANDLE_SECONDS * light.frame_rate),
    }[light.animation]
    every = max(1, round(light.frame_rate / SHOWN_A_SECOND))
    engine = light_of(light.leds, light.colors, light.cap, light.frame_rate)
    assert light.animation in MODES
    return np.asarray(frames(engine, light.animation, whole)[::every].astype(float) / light.cap)


def _stage(design: Design, case: CaseDesign, light: LightPlan) -> _Stage:
    points, triangles, normals, albedo = held_scene(design, case)
    boxes = case_boxes(case)
    start = len(points)
    points = np.concatenate([points, boxes.points])
    triangles = np.concatenate([triangles, boxes.triangles + start])
    normals = np.concatenate([normals, boxes.normals])
    albedo = np.concatenate([albedo, boxes.albedo])
    edges = cover_edges(case)
    size = (WIDTH * FINE, HEIGHT * FINE)
    camera = fitted(
        looking_from(TOWARDS, (0.0, 0.0, 1.0)),
        np.concatenate([boxes.points, edges.reshape(-1, 3)]),
        size,
        (MARGIN * FINE, MARGIN * FINE),
    )
    facing = normals @ camera.towards > 0
    hits = rasterize(camera.project(points), triangles, (size[1], size[0]), is_facing=facing)
    seen = hits.triangle >= 0
    number = hits.triangle[seen]
    place = _places(camera, hits.nearness(), seen)
    fine = np.empty((size[1], size[0], 3))
    fine[:] = ROOM
    fine[seen] = albedo[number] * AMBIENT
    lit = _averaged(seen.astype(float)) > 0
    lamps = trench_centres(case, light)
    added = np.empty((3, int(lit.sum()), len(lamps)), np.float32)
    for i, lamp in enumerate(lamps):
        layer = np.zeros((size[1], size[0], 3), np.float32)
        layer[seen] = _lamp_light(place, normals[number], albedo[number], np.array(lamp))
        added[:, :, i] = _averaged(layer)[lit].T
    return _Stage(_averaged(fine), lit, added, _edge_light(camera, edges))


def _places(camera: Camera, nearness: Array, seen: NDArray[np.bool_]) -> Array:
    """Millimetres of the case at each seen sample, shape (P, 3)."""
    ys, xs = np.nonzero(seen)
    flat = np.column_stack([xs + 0.5 - camera.offset_px[0], ys + 0.5 - camera.offset_px[1], nearness[seen]])
    return np.asarray(flat @ np.linalg.inv(camera.matrix).T)


def _lamp_light(place: Array, normal: Array, albedo: Array, lamp: Array) -> Array:
    """Light of one lamp at full on each sample, and its own glow where the diffuser is seen, shape (P, 3)."""
    away = place - lamp
    square = (away**2).sum(axis=1)
    distance = np.sqrt(square) + 1e-9
    rising = np.maximum(away[:, 2] / distance, 0.0)  # the diffuser shines up, by the cosine
    falling = np.maximum(-(normal * away).sum(axis=1) / distance, 0.0)
    share = GAIN * rising * falling / (square + REACH_MM**2)
    is_on_top = (np.abs(away[:, 2]) < 1.0) & (normal[:, 2] > 0.9)
    glow = np.where(is_on_top, np.exp(-square / (2 * (REACH_MM / 3) ** 2)), 0.0)
    return np.asarray(albedo * share[:, None] + glow[:, None])


def _edge_light(camera: Camera, edges: Array) -> Array:
    """How much of each pixel the cover's edges take, shape (HEIGHT, WIDTH)."""
    from PIL import Image, ImageDraw

    picture = Image.new("L", (WIDTH * FINE, HEIGHT * FINE))
    pen = ImageDraw.Draw(picture)
    for start, end in edges:
        flat = camera.project(np.array([start, end]))[:, :2]
        pen.line([(float(x), float(y)) for x, y in flat], fill=255, width=FINE)
    return _averaged(np.asarray(picture, float) / 255.0)


def _averaged(fine: NDArray[Any]) -> Array:
    rows, columns = fine.shape[:2]
    return np.asarray(
        fine.reshape(rows // FINE, FINE, columns // FINE, FINE, *fine.shape[2:]).mean(axis=(1, 3))
    )


def _picture(stage: _Stage, told: Array) -> NDArray[np.uint8]:
    lamps = told.astype(np.float32)
    light = stage.dark.copy()
    light[stage.lit] += np.stack([stage.added[c] @ lamps[:, c] for c in range(3)], axis=1)
    mean = told.mean(axis=0)
    edge = EDGE * (0.25 + mean / max(float(mean.max()), 0.2))
    return encoded(light + stage.edges[..., None] * edge)
