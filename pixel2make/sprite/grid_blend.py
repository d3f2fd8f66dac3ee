"""The native grid of a picture whose enlargement blended neighbours, or that lossy compression blurred.

An enlargement works along rows and columns apart, so each column of the file is a blend of native
columns whose weights follow from factor, offset and the way of resampling. For the right factor and
offset, a least-squares fit leaves little over; shifted by part of a native pixel it leaves much. The
quotient of the two is the proof, and it needs no guess of how strong the noise is: a photo and a
native drawing leave about the same at every offset.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis
from pixel2make.sprite.grid_exact import MIN_EVIDENCE
from pixel2make.sprite.grid_kernels import KERNELS, Floats, left_over, left_over_many, premultiplied

__all__ = ["Blend", "blend_axes"]

Sides = tuple[Floats, Floats]
"""File columns, file rows; each as one row of numbers."""


MIN_SCALE = 1.5
"""Below this a blend leaves too few spare columns to prove anything."""
MIN_CELLS = 6
"""Native pixels along the shorter side, at least."""
MAX_SIDE_PX = 2048
"""Of a blended picture: the sketch and the fit stay within a few hundred megabytes and a second."""
MAX_LEFT_OVER = 0.3
"""Largest quotient of what is left over at the best offset to that at the median offset."""

_SKETCH = 16
"""Random mixtures that stand for all rows: their left-over energy strays by about a tenth."""
_WINDOW_CELLS = 24
_WINDOW_PX = 64
"""A first fit looks at that many native pixels, at least so many file pixels, where most changes lie."""
_PEAKS = 8
"""Waves that are tried from each spectrum, with two and three times their length."""
_SMALL_STEPS = 18
"""Small scales that are always tried, from MIN_SCALE to about three."""
_KEPT = 10
"""Candidates that are fitted closely."""
_COARSE_LEFT_OVER = 0.45
"""The same quotient as MAX_LEFT_OVER while scale and offset are still coarse."""
_ALIKE = 0.7
"""A larger scale is taken while it brings this share of the best strength: half of a scale explains all that
the scale does, and the noise of compression is not the same at all widths."""
_ROUNDING = 0.004
"""Quotient that rounding to bytes alone may leave."""
_COARSE_FLOOR = 0.03
"""Quotient that the coarse steps of a first look leave even where scale and offset are right."""
_ABOUT = 1.2
"""A fit as good as another, up to the steps in which scale and offset are tried."""
_CLEARLY, _EQUAL = 0.95, 3e-4
"""A wider kernel explains a narrower one's blend nearly as well; it must leave clearly less over."""


@dataclass(frozen=True)
class Blend:
    """How both axes were enlarged.

    Attributes
    ----------
    x_axis, y_axis : Axis
    kernel : str
        A name in KERNELS.
    left_over : float
        Energy that the fit leaves over, as a share of that at the median offset.
    """

    x_axis: Axis
    y_axis: Axis
    kernel: str
    left_over: float

    def strength(self, floor: float) -> float:
        """Evidence that each line of the native grid brings: the rarer the lines, the more.

        What is left over below `floor` counts as `floor`.
        """
        return (1 - 1 / self.scale) * -math.log(max(self.left_over, floor))

    @property
    def scale(self) -> float:
        return (self.x_axis.scale + self.y_axis.scale) / 2


