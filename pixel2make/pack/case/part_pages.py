"""Every piece of the case on a page of its own at 1:1, with what is cut, bent, drilled or routed on it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from shapely.geometry import LineString, box

from pixel2make import trade
from pixel2make.design.case import CaseDesign
from pixel2make.design.case.bending import bend_allowance
from pixel2make.design.case.joints import dowel_size
from pixel2make.design.case.parts import TEST_STRIP
from pixel2make.design.model import Part
from pixel2make.pack.case.page import Label, Measure, PageText, View, true_size_page
from pixel2make.pack.case.views import Shape
from pixel2make.pack.pens import Drawing
from pixel2make.quantity import format_length, in_units, length_digits

__all__ = ["part_pages", "strip_page"]

_PURPOSES = {
    "groove": "engrave",
    "rebate": "engrave",
    "light_trench": "engrave",
    "cable_hole": "cut",
    "dowel_hole": "cut",
    "dowel_bore": "hidden",
    "heated_band": "detail",
    "trim": "mark",
}
"""Which line a mark is drawn with."""

SAME_MM = 0.05
"""Two places nearer than this are one."""


def part_pages(case: CaseDesign, text: PageText) -> dict[str, Drawing]:
    """Pages by the part's name; diffusers, blocks and lining are on the cut sheets alone."""
    found = {}
    for part in case.parts:
        if part.name.startswith(("diffuser", "corner_block", "lining", TEST_STRIP)):
            continue
        view = (
            _bent_view(case, part, text.units) if part.name == "cover_bent" else _view(case, part, text.units)
        )
        found[part.name] = true_size_page(view, _text(case, part, text))
    return found


def _text(case: CaseDesign, part: Part, text: PageText) -> PageText:
    many = f", {part.quantity} of it" if part.quantity > 1 else ""
    grades = trade.value("drawing.tolerance_class").value
    thick = format_length(part.thickness_mm, text.units)
    return PageText(
        part.name.replace("_", " ").capitalize(),
        f"{part.material.replace('_', ' ')} {thick}{many}",
        "Part drawing",
        f"{text.identification}-{part.name}",
        f"ISO 2768-1 {grades['greyboard']}",
        tuple(in_units(note, text.units) for note in _notes(case, part)),
        text.units,
    )


def _notes(case: CaseDesign, part: Part) -> Iterator[str]:
    yield "Print at 100 % and measure both bars."
    bent, trim = case.bent, trade.value("acrylic.trim").number
    if part.name == "cover_bent" and bent:
        yield (
            f"Both bends up 90°, inside radius {bent.radius_mm:g} mm; bend allowance "
            f"{bent.allowance_mm:.2f} mm each (K = {bent.k_factor:.2f}). Bend the test strip first."
        )
        yield (
            f"Heat a band of {bent.bends[0].band_mm:.1f} mm about each line; finished length "
            f"{bent.developed_mm:.1f} mm, {trim:g} mm more on each end to trim after bending."
        )
    if part.name == "base_top":
        word = str(case.taken["case_seat"]).capitalize()
        yield (
            f"{word} {case['seat_depth']:g} mm deep, {case['seat_width']:.1f} mm wide for a sheet of "
            f"{case['acrylic_thickness']:g} mm: measure the sheet and keep the gaps, "
            f"{case['seat_gap_outside']:.2f} mm outside and {case['seat_gap_inside']:.2f} mm inside."
        )
        if case.light:
            rule = trade.value("case.light_trench").value
            yield f"Light trench {rule['width']:g} mm wide, {rule['depth']:g} mm deep; front edge below."
    if part.name in ("base_front", "base_back", "base_side"):
        yield from _joint_notes(case, is_face=part.name != "base_side")
    if part.name == "nameplate":
        yield f"Suggested lettering: {case.held.name}. Engrave or etch before drilling."
    if part.name == "cover_end":
        yield "Its upper corners follow the inside of the bend; dress them to the bent sheet first."


def _joint_notes(case: CaseDesign, *, is_face: bool) -> Iterator[str]:
    thick, joint = case["base_thickness"], case.taken["case_joint"]
    if joint == "dowels":
        diameter, face, end = dowel_size(thick)
        where = f"{face:g} mm deep from the inside" if is_face else f"{end:g} mm deep into the end"
        yield f"Dowel holes {diameter:g} mm, {where}; drill both panels against one template."
    elif joint == "rebate" and is_face:
        deep = trade.value("case.rebate").number * thick
        yield f"Rebates on the inside, {thick:g} mm wide and {deep:.1f} mm deep."
    elif joint == "finger":
        play = trade.value("case.finger_play").number
        yield f"Notches {thick:g} mm deep, {play:g} mm wider than the fingers; try the fit on scrap first."


def _view(case: CaseDesign, part: Part, units: str) -> View:
    x0, y0, x1, y1 = part.outline.bounds
    shapes: list[Shape] = [("cut", part.outline, None)]
    shapes += [(_PURPOSES.get(name, "mark"), shape, None) for name, shape in part.marks]
    measures = [Measure((x0, y1), (x1, y1), False, 1), Measure((x0, y0), (x0, y1), True, -1)]
    measures += _mark_measures(part)
    if part.name.startswith("base_") and case.taken["case_joint"] == "finger":
        measures += _finger_measures(part)
    return View("", tuple(shapes), tuple(measures), tuple(_labels(case, part, units)))


