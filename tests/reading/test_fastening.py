"""Measures of what lies over the fore-edge, on books painted here with fittings whose place is known."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make.kinds.book.evidence import gather
from pixel2make.kinds.book.fastening import BAND
from pixel2make.kinds.book.features import WORDS, judge
from pixel2make.reading.assign import Judgement, Link
from pixel2make.reading.faces import find_faces
from pixel2make.reading.model import View
from pixel2make.reading.patches import Scene, is_ground, split
from tests.reading.drawn import book, regions_of

ORIGIN, WIDTH, HEIGHT, DEPTH = (8.0, 9.0), (22.0, 0.0), (0.0, 30.0), (7.0, -7.0)
SHAPE = (48, 46)
GOLD = (214, 158, 42)


def scene(*spots: tuple[str, tuple[float, float], tuple[float, float]]) -> Scene:
    """A book with gold between two points of a face, for each spot."""
    rgba = book(SHAPE, ORIGIN, WIDTH, HEIGHT, DEPTH)
    view = View("oblique", 1.0, ORIGIN, WIDTH, HEIGHT, DEPTH)
    faces = {face.name: face for face in find_faces(view, regions_of(rgba))}
    ys, xs = np.indices(SHAPE)
    points = np.stack([xs.ravel() + 0.5, ys.ravel() + 0.5], 1)
    for name, low, high in spots:
        at = faces[name].to_face(points).reshape(*SHAPE, 2)
        rgba[((at > low) & (at < high)).all(axis=-1) & faces[name].mask, :3] = GOLD
    regions = regions_of(rgba)
    found = find_faces(view, regions)
    return Scene(regions, view, found, tuple(p for p in split(regions, found) if not is_ground(p)))


def gold(there: Scene) -> list[int]:
    rgba = there.regions.sprite.rgba[..., :3]
    return [i for i, p in enumerate(there.patches) if (rgba[p.mask] == GOLD).all(axis=1).mean() > 0.9]


CLASP = (("cover", (0.85, 0.42), (1.0, 0.58)), ("fore_edge", (0.0, 0.42), (0.6, 0.58)))


def test_a_clasp_lies_on_both_faces_half_way_down():
    there = scene(*CLASP)
    values, which = gather(there).values, gold(there)
    assert which
    for name in ("on both faces", "half way down", "in a clasp's place"):
        assert values[BAND + name][which].min() > 0.7, name
    assert values[BAND + "many rows alike"][which].max() == 0


def test_paired_clasps_are_twins_and_not_many():
    at = ((0.17, 0.29), (0.71, 0.83))
    there = scene(*(("cover", (0.85, low), (1.0, high)) for low, high in at))
    values, which = gather(there).values, gold(there)
    assert len(which) == 2
    assert values[BAND + "a twin at the other end"][which].min() > 0.7
    assert values[BAND + "many rows alike"][which].max() == 0


def test_a_row_of_specks_down_the_edge_is_many():
    there = scene(*(("cover", (0.88, k / 6 - 0.035), (1.0, k / 6 + 0.035)) for k in range(1, 6)))
    values, which = gather(there).values, gold(there)
    assert len(which) >= 5
    assert values[BAND + "many rows alike"][which].min() == 1


@pytest.mark.parametrize("spots", [(("cover", (0.0, 0.42), (0.12, 0.58)),)])
def test_what_sits_at_the_spine_is_no_clasp(spots):
    """A clasp sits across the fore-edge; at the spine sit bands and hinges."""
    there = scene(*spots)
    judged = judge(there)
    said = judged.taken(np.exp(judged.scores))
    assert all(WORDS[said[i]] != "clasp" for i in gold(there))


def test_a_word_that_wants_more_gives_way_to_the_next_best():
    """Of 0.5 clasp and 0.4 cover the cover is said where a clasp wants 0.6; a clasp of 0.7 stays one."""
    words = ("clasp", "cover", "strap")
    scores = np.log([[0.5, 0.4, 0.1], [0.7, 0.2, 0.1]])
    judged = Judgement(words, scores, (), lambda *_: (), float, {"clasp": 0.6})
    assert judged.taken(np.exp(scores)).tolist() == [1, 0]


def test_a_sure_half_carries_the_other_by_the_ties_that_say_so():
    """The second patch, 0.6 clasp, lies beside the first, 0.9; the third, as likely, lies alone."""
    scores = np.log([[0.9, 0.1], [0.6, 0.4], [0.6, 0.4]])
    beside = np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]])
    links = (Link("touches", beside, np.zeros((2, 2))),)
    words, least = ("clasp", "cover"), {"clasp": 0.8}
    alone = Judgement(words, scores, links, lambda *_: (), float, least)
    assert alone.taken(np.exp(scores)).tolist() == [0, 1, 1]
    carried = Judgement(words, scores, links, lambda *_: (), float, least, ("touches",))
    assert carried.taken(np.exp(scores)).tolist() == [0, 0, 1]
