"""All dimensions of the case, from the object outwards."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from pixel2make import trade
from pixel2make.design.case.bending import bent_cover, heated_band
from pixel2make.design.case.model import Bent, Held, Pose
from pixel2make.design.case.movement import SOLID_WOODS, Movement, acrylic_movement, wood_movement
from pixel2make.design.case.pose import pose_of
from pixel2make.design.case.stock import panel_sizes, why_not_bent, why_not_panels
from pixel2make.design.cutting import cutting_of
from pixel2make.design.span import Span
from pixel2make.errors import DesignError
from pixel2make.quantity import Dimension, format_mm

__all__ = ["Sized", "size_case"]

_PRACTICE = "common practice"
_ARITHMETIC = "arithmetic"


@dataclass(frozen=True, eq=False)
class Sized:
    """A case before its parts are drawn.

    Attributes
    ----------
    held : Held
        With the sizes that the maker has measured.
    taken : mapping
    pose : Pose
    dimensions : tuple of Dimension
    bent : Bent or None
    why_panels : str
        Why an automatic cover is made of panels; "" where it is not.
    """

    held: Held
    taken: Mapping[str, str | float]
    pose: Pose
    dimensions: tuple[Dimension, ...]
    bent: Bent | None
    why_panels: str = ""

    def __getitem__(self, name: str) -> float:
        """Value in mm of the dimension of that name; KeyError where there is none."""
        for dimension in self.dimensions:
            if dimension.name == name:
                return dimension.value_mm
        raise KeyError(name)


def size_case(held: Held, taken: Mapping[str, str | float]) -> Sized:
    """Dimensions of a case for an object.

    Parameters
    ----------
    held : Held
    taken : mapping of str to (str or float)
        An answer to every question of `case_keys`; a float is a length in mm or a number.

    Raises
    ------
    DesignError
        Where the cover cannot be made so: with the numbers and the nearest thing that works.
    """
    held = _measured(held, taken)
    inside = list(_inside(held, taken))
    value = {d.name: d.value_mm for d in inside}
    sheet = _sheet(taken, max(value["inside_width"], value["inside_height"]))
    radius = _radius(taken, sheet.value_mm, value)
    seat_depth = trade.value("case.seat_depth")
    lining = float(trade.value("case.lining").value[taken["case_lining"]])
    outside = {
        "width": value["inside_width"] + 2 * sheet.value_mm,
        "depth": value["inside_depth"] + 2 * sheet.value_mm,
        "height": value["inside_height"] + lining + seat_depth.number + sheet.value_mm,
    }
    bent, why = _cover(taken, outside, sheet.value_mm, radius.value_mm)
    dimensions = (
        *_object(held),
        *inside,
        sheet,
        _rule("lining_thickness", lining, f"{taken['case_lining']} with its glue"),
        _rule("seat_depth", seat_depth.number, f"of the {taken['case_seat']}", seat_depth.cited),
        _rule("cover_width", outside["width"], "inside and two sheets", _ARITHMETIC),
        _rule("cover_depth", outside["depth"], "inside and two sheets", _ARITHMETIC),
        _rule("cover_height", outside["height"], "inside, lining, seat and one sheet", _ARITHMETIC),
        *(_bends(bent, radius, taken) if bent else ()),
        *_panels(outside, sheet.value_mm, bent),
        *_seat(taken, outside, sheet.value_mm),
    )
    sized = Sized(held, taken, pose_of(held, str(taken["case_pose"]), _angle(taken)), dimensions, bent, why)
    return replace(sized, dimensions=(*dimensions, *_base(sized)))


def _rule(name: str, mm: float, rule: str, source: str = _PRACTICE, origin: str = "rule") -> Dimension:
    return Span.exact(mm).dimension(name, origin, rule, source)


def _measured(held: Held, taken: Mapping[str, str | float]) -> Held:
    """The object with those of its sizes that the maker has measured on it."""
    answers = {edge: taken[f"measured_{edge}"] for edge in ("width", "height", "thickness")}
    return held.with_sizes(
        {
            edge: _rule(edge, answer, "measured by the maker", "", "maker")
            for edge, answer in answers.items()
            if isinstance(answer, float)
        }
    )


def _object(held: Held) -> Iterator[Dimension]:
    for edge in ("width", "height", "thickness"):
        whole: Dimension = getattr(held, edge)
        yield replace(whole, name=f"object_{edge}")


def _angle(taken: Mapping[str, str | float]) -> float:
    answer = taken["case_angle"]
    return answer if isinstance(answer, float) else trade.value("case.cradle_angle").number


def _inside(held: Held, taken: Mapping[str, str | float]) -> Iterator[Dimension]:
    """Room that the object takes, clearance, and the clear inside; intervals from the object's own."""
    pose = str(taken["case_pose"])
    sizes = [
        pose_of(_at(held, end), pose, _angle(taken)).size_mm for end in ("value_mm", "low_mm", "high_mm")
    ]
    side = _chosen("case_clearance", "clearance", taken)
    above = _chosen("case_headroom", "headroom", taken)
    least = trade.value("case.least_clearance").number
    for what, dimension in (("case_clearance", side), ("case_headroom", above)):
        if dimension.value_mm < least:
            raise DesignError(
                f"choice {what}: {format_mm(dimension.value_mm)} is less than a hand can lower a cover by; "
                f"choose at least {format_mm(least)}"
            )
    yield side
    yield above
    words = {"cradle": "on its cradle", "standing": "standing", "lying": "lying"}[pose]
    for axis, name in enumerate(("width", "depth", "height")):
        span = Span(*(size[axis] for size in sizes))
        yield span.dimension(
            f"object_room_{name}", "rule", f"the object with its fittings, {words}", _ARITHMETIC
        )
        more = above.value_mm if name == "height" else 2 * side.value_mm
        rule = "room and headroom" if name == "height" else "room and clearance on both sides"
        yield (span + more).dimension(f"inside_{name}", "rule", rule, _ARITHMETIC)


