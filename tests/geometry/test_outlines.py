"""The promise of every line style: centre-faithful, areas that add up, no crossing, no gap."""

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.optimize import linprog
from shapely.affinity import affine_transform

from pixel2make.geometry.digital import straight_reach
from pixel2make.geometry.outline import LINE_STYLES, outlines

SHAPES = st.tuples(st.integers(1, 10), st.integers(1, 10))
LABEL_MAPS = SHAPES.flatmap(lambda shape: arrays(np.int64, shape, elements=st.integers(0, 4)))
BLOCKY_MAPS = LABEL_MAPS.map(lambda a: a.repeat(3, 0).repeat(3, 1))


def centres(labels):
    y, x = np.mgrid[0 : labels.shape[0], 0 : labels.shape[1]] + 0.5
    return x.ravel(), y.ravel()


@settings(max_examples=150, deadline=None)
@given(LABEL_MAPS | BLOCKY_MAPS, st.sampled_from(LINE_STYLES))
def test_every_pixel_centre_lies_in_its_own_outline_and_no_other(labels, style):
    found = outlines(labels, style=style)
    assert set(found) == set(np.unique(labels)) - {0}
    for label, shape in found.items():
        inside = shapely.contains_xy(shape, *centres(labels)).reshape(labels.shape)
        assert (inside == (labels == label)).all()


@settings(max_examples=150, deadline=None)
@given(LABEL_MAPS | BLOCKY_MAPS, st.sampled_from(LINE_STYLES))
def test_outlines_are_valid_and_neither_overlap_nor_leave_gaps(labels, style):
    """Judged by GEOS: the sum of the areas is the area of the union, and the union's holes are background."""
    found = list(outlines(labels, style=style).values())
    for shape in found:
        assert shape.is_valid, shapely.is_valid_reason(shape)
    whole = shapely.union_all(found)
    assert whole.area == pytest.approx(sum(shape.area for shape in found), abs=1e-6)
    if style == "stepped":
        assert whole.area == pytest.approx((labels > 0).sum())
    if (labels > 0).all():
        assert all(len(part.interiors) == 0 for part in shapely.get_parts(whole))


MASKS = st.tuples(st.integers(1, 14), st.integers(1, 9)).flatmap(
    lambda shape: arrays(np.int64, shape, elements=st.sampled_from([0, 1, 1]))
)


@settings(max_examples=150, deadline=None)
@given(MASKS, st.booleans(), st.booleans(), st.sampled_from(LINE_STYLES))
def test_a_region_that_is_its_own_mirror_image_stays_so(half, is_odd, is_both, style):
    mask = np.hstack([half, half[:, ::-1][:, int(is_odd) :]])
    if is_both:
        mask = np.vstack([mask, mask[::-1]])
    shape = outlines(mask, style=style).get(1, shapely.Polygon())
    assert mirrored(shape, mask.shape[1]).symmetric_difference(shape).area < 1e-6


def mirrored(shape, width):
    return affine_transform(shape, [-1, 0, 0, 1, width, 0])


@given(LABEL_MAPS)
def test_stepped_areas_are_pixel_counts(labels):
    for label, shape in outlines(labels).items():
        assert shape.area == pytest.approx((labels == label).sum())


def test_pixels_that_touch_at_a_corner_are_not_joined():
    found = outlines([[1, 2], [2, 1]])
    assert [len(found[k].geoms) for k in (1, 2)] == [2, 2]


def test_a_ring_closed_by_a_corner_touch_keeps_its_hole():
    shape = outlines([[1, 1, 1], [1, 0, 1], [1, 1, 0]])[1]
    assert len(shape.geoms) == 1 and len(shape.geoms[0].interiors) == 1
    assert shape.area == 7


@pytest.mark.parametrize(("rise", "run"), [(1, 1), (1, 2), (1, 3), (2, 3), (3, 4)])
def test_a_staircase_of_constant_slope_becomes_one_straight_edge(rise, run):
    y, x = np.mgrid[0:40, 0:40] + 0.5
    labels = np.where(y * run > x * rise + 8 * run, 1, 2)
    shape = outlines(labels, style="straight")[2].geoms[0]
    points = np.array(shape.exterior.coords)
    inner = (points[:, 0] > 0.5) & (points[:, 0] < 39.5) & (points[:, 1] > 0.5) & (points[:, 1] < 39.5)
    assert inner.sum() == 0, "no vertex lies inside the picture: the slope is one edge"


@pytest.mark.parametrize("style", LINE_STYLES)
def test_a_square_stays_a_square(style):
    labels = np.zeros((14, 14), int)
    labels[3:11, 2:12] = 1
    shape = outlines(labels, style=style)[1]
    assert shape.symmetric_difference(shapely.box(2, 3, 12, 11)).area < 1e-6


