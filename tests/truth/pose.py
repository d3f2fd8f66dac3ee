"""How a book is turned: choose a view, its drawn edges and the true proportions behind them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tests.truth.model import Box
from tests.truth.projection import RISES, WIDE_RISES, Vec, gauss_ratio, kernel, snap, stair_roughness, triples
from tests.truth.styles import Style, pick

__all__ = ["Pose", "choose_pose", "seated"]

WIDTHS = (0.55, 1.05)
THICKNESSES = (0.06, 0.50)
LEAST_SIDE_PX = 1.6
"""A side face that is narrower, measured square to the cover's edge, cannot be told from a line."""
LEAST_COVER_PX = 4.0
LEAST_SINE = 0.57
"""Covers drawn with a sharper angle than about 35 degrees do not look like books."""
TRIES = 4000
OFFSETS = (0.0, 0.25, 0.5, 0.75)


@dataclass(frozen=True)
class Pose:
    """Drawn edges without a place, and what they stand for."""

    kind: str
    name: str
    u: Vec
    v: Vec
    t: Vec
    ratio: tuple[float, float, float]


def _bounds(u: Vec, v: Vec, t: Vec) -> tuple[float, float]:
    spans = [sum(abs(p[i]) for p in (u, v, t)) for i in (0, 1)]
    return spans[0], spans[1]


def _gap(edge: Vec, t: Vec) -> float:
    """Breadth of the side face that t draws along `edge`."""
    return float(abs(edge[0] * t[1] - edge[1] * t[0]) / np.hypot(*edge))


def _is_fair(pose: Pose, size: float) -> bool:
    """True where the drawing fits, the proportions are a book's and all visible faces can be seen."""
    if max(_bounds(pose.u, pose.v, pose.t)) > size + 1e-9 or max(_bounds(pose.u, pose.v, pose.t)) < size - 3:
        return False
    w, _, d = pose.ratio
    if not WIDTHS[0] <= w <= WIDTHS[1] or (d and not THICKNESSES[0] <= d <= THICKNESSES[1]):
        return False
    if min(_gap(pose.u, pose.v), _gap(pose.v, pose.u)) < LEAST_COVER_PX:
        return False
    sine = abs(pose.u[0] * pose.v[1] - pose.u[1] * pose.v[0]) / (np.hypot(*pose.u) * np.hypot(*pose.v))
    if sine < LEAST_SINE:
        return False
    gaps = [_gap(pose.v, pose.t), _gap(pose.u, pose.t)] if d else []
    return all(gap > LEAST_SIDE_PX or gap < 1e-9 for gap in gaps)


def _wanted(rng: np.random.Generator) -> tuple[float, float]:
    w = float(np.clip(rng.normal(0.77, 0.11), *WIDTHS))
    d = float(np.clip(np.exp(rng.normal(np.log(0.2), 0.45)), *THICKNESSES))
    return w, d


def choose_pose(rng: np.random.Generator, style: Style, size: int) -> Pose:
    """A pose whose drawing is at most `size` pixels across and down, and within 3 of it."""
    kind = pick(rng, style.views)
    makers = {"front": _front, "front_with_edges": _edges, "oblique": _oblique, "axonometric": _axonometric}
    name = pick(rng, style.poses)
    for attempt in range(TRIES):
        if attempt % 400 == 399:
            name = pick(rng, style.poses)
        pose = makers[kind](rng, style, float(size), name)
        if pose is not None and _is_fair(pose, size):
            return pose
    return _fallback(size)


def _fallback(size: int) -> Pose:
    """A plain front, for sizes at which nothing else can be drawn."""
    height = size - size % 2
    width = round(0.75 * height)
    return Pose("front", "front", (width, 0), (0, height), (0.0, 0.0), (width / height, 1.0, 0.0))


def _side(rng: np.random.Generator, style: Style) -> float:
    return -1.0 if rng.random() < style.mirror else 1.0


