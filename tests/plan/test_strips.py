"""A second strip beside a flat cover goes into the plan, and comes back as the maker left it."""

from __future__ import annotations

import numpy as np
import pytest

from pixel2make import kinds
from pixel2make.errors import PlanError
from pixel2make.plan import overrides_of, parse_plan, plan_text
from pixel2make.reading import interpret
from pixel2make.reading.model import VIEW_KINDS, Overrides, View
from tests.reading.drawn import COVER, LINE, PAGES, SPINE, regions_of

BOOK = kinds.find("book")
STRIPS = View(
    "front_with_edges", 1.0, (9.0, 4.0), (16.0, 0.0), (0.0, 22.0), (-4.0, 0.0), 0.3, strip_px=(0.0, 4.0)
)


@pytest.fixture(scope="module")
def regions():
    """Leather at the left, pages below, as many fronts are drawn."""
    rgba = np.zeros((34, 30, 4), np.uint8)
    rgba[3:31, 4:26] = (*LINE, 255)
    rgba[4:30, 5:25] = (*SPINE, 255)
    rgba[26:30, 9:25] = (*PAGES, 255)
    rgba[4:26, 9:25] = (*COVER, 255)
    return regions_of(rgba)


@pytest.fixture(scope="module")
def reading(regions):
    return interpret(regions, BOOK, Overrides(view=STRIPS))


def text_of(reading):
    return plan_text(reading, sprite_file="book.png", vocabulary=BOOK.vocabulary)


def told(text, reading):
    return overrides_of(parse_plan(text, view_kinds=VIEW_KINDS), reading, vocabulary=BOOK.vocabulary)


def test_a_strip_is_written_and_is_nothing_new_when_read(reading):
    text = text_of(reading)
    assert "\nstrip = [0, 4]" in text
    assert told(text, reading).view is None


def test_a_changed_strip_is_the_makers_word(regions, reading):
    text = text_of(reading).replace("strip = [0, 4]", "strip = [0, 3]")
    view = told(text, reading).view
    assert view is not None and view.strip_px == (0.0, 3.0) and view.thickness_px == (-4.0, 0.0)
    again = interpret(regions, BOOK, Overrides(view=view))
    assert again.view.strip_px == (0.0, 3.0)
    assert "\nstrip = [0, 3]" in text_of(again)
    # Two strips show one thickness: their mean, as drawn lengths of a flat cover are true.
    assert again.proportions[0].ratio[2] == pytest.approx(3.5 / 22)


def test_a_strip_taken_out_is_none(reading):
    lines = [line for line in text_of(reading).splitlines() if not line.startswith("strip =")]
    view = told("\n".join(lines) + "\n", reading).view
    assert view is not None and view.strip_px is None


@pytest.mark.parametrize("old, new", [("front_with_edges", "oblique"), ("thickness = [-4, 0]", "# none")])
def test_a_strip_where_none_can_be_is_refused_with_its_line(reading, old, new):
    text = text_of(reading).replace(f'kind = "{old}"', f'kind = "{new}"').replace(old, new)
    with pytest.raises(PlanError, match=r"line \d+: view.strip is the second strip"):
        parse_plan(text, view_kinds=VIEW_KINDS)
