"""Marks in a shade of the cover, ribbons and lines laid across it, and mottled leather without marks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from tests.truth.easel import Easel, Mask
from tests.truth.ornaments import LEAST_COVER_STEPS, emblem_shape
from tests.truth.palettes import oklch_to_srgb, srgb_to_oklab
from tests.truth.styles import Style, pick

__all__ = ["add_marks", "add_mottle"]

INK_GAP = (0.14, 0.3)
"""Lightness (OKLab) between the cover's middle shade and the ink of marks in its own hue."""
MOTTLE_TURN = (12.0, 40.0)
"""Degrees of hue between mottled leather's two colours."""
SURE_RIM = 1.0
"""Marks keep so many steps off the cover's edge, which is light or shade."""

Rng = np.random.Generator


def add_mottle(easel: Easel, style: Style, rng: Rng) -> bool:
    """Turn clumps of the cover to another hue, as sprinkled leather; tells whether."""
    if rng.random() >= style.mottle:
        return False
    middle = _middle(easel)
    turn = rng.uniform(*MOTTLE_TURN) * (1 if rng.random() < 0.5 else -1)
    other = (middle[0] + rng.uniform(-0.06, 0.06), middle[1], middle[2] + turn)
    easel.ramps["mottle"] = np.concatenate(
        [oklch_to_srgb(np.array([(other[0] + d, other[1], other[2])])) for d in (-0.06, 0.0, 0.06)]
    )
    field = rng.normal(0, 1, easel.level.shape)
    if rng.random() < 0.5:
        for axis in (0, 1):
            field = sum(np.roll(field, step, axis) for step in (-1, 0, 1)) / np.sqrt(3)
    clumps = easel.cover & (easel.material == "cover") & (field > rng.uniform(0.7, 1.4))
    easel.material[clumps] = "mottle"
    return True


def add_marks(easel: Easel, style: Style, rng: Rng) -> dict[str, object]:
    """Lay lettering, an emblem, lines and a ribbon by the style's chances; gives what was laid."""
    la, lb, _ = easel.lengths()
    laid: dict[str, object] = {}
    if min(la, lb) < LEAST_COVER_STEPS + 1:
        return laid
    if rng.random() < style.edge_lines:
        laid["lines"] = _lines(easel, style, rng)
    if rng.random() < style.tone_marks:
        laid["marks"] = _page(easel, style, rng)
    if rng.random() < style.ribbon_across:
        laid["ribbon"] = _ribbon(easel, rng)
    return laid