def _front(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose:
    w, _ = _wanted(rng)
    height = float(round(size)) if w <= 1 else float(round(size / w))
    width = float(round(height * w))
    return Pose(
        "front", "front", (_side(rng, style) * width, 0.0), (0.0, height), (0.0, 0.0), (width / height, 1, 0)
    )


def _edges(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose:
    """A cover rectangle with one strip: pages or spine beside it, tail or head below or above."""
    w, d = _wanted(rng)
    del name
    strip = pick(rng, {"fore_edge": 4, "spine": 3, "tail": 3, "head": 1})
    m = _side(rng, style)
    if strip in ("fore_edge", "spine"):
        height = min(size, size / (w + d))
        t = max(2.0, round(d * height))
        u, v = (m * round(w * height), 0.0), (0.0, float(round(height)))
        way = (m * t, 0.0) if strip == "fore_edge" else (-m * t, 0.0)
    else:
        height = min(size / (1 + d), size / w)
        t = max(2.0, round(d * height))
        u, v = (m * round(w * height), 0.0), (0.0, float(round(height)))
        way = (0.0, t) if strip == "tail" else (0.0, -t)
    ratio = (abs(u[0]) / v[1], 1.0, t / v[1])
    return Pose("front_with_edges", strip, u, v, way, ratio)


def _oblique(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose | None:
    """One true face, the edges that go back shortened by a convention of ISO 5456-3."""
    w, d = _wanted(rng)
    m = _side(rng, style)
    form = pick(rng, {"cover": 6, "spine": 1.5, "tail": 1.5})
    factor = 0.5 if rng.random() < 0.5 else 1.0
    back = {"1:1": (1, 1), "2:1": (2, 1), "1:2": (1, 2)}[pick(rng, {"1:1": 5, "2:1": 2, "1:2": 1.5})]
    sx, sy = (float(rng.choice([1, -1])), float(rng.choice([1, -1], p=[0.55, 0.45])))
    receding = (sx * back[0], sy * back[1])
    length = float(np.hypot(*back))
    if form == "cover":
        u, v, t = (m * w, 0.0), (0.0, 1.0), tuple(d * factor / length * p for p in receding)
        free = "t"
    elif form == "spine":
        t, v, u = (-m * d, 0.0), (0.0, 1.0), tuple(w * factor / length * p for p in (m * back[0], -back[1]))
        free = "u"
    else:
        u, t, v = (m * w, 0.0), (0.0, d), tuple(factor / length * p for p in (sx * back[0], back[1]))
        free = "v"
    scale = size / max(_bounds(u, v, t))
    edges: dict[str, Vec] = {}
    for key, edge in (("u", u), ("v", v), ("t", t)):
        way = tuple(float(np.sign(p)) for p in edge) if key != free else None
        if way is None:
            way = {"t": receding, "u": (m * back[0], -back[1]), "v": (sx * back[0], back[1])}[key]
        edges[key] = snap(way, scale * float(np.hypot(*edge)), is_whole=rng.random() < 0.7)
    u, v, t = edges["u"], edges["v"], edges["t"]
    true = {key: float(np.hypot(*edge)) / (factor if key == free else 1.0) for key, edge in edges.items()}
    ratio = (true["u"] / true["v"], 1.0, true["t"] / true["v"])
    return Pose("oblique", f"{form}_{'cabinet' if factor == 0.5 else 'cavalier'}", u, v, t, ratio)


def _axonometric(rng: np.random.Generator, style: Style, size: float, name: str) -> Pose | None:
    """Directions from the slopes artists use, lengths from wanted proportions, then snapped."""
    ways = triples(WIDE_RISES if style.wide_rises else RISES)
    u, v, t = ways[int(rng.integers(len(ways)))]
    if not _suits(name, u, v, t, rng, style):
        return None
    true = gauss_ratio(u, v, t)
    assert true is not None
    w, d = _wanted(rng)
    u, v, t = (
        (p[0] * want / have, p[1] * want / have)
        for p, want, have in zip((u, v, t), (w, 1.0, d), true, strict=True)
    )
    scale = size / max(_bounds(u, v, t))
    whole = rng.random() < 0.7
    dirs = [_lowest(p) for p in (u, v, t)]
    u, v, t = (
        snap(way, scale * float(np.hypot(*p)), is_whole=whole) for way, p in zip(dirs, (u, v, t), strict=True)
    )
    ratio = gauss_ratio(u, v, t)
    return None if ratio is None else Pose("axonometric", name, u, v, t, ratio)


def _lowest(p: Vec) -> Vec:
    """The whole-number slope along `p`."""
    for x, y in WIDE_RISES:
        if abs(abs(p[0]) * y - abs(p[1]) * x) < 1e-6 * float(np.hypot(*p)) * float(np.hypot(x, y)):
            return (float(np.sign(p[0])) * x, float(np.sign(p[1])) * y)
    raise AssertionError(f"{p} lies along none of the slopes")


def _suits(name: str, u: Vec, v: Vec, t: Vec, rng: np.random.Generator, style: Style) -> bool:
    """True where the directions are those of the named pose."""
    toward = kernel(u, v, t)
    mirrored = u[0] * v[1] - u[1] * v[0] < 0
    if mirrored != (rng.random() < style.mirror):
        return False
    if v[1] <= 0 and rng.random() > 0.1:
        return False
    if name == "standing":
        return v[0] == 0 and v[1] > 0 and u[1] != 0 and (toward[1] < 0 or rng.random() < 0.1)
    if name == "flat":
        return t[0] == 0 and t[1] > 0
    if 0 in v or 0 in t:
        return False
    return bool(t[1] > 0 or rng.random() < 0.3)


def seated(pose: Pose, rng: np.random.Generator, margin: float, clean: float) -> tuple[Box, tuple[int, int]]:
    """Put the drawing on a grid so that its stairs are even; gives the box and (rows, columns)."""
    corners = np.array([(0, 0), pose.u, pose.v, np.add(pose.u, pose.v)], float)
    points = np.concatenate([corners, corners + pose.t])
    low, high = points.min(0), points.max(0)
    offsets = [(x, y) for x in OFFSETS for y in OFFSETS]
    edges = [
        (tuple(start), edge)
        for start, edge in (
            (corners[0], pose.u),
            (corners[0], pose.v),
            (corners[2], pose.u),
            (corners[1], pose.v),
        )
    ]
    edges += [(tuple(c), pose.t) for c in corners] if pose.t != (0.0, 0.0) else []
    base = np.ceil(-low) + margin
    rough = [stair_roughness((base[0] + x, base[1] + y), edges) for x, y in offsets]
    best = np.flatnonzero(np.array(rough) <= min(rough) + 1e-9)
    index = int(rng.choice(best)) if rng.random() < clean else int(rng.integers(len(offsets)))
    shift = base + np.array(offsets[index])
    # Whole pixels of the nudge would only move the picture; keep it close to the margin.
    shift -= np.floor(low + shift - margin + 1e-9)
    columns, rows = np.ceil(high + shift - 1e-9).astype(int) + int(margin)
    return Box((float(shift[0]), float(shift[1])), pose.u, pose.v, pose.t), (int(rows), int(columns))
