"""The drawn box of sprites whose box is known, at any turn."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from pixel2make.errors import ReadingError
from pixel2make.reading.model import VIEW_KINDS
from pixel2make.reading.views import find_views
from tests.reading.drawn import COVER, LINE, PAGES, SPINE, book, regions_of


class Usual:
    """Log-normal round W/H 0.72 and T/H 0.2 (estimate)."""

    source = "estimate for tests"

    def log_density(self, w_over_h: float, t_over_h: float | None) -> float:
        out = -((math.log(w_over_h / 0.72) / 0.25) ** 2) / 2
        return out - ((math.log(t_over_h / 0.2) / 0.6) ** 2) / 2 if t_over_h else out


PRIOR = Usual()


def corners(o, u, v):
    o, u, v = (np.array(p, float) for p in (o, u, v))
    return np.array([o, o + u, o + u + v, o + v])


def off(view, o, u, v):
    """Mean distance of the cover's corners in any order that keeps the outline, in pixels."""
    said = np.array(view.cover_corners_px)
    turns = [[(s + w * i) % 4 for i in range(4)] for s, w in itertools.product(range(4), (1, -1))]
    return min(float(np.hypot(*(said[t] - corners(o, u, v)).T).mean()) for t in turns)


BOOKS = {
    "standing": ("axonometric", (40, 40), (10, 14), (16, -8), (0, 18), (-6, -3)),
    "flat": ("axonometric", (40, 40), (6, 14), (12, -6), (16, 8), (0, 6)),
    "tipped": ("axonometric", (40, 40), (12, 4), (14, 7), (-6, 18), (-3, 3)),
    "cover_true": ("oblique", (40, 40), (4, 10), (18, 0), (0, 22), (5, -5)),
    "pages_right": ("front_with_edges", (36, 36), (5, 4), (18, 0), (0, 26), (5, 0)),
    "pages_below": ("front_with_edges", (36, 36), (5, 4), (18, 0), (0, 22), (0, 5)),
    "spine_left": ("front_with_edges", (36, 36), (10, 4), (18, 0), (0, 26), (-5, 0)),
    "front": ("front", (36, 36), (8, 4), (18, 0), (0, 26), (0, 0)),
}


@pytest.mark.parametrize("name", BOOKS)
@pytest.mark.parametrize("with_line", [True, False], ids=["line", "no_line"])
def test_a_known_box_is_found(name, with_line):
    kind, shape, o, u, v, t = BOOKS[name]
    view = find_views(regions_of(book(shape, o, u, v, t, with_line=with_line)), PRIOR)[0]
    assert view.kind == kind
    assert off(view, o, u, v) < 1.0


@pytest.mark.parametrize("name", ["standing", "flat", "cover_true", "pages_right", "spine_left"])
def test_edges_are_named(name):
    """Pages and leather say which side is the fore-edge; the head is up (common practice)."""
    _, shape, o, u, v, t = BOOKS[name]
    view = find_views(regions_of(book(shape, o, u, v, t)), PRIOR)[0]
    np.testing.assert_allclose(np.array(view.cover_corners_px), corners(o, u, v), atol=1.5)


@pytest.mark.parametrize("name", BOOKS)
def test_a_mirror_image_is_the_mirrored_box(name):
    _, shape, o, u, v, t = BOOKS[name]
    rgba = book(shape, o, u, v, t)[:, ::-1]
    view = find_views(regions_of(rgba), PRIOR)[0]
    assert off(view, (shape[1] - o[0], o[1]), (-u[0], u[1]), (-v[0], v[1])) < 1.0


def test_moving_the_sprite_moves_the_view():
    _, shape, o, u, v, t = BOOKS["standing"]
    rgba = book(shape, o, u, v, t)
    moved = np.pad(rgba, ((3, 0), (5, 0), (0, 0)))
    first, second = (find_views(regions_of(image), PRIOR)[0] for image in (rgba, moved))
    np.testing.assert_allclose(np.add(first.origin_px, (5, 3)), second.origin_px)
    assert (first.width_px, first.height_px, first.kind) == (second.width_px, second.height_px, second.kind)


