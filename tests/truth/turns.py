"""Ways to turn a book: each gives the drawn edges and the true proportions behind them."""

from __future__ import annotations

import numpy as np

from tests.truth.model import Pose
from tests.truth.projection import RISES, WIDE_RISES, Vec, gauss_ratio, kernel, lowest_rise, snap, triples
from tests.truth.styles import Style, pick

__all__ = ["MAKERS", "THICKNESSES", "WIDTHS", "bounds"]

WIDTHS = (0.55, 1.05)
THICKNESSES = (0.06, 0.50)
WHOLE_STEPS = 0.7
"""How often an edge ends after a complete step of its slope."""
TWO_STRIPS_PX = 3.5
"""Two flat strips that meet in a corner are drawn for thin edges only."""
DOWNWARD = 0.6
"""How often the thickness of an oblique drawing goes down the picture."""


def bounds(*edges: Vec) -> tuple[float, float]:
    """Width and height of the picture that a box with these edges fills."""
    return sum(abs(e[0]) for e in edges), sum(abs(e[1]) for e in edges)


def _wanted(rng: np.random.Generator) -> tuple[float, float]:
    """Proportions of a book: W/H about 0.77, T/H about 0.2 with a long tail (common practice)."""
    w = float(np.clip(rng.normal(0.77, 0.11), *WIDTHS))
    d = float(np.clip(np.exp(rng.normal(np.log(0.2), 0.45)), *THICKNESSES))
    return w, d


def _side(rng: np.random.Generator, style: Style) -> float:
    """-1 for a mirrored drawing."""
    return -1.0 if rng.random() < style.mirror else 1.0


