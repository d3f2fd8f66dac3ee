"""What tells a clasp from specks, spine fittings, corner pieces and a strap's end.

A clasp lies over the fore-edge: on the cover, on the pages, mostly on both. So what is of like hue on these
two faces is taken together here, in one strip unrolled over the edge, and measured as one thing: how high it
is, at which height it sits, whether it lies over the edge, how many more like it there are down the edge (a
book has one clasp or two; a dozen specks are texture), and whether a twin lies at the other end, as clasps
come in pairs.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pixel2make.kinds.book.measures import Units, bump, ramp
from pixel2make.reading.patches import Scene

__all__ = ["BAND", "fastening"]

BAND = "over the edge: "
"""Begins the name of a measure of what lies over the fore-edge as one strip."""

_BAND_DELTA = 13.0
"""CIEDE2000, lightness counting less, up to which neighbours in the strip are one thing: a metal's shades."""
_ROW_STEPS = 1.5
"""A twin at the other end may be off by this: halves of an odd number of pixels."""
_FEW, _MANY = 2.0, 4.0
"""As many alike rows down the edge as a book has clasps; as many as only texture has."""

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


def fastening(
    scene: Scene, units: Units, faces: Sequence[str | None], loose: Mask, close: Mask, hue_delta: Array
) -> dict[str, Array]:
    """Measures of the strip over the fore-edge, each 0..1 a patch; 0 for patches on other faces.

    Parameters
    ----------
    scene : Scene
    units : Units
        The patches.
    faces : sequence of str or None
        Face of each patch.
    loose : ndarray of shape (N,), bool
        False for grounds and contours.
    close : ndarray of shape (N, N), bool
        True where two patches come near each other.
    hue_delta : ndarray of shape (N, N)
        CIEDE2000 with lightness counting less.
    """
    from scipy.sparse.csgraph import connected_components

    count = len(faces)
    is_cover = np.array([face == "cover" for face in faces], bool)
    is_side = np.array([face == "fore_edge" for face in faces], bool)
    here = (is_cover | is_side) & loose
    joined = close & (hue_delta < _BAND_DELTA) & here[:, None] & here[None]
    _, band = connected_components(joined | np.eye(count, dtype=bool), directed=False)
    size = int(band.max(initial=-1)) + 1
    low, high, inner = np.full(size, np.inf), np.full(size, -np.inf), np.ones(size)
    np.minimum.at(low, band, units.low[:, 1])
    np.maximum.at(high, band, units.high[:, 1])
    np.minimum.at(inner, band, np.where(is_cover, units.low[:, 0], 1.0))
    rim = is_cover & (units.high[:, 0] > 1 - 1.6 / units.steps[:, 0])
    reaches, turns = _any(band, rim, size), _any(band, is_side, size)
    tall, middle = high - low, (low + high) / 2
    short = 1 - ramp(tall, 0.3, 0.45)
    half = bump(middle, 0.5, 0.09)
    quarter = np.maximum(bump(middle, 0.25, 0.08), bump(middle, 0.75, 0.08))
    at_edge = np.maximum(reaches, turns)
    rows, twin = _rows(band, low, high, (here, at_edge), hue_delta, units.steps[:, 1])
    values = {
        "short": short,
        "half way down": half * short,
        "a quarter from an end": quarter * short,
        "on both faces": reaches * turns,
        "in a clasp's place": short * np.maximum(half, quarter) * at_edge,
        "from far in": 1 - ramp(inner, 0.3, 0.6),
        "many rows alike": rows,
        "a twin at the other end": twin * short,
    }
    return {BAND + name: value[band] * here for name, value in values.items()}


def _any(band: NDArray[np.int32], flags: Mask, size: int) -> Array:
    out = np.zeros(size)
    np.maximum.at(out, band, flags.astype(float))
    return out


def _rows(
    band: NDArray[np.int32],
    low: Array,
    high: Array,
    at: tuple[Mask, Array],
    hue_delta: Array,
    steps: Array,
) -> tuple[Array, Array]:
    """How many bands of like hue lie at other heights of the edge, 0 for few and 1 for many; and how well one
    of them is the mirror image across the middle of the height."""
    here, at_edge = at
    size = len(low)
    first = np.unique(band, return_index=True)[1]
    chosen = np.flatnonzero((at_edge > 0) & here[first] & (high - low < 0.45))
    rows, twin = np.zeros(size), np.zeros(size)
    for one in chosen:
        like = chosen[hue_delta[first[one], first[chosen]] < _BAND_DELTA]
        order = like[np.argsort(high[like])]
        # The most bands that lie one below the other: by their ends, each that begins after the last one.
        count, end = 0, -np.inf
        for other in order:
            if low[other] >= end - 0.2 / steps[first[other]]:
                count, end = count + 1, float(high[other])
        rows[one] = count
        middle = (low[one] + high[one]) / 2
        others = like[like != one]
        if len(others) and abs(middle - 0.5) > 0.1:
            off = (low[others] + high[others]) / 2 - (1 - middle)
            twin[one] = np.exp(-((off * steps[first[one]] / _ROW_STEPS) ** 2)).max()
    return ramp(rows, _FEW, _MANY), twin
