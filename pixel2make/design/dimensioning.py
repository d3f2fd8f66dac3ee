"""A reading and a real size to the real object."""

from __future__ import annotations

import math
from collections.abc import Mapping

from pixel2make.design.case.questions import case_keys
from pixel2make.design.checks import find
from pixel2make.design.choices import (
    choices_with_effects,
    proportions_key,
    proportions_taken,
    settle,
)
from pixel2make.design.kind import ChoiceKey, DesignKind
from pixel2make.design.model import Design
from pixel2make.design.scale import EDGES, Scaled, feature_masks, scaled_edges
from pixel2make.design.workshop import workshop_keys
from pixel2make.errors import DesignError
from pixel2make.quantity import Dimension
from pixel2make.reading.model import Reading

__all__ = ["choice_keys", "dimension", "feature_sizes", "sizes_for"]


def dimension(
    reading: Reading,
    kind: DesignKind,
    *,
    given: str = "height",
    size_mm: float = 300.0,
    choices: Mapping[str, str | float] | None = None,
) -> Design:
    """Scale a reading to a real size and make parts of it.

    Parameters
    ----------
    reading : Reading
    kind : DesignKind
        What the object is; the folder under ``kinds`` that the reading names.
    given : {"height", "width", "thickness"}
        The edge of the closed object whose real size is chosen.
    size_mm : float
        That size.
    choices : mapping of str to (str or float), optional
        The maker's answers; a float is a length in mm, a text an option or a length with its unit.

    Raises
    ------
    DesignError
        One line: where no object can be made of this, what would do instead.
    """
    if given not in EDGES:
        raise DesignError(f"the size is given as {', '.join(EDGES)}, not as {given!r}")
    if not (math.isfinite(size_mm) and size_mm > 0):
        raise DesignError(f"the {given} is above zero, got {size_mm:g} mm")
    keys = choice_keys(reading, kind)
    taken = settle(keys, choices or {})

    def scaled_for(answers: Mapping[str, str | float]) -> Scaled:
        return _scaled(reading, kind, given, size_mm, answers)

    scaled = scaled_for(taken)
    lengths = kind.lengths(scaled)
    made = kind.make(scaled, lengths)
    design = Design(
        reading=reading,
        given=given,
        dimensions=(*lengths.dimensions, *made.dimensions),
        feature_sizes=feature_sizes(scaled),
        parts=made.parts,
        areas=made.areas,
        clasps=made.clasps,
        materials=made.materials,
        steps=made.steps,
        choices=choices_with_effects(
            keys, taken, lambda answers: kind.lengths(scaled_for(answers)).dimensions
        ),
        findings=made.findings,
        warnings=(*lengths.warnings, *made.warnings),
        mass_g=made.mass_g,
        templates=made.templates,
        fittings=made.fittings,
        taken=taken,
    )
    return find(design)


def sizes_for(
    reading: Reading, kind: DesignKind, *, given: str, size_mm: float, taken: Mapping[str, str | float]
) -> tuple[Dimension, ...]:
    """The dimensions alone, under answers that are settled: a small part of the work of `dimension`."""
    scaled = _scaled(reading, kind, given, size_mm, taken)
    lengths = kind.lengths(scaled)
    return (*lengths.dimensions, *kind.make(scaled, lengths).dimensions)


def choice_keys(reading: Reading, kind: DesignKind) -> tuple[ChoiceKey, ...]:
    """Every choice that a plan for this reading may hold: the proportions, the kind's own, the workshop's.

    Those with ``is_asked`` False have nothing to change in this drawing.
    """
    shows = tuple(kind.edge_names[edge] for edge in EDGES)
    return (proportions_key(reading, shows), *kind.choice_keys(reading), *workshop_keys(), *case_keys())


def _scaled(
    reading: Reading, kind: DesignKind, given: str, size_mm: float, taken: Mapping[str, str | float]
) -> Scaled:
    proportions = proportions_taken(reading, taken)
    edges, px_mm = scaled_edges(
        reading,
        proportions,
        given=given,
        size_mm=size_mm,
        thickness_of=lambda drawn, height_mm: kind.thickness(drawn, height_mm, taken),
    )
    return Scaled(
        reading, given, proportions, edges["height"], edges["width"], edges["thickness"], px_mm, taken
    )


def feature_sizes(scaled: Scaled) -> dict[str, tuple[Dimension, Dimension]]:
    """Width and height in mm of every feature that lies on a face, from its bounding box there.

    Each end of the box is known to its pixel, so the interval is a pixel up and down.
    """
    found: dict[str, tuple[Dimension, Dimension]] = {}
    for feature in scaled.reading.features:
        if feature.face is None:
            continue
        mask = feature_masks(scaled.reading, feature).get(feature.face, feature.mask)
        box = scaled.box(mask, feature.face)
        if box is None:
            continue
        name = feature.id.replace("-", "_")
        rule = f"bounding box on the {feature.face.replace('_', ' ')}, plus and minus one pixel"
        found[feature.id] = (
            box.width.dimension(f"{name}_width", "sprite", rule, scaled.proportions.source),
            box.height.dimension(f"{name}_height", "sprite", rule, scaled.proportions.source),
        )
    return found
