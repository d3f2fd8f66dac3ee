"""From pixels to millimetres: the maker's edge is exact, all else carries the pixels' interval."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make.design import dimension
from pixel2make.design.scale import edge_spans
from pixel2make.errors import DesignError
from pixel2make.kinds.book.build import BookBuild
from pixel2make.reading.model import Proportions, Rounding
from tests.design import catalogue

KIND = BookBuild()
SPRITE_LENGTHS = ("cover_width", "book_thickness", "px_mm")
"""Without the clasp: its form and its least sizes may carry a plate on, which test_clasp.py holds."""


def test_ends_of_an_edge_are_known_to_their_pixels():
    """The ratio's bounds for edges counted to half a pixel: 10 of 14 pixels at 300 mm are 214.29 mm and lie
    between 300 * 9.5 / 14.5 and 300 * 10.5 / 13.5 (arithmetic of intervals)."""
    proportions = Proportions(
        "as_drawn", (10 / 14, 1, 0), (9.5 / 14.5, 1, 0), (10.5 / 13.5, 1, 0), 1.0, "", "sprite"
    )
    width = edge_spans(proportions, "height", 300.0)["width"]
    assert (width.value, width.low, width.high) == pytest.approx((214.286, 196.552, 233.333), abs=5e-4)


def test_the_given_edge_is_the_makers_and_exact():
    for given_edge, name in (
        ("height", "cover_height"),
        ("width", "cover_width"),
        ("thickness", "book_thickness"),
    ):
        size = 40.0 if given_edge == "thickness" else 250.0
        design = dimension(catalogue.plain(), KIND, given=given_edge, size_mm=size)
        own = design.dimension(name)
        assert (own.value_mm, own.low_mm, own.high_mm, own.origin) == (size, size, size, "maker")
        others = {"cover_height", "cover_width", "book_thickness"} - {name}
        assert {design.dimension(other).origin for other in others} == {"sprite"}


@settings(max_examples=40, deadline=None)
@given(st.floats(150, 990), st.sampled_from(["height", "width"]))
def test_twice_the_size_has_twice_the_lengths_of_the_sprite(size, edge):
    one = dimension(catalogue.plain(), KIND, given=edge, size_mm=size)
    two = dimension(catalogue.plain(), KIND, given=edge, size_mm=2 * size)
    for name in SPRITE_LENGTHS:
        small, large = one.dimension(name), two.dimension(name)
        assert large.value_mm == pytest.approx(2 * small.value_mm)
        assert (large.low_mm, large.high_mm) == pytest.approx((2 * small.low_mm, 2 * small.high_mm))
    for feature, sizes in one.feature_sizes.items():
        for small, large in zip(sizes, two.feature_sizes[feature], strict=True):
            assert large.value_mm == pytest.approx(2 * small.value_mm)


@settings(max_examples=40, deadline=None)
@given(
    st.floats(120, 900),
    st.sampled_from(["height", "width", "thickness"]),
    st.floats(0.5, 1.2),
    st.floats(0.1, 0.5),
)
def test_going_round_through_another_edge_comes_back(size, edge, width, thickness):
    """Width and thickness at a height, given as the size instead, are the same book."""
    reading = catalogue.book(
        ratio=(width, 1.0, thickness),
        low=(0.9 * width, 1.0, 0.8 * thickness),
        high=(1.1 * width, 1.0, 1.3 * thickness),
    )
    first = dimension(reading, KIND, size_mm=size)
    names = {"height": "cover_height", "width": "cover_width", "thickness": "book_thickness"}
    again = dimension(reading, KIND, given=edge, size_mm=first.dimension(names[edge]).value_mm)
    for name in names.values():
        assert again.dimension(name).value_mm == pytest.approx(first.dimension(name).value_mm)


@pytest.mark.parametrize("make", [catalogue.plain, catalogue.furnished, catalogue.front, catalogue.slanted])
def test_names_are_unique_and_values_lie_in_their_intervals(make):
    design = dimension(make(), KIND, size_mm=300)
    names = [d.name for d in design.dimensions]
    assert len(names) == len(set(names))
    for d in (*design.dimensions, *(d for pair in design.feature_sizes.values() for d in pair)):
        assert d.low_mm <= d.value_mm <= d.high_mm
        assert d.rule
        assert d.source or d.origin == "maker"


def test_a_feature_is_as_large_as_its_pixels():
    """A title 12 x 3 pixels on a cover of 20 x 30 pixels, 10 mm each, is 120 x 30 mm, give or take one."""
    reading = catalogue.book(
        catalogue.Mark("title_area-1", "cover", catalogue.rectangle(0.2, 0.1, 0.8, 0.2), "#e2b23c")
    )
    width, height = dimension(reading, KIND, size_mm=300).feature_sizes["title_area-1"]
    assert width.value_mm == pytest.approx(120)
    assert height.value_mm == pytest.approx(30)
    assert (height.low_mm, height.high_mm) == pytest.approx((20, 40))
    assert width.low_mm < 110 < 130 < width.high_mm


@pytest.mark.parametrize(
    ("width", "height"),
    [((20, 10), (0, 30)), ((20, 0), (-6, 30)), ((24, 12), (-30, 15)), ((20, -7), (3, 30))],
)
def test_a_feature_on_a_slanted_cover_keeps_its_share_of_it(width, height):
    """A panel over 3/4 of the width and 1/3 of the height measures so, to a pixel, however it is turned."""
    panel = catalogue.Mark(
        "title_area-1", "cover", catalogue.rectangle(0.125, 1 / 3, 0.875, 2 / 3), "#345c96"
    )
    reading = catalogue.book(
        panel, width=width, height=height, thickness=None, origin=(40, 12), ratio=(0.7, 1.0, 0.0)
    )
    wide, high = dimension(reading, KIND, size_mm=300).feature_sizes["title_area-1"]
    assert wide.low_mm <= 0.75 * 210 <= wide.high_mm
    assert high.low_mm <= 100 <= high.high_mm


def test_without_a_drawn_thickness_a_rule_stands_in_and_says_so():
    design = dimension(catalogue.front(), KIND, size_mm=300)
    thickness = design.dimension("book_thickness")
    assert thickness.origin == "rule"
    assert thickness.high_mm > 2 * thickness.low_mm
    assert any("No thickness is drawn" in warning for warning in design.warnings)
    assert any(choice.key == "thickness" and choice.taken == "usual" for choice in design.choices)


def test_a_thickness_that_is_not_drawn_cannot_set_the_size():
    with pytest.raises(DesignError, match=r"no thickness is drawn.*--height or --width"):
        dimension(catalogue.front(), KIND, given="thickness", size_mm=30)


def test_the_maker_may_say_the_thickness():
    for make in (catalogue.front, catalogue.plain):
        design = dimension(make(), KIND, size_mm=300, choices={"thickness": "52 mm"})
        own = design.dimension("book_thickness")
        assert (own.value_mm, own.origin) == (52.0, "maker")
    with pytest.raises(DesignError, match="given twice"):
        dimension(catalogue.plain(), KIND, given="thickness", size_mm=30, choices={"thickness": 52.0})


@pytest.mark.parametrize(
    ("size", "message"),
    [(12, "8.0 mm, outside 10 to 3000 mm; choose a height from 15 to 3000 mm"), (9000, "from 15 to 3000 mm")],
)
def test_a_size_out_of_all_range_names_one_that_would_do(size, message):
    with pytest.raises(DesignError, match=message):
        dimension(catalogue.plain(), KIND, size_mm=size)


@settings(max_examples=60, deadline=None)
@given(st.floats(0.02, 0.2), st.floats(40, 400), st.sampled_from(["leather", "cloth"]))
def test_a_book_too_thin_for_pages_names_a_size_that_has_some(share, size, covering):
    reading = catalogue.book(ratio=(0.7, 1.0, share), low=(0.6, 1.0, share / 2), high=(0.8, 1.0, 2 * share))
    choices = {"covering": covering}
    try:
        dimension(reading, KIND, size_mm=size, choices=choices)
    except DesignError as error:
        advised = float(str(error).rsplit("choose a height from ", 1)[1].split(" mm")[0])
        assert advised > size
        assert dimension(reading, KIND, size_mm=advised, choices=choices).parts


@pytest.mark.parametrize("size", [0, -3, float("nan"), float("inf")])
def test_a_size_that_is_none_is_refused(size):
    with pytest.raises(DesignError, match="above zero"):
        dimension(catalogue.plain(), KIND, size_mm=size)


def test_an_edge_that_is_none_is_refused():
    with pytest.raises(DesignError, match="height, width, thickness"):
        dimension(catalogue.plain(), KIND, given="depth", size_mm=10)


def test_a_drawn_rounding_becomes_a_radius():
    """Two pixels of 10 mm each; the interval is the drawing's, widened by that of a pixel."""
    reading = catalogue.plain()
    assert "corner_radius" not in {d.name for d in dimension(reading, KIND, size_mm=300).dimensions}
    rounded = catalogue.furnished(rounding=Rounding(2.0, 1.0, 3.0, "two pixels are missing."))
    radius = dimension(rounded, KIND, size_mm=300).dimension("corner_radius")
    assert radius.value_mm == pytest.approx(20)
    assert radius.low_mm < 10
    assert radius.high_mm > 30
    assert radius.origin == "sprite"
