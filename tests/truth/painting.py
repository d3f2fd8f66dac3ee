"""Colours, shading and texture of cover, spine and pages."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel, Mask
from tests.truth.palettes import METALS, PAGES, PALETTES, ramp
from tests.truth.raster import shifted, shrink
from tests.truth.styles import Style, pick

__all__ = ["colour", "lay_bevel", "lay_ground", "ramps_for"]

LINES = ((18, 14, 22), (0, 0, 0), (32, 28, 46), (42, 28, 32), (20, 26, 34))
"""Near-blacks that contours are drawn in."""
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

    if palette == PALETTES["quartet"]:
        return _four_shades(rng, any_of(palette))
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
        "line": np.array([LINES[int(rng.integers(len(LINES)))]], np.uint8),
    }


def _four_shades(rng: np.random.Generator, base: tuple[float, float, float]) -> dict[str, NDArray[np.uint8]]:
    """All materials in four shades of one hue; the darkest is the contour's."""
    four = ramp((0.56, base[1], base[2]), 4, contrast=0.36, shift=12)
    is_dark = rng.random() < 0.6
    low, high = (four[0:2], four[2:4])
    cover = four[1:3] if rng.random() < 0.5 else (low if is_dark else four[1:3])
    bright = {"metal": four[2:4], "trim": four[3:4], "pages": high, "paper": high, "gem": four[[0, 3]]}
    dull = {"cover": cover, "spine": cover, "strap": four[[0, 3]], "ribbon": four[1:2], "line": four[0:1]}
    return bright | dull


def lay_bevel(easel: Easel, rng: np.random.Generator) -> float:
    """Light and dark slopes along the cover's edges, as of bevelled boards; gives their breadth in steps."""
    a, b, _ = easel.along()
    la, lb, _ = easel.lengths()
    breadth = float(rng.integers(1, max(1, round(0.1 * min(la, lb))) + 1))
    u, v = np.array(easel.box.u, float), np.array(easel.box.v, float)
    edges = ((a, -u), (la - a, u), (b, -v), (lb - b, v))
    nearest = np.argmin([gap for gap, _ in edges], axis=0)
    for i, (gap, way) in enumerate(edges):
        lit = float(way @ easel.light / np.hypot(*way))
        at = easel.cover & (gap < breadth) & (nearest == i)
        easel.level[at] = 0.95 if lit > 0.1 else 0.1 if lit < -0.1 else 0.7
    return breadth


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
    pages = pick(rng, style.page_bands)
    bands: list[tuple[float, float]] = []
    cover = easel.cover
    level = np.full(cover.shape, _middle(easel))
    if rng.random() < style.gradient:
        level += _gradient(cover, easel.light) * 0.35
    level += _texture(rng, texture, easel)
    if rng.random() < style.sheen:
        level += 0.28 * _sheen(easel)
    easel.lay(cover, "cover", "cover", level)
    lit, dim = _lit_sides(cover, easel.light)
    if rng.random() < style.edge_light:
        easel.level[lit] = 0.95
    if rng.random() < style.edge_shade:
        easel.level[dim & ~lit] = 0.12
    if rng.random() < style.glint:
        _glint(easel)
    for face in ("fore_edge", "head", "tail", "spine"):
        at = buffer.face == face
        base = _face_level(easel, face)
        easel.lay(at & (buffer.part == "front"), "cover", "cover", 0.8)
        easel.lay(at & (buffer.part == "back"), "back_cover", "cover", base)
        easel.lay(at & (buffer.part == "pages"), "page_edge", "pages", _page_level(easel, pages, base))
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
        bands = _dress_spine(easel, style)
    la, _, _ = easel.lengths()
    if la >= 9 and rng.random() < style.hinge:
        a, _, _ = easel.along()
        joint = cover & (np.floor(a) == (1 if la < 16 else 2))
        easel.level[joint] = 0.08
    return {"texture": texture, "page_bands": pages, "bands": bands}


def _dress_spine(easel: Easel, style: Style) -> list[tuple[float, float]]:
    """Rounding and raised bands; gives the bands' middles and breadths as shares of the height."""
    bands: list[tuple[float, float]] = []
    rng = easel.rng
    _, lb, lc = easel.lengths()
    _, b, c = easel.along()
    spine = easel.buffer.face == "spine"
    if lc >= 3 and rng.random() < 0.6:
        easel.level[spine] += 0.25 - 0.5 * np.abs(c[spine] / lc - 0.4) * 2
    if lc >= 4 and lb >= 12 and rng.random() < style.spine_title:
        top, tall = round(0.18 * lb), max(2, round(0.14 * lb))
        panel = spine & (b >= top) & (b < top + tall) & (c >= 1) & (c < lc - 1)
        easel.lay(panel, "title_area", pick(rng, {"metal": 2, "paper": 1}), 0.5)
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
                bands.append(((round((i + 1) * lb / (count + 1)) + 0.5) / lb, 1 / lb))
    return bands


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


def _middle(easel: Easel) -> float:
    """Level of one of the cover ramp's middle shades; between two shades all would be dithered."""
    top = len(easel.ramps["cover"]) - 1
    index = top // 2 if top % 2 == 0 or easel.rng.random() < 0.4 else top // 2 + 1
    return index / top if top else 0.5


def _sheen(easel: Easel) -> NDArray[np.float64]:
    """1 on a diagonal band of light across the cover, else 0."""
    ys, xs = np.indices(easel.level.shape)
    along = xs - ys if easel.light[0] > 0 else xs + ys
    low, high = along[easel.cover].min(), along[easel.cover].max()
    start = low + (high - low) * easel.rng.uniform(0.2, 0.6)
    return np.asarray((along >= start) & (along < start + easel.rng.integers(2, 5)), float)


def _glint(easel: Easel) -> None:
    """A few bright pixels inside the cover's corner that is nearest the light."""
    inner = shrink(easel.cover)
    if not inner.any():
        return
    ys, xs = np.nonzero(inner)
    first = int(np.argmax(xs * easel.light[0] + ys * easel.light[1]))
    y, x = ys[first], xs[first]
    for dy, dx in ((0, 0), (1, 0), (0, 1), (2, 0))[: int(easel.rng.integers(1, 5))]:
        if inner[y + dy, x + dx]:
            easel.level[y + dy, x + dx] = 1.0


def _texture(rng: np.random.Generator, texture: str, easel: Easel) -> NDArray[np.float64]:
    """Changes of shade that stand for leather, cloth or scales."""
    shape = easel.buffer.part.shape
    a, b, _ = easel.along()
    fa, fb = np.floor(a).astype(int), np.floor(b).astype(int)
    if texture == "speckle":
        grain = rng.random(shape)
        return np.where(grain < 0.12, -0.3, np.where(grain > 0.92, 0.25, 0.0))
    if texture == "blotch":
        field = rng.normal(0, 1, shape)
        for axis in (0, 1):
            field = sum(np.roll(field, step, axis) for step in (-1, 0, 1)) / np.sqrt(3)
        return np.where(field > 0.9, 0.22, np.where(field < -0.9, -0.24, 0.0))
    if texture == "grain":
        # Coarse leather: a checkerboard whose darker squares come and go.
        return np.where((fa + fb) % 2 == 0, np.where(rng.random(shape) < 0.8, -0.22, 0.0), 0.06)
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
