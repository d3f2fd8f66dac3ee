"""A drawn book as other hands would draw it: clasps of other manners, other metals, fewer colours."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from tests.truth.model import Drawn
from tests.truth.raster import shifted, steps

__all__ = ["MANNERS", "METALS", "along_steps", "few_colours", "refastened", "turned_hue", "weathered"]

MANNERS = ("stud", "edge plate", "band", "lip", "keyhole plate")
METALS = (
    ((122, 78, 20), (214, 158, 42), (255, 226, 120)),
    ((96, 98, 110), (160, 164, 176), (226, 230, 238)),
    ((98, 46, 26), (176, 92, 54), (232, 160, 112)),
    ((46, 48, 56), (82, 86, 96), (140, 146, 156)),
    ((132, 104, 20), (238, 198, 36), (255, 246, 170)),
    ((58, 84, 74), (110, 150, 128), (176, 212, 190)),
)
"""Gold, silver, copper, iron, yellow brass and verdigris: dark, middle, light."""
STREAMS = {"refastened": 61, "few_colours": 67, "turned_hue": 71, "weathered": 31}
"""Keep these numbers apart from those that the drawing itself is made with."""

Mask = NDArray[np.bool_]


def _rng(drawn: Drawn, name: str) -> np.random.Generator:
    return np.random.default_rng([drawn.seed, drawn.size, STREAMS[name]])


def along_steps(drawn: Drawn) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Steps from the spine across the cover, from the head, and from the front along the fore-edge."""
    ys, xs = np.indices(drawn.features.shape)
    points = np.stack([xs + 0.5, ys + 0.5], -1)
    o, u, v, t = (np.array(p, float) for p in (drawn.box.origin, drawn.box.u, drawn.box.v, drawn.box.t))
    on_cover = (points - o) @ np.linalg.inv(np.stack([u, v]))
    a, b, c = on_cover[..., 0], on_cover[..., 1], np.zeros(drawn.features.shape)
    side = drawn.faces == "fore_edge"
    if side.any() and abs(t[0] * v[1] - t[1] * v[0]) > 1e-6:
        on_side = (points - o - u) @ np.linalg.inv(np.stack([t, v]))
        b = np.where(side, on_side[..., 1], b)
        c = np.where(side, on_side[..., 0], c)
    return a * steps(drawn.box.u), b * steps(drawn.box.v), c * max(1.0, steps(drawn.box.t))


def refastened(drawn: Drawn) -> Drawn:
    """The same book with one or two clasps more, where it has none and shows its fore-edge or front.

    A stud of one to nine pixels, a plate on the pages only, a band round the edge with a light in its
    middle, a tongue that sticks out of the silhouette, or a plate with a keyhole.
    """
    rng = _rng(drawn, "refastened")
    lb, la = steps(drawn.box.v), steps(drawn.box.u)
    if (drawn.features == "clasp").any() or min(la, lb) < 6:
        return drawn
    manner = MANNERS[int(rng.integers(len(MANNERS)))]
    a, b, c = along_steps(drawn)
    depth = max(1.0, steps(drawn.box.t))
    tall = max(1.0, round(lb * rng.uniform(0.07, 0.18)))
    wide = max(1.0, round(la * rng.uniform(0.07, 0.22)))
    if manner == "stud":
        tall = wide = float(rng.integers(1, 4 if lb >= 14 else 3))
    two = lb >= 13 and rng.random() < 0.3
    middles = (0.25, 0.75) if two else (0.5 + rng.uniform(-0.06, 0.06),)
    cover, side = drawn.faces == "cover", drawn.faces == "fore_edge"
    if manner == "edge plate" and side.sum() < 4:
        manner = "band"
    metal = np.array(METALS[int(rng.integers(len(METALS)))], float)
    corner = drawn.features == "corner_piece"
    if corner.any() and rng.random() < 0.6:
        base = np.median(drawn.rgba[corner][:, :3], axis=0)
        metal = np.stack([base * 0.55, base, np.minimum(255, base * 1.25)])
    rgba, features = drawn.rgba.copy(), drawn.features.copy()
    for middle in middles:
        low = round(middle * lb - tall / 2)
        row = (b >= low) & (b < low + tall)
        on_cover = cover & row & (a >= la - wide)
        on_side = side & row & (c < (depth if manner in ("band", "edge plate") else max(1.0, depth / 2)))
        mask = {"stud": on_cover, "edge plate": on_side}.get(manner, on_cover | on_side)
        if manner == "lip":
            mask = mask | _lip(drawn, mask)
        if not mask.any():
            continue
        level = np.where(b < low + 1, 2, np.where((b >= low + tall - 1) & (tall >= 3), 0, 1))
        level = np.where(tall < 2, 1, level)
        rgba[mask, :3] = metal[level][mask].astype(np.uint8)
        rgba[mask, 3], features[mask] = 255, "clasp"
        ys, xs = np.nonzero(mask)
        nearest = int(np.argmin((ys - ys.mean()) ** 2 + (xs - xs.mean()) ** 2))
        if manner == "band" or (manner == "keyhole plate" and len(ys) >= 6):
            rgba[ys[nearest], xs[nearest], :3] = metal[2] if manner == "band" else metal[0] * 0.4
    faces = np.where(
        features == drawn.features, drawn.faces, np.where(drawn.faces == "", "cover", drawn.faces)
    )
    return replace(drawn, rgba=rgba, features=features, faces=faces)


