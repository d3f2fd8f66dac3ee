"""Which doubts become questions to the maker."""

from __future__ import annotations

import numpy as np

from pixel2make.kinds.book.questions import questions
from pixel2make.reading.faces import find_faces
from pixel2make.reading.model import Candidate, Patch, View
from pixel2make.reading.patches import Scene, split
from pixel2make.regions import segment
from tests.truth.books import make
from tests.truth.score import sprite_of

DRAWN = make(2, "icon", 24)


def scene() -> Scene:
    regions = segment(sprite_of(DRAWN))
    view = View(DRAWN.kind, 1.0, DRAWN.box.origin, DRAWN.box.u, DRAWN.box.v, (3.0, 3.0))
    faces = find_faces(view, regions)
    return Scene(regions, view, faces, split(regions, faces)[1:])


def patch(name: str, size: int, *candidates: tuple[str, float], region: int = 1) -> Patch:
    mask = np.zeros(DRAWN.features.shape, bool)
    mask.ravel()[:size] = True
    ranked = tuple(Candidate(word, score) for word, score in candidates)
    return Patch(name, region, "cover", mask, ranked[0].feature, ranked[0].score, candidates=ranked)


def asked(*patches: Patch) -> dict[str, tuple[str, ...]]:
    return {q.subject: q.options for q in questions(scene(), patches, ())}


def test_a_single_pixel_that_may_be_the_only_clasp_is_asked_about():
    doubt = patch("r4", 1, ("emblem", 0.5), ("clasp", 0.3), ("cover", 0.15))
    assert asked(doubt)["r4"] == ("emblem", "clasp", "cover")
    sure = patch("r5", 4, ("clasp", 0.95))
    assert "r4" not in asked(doubt, sure)


def test_a_highlight_is_not_asked_about():
    assert "r4" not in asked(patch("r4", 2, ("emblem", 0.5), ("border", 0.4)))
    assert "r4" in asked(patch("r4", 5, ("emblem", 0.5), ("border", 0.4)))
    assert "r4" not in asked(patch("r4", 5, ("emblem", 0.6), ("border", 0.05)))


def test_a_doubtful_shadow_is_asked_about_and_a_sure_one_is_not():
    assert "r0.shadow" in asked(patch("r0.shadow", 9, ("background", 0.6), region=0))
    assert "r0.shadow" not in asked(patch("r0.shadow", 9, ("background", 0.92), region=0))


def test_what_the_maker_said_is_never_asked():
    told = patch("r4", 5, ("emblem", 0.5), ("border", 0.4))
    told = Patch(**{**told.__dict__, "origin": "maker"})
    assert "r4" not in asked(told)


def test_a_clasp_comes_before_larger_doubts():
    many = [patch(f"r{i}", 9, ("emblem", 0.5), ("border", 0.4)) for i in range(10, 20)]
    clasp = patch("r4", 1, ("cover", 0.5), ("clasp", 0.4))
    found = list(asked(*many, clasp))
    assert "r4" in found
    assert len(found) <= 5


def test_a_question_says_what_and_where_in_one_line():
    there = scene()
    body = next(region.id for region in there.regions.regions if not region.is_contour)
    doubt = patch("r4", 5, ("emblem", 0.5), ("border", 0.4), region=body)
    (said,) = [q.question for q in questions(there, (doubt,), ()) if q.subject == "r4"]
    assert "(r4, 5 px)" in said
    assert " patch on the front cover" in said
    assert said.endswith(" an emblem or a border? The drawing does not tell.")
    assert "\n" not in said


def test_words_that_are_no_single_thing_have_no_article():
    doubt = patch("r4", 5, ("clasp", 0.5), ("page_edge", 0.3), ("cover", 0.2))
    (said,) = [q.question for q in questions(scene(), (doubt,), ()) if q.subject == "r4"]
    assert "a clasp, part of the pages or part of the cover?" in said
