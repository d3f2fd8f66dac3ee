"""Stencils hold: one piece, bridges of full width, mirror images kept, nothing else changed."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy import ndimage
from shapely.affinity import affine_transform, scale, translate
from shapely.geometry import MultiPolygon, Point, box

from pixel2make.geometry.bridges import bridge, is_one_piece, islands
from pixel2make.geometry.outline import outlines

SHEET = box(-20, -20, 120, 120)


def frame(x0, y0, x1, y1, thick):
    return box(x0, y0, x1, y1).difference(box(x0 + thick, y0 + thick, x1 - thick, y1 - thick))


def test_a_square_ring_takes_two_opposite_bridges_through_its_middle():
    done = bridge(frame(0, 0, 30, 30, 8), SHEET, width=2.0)
    assert sorted(b.direction for b in done.bridges) in (["down", "up"], ["left", "right"])
    assert done.openings.area == pytest.approx(30 * 30 - 14 * 14 - 2 * 8 * 2.0, abs=1e-3)
    assert is_one_piece(done.sheet)
    middles = [b.strip.centroid for b in done.bridges]
    assert all(m.x == pytest.approx(15) or m.y == pytest.approx(15) for m in middles)


def test_bridges_take_the_narrowest_necks():
    """Left and right the opening is 3 wide, above and below 12."""
    opening = box(0, 0, 40, 50).difference(box(3, 12, 37, 38))
    done = bridge(opening, SHEET, width=2.0)
    assert [b.direction for b in done.bridges] == ["left", "right"]


def test_bridges_take_the_notch_where_the_opening_is_thin():
    """Only at y 60..70 does the sheet reach close to the island from both sides."""
    opening = box(0, 0, 80, 100).difference(box(30, 20, 50, 80))
    opening = opening.difference(box(0, 60, 25, 70)).difference(box(55, 60, 80, 70))
    done = bridge(opening, SHEET, width=2.0)
    assert [b.direction for b in done.bridges] == ["left", "right"]
    assert all(b.strip.bounds[1] >= 60 and b.strip.bounds[3] <= 70 for b in done.bridges)


@pytest.mark.parametrize(("side", "count"), [(40, 2), (60, 4)])
def test_wide_islands_hang_on_more_bridges(side, count):
    opening = frame(0, 0, side + 10, side + 10, 5)
    done = bridge(opening, SHEET, width=2.0, per_island=lambda longer: 4 if longer > 50 else 2)
    assert len(done.bridges) == count


def test_a_long_bridge_is_wider():
    """At least a twentieth of the opening it crosses: common practice."""
    done = bridge(frame(0, 0, 100, 100, 45), SHEET, width=1.0, share=1 / 20)
    assert {round(b.width, 6) for b in done.bridges} == {2.25}


def test_nested_islands_hang_on_each_other():
    target = MultiPolygon([frame(0, 0, 90, 90, 10), frame(25, 25, 65, 65, 10)])
    done = bridge(target, SHEET, width=2.0)
    assert len(done.islands) == 2 and len(done.bridges) == 4
    assert is_one_piece(done.sheet)


def test_two_islands_of_one_opening_share_the_bridge_between_them():
    opening = box(0, 0, 70, 60).difference(box(5, 25, 33, 35)).difference(box(37, 25, 65, 35))
    done = bridge(opening, SHEET, width=2.0)
    assert len(done.bridges) == 3, "left, between, right"
    assert is_one_piece(done.sheet)


def test_a_disc_keeps_a_round_island():
    ring = Point(50, 50).buffer(40, 32).difference(Point(50, 50).buffer(20, 32))
    done = bridge(ring, SHEET, width=3.0)
    assert len(done.bridges) == 2 and is_one_piece(done.sheet)
    assert done.openings.area == pytest.approx(ring.area - 2 * 20 * 3.0, rel=0.01)


def test_without_an_island_there_is_no_bridge():
    opening = box(0, 0, 20, 10)
    done = bridge(opening, SHEET, width=2.0)
    assert done.bridges == () and done.openings.equals(opening) and is_one_piece(done.sheet)


def test_an_opening_right_across_the_sheet_is_bridged_too():
    done = bridge(box(-20, 40, 120, 50), SHEET, width=2.0)
    assert is_one_piece(done.sheet) and len(done.bridges) >= 1


PIXEL_MASKS = st.tuples(st.integers(3, 9), st.integers(3, 9)).flatmap(
    lambda shape: arrays(np.bool_, shape, elements=st.booleans())
)


def opening_of(mask, side, style="stepped"):
    shape = outlines(np.pad(mask, 1).astype(int), style=style)[1]
    return affine_transform(shape, [side, 0, 0, side, 0, 0])


def sheet_of(mask, side):
    rows, columns = mask.shape
    return box(-20, -20, (columns + 2) * side + 20, (rows + 2) * side + 20)


@settings(max_examples=120, deadline=None)
@given(
    PIXEL_MASKS.filter(lambda m: m.any()),
    st.sampled_from(["stepped", "straight", "faired"]),
    st.sampled_from([4.0, 7.5, 21.4]),
    st.sampled_from([1.25, 2.5]),
)
def test_any_picture_becomes_one_piece(mask, style, side, width):
    opening, sheet = opening_of(mask, side, style), sheet_of(mask, side)
    done = bridge(opening, sheet, width=width)
    strips = shapely.union_all([b.strip for b in done.bridges])
    assert is_one_piece(done.sheet)
    assert done.sheet.area + done.openings.area == pytest.approx(sheet.area, rel=1e-9)
    # Openings shrink, and by the bridges alone.
    assert done.openings.difference(opening).area < 1e-6
    assert opening.difference(done.openings).difference(strips).area < 1e-3
    # Each bridge is solid over its whole width.
    for each in done.bridges:
        assert each.width >= width
        assert each.strip.intersection(done.openings).area < 1e-6
        x0, y0, x1, y1 = each.strip.bounds
        across = {"up": x1 - x0, "down": x1 - x0, "left": y1 - y0, "right": y1 - y0}
        assert across.get(each.direction, each.width) == pytest.approx(each.width)


@settings(max_examples=120, deadline=None)
@given(PIXEL_MASKS.filter(lambda m: m.any()))
def test_islands_are_those_that_a_flood_from_the_edge_does_not_reach(mask):
    """The count by scipy's labelling of the pixels that stay, 4-connected."""
    _, count = ndimage.label(~np.pad(mask, 1))
    assert len(islands(opening_of(mask, 1.0), sheet_of(mask, 1.0))) == count - 1
    assert (len(bridge(opening_of(mask, 4.0), sheet_of(mask, 4.0), width=1.0).bridges) == 0) == (count == 1)


