"""case.json: everything about the case for other programs."""

from __future__ import annotations

import json
from typing import Any

from pixel2make.design.case import CaseDesign
from pixel2make.design.light.model import LightPlan
from pixel2make.quantity import Dimension

__all__ = ["RECORD_VERSION", "case_json"]

RECORD_VERSION = 1


def case_json(case: CaseDesign) -> bytes:
    """UTF-8; lengths in millimetres; the same case, the same bytes."""
    record = {
        "case_version": RECORD_VERSION,
        "pose": {
            "name": case.pose.name,
            "angle_deg": case.pose.angle_deg,
            "room_mm": [_mm(v) for v in case.pose.size_mm],
        },
        "dimensions": [_dimension(dimension) for dimension in case.dimensions],
        "cover": "bent" if case.bent else "panels",
        "parts": [
            {
                "name": part.name,
                "material": part.material,
                "quantity": part.quantity,
                "thickness_mm": _mm(part.thickness_mm),
                "size_mm": {"width": _mm(part.size_mm[0]), "height": _mm(part.size_mm[1])},
                "grain": part.grain,
            }
            for part in case.parts
        ],
        "materials": [
            {
                "name": material.name,
                "amount": _mm(material.amount),
                "unit": material.unit,
                "allowance": material.allowance,
                "from": material.origin,
            }
            for material in case.materials
        ],
        "steps": [
            {
                "order": step.order,
                "name": step.name,
                "waits_for": list(step.waits_for),
                "wait_hours": _mm(step.wait_hours),
                "cautions": list(step.cautions),
            }
            for step in case.steps
        ],
        "choices": [
            {
                "key": choice.key,
                "question": choice.question,
                "options": list(choice.options),
                "taken": choice.taken,
                "effect_mm": [
                    {"option": option, "dimension": name, "change_mm": _mm(change)}
                    for option, name, change in choice.effect_mm
                ],
            }
            for choice in case.choices
        ],
        "mass_g": {name: _mm(grams) for name, grams in case.mass_g},
        "light": None if case.light is None else _light(case.light),
        "findings": [
            {"code": f.code, "subject": f.subject, "sentence": f.sentence, "source": f.source}
            for f in case.findings
        ],
        "warnings": list(case.warnings),
    }
    return (json.dumps(record, ensure_ascii=False, indent=1) + "\n").encode()


def _dimension(dimension: Dimension) -> dict[str, Any]:
    return {
        "name": dimension.name,
        "value_mm": _mm(dimension.value_mm),
        "low_mm": _mm(dimension.low_mm),
        "high_mm": _mm(dimension.high_mm),
        "from": dimension.origin,
        "rule": dimension.rule,
        "source": dimension.source,
    }


def _light(light: LightPlan) -> dict[str, Any]:
    return {
        "runs": [
            {"name": run.name, "room_mm": _mm(run.room_mm), "leds": run.leds, "strip_mm": _mm(run.strip_mm)}
            for run in light.runs
        ],
        "leds": light.leds,
        "leds_per_metre": light.per_metre,
        "led_ma": light.led_ma,
        "cap": light.cap,
        "full_white_a": _mm(light.full_white_a),
        "capped_white_a": _mm(light.capped_white_a),
        "worst_a": _mm(light.worst_a),
        "worst_frame": {"animation": light.worst_frame[0], "frame": light.worst_frame[1]},
        "supply_a": light.supply_a,
        "fuse_a": light.fuse_a,
        "wire_mm2": light.wire_mm2,
        "wire_awg": light.wire_awg,
        "lead_mm": _mm(light.lead_mm),
        "lead_drop_v": _mm(light.lead_drop_v),
        "strip_drop_v": _mm(light.strip_drop_v),
        "feeds": [{"after_leds": feed.after_leds, "where": feed.where} for feed in light.feeds],
        "data_resistor_ohm": light.data_resistor_ohm,
        "capacitor_uf": light.capacitor_uf,
        "frame_rate": light.frame_rate,
        "send_ms": _mm(light.send_ms),
        "reckon_ms": _mm(light.reckon_ms),
        "frame_ms": _mm(light.frame_ms),
        "heat_w": _mm(light.heat_w),
        "animation": light.animation,
        "colors": [list(color) for color in light.colors],
    }


def _mm(value: float) -> float:
    return round(float(value), 3) + 0.0
