"""Lettering for a carving tool: strokes wide enough, counters open; holes counted by scipy on a raster."""

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy import ndimage

from pixel2make.errors import DesignError
from pixel2make.lettering.faces import FACES, face
from pixel2make.lettering.model import Line
from pixel2make.lettering.setting import fit_lines
from pixel2make.lettering.strokes import thinnest_width
from pixel2make.lettering.thicken import carved

TEXTS = st.text("ABDEGHKMOPRSabdegops&", min_size=1, max_size=8)


def lettering(text, key="engraved", width=160.0, gap=0.3):
    return fit_lines([Line(text, 1.0)], face(key), box_mm=(width, width / 3), letter_gap=gap)


def holes(shape):
    """Pieces of ground that a flood from outside does not reach, on a raster of 0.05 mm."""
    x0, y0, x1, y1 = shape.buffer(1).bounds
    xs, ys = np.meshgrid(np.arange(x0, x1, 0.05), np.arange(y0, y1, 0.05))
    _, count = ndimage.label(~shapely.contains_xy(shape, xs, ys))
    return count - 1


@settings(max_examples=25, deadline=None)
@given(TEXTS, st.floats(0.3, 2))
def test_every_stroke_is_as_wide_as_the_tool_and_no_more_is_added_than_it_lacks(text, tool):
    found = lettering(text)
    done = carved(found, tool_mm=tool, land_mm=tool / 2)
    assume(not done.closed)
    for glyph, shape in zip(found, done.shapes, strict=True):
        before = thinnest_width(glyph.shape, found.capital_mm)
        after = thinnest_width(shape, found.capital_mm)
        assert after is None or after >= 0.97 * tool
        if before is not None and before >= tool and done.grown_mm == 0:
            assert shape.equals(glyph.shape)


@settings(max_examples=10, deadline=None)
@given(st.text("ABDOPRabdegop", min_size=1, max_size=4), st.floats(0.5, 2))
def test_where_nothing_closes_all_counters_are_open(text, tool):
    found = lettering(text, width=90)
    done = carved(found, tool_mm=tool, land_mm=tool / 2)
    if not done.closed:
        for glyph, shape in zip(found, done.shapes, strict=True):
            assert holes(shape) == holes(glyph.shape)


@pytest.mark.parametrize("text", ["Bridge", "Lamp & Glass", "The Saltboilers"])
def test_the_size_that_is_told_works_and_a_smaller_one_does_not(text):
    small = lettering(text, width=40)
    done = carved(small, tool_mm=1.5, land_mm=0.75)
    needed = [line.needed_mm for line in done.lines]
    assert done.closed and all(needed)
    scale = max(needed) / small.capital_mm
    assert not carved(lettering(text, width=40 * scale * 1.001), tool_mm=1.5, land_mm=0.75).closed
    assert carved(lettering(text, width=40 * scale * 0.97), tool_mm=1.5, land_mm=0.75).closed


@pytest.mark.parametrize("key", FACES)
def test_every_face_can_be_carved_when_large(key):
    found = lettering("HARBOUR", key, width=300)
    done = carved(found, tool_mm=1.0, land_mm=0.5)
    assert not done.closed
    assert all(shape.area > 0 for shape in done.shapes)


def test_a_single_stroke_becomes_as_wide_as_the_tool():
    """The area of a straight stroke with round ends: length times width and a disc."""
    found = lettering("l", "single-stroke")
    (shape,) = carved(found, tool_mm=2.0, land_mm=1.0).shapes
    length = found.outline.length
    assert shape.area == pytest.approx(2.0 * length + np.pi, rel=0.02)


def test_a_tool_without_width_is_refused():
    with pytest.raises(DesignError, match="above zero"):
        carved(lettering("A"), tool_mm=0.0, land_mm=0.5)
