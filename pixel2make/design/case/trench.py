"""The trench for the light strip in the base's top, seen from above in the case's own x and y."""

from __future__ import annotations

from collections.abc import Mapping

from shapely.geometry import Polygon, box

from pixel2make import trade
from pixel2make.design.case.lengths import Sized
from pixel2make.design.case.model import CaseDesign
from pixel2make.design.light.model import LightPlan

__all__ = ["trench_boxes", "trench_centres", "trench_rooms"]


def trench_boxes(sized: Sized | CaseDesign) -> Mapping[str, Polygon]:
    """Boxes of the trench by side, y away from the viewer; empty without a light."""
    run = sized.taken["led_run"]
    if run == "none":
        return {}
    rule = trade.value("case.light_trench").value
    gap = sized["seat_gap_inside"]
    near, far = gap + rule["inset"], gap + rule["inset"] + rule["width"]
    wide, deep = sized["inside_width"], sized["inside_depth"]
    front = box(near, near, wide - near, far)
    if run == "front":
        return {"front": front}
    return {
        "left": box(near, far, far, deep - near),
        "front": front,
        "right": box(wide - far, far, wide - near, deep - near),
    }


def trench_rooms(sized: Sized) -> tuple[tuple[str, float], ...]:
    """Name and length of each straight run, in the order in which the data passes them."""
    rooms = []
    for name, room in trench_boxes(sized).items():
        x0, y0, x1, y1 = room.bounds
        rooms.append((name, x1 - x0 if name == "front" else y1 - y0))
    return tuple(rooms)


def trench_centres(sized: Sized | CaseDesign, light: LightPlan) -> tuple[tuple[float, float, float], ...]:
    """Where each LED lies, in the order of the data, its run in the middle of its trench.

    The left run comes from the back, the front run from the left, the right run goes to the back.
    """
    pitch, boxes = light.pitch_mm, trench_boxes(sized)
    places = []
    for run in light.runs:
        x0, y0, x1, y1 = boxes[run.name].bounds
        along = (x0 + x1) / 2 if run.name == "front" else (y0 + y1) / 2
        offsets = [(i - (run.leds - 1) / 2) * pitch for i in range(run.leds)]
        for offset in offsets:
            if run.name == "front":
                places.append((along + offset, (y0 + y1) / 2, 0.0))
            else:
                way = -1.0 if run.name == "left" else 1.0
                places.append(((x0 + x1) / 2, along + way * offset, 0.0))
    return tuple(places)
