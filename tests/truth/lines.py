"""The contour, the lines between faces, softened stairs, glow and cast shadow."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel, Mask
from tests.truth.palettes import srgb_to_oklab
from tests.truth.raster import grow, shifted
from tests.truth.seen import melting_sides
from tests.truth.styles import Style, pick

__all__ = ["paint_cast", "paint_halo", "paint_lines", "thicken"]

LEAST_LINED_STEPS = 3
"""A side face keeps two pixels beside an inner line from this thickness on."""
SLANTED_SHARE = 0.3
"""Square-cornered contours make clumsy stairs on slanted books, so they are rarer there."""
LEAST_LIT = 0.35
"""Cosine to the light from which a side counts as lit; the two sides beside a diagonal light do."""
FLOOR_SHADES = ((34, 32, 40), (48, 44, 52), (24, 24, 28), (60, 58, 62), (38, 30, 34), (44, 50, 60))
"""Shadows on stone, earth and boards."""
FITTINGS = ("emblem", "clasp", "corner_piece")

Pixels = NDArray[np.uint8]


def paint_lines(
    easel: Easel, rgba: Pixels, contour: str, style: Style, ringed: bool
) -> tuple[Pixels, dict[str, object]]:
    """Draw all lines; gives the picture and what was drawn.

    Parameters
    ----------
    easel : Easel
        Line pixels become the feature "outline".
    rgba : ndarray of shape (M, N, 4), uint8
    contour : str
        "black", "dark" (the local material's), "coloured", "shifted" (another hue), "lit" (lighter
        towards the light), "selective" (none towards the light) or "none".
    style : Style
    ringed : bool
        Draw a line round the fittings too.
    """
    rng, out = easel.rng, rgba.copy()
    inner = pick(rng, style.inner)
    filled = easel.feature != "background"
    line = _line_colour(easel, contour)
    if ringed and contour != "none":
        _ring_fittings(easel, out, line)
    if inner == "line" and contour != "none":
        _inner_line(easel, out, line)
    elif inner == "shade":
        _inner_shade(easel, out)
    melting = melting_sides(easel, out)
    if melting.any():
        inner = "forced"
        _part_melting(easel, out, melting, line)
    said: dict[str, object] = {"inner": inner, "square_contour": False, "soft_steps": False}
    if contour == "none":
        return out, said
    ring = grow(filled) & ~filled
    is_upright = easel.box.u[1] == 0 and easel.box.v[0] == 0
    if rng.random() < style.square_contour * (1.0 if is_upright else SLANTED_SHARE):
        ring |= _square_corners(ring, filled)
        said["square_contour"] = True
    lit = _towards_light(filled, easel.light)
    if contour == "selective":
        ring &= ~lit
    out[ring, 3], out[ring, :3] = 255, line
    if contour in ("dark", "selective"):
        out[ring, :3] = _local_line(easel, filled, 0)[ring]
    elif contour == "lit":
        out[ring & lit, :3] = _local_line(easel, filled, 1)[ring & lit]
    if rng.random() < style.soft_steps:
        _soften(out, filled, ring)
        said["soft_steps"] = True
    easel.feature[ring] = "outline"
    return out, said


def _darker(rgb: Pixels, factor: float) -> Pixels:
    return (rgb.astype(float) * factor).astype(np.uint8)


def _line_colour(easel: Easel, contour: str) -> Pixels:
    dark = easel.ramps["cover"][0]
    if contour == "coloured":
        return _darker(dark, 0.55)
    if contour == "shifted":
        # The channels change places, so that the line has another hue than the cover.
        return _darker(np.roll(dark, 1), 0.7)
    if contour in ("dark", "selective"):
        return _darker(dark, 0.5)
    return np.asarray(easel.ramps["line"][0])


def _inner_line(easel: Easel, out: Pixels, rgb: Pixels) -> None:
    """A line on the side faces along the cover, and between two side faces where both are broad."""
    cover = easel.cover
    side = np.isin(easel.feature, ("page_edge", "spine", "back_cover"))
    if easel.lengths()[2] < LEAST_LINED_STEPS:
        return
    at = grow(cover) & ~cover & side
    out[at, :3] = rgb
    easel.feature[at] = "outline"


def _part_melting(easel: Easel, out: Pixels, at: Mask, line: Pixels) -> None:
    """Part a side face from a cover of its own colour: by the line, or by a light edge on dark books."""
    dark, light = easel.ramps["cover"][0], easel.ramps["cover"][-1]
    to_line, to_light = (float(np.hypot(*_oklab_gap(dark, other))) for other in (line, light))
    if to_line >= to_light / 2:
        out[at, :3] = line
        easel.feature[at & ~np.isin(easel.feature, FITTINGS)] = "outline"
    else:
        out[at, :3] = light


def _oklab_gap(one: Pixels, other: Pixels) -> tuple[float, float]:
    """Differences of lightness and of colour."""
    gap = np.diff(srgb_to_oklab(np.stack([one, other])), axis=0)[0]
    return float(gap[0]), float(np.hypot(gap[1], gap[2]))


def _inner_shade(easel: Easel, out: Pixels) -> None:
    """The first pixels of the side faces beside the cover lie in its shade."""
    at = grow(easel.cover) & ~easel.cover
    out[at & (easel.feature == "page_edge"), :3] = easel.ramps["pages"][0]
    out[at & (easel.feature == "spine"), :3] = easel.ramps["spine"][0]


def _ring_fittings(easel: Easel, out: Pixels, rgb: Pixels) -> None:
    fitting = np.isin(easel.feature, FITTINGS)
    at = grow(fitting) & np.isin(easel.feature, ("cover", "page_edge"))
    out[at, :3] = rgb
    easel.feature[at] = "outline"


def _square_corners(ring: Mask, filled: Mask) -> Mask:
    """Pixels that close a contour whose runs touch only at their corners, on the outer side."""
    beside = shifted(ring, 1, 0) | shifted(ring, -1, 0)
    above = shifted(ring, 0, 1) | shifted(ring, 0, -1)
    near = np.zeros_like(filled)
    for dx, dy in ((1, 1), (1, -1), (-1, 1), (-1, -1)):
        near |= shifted(filled, dx, dy)
    return beside & above & near & ~ring & ~filled


def _local_line(easel: Easel, filled: Mask, shade: int) -> Pixels:
    """For each pixel beside the book, a shade of the material that it touches, darkened."""
    out = np.zeros((*filled.shape, 3), np.uint8)
    done = np.zeros_like(filled)
    for dx, dy in ((0, 1), (1, 0), (0, -1), (-1, 0), (1, 1), (-1, 1), (1, -1), (-1, -1)):
        at = ~done & shifted(filled, dx, dy)
        moved = np.roll(np.roll(easel.material, dx, 1), dy, 0)
        for name, shades in easel.ramps.items():
            factor = 0.6 if name == "pages" else 0.55
            tone = shades[min(shade, len(shades) - 1)]
            out[at & (moved == name)] = _darker(tone, factor if shade == 0 else 0.85)
        done |= at
    return out


def _towards_light(filled: Mask, light: tuple[float, float]) -> Mask:
    """Pixels beside the book whose outward direction, smoothed over the stairs, looks to the light."""
    x, y = np.zeros(filled.shape), np.zeros(filled.shape)
    for dx in range(-2, 3):
        for dy in range(-2, 3):
            at = shifted(filled, dx, dy)
            x, y = x + dx * at, y + dy * at
    length = np.maximum(np.hypot(x, y), 1e-9)
    return np.asarray(~filled & ((x * light[0] + y * light[1]) / length > LEAST_LIT))


def _soften(out: Pixels, filled: Mask, ring: Mask) -> None:
    """Half-tones in the inner corners of the stairs, as artists smooth a slanted line by hand."""
    beside = shifted(ring, 1, 0) ^ shifted(ring, -1, 0)
    above = shifted(ring, 0, 1) ^ shifted(ring, 0, -1)
    at = filled & beside & above
    if ring.any():
        tone = out[ring, :3].astype(float).mean(0)
        out[at, :3] = (0.6 * out[at, :3] + 0.4 * tone).astype(np.uint8)


def paint_halo(easel: Easel, rgba: Pixels, style: Style) -> tuple[Pixels, str]:
    """Half-transparent glow or cast shadow behind the book."""
    rng = easel.rng
    filled = rgba[..., 3] > 0
    out = rgba.copy()
    if rng.random() < style.glow:
        ring = grow(filled) & ~filled
        out[ring, :3] = easel.ramps["gem"][-1]
        out[ring, 3] = int(rng.integers(60, 150))
        if rng.random() < 0.4:
            far = grow(grow(filled)) & ~grow(filled)
            out[far, :3] = easel.ramps["gem"][-1]
            out[far, 3] = out[ring, 3].max() // 2
        return out, "glow"
    if rng.random() < style.shadow:
        low = (shifted(filled, 1, 1) | shifted(filled, 0, 1)) & ~filled
        out[low, :3] = easel.ramps["line"][0]
        out[low, 3] = int(rng.integers(50, 120))
        return out, "shadow"
    return out, "none"


def thicken(easel: Easel, rgba: Pixels) -> None:
    """Make the contour two pixels thick, outwards, in its own colours; changes `rgba` in place."""
    ring = easel.feature == "outline"
    outer = grow(easel.feature != "background") & (easel.feature == "background")
    for dx, dy in ((0, 1), (1, 0), (0, -1), (-1, 0)):
        at = outer & shifted(ring, dx, dy)
        rgba[at] = np.roll(np.roll(rgba, dx, 1), dy, 0)[at]
        easel.feature[at] = "outline"
        outer = outer & ~at


def paint_cast(easel: Easel, rgba: Pixels, reach: int, rng: np.random.Generator) -> int:
    """An opaque shadow on the floor, away from the light; its pixels are the feature "other".

    Gives how far it reaches; changes `rgba` in place.
    """
    solid = rgba[..., 3] == 255
    dx = -int(np.sign(easel.light[0])) * (reach if rng.random() < 0.7 else 0)
    fallen = shifted(solid, dx, reach)
    if dx and rng.random() < 0.5:
        # As the eye follows it from the object: all places between.
        for step in range(1, reach):
            fallen |= shifted(solid, int(np.sign(dx)) * step, step)
    tone = _darker(easel.ramps["cover"][0], float(rng.uniform(0.2, 0.5))) if rng.random() < 0.4 else None
    at = fallen & ~solid
    rgba[at, 3] = 255
    rgba[at, :3] = FLOOR_SHADES[int(rng.integers(len(FLOOR_SHADES)))] if tone is None else tone
    easel.feature[at] = "other"
    return reach
