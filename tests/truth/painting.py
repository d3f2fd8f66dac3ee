"""Colours, shading, texture, contour and halo."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel, Mask
from tests.truth.palettes import METALS, PAGES, PALETTES, ramp
from tests.truth.raster import grow, shifted
from tests.truth.styles import Style, pick

__all__ = ["colour", "lay_ground", "paint_contour", "paint_halo", "ramps_for"]

BLACK = (18, 14, 22)
TRIM_LIFT = 0.2
"""A border or title in the cover's own hue is so much lighter or darker than the cover."""


def ramps_for(rng: np.random.Generator, style: Style) -> dict[str, NDArray[np.uint8]]:
    """Shades of every material of one book."""
    count = int(rng.integers(style.shades[0], style.shades[1] + 1))
    contrast, shift = rng.uniform(*style.contrast), rng.uniform(*style.hue_shift)
    palette = PALETTES[pick(rng, style.palettes)]

    def near(base: tuple[float, float, float]) -> tuple[float, float, float]:
        return (
            float(np.clip(base[0] + rng.normal(0, 0.03), 0.16, 0.96)),
            float(max(0.0, base[1] + rng.normal(0, 0.012))),
            base[2] + float(rng.normal(0, 6)),
        )

    def any_of(bases: tuple[tuple[float, float, float], ...]) -> tuple[float, float, float]:
        return near(bases[int(rng.integers(len(bases)))])

    cover = any_of(palette)
    lift = TRIM_LIFT if cover[0] < 0.55 else -TRIM_LIFT
    trim = (cover[0] + lift, cover[1], cover[2])
    if rng.random() < 0.5:
        trim = METALS[pick(rng, style.metals)]
    strap = any_of(PALETTES["leather"])
    if rng.random() < 0.25:
        strap = (cover[0] + 0.6 * lift, cover[1], cover[2])
    other = any_of(palette) if rng.random() < style.other_spine else cover
    kwargs = {"contrast": contrast, "shift": shift}
    return {
        "cover": ramp(cover, count, **kwargs),
        "spine": ramp(other, count, **kwargs),
        "pages": ramp(near(PAGES[pick(rng, style.pages)]), 4, contrast=contrast * 1.2, shift=shift / 2),
        "metal": ramp(near(METALS[pick(rng, style.metals)]), max(3, count - 1), contrast=0.26, shift=shift),
        "trim": ramp(near(trim), 3, contrast=0.12, shift=shift),
        "strap": ramp(strap, 3, contrast=contrast * 0.8, shift=shift),
        "gem": ramp(any_of(PALETTES["vivid"]), 4, contrast=0.22, shift=shift),
        "paper": ramp(near(PAGES[pick(rng, style.pages)]), 3, contrast=0.3, shift=shift / 2),
        "ribbon": ramp(any_of(PALETTES["vivid"]), 3, contrast=0.15, shift=shift),
    }


def _face_level(easel: Easel, face: str) -> float:
    """Base shade of a side face by where it looks in the picture."""
    box = easel.box
    out = {"fore_edge": box.u, "spine": (-box.u[0], -box.u[1]), "tail": box.v, "head": (-box.v[0], -box.v[1])}
    way = np.array(out[face], float)
    return 0.5 + 0.25 * float(way @ easel.light / np.hypot(*way)) - 0.08


def lay_ground(easel: Easel, style: Style) -> dict[str, object]:
    """Lay cover, spine, pages and boards with light and texture; gives what was done."""
    rng, buffer = easel.rng, easel.buffer
    texture = pick(rng, style.textures)
    bands = pick(rng, style.page_bands)
    cover = easel.cover
    level = np.full(cover.shape, 0.5)
    if rng.random() < style.gradient:
        level += _gradient(cover, easel.light) * 0.35
    level += _texture(rng, texture, easel)
    easel.lay(cover, "cover", "cover", level)
    lit, dim = _lit_sides(cover, easel.light)
    if rng.random() < style.edge_light:
        easel.level[lit] = 0.95
    if rng.random() < style.edge_shade:
        easel.level[dim & ~lit] = 0.12
    for face in ("fore_edge", "head", "tail", "spine"):
        at = buffer.face == face
        base = _face_level(easel, face)
        easel.lay(at & (buffer.part == "front"), "cover", "cover", 0.8)
        easel.lay(at & (buffer.part == "back"), "back_cover", "cover", base)
        easel.lay(at & (buffer.part == "pages"), "page_edge", "pages", _page_level(easel, bands, base))
        easel.lay(
            at & (buffer.part == "spine"),
            "spine",
            "spine",
            np.full(cover.shape, base) + 0.6 * _texture(rng, texture, easel),
        )
    # The back board where it looks out behind rounded corners of the front.
    easel.lay((buffer.face == "cover") & (buffer.part == "back"), "back_cover", "cover", 0.2)
    easel.lay((buffer.face == "cover") & (buffer.part == "pages"), "page_edge", "pages", 0.3)
    easel.lay((buffer.face == "cover") & (buffer.part == "spine"), "spine", "spine", 0.3)
    spine = buffer.face == "spine"
    if spine.any():
        easel.lay(spine, "spine", "spine", easel.level)
        _dress_spine(easel, style)
    la, _, _ = easel.lengths()
    if la >= 9 and rng.random() < style.hinge:
        a, _, _ = easel.along()
        joint = cover & (np.floor(a) == (1 if la < 16 else 2))
        easel.level[joint] = 0.08
    return {"texture": texture, "page_bands": bands}


