"""Outlines on a face: areas, diagonal contacts, slants, and the face's own grid."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from shapely import unary_union
from shapely.geometry import Point, Polygon, box

from pixel2make.design.facegrid import cells_on_face
from pixel2make.design.outlines import OUTLINE_STYLES, corner_contacts, outline_on_face, outlines_on_face
from pixel2make.reading.model import Face
from tests.design import catalogue

MASKS = arrays(bool, array_shapes(min_dims=2, max_dims=2, min_side=2, max_side=9)).filter(np.any)


def on_flat_cover(mask, pitch=10.0):
    """Outline of a mask that fills a cover drawn face on, `pitch` mm a pixel."""
    rows, columns = mask.shape
    reading = catalogue.book(width=(columns, 0), height=(0, rows), thickness=None, origin=(0, 0))
    return outline_on_face(reading, "cover", mask, (columns * pitch, rows * pitch))


@settings(deadline=None)
@given(MASKS)
def test_an_outline_has_the_area_of_its_pixels_and_joins(mask):
    """Each join of side c overlaps two pixels by a quarter each, so it adds half of c squared."""
    pitch, join = 10.0, 1.5
    outline = on_flat_cover(mask, pitch)
    expected = mask.sum() * pitch**2 + len(corner_contacts(mask)) * join**2 / 2
    assert outline.is_valid
    assert outline.area == pytest.approx(expected)


@settings(deadline=None)
@given(MASKS)
def test_pieces_of_an_outline_are_the_pixels_connected_over_corners(mask):
    """Against scikit-image's labelling with 8 neighbours."""
    from skimage.measure import label

    outline = on_flat_cover(mask)
    pieces = getattr(outline, "geoms", [outline])
    assert len(list(pieces)) == label(mask, connectivity=2).max()


@settings(deadline=None)
@given(MASKS)
def test_no_two_rings_of_an_outline_touch(mask):
    """So each opening can be cut: no ring runs through a point twice, no two share one."""
    outline = on_flat_cover(mask)
    rings = [r for p in getattr(outline, "geoms", [outline]) for r in (p.exterior, *p.interiors)]
    assert all(ring.is_simple for ring in rings)
    for i, one in enumerate(rings):
        assert all(one.distance(other) > 1.0 for other in rings[:i])


def test_a_join_never_outgrows_its_pixels():
    """Pixels of 0.4 mm are joined by squares of 0.2 mm, not of 1.5 mm."""
    outline = on_flat_cover(np.array([[1, 0], [0, 1]], bool), pitch=0.4)
    assert outline.area == pytest.approx(2 * 0.16 + 0.2**2 / 2)


def test_an_outline_ends_at_the_edges_of_the_face():
    reading = catalogue.book(width=(4, 0), height=(0, 6), thickness=None, origin=(2, 2))
    mask = np.ones(reading.regions.sprite.shape, bool)
    assert outline_on_face(reading, "cover", mask, (40, 60)).equals(box(0, 0, 40, 60))
    outside = np.zeros_like(mask)
    outside[0, 0] = True
    assert outline_on_face(reading, "cover", outside, (40, 60)) is None
    assert outline_on_face(reading, "spine", mask, (40, 60)) is None
    assert outline_on_face(reading, "cover", np.zeros_like(mask), (40, 60)) is None


SLANTS = [
    ((20, 10), (0, 30)),
    ((20, -10), (0, 30)),
    ((20, 0), (10, 30)),
    ((32, 16), (-40, 20)),
    ((-20, 5), (0, 30)),
]


