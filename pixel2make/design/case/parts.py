"""Pieces of the case with their outlines, in the order in which they are made."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TypeAlias

from shapely.affinity import scale, translate
from shapely.geometry import MultiPolygon, Point, Polygon, box
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.case.joints import corner_joint
from pixel2make.design.case.lengths import Sized
from pixel2make.design.case.model import CaseDesign
from pixel2make.design.case.movement import SOLID_WOODS
from pixel2make.design.case.pose import cradle_lengths
from pixel2make.design.case.stock import ACRYLIC, panel_sizes
from pixel2make.design.case.trench import trench_boxes
from pixel2make.design.model import Part

__all__ = ["ACRYLIC", "TEST_STRIP", "case_parts", "inside_origin"]

TEST_STRIP = "test_strip"
"""Name of the piece that is bent first; it is cut with the cover and is no part of the case."""
_ARC_SEGMENTS = 24
"""Chords of a quarter circle: their sagitta is below 0.01 mm for radii up to 18 mm."""

Outline: TypeAlias = Polygon | MultiPolygon


def case_parts(sized: Sized) -> tuple[Part, ...]:
    """Cover, base, cradle, lining, diffuser, nameplate."""
    return (
        *_cover(sized),
        _top(sized),
        *_sides(sized),
        *_inside_base(sized),
        *_cradle(sized),
        *_lining(sized),
        *_nameplate(sized),
    )


def inside_origin(sized: Sized | CaseDesign) -> tuple[float, float]:
    """Where the clear inside begins on the base's top, from its left and front edges."""
    inset = trade.value("case.base_margin").number + sized["acrylic_thickness"]
    if sized.taken["case_seat"] == "groove":
        inset += sized["seat_gap_outside"]
    return inset, inset


def _cover(sized: Sized) -> Iterator[Part]:
    sheet, bent = sized["acrylic_thickness"], sized.bent
    outside = {name: sized[f"cover_{name}"] for name in ("width", "depth", "height")}
    panels = panel_sizes(outside, sheet, bent)
    if bent is None:
        for name, (across, up) in panels.items():
            yield Part(name, ACRYLIC, 2 if name == "cover_side" else 1, sheet, box(0, 0, across, up))
        return
    trim = trade.value("acrylic.trim").number
    flat = box(0, 0, bent.width_mm, bent.developed_mm + 2 * trim)
    marks: list[tuple[str, Outline]] = []
    for bend in bent.bends:
        middle, half = trim + bend.line_mm, bend.band_mm / 2
        marks.append(("heated_band", box(0, middle - half, bent.width_mm, middle + half)))
    for end in (0.0, trim + bent.developed_mm):
        marks.append(("trim", box(0, end, bent.width_mm, end + trim)))
    yield Part("cover_bent", ACRYLIC, 1, sheet, flat, marks=tuple(marks))
    long, wide = trade.value("acrylic.test_strip").numbers
    half = bent.bends[0].band_mm / 2
    band = ("heated_band", box(long / 2 - half, 0, long / 2 + half, wide))
    yield Part(TEST_STRIP, ACRYLIC, 1, sheet, box(0, 0, long, wide), marks=(band,))
    across, up = panels["cover_end"]
    gap = trade.value("acrylic.cement_gap").number
    yield Part("cover_end", ACRYLIC, 2, sheet, _round_above(across, up, bent.radius_mm - gap))


def _round_above(width: float, height: float, radius: float) -> Polygon:
    """An upright panel whose two upper corners are round; y down."""
    body = unary_union([box(0, radius, width, height), box(radius, 0, width - radius, height)])
    arcs = [Point(x, radius).buffer(radius, quad_segs=_ARC_SEGMENTS) for x in (radius, width - radius)]
    joined = unary_union([body, *arcs])
    assert isinstance(joined, Polygon)
    return joined


def _on_top(sized: Sized, shape: Outline) -> Outline:
    """From the case's x and y to the drawing of the base's top, front edge below."""
    x, y = inside_origin(sized)
    return translate(scale(shape, 1.0, -1.0, origin=(0, 0)), x, sized["base_depth"] - y)


def plateau(sized: Sized) -> Polygon:
    """The part of the base's top inside the cover, in the case's x and y."""
    gap = sized["seat_gap_inside"]
    return box(gap, gap, sized["inside_width"] - gap, sized["inside_depth"] - gap)


def _top(sized: Sized) -> Part:
    outline = box(0, 0, sized["base_width"], sized["base_depth"])
    inner = _on_top(sized, plateau(sized))
    marks: list[tuple[str, Outline]] = []
    if sized.taken["case_seat"] == "groove":
        sheet, gap = sized["acrylic_thickness"], sized["seat_gap_outside"]
        reach = sheet + gap
        outer = box(-reach, -reach, sized["inside_width"] + reach, sized["inside_depth"] + reach)
        marks.append(("groove", _on_top(sized, outer).difference(inner)))
    else:
        marks.append(("rebate", outline.difference(inner)))
    trenches = trench_boxes(sized)
    if trenches:
        marks.append(("light_trench", _on_top(sized, unary_union(list(trenches.values())))))
        hole = trade.value("case.cable_hole").number / 2
        marks += [
            ("cable_hole", _on_top(sized, Point(x, y).buffer(hole, quad_segs=16)))
            for x, y in _cable_holes(sized)
        ]
    return Part(
        "base_top",
        str(sized.taken["case_wood"]),
        1,
        sized["base_thickness"],
        outline,
        "width" if sized.taken["case_wood"] in SOLID_WOODS else None,
        marks=tuple(marks),
    )


