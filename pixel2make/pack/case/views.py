"""The case seen from the front, from its left side in section, and from above."""

from __future__ import annotations

import math

from shapely.affinity import affine_transform, translate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.case import CaseDesign
from pixel2make.design.case.parts import inside_origin
from pixel2make.design.case.pose import cradle_lengths
from pixel2make.pack.case.page import Label, Measure, View
from pixel2make.quantity import length_digits

__all__ = ["front_view", "plan_view", "seat_view", "side_view"]

OBJECT_TINT, WOOD_TINT, ACRYLIC_TINT = "#f0e6d2", "#efe9df", "#e9f1f4"
ARC_STEPS = 24
"""Chords of a bend in the section."""

Shape = tuple[str, BaseGeometry, str | None]


def _levels(case: CaseDesign) -> tuple[float, float]:
    """Heights above the table: the lining's surface, and where the cover stands."""
    top = case["base_total_height"]
    return top + case["lining_thickness"], top - case["seat_depth"]


def _down(shape: BaseGeometry, dx: float = 0.0, dz: float = 0.0) -> BaseGeometry:
    """From z up to y down, with the table at y = 0."""
    return affine_transform(shape, (1, 0, 0, -1, dx, -dz))


def front_view(case: CaseDesign, units: str = "mm") -> View:
    """Base, cover and object from the front."""
    lining, seat = _levels(case)
    x0, _ = inside_origin(case)
    wide, total = case["base_width"], case["base_total_height"]
    sheet = case["acrylic_thickness"]
    cover = box(x0 - sheet, seat, x0 - sheet + case["cover_width"], seat + case["cover_height"])
    room_x, _, room_z = case.pose.size_mm
    left = x0 + case["clearance"]
    thing = box(left, lining, left + room_x, lining + room_z)
    shapes: list[Shape] = [
        ("visible", _down(box(0, 0, wide, total)), WOOD_TINT),
        ("detail", _down(LineString([(0, total - case["base_thickness"]), (wide, total - case["base_thickness"])])), None),
        ("visible", _down(cover.difference(box(0, 0, wide, total))), ACRYLIC_TINT),
        ("detail", _down(thing), OBJECT_TINT),
    ]
    if case.bent is None:
        for x in (x0, x0 + case["inside_width"]):
            shapes.append(("detail", _down(LineString([(x, total), (x, seat + case["cover_height"] - sheet)])), None))
    else:
        corner = seat + case["cover_height"] - sheet - case["bend_radius"]
        shapes.append(
            ("detail", _down(LineString([(x0 - sheet, corner), (x0 - sheet + case["cover_width"], corner)])), None)
        )
    if case.pose.name == "cradle":
        width = cradle_lengths(case.held)["width"]
        middle = left + room_x / 2
        lip = dict(case.pose.supports)["cradle_lip"]
        z0, z1 = lip.bounds[1], lip.bounds[3]
        shapes.append(("detail", _down(box(middle - width / 2, lining + z0, middle + width / 2, lining + z1)), WOOD_TINT))
    plate = trade.value("case.nameplate").value
    w, h = plate["width_share"] * wide, plate["height_share"] * case["base_side_height"]
    z = case["base_side_height"] / 2
    shapes.append(("visible", _down(box(wide / 2 - w / 2, z - h / 2, wide / 2 + w / 2, z + h / 2)), "#e8dcae"))
    top = seat + case["cover_height"]
    measures = (
        Measure((left, -lining), (left + room_x, -lining), False, -1),
        Measure((x0 - sheet, -top), (x0 - sheet + case["cover_width"], -top), False, -1),
        Measure((0, 0), (wide, 0), False, 1),
        Measure((0, -total), (0, 0), True, -1),
        Measure((0, -top), (0, 0), True, -1),
    )
    labels = (
        Label(f"acrylic {length_digits(sheet, units)}", (x0 - sheet + case["cover_width"] * 0.9, -top + 12)),
        Label("nameplate", (wide / 2 + w * 0.4, -z)),
    )
    return View("From the front", tuple(shapes), measures, labels)


def cover_section(case: CaseDesign) -> Polygon:
    """The cover cut from front to back: y from its inner front face, z from its foot, both up."""
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


