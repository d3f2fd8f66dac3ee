"""Small region maps of drawn boxes, painted here with a scan line of their own."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.regions.model import RegionMap
from pixel2make.sprite.model import Sprite

__all__ = ["COVER", "LINE", "PAGES", "SPINE", "book", "polygon", "regions_of", "sprite_of"]

COVER, SPINE, PAGES, LINE = (150, 40, 50), (96, 24, 40), (238, 226, 196), (24, 18, 28)


def polygon(shape: tuple[int, int], points: list[tuple[float, float]]) -> NDArray[np.bool_]:
    """Pixels whose centres lie inside a convex polygon (half-plane test)."""
    ys, xs = np.mgrid[0 : shape[0], 0 : shape[1]]
    x, y = xs + 0.5 + 1e-6, ys + 0.5 + 2e-6
    sides = []
    for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True):
        sides.append((bx - ax) * (y - ay) - (by - ay) * (x - ax))
    values = np.stack(sides)
    return np.asarray((values >= 0).all(0) | (values <= 0).all(0))


def sprite_of(rgba: NDArray[np.uint8]) -> Sprite:
    return Sprite("drawn.png", "0" * 64, rgba, rgba[..., 3] == 0)


def regions_of(rgba: NDArray[np.uint8]) -> RegionMap:
    from pixel2make.regions import segment

    return segment(sprite_of(rgba))


def book(
    shape: tuple[int, int],
    o: tuple[float, float],
    u: tuple[float, float],
    v: tuple[float, float],
    t: tuple[float, float],
    *,
    with_line: bool = True,
) -> NDArray[np.uint8]:
    """A book with cover at `o`, width `u`, height `v`, thickness `t`: RGBA.

    Pages at the fore-edge, head and tail, leather on the spine, a dark contour of one pixel outside.
    """
    rgba = np.zeros((*shape, 4), np.uint8)
    corner = np.array(o)
    u_, v_, t_ = (np.array(e, float) for e in (u, v, t))

    def face(start: NDArray[np.float64], a: NDArray[np.float64], b: NDArray[np.float64], rgb: object) -> None:
        if abs(a[0] * b[1] - a[1] * b[0]) > 1e-9:
            inside = polygon(shape, [tuple(start), tuple(start + a), tuple(start + a + b), tuple(start + b)])
            rgba[inside] = (*rgb, 255)  # type: ignore[misc]

    area = u_[0] * v_[1] - u_[1] * v_[0]
    along = (t_[0] * v_[1] - t_[1] * v_[0]) / area
    across = (u_[0] * t_[1] - u_[1] * t_[0]) / area
    if across:
        face(corner + (v_ if across > 0 else 0), u_, t_, PAGES)
    if along:
        face(corner + (u_ if along > 0 else 0), t_, v_, PAGES if along > 0 else SPINE)
    face(corner, u_, v_, COVER)
    if with_line:
        filled = rgba[..., 3] > 0
        ring = np.zeros_like(filled)
        for axis, step in ((0, 1), (0, -1), (1, 1), (1, -1)):
            ring |= np.roll(filled, step, axis)
        rgba[ring & ~filled] = (*LINE, 255)
    return rgba