def blend_axes(rgba: NDArray[np.uint8]) -> Blend | None:
    """The grid and the resampling that explain the picture as an enlargement.

    Parameters
    ----------
    rgba : ndarray of shape (H, W, 4), uint8
        Up to MAX_SIDE_PX a side.

    Returns
    -------
    Blend or None
        None where no factor from MIN_SCALE up leaves at most MAX_LEFT_OVER. Of several that do about
        as well, the largest factor, since half of a factor explains all that the factor does.
    """
    height, width = rgba.shape[:2]
    if min(height, width) < MIN_CELLS * MIN_SCALE or max(height, width) > MAX_SIDE_PX:
        return None
    picture = premultiplied(rgba)
    sides = (
        _sketch(picture.transpose(1, 0, 2).reshape(width, -1)),
        _sketch(picture.reshape(height, -1)),
    )
    found = [_settled(sides, blend) for blend in _shortlist(sides)]
    proven = [
        blend
        for blend in found
        if blend.left_over <= MAX_LEFT_OVER
        and _lines(sides, blend) * blend.strength(_ROUNDING) >= MIN_EVIDENCE
    ]
    most = max((blend.strength(_ROUNDING) for blend in proven), default=0.0)
    good = [blend for blend in proven if blend.strength(_ROUNDING) >= _ALIKE * most]
    return max(good, key=lambda blend: blend.scale, default=None)


def _shortlist(sides: Sides) -> list[Blend]:
    """The strongest few blends by a look at the busiest stretch, no two alike."""
    quick = _coarse(sides, _candidates(*sides), 3, 8)
    kept: list[Blend] = []
    for blend in sorted(quick, key=lambda blend: -blend.strength(_COARSE_FLOOR)):
        is_new = all(abs(blend.scale / other.scale - 1) > 0.5 / _WINDOW_CELLS for other in kept)
        if is_new and len(kept) < _KEPT:
            kept.append(blend)
    exact = _coarse(sides, [blend.scale for blend in kept], 5, 24)
    return [blend for blend in exact if blend.left_over <= _COARSE_LEFT_OVER]


def _settled(sides: Sides, blend: Blend) -> Blend:
    """`blend` on the whole picture: uncropped if that explains it about as well, else fitted."""
    whole = _uncropped(sides, blend)
    if whole.left_over <= _ABOUT * blend.left_over + _ROUNDING:
        return whole
    fitted = _fitted(sides, blend)
    return whole if whole.left_over <= _ABOUT * fitted.left_over + _ROUNDING else fitted


def _lines(sides: Sides, blend: Blend) -> float:
    """How many grid lines show: the participation number of the native steps' energies."""
    total = 0.0
    for lines, axis in zip(sides, (blend.x_axis, blend.y_axis), strict=True):
        energy = _steps(lines[axis.middles], 1) ** 2
        total += float(energy.sum() ** 2 / max((energy**2).sum(), 1e-12))
    return total


def _by_left_over(blend: Blend) -> float:
    return blend.left_over


def _coarse(sides: Sides, scales: Sequence[float], trials: int, phases: int) -> list[Blend]:
    """Best blend near each of `scales`, judged where most changes lie."""
    out: dict[int, Blend] = {}
    lengths = [max(_WINDOW_PX, round(_WINDOW_CELLS * scale)) for scale in scales]
    # Scales that are judged on the same stretches are fitted together: most, in a small picture.
    stretches = [tuple(min(length, len(lines)) for lines in sides) for length in lengths]
    for stretch in dict.fromkeys(stretches):
        mine = [i for i, other in enumerate(stretches) if other == stretch]
        places = [_window(lines, length) for lines, length in zip(sides, stretch, strict=True)]
        found = _coarse_on(sides, places, [scales[i] for i in mine], trials, phases)
        out |= dict(zip(mine, found, strict=True))
    return [out[i] for i in range(len(scales))]


