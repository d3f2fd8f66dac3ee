"""case.json: everything about the case for other programs."""

from __future__ import annotations

import json
from typing import Any

from pixel2make.design.case import CaseDesign
from pixel2make.design.light.model import LightPlan
from pixel2make.pack.rows import (
    choice_row,
    dimension_row,
    finding_row,
    material_row,
    mm,
    part_row,
    step_row,
)

__all__ = ["RECORD_VERSION", "case_json"]

RECORD_VERSION = 1


def case_json(case: CaseDesign) -> bytes:
    """UTF-8; lengths in millimetres; the same case, the same bytes."""
    record = {
        "case_version": RECORD_VERSION,
        "pose": {
            "name": case.pose.name,
            "angle_deg": case.pose.angle_deg,
            "room_mm": [mm(v) for v in case.pose.size_mm],
        },
        "dimensions": [dimension_row(dimension) for dimension in case.dimensions],
        "cover": "bent" if case.bent else "panels",
        "parts": [part_row(part) for part in case.parts],
        "materials": [material_row(material) for material in case.materials],
        "steps": [step_row(step) for step in case.steps],
        "choices": [choice_row(choice) for choice in case.choices],
        "mass_g": {name: mm(grams) for name, grams in case.mass_g},
        "light": None if case.light is None else _light(case.light),
        "findings": [finding_row(finding) for finding in case.findings],
        "warnings": list(case.warnings),
    }
    return (json.dumps(record, ensure_ascii=False, indent=1) + "\n").encode()


def _light(light: LightPlan) -> dict[str, Any]:
    return {
        "runs": [
            {"name": run.name, "room_mm": mm(run.room_mm), "leds": run.leds, "strip_mm": mm(run.strip_mm)}
            for run in light.runs
        ],
        "leds": light.leds,
        "leds_per_metre": light.per_metre,
        "led_ma": light.led_ma,
        "cap": light.cap,
        "full_white_a": mm(light.full_white_a),
        "capped_white_a": mm(light.capped_white_a),
        "worst_a": mm(light.worst_a),
        "worst_frame": {"animation": light.worst_frame[0], "frame": light.worst_frame[1]},
        "supply_a": light.supply_a,
        "fuse_a": light.fuse_a,
        "wire_mm2": light.wire_mm2,
        "wire_awg": light.wire_awg,
        "lead_mm": mm(light.lead_mm),
        "lead_drop_v": mm(light.lead_drop_v),
        "strip_drop_v": mm(light.strip_drop_v),
        "feeds": [{"after_leds": feed.after_leds, "where": feed.where} for feed in light.feeds],
        "data_resistor_ohm": light.data_resistor_ohm,
        "capacitor_uf": light.capacitor_uf,
        "frame_rate": light.frame_rate,
        "send_ms": mm(light.send_ms),
        "reckon_ms": mm(light.reckon_ms),
        "frame_ms": mm(light.frame_ms),
        "heat_w": mm(light.heat_w),
        "animation": light.animation,
        "colors": [list(color) for color in light.colors],
    }
