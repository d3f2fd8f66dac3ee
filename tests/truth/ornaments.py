"""Things on a cover: title, emblem, border, corner pieces, strap, clasp, bookmark."""

from __future__ import annotations

import numpy as np

from tests.truth.easel import Easel, Mask
from tests.truth.raster import shrink
from tests.truth.styles import Style, pick

__all__ = ["add_bookmark", "add_ornaments", "emblem_shape"]

LEAST_COVER_STEPS = 6
"""A cover of fewer steps has no room for a title, border or emblem beside anything else."""

RINGED_STEPS = 12
"""A dark ring round a fitting takes two more steps; smaller covers have no room for it."""


def add_ornaments(easel: Easel, style: Style) -> dict[str, object]:
    """Lay ornaments by the style's chances; gives what was laid."""
    rng = easel.rng
    la, lb, _ = easel.lengths()
    room = min(la, lb)
    laid: dict[str, object] = {}
    has_strap = rng.random() < style.strap
    if room >= LEAST_COVER_STEPS and rng.random() < style.border:
        laid["border"] = _border(easel)
    has_title = room >= LEAST_COVER_STEPS and rng.random() < style.title
    if has_title:
        laid["title"] = _title(easel, style)
    if (
        room >= LEAST_COVER_STEPS - 1
        and rng.random() < style.emblem
        and not (has_strap and rng.random() < 0.6)
    ):
        laid["emblem"] = _emblem(easel, style, 0.62 if has_title else 0.5)
    if room >= LEAST_COVER_STEPS and rng.random() < style.corners:
        laid["corner_piece"] = _corners(easel, style)
    bands: list[tuple[float, float]] = []
    if has_strap:
        bands = _strap(easel)
        laid["strap"] = len(bands)
    if rng.random() < (0.85 if has_strap else style.clasp):
        laid["clasp"] = _clasps(easel, style, bands)
    laid["ringed"] = min(la, lb) >= RINGED_STEPS and rng.random() < style.ringed
    return laid


def _border(easel: Easel) -> int:
    inset = int(easel.rng.integers(1, 3)) if min(easel.lengths()[:2]) >= 10 else 1
    inner = easel.cover
    for _ in range(inset):
        inner = shrink(inner)
    line = inner & ~shrink(inner)
    easel.lay(line, "border", "trim", 0.55)
    return inset


def _title(easel: Easel, style: Style) -> str:
    rng, (la, lb, _) = easel.rng, easel.lengths()
    a, b, _ = easel.along()
    cover = easel.cover
    left, right = max(2.0, round(0.2 * la)), la - max(2.0, round(0.2 * la))
    top = max(2.0, round(rng.uniform(0.14, 0.24) * lb))
    if rng.random() < style.panel:
        height = max(2.0, round(rng.uniform(0.14, 0.24) * lb))
        panel = cover & (a >= left) & (a < right) & (b >= top) & (b < top + height)
        easel.lay(panel, "title_area", pick(rng, {"paper": 2, "metal": 2, "trim": 1}), 0.6)
        if height >= 3:
            for row in range(1, int(height) - 1, 2):
                marks = panel & (np.floor(b - top) == row) & (a >= left + 1) & (a < right - 1)
                marks &= (np.floor(a).astype(int) * 7 + row * 3) % 5 != 0
                easel.level[marks] = 0.0
        return "panel"
    rows = int(rng.integers(1, 4)) if lb >= 14 else int(rng.integers(1, 3))
    metal = pick(rng, {"metal": 3, "trim": 1, "paper": 1})
    for row in range(rows):
        line = cover & (np.floor(b - top) == 2 * row)
        start, stop = left + rng.integers(0, 2), right - rng.integers(0, 3)
        gaps = rng.random(int(la) + 2) < 0.25
        marks = line & (a >= start) & (a < stop) & ~gaps[np.clip(np.floor(a).astype(int), 0, int(la))]
        easel.lay(marks, "title_area", metal, 0.6)
    return f"{rows} rows"


