"""Parts larger than their stock: where they are divided, and how the pieces are joined again.

Flexible materials are divided across the side that is too long, away from folds and from the edges of
the boards beneath, into pieces that lap over each other by the joint's overlap. Boards and metal are never
divided: a joint in a board breaks.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.cutting import Cutting
from pixel2make.design.model import Part
from pixel2make.design.outlines import polygons_only

__all__ = ["JOINTS", "Piece", "divided", "fits", "grain_upright", "joins", "joint_for", "seams"]

JOINTS = {
    "leather": "scarf joint: pare both edges to nothing over the lap, one on its flesh side, one on top",
    "cloth": "lap joint: paste the lap, the edge that shows turned away from the opening hand",
    "paper": "lap joint, pasted, the grain of both pieces one way",
    "endpaper": "lap joint, pasted, the grain of both pieces one way",
    "lining_paper": "lap joint, pasted, the grain of both pieces one way",
    "mull": "lap joint: lay one piece over the other in the wet adhesive",
}
"""How the pieces of a material are joined; a material that is not here is not divided."""

_SPINE_MARKS = ("spine", "spine_piece")

_STEP_MM = 1.0
"""Places of a seam are tried this far apart."""

_HAIR_MM = 1e-6

Outline: TypeAlias = Polygon | MultiPolygon


@dataclass(frozen=True)
class Piece:
    """One piece of a divided part, or a whole part.

    Attributes
    ----------
    part : Part
        With the piece's own outline and marks; its name is that of the part, numbered where divided.
    whole : str
        Name of the part that it belongs to.
    joint : str
        How it is joined to the next piece; empty for a whole part.
    """

    part: Part
    whole: str
    joint: str = ""


def joint_for(material: str) -> tuple[float, str] | None:
    """Overlap in millimetres and description of a material's joint; None where it is not divided."""
    words = JOINTS.get(material)
    if words is None:
        return None
    return float(trade.value("cutting.joint_overlap").value[material]), words


def joins(parts: Iterable[Part], cutting: Cutting) -> dict[str, str]:
    """By the name of each part that is divided to fit its stock: how its pieces are joined."""
    found: dict[str, str] = {}
    for part in parts:
        if part.is_cut and cutting.knows(part.material):
            pieces = divided(grain_upright(part), cutting.room_mm(part.material))
            if len(pieces) > 1:
                found[part.name] = pieces[0].joint
    return found


def seams(
    length: float,
    most: float,
    overlap: float,
    avoid: Iterable[float] = (),
    shun: Iterable[tuple[float, float]] = (),
) -> list[float]:
    """Middles of the laps that divide a length into the fewest pieces no longer than `most`.

    Parameters
    ----------
    length, most, overlap : float
        ``overlap`` below ``most``.
    avoid : iterable of float
        Places on the length that a seam keeps away from, as far as it can.
    shun : iterable of (low, high)
        Stretches in which no lap lies where the rest of the length has room for it.

    Returns
    -------
    list of float
        Ascending; of equally good places those that give the most equal pieces. Empty where one piece does.

    Examples
    --------
    >>> seams(1000, 600, 20)
    [500.0]
    >>> abs(seams(1000, 600, 20, avoid=[500])[0] - 500) >= 20
    True
    >>> seams(1000, 600, 20, shun=[(470, 590)])
    [460.0]
    """
    if length <= most + _HAIR_MM:
        return []
    count = math.ceil((length - overlap - _HAIR_MM) / (most - overlap))
    half, pitch = overlap / 2, most - overlap
    kept = np.array([0.0, length, *avoid])
    kept_off = [(low - half, high + half) for low, high in shun]
    found: list[float] = []
    for k in range(1, count):
        low = length - (most - half) - (count - 1 - k) * pitch
        high = (found[-1] + pitch) if found else most - half
        low = max(low, (found[-1] if found else 0.0) + overlap)
        equal = length * k / count
        tried = np.unique(np.clip([equal, *np.arange(low, high, _STEP_MM), high], low, high))
        clear = np.abs(tried[:, None] - kept).min(axis=1)
        # Beyond the lap's own width more distance from a fold gains nothing.
        is_shunned = np.any([(tried > low) & (tried < high) for low, high in kept_off], axis=0)
        rank = np.lexsort(
            (
                tried,
                np.round(np.abs(tried - equal), 6),
                -np.round(np.minimum(clear, overlap), 6),
                np.broadcast_to(is_shunned, tried.shape),
            )
        )
        found.append(float(tried[rank[0]]))
    return found


