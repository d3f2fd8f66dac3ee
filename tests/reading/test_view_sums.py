"""Sums over faces and edges of drawn boxes, against counting pixel by pixel in Shapely's polygons."""

from __future__ import annotations

import numpy as np
import shapely
from hypothesis import given
from hypothesis import strategies as st

from pixel2make.reading.box import NUDGE, Boxes
from pixel2make.reading.view_ground import Ground
from pixel2make.reading.view_outline import find_outlines
from pixel2make.reading.view_sums import sums_of

SHAPE = (21, 24)
QUARTERS = st.integers(-36, 36).map(lambda n: n / 4)


def ground_of_noise(seed):
    rng = np.random.default_rng(seed)
    return Ground(
        (0, 0),
        rng.random(SHAPE) < 0.8,
        rng.random(SHAPE) < 0.1,
        rng.uniform(0, 90, (*SHAPE, 3)),
        rng.integers(-1, 4, SHAPE),
        rng.random(SHAPE),
        1.0,
        False,
    )


def face_numbers(apex, p, q, t):
    """0 cover, 1 side along p, 2 side along q, -1 outside, of each pixel."""
    ys, xs = np.mgrid[0 : SHAPE[0], 0 : SHAPE[1]]
    out = np.full(SHAPE, -1)
    for number, (e, f) in enumerate(((p, q), (p, t), (q, t))):
        polygon = shapely.Polygon([apex, apex + e, apex + e + f, apex + f])
        out[shapely.contains_xy(polygon, xs + 0.5 + NUDGE[0], ys + 0.5 + NUDGE[1])] = number
    return out


@given(st.integers(0, 2**32), st.tuples(*[QUARTERS] * 4), st.floats(0.1, 0.9), st.floats(0.1, 0.9))
def test_sums_are_those_of_single_pixels_and_pairs(seed, edges, a, b):
    p, q = np.array(edges[:2]), np.array(edges[2:])
    if abs(p[0] * q[1] - p[1] * q[0]) < 1:
        return
    apex, t = np.array((12.0, 10.0)), -(a * p + b * q)
    ground = ground_of_noise(seed)
    found = sums_of(Boxes(*(np.array([e], float) for e in (apex, p, q, t, (0.0, 0.0)))), ground)
    face = face_numbers(apex, p, q, t)
    for number in range(3):
        own = (face == number) & ground.body
        sums = [own.sum(), *ground.lab[own].sum(axis=0), (ground.lab[own, 0] ** 2).sum()]
        np.testing.assert_allclose(found.face[0, number, :5], sums, atol=1e-6)
        assert found.empty[0, number] == ((face == number) & ~ground.body).sum()
        for material in range(4):
            count = (own & (ground.material == material)).sum()
            assert found.face[0, number, 8 + material] == count
    assert found.missing[0] == ((face >= 0) & ~ground.body).sum()
    assert found.excess[0] == ((face < 0) & ground.body).sum()
    seen = np.where(ground.body, face, -1)
    pairs = [(seen[:, :-1], seen[:, 1:]), (seen[:-1], seen[1:])]
    for number in range(3):
        for way, (one, two) in enumerate(pairs):
            assert found.within[0, number, way, 0] == ((one == number) & (two == number)).sum()
    for i, (one_face, two_face) in enumerate(((0, 1), (0, 2), (1, 2)), start=1):
        met = sum(
            ((one == first) & (two == last)).sum()
            for one, two in pairs
            for first, last in ((one_face, two_face), (two_face, one_face))
        )
        assert found.pair[0, i, 0] == met


def test_a_drawn_rectangle_is_found_without_a_pixel_of_misfit():
    mask = np.zeros(SHAPE, bool)
    mask[3:17, 5:16] = True
    _, flats = find_outlines(mask)
    assert flats.misfit[0] == 0
    np.testing.assert_allclose(flats.centre[0], (10.5, 10.0), atol=1e-9)
