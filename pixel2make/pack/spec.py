"""spec.json: everything the pack is made from, for other programs."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from pixel2make.design.model import Design
from pixel2make.pack.proof.faithfulness import faithfulness_json
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Reading, Rounding

__all__ = ["SPEC_VERSION", "schema", "spec", "spec_bytes"]

SPEC_VERSION = 1

_MM_DECIMALS = 3
"""A thousandth of a millimetre: far below what any process here can hold."""


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of spec.json, as shipped with the package."""
    from importlib.resources import files

    text = files("pixel2make.pack").joinpath("spec.schema.json").read_text("utf-8")
    loaded: dict[str, Any] = json.loads(text)
    return loaded


def spec_bytes(design: Design, *, part_files: Mapping[str, Sequence[str]]) -> bytes:
    """spec.json as UTF-8; same design, same bytes."""
    text = json.dumps(spec(design, part_files=part_files), ensure_ascii=False, indent=1)
    return (text + "\n").encode()


def spec(design: Design, *, part_files: Mapping[str, Sequence[str]]) -> dict[str, Any]:
    """The content of spec.json.

    Parameters
    ----------
    design : Design
    part_files : mapping of part name to paths in the pack
        Where each part is drawn, modelled or laid out.
    """
    reading = design.reading
    return {
        "spec_version": SPEC_VERSION,
        "kind": reading.kind,
        "sprite": _sprite(reading),
        "view": _view(reading),
        "proportions": [
            {
                "name": p.name,
                "width": _mm(p.ratio[0]),
                "height": _mm(p.ratio[1]),
                "thickness": _mm(p.ratio[2]),
                "weight": _share(p.weight),
                "source": p.source,
            }
            for p in reading.proportions
        ],
        "features": [_feature(design, feature) for feature in reading.features],
        "dimensions": [_dimension(dimension) for dimension in design.dimensions],
        "parts": [
            {
                "name": part.name,
                "material": part.material,
                "quantity": part.quantity,
                "thickness_mm": _mm(part.thickness_mm),
                "size_mm": {"width": _mm(part.size_mm[0]), "height": _mm(part.size_mm[1])},
                "grain": part.grain,
                "files": sorted(part_files.get(part.name, ())),
            }
            for part in design.parts
        ],
        "materials": [
            {
                "name": material.name,
                "amount": _mm(material.amount),
                "unit": material.unit,
                "allowance": material.allowance,
                "from": material.origin,
            }
            for material in design.materials
        ],
        "steps": [
            {
                "order": step.order,
                "name": step.name,
                "waits_for": list(step.waits_for),
                "wait_hours": _mm(step.wait_hours),
                "cautions": list(step.cautions),
            }
            for step in design.steps
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
            for choice in design.choices
        ],
        "questions": [
            {"subject": q.subject, "question": q.question, "options": list(q.options), "taken": q.taken}
            for q in reading.questions
        ],
        "findings": [
            {
                "code": finding.code,
                "subject": finding.subject,
                "sentence": finding.sentence,
                "measured_mm": None if finding.measured_mm is None else _mm(finding.measured_mm),
                "limit_mm": None if finding.limit_mm is None else _mm(finding.limit_mm),
                "source": finding.source,
            }
            for finding in design.findings
        ],
        "faithfulness": faithfulness_json(design),
        "warnings": list(design.warnings),
    }


def _sprite(reading: Reading) -> dict[str, Any]:
    sprite = reading.regions.sprite
    rows, columns = sprite.shape
    return {
        "file": sprite.file,
        "sha256": sprite.sha256,
        "width_px": columns,
        "height_px": rows,
        "scale": round(float(sprite.grid.scale), 4),
        "grid_confidence": _share(sprite.grid.confidence),
        "background": sprite.background_kind,
        "frame": sprite.frame,
        "region_px": None if sprite.region_px is None else list(sprite.region_px),
        "notes": list(sprite.notes),
    }


def _view(reading: Reading) -> dict[str, Any]:
    view = reading.view
    return {
        "kind": view.kind,
        "confidence": _share(view.confidence),
        "axes_px": {
            "width": _point(view.width_px),
            "height": _point(view.height_px),
            "thickness": None if view.thickness_px is None else _point(view.thickness_px),
            "strip": None if view.strip_px is None else _point(view.strip_px),
        },
        "cover_corners_px": [_point(corner) for corner in view.cover_corners_px],
        "uncertainty_px": _share(view.uncertainty_px),
        "why": list(view.why),
        "light": _light(reading),
        "measured": _measured(reading),
    }


def _measured(reading: Reading) -> dict[str, Any]:
    """Corners, squares, bevel and raised bands as far as the pixels tell, with what they allow."""

    def length(found: Rounding | None) -> dict[str, Any] | None:
        if found is None:
            return None
        low, high = _share(found.low_px), _share(found.high_px)
        return {"px": _share(found.value_px), "low_px": low, "high_px": high, "why": found.why}

    return {
        "corner_rounding": length(reading.corner_rounding),
        "square": length(reading.square_px),
        "chamfer": length(reading.chamfer),
        "bands": [
            {
                "at": _share(band.at),
                "at_low": _share(band.at_low),
                "at_high": _share(band.at_high),
                "width": _share(band.width),
                "width_low": _share(band.width_low),
                "width_high": _share(band.width_high),
                "confidence": _share(band.confidence),
                "why": band.why,
            }
            for band in reading.bands
        ],
    }


def _light(reading: Reading) -> dict[str, Any] | None:
    light = reading.regions.light
    if light is None:
        return None
    return {
        "direction_px": _point(light.direction_px),
        "confidence": _share(light.confidence),
        "why": light.why,
    }


def _feature(design: Design, feature: Any) -> dict[str, Any]:
    size = design.feature_sizes.get(feature.id)
    return {
        "id": feature.id,
        "feature": feature.feature,
        "confidence": _share(feature.confidence),
        "why": list(feature.why),
        "patches": list(feature.patches),
        "pixels": [[int(x), int(y)] for y, x in np.argwhere(feature.mask)],
        "face": feature.face,
        "size_mm": None if size is None else {"width": _dimension(size[0]), "height": _dimension(size[1])},
    }


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


def _mm(value: float) -> float:
    return round(float(value), _MM_DECIMALS) + 0.0


def _share(value: float) -> float:
    return round(float(value), 3) + 0.0


def _point(point: Sequence[float]) -> list[float]:
    return [round(float(v), 3) + 0.0 for v in point]
