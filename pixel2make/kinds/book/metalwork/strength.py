"""What a clasp bears: beams, shear and bearing under a stated pull.

The pull is the weight of the book, held by one cover, times a factor, shared by the clasps. A load that
is spread over a bar between two fixed ends bends it by F l / 12; a leg by F times its reach; a flat
section of width b and thickness t takes 6 M / (b t^2), a round one 32 M / (pi d^3). Shear may reach the
yield strength over the root of three.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from pixel2make import trade
from pixel2make.design.metalwork import Load
from pixel2make.kinds.book.metalwork.folded_slide import overlap_mm, stud_height_mm
from pixel2make.kinds.book.metalwork.hooked_arm import arm_width_mm, bar_mm, hook_width_mm
from pixel2make.kinds.book.metalwork.pin_strap import peg_height_mm
from pixel2make.kinds.book.metalwork.place import Gauge, Site

__all__ = ["loads", "pull_n"]

_SHEAR = 1 / math.sqrt(3)
"""Of the tensile yield strength, after von Mises."""


def pull_n(mass_g: float, clasps: int) -> float:
    """Pull on each clasp in newtons: the book held by one cover, times the factor.

    >>> round(pull_n(1000.0, 1), 1), round(pull_n(1000.0, 2), 1)
    (29.4, 14.7)
    """
    gravity, factor = trade.value("clasp.gravity").number, trade.value("clasp.pull_factor").number
    return mass_g / 1000 * gravity * factor / max(clasps, 1)


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
    yield Load("hook", f"6 F {reach:.1f} / ({hook:.1f} t^2)", 6 * pull * reach / (hook * t**2), strength)
    away = reach + t / 2
    bent = pull / (hook * t) + 6 * pull * away / (hook * t**2)
    yield Load("foot of the arm", f"F / ({hook:.1f} t) + 6 F {away:.1f} / ({hook:.1f} t^2)", bent, strength)
    slot = hook + 2 * gauge.slide_mm
    formula = f"6 (F {slot:.1f} / 12) / ({bar:.1f} t^2)"
    yield Load("bar of the catch plate", formula, 6 * pull * slot / 12 / (bar * t**2), strength)
    knuckle = (arm - 2 * gauge.knuckle_mm) / 3
    lever = curl + t / 2
    unrolled = 6 * pull * lever / (knuckle * t**2)
    yield Load("knuckle of the arm", f"6 F {lever:.2f} / ({knuckle:.1f} t^2)", unrolled, strength)
    wire = float(trade.value("metal.strength").value["brass"])
    sheared = pull / 2 / (math.pi * gauge.wire_mm**2 / 4)
    yield Load("hinge wire", f"(F / 2) / (pi {gauge.wire_mm:g}^2 / 4)", sheared, wire * _SHEAR, size="wire")


def _pin_strap(site: Site, gauge: Gauge, pull: float) -> Iterator[Load]:
    t, d, strength = gauge.sheet_mm, gauge.peg_mm, _strength(gauge)
    wide = arm_width_mm(site)
    lever = peg_height_mm(gauge) - max(1.5, d / 2) - t / 2
    yield Load(
        "peg, bent",
        f"32 F {lever:.2f} / (pi d^3)",
        32 * pull * lever / (math.pi * d**3),
        strength,
        None,
        "peg",
    )
    yield Load("peg, sheared", "4 F / (pi d^2)", 4 * pull / (math.pi * d**2), strength * _SHEAR, None, "peg")
    yield Load("hole of the strap end, crushed", f"F / ({d:g} t)", pull / (d * t), strength)
    edge = 1.5 * d
    yield Load("hole, torn out", f"F / (2 x {edge:.1f} t)", pull / (2 * edge * t), strength * _SHEAR)
    net = wide - d - gauge.slide_mm
    yield Load("strap end beside its hole", f"F / ({net:.1f} t)", pull / (net * t), strength)
    leather = trade.value("covering.strap_thickness").number
    most = trade.value("clasp.strap_strength").number
    yield Load("strap", f"F / ({wide:.1f} x {leather:g})", pull / (wide * leather), most, size="strap")


def _folded_slide(site: Site, gauge: Gauge, pull: float) -> Iterator[Load]:
    t, d, strength = gauge.sheet_mm, gauge.peg_mm, _strength(gauge)
    shank, height = 0.7 * d, stud_height_mm(gauge)
    formula = f"4 F / (pi {shank:.1f}^2)"
    yield Load("stud, sheared", formula, 4 * pull / (math.pi * shank**2), strength * _SHEAR, None, "peg")
    yield Load(
        "stud against its hole", f"F / ({d:g} x {height:.2f})", pull / (d * height), strength, None, "peg"
    )
    edge = (overlap_mm(site, gauge) - d) / 2
    yield Load(
        "hole, torn out", f"F / (2 x {edge:.1f} t)", pull / (2 * max(edge, 0.1) * t), strength * _SHEAR
    )
    # the tongue is a spring from its bend to its end: strain 1.5 t y / L^2
    spring = site.deep_mm - 2 * gauge.radius_mm - (gauge.radius_mm + t)
    strain = 1.5 * t * height / max(spring, 1.0) ** 2
    modulus = float(trade.value(f"{_table(gauge)}.modulus").value[gauge.material])
    formula = f"E 1.5 t {height:.2f} / {spring:.1f}^2"
    limit = strength if gauge.way == "sheet" else modulus * trade.value("printing.grip_strain").number
    yield Load("tongue as a spring", formula, modulus * strain, limit, None, "spring")
