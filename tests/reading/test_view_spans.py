"""Rows and columns of drawn faces, against Shapely's point-in-polygon test."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.reading.box import NUDGE, Boxes
from pixel2make.reading.view_spans import bands_of, spans

SHAPE = (23, 29)
QUARTERS = st.integers(-44, 44).map(lambda n: n / 4)


def boxes(apex, p, q, t, more=(0.0, 0.0)):
    return Boxes(*(np.array([e], float) for e in (apex, p, q, t, more)))


def filled(found, *, by_column=False):
    """Masks (faces, rows, columns) of the spans of one box."""
    line = np.arange(SHAPE[0] if by_column else SHAPE[1])
    inside = (line >= found.start[0][..., None]) & (line < found.stop[0][..., None])
    return inside.swapaxes(1, 2) if by_column else inside


def inside_polygon(points):
    ys, xs = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]]
    return shapely.contains_xy(shapely.Polygon(points), xs + 0.5 + NUDGE[0], ys + 0.5 + NUDGE[1])


@given(st.tuples(*[QUARTERS] * 4), st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_slanted_faces_are_their_polygons(edges, a, b):
    p, q = np.array(edges[:2]), np.array(edges[2:])
    if abs(p[0] * q[1] - p[1] * q[0]) < 1:
        return
    t, apex = -(a * p + b * q), np.array((14.0, 11.0))
    found = boxes(apex, p, q, t)
    want = np.stack(
        [inside_polygon([apex, apex + e, apex + e + f, apex + f]) for e, f in ((p, q), (p, t), (q, t))]
    )
    bands = bands_of(found)
    np.testing.assert_array_equal(filled(spans(bands, SHAPE)), want)
    np.testing.assert_array_equal(filled(spans(bands, SHAPE, by_column=True), by_column=True), want)


@given(st.integers(2, 16), st.integers(2, 12), st.integers(1, 5), st.integers(1, 5))
def test_two_flat_strips_meet_on_the_diagonal(w, h, beside, above):
    """Trapezoids, as a frame's mitred corner; together with the cover they are the whole rectangle."""
    x, y = 7.0, 8.0
    found = boxes((x, y), (w, 0), (0, h), (-beside, 0), (0, -above))
    masks = filled(spans(bands_of(found), SHAPE))
    outer = (x - beside, y - above)
    left = inside_polygon([outer, (x, y), (x, y + h), (x - beside, y + h)])
    top = inside_polygon([outer, (x + w, y - above), (x + w, y), (x, y)])
    np.testing.assert_array_equal(masks[1], top)
    np.testing.assert_array_equal(masks[2], left)
    assert masks.sum() == (w + beside) * (h + above) and not (masks.sum(axis=0) > 1).any()


def test_a_face_seen_edge_on_is_empty():
    found = spans(bands_of(boxes((5, 5), (8, 0), (0, 8), (0, 0))), SHAPE)
    assert found.count.tolist() == [[64, 0, 0]]