@pytest.mark.parametrize("style", LINE_STYLES)
def test_a_single_pixel_line_keeps_its_width(style):
    labels = np.zeros((7, 30), int)
    labels[3, 2:28] = 1
    shape = outlines(labels, style=style)[1]
    for x in (6, 15, 24):
        cut = shape.intersection(shapely.LineString([(x, 0), (x, 7)]))
        assert cut.length == pytest.approx(1, abs=0.05)


@pytest.mark.parametrize("style", LINE_STYLES)
def test_a_single_pixel_dot_stays(style):
    labels = np.zeros((5, 5), int)
    labels[2, 2] = 1
    assert outlines(labels, style=style)[1].area > 0.6


@pytest.mark.parametrize("radius", [4.3, 7.2, 13.3, 30.0])
def test_a_faired_disc_is_closer_to_the_circle_than_the_steps(radius):
    side = int(2 * radius + 4)
    middle = side / 2 + 0.13
    y, x = np.mgrid[0:side, 0:side] + 0.5
    labels = (np.hypot(x - middle, y - middle) <= radius).astype(int)
    circle = shapely.Point(middle, middle).buffer(radius, 64)
    distance = {
        style: outlines(labels, style=style)[1].boundary.hausdorff_distance(circle.boundary)
        for style in ("stepped", "faired")
    }
    assert distance["faired"] < 0.7 * distance["stepped"]


def test_a_strict_neighbour_keeps_the_shared_line_strict():
    y, x = np.mgrid[0:12, 0:12]
    labels = np.where(x > y, 1, 2)
    found = outlines(labels, style=lambda label: "stepped" if label == 1 else "faired")
    assert found[1].area == pytest.approx((labels == 1).sum())


STEPS = st.lists(st.sampled_from([(1, 0), (0, 1)]), min_size=2, max_size=12)


@settings(max_examples=60, deadline=None)
@given(STEPS)
def test_straight_runs_are_those_that_a_line_separates(steps):
    """The recogniser against linear programming (scipy's HiGHS): is there a line between the centres?"""
    points = np.vstack([[0, 0], np.cumsum(steps, axis=0)])
    reach = straight_reach(points, is_closed=False)[0]
    assert separable(points[: reach + 1])
    if reach + 1 < len(points):
        assert not separable(points[: reach + 2])


def separable(points):
    step = np.diff(points, axis=0)
    middle = (points[:-1] + points[1:]) / 2
    gate = np.stack([-step[:, 1], step[:, 0]], axis=1) / 2
    left, right = middle + gate, middle - gate
    ones = np.ones((len(left), 1))
    rows = np.vstack([np.hstack([-left, -ones]), np.hstack([right, ones])])
    return linprog([0, 0, 0], A_ub=rows, b_ub=-np.ones(len(rows)), bounds=[(None, None)] * 3).status == 0


MIRRORS = {
    "left to right": (lambda a: a[:, ::-1], lambda p, w, h: np.stack([w - p[:, 0], p[:, 1]], axis=1)),
    "top to bottom": (lambda a: a[::-1], lambda p, w, h: np.stack([p[:, 0], h - p[:, 1]], axis=1)),
    "about the diagonal": (lambda a: a.T, lambda p, w, h: p[:, ::-1]),
}


def discs(seeds):
    """Overlapping discs on 24 pixels a side: round arcs, junctions, tips."""
    y, x = np.mgrid[0:24, 0:24] + 0.5
    labels = np.zeros((24, 24), int)
    for label, (cx, cy, radius) in enumerate(seeds, 1):
        labels[np.hypot(x - cx, y - cy) < radius] = label
    return labels


DISCS = st.lists(st.tuples(st.floats(0, 24), st.floats(0, 24), st.floats(1, 11)), min_size=1, max_size=4)


@settings(max_examples=120, deadline=None)
@given(
    LABEL_MAPS | BLOCKY_MAPS | DISCS.map(discs), st.sampled_from(LINE_STYLES), st.sampled_from(list(MIRRORS))
)
def test_the_mirrored_drawing_has_the_mirrored_outlines(labels, style, way):
    """So symmetric regions stay symmetric: what is its own mirror image is drawn as its own mirror image."""
    mirrored, back = MIRRORS[way]
    height, width = labels.shape
    found, again = outlines(labels, style=style), outlines(mirrored(labels), style=style)
    for label, shape in found.items():
        same = shapely.transform(again[label], lambda p: back(p, width, height))
        assert same.symmetric_difference(shape).area < 1e-5
