"""What a clasp bears: beams, shear and bearing under a stated pull.

The pull is the weight of the book, held by one cover, times a factor, shared by the clasps. Shear may reach
the yield strength over the root of three, after von Mises.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from pixel2make import trade
from pixel2make.design.metalwork import Load
from pixel2make.kinds.book.metalwork.beams import (
    bearing_mpa,
    fixed_ends_nmm,
    flat_bending_mpa,
    round_bending_mpa,
    round_shear_mpa,
    spring_strain,
    tear_out_mpa,
    tension_mpa,
)
from pixel2make.kinds.book.metalwork.folded_slide import overlap_mm, stud_height_mm
from pixel2make.kinds.book.metalwork.hooked_arm import (
    arm_width_mm,
    bar_mm,
    hook_width_mm,
    lip_height_mm,
)
from pixel2make.kinds.book.metalwork.pin_strap import peg_height_mm
from pixel2make.kinds.book.metalwork.place import Gauge, Site

__all__ = ["loads", "pull_n"]

_SHEAR = 1 / math.sqrt(3)
"""Of the tensile yield strength, after von Mises."""


def pull_n(mass_g: float, clasps: int) -> float:
    """Pull on each clasp in newtons: the book held by one cover, times the factor; two fingers at least.

    >>> round(pull_n(1000.0, 1), 1), round(pull_n(1000.0, 2), 1)
    (29.4, 14.7)
    """
    gravity, factor = trade.value("clasp.gravity").number, trade.value("clasp.pull_factor").number
    return max(mass_g / 1000 * gravity * factor / max(clasps, 1), trade.value("clasp.least_pull").number)


def loads(form: str, site: Site, gauge: Gauge, pull: float) -> tuple[Load, ...]:
    """Every part of a clasp that could give way, with its stress and its strength in MPa."""
    found = {"hooked_arm": _hooked_arm, "pin_strap": _pin_strap, "folded_slide": _folded_slide}[form]
    return tuple(found(site, gauge, pull))


def _strength(gauge: Gauge) -> float:
    return float(trade.value(f"{_table(gauge)}.strength").value[gauge.material])


def _table(gauge: Gauge) -> str:
    return "metal" if gauge.way == "sheet" else "printing"


def _hooked_arm(site: Site, gauge: Gauge, pull: float) -> Iterator[Load]:
    t, strength = gauge.sheet_mm, _strength(gauge)
    curl = (gauge.wire_mm + gauge.pin_mm) / 2
    arm, bar = arm_width_mm(site), bar_mm(gauge.sheet_mm)
    hook = hook_width_mm(arm, t, gauge.slide_mm)
    reach = max(curl, gauge.radius_mm + gauge.slide_mm / 2) + bar / 2
    bent = flat_bending_mpa(pull * reach, hook, t)
    yield Load("hook", f"6 F {reach:.1f} / ({hook:.1f} t^2)", bent, strength)
    away = reach + t / 2
    both = tension_mpa(pull, hook, t) + flat_bending_mpa(pull * away, hook, t)
    yield Load("foot of the arm", f"F / ({hook:.1f} t) + 6 F {away:.1f} / ({hook:.1f} t^2)", both, strength)
    # the hook presses the bar onto its board; a tug outwards bends the bar in its plane
    board = trade.value("clasp.board_bearing").number
    yield Load(
        "board under the bar", f"F / ({bar:.1f} x {hook:.1f})", pull / (bar * hook), board, size="board"
    )
    slot = hook + 2 * gauge.slide_mm
    formula = f"6 (F {slot:.1f} / 12) / (t {bar:.1f}^2)"
    tugged = flat_bending_mpa(fixed_ends_nmm(pull, slot), t, bar)
    yield Load("bar of the catch plate", formula, tugged, strength)
    height = lip_height_mm(gauge)
    lip = flat_bending_mpa(pull * height, hook, t)
    yield Load("lip of the hook", f"6 F {height:.2f} / ({hook:.1f} t^2)", lip, strength)
    knuckle = (arm - 2 * gauge.knuckle_mm) / 3
    lever = curl + t / 2
    unrolled = flat_bending_mpa(pull * lever, knuckle, t)
    yield Load("knuckle of the arm", f"6 F {lever:.2f} / ({knuckle:.1f} t^2)", unrolled, strength)
    wire = float(trade.value("metal.strength").value["brass"]) * _SHEAR
    sheared = round_shear_mpa(pull, gauge.wire_mm, planes=2)
    yield Load("hinge wire", f"(F / 2) / (pi {gauge.wire_mm:g}^2 / 4)", sheared, wire, size="wire")


def _pin_strap(site: Site, gauge: Gauge, pull: float) -> Iterator[Load]:
    t, d, strength = gauge.sheet_mm, gauge.peg_mm, _strength(gauge)
    wide, shear = arm_width_mm(site), strength * _SHEAR
    lever = peg_height_mm(gauge) - max(1.5, d / 2) - t / 2
    bent = round_bending_mpa(pull * lever, d)
    yield Load("peg, bent", f"32 F {lever:.2f} / (pi d^3)", bent, strength, size="peg")
    yield Load("peg, sheared", "4 F / (pi d^2)", round_shear_mpa(pull, d), shear, size="peg")
    crushed = bearing_mpa(pull, d, t)
    yield Load("hole of the strap end, crushed", f"F / ({d:g} t)", crushed, strength)
    edge = 1.5 * d
    yield Load("hole, torn out", f"F / (2 x {edge:.1f} t)", tear_out_mpa(pull, edge, t), shear)
    net = wide - d - gauge.slide_mm
    yield Load("strap end beside its hole", f"F / ({net:.1f} t)", tension_mpa(pull, net, t), strength)
    leather, most = trade.value("covering.strap_thickness").number, trade.value("clasp.strap_strength").number
    drawn = tension_mpa(pull, wide, leather)
    yield Load("strap", f"F / ({wide:.1f} x {leather:g})", drawn, most, size="strap")


def _folded_slide(site: Site, gauge: Gauge, pull: float) -> Iterator[Load]:
    t, d, strength = gauge.sheet_mm, gauge.peg_mm, _strength(gauge)
    shank, height, shear = 0.7 * d, stud_height_mm(gauge), strength * _SHEAR
    sheared = round_shear_mpa(pull, shank)
    yield Load("stud, sheared", f"4 F / (pi {shank:.1f}^2)", sheared, shear, size="peg")
    pressed = bearing_mpa(pull, d, height)
    yield Load("stud against its hole", f"F / ({d:g} x {height:.2f})", pressed, strength, size="peg")
    edge = max((overlap_mm(site, gauge) - d) / 2, 0.1)
    yield Load("hole, torn out", f"F / (2 x {edge:.1f} t)", tear_out_mpa(pull, edge, t), shear)
    spring = max(site.deep_mm - 2 * gauge.radius_mm - (gauge.radius_mm + t), 1.0)
    modulus = float(trade.value(f"{_table(gauge)}.modulus").value[gauge.material])
    limit = strength if gauge.way == "sheet" else modulus * trade.value("printing.grip_strain").number
    stress = modulus * spring_strain(t, height, spring)
    formula = f"E 1.5 t {height:.2f} / {spring:.1f}^2"
    yield Load("tongue as a spring", formula, stress, limit, size="spring")