@pytest.mark.parametrize(("width", "height"), SLANTS)
def test_a_disc_on_a_slanted_cover_comes_out_round(width, height):
    """Against the true circle: what differs is less than a pixel's width all along it."""
    disc = catalogue.Mark(
        "emblem-1", "cover", lambda a, b: (a - 0.5) ** 2 + (1.5 * (b - 0.5)) ** 2 < 0.1, catalogue.GOLD
    )
    reading = catalogue.book(
        disc, width=width, height=height, thickness=None, origin=(50, 20), ratio=(2 / 3, 1, 0)
    )
    outline = outline_on_face(reading, "cover", reading.patch("r2").mask, (200, 300))
    circle = Point(100, 150).buffer(200 * 0.1**0.5)
    assert isinstance(outline, Polygon)
    assert outline.area == pytest.approx(circle.area, rel=0.03)
    assert outline.symmetric_difference(circle).area < 0.5 * circle.length * 10


@pytest.mark.parametrize(("width", "height"), SLANTS)
def test_a_panel_on_a_slanted_cover_comes_out_square(width, height):
    panel = catalogue.Mark("title_area-1", "cover", catalogue.rectangle(0.2, 0.3, 0.8, 0.6), "#e2b23c")
    reading = catalogue.book(
        panel, width=width, height=height, thickness=None, origin=(50, 20), ratio=(2 / 3, 1, 0)
    )
    outline = outline_on_face(reading, "cover", reading.patch("r2").mask, (200, 300))
    panel = box(40, 90, 160, 180)
    assert outline.symmetric_difference(panel).area < 0.15 * panel.length * 10


@settings(deadline=None)
@given(
    MASKS,
    st.floats(-2, 2),
    st.floats(10, 25),
    st.floats(10, 25),
    st.sampled_from([(1, 0), (0, 1)]),
    st.booleans(),
    st.booleans(),
)
def test_taking_back_steps_loses_and_adds_no_pixel(mask, slope, wide, high, straight, is_lying, is_mirrored):
    """Where one edge runs along rows or columns, each pixel has a cell of its own, and lies on the face
    within half a step of where the exact affine map of its centre puts it."""
    sign = -1 if is_mirrored else 1
    a = (sign * wide, 0.0) if straight == (1, 0) else (sign * wide, sign * wide * slope)
    b = (high * slope, high) if straight == (1, 0) else (0.0, high)
    if is_lying:
        a, b = b, a
    face = Face("cover", (0.25, 0.5), a, b, True, np.zeros_like(mask))
    cells = cells_on_face(face, mask)
    assert cells.mask.sum() == mask.sum()
    ys, xs = np.nonzero(mask)
    exact = face.to_face(np.stack([xs, ys], 1) + 0.5)
    for axis in (0, 1):
        low, high_end = cells.extent(axis)
        half = cells.pixel[axis] / 2
        assert low == pytest.approx(exact[:, axis].min() - half, abs=1.01 * half)
        assert high_end == pytest.approx(exact[:, axis].max() + half, abs=1.01 * half)


def test_a_face_that_is_square_to_the_picture_keeps_its_pixels():
    face = Face("cover", (2.0, 1.0), (8.0, 0.0), (0.0, 4.0), True, np.zeros((8, 12), bool))
    mask = np.zeros((8, 12), bool)
    mask[1:3, 2:6] = True
    cells = cells_on_face(face, mask)
    assert (cells.mask == mask).all()
    assert cells.extent(0) == pytest.approx((0.0, 0.5))
    assert cells.extent(1) == pytest.approx((0.0, 0.5))
    assert cells.pixel == pytest.approx((1 / 8, 1 / 4))


def test_a_face_drawn_mirrored_is_measured_from_its_own_origin():
    """Spine at the right: the width runs to the left."""
    face = Face("cover", (10.0, 1.0), (-8.0, 0.0), (0.0, 4.0), True, np.zeros((8, 12), bool))
    mask = np.zeros((8, 12), bool)
    mask[1, 8:10] = True
    assert cells_on_face(face, mask).extent(0) == pytest.approx((0.0, 0.25))


