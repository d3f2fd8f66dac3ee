"""A case from the object that it holds."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from pixel2make import trade
from pixel2make.design.case.lengths import Sized, size_case
from pixel2make.design.case.materials import case_mass_g, case_materials
from pixel2make.design.case.model import CaseDesign, Held
from pixel2make.design.case.movement import SOLID_WOODS, wood_movement
from pixel2make.design.case.parts import case_parts
from pixel2make.design.case.questions import CASE, case_keys
from pixel2make.design.case.steps import case_steps
from pixel2make.design.case.trench import trench_rooms
from pixel2make.design.choices import choices_with_effects, settle
from pixel2make.design.cutting import cutting_keys
from pixel2make.design.kind import ChoiceKey
from pixel2make.design.light.model import Rgb
from pixel2make.design.light.plan import light_plan
from pixel2make.design.model import Finding

__all__ = ["design_case"]

UNSURE_MM = 2.0
"""A case that is 2 mm off wastes a sheet; an object known worse than this is measured first."""


def design_case(
    held: Held, colors: Sequence[Rgb], answers: Mapping[str, str | float] | None = None
) -> CaseDesign:
    """A display case for an object.

    Parameters
    ----------
    held : Held
        The closed object.
    colors : sequence of (r, g, b)
        Its glow, for the light.
    answers : mapping of str to (str or float), optional
        By the keys of `case_keys`; others are at their default.

    Raises
    ------
    DesignError
        One line with numbers and the nearest thing that works.
    """
    keys = tuple(_asked(key) for key in case_keys() if key.key != CASE)
    asked = (*keys, *cutting_keys())
    known = {key.key for key in asked}
    taken = settle(asked, {k: v for k, v in (answers or {}).items() if k in known})
    sized = size_case(held, taken)
    parts = case_parts(sized)
    light = None if taken["led_run"] == "none" else light_plan(trench_rooms(sized), colors, taken)
    return CaseDesign(
        held=sized.held,
        taken=taken,
        pose=sized.pose,
        dimensions=sized.dimensions,
        bent=sized.bent,
        parts=parts,
        materials=case_materials(sized, parts, light),
        steps=case_steps(sized, light),
        choices=choices_with_effects(keys, taken, lambda other: size_case(held, other).dimensions),
        findings=tuple(_findings(sized)),
        warnings=tuple(_warnings(sized)),
        mass_g=case_mass_g(parts),
        light=light,
    )


def _asked(key: ChoiceKey) -> ChoiceKey:
    return replace(key, is_asked=True)


def _warnings(sized: Sized) -> Iterator[str]:
    for name in ("width", "depth", "height"):
        room = next(d for d in sized.dimensions if d.name == f"inside_{name}")
        if room.high_mm - room.low_mm > UNSURE_MM:
            yield (
                f"The inside {name} is {room.value_mm:.0f} mm, but the drawing leaves {room.low_mm:.0f} to "
                f"{room.high_mm:.0f} mm: measure the finished object and build again with measured_width, "
                "measured_height and measured_thickness before any acrylic is cut."
            )
            break
    if sized.why_panels:
        yield f"The cover is made of flat panels: {sized.why_panels.split(';')[0]}."


def _findings(sized: Sized) -> Iterator[Finding]:
    wood = str(sized.taken["case_wood"])
    if wood in SOLID_WOODS:
        moves = wood_movement(wood, sized["base_depth"], is_across=True)
        total, slot = moves.grow_mm + moves.shrink_mm, trade.value("case.screw_slot").number
        yield Finding(
            "moving-top",
            "base_top",
            f"A top of {wood.replace('_', ' ')} moves {total:.1f} mm across its grain in a year: screw it "
            f"from below through slots {total + slot:.1f} mm long at front and back, and glue it only in "
            "the middle.",
            total,
            None,
            trade.value(f"wood.shrinkage.{wood}").cited,
        )
    if sized.bent is not None and sized["acrylic_thickness"] > trade.value("acrylic.flip_above").number:
        limit = trade.value("acrylic.flip_above")
        yield Finding(
            "heat-both-sides",
            "cover_bent",
            f"A sheet of {sized['acrylic_thickness']:g} mm is turned over half way through heating, or "
            "heated from both sides.",
            sized["acrylic_thickness"],
            limit.number,
            limit.cited,
        )
