"""Where pins go: far enough from every edge, in the corners of the room that is left."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from pixel2make import trade
from pixel2make.design.metalwork import PinHole

__all__ = [
    "nearest_edge_mm",
    "pierced",
    "pin_diameter_mm",
    "pin_grip_mm",
    "pin_holes",
    "pin_length_mm",
    "pin_margin_mm",
    "pin_places",
]

_SIDES = 24
"""Sides of a pierced hole, a multiple of four so that its width is its diameter both ways."""
_GRID = 24
"""Places tried along the longer side of a plate."""


def pin_diameter_mm(board_mm: float = math.inf) -> float:
    """Of the pins that hold a plate: the usual ones, or thinner ones that do not split a thin board.

    Where even the thinnest is thicker than half the board, the thinnest.
    """
    usual = trade.value("clasp.pin_diameter").number
    stock = [pin for pin in trade.value("clasp.pin_stock").numbers if pin <= usual]
    share = trade.value("clasp.pin_board_share").number
    return max((pin for pin in stock if pin <= share * board_mm), default=min(stock))


def pin_margin_mm(diameter_mm: float) -> float:
    """Least distance of a pin from the edge of the board it goes through."""
    return max(trade.value("clasp.pin_edge_distance").number, 3 * diameter_mm)


def pin_grip_mm(grip_mm: float, diameter_mm: float) -> float:
    """What a pin has to go through, and what of it stands out to be headed over a washer."""
    return grip_mm + trade.value("clasp.rivet_head").number * diameter_mm


def pin_length_mm(grip_mm: float, diameter_mm: float) -> float | None:
    """The shortest stock length that holds what lies between its heads; None where shops keep none."""
    needed = pin_grip_mm(grip_mm, diameter_mm)
    return next((n for n in trade.value("clasp.pin_lengths").numbers if n >= needed - 1e-9), None)


def pin_holes(
    piece: str, places: Iterable[tuple[float, float]], pin_mm: float, grip_mm: float
) -> tuple[PinHole, ...]:
    """The holes of a piece for pins of that diameter, each with the length of its pin.

    Parameters
    ----------
    piece : str
    places : iterable of (u, v)
    pin_mm : float
    grip_mm : float
        Thickness of all that the pin holds together.
    """
    bore = pin_mm + trade.value("clasp.pin_hole_play").number
    length = pin_length_mm(grip_mm, pin_mm) or 0.0
    return tuple(PinHole(piece, u, v, bore, pin_mm, length, grip_mm) for u, v in places)


def pin_places(
    outline: Polygon, *, keep_mm: float, count: int = 4, pin_mm: float | None = None
) -> tuple[tuple[float, float], ...]:
    """Middles of pin holes on a plate.

    Parameters
    ----------
    outline : Polygon
        u towards the fore-edge, 0 there, v up; slots and notches already cut.
    keep_mm : float
        u that no hole passes: bends and slots lie beyond.
    count : int
        As many at most.
    pin_mm : float, optional
        Diameter of the pins; the usual one where it is left out.

    Returns
    -------
    tuple of (u, v)
        Two diameters from each edge of the plate, and from the edge of the board what the trade asks;
        empty where there is no such place.
    """
    diameter = pin_diameter_mm() if pin_mm is None else pin_mm
    per_edge = trade.value("clasp.hole_edge").number
    board = pin_margin_mm(diameter)
    x0, y0, _, y1 = outline.bounds
    room = outline.buffer(-per_edge * diameter).intersection(box(x0, y0, min(keep_mm - diameter, -board), y1))
    if room.is_empty:
        return ()
    x0, y0, x1, y1 = room.bounds
    step = max(x1 - x0, y1 - y0) / _GRID
    grid = [(x0, y0)]
    if step > 0:
        us = np.linspace(x0, x1, max(2, math.ceil((x1 - x0) / step) + 1))
        vs = np.linspace(y0, y1, max(2, math.ceil((y1 - y0) / step) + 1))
        grid = [(float(u), float(v)) for u in us for v in vs]
    inside = shapely.covers(room.buffer(1e-6), shapely.points(grid))
    free = [point for point, is_in in zip(grid, inside, strict=True) if is_in]
    if not free:
        spot = room.representative_point()
        free = [(float(spot.x), float(spot.y))]
    found: list[tuple[float, float]] = []
    for corner in ((x0, y1), (x0, y0), (x1, y1), (x1, y0))[:count]:
        near = min(free, key=lambda p, c=corner: (round(math.dist(p, c), 6), p))  # type: ignore[misc]
        if all(math.dist(near, other) >= 4 * diameter for other in found):
            found.append(near)
    return tuple(found)


def pierced(outline: Polygon, places: tuple[tuple[float, float], ...], diameter_mm: float) -> Polygon:
    """The plate with a round hole at each place; of a plate that a hole parts, the larger piece."""
    for place in places:
        rest = outline.difference(_disc(place, diameter_mm / 2))
        outline = max(shapely.get_parts(rest), key=lambda part: part.area)
    return outline


def _disc(middle: tuple[float, float], radius: float) -> Polygon:
    turns = [2 * math.pi * i / _SIDES for i in range(_SIDES)]
    return Polygon([(middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a)) for a in turns])


def nearest_edge_mm(outline: Polygon, place: tuple[float, float]) -> float:
    """Distance of a place from the outer edge of a plate."""
    return float(LineString(outline.exterior.coords).distance(Point(place)))