def _middle(easel: Easel) -> tuple[float, float, float]:
    """The cover's middle shade in OKLCh."""
    shades = easel.ramps["cover"]
    light, a, b = srgb_to_oklab(shades[len(shades) // 2])[0]
    return float(light), float(np.hypot(a, b)), float(np.degrees(np.arctan2(b, a)) % 360)


def _ink(easel: Easel, style: Style, rng: Rng) -> tuple[str, float]:
    """Material and level that marks are drawn in: mostly a shade of the cover."""
    kind = pick(rng, {"ink": 5, "ramp": 3, "metal": 2, "line": 1})
    if kind == "metal":
        return "metal", 0.6
    if kind == "line":
        return "line", 0.0
    light, chroma, hue = _middle(easel)
    is_dark = light > 0.5 if rng.random() < 0.7 else light > 0.3
    if kind == "ramp":
        return "cover", 0.0 if is_dark else 1.0
    gap = rng.uniform(*INK_GAP) * (-1 if is_dark else 1)
    shade = (float(np.clip(light + gap, 0.08, 0.97)), chroma * rng.uniform(0.6, 1.1), hue)
    half = (float(np.clip(light + gap / 2, 0.08, 0.97)), chroma, hue)
    easel.ramps["ink"] = np.concatenate([oklch_to_srgb(np.array([one])) for one in (shade, half)])
    return "ink", 0.0


def _page(easel: Easel, style: Style, rng: Rng) -> str:
    """Lettering, an emblem or both in one ink, one above the other."""
    la, lb, _ = easel.lengths()
    rim = SURE_RIM + (1.0 if min(la, lb) >= 12 else 0.0)
    layout = pick(rng, {"rows": 3, "rows, emblem": 4, "emblem, rows": 2, "emblem": 2})
    if lb < 12 and "," in layout:
        layout = layout.split(", ")[0]
    ink = _ink(easel, style, rng)
    start, stop = rim + float(rng.integers(0, 2)), lb - rim
    share = rng.uniform(0.38, 0.55) if "," in layout else 1.0
    parts = layout.split(", ")
    for number, part in enumerate(parts):
        room = (stop - start) * (share if number == 0 else 1.0)
        if part == "rows":
            end = _rows(easel, rng, ink, rim, start, start + room)
        else:
            end = _emblem(easel, style, rng, ink, start, start + room)
        start = end + 1
    return layout


def _rows(easel: Easel, rng: Rng, ink: tuple[str, float], rim: float, start: float, stop: float) -> float:
    """Lines of glyphs between two places along the height; gives where they end."""
    la, lb, _ = easel.lengths()
    a, b, _ = easel.along()
    tall = int(rng.integers(1, 4 if lb >= 20 else 3))
    most = max(1, int((stop - start + 1) // (tall + 1)))
    count = int(rng.integers(1, min(most, 5) + 1))
    left = rim + float(rng.integers(0, max(1, int(0.15 * la)) + 1))
    end = start
    for _ in range(count):
        first, last = (
            left + float(rng.integers(0, 2)),
            la - left - float(rng.integers(0, max(2, int(0.3 * la)))),
        )
        if last - first < 3:
            last = first + 3
        glyphs = _glyphs(rng, int(np.ceil(la)) + 2, tall)
        column = np.clip(np.floor(a).astype(int), 0, glyphs.shape[1] - 1)
        row = np.floor(b - end).astype(int)
        at = easel.cover & (row >= 0) & (row < tall) & (a >= first) & (a < last)
        marks = at & glyphs[np.clip(row, 0, tall - 1), column]
        easel.lay(marks, "title_area", *ink)
        end += tall + 1
    return end


def _glyphs(rng: Rng, length: int, tall: int) -> NDArray[np.bool_]:
    """A line of lettering, shape (tall, length): marks and the gaps between them."""
    if tall == 1:
        return np.asarray(rng.random((1, length)) < 0.72)
    out = rng.random((tall, length)) < 0.55
    gap = int(rng.integers(3, 5))
    out[:, ::gap] = False
    return np.asarray(out)


def _emblem(easel: Easel, style: Style, rng: Rng, ink: tuple[str, float], start: float, stop: float) -> float:
    la, _, _ = easel.lengths()
    a, b, _ = easel.along()
    most = min((stop - start) / 2, la / 2 - 1.5)
    radius = max(1.5, round(2 * rng.uniform(0.6, 1.0) * most) / 2)
    x, y = a - la / 2, b - (start + stop) / 2
    mask, _ = emblem_shape(pick(rng, style.emblems), x, y, radius)
    mask &= easel.cover
    material, level = ink
    easel.lay(mask, "emblem", material, level)
    if radius >= 2.5 and rng.random() < 0.4:
        inner = mask & (np.hypot(x, y) < radius * 0.5)
        easel.level[inner] = 1.0 if material == "ink" else 0.5
    return stop


def _lines(easel: Easel, style: Style, rng: Rng) -> str:
    """One or two pairs of straight lines parallel to the cover's edges."""
    la, lb, _ = easel.lengths()
    a, b, _ = easel.along()
    which = pick(rng, {"upright": 3, "level": 3, "both": 2})
    breadth = 2.0 if min(la, lb) >= 20 and rng.random() < 0.4 else 1.0
    material, level = ("metal", 0.65) if rng.random() < 0.65 else ("trim", 0.55)
    mask = np.zeros(easel.level.shape, bool)
    for word, along, length in (("upright", a, la), ("level", b, lb)):
        if which in (word, "both"):
            inset = float(rng.integers(1, max(2, int(0.25 * length)) + 1))
            for low in (inset, length - inset - breadth):
                mask |= (along >= low) & (along < low + breadth)
    mask &= easel.cover
    if rng.random() < 0.4:
        # Rubbed gold: some of it is gone.
        mask &= rng.random(mask.shape) < 0.85
    flicker = np.where(rng.random(mask.shape) < 0.3, -0.3, 0.0)
    easel.lay(mask, "border", material, np.clip(level + flicker, 0.0, 1.0))
    return which


def _ribbon(easel: Easel, rng: Rng) -> int:
    """A ribbon that comes out of the pages at the head and lies along the cover; gives its breadth."""
    la, lb, _ = easel.lengths()
    a, b, _ = easel.along()
    breadth = int(rng.integers(1, 2 + int(max(1, round(0.14 * la)))))
    low = round(rng.uniform(0.15, 0.85) * (la - breadth))
    low = int(np.clip(low, 1, max(1, la - breadth - 1)))
    reach = rng.uniform(0.4, 0.9) * lb
    mask: Mask = easel.cover & (a >= low) & (a < low + breadth) & (b < reach)
    if breadth >= 3:
        # Its end is cut to a swallow's tail.
        mask &= ~((b >= reach - 1) & (np.abs(a - low - breadth / 2) < breadth / 2 - 1))
    easel.lay(mask, "bookmark", "ribbon", np.where(a >= low + breadth - 1, 0.35, 0.6))
    return breadth
