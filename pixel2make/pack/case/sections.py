"""The case cut through from front to back, and the seat of its cover on a larger scale."""

from __future__ import annotations

import math

from shapely.affinity import translate
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.case import CaseDesign
from pixel2make.design.case.parts import inside_origin
from pixel2make.pack.case.page import Label, Measure, View
from pixel2make.pack.case.views import (
    ACRYLIC_TINT,
    BRASS_TINT,
    LINING_TINT,
    OBJECT_TINT,
    WOOD_TINT,
    Shape,
    down,
    levels,
    upright,
)
from pixel2make.quantity import length_digits

__all__ = ["cover_section", "seat_view", "side_view"]

ARC_STEPS = 24
"""Chords of a bend in the section: their sagitta is far below a line's width."""
SHOWN_MM = 24.0
"""How much of the wood and the cover is shown beyond the seat."""
STRIP_MM = (1.0, 1.5)
"""Where the strip lies in its trench as drawn, and how high it is."""


def cover_section(case: CaseDesign) -> Polygon:
    """The cover cut from front to back: y from its inner front face, z up from its foot."""
    deep, high, sheet = case["inside_depth"], case["cover_height"], case["acrylic_thickness"]
    radius = case["bend_radius"] if case.bent else 0.0

    def shell(out: float) -> Polygon:
        r, top = radius + out if radius else 0.0, high - sheet + out
        points = [(-out, 0.0)]
        for cy, start in ((-out + r, 180.0), (deep + out - r, 90.0)):
            for i in range(ARC_STEPS + 1):
                turn = math.radians(start - 90.0 * i / ARC_STEPS)
                points.append((cy + r * math.cos(turn), top - r + r * math.sin(turn)))
        return Polygon([*points, (deep + out, 0.0)])

    return shell(sheet).difference(shell(0.0))


def _top_cut(case: CaseDesign, end: float) -> BaseGeometry:
    """The base's top in section from the front edge to `end`, with seat and trench, z up."""
    total, thick, sheet = case["base_total_height"], case["base_thickness"], case["acrylic_thickness"]
    _, y0 = inside_origin(case)
    _, seat = levels(case)
    inner = y0 + case["seat_gap_inside"]
    is_groove = case.taken["case_seat"] == "groove"
    outer = y0 - sheet - case["seat_gap_outside"] if is_groove else -1.0
    top = box(0, total - thick, end, total).difference(box(outer, seat, inner, total + 1))
    far = y0 + case["inside_depth"]
    back = (far - case["seat_gap_inside"], far + sheet + case["seat_gap_outside"] if is_groove else end + 1)
    top = top.difference(box(back[0], seat, back[1], total + 1))
    if case.light:
        start, stop = _trench(case)
        depth = trade.value("case.light_trench").value["depth"]
        top = top.difference(box(start, total - depth, stop, total + 1))
    return top


def _trench(case: CaseDesign) -> tuple[float, float]:
    """Front and back edge of the trench along the front, from the base's front edge."""
    rule = trade.value("case.light_trench").value
    gap = case["seat_gap_inside"]
    start = inside_origin(case)[1] + gap + rule["inset"]
    return start, start + rule["width"]