def _lip(drawn: Drawn, mask: Mask) -> Mask:
    """One or two pixels beyond the silhouette, on the fore-edge's side."""
    u, t = np.array(drawn.box.u, float), np.array(drawn.box.t, float)
    way = u / max(1e-9, np.abs(u).max()) if (drawn.faces == "fore_edge").sum() < 4 else t + 0.2 * u
    way = way / max(1e-9, np.abs(way).max())
    dx, dy = (int(np.rint(n)) for n in way)
    out = np.zeros_like(mask)
    for _ in range(2):
        mask = shifted(mask, dx, dy) & np.isin(drawn.features, ("outline", "background"))
        out |= mask
    return out


def few_colours(drawn: Drawn) -> Drawn:
    """The same book in four to ten colours, each pixel the nearest of those that serve most pixels."""
    rng = _rng(drawn, "few_colours")
    book = drawn.rgba[..., 3] == 255
    colors, index, counts = np.unique(
        drawn.rgba[book][:, :3], axis=0, return_inverse=True, return_counts=True
    )
    most = int(rng.integers(4, 11))
    if len(colors) <= most:
        return drawn
    points = colors.astype(float)
    # The most frequent first, then always the colour that is served worst.
    kept = [int(counts.argmax())]
    while len(kept) < most:
        gap = np.linalg.norm(points[:, None] - points[kept][None], axis=-1).min(axis=1)
        kept.append(int((gap * np.sqrt(counts)).argmax()))
    nearest = np.linalg.norm(points[:, None] - points[kept][None], axis=-1).argmin(axis=1)
    rgba = drawn.rgba.copy()
    rgba[book, :3] = colors[kept][nearest[index.reshape(-1)]]
    return replace(drawn, rgba=rgba)


def turned_hue(drawn: Drawn) -> Drawn:
    """The same book with its red, green and blue in another order and weaker or stronger colours."""
    rng = _rng(drawn, "turned_hue")
    order = rng.permutation(3)
    rgb = drawn.rgba[..., :3].astype(float)[..., order]
    grey = rgb.mean(axis=-1, keepdims=True)
    rgb = grey + (rgb - grey) * rng.uniform(0.25, 1.2)
    rgba = drawn.rgba.copy()
    rgba[..., :3] = np.clip(rgb, 0, 255).astype(np.uint8)
    return replace(drawn, rgba=rgba)


def weathered(drawn: Drawn) -> Drawn:
    """The same book with the strokes of a careful hand: lights and shades on fittings, streaks on faces.

    Regions fall apart along such strokes, and the weights should know pieces of a border or an emblem
    as well as whole ones.
    """
    rng = _rng(drawn, "weathered")
    rgb = drawn.rgba[..., :3].astype(float)
    share = rng.uniform(0.0, 0.3)
    for word in ("border", "emblem", "corner_piece", "title_area", "clasp", "strap"):
        at = (drawn.features == word) & (rng.random(drawn.features.shape) < share)
        rgb[at] *= float(rng.choice([0.55, 0.7, 1.3, 1.6])) if rng.random() < 0.6 else 1.0
        more = (drawn.features == word) & (rng.random(drawn.features.shape) < share / 2)
        rgb[more] = rgb[more] * 0.5 + 0.5 * np.array([255, 250, 220]) * float(rng.choice([0.3, 1.0]))
    rows, cols = drawn.features.shape
    for word in ("cover", "page_edge", "spine"):
        for _ in range(int(rng.integers(0, 2 + drawn.size // 5))):
            y, x, long = int(rng.integers(rows)), int(rng.integers(cols)), int(rng.integers(1, 5))
            streak = np.zeros((rows, cols), bool)
            streak[y, x : x + long] = True
            rgb[streak & (drawn.features == word)] *= float(rng.choice([0.7, 0.8, 1.2, 1.35]))
    rgba = drawn.rgba.copy()
    rgba[..., :3] = np.where(drawn.rgba[..., 3:] == 255, rgb.clip(0, 255), rgba[..., :3]).astype(np.uint8)
    return replace(drawn, rgba=rgba)
