"""The layers of the closed book: what lies on what, in millimetres of the real object.

Cut across the spine, x runs from the spine's outer face to the fore-edge, y from the front board's outer face
to the back board's. Cut along the spine, x is the same and y runs from the head to the tail.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from shapely.affinity import scale as mirrored
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.drawing.view import find_dimension, length_of
from pixel2make.pack.ribs import STRIPS, ribs
from pixel2make.quantity import length_digits

__all__ = [
    "Layer",
    "band_layers",
    "band_window",
    "bevel_window",
    "has_layers",
    "joint_window",
    "rib_outline",
    "spine_layers",
]

_DETAIL = trade.value("drawing.section_detail").value
DETAIL_REACH, DETAIL_DEPTH, DIP_SHARE = (float(_DETAIL[key]) for key in ("reach", "depth", "dip"))
_FRAGMENT = trade.value("drawing.section_fragment").value
_AIR_MM = 0.5
"""Shown outside of the book's own faces."""
_PAST = 0.5
"""How much longer the covering's middle line is than a bevel before it is cut off at the fore-edge."""
_ROUND_SEGS = 24
"""Straight pieces of a quarter of a cord."""


@dataclass(frozen=True)
class Layer:
    """One material in the section.

    Attributes
    ----------
    name : str
    shape : Polygon or MultiPolygon
    hatch : {"/", "\\\\", "-", " ", ""}
    mark : (x, y)
        Where a leader points at; on the front half near the spine where it is cut across.
    """

    name: str
    shape: Polygon | MultiPolygon
    hatch: str
    mark: tuple[float, float]


_NEEDED = (
    "cover_width",
    "book_thickness",
    "covering_thickness",
    "board_thickness",
    "board_width",
    "leaf_width",
)


def has_layers(design: Design) -> bool:
    """Whether the design says enough about its layers to be cut through."""
    return all(length_of(design, name) > 0 for name in _NEEDED)


def spine_layers(design: Design) -> tuple[Layer, ...]:
    """Covering, boards, spine piece, lining and block of the closed book at its nominal thickness."""
    width, thick = length_of(design, "cover_width"), length_of(design, "book_thickness")
    skin, board = length_of(design, "covering_thickness"), length_of(design, "board_thickness")
    stiff = length_of(design, "spine_piece_thickness", "spine_lining_thickness")
    edge = width - length_of(design, "board_width")
    reach = min(width - edge, DETAIL_REACH * (skin + board))
    inner = skin + stiff
    lining = sum(p.thickness_mm for p in design.parts if p.name in {"mull", "spine_lining"})
    leaves = inner + length_of(design, "leaf_width")
    slope = _slope(design, width, skin)
    front = box(edge, skin, width, skin + board)
    if slope is not None:
        front = front.difference(Polygon([*slope, (width, skin)]))
    block = box(inner + lining, skin + board, leaves, thick - skin - board)
    pages = length_of(design, "pages_thickness", "block_thickness")
    units = design.units
    sizes = {k: f"{length_digits(v, units)} {units}" for k, v in (("skin", skin), ("board", board))}
    covering = next((p.material for p in design.parts if p.name.startswith("covering")), "covering")
    found = [
        Layer(
            f"{covering.replace('_', ' ')} {sizes['skin']}",
            _covering(width, thick, skin, board, edge, inner, slope),
            "",
            (edge + 0.7 * reach, skin / 2),
        ),
        Layer(
            f"board {sizes['board']}",
            MultiPolygon([front, mirrored(front, 1.0, -1.0, origin=(0.0, thick / 2))]),
            "/",
            (edge + 0.4 * reach, skin + board / 2),
        ),
        Layer(
            f"leaves, {length_digits(pages, units)} {units} pressed",
            block,
            "-",
            (edge + 0.75 * reach, skin + board * 2.2),
        ),
    ]
    if stiff > 0:
        name = "spine piece" if find_dimension(design, "spine_piece_thickness") else "stiffening of the spine"
        piece = box(skin, skin, inner, thick - skin)
        mark = (skin + stiff / 2, skin + board * 2.6)
        found.append(Layer(f"{name} {length_digits(stiff, units)} {units}", piece, "/", mark))
    if lining > 0:
        strip = box(inner, skin + board, inner + lining, thick - skin - board)
        found.append(Layer("mull and lining paper", strip, "", (inner + lining / 2, skin + board * 1.7)))
    return tuple(layer for layer in found if not layer.shape.is_empty)


def _slope(design: Design, width: float, skin: float) -> tuple[tuple[float, float], ...] | None:
    """Crest and foot of the front board's bevel at the fore-edge; None where the edge is square."""
    reach, depth = length_of(design, "bevel_width"), length_of(design, "bevel_depth")
    return ((width - reach, skin), (width, skin + depth)) if reach > 0 and depth > 0 else None


def _covering(
    width: float,
    thick: float,
    skin: float,
    board: float,
    edge: float,
    inner: float,
    slope: tuple[tuple[float, float], ...] | None,
) -> Polygon | MultiPolygon:
    """The covering over both boards and the spine, set into the joints and down the bevels."""
    half = skin / 2
    points = [(width, half)]
    if slope is not None:
        (crest, _), (_, foot) = slope
        # The middle of the covering runs half its thickness outside of the board's face and slope.
        rise, run = foot - skin, width - crest
        long = math.hypot(rise, run)
        past = (width + rise / long * half, foot - run / long * half)
        points = [(past[0] + run * _PAST, past[1] + rise * _PAST), (crest + half * (long - run) / rise, half)]
    if edge - inner > 2 * skin:
        # It turns half its thickness off the edges, so that its inner side clears them.
        points += [(edge - half, half), ((edge + inner) / 2, half + DIP_SHARE * board), (inner + half, half)]
    points.append((half, half))
    back = [(x, thick - y) for x, y in reversed(points)]
    shape = LineString([*points, *back]).buffer(half, cap_style="flat", join_style="mitre")
    shape = shape.intersection(box(0.0, 0.0, width, thick))
    return shape if isinstance(shape, Polygon | MultiPolygon) else Polygon()


