"""The light's wiring diagram: two rails, what hangs between them, and the figures beside it."""

from __future__ import annotations

from pixel2make import trade
from pixel2make.design.light.model import LightPlan
from pixel2make.pack.case.page import NOTE_MM, NOTE_PITCH_MM, PageText, wrapped_notes
from pixel2make.pack.drawing.heading import entries, start_sheet
from pixel2make.pack.drawing.sheet import SHEETS, TITLE_BLOCK_HEIGHT_MM
from pixel2make.pack.drawing.table import Table
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.quantity import format_length

__all__ = ["wiring_diagram"]

PLUS_Y, GROUND_Y = 70.0, 160.0
"""Rails on the page."""
DATA_Y = 115.0
SUPPLY = (32.0, 60.0, 48.0, 112.0)
"""x, y, width and height of the supply's box."""
BOXES = {"controller": (188.0, 44.0), "shifter": (254.0, 34.0), "strip": (338.0, 46.0)}
"""Left edge and width of the boxes between the rails."""
BOX_TOP, BOX_HIGH = 92.0, 46.0
LINE_MM = 5.0
PLATE_MM, DOT_MM = 8.0, 0.9


def wiring_diagram(light: LightPlan, text: PageText) -> Drawing:
    """Supply, fuse, switch, capacitor, controller, level shifter, resistor and strip on an A3 sheet."""
    sheet = SHEETS["A3"]
    block = entries(
        sheet,
        title=text.title,
        supplement=text.supplement,
        document="Wiring diagram",
        identification=f"{text.identification}-wiring",
        scale="",
        units=text.units,
    )
    page = start_sheet(sheet, block, f"{text.title}, wiring diagram", is_sheet=False)
    _draw_supply(page, light, text.units)
    _draw_capacitor(page, light)
    _draw_logic(page, light)
    _draw_strip(page, light)
    x0, _, _, y1 = sheet.space
    figures = Table(("figure", "value"), _figures(light, text.units))
    floor = y1 - figures.height_mm - 3.0
    figures.draw(page, x0 + 6.0, floor)
    notes = wrapped_notes(_notes(light), 182.0)
    top = y1 - TITLE_BLOCK_HEIGHT_MM - len(notes) * NOTE_PITCH_MM - 2.0
    for i, note in enumerate(notes):
        page.text(note, (228.0, top + i * NOTE_PITCH_MM), NOTE_MM)
    return page.build()


def _box(page: DrawingBuilder, x: float, y: float, width: float, height: float, lines: list[str]) -> None:
    page.rectangle("visible", x, y, width, height)
    first = y + height / 2 - (len(lines) - 1) * LINE_MM / 2 + NOTE_MM / 2
    for i, line in enumerate(lines):
        page.text(line, (x + width / 2, first + i * LINE_MM), NOTE_MM, "middle")


def _draw_supply(page: DrawingBuilder, light: LightPlan, units: str) -> None:
    """The supply outside the case, its lead with fuse and switch, and both rails."""
    x, y, width, high = SUPPLY
    volt = trade.value("light.voltage").number
    _box(
        page,
        x,
        y,
        width,
        high,
        [
            "approved supply",
            f"{volt:g} V, {light.supply_a:g} A",
            "",
            "with its own plug,",
            "outside the case",
        ],
    )
    right = x + width
    page.line("visible", (right, PLUS_Y), (right + 12, PLUS_Y))
    page.rectangle("visible", right + 12, PLUS_Y - 2.5, 14, 5)
    page.line("detail", (right + 12, PLUS_Y), (right + 26, PLUS_Y))
    page.text(f"fuse {light.fuse_a:g} A", (right + 19, PLUS_Y - 5), NOTE_MM, "middle")
    page.line("visible", (right + 26, PLUS_Y), (right + 42, PLUS_Y))
    page.circle("visible", (right + 43, PLUS_Y), 1.0)
    page.line("visible", (right + 44, PLUS_Y), (right + 54, PLUS_Y - 5))
    page.circle("visible", (right + 55, PLUS_Y), 1.0)
    page.text("switch", (right + 49, PLUS_Y - 8), NOTE_MM, "middle")
    end = BOXES["strip"][0] + BOXES["strip"][1] - 6
    page.line("visible", (right + 56, PLUS_Y), (end, PLUS_Y))
    page.line("visible", (right, GROUND_Y), (end, GROUND_Y))
    wire = f"{light.wire_mm2:g} mm² (AWG {light.wire_awg:g}), {format_length(light.lead_mm, units)} lead"
    page.text(f"red, {wire}", (BOXES["controller"][0], PLUS_Y - 3), NOTE_MM)
    page.text(f"black, {wire}", (BOXES["controller"][0], GROUND_Y + 6), NOTE_MM)
    page.text("+5 V", (end + 3, PLUS_Y + 1), NOTE_MM)
    page.text("ground", (end + 3, GROUND_Y + 1), NOTE_MM)


