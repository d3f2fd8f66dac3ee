"""The native grid of a picture whose enlargement blended neighbours, or that lossy compression blurred.

An enlargement works along rows and columns apart, so each column of the file is a blend of native
columns whose weights follow from factor, offset and the way of resampling. For the right factor and
offset, a least-squares fit leaves little over; shifted by part of a native pixel it leaves much. The
quotient of the two is the proof, and it needs no guess of how strong the noise is: a photo and a
native drawing leave about the same at every offset.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.sprite.grid_axis import Axis
from pixel2make.sprite.grid_exact import MIN_EVIDENCE

__all__ = ["KERNELS", "Blend", "blend_axes", "premultiplied", "weights"]

Floats = NDArray[np.float64]
Sides = tuple[Floats, Floats]
"""File columns, file rows; each as one row of numbers."""


def _nearest(d: Floats, scale: float) -> Floats:
    return np.asarray((d >= -0.5) & (d < 0.5), float)


def _area(d: Floats, scale: float) -> Floats:
    half = 0.5 / scale
    return np.clip(0.5 + half - abs(d), 0, min(1.0, 2 * half)) / (2 * half)


def _linear(d: Floats, scale: float) -> Floats:
    return np.maximum(0, 1 - abs(d))


def _cubic(d: Floats, scale: float) -> Floats:
    """Cubic convolution with a = -1/2; R. G. Keys, IEEE Trans. ASSP 29 (1981)."""
    d = abs(d)
    near = 1.5 * d**3 - 2.5 * d**2 + 1
    far = -0.5 * d**3 + 2.5 * d**2 - 4 * d + 2
    return np.where(d < 1, near, np.where(d < 2, far, 0.0))


def _sinc(d: Floats, scale: float) -> Floats:
    """Windowed sinc of three lobes; C. E. Duchon, Journal of Applied Meteorology 18 (1979)."""
    return np.where(abs(d) < 3, np.sinc(d) * np.sinc(d / 3), 0.0)


KERNELS: Mapping[str, Callable[[Floats, float], Floats]] = {
    "nearest": _nearest,
    "area": _area,
    "linear": _linear,
    "cubic": _cubic,
    "sinc": _sinc,
}
"""Weight of a native pixel by the distance of its centre, in native pixels."""

REACH: Mapping[str, int] = {"nearest": 0, "area": 1, "linear": 1, "cubic": 3, "sinc": 5}
"""How many native pixels on, a second one can share a file pixel."""

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
_SMALL_STEPS = 18
_KEPT = 10
_COARSE_LEFT_OVER = 0.45
_ALIKE = 0.7
_ROUNDING = 0.004
_CLEARLY, _EQUAL = 0.8, 1e-4
_RIDGE = 1e-6
"""Keeps a native pixel that the border cuts nearly off from taking a wild value."""


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

    @property
    def strength(self) -> float:
        """Evidence that each line of the native grid brings: the rarer the lines, the more."""
        return (1 - 1 / self.scale) * -math.log(max(self.left_over, _ROUNDING))

    @property
    def scale(self) -> float:
        return (self.x_axis.scale + self.y_axis.scale) / 2


def premultiplied(rgba: NDArray[np.uint8]) -> NDArray[np.float32]:
    """Colours weighted by alpha, as blending works on them; (H, W, 4), 0..255."""
    out = rgba.astype(np.float32)
    out[:, :, :3] *= out[:, :, 3:] / 255
    return out


def weights(positions: Floats, count: int, kernel: str, scale: float) -> Floats:
    """Share of each native pixel in each file pixel.

    Parameters
    ----------
    positions : ndarray of shape (..., L)
        Centres of file pixels in native pixels; native pixel j has its centre at j.
    count : int
        Native pixels; what lies beyond the ends has no weight.

    Returns
    -------
    ndarray of shape (..., L, count); sums to 1 along the last axis.
    """
    share = KERNELS[kernel](positions[..., None] - np.arange(count), scale)
    return np.asarray(share / share.sum(axis=-1, keepdims=True))


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
    proof = [_lines(sides, blend) * blend.strength for blend in found]
    least = max(MIN_EVIDENCE, _ALIKE * max(proof, default=0.0))
    good = [
        blend
        for blend, own in zip(found, proof, strict=True)
        if blend.left_over <= MAX_LEFT_OVER and own >= least
    ]
    return max(good, key=lambda blend: blend.scale, default=None)


def _shortlist(sides: Sides) -> list[Blend]:
    """The strongest few blends by a look at the busiest stretch, no two alike."""
    quick = [_coarse(sides, scale, 3, 8) for scale in _candidates(*sides)]
    kept: list[Blend] = []
    for blend in sorted(quick, key=lambda blend: -blend.strength):
        is_new = all(abs(blend.scale / other.scale - 1) > 0.5 / _WINDOW_CELLS for other in kept)
        if is_new and len(kept) < _KEPT:
            kept.append(blend)
    exact = [_coarse(sides, blend.scale, 5, 24) for blend in kept]
    return [blend for blend in exact if blend.left_over <= _COARSE_LEFT_OVER]


def _settled(sides: Sides, blend: Blend) -> Blend:
    """`blend` on the whole picture: uncropped if that explains it about as well, else fitted."""
    whole = _uncropped(sides, blend)
    if whole.left_over <= 1.2 * blend.left_over + _ROUNDING:
        return whole
    fitted = _fitted(sides, blend)
    return whole if whole.left_over <= 1.2 * fitted.left_over + _ROUNDING else fitted


def _lines(sides: Sides, blend: Blend) -> float:
    """How many grid lines show: the participation number of the native steps' energies."""
    total = 0.0
    for lines, axis in zip(sides, (blend.x_axis, blend.y_axis), strict=True):
        energy = _steps(lines[axis.middles], 1) ** 2
        total += float(energy.sum() ** 2 / max((energy**2).sum(), 1e-12))
    return total


