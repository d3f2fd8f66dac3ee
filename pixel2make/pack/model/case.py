"""Boards, spine and joints of the closed book."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from shapely.geometry import Polygon, box

from pixel2make.pack.model.frame import Frame
from pixel2make.pack.model.paint import Colors
from pixel2make.pack.model.shapes import Body, extruded, loft, placed, polygon_of, rounded_rectangle
from pixel2make.pack.model.solid import Points, Solid
from pixel2make.pack.ribs import ribs

__all__ = [
    "bands",
    "bevel",
    "board_body",
    "board_zones",
    "boards",
    "edge_radius",
    "groove",
    "joints",
    "ribbed",
    "spine",
]

_EDGE_STEPS = 4
"""Facets of the quarter round that the covering makes over a board's edge."""

_ARC_STEPS = 8
_ROUND_STEPS = 24
"""Facets of a spine's corner and of a rounded spine."""

_STEEPEST, _FULLNESS = 0.6, 0.8
"""A groove is at most this share of its width deep; the power of a sine that makes it as full as a bone
folder leaves it."""

_STRIPS = 6
"""What lies across a joint follows it in so many steps."""

_STEP_MM = 0.15
"""What lies on a bevel follows it in steps no higher: half of what an inlay stands out."""

_CREASE_SHARE = 0.08
"""A bevel has rings this near to its foot and crest: the light then turns there and not over all of it."""

_CORNER, _CORNER_STEPS = 0.25, 8
"""The least radius of a covered board's corner, as a share of the roundness of its edges, and its facets."""

_RIB_STEPS = 12
"""Levels of a band from foot to foot."""


def edge_radius(frame: Frame) -> float:
    """Leather drawn over a board's edge: about as round as it is thick, and never a full half round."""
    return min(1.2 * frame.covering, 0.45 * frame.cover)


def bevel(frame: Frame) -> tuple[float, float]:
    """How far the slope of a bevelled board reaches in and down; zeros where the edges are square."""
    width, drop = frame.get("bevel_width"), frame.get("bevel_depth")
    if width <= 0:
        return 0.0, 0.0
    drop = drop if drop > 0 else frame.cover / 2
    return min(width, (frame.size[0] - frame.board_x) / 4, frame.size[1] / 4), min(drop, 0.8 * frame.cover)


def _level(frame: Frame, inset: float, slope: float = 0.0, back: float | None = None) -> Points:
    """The outline of a covered board `inset` within its edges, `slope` farther in but at the spine.

    There it is `back` within, which is `inset` where it is not given.
    """
    width, height, _ = frame.size
    edge = edge_radius(frame)
    inner = _CORNER * edge + max(edge - inset, 0.0)
    outer = max(frame.corner_radius + edge - inset - slope, inner)
    return rounded_rectangle(
        (frame.board_x + (inset if back is None else back), inset + slope),
        (width - inset - slope, height - inset - slope),
        (inner, outer, outer, inner),
        steps=_CORNER_STEPS,
    )


def board_body(frame: Frame) -> Body:
    """A covered board lying on z = 0 with its outer face up, its edges rounded by the covering.

    The edge along the spine is never bevelled.
    """
    slope, drop = bevel(frame)
    edge = min(edge_radius(frame), 0.45 * (frame.cover - drop))
    turns = np.linspace(0, math.pi / 2, _EDGE_STEPS + 1)
    rings = [_level(frame, inset) for inset in edge * (1 - np.sin(turns))]
    heights = [*(edge * (1 - np.cos(turns)))]
    top = frame.cover - drop
    for inset, below in zip(edge * (1 - np.cos(turns)), edge * (1 - np.sin(turns)), strict=True):
        heights.append(top - below)
        rings.append(_level(frame, inset, 0.0, _upright(heights[-1], edge, frame.cover)))
    if slope > 0:
        reach = max(slope - edge, _CREASE_SHARE * slope)
        for share in (_CREASE_SHARE, *np.linspace(0, 1, _EDGE_STEPS + 1)[1:-1], 1 - _CREASE_SHARE, 1.0):
            heights.append(top + share * drop)
            rings.append(_level(frame, edge, share * reach, _upright(heights[-1], edge, frame.cover)))
    return loft(rings, heights)


def _upright(level: float, edge: float, top: float) -> float:
    """How far a quarter round at the top of an upright edge lies within it at a level."""
    above = min(max(level - (top - edge), 0.0), edge)
    return edge - math.sqrt(max(edge**2 - above**2, 0.0))


def boards(frame: Frame, colors: Colors) -> Iterator[Solid]:
    """Back and front board in their covering."""
    body = board_body(frame)
    thickness = frame.size[2]
    lying = placed(body, ((1, 0, 0), (0, 1, 0), (0, 0, -1)), (0, 0, frame.cover))
    raised = placed(body, ((1, 0, 0), (0, 1, 0), (0, 0, 1)), (0, 0, thickness - frame.cover))
    finish = colors.side_finish
    yield Solid("back_board", "back_cover", finish, colors.back, *lying, is_smooth=True)
    yield Solid("front_board", "cover", finish, colors.cover, *raised, is_smooth=True)


def spine(frame: Frame, colors: Colors) -> Solid:
    """The spine from the back board's level to the front's, flat or rounded."""
    height = frame.size[1]
    section = polygon_of(_rounded_section(frame) if _rise(frame) > 0 else _flat_section(frame))
    body = placed(extruded(section, 0, height), ((1, 0, 0), (0, 0, 1), (0, 1, 0)), (0, 0, 0))
    return Solid("spine", "spine", "leather", colors.spine, *body, is_smooth=True)


