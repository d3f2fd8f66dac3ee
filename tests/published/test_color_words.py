"""Names of colours against the keywords of CSS Color Module Level 4 (section 6.1, Named Colors)."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ImageColor

from pixel2make.color.words import color_words

BASIC = "black grey white red orange yellow green blue purple pink gold brown cream"
PREFIXES = ("", "dark ", "pale ")

# Keyword: the basic term that it holds in its own name; the standard's values are those of ImageColor.
KEYWORDS = {
    "black": "black",
    "white": "white",
    "gray": "grey",
    "dimgray": "grey",
    "darkgray": "grey",
    "lightgray": "grey",
    "red": "red",
    "darkred": "red",
    "orange": "orange",
    "darkorange": "orange",
    "yellow": "yellow",
    "goldenrod": "gold",
    "darkgoldenrod": "gold",
    "green": "green",
    "darkgreen": "green",
    "palegreen": "green",
    "seagreen": "green",
    "lime": "green",
    "blue": "blue",
    "darkblue": "blue",
    "midnightblue": "blue",
    "royalblue": "blue",
    "skyblue": "blue",
    "lightblue": "blue",
    "purple": "purple",
    "rebeccapurple": "purple",
    "pink": "pink",
    "hotpink": "pink",
    "deeppink": "pink",
    "lightpink": "pink",
    "saddlebrown": "brown",
    "mintcream": "white",
}


@pytest.mark.parametrize(("keyword", "term"), KEYWORDS.items())
def test_keywords_get_the_name_that_they_hold(keyword, term):
    assert color_words(ImageColor.getrgb(keyword)).split()[-1] == term


def test_the_keywords_that_say_dark_and_light_are_darker_and_lighter():
    assert color_words(ImageColor.getrgb("darkred")).startswith("dark")
    assert color_words(ImageColor.getrgb("midnightblue")).startswith("dark")
    assert color_words(ImageColor.getrgb("paleturquoise")).startswith("pale")
    assert color_words(ImageColor.getrgb("red")) == "red"


@given(st.tuples(*[st.integers(0, 255)] * 3))
def test_every_colour_has_one_name(rgb):
    said = color_words(rgb)
    assert any(said.removeprefix(p) in BASIC.split() for p in PREFIXES)


@given(st.integers(0, 255))
def test_what_has_no_hue_is_black_grey_or_white(level):
    assert color_words((level, level, level)).split()[-1] in ("black", "grey", "white")