def _dress_spine(easel: Easel, style: Style) -> None:
    """Rounding and raised bands."""
    rng = easel.rng
    _, lb, lc = easel.lengths()
    _, b, c = easel.along()
    spine = easel.buffer.face == "spine"
    if lc >= 3 and rng.random() < 0.6:
        easel.level[spine] += 0.25 - 0.5 * np.abs(c[spine] / lc - 0.4) * 2
    if lb >= 9 and rng.random() < style.spine_bands:
        count = int(rng.integers(2, 6 if lb >= 20 else 4))
        is_gilt = rng.random() < 0.35
        for i in range(count):
            at = spine & (np.floor(b) == round((i + 1) * lb / (count + 1)))
            if is_gilt:
                easel.lay(at, "border", "metal", 0.6)
            else:
                easel.level[at] = 0.95
                below = spine & (np.floor(b) == round((i + 1) * lb / (count + 1)) + 1)
                easel.level[below] -= 0.25


def _page_level(easel: Easel, bands: str, base: float) -> NDArray[np.float64]:
    _, _, c = easel.along()
    row = np.floor(c).astype(int)
    ys, xs = np.indices(c.shape)
    low = base + 0.15
    if bands == "lines":
        return low + np.where(row % 2 == 0, 0.2, -0.2)
    if bands == "dither":
        return low + np.where((xs + ys) % 2 == 0, 0.2, -0.2)
    if bands == "ends":
        return low + np.where(row == 0, -0.3, 0.15)
    return np.full(c.shape, low + 0.1)


def _gradient(mask: Mask, light: tuple[float, float]) -> NDArray[np.float64]:
    """-1 at the side away from the light .. 1 at the side towards it."""
    ys, xs = np.indices(mask.shape)
    along = xs * light[0] + ys * light[1]
    low, high = along[mask].min(), along[mask].max()
    return np.asarray((along - (low + high) / 2) / max(1.0, (high - low) / 2))


def _lit_sides(mask: Mask, light: tuple[float, float]) -> tuple[Mask, Mask]:
    """Pixels at the mask's edge towards the light, and at the edge away from it."""
    sx, sy = int(np.sign(light[0])), int(np.sign(light[1]))
    lit = mask & ~(shifted(mask, -sx, 0) & shifted(mask, 0, -sy))
    dim = mask & ~(shifted(mask, sx, 0) & shifted(mask, 0, sy))
    return lit, dim


