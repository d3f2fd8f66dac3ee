"""Lettering fits its box by measure, keeps its proportions, and says what it lacks."""

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make.errors import DesignError
from pixel2make.lettering.faces import FACES, face
from pixel2make.lettering.model import Line
from pixel2make.lettering.setting import break_words, clean_text, fit_lines, mirrored, set_lines

LETTERS = string.ascii_letters + string.digits + "&.,-'ÄÖÜÉßñ"
words = st.text(LETTERS, min_size=1, max_size=9)
titles = st.lists(words, min_size=1, max_size=6).map(" ".join)
lines = st.lists(titles, min_size=1, max_size=4)
lengths = st.floats(5, 400)


def inside(outer, inner, slack=1e-6):
    x, y, width, height = outer
    return (
        inner[0] >= x - slack
        and inner[1] >= y - slack
        and inner[2] <= x + width + slack
        and inner[3] <= y + height + slack
    )


@settings(max_examples=60, deadline=None)
@given(lines, st.sampled_from(FACES), lengths, lengths, st.sampled_from(["left", "centre", "right"]))
def test_any_lines_fill_their_box_and_stay_inside(texts, key, width, height, align):
    box = (7.0, -3.0, width, height)
    lettering = set_lines(texts, face(key), box_mm=box, align=align)
    x0, y0, x1, y1 = lettering.bounds
    assert inside(box, lettering.bounds)
    assert x1 - x0 == pytest.approx(width) or y1 - y0 == pytest.approx(height)
    assert (y0 + y1) / 2 == pytest.approx(-3 + height / 2, abs=1e-6)
    assert lettering.outline.bounds == pytest.approx(lettering.bounds)


@settings(max_examples=40, deadline=None)
@given(lines, st.sampled_from(FACES), lengths, lengths)
def test_a_box_twice_as_large_doubles_the_outline(texts, key, width, height):
    small = set_lines(texts, face(key), box_mm=(width, height))
    large = set_lines(texts, face(key), box_mm=(2 * width, 2 * height))
    assert large.capital_mm == pytest.approx(2 * small.capital_mm)
    assert large.bounds == pytest.approx([2 * v for v in small.bounds], abs=1e-6)
    for a, b in zip(small, large, strict=True):
        assert b.shape.length == pytest.approx(2 * a.shape.length)
        assert b.shape.area == pytest.approx(4 * a.shape.area)


@settings(max_examples=40, deadline=None)
@given(lines, st.sampled_from(FACES), lengths, lengths)
def test_twice_mirrored_is_itself(texts, key, width, height):
    lettering = set_lines(texts, face(key), box_mm=(11, 13, width, height))
    once = mirrored(lettering)
    assert once.is_mirrored
    assert inside(lettering.box_mm, once.bounds)
    twice = mirrored(once)
    assert not twice.is_mirrored
    for a, b in zip(lettering, twice, strict=True):
        assert a.char == b.char
        assert a.shape.equals_exact(b.shape, 1e-9)


@settings(max_examples=40, deadline=None)
@given(st.lists(words, min_size=1, max_size=7), st.integers(1, 7))
def test_breaking_keeps_every_word_in_order(parts, count):
    text = " ".join(parts)
    if count > len(parts):
        with pytest.raises(DesignError, match="ask for 1 to"):
            break_words(text, count, face("engraved"))
    else:
        broken = break_words(text, count, face("engraved"))
        assert len(broken) == count
        assert " ".join(broken) == text


@settings(max_examples=25, deadline=None)
@given(titles, lengths, lengths)
def test_no_number_of_lines_beats_the_one_taken(title, width, height):
    taken = fit_lines([Line(title)], face("engraved"), box_mm=(width, height))
    for count in range(1, len(title.split()) + 1):
        other = set_lines(
            break_words(title, count, face("engraved")), face("engraved"), box_mm=(width, height)
        )
        assert other.capital_mm <= taken.capital_mm * (1 + 1e-6)


