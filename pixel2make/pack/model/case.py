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

__all__ = ["board_body", "board_outline", "boards", "edge_radius", "groove", "joints", "ribbed", "spine"]

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


def edge_radius(frame: Frame) -> float:
    """Leather drawn over a board's edge: about as round as it is thick, and never a full half round."""
    return min(1.2 * frame.covering, 0.45 * frame.cover)


def board_body(frame: Frame) -> Body:
    """A covered board lying on z = 0 with its outer face up, its edges rounded by the covering."""
    width, height, _ = frame.size
    low, high = (frame.board_x, 0.0), (width, height)
    bevel, drop = frame.get("bevel_width"), frame.get("bevel_depth")
    if bevel > 0 and drop <= 0:
        drop = frame.cover / 2
    bevel, drop = min(bevel, (width - frame.board_x) / 4), min(drop, 0.8 * frame.cover)
    edge = min(edge_radius(frame), 0.45 * (frame.cover - drop))
    inner, outer = 1.25 * edge, max(frame.corner_radius, 1.25 * edge + bevel)
    radii = (max(inner, 1.25 * edge + bevel), outer, outer, max(inner, 1.25 * edge + bevel))
    turns = np.linspace(0, math.pi / 2, _EDGE_STEPS + 1)
    insets = [*(edge * (1 - np.sin(turns))), *(edge * (1 - np.cos(turns)))]
    top = frame.cover - drop
    heights = [*(edge * (1 - np.cos(turns))), *(top - edge * (1 - np.sin(turns)))]
    if bevel > 0:
        insets.append(edge + bevel)
        heights.append(frame.cover)
    return loft([rounded_rectangle(low, high, radii, inset=i) for i in insets], heights)


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


def board_outline(frame: Frame) -> Polygon:
    """The flat of a covered board's outer face, in cover coordinates."""
    width, height, _ = frame.size
    edge, radius = edge_radius(frame), max(frame.corner_radius, 1.25 * edge_radius(frame))
    radii = (1.25 * edge, radius, radius, 1.25 * edge)
    return Polygon(rounded_rectangle((frame.board_x, 0.0), (width, height), radii, inset=0.5 * edge))
