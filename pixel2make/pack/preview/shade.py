"""Light on what the z-buffer found: key light with shadow, sky, gloss by finish, grain, dark corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.pack.model.solid import FINISHES
from pixel2make.pack.preview.camera import Camera, fitted, looking_from
from pixel2make.pack.preview.raster import Hits, rasterize
from pixel2make.pack.preview.scene import Scene
from pixel2make.pack.preview.texture import PEBBLES, TILE, grain, mottle, scatter

__all__ = ["Picture", "picture_of"]

Array = NDArray[np.float64]
Float = NDArray[np.float32]
Ints = NDArray[np.int64]

SAMPLES = 2
"""Samples along each side of a pixel."""

_SHADOW_SIDE = 512
"""Pixels along the longer side of the shadow map."""
_SHADOW_SHARE = 0.62
"""How much of the key light a shadow takes away; the sky fills the rest."""

_AMBIENT, _KEY = 0.58, 0.66
"""Shares of light from the sky and from the key light: a face square to both stands near its own colour."""

_EYE, _LAMP = 3.2, 2.6
"""Distance of eye and lamp for highlights, in sizes of the object: near enough that a flat cover is not
one flat tone."""

_PEBBLE_MM, _GRAIN = 2.6, 0.55
"""Breadth of a pebble of the leather's grain on a book of 300 mm, and how steep it is."""
_BOOK_MM = 300.0

_CORNER_SHARES = (0.012, 0.04)
"""Reach of the darkening in corners, as shares of the picture's longer side."""
_CORNER_DEPTH, _CORNER_DARK = 0.02, 0.5
"""Depth, as a share of the object's size, at which a corner is as dark as it gets, and how dark that is."""


@dataclass(frozen=True, eq=False)
class Picture:
    """A rendered picture in linear light.

    Attributes
    ----------
    light : ndarray of shape (rows, columns, 3), float32
        Linear light, premultiplied by `cover`.
    cover : ndarray of shape (rows, columns), float32
        Share of each pixel that shows the object.
    """

    light: Float
    cover: Float


