"""Faces of known boxes: every pixel once, hidden faces completed, faces seen face on."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make.reading.corners import corner_rounding
from pixel2make.reading.faces import find_faces, rectify, squares
from pixel2make.reading.model import FACES, View
from tests.reading.drawn import COVER, PAGES, SPINE, book, regions_of

SLANTED = ((30, 30), (6.0, 9.0), (12.0, 6.0), (0.0, 12.0), (-4.0, 2.0))
"""Shape, origin, width, height, thickness: the spine shows on the left, the tail below."""


def view_of(o, u, v, t, kind="axonometric", strip=None):
    return View(kind, 1.0, o, u, v, t, strip_px=strip)


def test_every_pixel_that_is_no_contour_lies_on_one_face():
    shape, o, u, v, t = SLANTED
    regions = regions_of(book(shape, o, u, v, t))
    faces = find_faces(view_of(o, u, v, t), regions)
    total = np.sum([face.mask for face in faces], axis=0)
    assert tuple(face.name for face in faces) == FACES
    np.testing.assert_array_equal(total, regions.sprite.object & ~regions.contour)


def test_faces_have_their_own_colours():
    shape, o, u, v, t = SLANTED
    rgba = book(shape, o, u, v, t)
    for face in find_faces(view_of(o, u, v, t), regions_of(rgba)):
        rgb = {"cover": COVER, "spine": SPINE, "tail": PAGES}.get(face.name)
        assert face.is_visible == (rgb is not None)
        if rgb:
            assert face.mask.any() and (rgba[face.mask][:, :3] == rgb).all()
        else:
            assert not face.mask.any()


def test_hidden_faces_are_the_visible_ones_moved():
    _, o, u, v, t = SLANTED
    faces = {f.name: f for f in find_faces(view_of(o, u, v, t), regions_of(book(*SLANTED)))}
    for hidden, visible, edge in (
        ("fore_edge", "spine", u),
        ("head", "tail", (-v[0], -v[1])),
        ("back", "cover", t),
    ):
        assert not faces[hidden].is_visible
        np.testing.assert_allclose(np.subtract(faces[hidden].origin_px, faces[visible].origin_px), edge)
        assert (faces[hidden].a_px, faces[hidden].b_px) == (faces[visible].a_px, faces[visible].b_px)


def test_what_sticks_out_belongs_to_the_nearest_face():
    shape, o, u, v, t = SLANTED
    rgba = book(shape, o, u, v, t, with_line=False)
    x, y = 19, 20
    assert rgba[y, x, 3] == 0
    rgba[y - 1 : y + 1, x] = (200, 170, 60, 255)
    faces = find_faces(view_of(o, u, v, t), regions_of(rgba))
    assert [face.name for face in faces if face.mask[y, x]] == ["cover"]


def test_two_flat_strips_each_have_their_breadth():
    rgba = np.zeros((20, 20, 4), np.uint8)
    rgba[2:18, 2:16] = (*SPINE, 255)
    rgba[15:18, 4:16] = (*PAGES, 255)
    rgba[2:15, 4:16] = (*COVER, 255)
    view = view_of((4.0, 2.0), (12.0, 0.0), (0.0, 13.0), (-2.0, 0.0), "front_with_edges", (0.0, 3.0))
    faces = {face.name: face for face in find_faces(view, regions_of(rgba))}
    assert {name for name, face in faces.items() if face.is_visible} == {"cover", "spine", "tail"}
    assert faces["cover"].mask.sum() == 12 * 13
    assert faces["spine"].mask[2:15, 2:4].all() and faces["tail"].mask[15:18, 4:16].all()


@given(st.integers(3, 20), st.integers(3, 20), st.integers(1, 4))
@settings(max_examples=30, deadline=None)
def test_an_upright_cover_comes_back_pixel_by_pixel(cols, rows, scale):
    """Rectifying an axis-parallel face by whole factors repeats pixels (a property)."""
    rng = np.random.default_rng(cols * 100 + rows)
    rgba = np.zeros((rows + 2, cols + 2, 4), np.uint8)
    rgba[1:-1, 1:-1, :3] = rng.integers(0, 255, (rows, cols, 3))
    rgba[1:-1, 1:-1, 3] = 255
    view = view_of((1.0, 1.0), (float(cols), 0.0), (0.0, float(rows)), None, "front")
    cover = find_faces(view, regions_of(rgba))[0]
    inner = rgba[1:-1, 1:-1]
    np.testing.assert_array_equal(rectify(cover, rgba, scale), inner.repeat(scale, 0).repeat(scale, 1))


def test_a_mirrored_cover_reads_the_right_way_round():
    rgba = np.zeros((6, 8, 4), np.uint8)
    rgba[1:5, 1:7] = (*COVER, 255)
    rgba[1, 6] = (*PAGES, 255)
    view = view_of((7.0, 1.0), (-6.0, 0.0), (0.0, 4.0), None, "front")
    flat = rectify(find_faces(view, regions_of(rgba))[0], rgba, 1.0)
    assert tuple(flat[0, 0, :3]) == PAGES


def test_a_hidden_face_is_transparent():
    faces = find_faces(view_of(*SLANTED[1:]), regions_of(book(*SLANTED)))
    assert not rectify(faces[-1], book(*SLANTED), 2.0).any()


@pytest.mark.parametrize("radius", [0, 2, 4])
def test_rounding_of_a_disc_cornered_cover(radius):
    """A quarter disc takes (1 - pi/4) r^2 of the corner (arithmetic)."""
    rows, cols = 34, 26
    rgba = np.zeros((rows + 4, cols + 4, 4), np.uint8)
    ys, xs = np.mgrid[0:rows, 0:cols] + 0.5
    dx = np.maximum(radius - np.minimum(xs, cols - xs), 0)
    dy = np.maximum(radius - np.minimum(ys, rows - ys), 0)
    rgba[2:-2, 2:-2][np.hypot(dx, dy) <= radius] = (*COVER, 255)
    view = view_of((2.0, 2.0), (float(cols), 0.0), (0.0, float(rows)), None, "front")
    regions = regions_of(rgba)
    found = corner_rounding(view, regions)
    assert found is not None
    assert found.low_px <= radius <= found.high_px
    assert found.low_px <= found.value_px <= found.high_px


def test_squares_of_pages_that_stay_behind():
    """Pages one pixel short at head and tail: the strip beside the cover lacks its two ends."""
    rgba = np.zeros((28, 24, 4), np.uint8)
    rgba[2:26, 2:18] = (*COVER, 255)
    rgba[3:25, 18:22] = (*PAGES, 255)
    view = view_of((2.0, 2.0), (16.0, 0.0), (0.0, 24.0), (4.0, 0.0), "front_with_edges")
    regions = regions_of(rgba)
    found = squares(view, regions, find_faces(view, regions))
    assert found is not None and found.low_px <= 1.0 <= found.high_px
    assert found.value_px == pytest.approx(1.0, abs=0.3)


def test_no_squares_without_pages():
    rgba = np.zeros((20, 20, 4), np.uint8)
    rgba[2:18, 2:16] = (*COVER, 255)
    view = view_of((2.0, 2.0), (14.0, 0.0), (0.0, 16.0), None, "front")
    regions = regions_of(rgba)
    assert squares(view, regions, find_faces(view, regions)) is None
