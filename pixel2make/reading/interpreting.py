"""RegionMap to Reading: the drawn box, its faces, and what each patch on them is."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import replace

import numpy as np

from pixel2make.errors import ReadingError
from pixel2make.reading.assign import Judgement, marginals
from pixel2make.reading.kind import ReadingKind
from pixel2make.reading.model import Candidate, Overrides, Patch, Proportions, Reading, View
from pixel2make.reading.patches import Scene, is_ground, split
from pixel2make.reading.things import features_of
from pixel2make.regions.model import RegionMap

__all__ = ["interpret"]

_MOST_CANDIDATES = 4
_LEAST_SCORE = 0.01
"""A candidate below one in a hundred is noise in a plan."""
_HALO_WORDS = {"glow": "glow", "shadow": "cast shadow"}
_GROUND_CONFIDENCE = 0.99
"""The sprite stage told the background from alpha or colour; a trace of doubt is left."""


def interpret(regions: RegionMap, kind: ReadingKind, overrides: Overrides | None = None) -> Reading:
    """Tell the view, the proportions and what every patch is.

    Parameters
    ----------
    regions : RegionMap
    kind : ReadingKind
        What a book is, for one; see `pixel2make.kinds.find`.
    overrides : Overrides, optional
        The maker's word; it is taken as it stands.

    Returns
    -------
    Reading
        Patches and features each cover every pixel exactly once.

    Raises
    ------
    ReadingError
        Nothing is drawn, or an override names a patch, feature or proportion that does not exist.
    """
    from pixel2make.reading.corners import corner_rounding
    from pixel2make.reading.faces import find_faces, squares
    from pixel2make.reading.projection import proportions
    from pixel2make.reading.relief import chamfer, raised_bands

    told = overrides or Overrides()
    if not regions.regions:
        raise ReadingError("nothing is drawn here; every pixel is background")
    views = _views(regions, kind) if told.view is None else (told.view,)
    view = views[0]
    faces = find_faces(view, regions)
    patches = split(regions, faces, told.boxes)
    scene = Scene(regions, view, faces, tuple(p for p in patches if not is_ground(p)))
    said = _maker_words(told, patches, kind.vocabulary)
    judged = _judged(scene, kind.judge(scene), said)
    everything = (*(_ground(p, regions, said) for p in patches if is_ground(p)), *judged)
    return Reading(
        regions=regions,
        kind=kind.name,
        view=view,
        alternatives=views[1:],
        proportions=_chosen(proportions(view, kind.prior), told.proportions),
        faces=faces,
        patches=everything,
        features=features_of(scene, everything, kind.grouping),
        corner_rounding=corner_rounding(view, regions),
        square_px=squares(view, regions, faces),
        bands=raised_bands(regions, faces, view.confidence),
        chamfer=chamfer(regions, faces),
        questions=kind.questions(scene, everything, views[1:]),
        notes=(*regions.sprite.notes, *_halo_notes(regions)),
    )


def _ground(patch: Patch, regions: RegionMap, said: dict[str, str]) -> Patch:
    """The background, and opaque glow and shadow, which are background unless the maker says otherwise."""
    if patch.name in said:
        return _spoken(patch, said[patch.name])
    word, sure = "background", _GROUND_CONFIDENCE
    why: tuple[str, ...] = ("No object is drawn here.",)
    for halo in regions.halo:
        if patch.name.split(".")[1:2] == [halo.kind]:
            sure, why = halo.confidence, (f"It is a painted {_HALO_WORDS[halo.kind]}.", halo.why)
    return replace(patch, feature=word, confidence=sure, why=why, candidates=(Candidate(word, sure),))


def _halo_notes(regions: RegionMap) -> tuple[str, ...]:
    return tuple(
        f"{int(halo.mask.sum())} opaque pixels are a painted {_HALO_WORDS[halo.kind]}, not the object."
        for halo in regions.halo
    )


def _maker_words(told: Overrides, patches: Sequence[Patch], words: Iterable[str]) -> dict[str, str]:
    """Feature by patch name, of the maker's word; ReadingError for a name or word that does not exist."""
    said: dict[str, str] = {p.name: p.feature for p in patches if p.name.startswith("box")}
    names = [patch.name for patch in patches]
    known = tuple(words)
    for name, feature in (*told.features, *said.items()):
        if feature not in known:
            raise ReadingError(f"{name}: there is no feature {feature!r}; {_near(feature, known)}")
    for name, feature in told.features:
        parts = [n for n in names if n == name or n.split(".")[0] == name]
        if not parts:
            raise ReadingError(f"there is no region {name!r}; {_near(name, names)}")
        said |= dict.fromkeys(parts, feature)
    # A whole patch's own name says more than its region's.
    return said | {name: feature for name, feature in told.features if name in names}


