"""Draw a closed book as pixel art, with everything about it known.

`make(seed, style, size)` gives the same drawing every time. Seeds 0..9999 are for tuning, from
10000 on for testing; the styles in `HELD_OUT` are for testing only.
"""

from __future__ import annotations

import zlib

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel
from tests.truth.model import Box, Drawn
from tests.truth.ornaments import add_ornaments
from tests.truth.painting import colour, lay_ground, paint_contour, paint_halo, ramps_for
from tests.truth.pose import choose_pose, seated
from tests.truth.projection import Vec
from tests.truth.raster import Build, paint_book, steps
from tests.truth.styles import HELD_OUT, STYLES, TEST_SEEDS, TUNE_SEEDS, TUNING, Style, pick

__all__ = ["HELD_OUT", "STYLES", "TEST_SEEDS", "TUNE_SEEDS", "TUNING", "make"]

LIGHTS = {"upper_left": (-0.7071, -0.7071), "upper_right": (0.7071, -0.7071), "top": (0.0, -1.0)}
MARGIN = 3
"""Empty pixels around the box while it is drawn: contour, glow, shadow and bookmark go there."""
LEAST_SIZE, MOST_SIZE = 10, 64


def make(seed: int, style: str, size: int) -> Drawn:
    """Draw one book.

    Parameters
    ----------
    seed : int
        0 or more.
    style : str
        A name in `STYLES`.
    size : int
        Longest side of the book with its contour, 10..64 native pixels.
    """
    if style not in STYLES:
        raise ValueError(f"style is one of {', '.join(STYLES)}, got {style!r}")
    if not LEAST_SIZE <= size <= MOST_SIZE:
        raise ValueError(f"size is {LEAST_SIZE} to {MOST_SIZE} px, got {size}")
    rng = np.random.default_rng([seed, zlib.crc32(style.encode()), size])
    habits = STYLES[style]
    contour = pick(rng, habits.contour)
    pose = choose_pose(rng, habits, size - (0 if contour == "none" else 2))
    box, shape = seated(pose, rng, MARGIN, habits.clean)
    build = _build(rng, habits, pose.u, pose.v, pose.t)
    light = pick(rng, habits.lights)
    easel = Easel(paint_book(box, build, shape), box, rng, LIGHTS[light])
    easel.ramps = ramps_for(rng, habits)
    said: dict[str, object] = {"pose": pose.name, "contour": contour, "light": light, "build": build}
    said |= lay_ground(easel, habits)
    said |= add_ornaments(easel, habits)
    rgba = colour(easel, dither=rng.random() < habits.dither)
    rgba = paint_contour(easel, rgba, contour, pick(rng, habits.inner))
    rgba, halo = paint_halo(easel, rgba, habits)
    said["halo"] = halo
    return _cropped(rgba, easel, pose.ratio, pose.kind, light, style, seed, size, said)


def _build(rng: np.random.Generator, style: Style, u: Vec, v: Vec, t: Vec) -> Build:
    la, lb, lc = (steps(p) for p in (u, v, t))
    short = min(la, lb)
    is_upright = min(abs(u[0]), abs(u[1])) == 0 and min(abs(v[0]), abs(v[1])) == 0
    most = max(1, round(short * (0.18 if is_upright else 0.1)))
    radius = float(rng.integers(1, most + 1)) if rng.random() < style.rounded else 0.0
    square = 1.0 if short >= 9 and rng.random() < style.squares else 0.0
    board = 1.0 if lc >= 4 and rng.random() < style.boards else 0.0
    return Build(
        square_px=square,
        board_px=board,
        spine_px=1.0 if rng.random() < 0.7 else 2.0,
        radius_px=radius,
        spine_radius_px=radius if rng.random() < 0.3 else 0.0,
    )


def _cropped(
    rgba: NDArray[np.uint8],
    easel: Easel,
    ratio: tuple[float, float, float],
    kind: str,
    light: str,
    style: str,
    seed: int,
    size: int,
    said: dict[str, object],
) -> Drawn:
    """Cut the picture to its content, or set it in a square tile as item icons are."""
    rng = easel.rng
    ys, xs = np.nonzero(rgba[..., 3] > 0)
    # A sharp corner may end in a pixel whose centre it misses; the picture keeps that pixel.
    low = np.floor(easel.box.corners.min(0) + 1e-9).astype(int)
    high = np.ceil(easel.box.corners.max(0) - 1e-9).astype(int)
    x0, y0 = min(xs.min(), low[0]), min(ys.min(), low[1])
    x1, y1 = max(xs.max() + 1, high[0]), max(ys.max() + 1, high[1])
    free = int(rng.integers(0, 3))
    rows, cols = y1 - y0 + 2 * free, x1 - x0 + 2 * free
    top, left = free, free
    if rng.random() < 0.6:
        side = max(rows, cols)
        top += (side - rows) // 2
        left += (side - cols) // 2
        rows = cols = side
    out = np.zeros((rows, cols, 4), np.uint8)
    features = np.full((rows, cols), "background", "<U12")
    faces = np.full((rows, cols), "", "<U9")
    to = (slice(top, top + y1 - y0), slice(left, left + x1 - x0))
    cut = (slice(y0, y1), slice(x0, x1))
    out[to], features[to] = rgba[cut], easel.feature[cut]
    faces[to] = np.where(
        np.isin(features[to], ("background", "outline", "bookmark")), "", easel.buffer.face[cut]
    )
    box = easel.box
    moved = (box.origin[0] + float(left - x0), box.origin[1] + float(top - y0))
    for array in (out, features, faces):
        array.flags.writeable = False
    return Drawn(
        out,
        features,
        faces,
        ratio,
        kind,
        Box(moved, box.u, box.v, box.t),
        LIGHTS[light],
        style,
        seed,
        size,
        said,
    )
