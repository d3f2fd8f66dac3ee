"""spec.json: everything the pack is made from, for other programs."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from pixel2make.design.model import Design
from pixel2make.pack.formats import expanded
from pixel2make.pack.proof.faithfulness import faithfulness_json
from pixel2make.pack.rows import (
    choice_row,
    dimension_row,
    finding_row,
    material_row,
    mm,
    part_row,
    point_row,
    share,
    step_row,
    template_row,
)
from pixel2make.pack.sewing_template import template_path
from pixel2make.quantity import in_units
from pixel2make.reading.model import Reading, Rounding

__all__ = ["SPEC_VERSION", "schema", "spec", "spec_bytes"]

SPEC_VERSION = 1


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
    reading, units = design.reading, design.units
    return {
        "spec_version": SPEC_VERSION,
        "kind": reading.kind,
        "sprite": _sprite(reading),
        "view": _view(reading),
        "proportions": [
            {
                "name": p.name,
                "width": mm(p.ratio[0]),
                "height": mm(p.ratio[1]),
                "thickness": mm(p.ratio[2]),
                "weight": share(p.weight),
                "source": p.source,
            }
            for p in reading.proportions
        ],
        "features": [_feature(design, feature) for feature in reading.features],
        "dimensions": [dimension_row(dimension, units) for dimension in design.dimensions],
        "parts": [
            {**part_row(part), "files": sorted(part_files.get(part.name, ()))} for part in design.parts
        ],
        "mass": _mass(design),
        "materials": [material_row(material, units) for material in design.materials],
        "templates": [
            {**template_row(template, units), "files": list(expanded(template_path(template)))}
            for template in design.templates
        ],
        "steps": [step_row(step, units) for step in design.steps],
        "choices": [choice_row(choice, units) for choice in design.choices],
        "questions": [
            {"subject": q.subject, "question": q.question, "options": list(q.options), "taken": q.taken}
            for q in reading.questions
        ],
        "findings": [finding_row(finding, units) for finding in design.findings],
        "faithfulness": faithfulness_json(design),
        "warnings": [in_units(warning, units, apart=True) for warning in design.warnings],
    }


def _mass(design: Design) -> dict[str, Any]:
    """Of all pieces of a part together; the total is their sum before anything is rounded."""
    return {
        "total_g": share(design.total_mass_g),
        "parts": [{"name": name, "g": share(grams)} for name, grams in design.mass_g],
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
        "grid_confidence": share(sprite.grid.confidence),
        "background": sprite.background_kind,
        "frame": sprite.frame,
        "region_px": None if sprite.region_px is None else list(sprite.region_px),
        "notes": list(sprite.notes),
    }


def _view(reading: Reading) -> dict[str, Any]:
    view = reading.view
    return {
        "kind": view.kind,
        "confidence": share(view.confidence),
        "axes_px": {
            "width": point_row(view.width_px),
            "height": point_row(view.height_px),
            "thickness": None if view.thickness_px is None else point_row(view.thickness_px),
            "strip": None if view.strip_px is None else point_row(view.strip_px),
        },
        "cover_corners_px": [point_row(corner) for corner in view.cover_corners_px],
        "uncertainty_px": share(view.uncertainty_px),
        "why": list(view.why),
        "light": _light(reading),
        "measured": _measured(reading),
    }


def _measured(reading: Reading) -> dict[str, Any]:
    """Corners, squares, bevel and raised bands as far as the pixels tell, with what they allow."""

    def length(found: Rounding | None) -> dict[str, Any] | None:
        if found is None:
            return None
        low, high = share(found.low_px), share(found.high_px)
        return {"px": share(found.value_px), "low_px": low, "high_px": high, "why": found.why}

    return {
        "corner_rounding": length(reading.corner_rounding),
        "square": length(reading.square_px),
        "chamfer": length(reading.chamfer),
        "bands": [
            {
                "at": share(band.at),
                "at_low": share(band.at_low),
                "at_high": share(band.at_high),
                "width": share(band.width),
                "width_low": share(band.width_low),
                "width_high": share(band.width_high),
                "confidence": share(band.confidence),
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
        "direction_px": point_row(light.direction_px),
        "confidence": share(light.confidence),
        "why": light.why,
    }


def _feature(design: Design, feature: Any) -> dict[str, Any]:
    size = design.feature_sizes.get(feature.id)
    return {
        "id": feature.id,
        "feature": feature.feature,
        "confidence": share(feature.confidence),
        "why": list(feature.why),
        "patches": list(feature.patches),
        "pixels": [[int(x), int(y)] for y, x in np.argwhere(feature.mask)],
        "face": feature.face,
        "size_mm": None
        if size is None
        else {"width": dimension_row(size[0], design.units), "height": dimension_row(size[1], design.units)},
    }