def joint_window(design: Design) -> Polygon:
    """What the enlarged front joint shows."""
    width, thick = length_of(design, "cover_width"), length_of(design, "book_thickness")
    edge = width - length_of(design, "board_width")
    deep = length_of(design, "covering_thickness") + length_of(design, "board_thickness")
    right, low = min(width, edge + DETAIL_REACH * deep), min(thick / 2, DETAIL_DEPTH * deep)
    return box(-_AIR_MM, -_AIR_MM, right, low)


def bevel_window(design: Design) -> Polygon | None:
    """What the enlarged bevel of the front board shows; None where its edges are square."""
    width, reach = length_of(design, "cover_width"), length_of(design, "bevel_width")
    if reach <= 0 or length_of(design, "bevel_depth") <= 0:
        return None
    deep = length_of(design, "covering_thickness") + length_of(design, "board_thickness")
    left = max(width - length_of(design, "board_width"), width - reach * (1 + _FRAGMENT["around"]))
    return box(left, -_AIR_MM, width + _AIR_MM, min(length_of(design, "book_thickness") / 2, 2 * deep))


def rib_outline(design: Design, thick: float) -> Polygon | None:
    """A raised band as it is seen behind the plane of a section across the spine, or from the head."""
    found = ribs(design)
    if not found:
        return None
    rise = found[0].rise_mm
    # It runs out towards the joints, where the covering is worked down.
    out = min(rise, thick / 4)
    return Polygon([(0.0, 0.0), (-rise, out), (-rise, thick - out), (0.0, thick)])


def band_window(design: Design) -> Polygon | None:
    """What the enlarged band shows, cut along the spine; None where the spine is smooth."""
    found = ribs(design)
    if not found:
        return None
    rib, skin = found[0], length_of(design, "covering_thickness")
    stiff = length_of(design, "spine_piece_thickness", "spine_lining_thickness")
    lining = sum(p.thickness_mm for p in design.parts if p.name in {"mull", "spine_lining"})
    half = rib.foot_mm * (0.5 + _FRAGMENT["around"])
    inward = skin + stiff + lining + _FRAGMENT["inward"] * skin
    return box(-rib.rise_mm - _AIR_MM, rib.from_head_mm - half, inward, rib.from_head_mm + half)


def band_layers(design: Design) -> tuple[Layer, ...]:
    """The topmost band, cut along the spine half-way through the book; empty where the spine is smooth."""
    window = band_window(design)
    if window is None:
        return ()
    rib, skin = ribs(design)[0], length_of(design, "covering_thickness")
    stiff = length_of(design, "spine_piece_thickness", "spine_lining_thickness")
    _, top, right, bottom = window.bounds
    at, half, face = rib.from_head_mm, rib.core_mm / 2, skin + stiff
    units = design.units
    sizes = {k: f"{length_digits(v, units)} {units}" for k, v in (("skin", skin), ("rise", rib.rise_mm))}
    strips = next((part for part in design.parts if part.name == STRIPS), None)
    if strips is None:
        core = Point(skin - rib.rise_mm / 2, at).buffer(rib.rise_mm / 2, quad_segs=_ROUND_SEGS)
        name, pieces = f"cord {sizes['rise']}", [core]
    else:
        count = max(1, round(rib.rise_mm / strips.thickness_mm))
        edges = [skin - rib.rise_mm * i / count for i in range(count + 1)]
        pieces = [box(low, at - half, high, at + half) for high, low in pairwise(edges)]
        each = f"{length_digits(strips.thickness_mm, units)} {units}"
        name = f"band, {count} x {strips.material.replace('_', ' ')} {each}"
    behind = box(skin, top - 2 * skin, right, bottom + 2 * skin)
    solid = unary_union([*pieces, behind])
    join: Literal["mitre", "round"] = "mitre" if strips is not None else "round"
    cover = solid.buffer(skin, quad_segs=_ROUND_SEGS, join_style=join).difference(solid)
    cover = cover.intersection(box(window.bounds[0], top, skin, bottom))
    covering = next((p.material for p in design.parts if p.name.startswith("covering")), "covering")
    found = [
        Layer(
            f"{covering.replace('_', ' ')} {sizes['skin']}",
            cover if isinstance(cover, Polygon | MultiPolygon) else Polygon(),
            "",
            (skin / 2, (top + at - rib.foot_mm / 2) / 2),
        ),
        Layer(name, MultiPolygon(pieces), "\\", (skin - rib.rise_mm * 0.75, at)),
    ]
    if stiff > 0:
        what = "spine piece" if find_dimension(design, "spine_piece_thickness") else "stiffening of the spine"
        piece = box(skin, top, face, bottom)
        mark = ((skin + face) / 2, at + rib.foot_mm / 2)
        found.append(Layer(f"{what} {length_digits(stiff, units)} {units}", piece, "/", mark))
    lining = sum(p.thickness_mm for p in design.parts if p.name in {"mull", "spine_lining"})
    if lining > 0:
        strip = box(face, top, face + lining, bottom)
        found.append(Layer("mull and lining paper", strip, "", (face + lining / 2, at + rib.foot_mm * 0.8)))
    leaves = box(face + lining, top, right, bottom)
    found.append(Layer("leaves", leaves, " ", ((face + lining + right) / 2, at - rib.foot_mm * 0.4)))
    return tuple(layer for layer in found if not layer.shape.is_empty)
