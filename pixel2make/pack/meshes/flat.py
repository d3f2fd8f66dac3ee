"""The clasp as a flat pattern for sheet metal, and the arithmetic of bends.

A bend of A degrees, A the angle turned through, with inside radius R in sheet of thickness t takes
BA = pi/180 A (R + K t) of flat length: the arc of the layer that neither stretches nor shrinks. The
deduction BD = 2 (R + t) tan(A/2) - BA is what the flat sheet is shorter than the sum of the outside
lengths, which meet in the corner that the bend rounds off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import shapely
from shapely.affinity import affine_transform
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

from pixel2make import trade
from pixel2make.design.model import Clasp, Finding
from pixel2make.errors import DesignError
from pixel2make.pack.meshes.plate import GRID_MM, RootedPlate, rooted_plate

__all__ = [
    "Bend",
    "FlatPattern",
    "bend_allowance",
    "bend_deduction",
    "bent_plate",
    "check_pattern",
    "flat_pattern",
]

RIGHT_DEG = 90.0


def bend_allowance(angle_deg: float, radius_mm: float, sheet_mm: float, k_factor: float) -> float:
    """Flat length that a bend takes.

    Parameters
    ----------
    angle_deg : float
        Turned through: 0 leaves the sheet flat, 180 folds it back.
    radius_mm : float
        Inside.
    sheet_mm : float
    k_factor : float
        Where the layer that keeps its length lies, in sheet thicknesses from the inside.

    Examples
    --------
    >>> round(bend_allowance(90, 1.0, 1.0, 0.4074366543), 4)
    2.2108
    """
    return math.radians(angle_deg) * (radius_mm + k_factor * sheet_mm)


def bend_deduction(angle_deg: float, radius_mm: float, sheet_mm: float, k_factor: float) -> float:
    """How much shorter the flat sheet is than both outside lengths of a bend; the angle is below 180.

    Examples
    --------
    >>> round(bend_deduction(90, 1.0, 1.0, 0.4074366543), 4)
    1.7892
    """
    setback = (radius_mm + sheet_mm) * math.tan(math.radians(angle_deg) / 2)
    return 2 * setback - bend_allowance(angle_deg, radius_mm, sheet_mm, k_factor)


@dataclass(frozen=True)
class Bend:
    """One bend across the pattern.

    Attributes
    ----------
    start_mm : float
        Where the bend begins along the pattern; it takes `allowance_mm` from there.
    angle_deg, radius_mm, allowance_mm : float
    """

    start_mm: float
    angle_deg: float
    radius_mm: float
    allowance_mm: float

    @property
    def line_mm(self) -> float:
        """The bend line, in the middle of the bend."""
        return self.start_mm + self.allowance_mm / 2

    @property
    def end_mm(self) -> float:
        """Where the bend ends along the pattern."""
        return self.start_mm + self.allowance_mm


@dataclass(frozen=True)
class FlatPattern:
    """A clasp cut from sheet, before it is bent.

    Attributes
    ----------
    outline : Polygon
        x along the length from the end of the front plate, y along the height of the book, bounding
        box beginning at (0, 0); the side that will be inside lies face up.
    bends : tuple of Bend
        Both upwards, in order.
    low_mm, high_mm : float
        Between the bends, the strip takes y from low to high.
    sheet_mm, k_factor : float
    legs_mm : (front, back)
        Outside lengths of the plates, over the corner that the bend rounds off.
    across_mm : float
        Outside length across the span.
    """

    outline: Polygon
    bends: tuple[Bend, ...]
    low_mm: float
    high_mm: float
    sheet_mm: float
    k_factor: float
    legs_mm: tuple[float, float]
    across_mm: float

    @property
    def length_mm(self) -> float:
        """Of the flat sheet: outside lengths less both deductions."""
        deductions = (
            bend_deduction(b.angle_deg, b.radius_mm, self.sheet_mm, self.k_factor) for b in self.bends
        )
        return sum(self.legs_mm) + self.across_mm - sum(deductions)


def bent_plate(clasp: Clasp) -> RootedPlate:
    """The plate with a root that reaches past the bend, so that nothing but a strip is bent."""
    return rooted_plate(clasp, least_depth_mm=clasp.inside_radius.value_mm + clasp.sheet.value_mm)


def flat_pattern(clasp: Clasp) -> FlatPattern:
    """Unfold a clasp: front plate, bend, span, bend, back plate with the mirrored outline.

    Parameters
    ----------
    clasp : Clasp

    Raises
    ------
    DesignError
        Where the plate ends inside the bend, or both bends meet.
    """
    sheet, radius, k = clasp.sheet.value_mm, clasp.inside_radius.value_mm, clasp.k_factor
    span = clasp.span.value_mm
    plate = bent_plate(clasp)
    straight = plate.length_mm - radius
    if straight < GRID_MM:
        raise DesignError(
            f"{clasp.name}: a plate {plate.length_mm:.1f} mm long ends inside the bend of radius "
            f"{radius:g} mm; choose thinner sheet, a smaller radius or a larger size"
        )
    if span - 2 * radius < GRID_MM:
        raise DesignError(
            f"{clasp.name}: two bends of radius {radius:g} mm do not fit into a span of {span:.1f} mm; "
            "choose thinner sheet, a smaller radius or a larger size"
        )
    allowance = bend_allowance(RIGHT_DEG, radius, sheet, k)
    first = Bend(straight, RIGHT_DEG, radius, allowance)
    second = Bend(first.end_mm + span - 2 * radius, RIGHT_DEG, radius, allowance)
    outline = _unfolded(plate, radius, straight, second.end_mm)
    leg = plate.length_mm + sheet
    return FlatPattern(
        outline, (first, second), plate.low_mm, plate.high_mm, sheet, k, (leg, leg), span + 2 * sheet
    )


def _unfolded(plate: RootedPlate, radius: float, straight: float, after: float) -> Polygon:
    """Both plates and the strip between them, as one outline.

    The strip ends in the middle of both roots: ends level with an edge would differ from it by a
    rounding error and leave gaps or slivers.
    """
    _, y0, length, y1 = plate.outline.bounds
    beyond = plate.outline.intersection(box(radius, y0 - 1, length + 1, y1 + 1))
    front = affine_transform(beyond, (-1, 0, 0, 1, length, 0))
    back = affine_transform(beyond, (1, 0, 0, 1, after - radius, 0))
    overlap = (plate.depth_mm - radius) / 2
    strip = box(straight - overlap, plate.low_mm, after + overlap, plate.high_mm)
    return orient(shapely.union_all([front, strip, back]).simplify(0))


def check_pattern(clasp: Clasp) -> Iterator[Finding]:
    """What a bending workshop would say about a clasp."""
    sheet, radius = clasp.sheet.value_mm, clasp.inside_radius.value_mm
    plate = bent_plate(clasp)
    rule = trade.value("metal.least_flange")
    least = rule.numbers[0] * sheet + rule.numbers[1] * radius
    leg = plate.length_mm + sheet
    if leg < least:
        yield Finding(
            "short-flange",
            clasp.name,
            f"{clasp.name}: the bent plate is {leg:.1f} mm long outside; below {least:.1f} mm a brake has "
            f"nothing to hold. Print this clasp, or take thinner sheet or a larger size.",
            leg,
            least,
            rule.cited,
        )
    inside = clasp.span.value_mm - 2 * radius
    channel = trade.value("metal.least_channel")
    if inside < channel.number * sheet:
        yield Finding(
            "narrow-channel",
            clasp.name,
            f"{clasp.name}: {max(inside, 0.0):.1f} mm stay straight between the bends; below "
            f"{channel.number * sheet:g} mm the second bend finds no room. Bend round a former or print "
            "this clasp.",
            inside,
            channel.number * sheet,
            channel.cited,
        )
