"""Raised bands and bevelled edges of drawings whose relief is known."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make.reading.faces import find_faces
from pixel2make.reading.model import View
from pixel2make.reading.relief import chamfer, raised_bands
from tests.bench.fit_features import true_faces, true_view
from tests.reading.drawn import LINE, regions_of
from tests.truth.books import make
from tests.truth.score import sprite_of

SPINE, COVER, LIT, DIM = (96, 24, 40), (150, 40, 50), (210, 110, 110), (84, 12, 24)
BESIDE = View("front_with_edges", 1.0, (8.0, 2.0), (18.0, 0.0), (0.0, 26.0), (-5.0, 0.0))
FRONT = View("front", 1.0, (3.0, 2.0), (20.0, 0.0), (0.0, 26.0))


def spine_with(rows, *, lit=LIT, step=1):
    """A spine five pixels broad beside a cover; `rows` in the light from head to tail, a shade below."""
    rgba = np.zeros((30, 30, 4), np.uint8)
    rgba[2:28, 3:26] = (*COVER, 255)
    rgba[2:28, 3:8] = (*SPINE, 255)
    for row in rows:
        rgba[2 + row + step, 3:8, :3] = DIM
        rgba[2 + row : 2 + row + step, 3:8, :3] = lit
    return regions_of(rgba)


def bands_of(regions):
    return raised_bands(regions, find_faces(BESIDE, regions))


@pytest.mark.parametrize("rows, step", [((5, 12, 19), 1), ((4, 9, 14, 20), 1), ((5, 12, 19), 2)])
def test_bands_lie_where_they_were_drawn(rows, step):
    bands = bands_of(spine_with(rows, step=step))
    assert [band.at for band in bands] == pytest.approx([(row + step / 2) / 26 for row in rows])
    for band in bands:
        assert band.width_low <= step / 26 <= band.width_high
        assert band.at_low < band.at < band.at_high and band.confidence > 0.7


def test_a_plain_spine_has_no_bands():
    assert bands_of(spine_with(())) == ()


def test_a_close_weave_is_no_row_of_bands():
    assert bands_of(spine_with(range(0, 24, 2))) == ()


def test_gilt_lines_are_tooling_and_no_bands():
    """Gold leaf on leather lies flat (common practice); only the leather's own light stands for relief."""
    assert bands_of(spine_with((5, 12, 19), lit=(236, 190, 40))) == ()


def test_a_hidden_spine_has_no_bands():
    regions = spine_with((5, 12, 19))
    assert raised_bands(regions, find_faces(FRONT, regions)) == ()


def board(breadth, *, framed=False):
    """A front board 20 x 26 px; light from the upper left, or a frame of one colour."""
    rgba = np.zeros((30, 26, 4), np.uint8)
    rgba[1:29, 2:24] = (*LINE, 255)
    rgba[2:28, 3:23] = (*COVER, 255)
    for ring in range(breadth):
        top, left, bottom, right = 2 + ring, 3 + ring, 27 - ring, 22 - ring
        rgba[bottom, left : right + 1, :3] = rgba[top : bottom + 1, right, :3] = LIT if framed else DIM
        rgba[top, left : right + 1, :3] = rgba[top : bottom + 1, left, :3] = LIT
    return regions_of(rgba)


@pytest.mark.parametrize("breadth", [1, 2, 3])
def test_a_bevel_s_breadth_lies_in_its_interval(breadth):
    regions = board(breadth)
    found = chamfer(regions, find_faces(FRONT, regions))
    assert found is not None and found.value_px == breadth
    assert found.low_px <= breadth <= found.high_px and (found.low_px == 0) == (breadth == 1)


def test_a_frame_of_one_colour_is_no_bevel():
    regions = board(2, framed=True)
    assert chamfer(regions, find_faces(FRONT, regions)) is None


def test_bevels_of_drawn_books_are_inside_their_intervals():
    """Books of known truth, true box given: those of two pixels and more that are told apart."""
    seen = right = 0
    for seed in range(24):
        drawn = make(seed, "signboard", 44)
        breadth = drawn.habits.get("bevel")
        regions = regions_of_drawing(drawn)
        found = chamfer(regions, true_faces(drawn, true_view(drawn), regions))
        if breadth and found is not None:
            seen += 1
            right += found.low_px <= breadth <= found.high_px
    assert seen >= 3
    assert right >= 0.9 * seen


def regions_of_drawing(drawn):
    from pixel2make.regions import segment

    return segment(sprite_of(drawn))
