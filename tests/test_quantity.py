"""Lengths as makers write them.

The inch is exactly 25.4 mm: international yard and pound agreement of 1959; NIST Special
Publication 811, appendix B. The foot is twelve inches.
"""

import re
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.errors import QuantityError
from pixel2make.quantity import (
    LONGEST_MM,
    MM_PER_UNIT,
    SHORTEST_MM,
    Dimension,
    format_length,
    format_mm,
    in_units,
    length_digits,
    parse_length,
    rounded_down,
    rounded_up,
)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("300mm", 300.0),
        ("300 mm", 300.0),
        ("  300   MM ", 300.0),
        ("30 cm", 300.0),
        ("0.3 m", 300.0),
        (".3m", 300.0),
        ("21,5 cm", 215.0),
        ("1in", 25.4),
        ("12 inches", 304.8),
        ("11.75in", 298.45),
        ("11 3/4 in", 298.45),
        ('11-3/4"', 298.45),
        ("11 3/4″", 298.45),
        ("11¾in", 298.45),
        ("¾ in", 19.05),
        ("7/8in", 22.225),
        ("1 ft", 304.8),
        ("1 ft 2 in", 355.6),
        ("10mm", SHORTEST_MM),
        ("3 m", LONGEST_MM),
    ],
)
def test_what_makers_write(text, mm):
    assert parse_length(text) == mm


def test_the_inch_is_the_international_one():
    """NIST SP 811 appendix B.8: inch to millimetre 25.4, foot to metre 0.3048, both exact."""
    assert MM_PER_UNIT["in"] == Fraction("25.4")
    assert MM_PER_UNIT["ft"] == Fraction("304.8")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("300", "has no unit; write one, such as 300mm, 30cm, 0.3m or 11.75in"),
        ("11 3/4", "has no unit"),
        ("", "no length is given"),
        ("   ", "no length is given"),
        ("-3mm", "'-3mm' is negative"),
        ("−3mm", "is negative"),
        ("0mm", "is zero"),
        ("0", "has no unit"),
        ("5km", "no unit 'km' here; use mm, cm, m or in"),
        ("nanmm", "is not a length"),
        ("inf mm", "is not a length"),
        ("mm", "is not a length"),
        ("3e2mm", "unit|not a length"),
        ("1/0 in", "divides by zero"),
        ("1,200mm", "could mean 1200 or 1.200"),
        ("1.2.3mm", "is not a length"),
        ("300mm 200mm", "unit|not a length"),
        ("9.99mm", "is 9.99 mm, too short; give a length from 10 mm to 3000 mm"),
        ("3001mm", "too long; give a length from 10 mm to 3000 mm"),
        ("9" * 60 + "mm", "too long"),
        ("9" * 10_000 + "mm", "is not a length"),
        ("300\nmm\x00", "unit|not a length"),
    ],
)
def test_what_is_refused_says_what_to_do(text, words):
    with pytest.raises(QuantityError, match=words) as caught:
        parse_length(text)
    assert len(str(caught.value).splitlines()) == 1
    assert len(str(caught.value)) < 250


def test_other_limits():
    assert parse_length("0.5 mm", low_mm=0.1) == 0.5
    with pytest.raises(QuantityError, match=r"too long; give a length from 0\.1 mm to 50 mm"):
        parse_length("51mm", low_mm=0.1, high_mm=50)


@given(st.integers(10_000, 3_000_000))
def test_a_written_length_reads_back(thousandths):
    mm = thousandths / 1000
    assert parse_length(format_mm(mm)) == mm


@given(st.integers(0, 100), st.integers(1, 64), st.integers(1, 64))
def test_fractions_of_an_inch_are_exact(whole, over, under):
    exact = (whole + Fraction(over, under)) * Fraction("25.4")
    assert parse_length(f"{whole} {over}/{under} in", low_mm=0.001, high_mm=1e6) == float(exact)


@given(st.decimals(min_value=10, max_value=3000, places=4, allow_nan=False))
def test_comma_and_point_are_one(number):
    text = f"{number}mm"
    assert parse_length(text) == parse_length(text.replace(".", ","))


@given(st.text(max_size=80))
def test_no_text_escapes_the_error_tree(text):
    try:
        value = parse_length(text)
    except QuantityError:
        return
    assert SHORTEST_MM <= value <= LONGEST_MM


def test_format_has_no_length_for_what_is_none():
    with pytest.raises(QuantityError):
        format_mm(float("nan"))
    assert format_mm(-0.0001) == "0 mm"


def test_a_dimension_keeps_its_interval():
    with pytest.raises(QuantityError, match="cover_width: 5 mm lies outside 6 to 7 mm"):
        Dimension("cover_width", 5, 6, 7, "sprite")
    with pytest.raises(QuantityError, match="origin is one of sprite, rule, stock, maker"):
        Dimension("cover_width", 5, 5, 5, "guess")