def _at(held: Held, end: str) -> Held:
    sizes = {
        edge: _rule(edge, getattr(getattr(held, edge), end), "") for edge in ("width", "height", "thickness")
    }
    return held.with_sizes(sizes)


def _chosen(key: str, value: str, taken: Mapping[str, str | float]) -> Dimension:
    answer, usual = taken[key], trade.value(f"case.{value}")
    if isinstance(answer, float):
        return _rule(value, answer, "chosen by the maker", "", "maker")
    return _rule(value, usual.number, usual.note or value, usual.cited)


def _sheet(taken: Mapping[str, str | float], span: float) -> Dimension:
    answer = taken["acrylic_thickness"]
    if isinstance(answer, float):
        stock = trade.value("acrylic.stock_thickness").numbers
        if not stock[0] <= answer <= stock[-1]:
            raise DesignError(
                f"choice acrylic_thickness: {format_mm(answer)} is no sheet for a cover; "
                f"choose {stock[0]:g} to {stock[-1]:g} mm"
            )
        return _rule("acrylic_thickness", answer, "chosen by the maker", "", "maker")
    ruled = trade.step("acrylic.thickness_by_span", span)
    return _rule("acrylic_thickness", ruled.number, f"for a free edge of {span:.0f} mm", ruled.cited, "stock")


def _radius(taken: Mapping[str, str | float], sheet: float, inside: Mapping[str, float]) -> Dimension:
    least = trade.value("acrylic.least_inside_radius").number * sheet
    usual = trade.value("acrylic.usual_inside_radius")
    answer = taken["bend_radius"]
    if not isinstance(answer, float):
        rule = f"{usual.number:g} sheet thicknesses, {format_mm(least)} at least"
        return _rule("bend_radius", usual.number * sheet, rule, usual.cited)
    if answer < least:
        raise DesignError(
            f"choice bend_radius: {format_mm(answer)} is under the least for a sheet of {format_mm(sheet)}, "
            f"which cracks or crazes; choose {format_mm(least)} or more, or acrylic_thickness={answer:g}mm"
        )
    most = max(inside["clearance"], inside["headroom"])
    if answer > most:
        raise DesignError(
            f"choice bend_radius: a radius of {format_mm(answer)} reaches into the clearance at the upper "
            f"edges; choose {format_mm(most)} at most, or case_headroom={answer:g}mm"
        )
    return _rule("bend_radius", answer, "chosen by the maker", "", "maker")


def _cover(
    taken: Mapping[str, str | float], outside: Mapping[str, float], sheet: float, radius: float
) -> tuple[Bent | None, str]:
    """The bent cover, or None and why it is made of panels."""
    answer = taken["bend_allowance"]
    bent = bent_cover(
        depth_mm=outside["depth"],
        height_mm=outside["height"],
        width_mm=outside["width"],
        sheet_mm=sheet,
        radius_mm=radius,
        allowance_mm=answer if isinstance(answer, float) else None,
    )
    cutting = cutting_of(taken)
    reason = why_not_bent(bent, cutting)
    top = taken["case_top"]
    if top == "bent" and reason:
        raise DesignError(f"choice case_top: {reason}, or case_top=panels")
    if top == "panels" or reason:
        refused = why_not_panels(panel_sizes(outside, sheet, None), cutting)
        if refused:
            raise DesignError(f"choice stock: {refused}")
        return None, reason if top == "auto" else ""
    return bent, ""


