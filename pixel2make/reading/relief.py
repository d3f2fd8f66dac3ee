"""What light and shade tell of the relief: raised bands on the spine, bevelled edges of the front board."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Band, Face, Rounding
from pixel2make.regions.model import RegionMap

__all__ = ["chamfer", "raised_bands"]

Floats = NDArray[np.float64]

STAND_OUT = 5.0
"""CIELAB lightness by which a lit ridge or slope stands out; less is the grain of leather."""

LEAST_BREADTH_PX = 1.6
"""On a narrower spine one light pixel would pass for a band."""

LEAST_ROWS = 8
"""A shorter spine has no room for a band with leather above and below."""

MOST_BAND_SHARE = 0.14
"""A broader stripe along the spine is a label or a field between two bands."""

LEAST_PITCH_ROWS = 3.0
"""Stripes closer than this are the weave of a cloth or dithering: a band has leather on both sides."""

DRAWN_SHARE = 0.85
"""So many of the spine's rows show; fittings and the boards' edges cover the rest."""

ACROSS_SHARE = 0.7
"""A band runs across the whole spine; a pixel or two may be lost to its rounding's highlight."""

GILT_GAP = 24.0
"""Distance in a*, b* from the leather from which on a line has a colour of its own: tooling or paint."""

EVEN_SURE, UNEVEN_SURE = 0.76, 0.15
SHADED_MORE, BROKEN_MORE, GILT_LESS = 0.12, 0.12, 0.6
"""How sure a light line is a band: lines that part the spine evenly, or mirror each other, mostly are; single
and uneven ones mostly are tooling or the rim of a label. A shade below speaks for relief; so does a ridge
whose light breaks off, as the spine's rounding turns its ends away, where a painted line runs right across.
Set to the shares that were right in drawings of known truth of the tuning styles, true box given."""

LEAST_SURE = 0.6
"""Less sure marks are lines that might be anything, and are left out."""

BAND_REACH_PX = 1.0
"""The middle of a band lies within a pixel either way: two ends, each known to its pixel."""

SIDE_SHARE = 0.7
"""So much of a bevelled edge is lighter, or darker, than the board's middle; fittings cover the rest."""

MOST_CHAMFER_SHARE = 0.2
"""Of the cover's shorter edge; a broader frame is a border or a panel."""


def _steps(edge: tuple[float, float]) -> float:
    """An edge's length as it is counted on the grid: pixels along its longer coordinate."""
    return max(abs(edge[0]), abs(edge[1]))


def _places(face: Face) -> tuple[NDArray[np.int64], NDArray[np.int64], Floats]:
    """Rows, columns and face coordinates (K, 2) of the face's pixels."""
    ys, xs = np.nonzero(face.mask)
    return ys, xs, face.to_face(np.stack([xs + 0.5, ys + 0.5], axis=1))


@dataclass(frozen=True, eq=False)
class _Rows:
    """The spine from head to tail, a row a drawn pixel: mean lightness against the leather beside it, share
    of the row that is lighter and that is darker, distance from the leather's colour."""

    rise: Floats
    lighter: Floats
    darker: Floats
    gilt: Floats


def raised_bands(regions: RegionMap, faces: tuple[Face, ...], sure_of_view: float = 1.0) -> tuple[Band, ...]:
    """Raised bands across the spine, from head to tail.

    A band catches the light along its ridge, right across the spine, and throws a shade below it.

    Parameters
    ----------
    regions : RegionMap
    faces : tuple of Face
    sure_of_view : float
        0..1, that the faces lie where they were drawn; no band is surer.

    Returns
    -------
    tuple of Band
        Empty where no spine shows, it is too narrow or too short to tell, or nothing stands out.
    """
    spine = next(face for face in faces if face.name == "spine")
    count = round(_steps(spine.b_px))
    area = abs(spine.a_px[0] * spine.b_px[1] - spine.a_px[1] * spine.b_px[0])
    if not spine.is_visible or count < LEAST_ROWS or area / np.hypot(*spine.b_px) < LEAST_BREADTH_PX:
        return ()
    rows = _rows_of(regions, spine, count)
    if rows is None:
        return ()
    runs = _runs((rows.rise > STAND_OUT) & (rows.lighter >= ACROSS_SHARE))
    runs = [(a, b) for a, b in runs if a > 0 and b < count and b - a <= max(1, MOST_BAND_SHARE * count)]
    if len(runs) > 2 and np.median(np.diff([a for a, _ in runs])) < LEAST_PITCH_ROWS:
        return ()
    evenness = _is_even([(a + b) / 2 for a, b in runs], count)
    bands = [_band(rows, a, b, count, even=evenness) for a, b in runs]
    return tuple(
        replace(band, confidence=round(band.confidence * sure_of_view, 2))
        for band in bands
        if band.confidence >= LEAST_SURE
    )