def test_colours_may_be_any():
    """Another hue for the leather changes nothing in the found box."""
    _, shape, o, u, v, t = BOOKS["flat"]
    rgba = book(shape, o, u, v, t)
    other = rgba.copy()
    for old, new in ((COVER, (30, 110, 60)), (SPINE, (16, 70, 44)), (LINE, (40, 10, 10))):
        other[(rgba[..., :3] == old).all(-1) & (rgba[..., 3] > 0)] = (*new, 255)
    first, second = (find_views(regions_of(image), PRIOR)[0] for image in (rgba, other))
    assert first.cover_corners_px == second.cover_corners_px


@pytest.mark.parametrize("name", BOOKS)
def test_views_are_ranked_distinct_and_told(name):
    _, shape, o, u, v, t = BOOKS[name]
    views = find_views(regions_of(book(shape, o, u, v, t)), PRIOR)
    assert 1 <= len(views) <= 6
    assert [v.score for v in views] == sorted((v.score for v in views), reverse=True)
    for view in views:
        assert view.kind in VIEW_KINDS and 0 <= view.confidence <= 1 and view.uncertainty_px > 0
        assert all(sentence.endswith(".") for sentence in view.why) and view.why
        assert (view.thickness_px is None) == (view.kind == "front")
    boxes = [(view.kind, view.cover_corners_px, view.thickness_px) for view in views]
    assert len(set(boxes)) == len(boxes)


def test_same_sprite_same_views():
    _, shape, o, u, v, t = BOOKS["tipped"]
    regions = regions_of(book(shape, o, u, v, t))
    assert find_views(regions, PRIOR) == find_views(regions, PRIOR)


def test_a_bookmark_does_not_move_the_cover():
    _, shape, o, u, v, t = BOOKS["front"]
    rgba = book(shape, o, u, v, t)
    rgba[30:34, 14:16] = (60, 90, 200, 255)
    assert off(find_views(regions_of(rgba), PRIOR)[0], o, u, v) < 1.0


def test_strips_on_two_sides():
    """Blue leather at the left and pages below, meeting in a corner, as many fronts are drawn."""
    rgba = np.zeros((34, 30, 4), np.uint8)
    rgba[3:31, 4:26] = (*LINE, 255)
    rgba[4:30, 5:25] = (46, 52, 104, 255)
    rgba[26:30, 9:25] = (*PAGES, 255)
    rgba[4:26, 9:25] = (*COVER, 255)
    view = find_views(regions_of(rgba), PRIOR)[0]
    assert view.kind == "front_with_edges"
    assert off(view, (9, 4), (16, 0), (0, 22)) < 1.0


def test_something_else_is_a_guess_of_low_confidence():
    """A disc has no edges; it is still read, and less surely than a book."""
    rgba = np.zeros((32, 32, 4), np.uint8)
    ys, xs = np.mgrid[0:32, 0:32] + 0.5
    rgba[np.hypot(xs - 16, ys - 16) < 12] = (90, 90, 150, 255)
    _, shape, o, u, v, t = BOOKS["standing"]
    disc, sure = find_views(regions_of(rgba), PRIOR), find_views(regions_of(book(shape, o, u, v, t)), PRIOR)
    assert disc and disc[0].confidence < min(0.8, sure[0].confidence)


def test_no_object_is_refused():
    rgba = np.zeros((16, 16, 4), np.uint8)
    with pytest.raises(ReadingError, match="no object"):
        find_views(regions_of(rgba), PRIOR)


def test_a_speck_is_refused():
    rgba = np.zeros((16, 16, 4), np.uint8)
    rgba[8, 8] = (*COVER, 255)
    with pytest.raises(ReadingError, match="1 px"):
        find_views(regions_of(rgba), PRIOR)
