"""Rows of the records for other programs: a dimension, a part, a step ... as plain JSON.

Every record of a pack writes the same thing in the same way, lengths in millimetres to the thousandth.
Sentences for people are written with the maker's units; names and numbers never change with them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from pixel2make.design.model import Choice, Finding, Material, Part, Step, Template
from pixel2make.design.moved import Move
from pixel2make.quantity import UNITS, Dimension, in_units

__all__ = [
    "choice_row",
    "dimension_row",
    "finding_row",
    "material_row",
    "mm",
    "move_row",
    "part_row",
    "point_row",
    "share",
    "step_row",
    "template_row",
]

_DECIMALS = 3
"""A thousandth of a millimetre: far below what any process here can hold."""


def mm(value: float) -> float:
    """A length, rounded; never a negative zero.

    >>> mm(-0.0001), mm(12.34567)
    (0.0, 12.346)
    """
    return round(float(value), _DECIMALS) + 0.0


share = mm
"""A plain ratio is rounded as lengths are."""


def point_row(point: Sequence[float]) -> list[float]:
    """Coordinates."""
    return [mm(v) for v in point]


def dimension_row(dimension: Dimension, units: str = UNITS[0]) -> dict[str, Any]:
    """A length with its interval, where it comes from and by which rule."""
    return {
        "name": dimension.name,
        "value_mm": mm(dimension.value_mm),
        "low_mm": mm(dimension.low_mm),
        "high_mm": mm(dimension.high_mm),
        "from": dimension.origin,
        "rule": in_units(dimension.rule, units),
        "source": in_units(dimension.source, units),
    }


def part_row(part: Part) -> dict[str, Any]:
    """A piece to cut or make."""
    return {
        "name": part.name,
        "material": part.material,
        "quantity": part.quantity,
        "thickness_mm": mm(part.thickness_mm),
        "size_mm": {"width": mm(part.size_mm[0]), "height": mm(part.size_mm[1])},
        "grain": part.grain,
    }


def material_row(material: Material, units: str = UNITS[0]) -> dict[str, Any]:
    """An amount, as it is needed and as shops sell it."""
    buy, unit = material.to_buy
    return {
        "name": material.name,
        "amount": mm(material.amount),
        "unit": material.unit,
        "buy": mm(buy),
        "buy_unit": unit,
        "allowance": in_units(material.allowance, units),
        "from": in_units(material.origin, units),
    }


def step_row(step: Step, units: str = UNITS[0]) -> dict[str, Any]:
    """A step of the order of work."""
    return {
        "order": step.order,
        "name": step.name,
        "waits_for": list(step.waits_for),
        "bench_minutes": mm(step.bench_minutes),
        "bench_source": step.bench_source,
        "wait_hours": mm(step.wait_hours),
        "cautions": [in_units(caution, units) for caution in step.cautions],
    }


def choice_row(choice: Choice, units: str = UNITS[0]) -> dict[str, Any]:
    """A question with what each answer moves."""
    return {
        "key": choice.key,
        "question": in_units(choice.question, units),
        "options": list(choice.options),
        "taken": choice.taken,
        "effect_mm": [
            {"option": option, "dimension": name, "change_mm": mm(change)}
            for option, name, change in choice.effect_mm
        ],
    }


def finding_row(finding: Finding, units: str = UNITS[0]) -> dict[str, Any]:
    """What a check noticed."""
    return {
        "code": finding.code,
        "subject": finding.subject,
        "sentence": in_units(finding.sentence, units, apart=True),
        "measured_mm": None if finding.measured_mm is None else mm(finding.measured_mm),
        "limit_mm": None if finding.limit_mm is None else mm(finding.limit_mm),
        "source": in_units(finding.source, units),
    }


def move_row(move: Move) -> dict[str, Any]:
    """A figure before and after; null where the object has no such thing."""
    before, after, change = (None if v is None else mm(v) for v in (move.before, move.after, move.change))
    return {"name": move.name, "unit": move.unit, "before": before, "after": after, "change": change}


def template_row(template: Template, units: str = UNITS[0]) -> dict[str, Any]:
    """A jig with its holes from the upper end down, each with its distance from the one above it."""
    x0, y0, x1, y1 = template.outline.bounds
    above = [None, *(hole.y_mm for hole in template.holes)]
    return {
        "name": template.name,
        "size_mm": {"width": mm(x1 - x0), "height": mm(y1 - y0)},
        "upper_end": template.upper_end,
        "lower_end": template.lower_end,
        "fold_mm": None if template.fold_mm is None else mm(template.fold_mm),
        "holes": [
            {
                "name": hole.name,
                "x_mm": mm(hole.x_mm),
                "from_upper_end_mm": mm(hole.y_mm - y0),
                "from_lower_end_mm": mm(y1 - hole.y_mm),
                "from_hole_above_mm": None if before is None else mm(hole.y_mm - before),
                "diameter_mm": mm(hole.diameter_mm),
            }
            for hole, before in zip(template.holes, above, strict=False)
        ],
        "bands": [
            {"name": name, "from_upper_end_mm": mm(upper - y0), "width_mm": mm(lower - upper)}
            for name, upper, lower in template.bands
        ],
        "notes": [in_units(note, units) for note in template.notes],
    }
