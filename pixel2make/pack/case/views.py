"""The case seen from the front and from above."""

from __future__ import annotations

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.case import CaseDesign
from pixel2make.design.case.parts import inside_origin
from pixel2make.design.case.pose import cradle_lengths
from pixel2make.pack.case.page import Label, Measure, View
from pixel2make.quantity import length_digits

__all__ = ["front_view", "plan_view"]

OBJECT_TINT, WOOD_TINT, ACRYLIC_TINT = "#f0e6d2", "#efe9df", "#e9f1f4"
BRASS_TINT, LINING_TINT = "#e8dcae", "#d8c7d6"

Shape = tuple[str, BaseGeometry, str | None]


def down(shape: BaseGeometry) -> BaseGeometry:
    """From heights above the table to a page whose y runs down."""
    return affine_transform(shape, (1, 0, 0, -1, 0, 0))


def upright(x0: float, z0: float, x1: float, z1: float) -> Polygon:
    """A rectangle between two heights above the table."""
    return box(x0, -z1, x1, -z0)


def level(x0: float, x1: float, z: float) -> LineString:
    """A line at one height."""
    return LineString([(x0, -z), (x1, -z)])


def levels(case: CaseDesign) -> tuple[float, float]:
    """Heights above the table: the lining's surface, and where the cover stands."""
    top = case["base_total_height"]
    return top + case["lining_thickness"], top - case["seat_depth"]


def front_view(case: CaseDesign, units: str = "mm") -> View:
    """Base, cover and object from the front."""
    lining, seat = levels(case)
    x0, _ = inside_origin(case)
    wide, total, thick = case["base_width"], case["base_total_height"], case["base_thickness"]
    sheet, top = case["acrylic_thickness"], seat + case["cover_height"]
    room_x, _, room_z = case.pose.size_mm
    left, cover = x0 + case["clearance"], x0 - sheet
    shapes: list[Shape] = [
        ("visible", upright(0, 0, wide, total), WOOD_TINT),
        ("detail", level(0, wide, total - thick), None),
        ("visible", upright(cover, total, cover + case["cover_width"], top), ACRYLIC_TINT),
        ("detail", upright(left, lining, left + room_x, lining + room_z), OBJECT_TINT),
        *_cover_lines(case, x0, total, top),
    ]
    if case.pose.name == "cradle":
        width, middle = cradle_lengths(case.held)["width"], left + room_x / 2
        lip = dict(case.pose.supports)["cradle_lip"]
        ends = (middle - width / 2, lining + lip.bounds[1], middle + width / 2, lining + lip.bounds[3])
        shapes.append(("detail", upright(*ends), WOOD_TINT))
    plate = trade.value("case.nameplate").value
    w, h = plate["width_share"] * wide / 2, plate["height_share"] * case["base_side_height"] / 2
    z = case["base_side_height"] / 2
    shapes.append(("visible", upright(wide / 2 - w, z - h, wide / 2 + w, z + h), BRASS_TINT))
    measures = (
        Measure((left, -lining - room_z), (left + room_x, -lining - room_z), False, -1),
        Measure((cover, -top), (cover + case["cover_width"], -top), False, -1),
        Measure((0, 0), (wide, 0), False, 1),
        Measure((0, -total), (0, 0), True, -1),
        Measure((0, -top), (0, 0), True, -1),
    )
    labels = (
        Label(f"acrylic {length_digits(sheet, units)}", (cover + case["cover_width"] - 6, -top + 12)),
        Label("nameplate", (wide / 2 + w * 0.8, -z)),
    )
    return View("From the front", tuple(shapes), measures, labels)


def _cover_lines(case: CaseDesign, x0: float, total: float, top: float) -> list[Shape]:
    """Where the bend begins, or the joints of flat panels."""
    sheet = case["acrylic_thickness"]
    if case.bent:
        corner = top - sheet - case["bend_radius"]
        return [("detail", level(x0 - sheet, x0 - sheet + case["cover_width"], corner), None)]
    return [("detail", level(x0 - sheet, x0 - sheet + case["cover_width"], top - sheet), None)]


def plan_view(case: CaseDesign) -> View:
    """The base's top from above, front below, with the object's room on it."""
    top = next(part for part in case.parts if part.name == "base_top")
    x0, y0 = inside_origin(case)
    purposes = {"groove": "visible", "rebate": "visible"}
    shapes: list[Shape] = [("visible", top.outline, WOOD_TINT)]
    shapes += [(purposes.get(name, "detail"), shape, None) for name, shape in top.marks]
    room_x, room_y, _ = case.pose.size_mm
    deep = case["base_depth"]
    left, front = x0 + case["clearance"], deep - y0 - case["clearance"]
    shapes.append(("hidden", box(left, front - room_y, left + room_x, front), None))
    measures = (
        Measure((0, deep), (case["base_width"], deep), False, 1),
        Measure((x0, deep - y0), (x0 + case["inside_width"], deep - y0), False, 1),
        Measure((0, 0), (0, deep), True, -1),
        Measure((x0, deep - y0 - case["inside_depth"]), (x0, deep - y0), True, -1),
    )
    return View("Base from above, front below", tuple(shapes), measures)
