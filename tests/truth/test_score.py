"""The measure itself: a perfect reading scores as perfect, a turned or half-pixel one as it should."""

import numpy as np
import pytest

from pixel2make.reading.model import Feature, Patch, Proportions, Reading, View
from pixel2make.regions.model import Region, RegionMap
from tests.bench.reading import read_one, tables
from tests.truth.books import STYLES, make
from tests.truth.model import FEATURES
from tests.truth.score import corner_errors, limit_errors, score, sprite_of


def perfect_reading(drawn):
    """A reading that says what was drawn, made from the truth alone."""
    words = sorted(set(drawn.features.ravel()) - {"background"})
    labels = np.zeros(drawn.features.shape, np.int32)
    regions, patches, features = [], [], []
    for i, word in enumerate(["background", *words]):
        mask = drawn.features == word
        labels[mask] = i
        patches.append(Patch(f"r{i}", i, None, mask, word, 0.9))
        features.append(Feature(f"{word}-1", word, (f"r{i}",), None, mask, 0.9))
        if i:
            regions.append(
                Region(i, i, word == "outline", int(mask.sum()), (0, 0, 1, 1), (0, 0, 0), "#000000", ())
            )
    box = drawn.box
    t = box.t if drawn.ratio[2] else None
    view = View(drawn.kind, 0.9, box.origin, box.u, box.v, t)
    known = Proportions("true", drawn.ratio, drawn.ratio, drawn.ratio, 1.0, "", "")
    return Reading(
        RegionMap(sprite_of(drawn), labels, tuple(regions)),
        "book",
        view,
        (),
        (known,),
        (),
        tuple(patches),
        tuple(features),
    )


@pytest.mark.parametrize("style", sorted(STYLES))
def test_a_perfect_reading_has_no_error(style):
    drawn = make(3, style, 24)
    result = score(drawn, perfect_reading(drawn))
    assert result.right_kind
    assert result.corners_ordered == result.corners_matched == pytest.approx(0)
    assert result.ratio_errors[0] == pytest.approx(0)
    assert (
        np.isnan(result.ratio_errors[1])
        if drawn.kind == "front"
        else result.ratio_errors[1] == pytest.approx(0)
    )
    assert result.inside == (True, None if drawn.kind == "front" else True)
    assert result.confusion.sum() == drawn.features.size == np.trace(result.confusion)
    assert all(right == 1 for _, right, _ in result.patch_calls)


def test_a_wrong_feature_counts_against_both_words():
    drawn = make(3, "tome", 24)
    said = perfect_reading(drawn)
    cover = next(f for f in said.features if f.feature == "cover")
    swapped = tuple(
        Feature(f.id, "other", f.patches, f.face, f.mask, f.confidence) if f is cover else f
        for f in said.features
    )
    result = score(drawn, Reading(said.regions, "book", said.view, (), said.proportions, (), (), swapped))
    index = FEATURES.index
    assert result.confusion[index("cover"), index("other")] == cover.mask.sum()
    assert result.confusion[index("cover"), index("cover")] == 0


def test_corners_in_another_order_match_only_without_their_names():
    square = np.array([(0, 0), (10, 0), (10, 14), (0, 14)], float)
    for turn in (np.roll(square, 1, 0), square[::-1], np.roll(square[::-1], 2, 0)):
        ordered, matched = corner_errors(square, turn)
        assert ordered > 5
        assert matched == pytest.approx(0)
    # A swap of two corners crosses the outline; no naming mends it.
    assert min(corner_errors(square, square[[1, 0, 2, 3]])) > 1


def test_corner_error_is_the_mean_distance():
    square = np.array([(0, 0), (10, 0), (10, 14), (0, 14)], float)
    assert corner_errors(square, np.add(square, (3, 4))) == pytest.approx((5, 5))


def test_the_limit_shrinks_with_the_picture():
    """An end known to its pixel is known twice as well, in parts of the edge, at twice the size."""
    small, large = (
        np.median(np.concatenate([limit_errors(make(s, "library", size))[:, 0] for s in range(40)]))
        for size in (16, 64)
    )
    assert 2.5 < small / large < 8


def test_a_failed_reading_has_lost_everything():
    drawn = make(1, "icon", 16)
    result = score(drawn, None, failure="no box")
    assert not result.right_kind
    assert result.corners_matched == np.inf
    assert result.ratio_errors[0] == 1.0


def test_corners_moved_like_the_limit_score_like_the_limit():
    scores = [read_one((seed, style, 24, "limit"))[0] for seed in range(14) for style in STYLES]
    errors = np.array([s.ratio_errors for s in scores])
    limits = np.concatenate([s.limits for s in scores])
    ratio = np.nanmedian(errors, 0) / np.nanmedian(limits, 0)
    assert (ratio > 0.7).all()
    assert (ratio < 1.4).all()
    titles = [title for title, _, _ in tables(scores)]
    assert "By style and size" in titles
    assert len(titles) == len(set(titles))
