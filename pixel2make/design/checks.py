"""Checks that hold for every kind of object: each a small generator of findings, apart from the making."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from itertools import pairwise

import shapely

from pixel2make import trade
from pixel2make.design.cutting import cutting_of
from pixel2make.design.joints import divided, fits, grain_upright
from pixel2make.design.model import Design, Finding, Part
from pixel2make.design.scale import GIVEN
from pixel2make.quantity import rounded_down, rounded_up

__all__ = ["CHECKS", "find"]

_INSCRIBED_TOLERANCE_MM = 0.05
"""How exactly the widest place of an area is found; a twentieth of the least width that matters."""


def find(design: Design) -> Design:
    """The design with what every check found; each sentence is also a warning."""
    return design.noting(finding for check in CHECKS for finding in check(design))


def check_stock(design: Design) -> Iterator[Finding]:
    """Does each piece come out of one sheet, with the grain as it should run? If not, how is it joined?"""
    cutting = cutting_of(design.taken)
    for part in design.parts:
        if not part.is_cut or not cutting.knows(part.material):
            continue
        room, upright = cutting.room_mm(part.material), grain_upright(part)
        if fits(upright, room):
            continue
        sheet = cutting.stock_mm(part.material)
        larger = (
            f"{_named(part.name)} is {_size(part.size_mm)}, larger than a sheet of "
            f"{part.material.replace('_', ' ')} ({sheet[0]:g} x {sheet[1]:g} mm"
            f"{', grain along the height' if part.grain else ''})"
        )
        pieces = divided(upright, room)
        share, side, limit = _over(upright, room)
        if len(pieces) > 1:
            advice = f"it is cut in {len(pieces)} pieces, {pieces[0].joint}."
        else:
            size = given_size_mm(design)
            below = f"{design.given} {math.floor(size * share)} mm" if size else f"{share:.0%} of this size"
            advice = f"it is not joined: choose a larger sheet, or a size, at most {below}."
        yield Finding(
            "larger-than-stock" if len(pieces) == 1 else "pieced",
            part.name,
            f"{larger}; {advice}",
            round(side, 3),
            round(limit, 3),
            cutting.stock_source(part.material),
        )


def given_size_mm(design: Design) -> float | None:
    """The edge whose size the maker gave."""
    found = (d for d in design.dimensions if d.origin == "maker" and d.rule == GIVEN)
    return next((dimension.value_mm for dimension in found), None)


def _over(part: Part, room: tuple[float, float]) -> tuple[float, float, float]:
    """How much smaller the part would have to be, and the side that decides it with its limit."""
    rooms = (room,) if part.grain else (room, room[::-1])
    return max(min((r / v, v, r) for v, r in zip(part.size_mm, limit, strict=True)) for limit in rooms)


def check_clasps(design: Design) -> Iterator[Finding]:
    """Is each clasp within the height of the cover, long enough to bend and thick enough to print?"""
    flange = trade.value("metal.least_flange")
    per_sheet, per_radius = flange.numbers
    wall = trade.value("printing.fdm_wall")
    for clasp in design.clasps:
        name = _named(clasp.name)
        least = per_sheet * clasp.sheet.value_mm + per_radius * clasp.inside_radius.value_mm
        if clasp.plate_length.value_mm < least:
            yield Finding(
                "short-flange",
                clasp.name,
                f"{name} reaches {rounded_down(clasp.plate_length.value_mm)} mm onto the cover; sheet "
                f"metal bends from "
                f"{rounded_up(least)} mm on. Use thinner sheet or print it.",
                clasp.plate_length.value_mm,
                least,
                flange.cited,
            )
        if clasp.wall.value_mm < wall.number:
            yield Finding(
                "thin-wall",
                clasp.name,
                f"{name} has walls of {rounded_down(clasp.wall.value_mm)} mm; prints last from "
                f"{wall.number:g} mm on. "
                f"Make it of metal or choose a larger size.",
                clasp.wall.value_mm,
                wall.number,
                wall.cited,
            )


def check_clasp_places(design: Design) -> Iterator[Finding]:
    """Do the clasps lie beside each other?"""
    ordered = sorted(design.clasps, key=lambda clasp: (clasp.position_mm, clasp.name))
    for upper, lower in pairwise(ordered):
        gap = lower.position_mm - upper.position_mm - upper.width.value_mm
        if gap < 0:
            yield Finding(
                "clasps-overlap",
                lower.name,
                f"{_named(lower.name)} and {upper.name} overlap by {rounded_up(-gap)} mm along the height; "
                "choose a larger size.",
                gap,
                0.0,
                "common practice",
            )


def check_detail(design: Design) -> Iterator[Finding]:
    """Is each area wide enough somewhere to be gilded or painted through a mask?"""
    line = trade.value("gilding.smallest_line")
    least = float(line.value["masked_size"])
    for area in design.areas:
        radius = shapely.maximum_inscribed_circle(area.outline, tolerance=_INSCRIBED_TOLERANCE_MM).length
        if 2 * radius < least:
            yield Finding(
                "fine-detail",
                area.name,
                f"{_named(area.name)} is {rounded_down(2 * radius)} mm wide at its widest; a mask holds from "
                f"{least:g} mm on. Use a foil pen ({line.value['foil_pen']:g} mm) or choose a larger size.",
                round(2 * radius, 3),
                least,
                line.cited,
            )


def check_mass(design: Design) -> Iterator[Finding]:
    """Can it be carried in one hand? ``measured_mm`` stays empty: grams are no millimetres."""
    limits = trade.value("body.one_hand_mass")
    total = design.total_mass_g
    if total > limits.value["pleasant"]:
        word = "tiring to hold" if total <= limits.value["tiring"] else "heavy"
        # Mass goes with the cube of the size, but for sheets that keep their thickness.
        share = math.floor(100 * (limits.value["pleasant"] / total) ** (1 / 3))
        yield Finding(
            "heavy",
            "mass",
            f"The finished piece weighs about {total:.0f} g, {word} in one hand (pleasant to "
            f"{limits.value['pleasant']} g); choose a lighter inside or about {share}% of this size.",
            source=limits.cited,
        )


CHECKS: tuple[Callable[[Design], Iterator[Finding]], ...] = (
    check_stock,
    check_clasps,
    check_clasp_places,
    check_detail,
    check_mass,
)


def _named(name: str) -> str:
    return name.replace("_", " ").capitalize()


def _size(size_mm: tuple[float, float]) -> str:
    return f"{rounded_up(size_mm[0])} x {rounded_up(size_mm[1])} mm"