def _emblem(easel: Easel, style: Style, centre: float) -> str:
    rng, (la, lb, _) = easel.rng, easel.lengths()
    a, b, _ = easel.along()
    radius = max(1.0, round(2 * rng.uniform(0.14, 0.26) * min(la, lb)) / 2)
    ca = np.floor(la / 2) + (0.5 if int(la) % 2 else 0.0) - (0.0 if (2 * radius) % 2 == int(la) % 2 else 0.5)
    cb = round(2 * centre * lb) / 2
    x, y = a - ca, b - cb
    shape = pick(rng, style.emblems)
    mask, dark = emblem_shape(shape, x, y, radius)
    mask &= easel.cover
    material = pick(rng, {"gem": 4, "metal": 4, "trim": 2})
    level = 0.5 - 0.35 * (x * -easel.light[0] + y * -easel.light[1]) / max(radius, 1)
    easel.lay(mask, "emblem", material, np.clip(level, 0.2, 0.95))
    easel.level[mask & dark] = 0.0
    return shape


def emblem_shape(shape: str, x: np.ndarray, y: np.ndarray, r: float) -> tuple[Mask, Mask]:
    """(mask, dark part) of an emblem about the origin."""
    ax, ay, none = np.abs(x), np.abs(y), np.zeros(x.shape, bool)
    rr = np.hypot(x, y)
    if shape == "disc":
        return rr <= r, none
    if shape == "diamond":
        return ax + ay <= r, none
    if shape == "cross":
        arm = max(0.6, r / 3)
        return ((ax < arm) & (ay < r * 1.3)) | ((np.abs(y + r * 0.2) < arm) & (ax < r)), none
    if shape == "star":
        return (ax + ay <= r * 0.7) | ((np.minimum(ax, ay) < 0.6) & (np.maximum(ax, ay) < r * 1.2)), none
    if shape == "gem":
        return (ax + ay * 0.7 <= r) & (ay <= r * 1.2), (ax + ay * 0.7 > r - 1) & (y > 0)
    if shape == "ring":
        return (rr <= r) & ((rr > r - 1.1) | (rr < 0.8)), none
    if shape == "eye":
        return (ax / 1.4 + ay) <= r * 0.9, (rr < max(0.8, r * 0.35))
    if shape == "wave":
        return (np.abs(y - 0.5 * np.sin(x * 1.6) * r * 0.5) < 0.8) & (ax < r * 1.3), none
    if shape == "bars":
        return (ax <= r) & (ay <= r) & (np.floor(y + 20.25).astype(int) % 2 == 0), none
    if shape == "heart":
        return (np.hypot(ax - r * 0.45, y + r * 0.3) < r * 0.62) | (
            (ax + y < r * 0.95) & (y > -r * 0.3) & (y < r)
        ), none
    raise ValueError(shape)


def _corners(easel: Easel, style: Style) -> str:
    rng, (la, lb, _) = easel.rng, easel.lengths()
    a, b, _ = easel.along()
    shape = pick(rng, style.corner_shapes)
    count = 4 if rng.random() < 0.65 else 2
    r = max(2.0, round(rng.uniform(0.14, 0.24) * min(la, lb)))
    da, db = np.minimum(a, la - a), np.minimum(b, lb - b)
    if count == 2:
        da = la - a
    if shape == "triangle":
        mask = da + db < r + 0.5
    elif shape == "square":
        mask = np.maximum(da, db) < max(1.0, r - 1)
    elif shape == "round":
        mask = np.hypot(da, db) < r
    else:
        mask = (np.maximum(da, db) < r + 1) & (np.minimum(da, db) < 1)
    mask &= easel.cover
    level = 0.55 + 0.25 * np.sign((a - la / 2) * easel.light[0] * easel.box.u[0])
    easel.lay(mask, "corner_piece", "metal", np.clip(level, 0.3, 0.9))
    return f"{count} {shape}"