def _front(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose:
    del name
    w, _ = _wanted(rng)
    height = float(round(size if w <= 1 else size / w))
    width = float(round(height * w))
    u = (_side(rng, style) * width, 0.0)
    return Pose("front", "front", u, (0.0, height), (0.0, 0.0), (width / height, 1.0, 0.0))


def _edges(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose:
    """A cover rectangle with one strip beside, below or above it, or with two that meet in a corner."""
    del name
    w, d = _wanted(rng)
    m = _side(rng, style)
    strip = pick(rng, {"fore_edge": 4, "spine": 3, "tail": 3, "head": 1})
    more = ""
    if rng.random() < style.two_strips:
        d = min(d, TWO_STRIPS_PX / size)
        more = {"fore_edge": "tail", "spine": pick(rng, {"tail": 2, "fore_edge": 1})}.get(strip, "fore_edge")
    other = 1.0
    if style.uneven and rng.random() < style.uneven:
        d = min(d, 2 * TWO_STRIPS_PX / size)
        combos = ("tail spine", "spine tail", "fore_edge tail", "tail fore_edge", "spine fore_edge")
        strip, more = combos[int(rng.integers(len(combos)))].split()
        other = float(rng.uniform(0.6, 1.8))
    is_beside = strip in ("fore_edge", "spine")
    across = (d if is_beside else 0) + (d if more in ("fore_edge", "spine") else 0)
    down = (0 if is_beside else d) + (d if more == "tail" else 0)
    height = min(size / (1 + down), size / (w + across))
    # A spine of the cover's colour needs a line and a pixel beside it; pages are seen on one pixel.
    t = max(2.0 if "spine" in (strip, more) else 1.0, round(d * height))
    u, v = (m * round(w * height), 0.0), (0.0, float(round(height)))
    ways = {"fore_edge": (m * t, 0.0), "spine": (-m * t, 0.0), "tail": (0.0, t), "head": (0.0, -t)}
    # Both strips show the one thickness; where they differ it lies between.
    second = max(2.0 if more == "spine" else 1.0, round(t * other))
    ratio = (abs(u[0]) / v[1], 1.0, ((t + second) / 2 if more else t) / v[1])
    ways_more = {key: (x / t * second, y / t * second) for key, (x, y) in ways.items()}
    title = f"{strip}+{more}" if more else strip
    return Pose("front_with_edges", title, u, v, ways[strip], ratio, more, ways_more.get(more, (0.0, 0.0)))


def _oblique(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose:
    """One true face, the edges that go back drawn by a convention of ISO 5456-3.

    The true face is the cover (upright or turned on a corner), the spine or the tail; the edges that
    go back are drawn in full (cavalier, planometric) or by half (cabinet).
    """
    del name
    w, d = _wanted(rng)
    m = _side(rng, style)
    form = pick(rng, {"cover": 5, "turned": style.turned, "spine": 1.5, "tail": 1.5})
    factor = 0.5 if rng.random() < (0.25 if form == "turned" else 0.5) else 1.0
    rise = pick(rng, {"1:1": 5, "2:1": 2, "1:2": 1.5, "3:1": style.wide_rises, "1:3": style.wide_rises})
    bx, by = (float(p) for p in rise.split(":"))
    sx = float(rng.choice([1, -1]))
    sy = 1.0 if rng.random() < DOWNWARD else -1.0
    if form == "cover":
        ways, free = ((m, 0.0), (0.0, 1.0), (sx * bx, sy * by)), 2
    elif form == "turned":
        x, y = ((1.0, 1.0), (2.0, 1.0), (1.0, 2.0))[int(rng.choice(3, p=[0.6, 0.2, 0.2]))]
        down = (0.0, 1.0) if rng.random() < 0.7 else (float(rng.choice([1, -1])), 0.0)
        # The height leans to one side or the other, the width is square to it.
        ways, free = ((m * y, m * sx * x), (-sx * x, y), down), 2
    elif form == "spine":
        ways, free = ((m * bx, -by), (0.0, 1.0), (-m, 0.0)), 0
    else:
        ways, free = ((m, 0.0), (sx * bx, by), (0.0, 1.0)), 1
    true = [w, 1.0, d]
    lengths = [length * (factor if i == free else 1.0) for i, length in enumerate(true)]
    drawn = [tuple(p * n / np.hypot(*way) for p in way) for way, n in zip(ways, lengths, strict=True)]
    scale = size / max(bounds(*drawn))  # type: ignore[arg-type]
    edges = [
        snap(way, scale * length, is_whole=rng.random() < WHOLE_STEPS)
        for way, length in zip(ways, lengths, strict=True)
    ]
    measured = [float(np.hypot(*edge)) / (factor if i == free else 1.0) for i, edge in enumerate(edges)]
    ratio = (measured[0] / measured[1], 1.0, measured[2] / measured[1])
    convention = "cabinet" if factor == 0.5 else "cavalier"
    return Pose("oblique", f"{form}_{convention}", *edges, ratio)


def _axonometric(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose | None:
    """Directions from the slopes artists use, lengths from wanted proportions, then snapped."""
    ways = triples(WIDE_RISES if style.wide_rises else RISES)
    u, v, t = ways[int(rng.integers(len(ways)))]
    if not _suits(name, u, v, t, rng, style):
        return None
    have = gauss_ratio(u, v, t)
    assert have is not None
    w, d = _wanted(rng)
    scaled = [
        (p[0] * want / is_, p[1] * want / is_)
        for p, want, is_ in zip((u, v, t), (w, 1.0, d), have, strict=True)
    ]
    scale = size / max(bounds(*scaled))
    is_whole = rng.random() < WHOLE_STEPS
    edges = [snap(lowest_rise(p), scale * float(np.hypot(*p)), is_whole=is_whole) for p in scaled]
    ratio = gauss_ratio(*edges)
    return None if ratio is None else Pose("axonometric", name, *edges, ratio)


def _suits(name: str, u: Vec, v: Vec, t: Vec, rng: np.random.Generator, style: Style) -> bool:
    """True where the directions are those of the named pose."""
    toward = kernel(u, v, t)
    is_mirrored = u[0] * v[1] - u[1] * v[0] < 0
    if is_mirrored != (rng.random() < style.mirror):
        return False
    if v[1] <= 0 and rng.random() > style.upside_down:
        return False
    if name == "standing":
        return v[0] == 0 and v[1] > 0 and u[1] != 0 and (toward[1] < 0 or rng.random() < 0.1)
    if name == "flat":
        return t[0] == 0 and t[1] > 0
    if 0 in v or 0 in t:
        return False
    # Tipped on a diagonal: mostly the two sides that show lie below the cover.
    side = u if toward[0] > 0 else (-u[0], -u[1])
    end = v if toward[1] > 0 else (-v[0], -v[1])
    return (side[1] >= 0 and end[1] >= 0) or bool(rng.random() < 0.2)


MAKERS = {"front": _front, "front_with_edges": _edges, "oblique": _oblique, "axonometric": _axonometric}