def side_view(case: CaseDesign, units: str = "mm") -> View:
    """Section from front to back, seen from the left: the front is at the left."""
    lining, seat = _levels(case)
    _, y0 = inside_origin(case)
    deep, total, thick = case["base_depth"], case["base_total_height"], case["base_thickness"]
    sheet = case["acrylic_thickness"]
    cover = translate(cover_section(case), y0, seat)
    top = box(0, total - thick, deep, total)
    if case.taken["case_seat"] == "groove":
        for a, b in ((y0 - sheet - case["seat_gap_outside"], y0 + case["seat_gap_inside"]),):
            wide = b - a
            top = top.difference(box(a, seat, b, total + 1))
            far = y0 + case["inside_depth"] - case["seat_gap_inside"]
            top = top.difference(box(far, seat, far + wide, total + 1))
    else:
        near = y0 + case["seat_gap_inside"]
        top = top.difference(box(-1, seat, near, total + 1))
        top = top.difference(box(y0 + case["inside_depth"] - case["seat_gap_inside"], seat, deep + 1, total + 1))
    if case.light:
        rule = trade.value("case.light_trench").value
        gap = case["seat_gap_inside"] if case.taken["case_seat"] == "groove" else 0.0
        start = y0 + gap + rule["inset"]
        top = top.difference(box(start, total - rule["depth"], start + rule["width"], total + 1))
    bottom = trade.value("case.bottom_thickness").number
    body = case.pose.section
    at = (y0 + case["clearance"], lining)
    shapes: list[Shape] = [
        ("visible", _down(top), WOOD_TINT),
        ("visible", _down(box(0, 0, thick, total - thick)), WOOD_TINT),
        ("visible", _down(box(deep - thick, 0, deep, total - thick)), WOOD_TINT),
        ("visible", _down(box(thick, 0, deep - thick, bottom)), WOOD_TINT),
        ("visible", _down(cover), ACRYLIC_TINT),
        ("visible", _down(translate(body, *at)), OBJECT_TINT),
        *(
            ("visible" if name != "cradle_rib" else "detail", _down(translate(shape, *at)), WOOD_TINT)
            for name, shape in case.pose.supports
        ),
    ]
    head = lining + case.pose.size_mm[2]
    ceiling = lining + case["inside_height"]
    x0, _, x1, _ = translate(body, *at).bounds
    room = case.pose.size_mm[1]
    measures = [
        Measure((at[0], -head), (at[0] + room, -head), False, -1),
        Measure((y0, -ceiling + case["headroom"] / 2), (y0 + case["inside_depth"], -ceiling), False, -1),
        Measure((y0 - sheet, -seat), (y0 + case["inside_depth"] + sheet, -seat), False, -1),
        Measure((0, 0), (deep, 0), False, 1),
        Measure((x1, -ceiling), (x1, -head), True, 1),
        Measure((y0 + case["inside_depth"], -ceiling), (y0 + case["inside_depth"], -lining), True, 1),
        Measure((deep, -seat - case["cover_height"]), (deep, -seat), True, 1),
    ]
    labels = [Label(f"seat {length_digits(case['seat_depth'], units)} deep", (y0 - sheet / 2, -seat - 1.0))]
    if case.light:
        labels.append(Label("light trench", (start + rule["width"] / 2, -(total - rule["depth"] / 2))))
    if case.bent:
        corner = (y0 + case["bend_radius"] * 0.3 - sheet * 0.35, -(seat + case["cover_height"] - sheet - case["bend_radius"] * 0.3))
        labels.append(Label(f"R{length_digits(case['bend_radius'], units)} inside", corner))
    if case.pose.name == "cradle":
        middle = translate(body, *at).centroid
        labels.append(Label(f"{case.pose.angle_deg:g}°", (middle.x, -middle.y)))
    return View("Section from front to back", tuple(shapes), tuple(measures), tuple(labels))


