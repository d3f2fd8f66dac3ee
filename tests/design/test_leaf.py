"""Leaf counts by worked examples of the trade; leaves and patches that cover the area."""

from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import MultiPolygon, Point, box

from pixel2make.design.leaf import LEAVES, books_to_buy, leaf_grid, leaf_plan, leaf_side_mm
from pixel2make.errors import DesignError


def test_a_panel_of_250_by_180_takes_12_leaves_of_80():
    """Common practice: by area ceil(1.32 A / L²), by grid with 5 mm overlap ceil(245/75) ceil(175/75).

    1.32 is what a book of 1.978 square feet lays, about 1 1/2 (common practice).
    """
    plan = leaf_plan(box(0, 0, 250, 180))
    assert (plan.by_area, plan.by_laying, plan.leaves) == (10, 4 * 3, 12)
    assert books_to_buy(12) == 1


def test_imitation_leaf_needs_about_55_for_a_square_metre():
    """Handover, gilding suppliers, guide 2021: 140 mm square, 51.02 net, 55 quoted with lap; 1.32 is on the
    safe side of that."""
    plan = leaf_plan(box(0, 0, 1000, 1000), leaf="imitation_leaf")
    assert 55 <= plan.by_area <= 51.02 * 1.32 + 1
    assert plan.by_laying == 8 * 8


def test_american_leaf_is_three_and_three_eighths_inches():
    """Paramount Coatings, gold leaf information: 500 leaves are 39.55 square feet without lap."""
    area = 39.55 * 304.8**2
    assert leaf_plan(box(0, 0, 400, area / 400), leaf="leaf_us").by_area == pytest.approx(500 * 1.32, abs=1)


def squares(count, side=21.4, apart=60.0):
    return MultiPolygon(
        [
            box(x, y, x + side, y + side)
            for x, y in [(apart * (i % 4), apart * (i // 4)) for i in range(count)]
        ]
    )


@pytest.mark.parametrize(("count", "leaves"), [(1, 1), (4, 1), (5, 2), (8, 2), (9, 3), (16, 4)])
def test_small_patches_are_cut_from_leaves(count, leaves):
    """Common practice: floor(L / (w + 2 o)) each way; a patch of 21.4 mm, 3 mm around: 2 x 2 from 80 mm."""
    plan = leaf_plan(squares(count))
    assert (plan.cut_leaves, plan.laid, plan.leaves) == (leaves, (), max(leaves, plan.by_area))


def test_four_corner_pieces_take_no_leaves_over_the_panel_between_them():
    """Their box is 250 x 180 mm, 12 leaves by the grid; a corner of 40 mm is a patch of 46, one to a leaf."""
    corners = MultiPolygon([box(x, y, x + 40, y + 40) for x in (0, 210) for y in (0, 140)])
    assert leaf_plan(corners).leaves == 4


def test_dots_that_lie_close_are_laid_under_one_leaf():
    """A hundred dots on 70 mm: one leaf over all of them, not patches from several."""
    dots = MultiPolygon([Point(7 * i, 7 * j).buffer(2) for i in range(10) for j in range(10)])
    assert leaf_plan(dots).by_laying == 1


@pytest.mark.parametrize(("leaves", "books"), [(0, 0), (1, 1), (20, 1), (21, 2), (100, 5), (125, 6)])
def test_one_book_in_five_is_spare(leaves, books):
    """Books of 25; of six books bought one is left over for mending. Common practice."""
    assert books_to_buy(leaves) == books


SIDE = st.floats(3, 900)
BOXES = st.tuples(st.floats(0, 500), st.floats(0, 500), st.floats(3, 200), st.floats(3, 200)).map(
    lambda b: box(b[0], b[1], b[0] + b[2], b[1] + b[3])
)


@settings(max_examples=60, deadline=None)
@given(st.lists(BOXES, min_size=1, max_size=8), st.sampled_from(LEAVES))
def test_leaves_and_patches_cover_all_of_an_area(boxes, leaf):
    outline = shapely.union_all(boxes)
    plan = leaf_plan(outline, leaf=leaf)
    patches = [patch.shape for patch in plan.patches]
    assert shapely.union_all([*plan.laid, *patches]).buffer(1e-6).covers(outline)
    side = leaf_side_mm(leaf)
    for number in range(1, plan.cut_leaves + 1):
        cut = [patch.shape for patch in plan.patches if patch.leaf == number]
        assert cut and sum(p.area for p in cut) <= side**2 + 1e-6
    assert plan.leaves <= len(leaf_grid(outline.bounds, leaf=leaf)) or plan.leaves == plan.by_area


@given(SIDE, SIDE)
def test_neighbouring_leaves_overlap_by_three_to_five_millimetres(width, height):
    """Common practice."""
    leaves = leaf_grid((0, 0, width, height))
    for a, b in pairwise(leaves):
        shared = a.intersection(b)
        if not shared.is_empty and shared.bounds[3] - shared.bounds[1] > 70:
            assert 3 <= shared.bounds[2] - shared.bounds[0] <= 5 + 1e-9


@given(SIDE, SIDE, st.floats(1, 50))
def test_a_larger_area_never_takes_fewer_leaves(width, height, more):
    small = leaf_plan(box(0, 0, width, height)).leaves
    assert leaf_plan(box(0, 0, width + more, height)).leaves >= small


def test_what_is_no_leaf_is_named():
    with pytest.raises(DesignError, match="imitation_leaf"):
        leaf_plan(box(0, 0, 9, 9), leaf="tin")
