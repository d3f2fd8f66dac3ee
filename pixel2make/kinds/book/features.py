"""What each patch of a drawn book could be."""

from __future__ import annotations

import numpy as np

from pixel2make.kinds.book.vocabulary import SAID, VOCABULARY
from pixel2make.reading.assign import Judgement
from pixel2make.reading.patches import Scene

__all__ = ["judge"]

_BASE = {
    "cover": "cover",
    "spine": "spine",
    "fore_edge": "page_edge",
    "head": "page_edge",
    "tail": "page_edge",
    "back": "back_cover",
}


def judge(scene: Scene) -> Judgement:
    """Scores of every patch for every feature."""
    words = tuple(word for word in VOCABULARY if word != "background")
    scores = np.zeros((len(scene.patches), len(words)))
    why: list[dict[str, str]] = []
    cover = scene.face("cover")
    base = _largest(scene, "cover")
    for i, patch in enumerate(scene.patches):
        said: dict[str, str] = {}

        def add(word: str, score: float, sentence: str, i: int = i, said: dict[str, str] = said) -> None:
            scores[i, words.index(word)] += score
            said[word] = sentence

        if scene.region(patch).is_contour:
            add("outline", 5, "It is the drawn contour.")
        elif patch.face is None:
            add("bookmark", 2, "It lies off the box.")
        else:
            add(
                _BASE[patch.face],
                2.5,
                f"It lies on the {SAID[patch.face] if patch.face in SAID else patch.face}.",
            )
        if patch.face == "cover":
            ys, xs = np.nonzero(patch.mask)
            a, b = cover.to_face(np.stack([xs + 0.5, ys + 0.5], 1)).T
            if patch.mask.sum() < 0.3 * cover.mask.sum() and scene.region(patch).material != base:
                if a.mean() > 0.8 and 0.2 < b.mean() < 0.8:
                    add("clasp", 4, "It lies at the fore-edge.")
                elif (
                    max(abs(a.mean() - 0.5), abs(b.mean() - 0.5)) > 0.3
                    and min(abs(a.mean() - 0.5), abs(b.mean() - 0.5)) > 0.28
                ):
                    add("corner_piece", 4, "It lies at a corner of the cover.")
                elif b.mean() < 0.4:
                    add("title_area", 3.5, "It lies in the upper part of the cover.")
                elif abs(a.mean() - 0.5) < 0.12:
                    add("emblem", 3.5, "It lies in the middle of the cover.")
                else:
                    add("other", 2.6, "It lies on the cover.")
        why.append(said)

    def reasons(i: int, word: str) -> tuple[str, ...]:
        return (why[i][word],) if word in why[i] else ()

    return Judgement(words, scores, (), reasons, lambda p: p)


def _largest(scene: Scene, face: str) -> int:
    own = [patch for patch in scene.patches if patch.face == face]
    return scene.region(max(own, key=lambda p: int(p.mask.sum()))).material if own else -1