def _strap(easel: Easel) -> list[tuple[float, float]]:
    """Lay one or two bands from the spine over the cover to the fore-edge and round it."""
    rng, (la, lb, _) = easel.rng, easel.lengths()
    a, b, _ = easel.along()
    count = 2 if lb >= 14 and rng.random() < 0.45 else 1
    width = max(1.0, round(rng.uniform(0.06, 0.12) * lb))
    centres = [0.5] if count == 1 else [0.25, 0.75]
    start = 0.0 if rng.random() < 0.7 else round(la * rng.uniform(0.5, 0.7))
    bands = []
    faces = np.isin(easel.buffer.face, ("cover", "fore_edge", "spine" if start == 0 else "cover"))
    for centre in centres:
        low = round(centre * lb - width / 2)
        mask = faces & (easel.buffer.part != "") & (b >= low) & (b < low + width) & (a >= start)
        level = np.where(easel.buffer.face == "cover", 0.55, 0.35)
        edge = b >= low + width - 1 if width >= 3 else np.zeros_like(mask)
        easel.lay(mask, "strap", "strap", level - 0.25 * edge)
        bands.append((low, low + width))
    return bands


def _clasps(easel: Easel, style: Style, bands: list[tuple[float, float]]) -> str:
    rng, (la, lb, lc) = easel.rng, easel.lengths()
    a, b, c = easel.along()
    shape = pick(rng, style.clasps)
    if not bands:
        centres = [0.5] if lb < 14 or rng.random() < 0.65 else [0.25, 0.75]
        width = max(2.0, round(rng.uniform(0.1, 0.2) * lb))
        bands = [(round(p * lb - width / 2), round(p * lb - width / 2) + width) for p in centres]
    reach = max(1.0, round(rng.uniform(0.1, 0.22) * la))
    depth = max(1.0, round(rng.uniform(0.4, 1.0) * lc))
    grown = 1.0 if rng.random() < 0.5 and lb >= 10 else 0.0
    for low, high in bands:
        low, high = low - grown, high + grown
        on_cover = easel.cover & (a >= la - reach)
        on_edge = (easel.buffer.face == "fore_edge") & (c < depth)
        inside = (b >= low) & (b < high)
        mask = (on_cover | on_edge) & inside
        level = np.where(b < low + 1, 0.9, np.where(b >= high - 1, 0.25, 0.6))
        level = np.where(on_edge, level - 0.15, level)
        if shape == "hook":
            mask &= ~(on_cover & (a < la - reach + 1) & (b < low + 1))
        easel.lay(mask, "clasp", "metal", np.clip(level, 0.05, 1.0))
        middle = (low + high) / 2
        if shape in ("studded", "buckle") and high - low >= 3 and reach >= 2:
            hole = mask & on_cover & (np.abs(b - middle) < max(0.6, (high - low) / 2 - 1)) & (a < la - 1)
            hole &= a >= la - reach + 1
            easel.level[hole] = 0.0
    return shape


def add_bookmark(easel: Easel, length: int) -> int:
    """Hang a ribbon from the pages at the tail; gives its breadth."""
    rng, box = easel.rng, easel.box
    u, v, t = (np.array(p, float) for p in (box.u, box.v, box.t))
    start = np.array(box.origin) + rng.uniform(0.3, 0.8) * u + v + 0.5 * t
    way = v / max(abs(v)) if v[1] > 0 and rng.random() < 0.7 else np.array((0.0, 1.0))
    breadth = 2 if max(easel.lengths()[:2]) >= 28 and rng.random() < 0.6 else 1
    mask = np.zeros(easel.level.shape, bool)
    side = np.array((1, 0)) if abs(way[1]) >= abs(way[0]) else np.array((0, 1))
    hangs = 0
    # From the pages out into the open; what crosses the tail's pages lies on them.
    for i in range(2 * max(mask.shape)):
        x, y = np.floor(start + way * (i + 0.5)).astype(int)
        if not (0 < x < mask.shape[1] - 2 and 0 < y < mask.shape[0] - 2) or hangs >= length:
            break
        for k in range(breadth):
            mask[y + k * side[1], x + k * side[0]] = True
        hangs += easel.feature[y, x] == "background"
    mask &= np.isin(easel.feature, ("background", "page_edge", "back_cover"))
    level = np.where(np.roll(mask, -1, 1) | (breadth == 1), 0.6, 0.2)
    easel.lay(mask, "bookmark", "ribbon", level)
    return breadth