def side_view(case: CaseDesign, units: str = "mm") -> View:
    """Section from front to back, seen from the left: the front is at the left."""
    lining, seat = levels(case)
    _, y0 = inside_origin(case)
    deep, total, thick = case["base_depth"], case["base_total_height"], case["base_thickness"]
    sheet, far = case["acrylic_thickness"], y0 + case["inside_depth"]
    bottom = trade.value("case.bottom_thickness").number
    at = (y0 + case["clearance"], lining)
    shapes: list[Shape] = [
        ("visible", down(_top_cut(case, deep)), WOOD_TINT),
        ("visible", upright(0, 0, thick, total - thick), WOOD_TINT),
        ("visible", upright(deep - thick, 0, deep, total - thick), WOOD_TINT),
        ("visible", upright(thick, 0, deep - thick, bottom), WOOD_TINT),
        ("visible", down(translate(cover_section(case), y0, seat)), ACRYLIC_TINT),
        ("visible", down(translate(case.pose.section, *at)), OBJECT_TINT),
        *(
            ("detail" if name == "cradle_rib" else "visible", down(translate(shape, *at)), WOOD_TINT)
            for name, shape in case.pose.supports
        ),
    ]
    _, room, high = case.pose.size_mm
    head, ceiling, top = lining + high, lining + case["inside_height"], seat + case["cover_height"]
    measures = (
        Measure((at[0], -head), (at[0] + room, -head), False, -1),
        Measure((y0, -ceiling), (far, -ceiling), False, -1),
        Measure((y0 - sheet, -seat), (far + sheet, -seat), False, 1),
        Measure((0, 0), (deep, 0), False, 1),
        Measure((at[0] + room, -ceiling), (at[0] + room, -head), True, 1),
        Measure((far + sheet, -top), (far + sheet, -seat), True, 1),
    )
    labels = [Label(f"seat {length_digits(case['seat_depth'], units)} deep", (y0 - sheet / 2, -seat - 1))]
    if case.light:
        start, stop = _trench(case)
        depth = trade.value("case.light_trench").value["depth"]
        labels.append(Label("light trench", ((start + stop) / 2, -total + depth / 2)))
    if case.bent:
        # the middle of the sheet in the middle of the front bend
        radius = case["bend_radius"]
        out = radius - (radius + sheet / 2) * math.sqrt(0.5)
        labels.append(
            Label(
                f"R{length_digits(radius, units)} inside", (far - out, -(top - sheet - radius) - radius + out)
            )
        )
    if case.pose.name == "cradle":
        middle = translate(case.pose.section, *at).centroid
        labels.append(Label(f"{case.pose.angle_deg:g}°", (middle.x, -middle.y)))
    return View("Section from front to back", tuple(shapes), measures, tuple(labels))


def seat_view(case: CaseDesign, units: str = "mm") -> View:
    """The front edge of the base cut through, with cover, seat, trench, diffuser and lining."""
    total, thick, sheet = case["base_total_height"], case["base_thickness"], case["acrylic_thickness"]
    _, y0 = inside_origin(case)
    _, seat = levels(case)
    gap_in, gap_out = case["seat_gap_inside"], case["seat_gap_outside"]
    is_groove = case.taken["case_seat"] == "groove"
    start, stop = _trench(case)
    end, high = stop + SHOWN_MM, total + SHOWN_MM
    shapes: list[Shape] = [
        ("visible", upright(y0 - sheet, seat, y0, high), ACRYLIC_TINT),
        ("visible", down(_top_cut(case, end).intersection(box(0, 0, end, total))), WOOD_TINT),
        ("visible", upright(0, total - thick - SHOWN_MM / 2, thick, total - thick), WOOD_TINT),
    ]
    labels = [Label(f"acrylic {length_digits(sheet, units)}, measure it", (y0 - sheet / 2, -high + 10))]
    lined_from = y0 + gap_in
    groove_from = y0 - sheet - gap_out if is_groove else y0 - sheet
    measures = [
        Measure((0, -(total - thick)), (0, -total), True, -1),
        Measure((0, -total), (groove_from, -total), False, -1),
        Measure((groove_from, -total), (y0 + gap_in, -total), False, -1),
        Measure((end, -seat), (end, -total), True, 1),
    ]
    if case.light:
        opal, depth = trade.value("case.diffuser").number, trade.value("case.light_trench").value["depth"]
        play, (rise, strip) = trade.value("case.seat_play").number / 2, STRIP_MM
        floor, lined_from = total - depth, stop
        shapes += [
            ("visible", upright(start + play, total - opal, stop - play, total), ACRYLIC_TINT),
            ("visible", upright(start + rise, floor, stop - rise, floor + strip), BRASS_TINT),
        ]
        labels += [
            Label("diffuser", (stop - 4, -(total - opal / 2))),
            Label("LED strip", (stop - 4, -(floor + strip / 2))),
        ]
        measures += [
            Measure((start, -total), (stop, -total), False, -1),
            Measure((y0 + gap_in, -total), (start, -total), False, -1),
            Measure((end, -floor), (end, -total), True, 1),
        ]
    if case["lining_thickness"]:
        lined_from += trade.value("case.lining_play").number
        shapes.append(("visible", upright(lined_from, total, end, levels(case)[0]), LINING_TINT))
        labels.append(Label("lining", (end - 4, -(total + case["lining_thickness"] / 2))))
    return View("Front edge of the base, cut through", tuple(shapes), tuple(measures), tuple(labels))