def plan_view(case: CaseDesign) -> View:
    """The base's top from above, front below, with the object's room on it."""
    top = next(part for part in case.parts if part.name == "base_top")
    x0, y0 = inside_origin(case)
    purposes = {"groove": "visible", "rebate": "visible", "light_trench": "detail", "cable_hole": "detail"}
    shapes: list[Shape] = [("visible", top.outline, WOOD_TINT)]
    shapes += [(purposes[name], shape, None) for name, shape in top.marks]
    room_x, room_y, _ = case.pose.size_mm
    left, front = x0 + case["clearance"], case["base_depth"] - y0 - case["clearance"]
    shapes.append(("hidden", box(left, front - room_y, left + room_x, front), None))
    deep = case["base_depth"]
    measures = (
        Measure((0, deep), (case["base_width"], deep), False, 1),
        Measure((x0, deep - y0), (x0 + case["inside_width"], deep - y0), False, 1),
        Measure((0, 0), (0, deep), True, -1),
        Measure((x0, deep - y0 - case["inside_depth"]), (x0, deep - y0), True, -1),
    )
    return View("Base from above", tuple(shapes), measures)


def seat_view(case: CaseDesign, units: str = "mm") -> View:
    """The front edge of the base cut through, with cover, seat, trench, diffuser and lining."""
    total, thick, sheet = case["base_total_height"], case["base_thickness"], case["acrylic_thickness"]
    _, y0 = inside_origin(case)
    seat = total - case["seat_depth"]
    gap_in, gap_out = case["seat_gap_inside"], case["seat_gap_outside"]
    is_groove = case.taken["case_seat"] == "groove"
    rule = trade.value("case.light_trench").value
    start = y0 + (gap_in if is_groove else 0.0) + rule["inset"]
    end = start + rule["width"] + SHOWN_MM
    high = total + SHOWN_MM
    top = box(0, total - thick, end, total)
    top = top.difference(box(y0 - sheet - gap_out if is_groove else -1.0, seat, y0 + gap_in, total + 1))
    shapes: list[Shape] = [("visible", _down(box(y0 - sheet, seat, y0, high)), ACRYLIC_TINT)]
    lining_from = y0 + gap_in + trade.value("case.lining_play").number
    labels = [Label(f"acrylic {length_digits(sheet, units)}, measure it", (y0 - sheet / 2, -high + 4))]
    if case.light:
        top = top.difference(box(start, total - rule["depth"], start + rule["width"], total + 1))
        opal = trade.value("case.diffuser").number
        play = trade.value("case.seat_play").number / 2
        shapes += [
            ("visible", _down(box(start + play, total - opal, start + rule["width"] - play, total)), ACRYLIC_TINT),
            ("visible", _down(box(start + 1, total - rule["depth"], start + rule["width"] - 1, total - rule["depth"] + 1.5)), "#e8dcae"),
        ]
        labels += [
            Label("diffuser", (start + rule["width"] * 0.7, -(total - opal / 2))),
            Label("LED strip", (start + rule["width"] * 0.7, -(total - rule["depth"] + 0.7))),
        ]
        lining_from = start + rule["width"] + trade.value("case.lining_play").number
    shapes.append(("visible", _down(top), WOOD_TINT))
    shapes.append(("visible", _down(box(0, total - thick - SHOWN_MM / 2, thick, total - thick)), WOOD_TINT))
    if case["lining_thickness"]:
        shapes.append(("visible", _down(box(lining_from, total, end, total + case["lining_thickness"])), "#d8c7d6"))
        labels.append(Label("lining", (end - 4, -(total + case["lining_thickness"] / 2))))
    measures = [
        Measure((0, -(total - thick)), (0, -total), True, -1),
        Measure((end, -seat), (end, -total), True, 1),
        Measure((y0 - sheet - (gap_out if is_groove else 0.0), -high), (y0 + gap_in, -high), False, -1),
        Measure((0, -(total - thick)), (y0 - sheet, -seat), False, 1),
    ]
    if case.light:
        measures += [
            Measure((y0 + gap_in, -total), (start, -total), False, 1),
            Measure((start, -total), (start + rule["width"], -total), False, 1),
            Measure((end, -(total - rule["depth"])), (end, -total), True, 1),
        ]
    return View("Seat of the cover", tuple(shapes), tuple(measures), tuple(labels))


SHOWN_MM = 24.0
"""How much of the wood and the cover is shown beyond the seat."""
