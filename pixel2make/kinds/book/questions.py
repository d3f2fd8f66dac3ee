"""What a sprite of a book does not tell, as questions to the maker."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pixel2make.kinds.book.places import described
from pixel2make.kinds.book.vocabulary import SAID
from pixel2make.reading.model import Patch, Question, View
from pixel2make.reading.patches import BACKGROUND, Scene, is_ground

__all__ = ["questions"]

_MOST = 5
"""More questions than this and a maker answers none."""
_DOUBT = 0.7
"""A fitting that is less sure than this is asked about."""
_LEAST_PX = 3
"""A patch of one or two pixels is a highlight; what it is moves nothing, unless it is the only clasp."""
_WORTH_ASKING, _MOST_OPTIONS = 0.12, 3
"""Candidates from this score on are offered, three at most."""
_HALO_DOUBT = 0.8
"""A painted shadow that is less sure than this may be a dark side of the book."""
_FITTINGS = ("clasp", "strap", "emblem", "corner_piece", "title_area", "border", "bookmark")
"""Features that become parts or painted areas; a doubt about one of them changes what is made."""
_MASS_WORDS = {
    "cover": "part of the cover",
    "spine": "part of the spine",
    "page_edge": "part of the pages",
    "back_cover": "part of the back cover",
    "outline": "part of the drawn outline",
    "other": "something else",
}
"""Words for what is no single thing, as they stand in a question."""
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
    found = [
        *_view(scene.view, alternatives),
        *_halo(scene, patches),
        *_unseen(scene.view),
        *_fittings(scene, patches),
    ]
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


def _halo(scene: Scene, patches: Sequence[Patch]) -> Iterator[Question]:
    """Opaque pixels that may be a shadow or a side of the book."""
    for patch in patches:
        is_halo = is_ground(patch) and patch.name != BACKGROUND and patch.origin != "maker"
        if is_halo and patch.confidence < _HALO_DOUBT:
            yield Question(
                patch.name,
                f"Is the {described(scene, patch)} ({_named(patch)}) a painted {patch.name.split('.')[1]}, "
                "or a part of the book?",
                ("background", "back_cover", "spine", "other"),
                patch.feature,
            )


def _fittings(scene: Scene, patches: Sequence[Patch]) -> Iterator[Question]:
    has_clasp = any(p.feature == "clasp" and p.confidence >= _DOUBT for p in patches)
    doubtful = []
    for patch in patches:
        words = [c.feature for c in patch.candidates if c.score >= _WORTH_ASKING][:_MOST_OPTIONS]
        size = int(patch.mask.sum())
        if patch.origin == "maker" or len(words) < 2 or patch.confidence >= _DOUBT:
            continue
        is_clasp = "clasp" in words and not has_clasp
        if (size >= _LEAST_PX and set(words) & set(_FITTINGS)) or is_clasp:
            doubtful.append((not is_clasp, -size, patch.name, patch, tuple(words)))
    for _, _, name, patch, options in sorted(doubtful, key=lambda item: item[:3]):
        said = [_with_article(word) for word in options]
        listed = f"{', '.join(said[:-1])} or {said[-1]}"
        what = f"the {described(scene, patch)} ({_named(patch)})"
        yield Question(name, f"Is {what} {listed}? The drawing does not tell.", options, patch.feature)


def _named(patch: Patch) -> str:
    """The name that stands in the plan's lines, and the size."""
    return f"{patch.name}, {int(patch.mask.sum())} px"


def _with_article(word: str) -> str:
    """A feature word as it stands in a question."""
    if word in _MASS_WORDS:
        return _MASS_WORDS[word]
    said = SAID.get(word, word)
    return f"{'an' if said[0] in 'aeiou' else 'a'} {said}"