def divided(part: Part, room_mm: tuple[float, float]) -> tuple[Piece, ...]:
    """The pieces of a part that each fit a room; the part itself where it fits or cannot be divided.

    Parameters
    ----------
    part : Part
        Its grain along the height, or none.
    room_mm : (width, height)
        The stock less its margins.

    Returns
    -------
    tuple of Piece
        From the upper left, row by row. Their union is the part; neighbours share the lap.
    """
    width, height = part.size_mm
    joint = joint_for(part.material)
    if joint is None or fits(part, room_mm):
        return (Piece(part, part.name),)
    overlap, words = joint
    if min(room_mm) <= 2 * overlap:
        return (Piece(part, part.name),)
    if part.grain is None and _count(part, room_mm[::-1], overlap) < _count(part, room_mm, overlap):
        room_mm = room_mm[::-1]
    cuts = [
        seams(length, most, overlap, _folds(part, axis), _bent(part, axis))
        for axis, (length, most) in enumerate(zip((width, height), room_mm, strict=True))
    ]
    cells = [
        (x0, y0, x1, y1)
        for y0, y1 in _spans(cuts[1], height, overlap)
        for x0, x1 in _spans(cuts[0], width, overlap)
    ]
    found = [polygons_only(part.outline.intersection(box(*cell))) for cell in cells]
    outlines = [outline for outline in found if outline is not None]
    if len(outlines) == 1:
        return (Piece(part, part.name),)
    laps = _laps(cuts, (width, height), overlap)
    count, how = len(outlines), f"{overlap:g} mm {words}"
    return tuple(
        Piece(_piece(part, outline, laps, f"{part.name}_{k}_of_{count}"), part.name, how)
        for k, outline in enumerate(outlines, 1)
    )


def _piece(part: Part, outline: Outline, laps: Sequence[Polygon], name: str) -> Part:
    x, y, _, _ = outline.bounds
    marks = []
    for label, shape in (*part.marks, *(("lap", lap) for lap in laps)):
        seen = polygons_only(shape.intersection(outline))
        if seen is not None:
            marks.append((label, affinity.translate(seen, -x, -y)))
    return replace(part, name=name, outline=affinity.translate(outline, -x, -y), marks=tuple(marks))


def fits(part: Part, room_mm: tuple[float, float]) -> bool:
    """Does a part, its grain along the height or none, fit a room without a turn across the grain?"""
    rooms = (room_mm,) if part.grain else (room_mm, room_mm[::-1])
    return any(all(v <= r + _HAIR_MM for v, r in zip(part.size_mm, room, strict=True)) for room in rooms)


def grain_upright(part: Part) -> Part:
    """The part turned so that its grain runs along the height, as that of a sheet does."""
    if part.grain != "width":
        return part
    turned = affinity.rotate(part.outline, 90, origin=(0, 0))
    x, y, _, _ = turned.bounds
    marks = tuple(
        (name, affinity.translate(affinity.rotate(shape, 90, origin=(0, 0)), -x, -y))
        for name, shape in part.marks
    )
    return replace(part, outline=affinity.translate(turned, -x, -y), grain="height", marks=marks)


def _count(part: Part, room: tuple[float, float], overlap: float) -> int:
    pieces = [len(seams(v, r, overlap)) + 1 for v, r in zip(part.size_mm, room, strict=True)]
    return pieces[0] * pieces[1]


def _folds(part: Part, axis: int) -> list[float]:
    """Where marked edges run across: under them lie the boards, along them the material is folded."""
    return sorted(
        {v for _, shape in part.marks for v in np.round(np.asarray(shape.bounds)[axis::2], 6).tolist()}
    )


def _bent(part: Part, axis: int) -> list[tuple[float, float]]:
    """Stretches over the spine: there a lap bends at every opening and is felt through the covering."""
    found = []
    for name, shape in part.marks:
        x0, y0, x1, y1 = shape.bounds
        # A spine is longer than wide, whichever way the grain has turned the part; along it every lap
        # crosses it.
        if name in _SPINE_MARKS and (axis == 0) == (x1 - x0 < y1 - y0):
            found.append(((x0, x1), (y0, y1))[axis])
    return found


def _spans(cuts: Sequence[float], length: float, overlap: float) -> list[tuple[float, float]]:
    starts = [0.0, *(cut - overlap / 2 for cut in cuts)]
    ends = [*(cut + overlap / 2 for cut in cuts), length]
    return list(zip(starts, ends, strict=True))


def _laps(cuts: Sequence[Sequence[float]], size: tuple[float, float], overlap: float) -> list[Polygon]:
    width, height = size
    half = overlap / 2
    return [
        *(box(x - half, 0, x + half, height) for x in cuts[0]),
        *(box(0, y - half, width, y + half) for y in cuts[1]),
    ]
