"""case.txt: how to make the case and its light, for the bench."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from pixel2make import trade
from pixel2make.design.case import CaseDesign
from pixel2make.design.light.model import LightPlan
from pixel2make.pack.table import text_table
from pixel2make.quantity import format_change, in_units, length_digits

__all__ = ["case_text"]

WIDTH = 96


def case_text(case: CaseDesign, units: str) -> bytes:
    """Dimensions, bending, fits, light, materials, steps with cautions, choices; UTF-8."""
    title = f"Display case for {case.held.name}"
    blocks = [
        [title, "=" * len(title)],
        _paragraph(_summary(case, units)),
        _section("Before you start", _items(in_units(w, units, apart=True) for w in case.warnings)),
        _section("Dimensions", _dimensions(case, units)),
        _section("Findings", _items(in_units(f.sentence, units, apart=True) for f in case.findings)),
        _section("Bending the cover", _items(in_units(s, units) for s in _bending(case))),
        _section("Fits", _items(in_units(s, units) for s in _fits(case))),
        _section("Light", _items(in_units(s, units) for s in _light(case.light)) if case.light else []),
        _section("Materials", _materials(case)),
        _section("Order of work", list(_steps(case))),
        _section("Yours to decide", list(_choices(case, units))),
        _paragraph(
            f"{trade.value('safety.defer').value} {trade.value('safety.electrical').value} "
            f"{trade.value('safety.finished').value}"
        ),
    ]
    return ("\n\n".join("\n".join(block) for block in blocks if block) + "\n").encode()


def _summary(case: CaseDesign, units: str) -> str:
    inside = " x ".join(length_digits(v, units) for v in case.inside_mm)
    whole = " x ".join(length_digits(case[n], units) for n in ("base_width", "base_depth", "total_height"))
    kind = "bent from one sheet in two lines, with two ends" if case.bent else "of five flat panels"
    mass = case.total_mass_g / 1000
    return (
        f"A base of {str(case.taken['case_wood']).replace('_', ' ')} and a cover of clear acrylic {kind}. "
        f"Clear inside {inside} {units}, overall {whole} {units} (width x depth x height). The case weighs "
        f"about {mass:.1f} kg, with the object {mass + case.held.mass_g / 1000:.1f} kg."
    )


def _dimensions(case: CaseDesign, units: str) -> list[str]:
    rows = [("dimension", units, "low", "high", "from", "rule")]
    for d in case.dimensions:
        value, low, high = (length_digits(v, units) for v in (d.value_mm, d.low_mm, d.high_mm))
        is_known = low == high
        rule = in_units("; ".join(part for part in (d.rule, d.source) if part), units)
        rows.append((d.name, value, "" if is_known else low, "" if is_known else high, d.origin, rule))
    return text_table(rows, right=(1, 2, 3)).splitlines()


def _bending(case: CaseDesign) -> Iterator[str]:
    bent = case.bent
    if bent is None:
        return
    low, high = trade.value(f"acrylic.bend_temperature.{case.taken['acrylic_grade']}").numbers
    trim = trade.value("acrylic.trim").number
    yield (
        f"Cut the sheet {bent.width_mm:.1f} x {bent.developed_mm + 2 * trim:.1f} mm; {trim:g} mm on "
        "each end are "
        "trimmed after bending, since heat shrinks a sheet a little."
    )
    first, second = bent.bends
    yield (
        f"Heating lines lie {trim + first.line_mm:.1f} and {trim + second.line_mm:.1f} mm from the "
        "front leg's cut "
        f"end; heat a band of {first.band_mm:.1f} mm about each."
    )
    yield (
        f"Sheet temperature {low:g} to {high:g} degC for {case.taken['acrylic_grade']} sheet; sources "
        "differ, the "
        "sheet's own maker is right."
    )
    spring = trade.value("acrylic.springback").number
    yield (
        f"Bend round a rod or edge of radius {bent.radius_mm:g} mm into a jig that is longer than the "
        "bend and "
        f"holds 90 degrees; let go warm, it opens by about {spring:g} degrees "
        f"({trade.value('acrylic.springback').label})."
    )
    yield "The test strip (strip drawing) tells how much sheet one bend takes; it comes before the cover."


def _fits(case: CaseDesign) -> Iterator[str]:
    tolerance = trade.value("acrylic.thickness_tolerance").value
    sheet = case["acrylic_thickness"]
    off = tolerance["share"] * sheet + tolerance["add"]
    yield (
        f"A sheet sold as {sheet:g} mm may measure {sheet - off:.1f} to {sheet + off:.1f} mm "
        f"({trade.value('acrylic.thickness_tolerance').label}): measure it in several places and make "
        "the seat that "
        f"wide, with {case['seat_gap_outside']:.2f} mm outside and {case['seat_gap_inside']:.2f} mm "
        "inside of it."
    )
    yield (
        f"The cover grows against the base by up to {2 * case['seat_movement_width']:.2f} mm across and "
        f"{2 * case['seat_movement_depth']:.2f} mm from front to back; the gaps leave room for half of "
        "it on each side."
    )
    air = trade.value("wood.humidity").value
    yield (
        f"Reckoned for {air['dry']:g} to {air['damp']:g} % relative humidity and "
        f"{trade.value('acrylic.temperature_swing').number:g} "
        f"degrees either way, built at {air['built']:g} %: let sheet and wood lie in the workshop for "
        "some days first."
    )
    limit = trade.value("acrylic.service_temperature")
    yield (
        f"Nothing that touches the cover may get hotter than {limit.number:g} degC "
        f"({limit.note.rstrip('.')})."
    )


def _light(light: LightPlan) -> Iterator[str]:
    runs = ", ".join(f"{run.name} {run.leds} LEDs ({run.strip_mm:.1f} mm)" for run in light.runs)
    yield (
        f"Strip of {light.per_metre:g} LEDs a metre, cut between whole LEDs: {runs}; the data runs in "
        "this order."
    )
    yield (
        f"Current: {light.full_white_a:.2f} A were all LEDs full white; the program caps white at "
        f"{light.cap} of "
        f"255, {light.capped_white_a:.2f} A; the worst frame of the animations is {light.worst_a:.2f} A "
        f"({light.worst_frame[0]}, frame {light.worst_frame[1]}). Measure it on the bench."
    )
    yield (
        f"Ready-made, approved 5 V supply of {light.supply_a:g} A, fuse {light.fuse_a:g} A at its end, wire "
        f"{light.wire_mm2:g} mm2 (AWG {light.wire_awg:g}): {light.lead_drop_v:.2f} V are lost in the "
        "lead and "
        f"{light.strip_drop_v:.2f} V along the strip."
    )
    feeds = "; ".join(f"{i}: {feed.where}" for i, feed in enumerate(light.feeds, 1))
    yield f"Feed 5 V and ground in at {len(light.feeds)} place{'s' if len(light.feeds) > 1 else ''}: {feeds}."
    yield (
        f"{light.data_resistor_ohm:g} ohm in the data line at the first LED; {light.capacitor_uf:g} uF "
        "across the "
        "first feed, minus to ground. Switch and connector carry the fuse's current."
    )
    if len(light.runs) > 1:
        yield "Join the runs at the corners with three short wires: 5 V, ground, and data out to data in."
    yield from light.notes
    yield (
        f"A frame takes {light.send_ms:.1f} ms to send and about {light.reckon_ms:.1f} ms to reckon, and has "
        f"{light.frame_ms:.1f} ms. White with the cap warms the trench by {light.heat_w:.1f} W: stick "
        "the strip on "
        "wood or metal, keep the vents open, and feel for heat after an hour."
    )
    yield (
        "Save main.py on the board; the button, from its pin to ground, steps through the animations to dark."
    )
    yield str(trade.value("safety.mains_adapter").value)
    yield str(trade.value("safety.flashing").value)


def _materials(case: CaseDesign) -> list[str]:
    rows = [("material", "amount", "unit", "allowance", "from")]
    rows += [
        (m.name, f"{m.amount:.3f}".rstrip("0").rstrip("."), m.unit, m.allowance, m.origin)
        for m in case.materials
    ]
    return text_table(rows, right=(1,)).splitlines()


def _steps(case: CaseDesign) -> Iterator[str]:
    number = {step.name: step.order for step in case.steps}
    told: set[str] = set()
    for step in case.steps:
        after = f" (after {', '.join(str(number[n]) for n in step.waits_for)})" if step.waits_for else ""
        wait = f"; then wait {step.wait_hours:g} h" if step.wait_hours else ""
        yield from _item(f"{step.name}{after}{wait}", mark=f"[ ] {step.order:2d}  ")
        for caution in step.cautions:
            words = caution if caution not in told else f"{caution.split(':')[0].rstrip('.')}: as above"
            told.add(caution)
            yield from _item(f"! {words}", mark=" " * 8)


def _choices(case: CaseDesign, units: str) -> Iterator[str]:
    for choice in case.choices:
        effects = "; ".join(
            f"{option}: {name} {format_change(change, units)}" for option, name, change in choice.effect_mm
        )
        options = ", ".join(choice.options)
        yield from _item(f"{choice.key}={choice.taken}  {choice.question} ({options}) {effects}")


def _section(title: str, lines: Iterable[str]) -> list[str]:
    lines = list(lines)
    return [title, "-" * len(title), *lines] if lines else []


def _paragraph(text: str) -> list[str]:
    return textwrap.wrap(" ".join(text.split()), WIDTH)


def _items(sentences: Iterable[str]) -> list[str]:
    return [line for sentence in sentences for line in _item(sentence)]


def _item(text: str, *, mark: str = "- ") -> list[str]:
    return textwrap.wrap(
        " ".join(text.split()), WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark)
    )
