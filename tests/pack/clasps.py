"""Clasps that tests build by hand: three forms, two ways, from a palm book to one a metre high."""

from shapely.geometry import Polygon, box

from pixel2make.geometry.plate import rooted_plate
from pixel2make.kinds.book.metalwork.folded_slide import folded_slide
from pixel2make.kinds.book.metalwork.hooked_arm import hooked_arm
from pixel2make.kinds.book.metalwork.pin_strap import pin_strap
from pixel2make.kinds.book.metalwork.place import Gauge, Site

FORMS = {"hooked_arm": hooked_arm, "pin_strap": pin_strap, "folded_slide": folded_slide}
OUTLINES = {
    "rectangle": box(0, 0, 40, 24),
    "l_shape": Polygon([(0, 0), (45, 0), (45, 12), (36, 12), (36, 26), (0, 26)]),
    "hammer": Polygon([(0, 8), (30, 8), (30, 0), (48, 0), (48, 30), (30, 30), (30, 22), (0, 22)]),
    "corners_that_touch": Polygon(
        [(0, 0), (30, 0), (30, 20), (50, 20), (50, 40), (30, 40), (30, 20), (0, 20)]
    ),
    "window": box(0, 0, 60, 24).difference(box(45, 8, 52, 16)),
}


def gauge_of(way: str, sheet: float | None = None) -> Gauge:
    if way == "sheet":
        t = sheet or 1.0
        return Gauge("sheet", t, t, 0.4074, 0.2, 0.15, 0.15, max(1.2, t), max(2.0, 2 * t), "brass", "#d29428")
    t = sheet or 2.0
    return Gauge("print", t, t / 2, 0.5, 0.4, 0.5, 0.4, max(1.6, t), max(3.0, 1.5 * t), "fdm", "#d29428")


def site_of(plate: Polygon, *, height: float = 300.0, thickness: float = 40.0) -> Site:
    width = 0.72 * height
    return Site(
        "clasp-1",
        width,
        height / 2,
        0.0,
        thickness,
        0.04 * width,
        2.5,
        1.0,
        3.5,
        height,
        rooted_plate(plate, wall_mm=1.0, least_depth_mm=2.0),
    )
