"""The native grid of a picture that was enlarged without blending, by a whole or a broken factor.

Every change of colour then lies on a grid line. How surprising that is tells whether there is a grid:
with n changes and lines `scale` pixels apart, chance alone gives scale ** -(n - 2).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis

__all__ = ["MIN_EVIDENCE", "MIN_SCALE", "changes", "exact_axes"]

MIN_SCALE = 1.25
"""Below this the lines lie so close that nearly every drawing would fit."""

MIN_EVIDENCE = math.log(1e4)
"""One in ten thousand drawings may fit a coarser grid by chance; a few lines of the same block size
in a native sprite stay below it."""

_STEPS_PER_LINE = 16
"""Scales are tried so close that the last line moves by a sixteenth of a pixel."""

_TIE = 1e-6
"""A line in the very middle of a file pixel may show at either side of it. Only half-numbered scales
have such lines; of a whole-numbered one none is expected there."""

_BLOCK = 1_000_000
"""Residues held at a time, 8 MB."""


def changes(rgba: NDArray[np.uint8]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """File columns and rows at which any colour differs from the one before.

    Parameters
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
        All fully transparent pixels count as one colour.
    """
    words = np.ascontiguousarray(rgba).view(np.uint32)[:, :, 0]
    words = np.where(rgba[:, :, 3] == 0, np.uint32(0), words)
    across = np.flatnonzero((words[:, 1:] != words[:, :-1]).any(axis=0)) + 1
    down = np.flatnonzero((words[1:] != words[:-1]).any(axis=1)) + 1
    return across, down


def exact_axes(rgba: NDArray[np.uint8]) -> tuple[Axis, Axis, float] | None:
    """The coarsest grid that all changes of colour lie on.

    Returns
    -------
    (x axis, y axis, evidence) or None
        Evidence is minus the logarithm of the chance of such a fit; None where it is below
        MIN_EVIDENCE.
    """
    height, width = rgba.shape[:2]
    across, down = changes(rgba)
    count = len(across) + len(down) - 2
    whole = math.gcd(_common_divisor(across), _common_divisor(down))
    if whole > 1 and count * math.log(whole) >= MIN_EVIDENCE:
        x_axis, y_axis = (
            Axis(size, float(whole), float(lines[0] % whole) if len(lines) else 0.0)
            for size, lines in ((width, across), (height, down))
        )
        return x_axis, y_axis, count * math.log(whole)
    return _broken_factor(across, down, width, height)


def _common_divisor(lines: NDArray[np.int64]) -> int:
    """Greatest number that divides every distance between lines; 0 where there is at most one."""
    return int(np.gcd.reduce(np.diff(lines))) if len(lines) > 1 else 0


def _broken_factor(
    across: NDArray[np.int64], down: NDArray[np.int64], width: int, height: int
) -> tuple[Axis, Axis, float] | None:
    count = len(across) + len(down) - 2
    # A side is rounded to whole pixels when a picture is enlarged, so the two scales differ a little.
    slack = 0.75 / min(width, height)
    top = (1 + slack) * min(_largest_scale(across, width), _largest_scale(down, height))
    if count < 1 or top <= MIN_SCALE:
        return None
    longest = max(width, height)
    steps = math.ceil(_STEPS_PER_LINE * longest * (1 / MIN_SCALE - 1 / top))
    between = 1 / np.linspace(1 / top, 1 / MIN_SCALE, steps + 1)
    # Of a whole picture the side is a whole number of native pixels; lines may then fall on a tie.
    whole = [
        size / n for size in (width, height) for n in range(math.ceil(size / top), int(size / MIN_SCALE) + 1)
    ]
    scales = np.unique(np.concatenate([between, whole]))[::-1]
    fits_x, fits_y = _fits(across, scales), _fits(down, scales)
    both = np.flatnonzero(_near(fits_x, scales, slack) & _near(fits_y, scales, slack))
    if len(both) == 0:
        return None
    alike = both[scales[both] >= scales[both[0]] * (1 - 2 * slack)]
    scale = float(scales[alike[len(alike) // 2]])
    x_axis = _settle(across, scales[fits_x], scale, width, slack)
    y_axis = _settle(down, scales[fits_y], scale, height, slack)
    proof = _surprise(across, x_axis) + _surprise(down, y_axis) - math.log(len(scales))
    found = max(((proof, x_axis, y_axis), *_whole_picture(across, down, width, height, top)), key=_proof)
    return (found[1], found[2], found[0]) if found[0] >= MIN_EVIDENCE else None


def _proof(found: tuple[float, Axis, Axis]) -> float:
    return found[0]


def _whole_picture(
    across: NDArray[np.int64], down: NDArray[np.int64], width: int, height: int, top: float
) -> list[tuple[float, Axis, Axis]]:
    """Grids of a whole picture, which begin at its corner and have whole numbers of pixels each way, with
    what proves them; there are so few of them that little is owed to having tried."""
    found = []
    for columns in range(math.ceil(width / top), int(width / MIN_SCALE) + 1):
        scale = width / columns
        x_axis = Axis(width, scale, 0.0)
        # Each side is rounded to a whole pixel after enlarging by the same factor.
        low, high = (width - 0.5) / columns, (width + 0.5) / columns
        for rows in range(max(1, math.ceil((height - 0.5) / high)), math.floor((height + 0.5) / low) + 1):
            y_axis = Axis(height, height / rows, 0.0)
            if _fits_whole(across, x_axis.scale) and _fits_whole(down, y_axis.scale):
                found.append((_rates_apart(across, x_axis) + _rates_apart(down, y_axis), x_axis, y_axis))
    tried = max(1, int(width / MIN_SCALE) - math.ceil(width / top) + 1)
    return [(proof - math.log(tried), x_axis, y_axis) for proof, x_axis, y_axis in found]


def _rates_apart(lines: NDArray[np.int64], axis: Axis) -> float:
    """How much better two rates of change, one on the grid's lines and none beside them, tell where the
    changes are than one rate all over does: the log likelihood ratio, for a grid that fits.

    A line in the very middle of a file pixel may show at either side of it, and tells so much less.
    """
    if len(lines) < 2:
        return 0.0
    first, last = int(lines[0]), int(lines[-1])
    on_grid = max(round(last / axis.scale) - round(first / axis.scale) + 1, len(lines))
    fraction = (lines / axis.scale) % 1 * axis.scale
    ties = int((abs(np.minimum(fraction, axis.scale - fraction) - 0.5) < _TIE).sum())
    return _fair(len(lines), on_grid) - ties * math.log(2) - _fair(len(lines), last - first + 1)


def _fair(hits: int, places: int) -> float:
    """Log likelihood of `hits` changes at `places` at the rate that they have."""
    missed = places - hits
    return hits * math.log(hits / places) + (missed * math.log(missed / places) if missed else 0.0)


def _surprise(lines: NDArray[np.int64], axis: Axis) -> float:
    """Minus the logarithm of the chance that so many changes fit `axis`; one goes for the offset.

    Every other line of a half-numbered scale is a tie. A change has two places there, but the two
    never show both, which is the surprise in turn.
    """
    if len(lines) < 2 or not _has_ties(axis.scale):
        return max(0, len(lines) - 1) * math.log(axis.scale)
    density = len(lines) / float(lines[-1] - lines[0] + 1)
    ties = float(lines[-1] - lines[0]) / (2 * axis.scale)
    return (len(lines) - 1) * math.log(axis.scale / 1.5) - ties * math.log(max(1 - density**2, 1e-3))


def _has_ties(scale: float) -> bool:
    return abs(scale % 1 - 0.5) < _TIE


def _largest_scale(lines: NDArray[np.int64], size: int) -> float:
    """No coarser grid has room for so many lines, or for two so close."""
    if len(lines) < 2:
        return float(size)
    span = float(lines[-1] - lines[0])
    return min((span + 1) / (len(lines) - 1), float(np.diff(lines).min()) + 1)


def _fits(lines: NDArray[np.int64], scales: NDArray[np.float64]) -> NDArray[np.bool_]:
    """For each scale, whether one offset puts a grid line at less than half a pixel from every change."""
    fits = np.ones(len(scales), bool)
    if len(lines) < 2:
        return fits
    block = max(1, _BLOCK // len(lines))
    for start in range(0, len(scales), block):
        part = scales[start : start + block, None]
        residues = np.sort(lines[None, :] % part, axis=1)
        gaps = np.diff(residues, axis=1, append=residues[:, :1] + part)
        fits[start : start + block] = gaps.max(axis=1) > part[:, 0] - 1 + _TIE
    for index in np.flatnonzero(abs(scales % 1 - 0.5) < _TIE):
        fits[index] = _fits_whole(lines, float(scales[index]))
    return fits


def _fits_whole(lines: NDArray[np.int64], scale: float) -> bool:
    """Whether lines at the multiples of `scale` explain the changes, one change a line."""
    if len(lines) == 0:
        return True
    nearest = np.round(lines / scale)
    is_near = abs(lines - nearest * scale) <= 0.5 + _TIE
    return bool(is_near.all() and len(np.unique(nearest)) == len(lines))


def _near(fits: NDArray[np.bool_], scales: NDArray[np.float64], slack: float) -> NDArray[np.bool_]:
    """True where a scale that fits lies within the relative `slack`; scales fall."""
    good = scales[fits][::-1]
    if len(good) == 0:
        return fits
    after = np.searchsorted(good, scales).clip(0, len(good) - 1)
    before = (after - 1).clip(0)
    distance = np.minimum(abs(good[after] - scales), abs(good[before] - scales))
    return np.asarray(distance <= slack * scales)


def _settle(
    lines: NDArray[np.int64], good: NDArray[np.float64], scale: float, size: int, slack: float
) -> Axis:
    """Of the scales that fit near `scale`, the one that a whole picture has, else the middle one."""
    count = round(size / scale)
    for whole in sorted(
        (size / n for n in range(max(1, count - 1), count + 2)), key=lambda s: abs(s - scale)
    ):
        if abs(whole / scale - 1) <= slack and _fits_whole(lines, whole):
            return Axis(size, whole, 0.0)
    start = good[abs(good - scale).argmin()]
    run = good[abs(good / start - 1) <= slack]
    chosen = float(run[np.abs(run - run.mean()).argmin()])
    low, high = _offset_range(lines, chosen) or (0.0, 0.0)
    return Axis(size, chosen, ((low + high) / 2) % chosen)


def _offset_range(lines: NDArray[np.int64], scale: float) -> tuple[float, float] | None:
    """Offsets that put a grid line within half a pixel of every change; None where there are none."""
    if len(lines) == 0:
        return 0.0, 0.0
    residues = np.sort(lines % scale)
    gaps = np.diff(residues, append=residues[0] + scale)
    widest = int(gaps.argmax())
    last, first = float(residues[widest]), float(residues[(widest + 1) % len(residues)])
    spread = (last - first) % scale
    return (first + spread - 0.5, first + 0.5) if spread <= 1 + _TIE else None
