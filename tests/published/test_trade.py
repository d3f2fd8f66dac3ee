"""Trade values against published tables and worked examples, each named."""

import itertools
import math

import pytest

from pixel2make import trade


def test_inch_foot_pound_yard():
    """International yard and pound agreement, 1959: yard 0.9144 m, pound 0.45359237 kg."""
    assert trade.value("units.yard").number == 0.9144
    assert trade.value("units.inch").number == pytest.approx(914.4 / 36)
    assert trade.value("units.square_foot").number == pytest.approx((0.9144 / 3) ** 2)
    assert trade.value("units.pound").number == 453.59237


def test_leather_ounce():
    """J. Hewit & Sons: one ounce of leather is 1/64 inch."""
    assert trade.value("covering.leather_ounce").number == pytest.approx(25.4 / 64)


def test_bend_allowance_of_the_handbook_example():
    """Machinery's Handbook, 31st ed., p. 1421: soft steel 1/8 inch, bends of 180 degrees at 3/8 inch and of
    60 degrees at 5/8 inch, 3.5 inches straight: 1.338, 0.707 and 5.545 inches in all."""
    per_thickness, per_radius = trade.value("metal.bend_coefficient.half_hard").numbers

    def bend(thickness, radius, degrees):
        return (per_thickness * thickness + per_radius * radius) * degrees / 90

    assert bend(0.125, 0.375, 180) == pytest.approx(1.338, abs=0.001)
    assert bend(0.125, 0.625, 60) == pytest.approx(0.707, abs=0.001)
    assert 3.5 + bend(0.125, 0.375, 180) + bend(0.125, 0.625, 60) == pytest.approx(5.545, abs=0.001)


def test_leaves_in_a_book_of_leaf_cover_what_the_supplier_says():
    """Handover guide 2021: 25 leaves of 80 mm are 0.16 m2; imitation leaf 0.49 m2 a book.
    Paramount Coatings: 500 leaves of 3 3/8 inch are 39.5 square feet."""
    count = trade.value("gilding.leaves_in_book").number
    assert count * trade.value("gilding.leaf").number ** 2 / 1e6 == pytest.approx(0.16)
    assert count * trade.value("gilding.imitation_leaf").number ** 2 / 1e6 == pytest.approx(0.49)
    feet = 500 * trade.value("gilding.leaf_us").number ** 2 / 1e6 / trade.value("units.square_foot").number
    assert feet == pytest.approx(39.5, abs=0.1)


def test_size_coverage():
    """Golden Leaf Products: 700 square feet to the US gallon (231 cubic inches)."""
    litres = 231 * 2.54**3 / 1000
    feet = trade.value("units.square_foot").number
    assert trade.value("gilding.size_coverage").number == pytest.approx(700 * feet / litres, abs=0.05)


def test_squares_of_the_schools_book():
    """Vaughn, Printing and Bookbinding for Schools: boards 1/4 to 3/8 inch longer than the book."""
    assert trade.value("boards.square.bold").number == pytest.approx(25.4 * 3 / 8 / 2)
    assert trade.value("boards.square.to_350").number == pytest.approx(25.4 * (1 / 4 + 3 / 8) / 4, abs=0.5)


def test_kettle_stitch():
    """Bean & Brodhead, Bookbinding for Beginners: half an inch from head and tail."""
    assert trade.value("sewing.kettle_distance").number == pytest.approx(25.4 / 2)


def test_clasps_lie_opposite_the_second_and_fifth_of_six_panels():
    """Etherington & Roberts 1982, entry clasps."""
    panel = 1 / 6
    assert trade.value("clasp.places").numbers == pytest.approx((1.5 * panel, 4.5 * panel))


@pytest.mark.parametrize("key", ["drawing.line_widths", "drawing.lettering_heights"])
def test_sizes_of_lines_and_letters_step_by_the_root_of_two(key):
    """ISO 128-2 and ISO 3098: nominal sizes step by the square root of two."""
    sizes = trade.value(key).numbers
    for one, following in itertools.pairwise(sizes):
        assert following / one == pytest.approx(math.sqrt(2), rel=0.05)


def test_isometric_shortens_all_axes_alike():
    """Gauss's theorem of axonometry: the squares of the three factors add up to two."""
    assert 3 * trade.value("projection.isometric").value["true_factor"] ** 2 == pytest.approx(2, abs=1e-6)
    assert math.tan(math.radians(trade.value("projection.pixel_slope").number)) == pytest.approx(0.5)


def test_pixel_ends():
    """JCGM 100:2008: a uniform distribution of full width 1 has the standard uncertainty 1/sqrt(12); the
    sum of two (triangular) has 1/sqrt(6)."""
    assert trade.value("projection.rounded_end").number == pytest.approx(1 / math.sqrt(12))
    assert trade.value("projection.two_free_ends").number == pytest.approx(1 / math.sqrt(6))