def _coarse_on(
    sides: Sides, places: Sequence[slice], scales: Sequence[float], trials: int, phases: int
) -> list[Blend]:
    """Best blend near each of `scales` on given stretches of the sides."""
    counts = np.array([min(phases, max(6, math.ceil(2 * scale))) for scale in scales])
    near = 1 + np.linspace(-1, 1, trials) / (2 * _WINDOW_CELLS)
    # (scales, trials, phases); the smaller scales have fewer phases.
    trial = np.multiply.outer(scales, near)[..., None]
    offset = np.arange(counts.max()) / counts[:, None, None] * trial
    used = np.broadcast_to(np.arange(counts.max()) < counts[:, None, None], offset.shape)
    parts = [_centred(lines[where]) for lines, where in zip(sides, places, strict=True)]
    grids = np.broadcast_to(trial, offset.shape)[used], offset[used]
    best = [Blend(Axis(1, scale, 0), Axis(1, scale, 0), "linear", math.inf) for scale in scales]
    for kernel in ("nearest", "linear"):
        if len(parts[0]) == len(parts[1]):
            found = left_over_many(parts, *grids, kernel)
        else:
            found = [left_over_many((part,), *grids, kernel)[0] for part in parts]
        energies = [np.full(offset.shape, math.inf) for _ in parts]
        for table, energy in zip(energies, found, strict=True):
            table[used] = energy
        usual = sum(_middle(table, counts) for table in energies)
        left = sum(table.min(axis=2) for table in energies) / np.where(usual == 0, 1.0, usual)
        for i, k in enumerate(left.argmin(axis=1)):
            if left[i, k] < best[i].left_over:
                x_axis, y_axis = (
                    Axis(
                        len(lines),
                        float(trial[i, k, 0]),
                        float((where.start + offset[i, k, table[i, k].argmin()]) % trial[i, k, 0]),
                    )
                    for lines, where, table in zip(sides, places, energies, strict=True)
                )
                best[i] = Blend(x_axis, y_axis, kernel, float(left[i, k]))
    return best