def _bends(bent: Bent, radius: Dimension, taken: Mapping[str, str | float]) -> Iterator[Dimension]:
    yield radius
    k = trade.value("acrylic.neutral_line")
    if isinstance(taken["bend_allowance"], float):
        yield _rule("bend_allowance", bent.allowance_mm, "from the maker's test strip", "", "maker")
    else:
        rule = f"pi/2 (R + K t), K = {bent.k_factor:g}; bend the test strip first"
        yield _rule("bend_allowance", bent.allowance_mm, rule, k.cited)
    yield _rule("cover_leg", bent.leg_mm, "front and back, straight part", _ARITHMETIC)
    yield _rule("cover_top", bent.top_mm, "top, straight part", _ARITHMETIC)
    yield _rule("cover_developed_length", bent.developed_mm, "two legs, top and two bends", _ARITHMETIC)
    trim = trade.value("acrylic.trim")
    yield _rule("trim", trim.number, "more on the end of each leg, trimmed after bending", trim.cited)
    band = heated_band(bent.radius_mm, bent.sheet_mm)
    yield _rule("heated_band", band, "to soften, about each line", trade.value("acrylic.heated_band").cited)
    for name, bend in zip(("first", "second"), bent.bends, strict=True):
        rule = "middle of the bend, from the finished end of the front leg"
        yield _rule(f"{name}_heating_line", bend.line_mm, rule, _ARITHMETIC)


def _panels(outside: Mapping[str, float], sheet: float, bent: Bent | None) -> Iterator[Dimension]:
    rules = {
        "cover_end": "between the bent legs, its upper corners round",
        "cover_front": "in front of the ends",
        "cover_side": "between front and back",
        "cover_top_panel": "on the walls",
    }
    for name, (across, up) in panel_sizes(outside, sheet, bent).items():
        if name == "cover_back":
            continue
        yield _rule(f"{name}_width", across, rules[name], _ARITHMETIC)
        yield _rule(f"{name}_height", up, rules[name], _ARITHMETIC)


def _seat(
    taken: Mapping[str, str | float], outside: Mapping[str, float], sheet: float
) -> Iterator[Dimension]:
    """Play between the cover and the wood, so that neither climate closes it."""
    wood = str(taken["case_wood"])
    play = trade.value("case.seat_play").number / 2
    out, inner = play, play
    for side, is_across in (("width", False), ("depth", True)):
        plastic = acrylic_movement(outside[side])
        timber = wood_movement(wood, outside[side], is_across=is_across)
        grown, shrunk = _half(plastic, timber), _half(timber, plastic)
        out, inner = max(out, grown), max(inner, shrunk)
        note = (
            "grows and the wood shrinks" if side == "width" else "grows and the wood across its grain shrinks"
        )
        yield _rule(
            f"seat_movement_{side}", grown, f"on each side, where the acrylic {note}", _moves(wood, is_across)
        )
    what = "play, or half of what cover and base move against each other, the larger"
    yield _rule("seat_gap_outside", out, what)
    yield _rule("seat_gap_inside", inner, what)
    yield _rule(
        "seat_width",
        sheet + out + inner,
        "sheet in hand and both gaps: measure the sheet, its thickness is only nominal",
        trade.value("acrylic.thickness_tolerance").cited,
    )


def _half(one: Movement, other: Movement) -> float:
    """Half of the growth of one and the shrinkage of the other: both sides share it."""
    return (one.grow_mm + other.shrink_mm) / 2


def _moves(wood: str, is_across: bool) -> str:
    plastic = trade.value("acrylic.expansion").cited
    if wood not in SOLID_WOODS:
        return f"{plastic}; {trade.value('wood.plywood_movement').cited}"
    return f"{plastic}; {trade.value(f'wood.shrinkage.{wood}').cited}" if is_across else plastic


def _base(sized: Sized) -> Iterator[Dimension]:
    taken = sized.taken
    margin = trade.value("case.base_margin")
    beyond = margin.number + (sized["seat_gap_outside"] if taken["case_seat"] == "groove" else 0.0)
    width, depth = (sized[f"cover_{side}"] + 2 * beyond for side in ("width", "depth"))
    thick = trade.step("case.base_thickness", max(width, depth))
    height = trade.value("case.base_height")
    joint = {
        "dowels": (depth - 2 * thick.number, "between front and back, with dowels"),
        "rebate": (
            depth - 2 * thick.number * (1 - trade.value("case.rebate").number),
            "into the rebates of front and back",
        ),
        "finger": (depth, "to the outer faces, with finger joints"),
    }[str(taken["case_joint"])]
    yield _rule("base_width", width, "cover, seat and margin", margin.cited)
    yield _rule("base_depth", depth, "cover, seat and margin", margin.cited)
    yield _rule("base_thickness", thick.number, "top and sides", thick.cited, "stock")
    yield _rule("base_side_height", height.number - thick.number, "base less its top", height.cited)
    yield _rule("base_side_length", joint[0], joint[1])
    yield _rule("base_total_height", height.number, "top and sides", height.cited)
    total = height.number - sized["seat_depth"] + sized["cover_height"]
    yield _rule("total_height", total, "base and cover, less the seat", _ARITHMETIC)
