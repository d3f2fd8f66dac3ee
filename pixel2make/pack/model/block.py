"""What lies between the boards: leaves, endpapers, headbands."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from pixel2make.pack.model.frame import Frame
from pixel2make.pack.model.paint import Colors
from pixel2make.pack.model.shapes import Body, joined, loft, rounded_rectangle
from pixel2make.pack.model.solid import Points, Solid

__all__ = ["block_solids", "block_span"]

_SHARP_MM = 0.05
"""A corner that is not rounded, for the loft needs one."""

_LEAVES_A_SECTION = 8
_MOST_SECTIONS = 60
"""Sections that are told apart in the model; more than this are finer than a picture shows."""

_FOLD_MM = 0.25
"""How far the edge dips between two sections: their leaves lie close, the next section's a little apart."""

_BEADS_MM = 3.0
"""Length of a headband's bead of one colour, about six turns of thread."""

_ROUND_STEPS = 10


def block_span(frame: Frame) -> tuple[float, float]:
    """Lowest and highest z of the leaves and endpapers."""
    return frame.cover, frame.size[2] - frame.cover


def block_solids(frame: Frame, colors: Colors) -> Iterator[Solid]:
    """The leaves in their sections, an endpaper above and below, two headbands."""
    low, high = block_span(frame)
    parts = {part.name: part for part in frame.design.parts}
    sheet = min(2 * parts["endpaper"].thickness_mm if "endpaper" in parts else 0.3, (high - low) / 6)
    yield Solid(
        "endpapers",
        "page_edge",
        "paper",
        colors.endpaper,
        *joined([_slab(frame, low, low + sheet), _slab(frame, high - sheet, high)]),
    )
    leaves = parts["text_block_leaf"].quantity if "text_block_leaf" in parts else _LEAVES_A_SECTION
    sections = max(2, min(round(leaves / _LEAVES_A_SECTION), _MOST_SECTIONS))
    levels = np.linspace(low + sheet, high - sheet, 2 * sections + 1)
    rings = [_leaf(frame, _FOLD_MM * (1 - i % 2)) for i in range(len(levels))]
    yield Solid(
        "text_block", "page_edge", "paper", colors.pages, *loft(rings, levels.tolist()), is_smooth=True
    )
    if "headband" in parts:
        yield from _headbands(frame, colors, parts["headband"].color)


def _slab(frame: Frame, low: float, high: float) -> Body:
    """Leaves from one height to another."""
    return loft([_leaf(frame, 0.0)] * 2, [low, high])


def _leaf(frame: Frame, inset: float) -> Points:
    """A leaf's outline, its fore-edge corners as round as those of the boards."""
    width, height, _ = frame.size
    sharp = _SHARP_MM + inset
    radius = max(sharp, frame.corner_radius - frame.square)
    return rounded_rectangle(
        (frame.spine, frame.square),
        (width - frame.square, height - frame.square),
        (sharp, radius, radius, sharp),
        inset=inset,
    )


def _headbands(frame: Frame, colors: Colors, color: str) -> Iterator[Solid]:
    """A bead across head and tail of the spine, wound in two colours."""
    rise = frame.get("headband_rise", 2.0)
    low, high = block_span(frame)
    count = max(2, round((high - low) / _BEADS_MM))
    levels = np.linspace(low, high, count + 1)
    turns = np.linspace(0, 2 * math.pi, _ROUND_STEPS, endpoint=False)
    radius = rise / 2
    circle = np.stack([np.cos(turns), np.sin(turns)], axis=1) * radius
    x = frame.spine + 1.5 * radius
    for first, bead in ((0, color or colors.endpaper), (1, colors.pages)):
        beads = []
        for y in (frame.square - radius, frame.size[1] - frame.square + radius):
            for i in range(first, count, 2):
                beads.append(loft([circle + np.array([x, y])] * 2, [levels[i], levels[i + 1]]))
        yield Solid("headband", "page_edge", "thread", bead, *joined(beads), is_smooth=True)