def _by_left_over(blend: Blend) -> float:
    return blend.left_over


def _coarse(sides: Sides, scale: float, trials: int, phases: int) -> Blend:
    """Best blend near `scale`, judged where most changes lie."""
    length = max(_WINDOW_PX, round(_WINDOW_CELLS * scale))
    places = [_window(lines, length) for lines in sides]
    count = min(phases, max(6, math.ceil(2 * scale)))
    shares = np.arange(count) / count
    best = Blend(Axis(1, scale, 0), Axis(1, scale, 0), "linear", math.inf)
    for kernel in ("nearest", "linear"):
        for trial in scale * (1 + np.linspace(-1, 1, trials) / (2 * _WINDOW_CELLS)):
            energies = [
                _left_over(_centred(lines[where]), float(trial), shares * trial, kernel)
                for lines, where in zip(sides, places, strict=True)
            ]
            left = sum(e.min() for e in energies) / (sum(float(np.median(e)) for e in energies) or 1.0)
            if left < best.left_over:
                x_axis, y_axis = (
                    Axis(len(lines), float(trial), float((where.start + shares[e.argmin()] * trial) % trial))
                    for lines, where, e in zip(sides, places, energies, strict=True)
                )
                best = Blend(x_axis, y_axis, kernel, float(left))
    return best


def _usual(sides: Sides, blend: Blend) -> float:
    """Energy left over at the median offset."""
    offsets = np.arange(6) / 6 * blend.scale
    return sum(float(np.median(_left_over(lines, blend.scale, offsets, blend.kernel))) for lines in sides)


def _judged(sides: Sides, axes: tuple[Axis, Axis], usual: float) -> Blend:
    """The way of resampling that leaves least over on these axes; a wider kernel must do clearly better."""
    best = Blend(*axes, "nearest", math.inf)
    for kernel in KERNELS:
        left = sum(
            float(_left_over(lines, axis.scale, np.array([axis.offset]), kernel)[0])
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
    """`blend` with factor and offset fitted to the whole of each side."""
    x_axis = _refine(sides[0], blend.x_axis, blend.kernel)
    y_axis = _refine(sides[1], blend.y_axis, blend.kernel)
    return _judged(sides, (x_axis, y_axis), _usual(sides, blend))


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
            energy = _left_over(part, float(trial), (anchors - where.start) % trial, kernel)
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


def _left_over(lines: Floats, scale: float, offsets: Floats, kernel: str) -> Floats:
    """Energy that the best native columns leave over, one for each offset; columns of zero mean."""
    total = float((lines**2).sum())
    if kernel == "nearest":
        explained = _explained_by_means(lines, scale, offsets)
    else:
        count = math.ceil(len(lines) / scale) + 1
        positions = (np.arange(len(lines)) + 0.5 - offsets[:, None]) / scale + 0.5
        share = weights(positions, count, kernel, scale)
        explained = _explained(share, share.transpose(0, 2, 1) @ lines, REACH[kernel])
    return np.asarray(np.maximum(total - explained, 0))


def _explained(share: Floats, right: Floats, reach: int) -> Floats:
    """Energy r' A^-1 r of least squares, A = share' share of few diagonals, by elimination for all at once.

    A library solver would start threads for each of thousands of small systems.
    """
    count = share.shape[2]
    bands = np.zeros((len(share), count, reach + 1))
    for step in range(min(reach + 1, count)):
        bands[:, : count - step, step] = (share[:, :, : count - step] * share[:, :, step:]).sum(axis=1)
    bands[:, :, 0] += _RIDGE
    out = np.zeros(len(share))
    for row in range(count):
        pivot = bands[:, row, 0]
        out += (right[:, row] ** 2).sum(axis=1) / pivot
        for step in range(1, min(reach + 1, count - row)):
            factor = (bands[:, row, step] / pivot)[:, None]
            right[:, row + step] -= factor * right[:, row]
            bands[:, row + step, : reach + 1 - step] -= factor * bands[:, row, step:]
    return out


def _explained_by_means(lines: Floats, scale: float, offsets: Floats) -> Floats:
    """Without blending the best native column is the mean of its file columns."""
    sums = np.concatenate([np.zeros((1, lines.shape[1])), np.cumsum(lines, axis=0)])
    out = np.zeros(len(offsets))
    for index, offset in enumerate(offsets):
        bounds = Axis(len(lines), scale, float(offset)).bounds
        out[index] = ((np.diff(sums[bounds], axis=0) ** 2).sum(axis=1) / np.diff(bounds)).sum()
    return out


def _window(lines: Floats, length: int) -> slice:
    """The stretch of that length with the largest steps."""
    if length >= len(lines):
        return slice(0, len(lines))
    total = np.concatenate([[0], np.cumsum(_steps(lines, 1))])
    start = int((total[length - 1 :] - total[: len(total) - length + 1]).argmax())
    return slice(start, start + length)
