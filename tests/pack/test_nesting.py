"""Parts on sheets: inside, apart, grain kept, none lost."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from pixel2make.pack.nesting import nest

RECTANGLES = st.tuples(st.floats(5, 180), st.floats(5, 250)).map(lambda s: box(0, 0, *s))
CORNERS = st.tuples(st.floats(20, 120), st.floats(20, 120)).map(
    lambda s: Polygon(
        [(0, 0), (s[0], 0), (s[0], s[1] / 3), (s[0] / 3, s[1] / 3), (s[0] / 3, s[1]), (0, s[1])]
    )
)
PARTS = st.lists(st.tuples(RECTANGLES | CORNERS, st.booleans()), min_size=1, max_size=9)


@settings(max_examples=25, deadline=None)
@given(PARTS, st.floats(1, 6), st.floats(5, 12))
def test_parts_lie_inside_keep_their_distance_and_are_all_there(parts, gap, margin):
    """Judged by GEOS distances, not by the raster that placed them."""
    outlines, grain = [p for p, _ in parts], [g for _, g in parts]
    sheets = nest(outlines, sheet_mm=(300, 420), gap_mm=gap, margin_mm=margin, has_grain=grain)
    assert sorted(p.index for sheet in sheets for p in sheet.parts) == list(range(len(parts)))
    for sheet in sheets:
        room = box(margin, margin, sheet.width_mm - margin, sheet.height_mm - margin).buffer(1e-6)
        for i, placed in enumerate(sheet.parts):
            assert room.contains(placed.outline)
            assert placed.outline.area == pytest.approx(outlines[placed.index].area)
            assert not grain[placed.index] or placed.turn_deg in (0, 180)
            for other in sheet.parts[:i]:
                assert placed.outline.distance(other.outline) >= gap - 1e-6


@settings(max_examples=8, deadline=None)
@given(PARTS)
def test_same_parts_same_sheets(parts):
    outlines, grain = [p for p, _ in parts], [g for _, g in parts]
    args = {"sheet_mm": (300, 420), "gap_mm": 3, "margin_mm": 10, "has_grain": grain}
    assert nest(outlines, **args) == nest(outlines, **args)


def test_a_small_part_goes_into_the_hole_of_a_large_one():
    ring = box(0, 0, 200, 200).difference(box(30, 30, 170, 170))
    sheets = nest(
        [ring, box(0, 0, 120, 120)], sheet_mm=(220, 220), gap_mm=3, margin_mm=5, has_grain=[False, False]
    )
    assert len(sheets) == 1


def test_grain_forbids_the_turn_that_would_fit():
    tall = box(0, 0, 100, 280)
    free = nest([tall], sheet_mm=(300, 120), gap_mm=2, margin_mm=5, has_grain=[False])
    kept = nest([tall], sheet_mm=(300, 120), gap_mm=2, margin_mm=5, has_grain=[True])
    assert [sheet.is_oversize for sheet in free] == [False]
    assert [sheet.is_oversize for sheet in kept] == [True]


def test_a_part_larger_than_the_stock_gets_a_sheet_of_its_own():
    sheets = nest(
        [box(0, 0, 500, 500), box(0, 0, 50, 50)],
        sheet_mm=(300, 420),
        gap_mm=2,
        margin_mm=10,
        has_grain=[True, True],
    )
    assert [(s.is_oversize, s.width_mm) for s in sheets] == [(False, 300), (True, 520)]


def test_utilisation_is_area_over_area():
    (sheet,) = nest([box(0, 0, 100, 210)], sheet_mm=(300, 420), gap_mm=2, margin_mm=5, has_grain=[True])
    assert sheet.utilisation == pytest.approx(100 * 210 / (300 * 420))
    assert shapely.area(sheet.parts[0].outline) == pytest.approx(21000)


@given(st.floats(40, 900), st.floats(40, 900), st.floats(1, 6), st.floats(5, 12))
def test_a_part_as_large_as_the_room_within_the_margins_fits(width, height, gap, margin):
    part = box(0, 0, width, height)
    stock = (width + 2 * margin, height + 2 * margin)
    (sheet,) = nest([part], sheet_mm=stock, gap_mm=gap, margin_mm=margin, has_grain=[True])
    assert not sheet.is_oversize