@settings(max_examples=80, deadline=None)
@given(PIXEL_MASKS.filter(lambda m: m.any()), st.booleans(), st.booleans())
def test_a_picture_that_is_its_own_mirror_image_stays_so(half, is_odd, is_both):
    mask = np.hstack([half, half[:, ::-1][:, int(is_odd) :]])
    if is_both:
        mask = np.vstack([mask, mask[::-1]])
    opening, sheet = opening_of(mask, 6.0), sheet_of(mask, 6.0)
    middle = (mask.shape[1] + 2) * 6.0 / 2
    done = bridge(opening, sheet, width=1.5)
    assume(all(b.direction != "near" for b in done.bridges))
    image = affine_transform(done.openings, [-1, 0, 0, 1, 2 * middle, 0])
    assert image.symmetric_difference(done.openings).area < 1e-2


@settings(max_examples=30, deadline=None)
@given(PIXEL_MASKS.filter(lambda m: m.any()))
def test_same_picture_same_bridges_also_when_moved(mask):
    opening, sheet = opening_of(mask, 8.0), sheet_of(mask, 8.0)
    first = bridge(opening, sheet, width=2.0)
    assert bridge(opening, sheet, width=2.0).openings.equals_exact(first.openings, 0.0)
    moved = bridge(translate(opening, 64, 32), translate(sheet, 64, 32), width=2.0)
    assert translate(moved.openings, -64, -32).symmetric_difference(first.openings).area < 1e-3


def test_larger_is_the_same_picture():
    opening = frame(0, 0, 30, 30, 8)
    small = bridge(opening, SHEET, width=2.0)
    origin = (0, 0)
    large = bridge(scale(opening, 3, 3, origin=origin), scale(SHEET, 3, 3, origin=origin), width=6.0)
    assert large.openings.symmetric_difference(scale(small.openings, 3, 3, origin=origin)).area < 1e-2
