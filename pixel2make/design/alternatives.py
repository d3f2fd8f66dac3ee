"""What each open question would move: the lengths of the object, had another answer been taken."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from pixel2make.design.choices import settle
from pixel2make.design.dimensioning import choice_keys, sizes_for
from pixel2make.design.kind import DesignKind
from pixel2make.design.model import Design
from pixel2make.errors import Pixel2MakeError
from pixel2make.reading.interpreting import interpret
from pixel2make.reading.kind import ReadingKind
from pixel2make.reading.model import Overrides, Question, Reading

__all__ = ["Moves", "question_moves"]

Moves = tuple[tuple[str, float], ...]
"""Names of dimensions and their change in mm, the largest first; a length that comes or goes changes by
all of itself."""

LEAST_MM = 0.05
"""Changes below this are not shown: half a tenth, which no one cuts to by hand."""
VIEW = "view"


def question_moves(
    design: Design, reading_kind: ReadingKind, design_kind: DesignKind
) -> Mapping[tuple[str, str], Moves]:
    """Changes by subject and other answer, for every answer that is another word for a patch or the view.

    Between two ways to finish a surface, each of which has a choice of its name, no length moves.
    Answers that are lengths or sides have no entry, nor has one under which no object can be made.
    """
    now = {d.name: d.value_mm for d in design.dimensions}
    found: dict[tuple[str, str], Moves] = {}
    asked = {key.key for key in design_kind.choice_keys(design.reading)}
    # Metalwork has lengths of its own.
    painted = set() if design.fittings else asked & set(reading_kind.vocabulary)
    for question in design.reading.questions:
        for option, overrides in _others(design, question, reading_kind):
            if {question.taken, option} <= painted | _own_surface(design, question):
                found[question.subject, option] = ()
                continue
            try:
                then = _sizes(design, overrides, reading_kind, design_kind)
            except Pixel2MakeError:
                continue
            changes = [(name, then.get(name, 0.0) - now.get(name, 0.0)) for name in {**now, **then}]
            moved = [change for change in changes if abs(change[1]) >= LEAST_MM]
            found[question.subject, option] = tuple(sorted(moved, key=lambda c: (-abs(c[1]), c[0])))
    return found


def _own_surface(design: Design, question: Question) -> set[str]:
    """The word that leaves a patch what the face under it is."""
    return {str(p.face) for p in design.reading.patches if p.name == question.subject and p.face}


def _others(design: Design, question: Question, kind: ReadingKind) -> Iterator[tuple[str, Overrides]]:
    reading = design.reading
    # what the maker has said already stays said
    said = tuple((p.name, p.feature) for p in reading.patches if p.origin == "maker")
    for option in question.options:
        if option == question.taken:
            continue
        if question.subject == VIEW:
            view = next((other for other in reading.alternatives if other.kind == option), None)
            if view is not None:
                yield option, Overrides(view=view, features=said)
        elif option in kind.vocabulary and any(p.name == question.subject for p in reading.patches):
            features = (*said, (question.subject, option))
            yield option, Overrides(view=reading.view, features=features)


def _sizes(
    design: Design, overrides: Overrides, reading_kind: ReadingKind, design_kind: DesignKind
) -> dict[str, float]:
    reading = interpret(design.reading.regions, reading_kind, overrides)
    size = design.dimension(design_kind.edge_names[design.given]).value_mm
    taken = _answers_there(design, reading, design_kind)
    sizes = sizes_for(reading, design_kind, given=design.given, size_mm=size, taken=taken)
    return {d.name: d.value_mm for d in sizes}


def _answers_there(design: Design, reading: Reading, kind: DesignKind) -> dict[str, str | float]:
    """Answers for another reading of the same drawing: those that differ from the usual ones go along where
    that reading has the choice. An oblique box has other proportions to choose from than a front."""
    usual = settle(choice_keys(design.reading, kind), {})
    keys = choice_keys(reading, kind)
    options = {key.key: key.options for key in keys}
    kept = {
        name: answer
        for name, answer in design.taken.items()
        if name in options and answer != usual.get(name) and (not options[name] or answer in options[name])
    }
    return settle(keys, kept)
