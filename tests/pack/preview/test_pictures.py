"""The pictures: the z-buffer against geometry, the scale figures against published lengths, same bytes."""

import io

import numpy as np
import pytest
import shapely
from PIL import Image

from pixel2make import trade
from pixel2make.pack.preview.camera import fitted, looking_from
from pixel2make.pack.preview.figures import hand_outline, hand_size_mm, person_outline
from pixel2make.pack.preview.pictures import preview_files
from pixel2make.pack.preview.raster import rasterize
from tests.pack.catalogue import SIZES, book


@pytest.mark.parametrize("seed", range(8))
def test_a_triangle_covers_the_pixels_whose_middle_it_holds(seed):
    """Against point-in-polygon of another library."""
    corners = np.random.default_rng(seed).uniform(0, 40, (3, 2))
    points = np.column_stack([corners, [1.0, 2.0, 3.0]])
    hits = rasterize(points, np.array([[0, 1, 2]]), (40, 40))
    ys, xs = np.mgrid[0:40, 0:40] + 0.5
    inside = shapely.contains_xy(shapely.Polygon(corners), xs.ravel(), ys.ravel()).reshape(40, 40)
    assert np.array_equal(hits.triangle == 0, inside)


def test_the_nearer_triangle_is_seen_and_the_last_of_equals():
    flat = np.array([[0, 0], [20, 0], [0, 20]], float)
    near, far = np.column_stack([flat, [5] * 3]), np.column_stack([flat, [1] * 3])
    triangles = np.array([[0, 1, 2], [3, 4, 5], [6, 7, 8]])
    hits = rasterize(np.vstack([near, far, far]), triangles, (20, 20))
    assert set(np.unique(hits.triangle)) == {-1, 0}
    hits = rasterize(np.vstack([far, far, far]), triangles, (20, 20))
    assert set(np.unique(hits.triangle)) == {-1, 2}


def test_neighbours_leave_no_gap():
    """A square of two triangles turned by 30 degrees: every pixel well inside is hit."""
    turn = np.radians(30)
    square = (
        np.array([[-10, -10], [10, -10], [10, 10], [-10, 10]])
        @ [
            [np.cos(turn), np.sin(turn)],
            [-np.sin(turn), np.cos(turn)],
        ]
        + 20
    )
    hits = rasterize(np.column_stack([square, np.ones(4)]), np.array([[0, 1, 2], [0, 2, 3]]), (40, 40))
    ys, xs = np.mgrid[0:40, 0:40] + 0.5
    inside = shapely.contains_xy(shapely.Polygon(square), xs.ravel(), ys.ravel()).reshape(40, 40)
    assert not (inside & (hits.triangle < 0)).any()


def test_an_isometric_view_shortens_all_edges_alike():
    """ISO 5456-3: the true shortening of an isometric projection is sqrt(2/3) = 0.8165."""
    camera = looking_from((1, 1, 1), (0, 1, 0))
    edges = np.linalg.norm(camera.rows_px, axis=0)
    assert edges == pytest.approx([trade.value("projection.isometric").value["true_factor"]] * 3, abs=1e-6)


def test_a_fitted_picture_keeps_its_margin():
    points = np.random.default_rng(1).uniform(-50, 80, (30, 3))
    flat = fitted(looking_from((1, 0.4, 0.7), (0, 0, 1)), points, (300, 200), (20, 10)).project(points)
    assert flat[:, 0].min() >= 20 - 1e-9 and flat[:, 0].max() <= 280 + 1e-9
    assert flat[:, 1].min() >= 10 - 1e-9 and flat[:, 1].max() <= 190 + 1e-9


def test_the_hand_is_as_long_as_measured_hands():
    """ANSUR II: mean lengths 181.1 and 193.3 mm of women's and men's hands."""
    _, y0, _, y1 = hand_outline().bounds
    assert y1 - y0 == pytest.approx((181.1 + 193.3) / 2)
    assert hand_size_mm()[1] == pytest.approx(187.2)
    assert hand_outline().is_valid and hand_outline().geom_type == "Polygon"


def test_the_maker_is_as_tall_as_said():
    _, y0, _, y1 = person_outline(1720.0).bounds
    assert (y0, y1) == pytest.approx((0, 1720))


@pytest.mark.parametrize("name", ["usual", "palm", "thick"])
def test_same_design_same_pictures(name):
    files = preview_files(book(**SIZES[name]))
    assert files == preview_files(book(**SIZES[name]))
    assert {path for path in files if path.endswith(".png")} == {
        "preview/as_drawn.png",
        "preview/lying.png",
        "preview/spine.png",
        "preview/beside_the_sprite.png",
    }
    for path, content in files.items():
        if path.endswith(".png"):
            picture = Image.open(io.BytesIO(content))
            assert picture.mode == "RGB" and not picture.info
            assert np.asarray(picture).std() > 10


def test_a_turntable_is_drawn_where_it_was_asked_for():
    from dataclasses import replace

    asked = replace(book(), taken={"turntable": "webp"})
    picture = Image.open(io.BytesIO(preview_files(asked)["preview/turntable.webp"]))
    assert picture.is_animated
    assert 24 <= picture.n_frames <= 36
