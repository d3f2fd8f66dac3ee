"""Drawn edge vectors and the true box behind them."""

from __future__ import annotations

import itertools
from functools import cache

import numpy as np
from numpy.typing import NDArray

__all__ = [
    "RISES",
    "WIDE_RISES",
    "gauss_ratio",
    "gauss_residual",
    "kernel",
    "lowest_rise",
    "snap",
    "stair_roughness",
    "triples",
]

Vec = tuple[float, float]

RISES: tuple[Vec, ...] = ((1, 0), (0, 1), (2, 1), (1, 1), (3, 1), (1, 2), (3, 2), (4, 1))
"""Steps across and down of the slopes that pixel artists draw with."""
WIDE_RISES: tuple[Vec, ...] = (*RISES, (1, 3), (2, 3), (1, 4))
"""The same with the steep ones, for the styles that stay unseen."""


TINY = 1e-9
"""Share of the largest weight below which a weight of Gauss's equation is zero but for rounding."""


def gauss_ratio(u: Vec, v: Vec, t: Vec) -> tuple[float, float, float] | None:
    """True width : height : thickness, height 1, of an orthographic drawing; None where there is none.

    Gauss's fundamental theorem of axonometry: with the drawn edges as complex numbers,
    (u/W)^2 + (v/H)^2 + (t/T)^2 = 0, two real equations that are linear in 1/W^2, 1/H^2, 1/T^2.
    """
    (a, b), (c, d), (e, f) = ((x * x - y * y, 2 * x * y) for x, y in (u, v, t))
    weights = (c * f - e * d, e * b - a * f, a * d - c * b)
    size = max(abs(w) for w in weights)
    least = TINY * size
    if not (all(w > least for w in weights) or all(w < -least for w in weights)):
        return None
    wide, high, deep = (1 / abs(w) ** 0.5 for w in weights)
    return wide / high, 1.0, deep / high


def gauss_residual(u: Vec, v: Vec, t: Vec, ratio: tuple[float, float, float]) -> float:
    """What is left of Gauss's equation, relative to its largest term."""
    terms = [(complex(*p) / length) ** 2 for p, length in zip((u, v, t), ratio, strict=True)]
    return abs(sum(terms)) / max(abs(term) for term in terms)


def kernel(u: Vec, v: Vec, t: Vec) -> NDArray[np.float64]:
    """Where the viewer stands, in steps along width, height, thickness; the cover faces them.

    The first entry is positive where the fore-edge shows and negative where the spine does; the
    second is positive where the tail shows and negative where the head does.
    """

    def cross(p: Vec, q: Vec) -> float:
        return p[0] * q[1] - p[1] * q[0]

    way = -1.0 if cross(u, v) >= 0 else 1.0
    return np.array([way * cross(v, t), way * cross(t, u), way * cross(u, v)])


@cache
def triples(rises: tuple[Vec, ...] = RISES) -> tuple[tuple[Vec, Vec, Vec], ...]:
    """All directions of (width, height, thickness) that an orthographic view of a box can have."""
    # A direction and its opposite have the same square, so the theorem is asked once for each line.
    lines = tuple(dict.fromkeys((float(x), float(sy * y) + 0.0) for x, y in rises for sy in (1, -1)))
    lines = tuple(line for line in lines if line != (0.0, -1.0))
    found = [axes for axes in itertools.product(lines, repeat=3) if gauss_ratio(*axes) is not None]
    signs = tuple(itertools.product((1, -1), repeat=3))
    return tuple(
        tuple((s * x + 0.0, s * y + 0.0) for s, (x, y) in zip(turn, axes, strict=True))  # type: ignore[misc]
        for axes in found
        for turn in signs
    )


def lowest_rise(p: Vec) -> Vec:
    """The whole-number steps along `p`, which lies along one of the slopes."""
    for x, y in WIDE_RISES:
        if abs(abs(p[0]) * y - abs(p[1]) * x) < 1e-6 * float(np.hypot(*p)) * float(np.hypot(x, y)):
            return (float(np.sign(p[0])) * x, float(np.sign(p[1])) * y)
    raise ValueError(f"{p} lies along none of the slopes")


def snap(direction: Vec, length: float, *, is_whole: bool) -> Vec:
    """A vector along `direction`, about `length` long, that ends on whole pixels.

    Parameters
    ----------
    direction : (across, down)
        In steps, such as (2, 1).
    length : float
        Native pixels.
    is_whole : bool
        True to end after a complete step, so that both coordinates are whole; False to end on a
        whole pixel of the longer coordinate only.
    """
    x, y = direction
    reach = max(abs(x), abs(y))
    unit = float(np.hypot(x, y))
    steps = length / unit if is_whole else length / unit * reach
    count = max(1, round(steps))
    return (x * count, y * count) if is_whole else (x * count / reach, y * count / reach)


def stair_roughness(origin: Vec, edges: list[tuple[Vec, Vec]]) -> float:
    """How uneven the steps of rasterised edges are; 0 where every run has the slope's own length.

    Parameters
    ----------
    origin : (x, y)
        Added to every edge's start.
    edges : list of (start, vector)
    """
    total = 0.0
    for (sx, sy), (dx, dy) in edges:
        x, y = origin[0] + sx, origin[1] + sy
        if abs(dx) < abs(dy):
            x, y, dx, dy = y, x, dy, dx
        if dx < 0:
            x, y, dx, dy = x + dx, y + dy, -dx, -dy
        if abs(dy) < 1e-9:
            total += 4 * abs(y - round(y))
            continue
        centres = np.arange(np.ceil(x - 0.5), x + dx - 0.5 + 1e-9) + 0.5
        rows = np.ceil(y + (centres - x) * dy / dx - 0.5 - 1e-6)
        turns = [0, *(np.flatnonzero(rows[1:] != rows[:-1]) + 1).tolist(), len(rows)]
        runs = [stop - start for start, stop in itertools.pairwise(turns) if stop > start]
        if runs:
            total += sum((run - dx / abs(dy)) ** 2 for run in runs) / len(runs)
    return total