def _near(word: str, words: Sequence[str]) -> str:
    close = difflib.get_close_matches(word, words, n=3, cutoff=0.5)
    return f"words that would do: {', '.join(close or words)}"


def _views(regions: RegionMap, kind: ReadingKind) -> tuple[View, ...]:
    """Drawn boxes, best first; those of a large drawing are found on a coarser grid."""
    from pixel2make.reading.view_shrink import enlarged, shrink_factor, shrunk
    from pixel2make.reading.views import find_views

    factor = shrink_factor(regions)
    if factor == 1:
        return find_views(regions, kind.prior)
    return tuple(enlarged(view, factor) for view in find_views(shrunk(regions, factor), kind.prior))


def _judged(scene: Scene, judgement: Judgement, said: dict[str, str]) -> tuple[Patch, ...]:
    scores = _pinned(scene, judgement, said)
    beliefs = marginals(scores, judgement.links)
    taken = judgement.taken(beliefs)
    return tuple(
        _spoken(patch, said[patch.name])
        if patch.name in said
        else _decided(i, patch, judgement, beliefs[i], judgement.words[taken[i]])
        for i, patch in enumerate(scene.patches)
    )


def _pinned(scene: Scene, judgement: Judgement, said: dict[str, str]) -> np.ndarray:
    """Scores with all but the maker's word ruled out, so that the neighbours follow it."""
    scores = judgement.scores.copy()
    for i, patch in enumerate(scene.patches):
        if said.get(patch.name) in judgement.words:
            scores[i] = np.where(np.array(judgement.words) == said[patch.name], 0.0, -1e6)
    return scores


def _spoken(patch: Patch, feature: str) -> Patch:
    return replace(patch, feature=feature, confidence=1.0, why=("The plan says so.",), origin="maker")


def _decided(i: int, patch: Patch, judgement: Judgement, beliefs: np.ndarray, word: str) -> Patch:
    ranked = sorted(
        zip(judgement.words, beliefs.tolist(), strict=True), key=lambda c: (c[0] != word, -c[1], c[0])
    )
    sure = judgement.confidence(ranked[0][1])
    rest = sum(score for _, score in ranked[1:])
    # What the calibration takes from the first goes to the others by their shares.
    share = (1 - sure) / rest if rest > 0 else 0.0
    others = [Candidate(w, round(s * share, 4)) for w, s in ranked[1:_MOST_CANDIDATES]]
    return replace(
        patch,
        feature=word,
        confidence=round(sure, 4),
        why=judgement.reasons(i, word),
        candidates=(Candidate(word, round(sure, 4)), *(c for c in others if c.score >= _LEAST_SCORE)),
    )


def _chosen(found: tuple[Proportions, ...], name: str | None) -> tuple[Proportions, ...]:
    """The alternative of that name first."""
    if name is None:
        return found
    names = [each.name for each in found]
    if name not in names:
        raise ReadingError(f"there are no proportions {name!r}; {_near(name, names)}")
    return tuple(sorted(found, key=lambda each: each.name != name))
