"""What is sure and what is the maker's to decide."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from pixel2make.design.alternatives import Moves
from pixel2make.design.model import Choice, Design
from pixel2make.pack.report.blocks import table
from pixel2make.pack.report.markup import Content, Markup, join, tag
from pixel2make.pack.report.pictures import feature_key, shown_features, swatch
from pixel2make.pack.report.words import change, digits, length, percent, plain
from pixel2make.quantity import in_units
from pixel2make.reading.model import Question, Reading

__all__ = [
    "choice_table",
    "faithfulness_account",
    "faithfulness_of",
    "feature_table",
    "question_table",
    "reading_account",
]

_NOTHING = "the whole object"
MOST_MOVES = 4
"""Lengths that are named for an answer, those first that move most."""


def feature_table(design: Design) -> Markup:
    """Legend of the feature map: key, name, where it lies, size, certainty and reasons."""
    units = design.units
    reading = design.reading
    rows: list[tuple[Content, ...]] = []
    for feature in shown_features(reading):
        size = design.feature_sizes.get(feature.id)
        rows.append(
            (
                join(tag("span", swatch(feature.feature), feature_key(reading, feature), class_="legend")),
                plain(feature.feature),
                plain(feature.face) if feature.face else "on no face",
                f"{digits(size[0].value_mm, units)} × {digits(size[1].value_mm, units)}" if size else "",
                percent(feature.confidence),
                " ".join(feature.why),
            )
        )
    head = ("Key", "taken for", "face", f"width × height {units}", "sure", "because")
    note = "Size is where the feature lies on its face, turned face on."
    return table("What each part of the sprite was taken for", head, rows, numeric=(3, 4), note=note)


def question_table(
    design: Design, moves: Mapping[tuple[str, str], Moves] | None = None, plan: str | None = None
) -> Markup:
    """Questions that the drawing leaves open, how large a thing each is about, and what an answer moves.

    Parameters
    ----------
    design : Design
    moves : mapping of (subject, answer) to Moves, optional
    plan : str, optional
        Path of the plan in the pack, to be linked.
    """
    rows = [
        (
            question.question,
            plain(question.taken),
            _at_stake(design, question),
            _answers(question, moves or {}, design.units),
        )
        for question in design.reading.questions
    ]
    head = ("The drawing leaves open", "taken", "it is about", "what another answer moves")
    link = tag("a", plan, href=plan) if plan else "the plan"
    note = join(
        "Answer in ",
        link,
        " and build again from it. A change is against what was taken; a length that comes or goes "
        "changes by all of itself.",
    )
    return table("Open questions", head, rows, note=note, class_="choices")


def _answers(question: Question, moves: Mapping[tuple[str, str], Moves], units: str) -> Content:
    """Each other answer with the lengths that it moves most."""
    items: list[Content] = []
    still: list[str] = []
    for option in question.options:
        if option == question.taken:
            continue
        found = moves.get((question.subject, option))
        if not found:
            still.append(plain(option) + ("" if found is None else " (no length moves)"))
            continue
        said = ", ".join(f"{plain(name)} {change(mm, units)}" for name, mm in found[:MOST_MOVES])
        more = f" and {len(found) - MOST_MOVES} more" if len(found) > MOST_MOVES else ""
        items.append(tag("li", tag("b", plain(option)), f": {said}{more}"))
    if still:
        items.append(tag("li", ", ".join(still)))
    return tag("ul", *items, class_="effects")


def _at_stake(design: Design, question: Question) -> str:
    """How large the patch in question is on the object."""
    reading, units = design.reading, design.units
    patch = next((p for p in reading.patches if p.name == question.subject), None)
    if patch is None or not patch.mask.any():
        return _NOTHING
    face = next((f for f in reading.faces if f.name == patch.face and f.is_visible), None)
    sides = _face_mm(design, patch.face)
    if face is None or sides is None:
        return f"{int(patch.mask.sum())} pixels"
    ys, xs = np.nonzero(patch.mask)
    at = face.to_face(np.stack([xs + 0.5, ys + 0.5], axis=1))
    pixel = _pixel_share(face)
    extent = np.clip(at.max(axis=0) - at.min(axis=0) + pixel, 0.0, 1.0) * sides
    return f"a piece of {digits(float(extent[0]), units)} × {length(float(extent[1]), units)}"


def _pixel_share(face: object) -> np.ndarray:
    a, b = (float(np.hypot(*getattr(face, edge))) for edge in ("a_px", "b_px"))
    return np.array([1 / max(a, 1.0), 1 / max(b, 1.0)])


def _face_mm(design: Design, face: str | None) -> tuple[float, float] | None:
    from pixel2make.pack.masks import face_size_mm

    try:
        return face_size_mm(design, face) if face else None
    except KeyError:
        return None


def choice_table(design: Design) -> Markup:
    """Every choice with what each other answer would move."""
    units = design.units
    rows = [
        (
            join(tag("span", in_units(choice.question, units)), " ", tag("code", choice.key)),
            _taken(choice),
            _effects(choice, units),
        )
        for choice in design.choices
    ]
    note = join(
        "Answer with ",
        tag("code", "--set key=answer"),
        " or in the plan, and build again. A change is against what was taken.",
    )
    return table(
        "Choices", ("Choice", "taken", "what another answer moves"), rows, note=note, class_="choices"
    )


def _taken(choice: Choice) -> Markup:
    return tag("b", plain(choice.taken))


def _effects(choice: Choice, units: str) -> Content:
    moved: dict[str, list[str]] = {}
    for option, name, mm in choice.effect_mm:
        moved.setdefault(option, []).append(f"{plain(name)} {change(mm, units)}")
    items: list[Markup] = []
    still: list[str] = []
    for option in choice.options:
        if option == choice.taken:
            continue
        if option in moved:
            items.append(tag("li", tag("b", plain(option)), ": ", ", ".join(moved[option])))
        else:
            still.append(plain(option))
    if still:
        items.append(
            tag(
                "li",
                ", ".join(still),
                tag("span", " (no length shown moves)", class_="quiet") if choice.effect_mm else None,
            )
        )
    return tag("ul", *items, class_="effects") if items else "nothing else on offer"


def reading_account(design: Design) -> Markup:
    """How sure the reading is and why, and the other true proportions that were weighed."""
    reading = design.reading
    view = reading.view
    why = tag("ul", *(tag("li", sentence) for sentence in (*view.why, *_notes(reading))))
    first = tag(
        "p",
        f"The sprite was read as a {plain(reading.kind)} in ",
        tag("b", f"{plain(view.kind)} view"),
        f", {percent(view.confidence)} sure; each corner of the drawn box may be off by ",
        f"{view.uncertainty_px:.1f} pixels.",
    )
    head = ("Proportions", "width : height : thickness", "weight", "why", "source")
    rows = [
        (
            plain(p.name),
            " : ".join(f"{r:.2f}" if r else "not drawn" for r in p.ratio),
            percent(p.weight),
            p.why,
            p.source,
        )
        for p in reading.proportions
    ]
    return join(
        first, why, table("True proportions that were weighed, the first taken", head, rows, numeric=(1, 2))
    )


def _notes(reading: Reading) -> Iterable[str]:
    return (*reading.notes, *reading.regions.sprite.notes)


def faithfulness_of(files: Mapping[str, bytes]) -> Mapping[str, Any] | None:
    """The figures of the proof back to pixels as spec.json has them; None without a proof."""
    spec = json.loads(files["spec.json"]) if "spec.json" in files else {}
    found = spec.get("faithfulness")
    return found if isinstance(found, dict) else None


def faithfulness_account(proof: Mapping[str, Any] | None) -> Markup | None:
    """How faithful the object is to the drawing, in figures and by feature."""
    if not proof:
        return None
    said = tag(
        "p",
        "The finished design, drawn again on the sprite's own grid: ",
        tag("b", percent(proof["same_feature"])),
        " of the pixels show the same feature as the sprite, the silhouettes overlap by ",
        tag("b", percent(proof["silhouette"])),
        f", and the colours, light and shade of the drawing among them, differ by CIEDE2000 "
        f"{proof['color_difference']:.1f} on average.",
    )
    rows = [
        (
            plain(str(fit["feature"])),
            str(fit["pixels"]),
            percent(fit["same"]),
            "" if fit.get("color_difference") is None else f"{fit['color_difference']:.1f}",
        )
        for fit in proof.get("features", ())
    ]
    head = ("Feature", "pixels", "come out as drawn", "mean colour difference")
    return join(said, table("Faithfulness by feature", head, rows, numeric=(1, 2, 3)))
