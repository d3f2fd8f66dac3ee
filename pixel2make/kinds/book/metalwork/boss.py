"""A boss: a dome on a pin, or plates of its outline that lie on each other in steps."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from pixel2make import trade
from pixel2make.geometry.folded import Matrix, Panel
from pixel2make.geometry.pieces import Piece, Sheet, Turned, moved, placing
from pixel2make.kinds.book.metalwork.holes import pierced, pin_grip_mm
from pixel2make.kinds.book.metalwork.pin_spots import pin_spots
from pixel2make.kinds.book.metalwork.place import Gauge

__all__ = ["Dome", "boss_form", "dome_of", "domed_pieces", "stepped_pieces"]

_ROUND = 0.8
"""4 pi area / perimeter^2 of the hull from which on an outline is taken for a disc; a square has 0.785."""
_FULL = 0.85
"""Of its hull's area that a disc fills, drawn in steps; a hand or a star fills less."""
_ARC_POINTS = 24
"""Rings from the rim to the crown; the chord strays a thousandth of the dome's radius from the arc."""
_STEPS = 3
_LEAST_PINS = 2
"""One would let the boss turn."""
_SUNK_MM = 0.01
"""Printed steps run so far into the plate below, so that all are one solid."""
_STEP_SHARE = 0.15
"""Of the outline's half width that each step stands back."""


@dataclass(frozen=True)
class Dome:
    """A cap of a sphere.

    Attributes
    ----------
    diameter_mm : float
        At the rim, outside.
    height_mm : float
        Of the crown over the rim, outside.
    """

    diameter_mm: float
    height_mm: float

    @property
    def radius_mm(self) -> float:
        """Of the sphere: (a^2 + h^2) / 2h.

        >>> Dome(20.0, 10.0).radius_mm, Dome(16.0, 4.0).radius_mm
        (10.0, 10.0)
        """
        a, h = self.diameter_mm / 2, self.height_mm
        return (a * a + h * h) / (2 * h)

    def blank_mm(self, sheet_mm: float) -> float:
        """Diameter of the disc that is domed to it, the area of the sheet's middle layer kept.

        A cap of rim radius a and height h has the area pi (a^2 + h^2), so the disc's radius is the chord from
        crown to rim.

        >>> round(Dome(20.0, 10.0).blank_mm(0.0), 3)
        28.284
        """
        middle = self.radius_mm - sheet_mm / 2
        below = self.radius_mm - self.height_mm
        return 2 * math.sqrt(max(2 * middle * (middle - below), 0.0))

    def arc(self, inwards_mm: float = 0.0) -> list[tuple[float, float]]:
        """(radius, z) from the rim at z = 0 up to the crown, on the outer face or that far inside it."""
        radius, below = self.radius_mm - inwards_mm, self.radius_mm - self.height_mm
        start = math.acos(max(-1.0, min(1.0, below / radius)))
        turns = [start * (1 - i / _ARC_POINTS) for i in range(_ARC_POINTS + 1)]
        return [(radius * math.sin(a), radius * math.cos(a) - below) for a in turns]


def boss_form(outline: Polygon, answer: str) -> str:
    """The maker's form; else a dome where the outline is round and no larger than a doming block takes."""
    if answer in ("domed", "stepped"):
        return answer
    hull = outline.convex_hull
    is_full = outline.area >= _FULL * hull.area
    is_round = is_full and 4 * math.pi * hull.area / hull.length**2 >= _ROUND
    small = _diameter(outline) <= trade.value("metal.dome_most").number
    return "domed" if is_round and small else "stepped"


def _diameter(outline: Polygon) -> float:
    return 2 * math.sqrt(outline.convex_hull.area / math.pi)


def dome_of(outline: Polygon) -> Dome:
    """The dome that covers as much of the face as the drawn outline."""
    diameter = _diameter(outline)
    return Dome(diameter, trade.value("clasp.boss_height").number * diameter)


def domed_pieces(
    name: str, outline: Polygon, at: Matrix, gauge: Gauge, body: str, *, pin_mm: float, board_mm: float
) -> tuple[Piece, ...]:
    """The dome and its pin: a shell with the pin soldered in, or a print with the pin glued into a bore.

    Parameters
    ----------
    name : str
    outline : Polygon
        In (u, v).
    at : ndarray of shape (4, 4)
    gauge : Gauge
    body : {"front", "back"}
    pin_mm : float
        Diameter.
    board_mm : float
        What the pin goes through: covering and board.
    """
    dome = dome_of(outline)
    middle = outline.convex_hull.centroid
    there = placing(at @ moved(middle.x, middle.y))
    t = gauge.sheet_mm
    if gauge.way == "sheet" and dome.height_mm > 2 * t:
        inner = dome.arc(t)
        profile = [(0.0, inner[-1][1]), *reversed(inner[:-1]), *dome.arc()[:-1], (0.0, dome.height_mm)]
        top = dome.height_mm - t
    else:
        top = dome.height_mm / 2
        play = gauge.pin_mm if gauge.way == "print" else trade.value("clasp.pin_hole_play").number
        bore = (pin_mm + play) / 2
        profile = [(0.0, top), (bore, top), (bore, 0.0), *dome.arc()[:-1], (0.0, dome.height_mm)]
    low = -pin_grip_mm(board_mm, pin_mm)
    pin = ((0.0, low), (pin_mm / 2, low), (pin_mm / 2, top), (0.0, top))
    metal = gauge.material if gauge.way == "sheet" else "brass"
    return (
        Piece(f"{name}_dome", "dome", Turned(tuple(profile)), there, body, gauge.material, gauge.color),
        Piece(f"{name}_pin", "pin", Turned(pin), there, body, metal, gauge.color, "rod"),
    )


def stepped_pieces(
    name: str, outline: Polygon, at: Matrix, gauge: Gauge, body: str, *, pin_mm: float
) -> tuple[tuple[Piece, ...], tuple[tuple[float, float], ...]]:
    """Plates on each other, each standing back from the one below, and the pins' places through all.

    A step that would leave no room for two pins, or would fall apart, is left out.
    """
    # twice the area over the boundary is half the width of a long strip, and the radius of a disc
    back = max(1.5 * gauge.sheet_mm, _STEP_SHARE * 2 * outline.area / outline.length)
    plates = [outline]
    spots = pin_spots(outline, pin_mm=pin_mm)
    while len(plates) < _STEPS:
        # strips narrower than one and a half thicknesses would bend under the file
        strip = 0.75 * gauge.sheet_mm
        inner = plates[-1].buffer(-back - strip, join_style="mitre").buffer(strip, join_style="mitre")
        if not isinstance(inner, Polygon) or inner.is_empty:
            break
        found = pin_spots(inner, pin_mm=pin_mm)
        if len(found) < min(len(spots), _LEAST_PINS):
            break
        plates.append(inner)
        spots = found
    bore = pin_mm + trade.value("clasp.pin_hole_play").number
    pieces = []
    for number, plate in enumerate(plates):
        key, title = ("plate", "plate") if number == 0 else (f"step-{number}", f"step {number}")
        panel = Panel(title, orient(pierced(plate, spots, bore)))
        sunk = _SUNK_MM if number and gauge.way == "print" else 0.0
        pieces.append(
            Piece(
                f"{name}_{key}",
                title,
                Sheet(panel, gauge.sheet_mm + sunk, gauge.k_factor),
                placing(at @ moved(z=number * gauge.sheet_mm - sunk)),
                body,
                gauge.material,
                gauge.color,
                joined_to=f"{name}_plate" if sunk else "",
            )
        )
    return tuple(pieces), spots
