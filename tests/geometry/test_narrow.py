"""Narrow places and sharp corners by closed forms, and what the repairs promise."""

import math

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from shapely.geometry import LineString, MultiPolygon, Point, Polygon, box

from pixel2make.geometry.narrow import narrow_places, narrowest, round_corners, sharp_corners, widen
from pixel2make.geometry.outline import outlines

DUMBBELL = box(0, 0, 30, 10).union(box(30, 4, 50, 6)).union(box(50, 0, 80, 10))
RING = Point(0, 0).buffer(9, 64).difference(Point(0, 0).buffer(5, 64))
SPURRED = box(0, 0, 30, 30).union(box(30, 10, 38, 12))
STAR = Polygon(
    [
        (
            (20 if i % 2 == 0 else 8) * math.sin(math.pi * i / 5),
            (20 if i % 2 == 0 else 8) * -math.cos(math.pi * i / 5),
        )
        for i in range(10)
    ]
)


@pytest.mark.parametrize(
    ("shape", "width", "where"),
    [
        (box(0, 0, 30, 7), 7, box(0, 0, 30, 7)),
        (DUMBBELL, 2, box(30, 4, 50, 6)),
        (Point(0, 0).buffer(9, 64), 18, Point(0, 0).buffer(9)),
        (RING, 4, RING),
        (MultiPolygon([box(0, 0, 9, 9), box(20, 0, 23, 9)]), 3, box(20, 0, 23, 9)),
        (SPURRED, 2, box(29, 10, 38, 12)),
    ],
    ids=["strip", "neck", "disc", "ring", "two pieces", "spur"],
)
def test_the_narrowest_place_by_closed_form(shape, width, where):
    place = narrowest(shape)
    assert place.size == pytest.approx(width, rel=0.02)
    assert where.buffer(1e-6).contains(Point(place.at))


def test_every_narrow_place_is_found_once():
    comb = box(0, 0, 60, 10)
    for x, width in ((5, 1.0), (20, 2.0), (35, 3.0), (50, 5.0)):
        comb = comb.union(box(x, 10, x + width, 22))
    found = narrow_places(comb, 4.0)
    assert [place.size for place in found] == pytest.approx([1, 2, 3], rel=0.03)
    assert [place.at[0] > 4 for place in found] == [True] * 3
    assert all(10 - 2 <= place.at[1] <= 22 for place in found)


def test_corners_are_no_narrow_places():
    stairs = shapely.union_all([box(0, 0, 40 - 3 * i, 3 * i + 3) for i in range(10)])
    assert narrow_places(stairs, 2.5) == []
    assert narrow_places(STAR, 2.0) == [], "a point of a star is a sharp corner"


def test_a_rounded_rectangle_has_no_corner_below_its_radius():
    shape = box(0, 0, 40, 30).buffer(-5).buffer(5, quad_segs=64)
    assert sharp_corners(shape, 4.8, tolerance=0.02) == []
    corners = sharp_corners(shape, 8.0, tolerance=0.02)
    assert len(corners) == 4
    assert all(place.size == pytest.approx(5.0, abs=0.8) for place in corners)


def test_inner_and_outer_corners_of_an_l_are_six():
    shape = box(0, 0, 20, 20).difference(box(10, 10, 20, 20))
    places = sharp_corners(shape, 1.0, tolerance=0.05)
    expected = {(0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)}
    assert {(round(x), round(y)) for x, y in (place.at for place in places)} == expected
    assert all(place.size == 0 for place in places)


@pytest.mark.parametrize(
    "shape", [DUMBBELL, SPURRED, box(0, 0, 20, 1), RING], ids=["neck", "spur", "strip", "ring"]
)
def test_widening_adds_only_and_leaves_no_narrow_place(shape):
    wide = widen(shape, 5.0)
    assert wide.buffer(1e-6).covers(shape)
    assert narrow_places(wide, 4.9) == []


def test_a_widened_neck_has_the_width_asked_for():
    cut = widen(DUMBBELL, 5.0).intersection(LineString([(40, -5), (40, 15)]))
    assert cut.length == pytest.approx(5.0, abs=0.05)


@pytest.mark.parametrize("radius", [1.0, 2.5])
def test_rounded_corners_have_their_radius_and_lose_only_the_tips(radius):
    """A right-angled corner loses (1 - pi/4) r² when it is rounded."""
    rounded = round_corners(box(0, 0, 30, 20), radius)
    assert rounded.area == pytest.approx(600 - 4 * (1 - math.pi / 4) * radius**2, rel=1e-3)
    assert sharp_corners(rounded, radius * 0.95, tolerance=0.05 * radius) == []


MASKS = st.tuples(st.integers(2, 8), st.integers(2, 8)).flatmap(
    lambda shape: arrays(np.int64, shape, elements=st.integers(0, 1))
)


@settings(max_examples=30, deadline=None)
@given(MASKS.filter(lambda mask: mask.any()))
def test_pixels_are_never_narrower_than_a_pixel(mask):
    """All of a stepped outline is made of squares of side 1: a disc of 0.98 finds no narrow place."""
    shape = outlines(mask)[1]
    assert narrow_places(shape, 0.98) == []


@settings(max_examples=30, deadline=None)
@given(MASKS.filter(lambda mask: mask.any()))
def test_a_lone_row_of_pixels_is_found(mask):
    """A row of single pixels added to any picture, apart from it, is a narrow place of one pixel."""
    padded = np.pad(mask.repeat(3, 0).repeat(3, 1), ((0, 2), (0, 0)))
    padded[-1] = 1
    found = narrow_places(outlines(padded)[1], 1.5)
    on_row = [place for place in found if place.at[1] > padded.shape[0] - 1]
    assert [place.size for place in on_row] == pytest.approx([1.0], abs=0.03)


@pytest.mark.parametrize("side", [0.5, 0.75, 1.5])
@pytest.mark.parametrize("width", [1.1, 1.6, 2.5, 4.0])
def test_a_link_across_a_corner_is_as_narrow_as_its_throat(side, width):
    """A square laid over the corner at which two blocks touch has a throat on its diagonal (Pythagoras)."""
    link = box(-side, -side, side, side)
    shape = shapely.union_all([box(-20, -20, 0, 0), box(0, 0, 20, 20), link])
    throat = side * math.sqrt(2)
    places = narrow_places(shape, width)
    assert bool(places) == (throat < width * 0.99)
    for place in places:
        assert place.size == pytest.approx(throat, rel=0.02)
    assert narrowest(shape).size == pytest.approx(throat, rel=0.02)