def _mark_measures(part: Part) -> Iterator[Measure]:
    """From the left and upper edges to where each kind of mark begins, or to the middle of a hole."""
    x0, y0, _, _ = part.outline.bounds
    across: list[float] = []
    up: list[float] = []
    for name, shape in part.marks:
        left, top, right, low = shape.bounds
        is_hole = name.endswith("hole")
        x = (left + right) / 2 if is_hole else left
        y = (top + low) / 2 if is_hole or name == "dowel_bore" else top
        if (
            x - x0 > SAME_MM
            and all(abs(x - other) > SAME_MM for other in across)
            and len(across) < MOST_MEASURES
        ):
            across.append(x)
            yield Measure((x0, y0), (x, y), False, -1)
        if y - y0 > SAME_MM and all(abs(y - other) > SAME_MM for other in up) and len(up) < MOST_MEASURES:
            up.append(y)
            yield Measure((part.outline.bounds[2], y0), (part.outline.bounds[2], y), True, 1)


MOST_MEASURES = 4
"""On one side of a part; the template at 1:1 shows the rest."""


def _finger_measures(part: Part) -> Iterator[Measure]:
    """Each finger and notch along the left end."""
    x0, _, x1, _ = part.outline.bounds
    ys = sorted({round(y, 6) for x, y in part.outline.exterior.coords})
    for low, high in pairwise(ys):
        yield Measure((x1, low), (x1, high), True, 1)
    inner = sorted({round(x, 6) for x, _ in part.outline.exterior.coords})
    if len(inner) > 2:
        yield Measure((x0, ys[0]), (inner[1], ys[0]), False, -1)


def _labels(case: CaseDesign, part: Part, units: str) -> Iterator[Label]:
    told: set[str] = set()
    for name, shape in part.marks:
        if name in told:
            continue
        told.add(name)
        point = shape.representative_point()
        yield Label(name.replace("_", " "), (point.x, point.y))


def _bent_view(case: CaseDesign, part: Part, units: str) -> View:
    """The flat sheet with its heating lines, the front leg's end above."""
    bent, trim = case.bent, trade.value("acrylic.trim").number
    assert bent is not None  # the part is there for a bent cover alone
    _, _, wide, long = part.outline.bounds
    first, second = (trim + bend.line_mm for bend in bent.bends)
    shapes: list[Shape] = [("cut", part.outline, None)]
    shapes += [(_PURPOSES[name], shape, None) for name, shape in part.marks]
    shapes += [("bend", LineString([(0, y), (wide, y)]), None) for y in (first, second)]
    measures = (
        Measure((0, long), (wide, long), False, 1),
        Measure((0, 0), (0, first), True, -1),
        Measure((0, first), (0, second), True, -1),
        Measure((0, second), (0, long), True, -1),
        Measure((0, 0), (0, long), True, -1),
        Measure((wide, 0), (wide, trim), True, 1),
        Measure(
            (wide, first - bent.bends[0].band_mm / 2), (wide, first + bent.bends[0].band_mm / 2), True, 1
        ),
        Measure((wide, trim), (wide, long - trim), True, 1),
    )
    labels = (
        Label("first heating line", (wide * 0.7, first)),
        Label("second heating line", (wide * 0.7, second)),
        Label("front", (wide / 2, first / 2)),
        Label("top", (wide / 2, (first + second) / 2)),
        Label("back", (wide / 2, (second + long) / 2)),
    )
    return View("", tuple(shapes), measures, labels)


def strip_page(case: CaseDesign, text: PageText) -> Drawing:
    """A strip of the same sheet to bend first, and how it tells the bend allowance."""
    bent = case.bent
    assert bent is not None  # the strip is for a bent cover alone
    long, wide = trade.value("acrylic.test_strip").numbers
    middle, half = long / 2, bent.bends[0].band_mm / 2
    shapes: tuple[Shape, ...] = (
        ("cut", box(0, 0, long, wide), None),
        ("bend", LineString([(middle, 0), (middle, wide)]), None),
        ("detail", box(middle - half, 0, middle + half, wide), None),
    )
    measures = (
        Measure((0, wide), (long, wide), False, 1),
        Measure((0, 0), (middle, 0), False, -1),
        Measure((0, 0), (0, wide), True, -1),
        Measure((middle - half, wide), (middle + half, wide), False, 1),
    )
    corner = 2 * (bent.radius_mm + bent.sheet_mm)
    leg = (long - bend_allowance(bent.radius_mm, bent.sheet_mm, bent.k_factor) + corner) / 2
    spring = trade.value("acrylic.springback").number
    notes = (
        "Print at 100 % and measure both bars.",
        f"Cut it from the same sheet, bend it up 90° on the line at a radius of {bent.radius_mm:g} mm and "
        f"let it cool in the jig: let go warm, a bend opens by about {spring:g}°.",
        f"Measure both legs outside, from the end to the other leg's outer face: by rule {leg:.2f} mm each.",
        f"Bend allowance = {long:g} mm + {corner:g} mm - first leg - second leg. Give it with "
        "--set bend_allowance=... and build again where it differs by more than 0.2 mm.",
    )
    view = View("", shapes, measures, (Label("heating line", (middle, wide * 0.3)),))
    return true_size_page(
        view,
        PageText(
            "Test strip",
            f"acrylic {length_digits(bent.sheet_mm, text.units)}",
            "Part drawing",
            f"{text.identification}-strip",
            "",
            tuple(in_units(note, text.units) for note in notes),
            text.units,
        ),
    )
