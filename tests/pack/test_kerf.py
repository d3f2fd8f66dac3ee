"""Kerf compensation against the rule and a cut made by GEOS."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.affinity import rotate
from shapely.geometry import Point, box

from pixel2make.errors import DesignError
from pixel2make.pack.kerf import compensated


def test_forty_millimetres_and_a_hole_of_forty():
    """Common practice: the line lies half a kerf outside a part and inside a hole; 0.2 mm: 40.2 and 39.8."""
    ring = compensated(box(-20, -20, 60, 60).difference(box(0, 0, 40, 40)), 0.2)
    x0, _, x1, _ = ring.interiors[0].bounds
    assert x1 - x0 == pytest.approx(39.8)
    x0, _, x1, _ = compensated(box(0, 0, 40, 40), 0.2).bounds
    assert x1 - x0 == pytest.approx(40.2)


@given(st.floats(0.01, 3), st.floats(0, 90), st.floats(5, 60))
def test_a_cut_along_the_line_gives_the_part_back(kerf, turn, size):
    part = rotate(box(0, 0, size, 2 * size), turn).difference(Point(size / 2, size).buffer(2))
    line = compensated(part, kerf)
    left = line.difference(line.boundary.buffer(kerf / 2, quad_segs=32))
    # GEOS draws arcs with chords: a hole of 2 mm is true to a thousandth.
    assert left.symmetric_difference(part).area < 2e-3 * part.length


def test_no_kerf_changes_nothing():
    part = box(0, 0, 3, 4)
    assert compensated(part, 0.0) is part


def test_a_hole_finer_than_the_cut_is_refused():
    with pytest.raises(DesignError, match="1 of 1 holes are no wider than a cut of 2 mm"):
        compensated(box(0, 0, 20, 20).difference(Point(10, 10).buffer(0.8)), 2.0)
