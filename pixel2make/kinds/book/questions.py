"""What a sprite of a book does not tell, as questions to the maker."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pixel2make.kinds.book.vocabulary import SAID
from pixel2make.reading.model import Patch, Question, View
from pixel2make.reading.patches import Scene

__all__ = ["questions"]

_MOST = 5
"""More questions than this and a maker answers none."""
_DOUBT = 0.7
"""A fitting that is less sure than this is asked about."""
_LEAST_PX = 3
"""A patch of one or two pixels is a highlight; what it is moves nothing."""
_FITTINGS = ("clasp", "strap", "emblem", "corner_piece", "title_area", "border", "bookmark")
"""Features that become parts or painted areas; a doubt about one of them changes what is made."""
_CLOSE_VIEW = 0.25
"""A runner-up with this confidence is worth a question."""


def questions(scene: Scene, patches: Sequence[Patch], alternatives: Sequence[View]) -> tuple[Question, ...]:
    """At most a handful, those that change most first.

    Parameters
    ----------
    scene : Scene
    patches : sequence of Patch
        With their features.
    alternatives : sequence of View
        Runners-up to the view that was taken.
    """
    found = [*_view(scene.view, alternatives), *_unseen(scene.view), *_fittings(patches)]
    return tuple(found[:_MOST])


def _view(view: View, alternatives: Sequence[View]) -> Iterator[Question]:
    if alternatives and alternatives[0].confidence >= _CLOSE_VIEW and view.confidence < 1:
        other = alternatives[0]
        if other.kind != view.kind:
            yield Question(
                "view",
                "How is the book turned? Two boxes explain the drawing almost alike.",
                (view.kind, other.kind),
                view.kind,
            )


def _unseen(view: View) -> Iterator[Question]:
    """What a flat front does not show."""
    if view.kind == "front":
        side = "left" if view.width_px[0] >= 0 else "right"
        yield Question(
            "spine_side",
            "On which side is the spine? The drawing shows only the front.",
            ("left", "right"),
            side,
        )
    if view.thickness_px is None:
        yield Question(
            "thickness",
            "How thick is the closed book? The drawing does not show it.",
            ("usual", "thin", "thick", "a length, such as 40mm"),
            "usual",
        )


def _fittings(patches: Sequence[Patch]) -> Iterator[Question]:
    doubtful = []
    for patch in patches:
        words = [c.feature for c in patch.candidates[:2]]
        size = int(patch.mask.sum())
        if patch.origin == "maker" or len(words) < 2 or patch.confidence >= _DOUBT or size < _LEAST_PX:
            continue
        if set(words) & set(_FITTINGS):
            doubtful.append((-size, patch.name, patch, tuple(words)))
    for _, name, patch, options in sorted(doubtful, key=lambda item: item[:2]):
        one, two = (SAID.get(word, word) for word in options)
        yield Question(name, f"Is {name} {one} or {two}? The drawing does not tell.", options, patch.feature)
