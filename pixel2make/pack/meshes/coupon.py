"""A fit coupon to print first: a comb whose slots are wider than its gauge by steps."""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.geometry.folded import Panel
from pixel2make.geometry.solids import Solid, sheet_solid

__all__ = ["GAUGE_MM", "coupon_pieces"]

GAUGE_MM = 4.0
"""Thickness of the gauge: as thick as two walls."""
_THICK_MM = 5.0
_SLOT_MM = 12.0
_PITCH_MM = 10.0
_BACK_MM = 8.0
_NOTCH_MM = 1.2


def coupon_pieces() -> Iterator[tuple[str, Solid]]:
    """The comb and its gauge, lying flat.

    Slot number n is wider than the gauge by the n-th step, and n notches stand on the comb's back beside
    it. The step in whose slot the gauge slides just freely is the answer to the choice print_clearance.
    """
    steps = trade.value("printing.coupon_steps").numbers
    yield "fit-coupon", sheet_solid(Panel("comb", _comb(steps)), _THICK_MM)
    yield "fit-gauge", sheet_solid(Panel("gauge", _gauge()), _THICK_MM)


def _comb(steps: tuple[float, ...]) -> Polygon:
    length = _PITCH_MM * (len(steps) + 1)
    shape = box(0, 0, length, _BACK_MM + _SLOT_MM)
    for number, step in enumerate(steps, 1):
        middle, half = _PITCH_MM * number, (GAUGE_MM + step) / 2
        shape = shape.difference(box(middle - half, _BACK_MM, middle + half, _BACK_MM + _SLOT_MM + 1))
        first = middle - (number - 1) * _NOTCH_MM / 2
        for notch in range(number):
            at = first + notch * _NOTCH_MM
            half_notch = 0.4 * _NOTCH_MM
            shape = shape.difference(
                Polygon([(at - half_notch, -0.1), (at + half_notch, -0.1), (at, 1.5 * _NOTCH_MM)])
            )
    return shape


def _gauge() -> Polygon:
    """A tongue with a handle; the tongue stands out by twice the depth of a slot."""
    tongue = box(0, 0, GAUGE_MM, 2 * _SLOT_MM)
    handle = box(-4.0, 2 * _SLOT_MM - 0.1, GAUGE_MM + 4.0, 2 * _SLOT_MM + 8.0)
    return tongue.union(handle)
