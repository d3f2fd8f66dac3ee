"""Draw a closed book as pixel art, with everything about it known.

`make(seed, style, size)` gives the same drawing every time. Seeds 0..9999 are for tuning, from
10000 on for testing; the styles in `HELD_OUT` are for testing only.
"""

from __future__ import annotations

import zlib

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel
from tests.truth.lines import paint_cast, paint_halo, paint_lines, thicken
from tests.truth.marks import add_marks, add_mottle
from tests.truth.model import Box, Drawn, Pose
from tests.truth.ornaments import add_bookmark, add_ornaments
from tests.truth.painting import colour, lay_bevel, lay_ground, ramps_for
from tests.truth.pose import choose_pose, seated
from tests.truth.raster import Build, paint_book, steps
from tests.truth.seen import mend_faint
from tests.truth.styles import HELD_OUT, STYLES, TEST_SEEDS, TUNE_SEEDS, TUNING, Style, pick

__all__ = ["HELD_OUT", "STYLES", "TEST_SEEDS", "TUNE_SEEDS", "TUNING", "make"]

LIGHTS = {"upper_left": (-0.7071, -0.7071), "upper_right": (0.7071, -0.7071), "top": (0.0, -1.0)}
MARGIN = 3
"""Empty pixels around the box while it is drawn: contour, glow, shadow and bookmark go there."""
LEAST_SIZE, MOST_SIZE = 10, 64
LATER_STREAM = 47


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
    # What later habits draw has its own numbers, so that the drawings of older styles stay.
    rng_more = np.random.default_rng([seed, zlib.crc32(style.encode()), size, LATER_STREAM])
    habits = STYLES[style]
    contour = pick(rng, habits.contour)
    ribbon = _ribbon_px(rng, habits, size)
    is_bold = contour != "none" and rng_more.random() < habits.bold
    cast = int(rng_more.integers(1, 2 + size // 10)) if rng_more.random() < habits.cast else 0
    room = size - (0 if contour == "none" else 4 if is_bold else 2) - ribbon - cast
    pose = choose_pose(rng, habits, room)
    box, shape = seated(pose, rng, MARGIN + ribbon + cast, habits.clean)
    build = _build(rng, habits, pose)
    light = pick(rng, habits.lights)
    buffer = paint_book(box, build, shape, pose.strip, pose.more)
    easel = Easel(buffer, box, rng, LIGHTS[light], ramps_for(rng, habits))
    said: dict[str, object] = {"pose": pose.name, "contour": contour, "light": light, "build": build}
    said |= lay_ground(easel, habits)
    if rng_more.random() < habits.bevel:
        said["bevel"] = lay_bevel(easel, rng_more)
    if habits.mottle:
        said["mottle"] = add_mottle(easel, habits, rng_more)
    ground = easel.feature.copy()
    if habits.tone_marks or habits.edge_lines or habits.ribbon_across:
        said |= add_marks(easel, habits, rng_more)
    said |= add_ornaments(easel, habits)
    if ribbon:
        said["bookmark"] = add_bookmark(easel, ribbon)
    rgba = colour(easel, dither=rng.random() < habits.dither)
    mend_faint(easel, rgba, ground)
    rgba, lines = paint_lines(easel, rgba, contour, habits, bool(said["ringed"]))
    if is_bold:
        thicken(easel, rgba)
        said["bold"] = True
    rgba, halo = paint_halo(easel, rgba, habits)
    said |= lines | {"halo": halo}
    if cast:
        said["cast"] = paint_cast(easel, rgba, cast, rng_more)
    return _cropped(rgba, easel, pose, light, style, seed, size, said)


def _ribbon_px(rng: np.random.Generator, style: Style, size: int) -> int:
    """How far a bookmark hangs out; 0 for none."""
    if rng.random() >= style.bookmark or size < LEAST_SIZE + 3:
        return 0
    return int(rng.integers(2, max(3, size // 9) + 1))


def _build(rng: np.random.Generator, style: Style, pose: Pose) -> Build:
    """Squares, boards, rounded corners and spine, as far as the drawing has room for them."""
    la, lb, lc = steps(pose.u), steps(pose.v), steps(pose.t)
    short = min(la, lb)
    is_upright = pose.u[1] == 0 and pose.v[0] == 0
    most = max(1, round(short * 0.18)) if is_upright else 1 + int(short >= 20)
    radius = float(rng.integers(1, most + 1)) if rng.random() < style.rounded else 0.0
    front = 1.0 if lc >= 4 and rng.random() < style.front_board else 0.0
    return Build(
        square_px=1.0 if short >= 9 and rng.random() < style.squares else 0.0,
        front_px=front,
        back_px=1.0 if lc >= 3 + front and rng.random() < style.back_board else 0.0,
        spine_px=1.0 if rng.random() < 0.7 else 2.0,
        radius_px=radius,
        spine_radius_px=radius if rng.random() < 0.3 else 0.0,
        bulge_px=1.0 + float(lc >= 9) if lc >= 4 and rng.random() < style.bulge else 0.0,
    )


def _cropped(
    rgba: NDArray[np.uint8],
    easel: Easel,
    pose: Pose,
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
    hangs = (features[to] == "bookmark") & ~easel.cover[cut]
    faces[to] = np.where(np.isin(features[to], ("background", "outline")) | hangs, "", easel.buffer.face[cut])
    moved = (easel.box.origin[0] + float(left - x0), easel.box.origin[1] + float(top - y0))
    for array in (out, features, faces):
        array.flags.writeable = False
    box = Box(moved, easel.box.u, easel.box.v, easel.box.t)
    return Drawn(out, features, faces, pose.ratio, pose.kind, box, LIGHTS[light], style, seed, size, said)