def _rows_of(regions: RegionMap, spine: Face, count: int) -> _Rows | None:
    from pixel2make.color import srgb_to_lab

    ys, xs, place = _places(spine)
    row = np.floor(place[:, 1] * count).astype(int)
    good = (row >= 0) & (row < count)
    if len(np.unique(row[good])) < DRAWN_SHARE * count:
        return None
    lab = srgb_to_lab(regions.sprite.rgba[ys, xs, :3])
    # The rounding of the spine is a shade across it, the same in every row: taken off first.
    across = np.floor(place[:, 0] * max(1, round(_steps(spine.a_px)))).astype(int)
    for n in np.unique(across):
        lab[across == n] -= np.median(lab[across == n], axis=0)
    mean = np.full((count, 3), np.nan)
    for n in range(count):
        if (row == n).any():
            mean[n] = np.median(lab[row == n], axis=0)
    mean = np.where(np.isnan(mean), 0.0, mean)
    # The leather beside a row: the middle of a few rows on either side, so that a slow shade does not count.
    half = max(3, round(0.12 * count))
    level = np.array([np.median(mean[max(0, n - half) : n + half + 1, 0]) for n in range(count)])
    above = lab[:, 0] - level[np.clip(row, 0, count - 1)]
    lighter, darker = np.zeros(count), np.zeros(count)
    for n in range(count):
        mine = above[row == n]
        if len(mine):
            lighter[n], darker[n] = (mine > STAND_OUT / 2).mean(), (mine < -STAND_OUT / 2).mean()
    gilt = np.hypot(*mean[:, 1:].T)
    return _Rows(mean[:, 0] - level, lighter, darker, gilt)


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """First row and row after the last of each run of True."""
    turns = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(int)))
    return [(int(a), int(b)) for a, b in turns.reshape(-1, 2)]


def _is_even(middles: list[float], count: int) -> bool:
    """True where two or more marks, with head and tail, part the spine evenly, or mirror each other."""
    if len(middles) < 2:
        return False
    gaps = np.diff(middles)
    is_spaced = bool(np.ptp(gaps) <= max(1.5, 0.35 * gaps.mean()))
    around = np.array(middles) + np.array(middles)[::-1]
    return is_spaced or bool(np.abs(around - count).max() <= 0.12 * count)


def _band(rows: _Rows, start: int, stop: int, count: int, *, even: bool) -> Band:
    below = rows.darker[stop : stop + 1].sum() >= ACROSS_SHARE
    is_gilt = bool(rows.gilt[start:stop].mean() > GILT_GAP)
    is_whole = bool(rows.lighter[start:stop].mean() > 0.95)
    sure = EVEN_SURE if even else UNEVEN_SURE
    sure += SHADED_MORE * below + BROKEN_MORE * (not is_whole) - GILT_LESS * is_gilt
    breadth = stop - start
    middle = (start + stop) / 2
    shade = ", with a shade below" if below else ""
    word = "line in a colour of its own" if is_gilt else "light line"
    why = f"A {word} of {breadth} px runs across the spine{shade}{'; the lines lie evenly' if even else ''}."
    return Band(
        at=middle / count,
        at_low=max(0.0, middle - BAND_REACH_PX) / count,
        at_high=min(float(count), middle + BAND_REACH_PX) / count,
        width=breadth / count,
        width_low=max(0.0, breadth - BAND_REACH_PX) / count,
        width_high=(breadth + BAND_REACH_PX) / count,
        confidence=round(float(np.clip(sure, 0.05, 0.95)), 2),
        why=why,
    )


def chamfer(regions: RegionMap, faces: tuple[Face, ...]) -> Rounding | None:
    """Breadth of a bevel along the front board's edges.

    Slopes towards the light are drawn lighter than the board's middle and those away from it darker, in
    strips of one breadth along the cover's edges.

    Parameters
    ----------
    regions : RegionMap
    faces : tuple of Face

    Returns
    -------
    Rounding or None
        In native pixels, on the cover's face. None where opposite edges do not part into light and shade. A
        single pixel may as well be a sharp edge in the light: the interval then begins at 0.
    """
    from pixel2make.color import srgb_to_lab

    cover = next(face for face in faces if face.name == "cover")
    long_a, long_b = _steps(cover.a_px), _steps(cover.b_px)
    most = int(MOST_CHAMFER_SHARE * min(long_a, long_b))
    if most < 1 or not cover.mask.any():
        return None
    ys, xs, place = _places(cover)
    light = srgb_to_lab(regions.sprite.rgba[ys, xs, :3])[:, 0]
    a, b = place[:, 0] * long_a, place[:, 1] * long_b
    gaps = np.stack([a, long_a - a, b, long_b - b])
    depth = np.floor(gaps.min(axis=0) + 1e-6)
    nearest = gaps.argmin(axis=0)
    inner = light[depth >= most]
    if len(inner) < 4:
        return None
    middle = float(np.median(inner))
    slopes = [_slope(light[nearest == side] - middle, depth[nearest == side], most) for side in range(4)]
    pairs = ((slopes[0], slopes[1]), (slopes[2], slopes[3]))
    if not any(one[1] * two[1] < 0 for one, two in pairs) or sum(n > 0 for n, _ in slopes) < 3:
        return None
    breadth = float(np.median([n for n, _ in slopes if n > 0]))
    low = 0.0 if breadth <= 1 else breadth - 1
    why = f"The cover's edges are light on one side and dark on the other, {breadth:g} px broad."
    if not low:
        why += " So narrow, it may be a sharp edge in the light."
    return Rounding(breadth, low, breadth + 1, why)


def _slope(rise: Floats, depth: Floats, most: int) -> tuple[int, int]:
    """How many rings from the edge differ alike from the board's middle, and by which sign."""
    sign, count = 0, 0
    for ring in range(most):
        mine = rise[depth == ring]
        if not len(mine):
            break
        way = int(np.sign(np.median(mine)))
        alike = (way * mine > STAND_OUT).mean()
        if not way or alike < SIDE_SHARE or (sign and way != sign):
            break
        sign, count = way, count + 1
    # A shade that goes on to the middle is the board's own, not a strip's.
    return (count, sign) if count < most or most <= 1 else (0, 0)