def _cable_holes(sized: Sized) -> Iterator[tuple[float, float]]:
    """Where strip ends come down through the trench's floor: before its first and after its last run."""
    boxes = list(trench_boxes(sized).items())
    half = trade.value("case.light_trench").value["width"] / 2
    for (name, room), is_first in ((boxes[0], True), (boxes[-1], False)):
        x0, y0, x1, y1 = room.bounds
        if name == "front":
            yield (x0 + half if is_first else x1 - half), (y0 + y1) / 2
        else:
            yield (x0 + x1) / 2, y1 - half


def _sides(sized: Sized) -> Iterator[Part]:
    wood, thick, height = str(sized.taken["case_wood"]), sized["base_thickness"], sized["base_side_height"]
    joint = str(sized.taken["case_joint"])
    for name, length, is_face in (
        ("base_front", sized["base_width"], True),
        ("base_back", sized["base_width"], True),
        ("base_side", sized["base_side_length"], False),
    ):
        outline, marks = corner_joint(joint, length, height, thick, is_face=is_face)
        if name == "base_back" and sized.taken["led_run"] != "none":
            hole = Point(length / 2, height / 2).buffer(
                trade.value("case.cable_hole").number / 2, quad_segs=16
            )
            outline = outline.difference(hole)
        grain = "width" if wood in SOLID_WOODS else None
        yield Part(name, wood, 1 if is_face else 2, thick, outline, grain, marks=marks)


def _inside_base(sized: Sized) -> Iterator[Part]:
    thick, wood = sized["base_thickness"], str(sized.taken["case_wood"])
    play = trade.value("case.lining_play").number
    width, depth = (sized[f"base_{side}"] - 2 * thick - play for side in ("width", "depth"))
    vent = trade.value("case.vent").value
    count = int(vent["count"])
    holes = [
        Point(width * (i + 1) / (count + 1), y).buffer(vent["diameter"] / 2, quad_segs=16)
        for i in range(count)
        for y in (depth / 4, depth * 3 / 4)
    ]
    bottom = trade.value("case.bottom_thickness").number
    panel = "birch_plywood" if wood in SOLID_WOODS else wood
    yield Part("base_bottom", panel, 1, bottom, box(0, 0, width, depth).difference(unary_union(holes)))
    block = trade.value("case.corner_block").number
    high = sized["base_side_height"] - bottom
    yield Part("corner_block", wood, 4, block, box(0, 0, block, high), is_cut=False)
    if sized.taken["led_run"] != "none":
        opal = trade.value("case.diffuser").number
        for name, room in trench_boxes(sized).items():
            x0, y0, x1, y1 = room.bounds
            long, short = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
            gap = trade.value("case.seat_play").number
            yield Part(f"diffuser_{name}", "opal_acrylic", 1, opal, box(0, 0, long - gap, short - gap))


def _cradle(sized: Sized) -> Iterator[Part]:
    if sized.pose.name != "cradle":
        return
    sizes = cradle_lengths(sized.held)
    panel = "birch_plywood" if sized.taken["case_wood"] in SOLID_WOODS else str(sized.taken["case_wood"])
    for name, length in (("back", sizes["back"]), ("ledge", sizes["ledge"]), ("lip", sizes["lip"])):
        yield Part(f"cradle_{name}", panel, 1, sizes["thickness"], box(0, 0, sizes["width"], length))
    rib = dict(sized.pose.supports)["cradle_rib"]
    turned = scale(rib, 1.0, -1.0, origin=(0, 0))
    x, y, _, _ = turned.bounds
    yield Part("cradle_rib", panel, 2, sizes["thickness"], translate(turned, -x, -y))


def _lining(sized: Sized) -> Iterator[Part]:
    lining = str(sized.taken["case_lining"])
    if lining == "none":
        return
    play = trade.value("case.lining_play").number
    shape: Outline = plateau(sized).buffer(-play, join_style="mitre")
    trenches = trench_boxes(sized)
    if trenches:
        wide = unary_union(list(trenches.values())).buffer(play, join_style="mitre")
        shape = shape.difference(wide)
    placed = _on_top(sized, shape)
    x, y, _, _ = placed.bounds
    yield Part("lining", lining, 1, sized["lining_thickness"], translate(placed, -x, -y))


def _nameplate(sized: Sized) -> Iterator[Part]:
    rule = trade.value("case.nameplate").value
    width = rule["width_share"] * sized["base_width"]
    height = rule["height_share"] * sized["base_side_height"]
    holes = [
        Point(x, height / 2).buffer(rule["hole"] / 2, quad_segs=16) for x in (height / 4, width - height / 4)
    ]
    yield Part(
        "nameplate", "brass", 1, rule["thickness"], box(0, 0, width, height).difference(unary_union(holes))
    )