def _texture(rng: np.random.Generator, texture: str, easel: Easel) -> NDArray[np.float64]:
    """Changes of shade that stand for leather, cloth or scales."""
    shape = easel.buffer.part.shape
    a, b, _ = easel.along()
    fa, fb = np.floor(a).astype(int), np.floor(b).astype(int)
    if texture == "speckle":
        grain = rng.random(shape)
        return np.where(grain < 0.12, -0.3, np.where(grain > 0.92, 0.25, 0.0))
    if texture == "blotch":
        coarse = rng.normal(0, 0.3, (shape[0] // 3 + 2, shape[1] // 3 + 2))
        return np.asarray(np.kron(coarse, np.ones((3, 3)))[: shape[0], : shape[1]])
    if texture == "weave":
        return np.where((fa + fb) % 2 == 0, 0.14, -0.14)
    if texture == "scales":
        return np.where((fb % 3 == 0) & ((fa + fb // 3 * 2) % 4 != 0), -0.28, 0.05)
    if texture == "stripes":
        return np.where(fa % 4 < 2, 0.15, -0.15)
    return np.zeros(shape)


def colour(easel: Easel, *, dither: bool) -> NDArray[np.uint8]:
    """The picture's colours from materials and shades; soft steps between shades where dithered."""
    rows, cols = easel.level.shape
    rgba = np.zeros((rows, cols, 4), np.uint8)
    ys, xs = np.indices((rows, cols))
    lift = np.where((xs + ys) % 2 == 0, 0.25, -0.25) if dither else np.zeros((rows, cols))
    for name, shades in easel.ramps.items():
        mask = easel.material == name
        if not mask.any():
            continue
        wide = lift if name in ("cover", "spine") else 0 * lift
        index = np.floor(np.clip(easel.level, 0, 1) * (len(shades) - 1) + 0.5 + wide).astype(int)
        rgba[mask, :3] = shades[np.clip(index, 0, len(shades) - 1)][mask]
        rgba[mask, 3] = 255
    return rgba


def _darker(rgb: NDArray[np.uint8], factor: float) -> NDArray[np.uint8]:
    return (rgb.astype(float) * factor).astype(np.uint8)


def paint_contour(easel: Easel, rgba: NDArray[np.uint8], contour: str, inner: str) -> NDArray[np.uint8]:
    """Draw the contour round the book and the line between its faces."""
    out = rgba.copy()
    filled = easel.feature != "background"
    line_rgb = _line_colour(easel, contour)
    if inner == "line" and contour != "none":
        _inner_line(easel, out, contour, line_rgb)
    elif inner == "shade":
        at = grow(easel.cover) & ~easel.cover & np.isin(easel.feature, ("page_edge", "spine"))
        easel_dark = easel.ramps["pages"][0]
        out[at & (easel.feature == "page_edge"), :3] = easel_dark
        out[at & (easel.feature == "spine"), :3] = easel.ramps["spine"][0]
    if contour == "none":
        return out
    ring = grow(filled) & ~filled
    if contour == "selective":
        ring &= ~_towards_light(filled, easel.light)
    out[ring, 3] = 255
    out[ring, :3] = _local_line(easel, out, filled, ring) if contour in ("dark", "selective") else line_rgb
    easel.feature[ring] = "outline"
    return out


def _line_colour(easel: Easel, contour: str) -> NDArray[np.uint8]:
    dark = easel.ramps["cover"][0]
    if contour == "coloured":
        return _darker(dark, 0.55)
    if contour == "shifted":
        # Turn the channels so that the line has another hue than the cover.
        return _darker(np.roll(dark, 1), 0.7)
    if contour in ("dark", "selective"):
        return _darker(dark, 0.5)
    return np.array(BLACK, np.uint8)


def _inner_line(easel: Easel, out: NDArray[np.uint8], contour: str, rgb: NDArray[np.uint8]) -> None:
    """A line on the side faces along the cover, where they are broad enough to keep two more pixels."""
    cover = easel.cover
    at = grow(cover) & ~cover & np.isin(easel.feature, ("page_edge", "spine", "back_cover"))
    _, _, lc = easel.lengths()
    if lc < 3:
        return
    out[at, :3] = rgb if contour == "black" else _darker(rgb, 1.15)
    easel.feature[at] = "outline"


def _local_line(easel: Easel, rgba: NDArray[np.uint8], filled: Mask, ring: Mask) -> NDArray[np.uint8]:
    """For each ring pixel, a darker shade of a material it touches."""
    best = np.zeros((*ring.shape, 3), np.uint8)
    done = ~ring
    for dx, dy in ((0, 1), (1, 0), (0, -1), (-1, 0)):
        at = ~done & shifted(filled, dx, dy)
        moved = np.roll(np.roll(easel.material, dx, 1), dy, 0)
        for name, shades in easel.ramps.items():
            factor = 0.55 if name != "pages" else 0.6
            best[at & (moved == name)] = _darker(shades[0], factor)
        done |= at
    return best[ring]


def _towards_light(filled: Mask, light: tuple[float, float]) -> Mask:
    """Ring pixels whose book pixels all lie away from the light."""
    sx, sy = int(np.sign(light[0])), int(np.sign(light[1]))
    lit = shifted(filled, 0, sy) | (shifted(filled, sx, 0) if sx else np.zeros_like(filled))
    dim = shifted(filled, 0, -sy) | (shifted(filled, -sx, 0) if sx else np.zeros_like(filled))
    return lit & ~dim


def paint_halo(easel: Easel, rgba: NDArray[np.uint8], style: Style) -> tuple[NDArray[np.uint8], str]:
    """Half-transparent glow or cast shadow behind the book."""
    rng = easel.rng
    filled = rgba[..., 3] > 0
    out = rgba.copy()
    if rng.random() < style.glow:
        ring = grow(filled) & ~filled
        out[ring, :3] = easel.ramps["gem"][-1]
        out[ring, 3] = int(rng.integers(60, 150))
        return out, "glow"
    if rng.random() < style.shadow:
        low = shifted(filled, 1, 1) & ~filled
        out[low, :3] = BLACK
        out[low, 3] = int(rng.integers(50, 120))
        return out, "shadow"
    return out, "none"