def test_a_single_pixel_is_never_lost():
    """Also on a face turned by 45 degrees, which has two pixels to a step."""
    face = Face("cover", (20.0, 3.0), (7.0, 7.0), (-5.0, 5.0), True, np.zeros((30, 40), bool))
    ys, xs = np.mgrid[0:30, 0:40]
    a, b = face.to_face(np.stack([xs.ravel() + 0.5, ys.ravel() + 0.5], 1)).T
    for index in np.flatnonzero((a > 0) & (a < 1) & (b > 0) & (b < 1)):
        mask = np.zeros(30 * 40, bool)
        mask[index] = True
        assert cells_on_face(face, mask.reshape(30, 40)).mask.any()


@pytest.mark.parametrize("style", OUTLINE_STYLES)
def test_every_style_of_outline_stays_close_to_the_pixels(style):
    reading = catalogue.plain()
    mask = reading.patch("r3").mask
    outline = outline_on_face(reading, "cover", mask, (200, 300), style=style)
    assert outline.is_valid
    assert outline.area == pytest.approx(mask.sum() * 100, rel=0.25)
    assert outline.symmetric_difference(outline_on_face(reading, "cover", mask, (200, 300))).area < 2000


LABELS = arrays(
    np.int64, array_shapes(min_dims=2, max_dims=2, min_side=2, max_side=9), elements=st.integers(0, 3)
)
SLANTS = st.sampled_from(
    [
        ((1.0, 0.0), (0.0, 1.0)),
        ((1.0, 0.5), (0.0, 1.0)),
        ((1.0, 0.0), (-0.5, 1.0)),
        ((0.9, 0.45), (-0.9, 0.45)),
        ((-1.0, 0.25), (0.25, 1.0)),
    ]
)


@settings(max_examples=120, deadline=None)
@given(LABELS.filter(np.any), SLANTS, st.lists(st.sampled_from(OUTLINE_STYLES), min_size=3, max_size=3))
def test_shapes_on_a_face_share_their_lines(labels, slant, styles):
    """Judged by GEOS, on square and slanted faces, each shape in a style of its own: no overlap, and where
    all is covered no gap."""
    rows, columns = labels.shape
    (ax, ay), (bx, by) = slant
    reading = catalogue.book(
        width=(ax * columns, ay * columns),
        height=(bx * rows, by * rows),
        thickness=None,
        origin=(max(0.0, -ax * columns, -bx * rows) + 2, max(0.0, -ay * columns) + 2),
    )
    shape = reading.regions.labels.shape
    placed = np.zeros(shape, np.int64)
    y, x = np.mgrid[0 : shape[0], 0 : shape[1]]
    placed[:] = labels[np.clip(y - 2, 0, rows - 1), np.clip(x - 2, 0, columns - 1)]
    masks = {str(k): placed == k for k in (1, 2, 3)}
    found = outlines_on_face(
        reading, "cover", masks, (10.0 * columns, 10.0 * rows), styles=dict(zip(masks, styles, strict=True))
    )
    for outline in found.values():
        assert outline.is_valid
    whole = unary_union(list(found.values()))
    assert whole.area == pytest.approx(sum(o.area for o in found.values()), rel=1e-9, abs=1e-4)
    if slant == SLANTS_SQUARE and (placed > 0).all():
        assert sum(len(p.interiors) for p in getattr(whole, "geoms", [whole])) == 0


SLANTS_SQUARE = ((1.0, 0.0), (0.0, 1.0))


def test_the_earlier_of_two_shapes_that_cross_is_joined():
    labels = np.array([[1, 2], [2, 1]])
    reading = catalogue.book(width=(2, 0), height=(0, 2), thickness=None, origin=(0, 0))
    masks = {name: labels == k for k, name in enumerate("ab", 1)}
    size, styles = (20.0, 20.0), {"a": "stepped", "b": "stepped"}
    padded = {name: np.pad(m, ((0, 4), (0, 4))) for name, m in masks.items()}
    found = outlines_on_face(reading, "cover", padded, size, styles=styles)
    assert found["a"].geom_type == "Polygon" and found["b"].geom_type == "MultiPolygon"
    assert found["a"].area == pytest.approx(200 + 1.5**2 / 2)
    assert found["b"].area == pytest.approx(200 - 1.5**2 / 2)