def _join(page: DrawingBuilder, x: float) -> None:
    """Dots where a wire is joined to both rails."""
    for y in (PLUS_Y, GROUND_Y):
        page.dot((x, y), DOT_MM)


def _draw_capacitor(page: DrawingBuilder, light: LightPlan) -> None:
    x, half = 162.0, PLATE_MM / 2
    page.line("visible", (x, PLUS_Y), (x, DATA_Y - 1.2))
    page.line("visible", (x - half, DATA_Y - 1.2), (x + half, DATA_Y - 1.2))
    page.rectangle("visible", x - half, DATA_Y + 0.6, PLATE_MM, 1.6)
    page.line("visible", (x, DATA_Y + 2.2), (x, GROUND_Y))
    _join(page, x)
    page.text("+", (x + half + 1, DATA_Y - 3), NOTE_MM)
    for i, line in enumerate((f"{light.capacitor_uf:g} µF", "6.3 V or", "more")):
        page.text(line, (x - half - 2, DATA_Y - 1 + i * LINE_MM), NOTE_MM, "end")


def _draw_logic(page: DrawingBuilder, light: LightPlan) -> None:
    """Controller, level shifter and the resistor in the data line."""
    logic = trade.value("light.logic_voltage").number
    for name, lines in (
        ("controller", ["controller", f"{logic:g} V logic", "", "data pin"]),
        ("shifter", ["level shifter", "74AHCT125", "", "100 nF at", "its supply"]),
    ):
        x, width = BOXES[name]
        _box(page, x, BOX_TOP, width, BOX_HIGH, lines)
        page.line("visible", (x + width / 2, PLUS_Y), (x + width / 2, BOX_TOP))
        page.line("visible", (x + width / 2, BOX_TOP + BOX_HIGH), (x + width / 2, GROUND_Y))
        _join(page, x + width / 2)
    out = BOXES["controller"][0] + BOXES["controller"][1]
    page.line("visible", (out, DATA_Y), (BOXES["shifter"][0], DATA_Y))
    page.text("data", ((out + BOXES["shifter"][0]) / 2, DATA_Y - 2.5), NOTE_MM, "middle")
    end = BOXES["shifter"][0] + BOXES["shifter"][1]
    into = BOXES["strip"][0]
    middle = (end + into) / 2
    page.line("visible", (end, DATA_Y), (middle - 8, DATA_Y))
    page.rectangle("visible", middle - 8, DATA_Y - 2.5, 16, 5)
    page.line("visible", (middle + 8, DATA_Y), (into, DATA_Y))
    page.text(f"{light.data_resistor_ohm:g} Ω", (middle, DATA_Y - 5), NOTE_MM, "middle")


def _draw_strip(page: DrawingBuilder, light: LightPlan) -> None:
    x, width = BOXES["strip"]
    _box(page, x, BOX_TOP, width, BOX_HIGH, ["LED strip", f"{light.leds} LEDs", "", "data in at left"])
    places = [x + 6 + (width - 12) * i / max(len(light.feeds) - 1, 1) for i in range(len(light.feeds))]
    for i, place in enumerate(places, 1):
        page.line("visible", (place, PLUS_Y), (place, BOX_TOP))
        page.line("visible", (place, BOX_TOP + BOX_HIGH), (place, GROUND_Y))
        _join(page, place)
        page.text(str(i), (place + 1.5, BOX_TOP - 6), NOTE_MM)


def _figures(light: LightPlan, units: str) -> list[tuple[str, str]]:
    runs = ", ".join(f"{run.name} {run.leds} ({format_length(run.strip_mm, units)})" for run in light.runs)
    return [
        ("LEDs by run", runs),
        ("full white, no cap", f"{light.full_white_a:.2f} A"),
        (f"white with the program's cap, {light.cap} of 255", f"{light.capped_white_a:.2f} A"),
        (f"worst frame: {light.worst_frame[0]}, frame {light.worst_frame[1]}", f"{light.worst_a:.2f} A"),
        ("supply and fuse", f"{light.supply_a:g} A, {light.fuse_a:g} A"),
        ("drop along lead, strip", f"{light.lead_drop_v:.2f} V, {light.strip_drop_v:.2f} V"),
        ("feeds", "; ".join(f"{i}: {feed.where}" for i, feed in enumerate(light.feeds, 1))),
        ("frame", f"{light.send_ms:.1f} ms to send of {light.frame_ms:.1f} ms"),
        ("heat of the strip, white with the cap", f"{light.heat_w:.1f} W"),
    ]


def _notes(light: LightPlan) -> tuple[str, ...]:
    return (
        str(trade.value("safety.mains_adapter").value),
        str(trade.value("safety.low_voltage").value),
        "Connect ground first and take it off last. Keep the data line short. Feed the controller from "
        "the rails or from its own socket, never from both at once.",
    )
