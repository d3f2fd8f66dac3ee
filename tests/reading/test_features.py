"""What patches are taken for, against drawings of known truth that no weight was made from."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

import numpy as np
import pytest

from pixel2make import kinds
from pixel2make.color import difference
from pixel2make.kinds.book.evidence import GROUPS, gather
from pixel2make.kinds.book.features import NEEDS, TIED, WORDS, weights
from pixel2make.kinds.book.vocabulary import GROUPING, VOCABULARY
from pixel2make.reading import Overrides, View, interpret
from pixel2make.reading.faces import find_faces
from pixel2make.reading.kind import GROUPINGS
from pixel2make.reading.patches import Scene, split
from pixel2make.reading.show import MARKS
from pixel2make.regions import segment
from pixel2make.sprite import load_sprite
from tests.truth.books import HELD_OUT, TEST_SEEDS, make
from tests.truth.model import FEATURES, Drawn
from tests.truth.score import feature_map, sprite_of

BOOK = kinds.find("book")
DEMOS = sorted((Path(__file__).parents[2] / "demo_sprites").glob("*.txt"))
COUNT = 14


def true_view(drawn: Drawn) -> View:
    box = drawn.box
    return View(drawn.kind, 1.0, box.origin, box.u, box.v, box.t if drawn.ratio[2] else None)


@pytest.fixture(scope="module")
def read_along_the_truth():
    """(drawing, reading along the true box) of unseen seeds in the styles that no tuning ever saw."""
    out = []
    for style, size, seed in itertools.product(HELD_OUT, (24, 32), TEST_SEEDS[:COUNT]):
        drawn = make(seed, style, size)
        out.append((drawn, interpret(segment(sprite_of(drawn)), BOOK, Overrides(view=true_view(drawn)))))
    return out


def test_the_vocabulary_is_the_agreed_one():
    assert tuple(VOCABULARY) == FEATURES
    assert set(GROUPING) == set(VOCABULARY) == set(MARKS)
    assert set(GROUPING.values()) <= set(GROUPINGS)


def test_the_weights_speak_of_words_and_evidence_that_exist():
    table = weights()
    assert set(table.ties) == set(TIED)
    assert {group for group, _ in NEEDS} <= set(GROUPS)
    assert {word for _, word in NEEDS} <= set(WORDS)
    for name, tie in table.ties.items():
        assert (tie >= 0).all(), "a tie only ever helps"
        assert (tie == tie.T).all()
        allowed = {frozenset(pair) for pair in TIED[name]}
        used = {frozenset((WORDS[i], WORDS[j])) for i, j in np.argwhere(tie)}
        assert used <= allowed


def test_confidence_rises_with_the_probability_and_never_claims_to_be_certain():
    table = weights()
    said = [table.confidence(p) for p in np.linspace(0, 1, 101)]
    assert said == sorted(said)
    assert said[0] > 0
    assert said[-1] < 1


@pytest.mark.parametrize("style,size,seed", [("tome", 12, 10000), ("clean", 30, 10001), ("fair", 48, 10002)])
def test_evidence_is_between_nothing_and_certain(style, size, seed):
    drawn = make(seed, style, size)
    regions = segment(sprite_of(drawn))
    view = true_view(drawn)
    faces = find_faces(view, regions)
    evidence = gather(Scene(regions, view, faces, split(regions, faces)[1:]))
    for name, value in evidence.values.items():
        assert value.shape == evidence.group.shape, name
        assert ((value >= 0) & (value <= 1)).all(), name
    for name, link in evidence.links.items():
        assert ((link >= 0) & (link <= 1 + 1e-9)).all(), name
        assert (np.diag(link) == 0).all(), name
    assert set(weights().evidence) <= set(evidence.values)


def test_features_of_an_unseen_style(read_along_the_truth):
    """Floors well below what `tests/bench/reading.py` reports, so that only a real loss breaks them."""
    right = total = 0
    for drawn, reading in read_along_the_truth:
        book = drawn.features != "background"
        right += int((feature_map(reading) == drawn.features)[book].sum())
        total += int(book.sum())
    assert right / total > 0.9


def test_what_is_said_with_nine_tenths_is_mostly_right(read_along_the_truth):
    sure = [
        (int(patch.mask.sum()), float((drawn.features[patch.mask] == patch.feature).mean()))
        for drawn, reading in read_along_the_truth
        for patch in reading.patches
        if patch.confidence >= 0.9 and patch.feature != "background"
    ]
    sizes, shares = np.array(sure).T
    assert np.average(shares, weights=sizes) > 0.92
    assert len(sure) > 200


def test_fittings_become_things(read_along_the_truth):
    """As many clasps as are drawn, in most drawings that have some."""
    from skimage.measure import label

    same = []
    for drawn, reading in read_along_the_truth:
        grown = np.asarray(drawn.features == "clasp")
        if grown.any():
            drawn_count = int(label(grown, connectivity=2).max())
            found = sum(f.feature == "clasp" for f in reading.features)
            same.append(0 < found <= drawn_count)
    assert np.mean(same) > 0.6


def demo(path: Path):
    sys.path.insert(0, str(path.parent))
    try:
        import make as maker
    finally:
        sys.path.pop(0)
    return maker.read_source(path)


def test_demo_sprites_are_read_as_their_sources_say():
    """The whole way, box included. The demo sprites are drawn by hand, and nothing was fitted to them."""
    right = total = 0
    for path in DEMOS:
        true = np.array(demo(path).features)
        reading = interpret(segment(load_sprite(path.with_suffix(".png"))), BOOK)
        book = true != "background"
        same = (feature_map(reading) == true)[book]
        assert same.mean() > 0.75, path.stem
        right, total = right + int(same.sum()), total + same.size
    assert right / total > 0.88


def test_the_map_s_colours_and_letters_can_be_told_apart():
    """Differences above 10 by CIEDE2000 (about ten just visible steps), or another hatch; letters differ."""
    from pixel2make.color import srgb_to_lab

    marks = [mark for word, mark in MARKS.items() if word != "background"]
    assert len({mark.letter for mark in marks}) == len(marks)
    for one, two in itertools.combinations(marks, 2):
        delta = difference(srgb_to_lab(one.color), srgb_to_lab(two.color))
        assert delta > 10 or one.hatch != two.hatch