def picture_of(scene: Scene, camera: Camera, size: tuple[int, int], lamp: Array) -> Picture:
    """The scene in light.

    Parameters
    ----------
    scene : Scene
    camera : Camera
        For a picture of `size`.
    size : (width, height)
        In pixels.
    lamp : ndarray of shape (3,)
        Unit vector from the object towards the light.
    """
    columns, rows = size
    fine = camera.scaled(SAMPLES)
    facing = scene.facing(fine.towards)
    hits = rasterize(
        fine.project(scene.points), scene.triangles, (rows * SAMPLES, columns * SAMPLES), is_facing=facing
    )
    # A pixel that shows one solid alone is lit once, in its middle; only along edges every sample is.
    tiles = hits.triangle.reshape(rows, SAMPLES, columns, SAMPLES).transpose(0, 2, 1, 3)
    apart: Ints = tiles.reshape(rows * columns, SAMPLES**2)
    owner = np.append(scene.solid, -1)[apart]
    is_plain = (owner == owner[:, :1]).all(axis=1)
    is_hit = apart >= 0
    plain = np.flatnonzero(is_plain & is_hit[:, 0])
    mixed, sample = np.nonzero(is_hit & ~is_plain[:, None])
    pixel = np.concatenate([plain, mixed])
    triangle = np.concatenate([apart[plain, 0], apart[mixed, sample]])
    ys, xs = np.divmod(pixel, columns)
    middle = np.full(len(plain), SAMPLES / 2)
    x = xs * SAMPLES + np.concatenate([middle, sample % SAMPLES + 0.5])
    y = ys * SAMPLES + np.concatenate([middle, sample // SAMPLES + 0.5])
    light = np.zeros((rows * columns, 3), np.float32)
    if len(pixel):
        depth = hits.nearness(SAMPLES).astype(np.float32)
        lit = _lit(scene, fine, hits, _Samples(triangle, x, y, ys, xs, depth), lamp)
        light[plain] = lit[:, : len(plain)].T
        for k in range(3):
            total = np.bincount(mixed, lit[k, len(plain) :], rows * columns) / SAMPLES**2
            light[:, k] += total.astype(np.float32)
    cover = is_hit.mean(axis=1, dtype=np.float32)
    return Picture(light.reshape(rows, columns, 3), cover.reshape(rows, columns))


@dataclass(frozen=True, eq=False)
class _Samples:
    """Places in the picture that are lit: triangle, place in samples, pixel; and the depth of all pixels."""

    triangle: Ints
    x: NDArray[Any]
    y: NDArray[Any]
    row: Ints
    column: Ints
    depth: Float


def _lit(scene: Scene, camera: Camera, hits: Hits, samples: _Samples, lamp: Array) -> Float:
    """Linear light of every sample, shape (3, K)."""
    number = samples.triangle
    a, b, c = (hits.planes[:, k][number] for k in range(3))
    near = a * samples.x + b * samples.y + c
    flat = (samples.x - camera.offset_px[0], samples.y - camera.offset_px[1], near)
    place = _combined(np.linalg.inv(camera.matrix), flat)
    normal = _normals(scene, camera, number, samples.x, samples.y)
    solid = scene.solid[number]
    finish = scene.finish[solid]
    low, high = scene.points.min(axis=0), scene.points.max(axis=0)
    span = float(np.linalg.norm(high - low))
    pixel = SAMPLES / float(np.linalg.norm(camera.rows_px, axis=1).max())
    normal, tint = _surface(normal, place, finish, span, pixel)
    albedo = np.ascontiguousarray(scene.color.T.astype(np.float32)[:, solid]) * tint
    off = place - ((low + high) / 2).astype(np.float32)[:, None]
    to_eye = _unit(_column(camera.towards * _EYE * span) - off)
    to_lamp = _unit(_column(lamp * _LAMP * span) - off)
    open_sky = _corners(samples, near.astype(np.float32), span)
    sun = _sunlit(scene, lamp, place)
    facing = np.maximum(_dot(normal, to_lamp), 0)
    sky = 0.72 + 0.28 * _dot(normal, _column(camera.up))
    strength, sharpness, metal = (_by_finish(k)[finish] for k in range(3))
    diffuse = _AMBIENT * sky * open_sky + _KEY * facing * (1 - _SHADOW_SHARE * (1 - sun))
    half = _unit(to_eye + to_lamp)
    spark = np.maximum(_dot(normal, half), 1e-4) ** sharpness * (0.25 + 0.75 * sun) * strength
    mirror = 2 * _dot(normal, to_eye) * normal - to_eye
    bright = _room(mirror, camera, to_lamp) * (0.45 + 0.55 * open_sky)
    body = diffuse * (1 - 0.55 * metal) + 0.75 * metal * bright
    return np.asarray(albedo * (body + 0.55 * spark * metal) + spark * (0.42 + 0.03 * metal), np.float32)


def _by_finish(k: int) -> Float:
    """A property of every finish, in the order of `FINISHES`."""
    table = trade.value("preview.finish").value
    return np.array([table[name][k] for name in FINISHES], np.float32)


def _column(vector: Array) -> Float:
    return np.asarray(vector, np.float32)[:, None]


def _dot(one: Float, other: Float) -> Float:
    return one[0] * other[0] + one[1] * other[1] + one[2] * other[2]


def _unit(vectors: Float) -> Float:
    return np.asarray(vectors / np.sqrt(np.maximum(_dot(vectors, vectors), 1e-12)), np.float32)


def _combined(matrix: NDArray[Any], parts: Sequence[NDArray[Any]]) -> Float:
    """A 3 x 3 matrix times three rows, shape (3, K)."""
    return np.stack(
        [(m[0] * parts[0] + m[1] * parts[1] + m[2] * parts[2]).astype(np.float32) for m in matrix]
    )


def _normals(scene: Scene, camera: Camera, number: Ints, x: NDArray[Any], y: NDArray[Any]) -> Float:
    """Unit normals (3, K), between a triangle's corners by the share of each."""
    flat = camera.project(scene.points)[:, :2][scene.triangles]
    one, two = flat[:, 1] - flat[:, 0], flat[:, 2] - flat[:, 0]
    area = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
    area = np.where(np.abs(area) < 1e-12, 1.0, area)
    step_x = np.stack([two[:, 1], -one[:, 1]], axis=1) / area[:, None]
    step_y = np.stack([-two[:, 0], one[:, 0]], axis=1) / area[:, None]
    edges = scene.normals[:, 1:] - scene.normals[:, :1]
    along_x, along_y = (np.einsum("mk,mkj->jm", step, edges) for step in (step_x, step_y))
    # On each triangle the normal is first + along_x x + along_y y of picture coordinates.
    first = scene.normals[:, 0].T - along_x * flat[:, 0, 0] - along_y * flat[:, 0, 1]
    return _unit(
        np.stack(
            [
                (first[k][number] + along_x[k][number] * x + along_y[k][number] * y).astype(np.float32)
                for k in range(3)
            ]
        )
    )


def _surface(normal: Float, place: Float, finish: Ints, span: float, pixel_mm: float) -> tuple[Float, Float]:
    """Normals with the grain of the material, and a tint of the colour around 1."""
    size = np.abs(normal)
    # The grain keeps its size on the book, but never so fine that a small picture loses it.
    step = max(_PEBBLE_MM, _PEBBLE_MM * span / _BOOK_MM) * PEBBLES / TILE
    texel = (place / step).astype(np.int32) % TILE
    is_x = (size[0] >= size[1]) & (size[0] >= size[2])
    is_y = ~is_x & (size[1] >= size[2])
    u = np.where(is_x, texel[1], texel[0])
    v = np.where(is_x | is_y, texel[2], texel[1])
    slope = grain().reshape(-1, 2)
    flat = v * TILE + u
    steep = (np.array([_STEEP.get(name, 0.0) for name in FINISHES], np.float32) * _GRAIN)[finish]
    across, along = steep * slope[:, 0][flat], steep * slope[:, 1][flat]
    out = normal.copy()
    out[0] -= np.where(is_x, 0, across)
    out[1] -= np.where(is_x, across, np.where(is_y, 0, along))
    out[2] -= np.where(is_x | is_y, along, 0)
    uneven = np.array([_UNEVEN.get(name, 0.0) for name in FINISHES], np.float32)[finish]
    tint = 1 + uneven * mottle().ravel()[(v // 2) * TILE + u // 2]
    paper = np.flatnonzero((finish == FINISHES.index("paper")) & (size[2] < 0.5))
    height = place[2, paper]
    step = max(_LEAF_LINE_MM, _LEAF_LINE_PX * pixel_mm)
    low = np.floor(height / step)
    between = height / step - low
    lines = _leaf_lines()
    first, second = (lines[(low.astype(np.int32) + k) % len(lines)] for k in (0, 1))
    leaf = first * (1 - between) + second * between
    tint[paper] *= 1 + _LEAF_DARK * leaf
    return _unit(out), tint


_STEEP = {"leather": 1.0, "cloth": 0.45, "painted": 0.45, "gilded": 0.22, "metal": 0.05}
_UNEVEN = {"leather": 0.07, "cloth": 0.05, "gilded": 0.06, "painted": 0.04, "metal": 0.03}
"""How much of the leather's grain a finish shows, and how uneven its colour is."""

_LEAF_LINE_MM, _LEAF_LINE_PX, _LEAF_DARK = 0.5, 2.2, 0.10
"""Lines on the edges of the leaves: as fine as leaves look, but no finer than the picture shows without
a pattern of its own."""


@cache
def _leaf_lines() -> Float:
    """How light each leaf's edge is, around 0."""
    return (2 * scatter(509, 3) - 1).astype(np.float32)


def _room(mirror: Float, camera: Camera, to_lamp: Float) -> Float:
    """What metal mirrors: a bright window, a light ceiling, a dark floor."""
    up, side = _dot(mirror, _column(camera.up)), _dot(mirror, _column(camera.right))
    window = np.maximum(_dot(mirror, to_lamp), 0) ** 8
    ceiling = 1 / (1 + np.exp(-5 * (up + 0.1)))
    panes = np.cos(13 * (0.8 * side + 0.6 * up))
    return np.asarray(0.44 + 0.34 * ceiling + 0.5 * window + 0.22 * panes, np.float32)


def _corners(samples: _Samples, near: Float, span: float) -> Float:
    """1 in the open, less where what lies around stands nearer to the eye."""
    from scipy.ndimage import uniform_filter

    seen = np.isfinite(samples.depth)
    field = np.where(seen, samples.depth, 0).astype(np.float32)
    weight = seen.astype(np.float32)
    out = np.ones(len(near), np.float32)
    for share in _CORNER_SHARES:
        reach = 2 * int(share * max(seen.shape) / 2) + 1
        around = uniform_filter(field, reach) / np.maximum(uniform_filter(weight, reach), 1e-6)
        over = (around[samples.row, samples.column] - near) / (_CORNER_DEPTH * span)
        out -= _CORNER_DARK * np.clip(over, 0, 1)
    return np.clip(out, 0.15, 1)


def _sunlit(scene: Scene, lamp: Array, place: Float) -> Float:
    """Share of the key light that reaches each place, 0..1, from a second z-buffer seen from the lamp."""
    up = np.eye(3)[int(np.abs(lamp).argmin())]
    side = _SHADOW_SIDE
    camera = fitted(looking_from(lamp, up), scene.points, (side, side), (3, 3))
    hits = rasterize(
        camera.project(scene.points), scene.triangles, (side, side), is_facing=scene.facing(camera.towards)
    )
    depth = hits.nearness().astype(np.float32).ravel()
    x, y, near = _combined(camera.matrix, (place[0], place[1], place[2]))
    x, y = x + np.float32(camera.offset_px[0]), y + np.float32(camera.offset_px[1])
    near += _SHADOW_BIAS_PX / float(np.linalg.norm(camera.rows_px[0]))
    total = np.zeros(len(x), np.float32)
    for dx, dy in _TAPS:
        column = np.clip((x + dx).astype(np.int32), 0, side - 1)
        total += near >= depth[np.clip((y + dy).astype(np.int32), 0, side - 1) * side + column]
    return np.asarray(total / len(_TAPS), np.float32)


_SHADOW_BIAS_PX = 1.6
"""A surface does not shade itself: it may lie this far, in pixels of the shadow map, behind what the lamp
sees."""

_TAPS = ((-0.8, -0.3), (0.3, -0.8), (0.8, 0.3), (-0.3, 0.8))
"""Where around a place the shadow map is asked, so that a shadow's edge is soft."""