@pytest.mark.parametrize(
    ("texts", "pitch"),
    [(["HARBOUR", "TALLY"], 1.3), (["max", "one"], 1.5), (["HÄFEN", "TÖNE"], 1.9)],
)
def test_line_pitch_of_iso_3098(texts, pitch):
    """ISO 3098, lettering type B: pitch 13/10, 15/10 and 19/10 of the height of a capital."""
    lettering = set_lines(texts, face("stencil"), box_mm=(100, 100))
    assert lettering.pitch_mm[0] / lettering.capital_mm == pytest.approx(pitch)
    assert "ISO 3098" in lettering.pitch_rule


@settings(max_examples=40, deadline=None)
@given(st.lists(titles, min_size=2, max_size=4), st.sampled_from(FACES))
def test_lines_stay_apart_by_the_standards_gap(texts, key):
    lettering = set_lines(texts, face(key), box_mm=(200, 200))
    lows = [max(g.shape.bounds[3] for g in line) for line in lettering.glyphs]
    highs = [min(g.shape.bounds[1] for g in line) for line in lettering.glyphs]
    for low, high in zip(lows[:-1], highs[1:], strict=True):
        assert high - low >= 0.2 * lettering.capital_mm - 1e-6


def test_kerning_draws_a_pair_together():
    def width(text):
        lettering = set_lines([text, "HHHHHHHHHH"], face("engraved"), box_mm=(100, 1000))
        x = [g.shape.bounds for g in lettering.glyphs[0]]
        return x[1][0] - x[0][2], lettering.capital_mm

    gap, capital = width("AV")
    units = 717 - 117 - 745 - 28
    assert gap / capital == pytest.approx(units / 700, abs=0.003)


def test_sizes_and_alignment():
    lettering = set_lines(
        [Line("HHHH"), Line("HHHH", 0.5)], face("engraved"), box_mm=(100, 90), align="right"
    )
    tall, low = ([g.shape.bounds for g in line] for line in lettering.glyphs)
    assert low[0][3] - low[0][1] == pytest.approx((tall[0][3] - tall[0][1]) / 2)
    assert tall[-1][2] == pytest.approx(100)
    assert low[-1][2] == pytest.approx(100)
    capped = set_lines(["HHHH"], face("engraved"), box_mm=(100, 90), largest_mm=7.0)
    assert capped.bounds[3] - capped.bounds[1] == pytest.approx(7.0)


def test_a_letter_gap_widens_by_itself():
    close = set_lines(["HH"], face("stencil"), box_mm=(2000, 688))
    wide = set_lines(["HH"], face("stencil"), box_mm=(2000, 688), letter_gap=0.25)
    assert wide.capital_mm == close.capital_mm == pytest.approx(688)
    assert wide.bounds[2] - wide.bounds[0] - close.bounds[2] + close.bounds[0] == pytest.approx(688 / 4)


@pytest.mark.parametrize(
    ("texts", "key", "message"),
    [
        (["Łódź kæyak"], "single-stroke", "has no Ł ź æ .*faces that have all: engraved, stencil"),
        (["Жук"], "engraved", "has no Ж у к .*no face shipped has all; name a font file"),
        (["A", "  "], "engraved", "line 2 of the lettering is empty"),
        ([], "engraved", "no text to set"),
    ],
)
def test_what_cannot_be_set_is_said_in_one_line(texts, key, message):
    with pytest.raises(DesignError, match=message) as error:
        set_lines(texts, face(key), box_mm=(10, 10))
    assert "\n" not in str(error.value)


def test_boxes_sizes_alignments_and_faces_are_checked():
    with pytest.raises(DesignError, match="holds no lettering"):
        set_lines(["A"], face("engraved"), box_mm=(0, 10))
    with pytest.raises(DesignError, match="a size is above zero"):
        set_lines([Line("A", 0)], face("engraved"), box_mm=(10, 10))
    with pytest.raises(DesignError, match="left, centre, right"):
        set_lines(["A"], face("engraved"), box_mm=(10, 10), align="middle")
    with pytest.raises(DesignError, match="words that would do: engraved"):
        face("gothic")


def test_accents_join_their_letters():
    assert clean_text("A\u0308rmel \n  u\u0308ber") == "Ärmel über"
