"""What the case takes and what it weighs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pixel2make import trade
from pixel2make.design.case.joints import dowel_size
from pixel2make.design.case.lengths import Sized
from pixel2make.design.case.movement import SOLID_WOODS
from pixel2make.design.case.parts import TEST_STRIP
from pixel2make.design.light.model import LightPlan
from pixel2make.design.model import Material, Part

__all__ = ["case_mass_g", "case_materials", "wood_density"]

SAWING_SHARE = 0.15
"""More panel than the parts' own area, for kerfs and edges: common practice."""
WIRE_SPARE_MM = 500.0
"""Wire inside the base, from the entry to the feeds and back."""


def wood_density(wood: str) -> float:
    """kg/m3 in a heated room: the specific gravity and the water in it (Wood Handbook, ch. 4), or a panel's.

    >>> wood_density("black_walnut")
    616.0
    """
    if wood not in SOLID_WOODS:
        return float(trade.value("wood.panel_density").value[wood])
    return round(1000 * float(trade.value("wood.specific_gravity").value[wood]) * 1.12, 3)


def case_mass_g(parts: Sequence[Part]) -> tuple[tuple[str, float], ...]:
    """Mass of all pieces of each part; cloth and electronics are left out."""
    found = []
    for part in parts:
        density = _density(part.material)
        if density and part.name != TEST_STRIP:
            found.append((part.name, part.quantity * part.outline.area * part.thickness_mm / 1000 * density))
    return tuple(found)


def _density(material: str) -> float:
    """g/cm3."""
    if material.endswith("acrylic"):
        return trade.value("acrylic.density").number
    if material == "brass":
        return float(trade.value("metal.density").value["brass"])
    if material in SOLID_WOODS or material in trade.value("wood.panel_density").value:
        return wood_density(material) / 1000
    return 0.0


def case_materials(sized: Sized, parts: Sequence[Part], light: LightPlan | None) -> tuple[Material, ...]:
    """Sheets, wood, glue, and the parts of the light."""
    return (
        *_sheets(parts),
        *_joints(sized),
        Material("solvent cement for acrylic", 1, "small bottle", "", "edges of the cover"),
        Material("contact glue or double-sided sheet for the lining", 1, "pack", "", "lining"),
        Material("wood glue", 1, "small bottle", "", "base"),
        Material("wood screws 3 x 16 for the bottom", 4, "pieces", "", "one a corner block"),
        *(_electric(light) if light else ()),
    )


def _sheets(parts: Sequence[Part]) -> Iterator[Material]:
    areas: dict[tuple[str, float], float] = {}
    for part in parts:
        x, y = part.size_mm
        key = (part.material, part.thickness_mm)
        areas[key] = areas.get(key, 0.0) + part.quantity * x * y / 1e6
    for (material, thick), area in areas.items():
        amount = math.ceil(area * (1 + SAWING_SHARE) * 1000) / 1000
        name = f"{material.replace('_', ' ')} {thick:g} mm"
        yield Material(
            name, amount, "m2", f"{SAWING_SHARE:.0%} for kerfs and edges", "the parts' bounding boxes"
        )


def _joints(sized: Sized) -> Iterator[Material]:
    if sized.taken["case_joint"] == "dowels":
        diameter, _, _ = dowel_size(sized["base_thickness"])
        length = trade.value("case.dowel").value["length"]
        yield Material(f"dowel {diameter:g} x {length:g} mm", 8, "pieces", "", "two a corner at least")


def _electric(light: LightPlan) -> Iterator[Material]:
    length = sum(run.strip_mm for run in light.runs) / 1000
    wire = math.ceil((light.lead_mm + WIRE_SPARE_MM) * 2 / 100) / 10
    origin = "light plan"
    yield Material(
        f"strip of addressable LEDs, 5 V, WS2812B or like, {light.per_metre:g} a metre",
        round(length, 3),
        "m",
        f"{light.leds} LEDs, cut at whole LEDs",
        origin,
    )
    yield Material(f"approved 5 V supply, {light.supply_a:g} A, with its own plug", 1, "piece", "", origin)
    yield Material("controller board that runs MicroPython and has a neopixel driver", 1, "piece", "", origin)
    yield Material("level shifter 74AHCT125 or like", 1, "piece", "", origin)
    yield Material(f"fuse {light.fuse_a:g} A with holder", 1, "piece", "", "one at the supply's end")
    yield Material(f"resistor {light.data_resistor_ohm:g} ohm", 1, "piece", "", "data line")
    yield Material(
        f"electrolytic capacitor {light.capacitor_uf:g} uF, 6.3 V or more",
        1,
        "piece",
        "",
        "at the strip's first feed",
    )
    yield Material("ceramic capacitor 100 nF", 1, "piece", "", "at the level shifter's supply pins")
    yield Material(
        f"flexible wire {light.wire_mm2:g} mm2 (AWG {light.wire_awg:g}), red and black",
        wire,
        "m",
        "both conductors together",
        origin,
    )
    yield Material(
        f"switch and barrel connector, each for {light.fuse_a:g} A at least", 1, "set", "", "in the lead"
    )
