"""Strokes, bridges and islands against shapes whose widths are known, and the stencil face as a whole."""

import string

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box
from shapely.geometry.base import BaseMultipartGeometry

from pixel2make.errors import DesignError
from pixel2make.lettering.faces import face
from pixel2make.lettering.model import Face, Glyph
from pixel2make.lettering.setting import set_lines
from pixel2make.lettering.strokes import (
    islands,
    require_stencil,
    thinnest_stroke,
    thinnest_width,
)
from pixel2make.lettering.widen_bridges import widened

PLAIN = string.ascii_letters + string.digits + "&.,-"


@settings(max_examples=40, deadline=None)
@given(st.floats(1.5, 20), st.floats(21, 40), st.floats(0, 180))
def test_a_thin_arm_on_a_thick_stem_is_measured_at_any_angle(thin, thick, angle):
    from shapely.affinity import rotate

    shape = box(0, 0, thick, 100).union(box(0, 50 - thin / 2, 100, 50 + thin / 2))
    assert thinnest_width(rotate(shape, angle), 100) == pytest.approx(thin, rel=0.03)


@settings(max_examples=30, deadline=None)
@given(st.floats(4, 30), st.floats(0, 8))
def test_a_ring_with_a_thin_place_is_measured_there(wall, offset):
    ring = (
        Point(0, 0)
        .buffer(50 + wall, quad_segs=64)
        .difference(Point(0, offset * wall / 10).buffer(50, quad_segs=64))
    )
    assert thinnest_width(ring, 120) == pytest.approx(wall * (1 - offset / 10), rel=0.04)


def test_serif_tips_are_no_strokes():
    """A stem with pointed serifs as long as a tenth of a capital is as thick as its stem."""
    stem = LineString([(0, 0), (0, 100)]).buffer(10, cap_style="flat")
    serif = box(-10, 0, 10, 4).union(LineString([(-19, 0.5), (19, 0.5)]).buffer(0.5, cap_style="flat"))
    assert thinnest_width(stem.union(serif), 100) == pytest.approx(20, rel=0.03)


def bars(widths):
    """A face whose letters are bars of known width, 100 high."""
    glyphs = {char: Glyph(width + 30, box(0, 0, width, 100)) for char, width in widths.items()}
    return Face(
        "bars", "Bars", "made for the test", 100, 100, False, {**glyphs, " ": Glyph(50, box(0, 0, 0, 0))}
    )


def test_single_strokes_have_no_width_of_their_own():
    assert thinnest_stroke(face("single-stroke"), "T") is None
    assert thinnest_stroke(bars({"I": 10}), "I") == pytest.approx(0.1, rel=0.03)


@pytest.mark.parametrize("key", ["engraved", "stencil"])
@pytest.mark.parametrize("char", "EOS")
def test_thinnest_strokes_by_rays(key, char):
    """No chord across a letter is shorter than the stroke found, but at corners; some nearly is."""
    chosen = face(key)
    shape, width = chosen.glyphs[char].shape, thinnest_stroke(chosen, char) * chosen.capital_height
    kept = shape.buffer(-width / 2 * 0.99)
    assert not kept.is_empty
    x0, y0, x1, y1 = shape.bounds
    chords = []
    for i in range(1, 200):
        x, y = x0 + i * (x1 - x0) / 200, y0 + i * (y1 - y0) / 200
        for line in (LineString([(x, y0 - 1), (x, y1 + 1)]), LineString([(x0 - 1, y), (x1 + 1, y)])):
            cut = shape.intersection(line)
            chords += [part.length for part in getattr(cut, "geoms", [cut]) if not part.is_empty]
    assert min(chords) * 0.9 <= width * 1.05
    assert sorted(chords)[len(chords) // 2] >= width


@settings(max_examples=50, deadline=None)
@given(st.lists(st.text(PLAIN, min_size=1, max_size=12), min_size=1, max_size=3), st.floats(0, 0.2))
def test_stencil_lettering_has_no_islands(texts, gap):
    lettering = set_lines(texts, face("stencil"), box_mm=(200, 120), letter_gap=gap)
    assert islands(lettering) == ()
    require_stencil(lettering)
    parts = (
        lettering.outline.geoms
        if isinstance(lettering.outline, BaseMultipartGeometry)
        else [lettering.outline]
    )
    sheet = lettering.outline.envelope.buffer(5).difference(lettering.outline)
    assert sheet.geom_type == "Polygon", "the sheet stays in one piece"
    assert all(not part.interiors for part in parts)


def test_every_glyph_of_the_stencil_face_leaves_the_sheet_in_one_piece():
    for char, glyph in face("stencil").glyphs.items():
        sheet = box(-2000, -2000, 4000, 4000).difference(glyph.shape)
        assert sheet.geom_type == "Polygon", char


def test_islands_of_an_ordinary_face_are_found_and_named():
    lettering = set_lines(["HARBOR 80"], face("engraved"), box_mm=(200, 30))
    # As FreeType draws the face: A, B, O and 0 have one closed counter, 8 has two, H and R none.
    assert len(islands(lettering)) == 6
    with pytest.raises(
        DesignError, match=r"6 islands would fall out of the stencil \(in A B O 8 0\)"
    ) as error:
        require_stencil(lettering)
    assert "take the face stencil" in str(error.value)
    with pytest.raises(DesignError, match="no openings"):
        require_stencil(set_lines(["O"], face("single-stroke"), box_mm=(9, 9)))


def test_bridges_are_widened_from_both_sides_and_letters_that_they_would_cover_are_told():
    """Three bars of 5 mm with gaps of 15 mm: a bridge of 16 mm takes half a millimetre from either side."""
    lettering = set_lines(["III"], bars({"I": 10}), box_mm=(1000, 50))
    (line,) = widened(lettering, 16.0)
    widths = [shape.bounds[2] - shape.bounds[0] for shape in line.shapes]
    assert not line.lost and widths == pytest.approx([4.5, 4.0, 4.5], abs=0.01)
    assert line.shapes[0].distance(line.shapes[1]) == pytest.approx(16.0, abs=0.01)
    (line,) = widened(lettering, 18.0)
    # The middle bar keeps 2 of 5 mm; three fifths, a bridge of 17 mm, are the least, at 18/17 of the size.
    assert line.lost == ("I",) and line.needed_mm == pytest.approx(50 * 18 / 17, rel=0.03)
    with pytest.raises(DesignError, match="above zero"):
        widened(lettering, 0.0)
