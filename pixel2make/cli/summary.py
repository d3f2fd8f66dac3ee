"""What a maker wants to know when a pack is written: five figures, what is open, and where to look."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

from pixel2make.quantity import format_length, in_units

if TYPE_CHECKING:
    from pixel2make.api import Pack

__all__ = ["summary_json", "summary_lines"]

_FIRST = ("index.html", "README.txt", "drawing.pdf", "drawing.svg")
"""What to open, the first that is there and the next."""


def _edges(made: Pack) -> Iterator[tuple[str, float]]:
    from pixel2make import kinds

    names = kinds.find(made.design.reading.kind).edge_names
    for edge in ("height", "width", "thickness"):
        yield edge, made.design.dimension(names[edge]).value_mm


def _faithfulness(made: Pack) -> dict[str, Any] | None:
    """The figures of the proof back to pixels, as the pack's spec has them."""
    content = made.files.get("spec.json")
    found = json.loads(content).get("faithfulness") if content else None
    return found if isinstance(found, dict) else None


def summary_lines(made: Pack) -> Iterator[str]:
    """The summary for a person."""
    design = made.design
    reading, units = design.reading, design.units
    edges = "  ".join(f"{edge} {format_length(mm, units)}" for edge, mm in _edges(made))
    mass = f"  mass about {design.total_mass_g:.0f} g" if design.mass_g else ""
    yield f"{edges}{mass}"
    proof = _faithfulness(made)
    faithful = f"; {100 * proof['same_feature']:.0f} % of the pixels come out as drawn" if proof else ""
    yield f"{reading.view.kind} view, {round(100 * reading.view.confidence)} % sure{faithful}"
    for warning in (*design.warnings, *made.notes):
        yield f"note: {in_units(warning, units, apart=True)}"
    for question in reading.questions:
        yield f"open: {question.question} Taken: {question.taken}."
    first = [name for name in _FIRST if name in made.files]
    where = f"; begin with {made.folder / first[0]}" if first else ""
    yield f"{made.folder}: {len(made.files)} files{where}"


def summary_json(made: Pack) -> str:
    """The summary for a program: one JSON object, lengths in mm, mass in g."""
    design, view = made.design, made.design.reading.view
    content = {
        "folder": str(made.folder),
        "files": sorted(made.files),
        "size_mm": {edge: round(mm, 3) for edge, mm in _edges(made)},
        "mass_g": round(design.total_mass_g, 1),
        "view": {"kind": view.kind, "confidence": round(view.confidence, 3)},
        "faithfulness": _faithfulness(made),
        "warnings": [*design.warnings, *made.notes],
        "questions": [
            {"subject": q.subject, "question": q.question, "options": list(q.options), "taken": q.taken}
            for q in design.reading.questions
        ],
    }
    return json.dumps(content, ensure_ascii=False, indent=1)
