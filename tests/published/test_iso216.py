"""Paper sizes against the rules of ISO 216:2007 and the size of A0 it starts from."""

import itertools

import pytest

from pixel2make import trade


@pytest.mark.parametrize("series", ["a", "b"])
def test_each_size_is_the_one_before_halved_and_rounded_down(series):
    """ISO 216: dividing the long side by two, whole millimetres, fractions dropped."""
    sizes = list(trade.value(f"paper.iso216.{series}").value.values())
    for (width, height), following in itertools.pairwise(sizes):
        assert following == (height // 2, width)


@pytest.mark.parametrize(("series", "exponent"), [("a", 0.25), ("b", 0.5)])
def test_each_size_lies_within_a_millimetre_of_the_geometric_rule(series, exponent):
    """ISO 216: sides as 1 to the square root of 2; A0 one square metre, B0 one metre wide."""
    for number, (width, height) in enumerate(trade.value(f"paper.iso216.{series}").value.values()):
        long = 1000 * 2 ** (exponent - number / 2)
        assert abs(height - long) < 1
        assert abs(width - long / 2**0.5) < 1


def test_sizes_that_everybody_knows():
    """ISO 216, table 1."""
    a = trade.value("paper.iso216.a").value
    assert a["A4"] == (210, 297)
    assert a["A0"] == (841, 1189)
    width, height = a["A0"]
    assert width * height / 1e6 == pytest.approx(1.0, abs=1e-3)


def test_inch_sizes_in_millimetres():
    """One inch is 25.4 mm (yard and pound agreement of 1959); letter is 8.5 x 11, legal 8.5 x 14,
    tabloid 11 x 17 (ANSI/ASME Y14.1 and trade usage)."""
    inches = {"letter": (8.5, 11), "legal": (8.5, 14), "tabloid": (11, 17)}
    for name, size in trade.value("paper.us").value.items():
        assert size == pytest.approx([side * 25.4 for side in inches[name]])