@given(st.floats(0.02, LONGEST_MM))
def test_what_is_shown_in_inches_reads_back_within_half_a_sixteenth(mm):
    """A steel rule divided in sixteenths; below a quarter inch a twentieth of the length, as decimals."""
    shown = format_length(mm, "in")
    back = parse_length(shown, low_mm=0.001, high_mm=2 * LONGEST_MM)
    assert abs(back - mm) <= 25.4 / 32 + 1e-9
    assert mm >= 25.4 / 4 or abs(back - mm) <= max(0.05 * mm, 0.0005 * 25.4) + 1e-9


@given(st.integers(1, 16 * 118))
def test_sixteenths_are_shown_exactly_and_in_lowest_terms(sixteenths):
    exact = Fraction(sixteenths, 16)
    shown = length_digits(float(exact * MM_PER_UNIT["in"]), "in")
    assert sum(Fraction(part) for part in shown.split()) == exact
    assert all(Fraction(part).denominator == int(part.partition("/")[2] or 1) for part in shown.split())


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("A4 is 210 x 297 mm", "A4 is 8 1/4 x 11 11/16 in"),
        ("joint_gap -6.35 mm", "joint_gap -1/4 in"),
        ("3 to 4 mm", "0.118 to 0.157 in"),
        ("x 12.7, y 25.4 mm", "x 1/2, y 1 in"),
        ("lengths of 0.7 to 1 m, 2 m2", "lengths of 27 9/16 to 39 3/8 in, 2 m2"),
        ("both 100 mm bars", "both 100 mm bars"),
        ("greyboard_2.5mm.svg and 12 mm2", "greyboard_2.5mm.svg and 12 mm2"),
        ("thread 25/3, 80 g/m2", "thread 25/3, 80 g/m2"),
    ],
)
def test_lengths_in_a_sentence(text, inches):
    """ISO 216 A4 in the nearest sixteenths; 25.4 mm to the inch."""
    assert in_units(text, "in") == inches
    assert in_units(text, "mm") == text


def test_units_that_are_not_shown_are_refused():
    with pytest.raises(QuantityError, match="mm or in"):
        format_length(3, "cubits")
    with pytest.raises(QuantityError, match="not a length"):
        format_length(float("nan"), "in")


@given(st.floats(0.05, 3000), st.integers(0, 3))
def test_what_is_needed_is_rounded_up_and_what_there_is_down(mm, places):
    """Never past the next digit: one unit in the last place, and the noise of binary fractions."""
    step, noise = 10.0**-places, 1e-5
    assert mm - noise * step <= float(rounded_up(mm, places)) < mm + step
    assert mm - step < float(rounded_down(mm, places)) <= mm + noise * step


@given(
    st.floats(0.1, 2000), st.sampled_from(["at least {} mm", "from {} mm on", "at most {} mm", "up to {} mm"])
)
def test_the_least_in_inches_is_enough_and_the_most_not_too_much(mm, words):
    """25.4 mm to the inch (yard and pound agreement of 1959), read back as a maker would measure it."""
    digits = f"{mm:.2f}"
    shown = in_units(words.format(digits), "in")
    read = parse_length(re.search(r"[\d./ ]+ in", shown)[0].strip(), low_mm=1e-9)
    if words.startswith(("at least", "from")):
        assert float(digits) - 1e-4 <= read <= float(digits) + 25.4 / 16
    else:
        assert float(digits) - 25.4 / 16 <= read <= float(digits) + 1e-4


@given(st.floats(0.2, 2900), st.floats(1e-3, 3), st.sampled_from(["would do", "are needed"]))
def test_two_lengths_set_against_each_other_never_read_alike(mm, more, words):
    there, needed = rounded_down(mm, 2), rounded_up(mm + more, 2)
    assert float(there) < float(needed)
    sentence = f"It is {there} mm wide; {needed} mm {words}, at x {there}, y {needed} mm."
    shown = in_units(sentence, "in", apart=True)
    first, second = (
        parse_length(part, low_mm=1e-9)
        for part in re.match(rf"It is (.* in) wide; (.* in) {words}", shown).groups()
    )
    assert first < second
    assert first <= float(there) + 25.4 / 32 and second >= float(needed) - 25.4 / 32


@pytest.mark.parametrize(
    ("text", "inches"),
    [("12.9 cm²", "2 in²"), ("6.4516 cm2 of leaf", "1 in2 of leaf"), ("area +0.65 cm²", "area +0.1 in²")],
)
def test_areas_in_a_sentence(text, inches):
    """6.4516 square centimetres to the square inch: the inch of 1959, squared."""
    assert in_units(text, "in") == inches
    assert in_units(text, "mm") == text