def bands(frame: Frame, colors: Colors) -> Iterator[Solid]:
    """Raised bands: ribs across the spine that run out at its edges."""
    height = frame.size[1]
    outer = _outer(frame)
    # A band stands straight out behind the spine: all of it where the spine faces backwards, and nothing
    # where it turns into the joint.
    ahead = np.gradient(outer, axis=0)
    share = np.abs(ahead[:, 1]) / np.hypot(ahead[:, 0], ahead[:, 1])
    share[[0, -1]] = 0.0
    for number, rib in enumerate(ribs(frame.design), 1):
        profile = rib.profile(_RIB_STEPS)
        rings = [np.column_stack([outer[:, 0] - out * share, outer[:, 1]]) for out in profile[:, 0]]
        levels = profile[:, 1] - rib.from_head_mm
        body = loft([ring[::-1] for ring in rings], levels.tolist())
        lying = placed(body, ((1, 0, 0), (0, 0, 1), (0, -1, 0)), (0, height - rib.from_head_mm, 0))
        yield Solid(f"band_{number}", "spine", "leather", colors.spine, *lying, is_smooth=True)


def _outer(frame: Frame) -> Points:
    """The spine's outer side in x and z, from the back to the front."""
    return _rounded_section(frame)[: _ROUND_STEPS + 1] if _rise(frame) > 0 else _flat_section(frame)[1:-1]


def _rise(frame: Frame) -> float:
    """How far a rounded spine stands out behind its edges; 0 for a flat one."""
    return min(frame.get("spine_rise", frame.get("spine_round")), frame.board_x - frame.covering / 2)


def _flat_section(frame: Frame) -> Points:
    """In x and z: straight across, the outer corners as round as leather makes them."""
    deep, thickness = frame.spine, frame.size[2]
    radius = min(0.9 * deep, 0.25 * thickness)
    turns = np.linspace(0, math.pi / 2, _ARC_STEPS + 1)
    low = np.stack([radius - radius * np.sin(turns), radius - radius * np.cos(turns)], axis=1)
    high = np.stack([low[::-1, 0], thickness - low[::-1, 1]], axis=1)
    return np.concatenate([[[deep, 0.0]], low, high, [[deep, thickness]]])


def _rounded_section(frame: Frame) -> Points:
    """In x and z: an arc of the chord between both joints, as thick as the covered spine."""
    thickness, rise = frame.size[2], _rise(frame)
    radius = (thickness**2 / 4 + rise**2) / (2 * rise)
    half = math.asin(min(1.0, thickness / 2 / radius)) if rise <= thickness / 2 else math.pi / 2
    turns = np.linspace(-half, half, _ROUND_STEPS + 1)
    outer = np.stack([radius - radius * np.cos(turns), thickness / 2 + radius * np.sin(turns)], axis=1)
    inner = np.stack([outer[:, 0] + frame.spine, outer[:, 1]], axis=1)
    return np.concatenate([outer, inner[::-1]])


def groove(frame: Frame) -> tuple[float, float, float]:
    """The joint: where it begins and ends in x, and how deep the covering dips there."""
    start, end = frame.spine + _rise(frame), frame.board_x + edge_radius(frame)
    room = max(0.0, end - start)
    return start, max(start, end), min(frame.cover - frame.covering, _STEEPEST * room)


def _dip(along: Points, depth: float) -> Points:
    """How far the covering lies below the boards' face, along the joint from 0 to 1."""
    return np.asarray(depth * np.sin(math.pi * along) ** _FULLNESS)


def joints(frame: Frame, colors: Colors) -> Iterator[Solid]:
    """The covering between spine and boards: a groove where there is room for one."""
    _, height, thickness = frame.size
    start, end, depth = groove(frame)
    if end <= start:
        return
    along = np.linspace(0, 1, 2 * _ARC_STEPS + 1)
    top = np.stack([start + (end - start) * along, thickness - _dip(along, depth)], axis=1)
    floor = thickness - frame.cover
    section = polygon_of(np.concatenate([top, [[end, floor], [start, floor]]]))
    body = placed(extruded(section, 0, height), ((1, 0, 0), (0, 0, 1), (0, 1, 0)), (0, 0, 0))
    flipped = placed(body, ((1, 0, 0), (0, 1, 0), (0, 0, -1)), (0, 0, thickness))
    yield Solid("joint", "cover", "leather", colors.joint, *body, is_smooth=True)
    yield Solid("joint", "back_cover", "leather", colors.joint, *flipped, is_smooth=True)


def ribbed(frame: Frame) -> Iterator[tuple[Polygon, float]]:
    """The joint in strips, in cover coordinates, with how far each lies below the boards' face."""
    start, end, depth = groove(frame)
    if end <= start:
        return
    ends = np.linspace(0, 1, _STRIPS + 1)
    for low, high in pairwise(ends.tolist()):
        x0, x1 = (start + (end - start) * share for share in (low, high))
        yield box(x0, 0, x1, frame.size[1]), float(_dip(np.array((low + high) / 2), depth))


def board_zones(frame: Frame) -> Iterator[tuple[Polygon, float]]:
    """A covered board's outer face in cover coordinates, with how far each piece lies below its flat.

    The slope of a bevel is cut into rings, so that what lies on it follows it in steps.
    """
    slope, drop = bevel(frame)
    inset = 0.5 * edge_radius(frame)
    slope = max(0.0, slope - inset)
    flat = Polygon(_level(frame, inset, slope))
    yield flat, 0.0
    steps = math.ceil(drop / _STEP_MM)
    for step in range(steps):
        around = Polygon(_level(frame, inset, slope * (1 - (step + 1) / steps)))
        ring = around.difference(flat)
        if isinstance(ring, Polygon) and not ring.is_empty:
            yield ring, drop * (step + 0.5) / steps
        flat = around