def _middle(table: Floats, counts: NDArray[np.int64]) -> Floats:
    """Median over the last axis of the first `counts` entries, the rest being infinite; (scales, trials)."""
    ordered = np.sort(table, axis=2)
    at = np.arange(len(counts))
    return np.asarray((ordered[at, :, (counts - 1) // 2] + ordered[at, :, counts // 2]) / 2)


def _usual(sides: Sides, blend: Blend) -> float:
    """Energy left over at the median offset."""
    offsets = np.arange(6) / 6 * blend.scale
    return sum(float(np.median(left_over(lines, blend.scale, offsets, blend.kernel))) for lines in sides)


def _judged(sides: Sides, axes: tuple[Axis, Axis], usual: float) -> Blend:
    """The way of resampling that leaves least over on these axes; a wider kernel must do clearly better."""
    best = Blend(*axes, "nearest", math.inf)
    for kernel in KERNELS:
        left = sum(
            float(left_over(lines, axis.scale, np.array([axis.offset]), kernel)[0])
            for lines, axis in zip(sides, axes, strict=True)
        ) / (usual or 1.0)
        if left < _CLEARLY * best.left_over - _EQUAL:
            best = Blend(*axes, kernel, left)
    return best


def _uncropped(sides: Sides, blend: Blend) -> Blend:
    """The best blend near `blend` whose native pixels fill the picture exactly."""
    width, height = len(sides[0]), len(sides[1])
    usual = _usual(sides, blend)
    columns = round(width / blend.scale)
    tried = []
    for count in range(max(1, columns - 1), columns + 2):
        scale = width / count
        rows = max(1, round(height / scale))
        # Sides are rounded to whole file pixels, which turns the two factors a little apart.
        if abs(height / rows - scale) <= 0.75 / rows + 0.75 / count:
            tried.append(_judged(sides, (Axis(width, scale, 0.0), Axis(height, height / rows, 0.0)), usual))
    nothing = Blend(blend.x_axis, blend.y_axis, blend.kernel, math.inf)
    return min(tried, key=_by_left_over, default=nothing)


def _fitted(sides: Sides, blend: Blend) -> Blend:
    """`blend` with factor and offset fitted to the whole of each side; a whole factor where one does."""
    usual = _usual(sides, blend)
    x_axis = _refine(sides[0], blend.x_axis, blend.kernel)
    y_axis = _refine(sides[1], blend.y_axis, blend.kernel)
    broken = _judged(sides, (x_axis, y_axis), usual)
    whole = round(blend.scale)
    if abs(whole / blend.scale - 1) > 1 / _WINDOW_CELLS:
        return broken
    offsets = np.arange(whole, dtype=float)
    left, top = (float(left_over(lines, whole, offsets, blend.kernel).argmin()) for lines in sides)
    axes = Axis(len(sides[0]), float(whole), left), Axis(len(sides[1]), float(whole), top)
    return min(_judged(sides, axes, usual), broken, key=_by_left_over)


def _refine(lines: Floats, axis: Axis, kernel: str) -> Axis:
    """Factor and offset on ever longer stretches, so that the last line is as certain as the first."""
    length = max(_WINDOW_PX, round(_WINDOW_CELLS * axis.scale))
    scale, offset = axis.scale, axis.offset
    while True:
        where = _window(lines, length)
        part = _centred(lines[where])
        middle = where.start + len(part) / 2
        # The line nearest to the middle of the stretch stays put while the factor is varied.
        anchor = offset + round((middle - offset) / scale) * scale
        best = (math.inf, scale, anchor)
        for trial in scale * (1 + np.linspace(-1, 1, 7) * scale / (2 * len(part))):
            anchors = anchor + np.linspace(-0.25, 0.25, 7) * scale
            energy = left_over(part, float(trial), (anchors - where.start) % trial, kernel)
            index = int(energy.argmin())
            if energy[index] < best[0]:
                best = (float(energy[index]), float(trial), float(anchors[index]))
        scale, offset = best[1], best[2] % best[1]
        if len(part) == len(lines):
            return Axis(len(lines), scale, offset)
        length *= 2


def _centred(lines: Floats) -> Floats:
    return np.asarray(lines - lines.mean(axis=0))


def _sketch(lines: NDArray[np.float32]) -> Floats:
    """Fewer columns with the same distances between rows, up to chance (Johnson and Lindenstrauss)."""
    if lines.shape[1] > _SKETCH:
        mix = np.random.default_rng(0).standard_normal((lines.shape[1], _SKETCH)) / math.sqrt(_SKETCH)
        lines = lines @ mix.astype(np.float32)
    return _centred(np.asarray(lines, float))


def _steps(lines: Floats, order: int) -> Floats:
    """Size of the first or second difference along the axis."""
    return np.asarray(np.sqrt((np.diff(lines, order, axis=0) ** 2).sum(axis=1)))


def _candidates(across: Floats, down: Floats) -> list[float]:
    """Scales at which steps (first differences) or kinks (second) recur along both axes, falling."""
    shorter, longer = sorted((len(across), len(down)))
    top = shorter / MIN_CELLS
    near = 1 + 1 / (2 * _WINDOW_CELLS)
    # Small factors beat against the file's own pixels and show no clean wave: try them all.
    scales = [MIN_SCALE * near ** (2 * step) for step in range(_SMALL_STEPS)]
    waves = np.arange(1 / top, 0.5, 1 / (4 * longer))
    for order in (1, 2):
        if len(waves) > 2:
            power = _spectrum(_steps(across, order), waves) + _spectrum(_steps(down, order), waves)
            inner = np.flatnonzero((power[1:-1] >= power[:-2]) & (power[1:-1] >= power[2:])) + 1
            for peak in inner[np.argsort(-power[inner], kind="stable")][:_PEAKS]:
                scales += [times / float(waves[peak]) for times in (1, 2, 3)]
    out: list[float] = []
    for scale in sorted(scales, reverse=True):
        if MIN_SCALE <= scale <= top and (not out or out[-1] / scale > near):
            out.append(scale)
    return out


def _spectrum(steps: Floats, waves: Floats) -> Floats:
    level = steps - steps.mean()
    turns = np.exp(-2j * math.pi * waves[:, None] * np.arange(len(steps)))
    return np.asarray(abs(turns @ level) / (math.sqrt((level**2).sum() * len(steps)) or 1.0))


def _window(lines: Floats, length: int) -> slice:
    """The stretch of that length with the largest steps."""
    if length >= len(lines):
        return slice(0, len(lines))
    total = np.concatenate([[0], np.cumsum(_steps(lines, 1))])
    start = int((total[length - 1 :] - total[: len(total) - length + 1]).argmax())
    return slice(start, start + length)
