"""What is background: clear, glow, flat colour, checkerboard, or nothing at all."""

import numpy as np
import pytest
from PIL import Image

from pixel2make.sprite import load_sprite
from pixel2make.sprite.background import tell_background
from pixel2make.sprite.checkerboard import find_checkerboard
from tests.drawings import FRONT_WITH_EDGE, rgba_of
from tests.sprite.pictures import NATIVE_NAMES, checkerboard, demo, enlarged, jpeg, laid_over, padded

RED, DARK, PALE = (150, 44, 52, 255), (26, 20, 34, 255), (236, 226, 200, 255)


def test_clear_pixels_are_background_whatever_their_colour():
    rgba = rgba_of(FRONT_WITH_EDGE)
    drawn = rgba[:, :, 3] > 0
    rgba[~drawn, :3] = np.random.default_rng(0).integers(0, 256, (int((~drawn).sum()), 3))
    background, kind, glow = tell_background(rgba)
    assert kind == "transparent"
    assert (background == ~drawn).all()
    assert not glow.any()


def test_a_glow_around_the_object_is_background():
    rgba = np.zeros((20, 20, 4), np.uint8)
    rgba[3:17, 3:17] = (255, 220, 90, 60)
    rgba[4:16, 4:16] = (255, 220, 90, 140)
    rgba[5:15, 5:15] = (255, 220, 90, 200)
    rgba[6:14, 6:14] = RED
    background, _, glow = tell_background(rgba)
    assert (~background == (rgba[:, :, 3] == 255)).all()
    assert (glow == ((rgba[:, :, 3] > 0) & (rgba[:, :, 3] < 255))).all()


def test_a_cast_shadow_at_half_alpha_is_background():
    rgba = np.zeros((20, 24, 4), np.uint8)
    rgba[14:18, 4:22] = (0, 0, 0, 128)
    rgba[3:16, 4:16] = RED
    background, _, glow = tell_background(rgba)
    assert (~background == (rgba[:, :, 0] > 0)).all()
    assert glow.sum() == (rgba[:, :, 3] == 128).sum()


def test_a_soft_edge_belongs_to_the_object_from_half_cover_on():
    rgba = np.zeros((16, 16, 4), np.uint8)
    rgba[3:13, 2] = (*RED[:3], 90)
    rgba[3:13, 3] = (*RED[:3], 170)
    rgba[3:13, 4:13] = RED
    rgba[3:13, 13] = (*RED[:3], 127)
    background, _, glow = tell_background(rgba)
    assert not background[5, 4:13].any()
    assert background[5, 13]
    assert glow[5, 13]


def test_glass_inside_the_object_stays_object_and_a_hole_does_not():
    rgba = np.zeros((16, 16, 4), np.uint8)
    rgba[2:14, 2:14] = RED
    rgba[5:8, 5:8] = (90, 160, 220, 100)
    rgba[10:12, 10:12] = 0
    background, _, glow = tell_background(rgba)
    assert not background[5:8, 5:8].any()
    assert background[10:12, 10:12].all()
    assert not glow.any()


def test_a_translucent_object_is_an_object():
    rgba = np.zeros((16, 16, 4), np.uint8)
    rgba[3:13, 3:13] = (*RED[:3], 170)
    background, _, _ = tell_background(rgba)
    assert (background == (rgba[:, :, 3] == 0)).all()


@pytest.mark.parametrize("name", NATIVE_NAMES)
@pytest.mark.parametrize("ground", [(90, 140, 90), (255, 0, 255), (255, 255, 255)])
def test_a_flat_ground_is_taken_off(name, ground):
    rgba = padded(demo(name), 1)
    background, kind, _ = tell_background(laid_over(rgba, ground))
    assert kind == "flat"
    assert (background == (rgba[:, :, 3] == 0)).all()


@pytest.mark.parametrize("name", NATIVE_NAMES)
def test_a_flat_ground_is_taken_off_a_jpeg_on_its_native_grid(tmp_path, name):
    rgba = padded(demo(name))
    (tmp_path / "a.jpg").write_bytes(jpeg(laid_over(rgba, (255, 255, 255)), 92))
    sprite = load_sprite(tmp_path / "a.jpg")
    assert sprite.grid.scale == 1.0
    assert sprite.background_kind == "flat"
    assert (sprite.object != (rgba[:, :, 3] > 0)).mean() < 0.05


def test_pages_of_the_grounds_colour_stay_object():
    rgba = padded(rgba_of(FRONT_WITH_EDGE.replace("W", "w")))
    background, kind, _ = tell_background(laid_over(rgba, (236, 226, 200)))
    assert kind == "flat"
    assert (background == (rgba[:, :, 3] == 0)).all()


@pytest.mark.parametrize("rim", [DARK, RED])
def test_an_object_that_fills_the_picture_has_no_background(rim):
    rgba = np.zeros((18, 14, 4), np.uint8)
    rgba[:] = rim
    rgba[1:-1, 1:-1] = (170, 80, 60, 255)
    rgba[1:-1, -3:-1] = PALE
    background, kind, _ = tell_background(rgba)
    assert kind == "none"
    assert not background.any()


def test_a_light_margin_of_one_pixel_is_background():
    rgba = np.zeros((18, 14, 4), np.uint8)
    rgba[:] = 255
    rgba[1:-1, 1:-1] = DARK
    rgba[2:-2, 2:-2] = RED
    background, kind, _ = tell_background(rgba)
    assert kind == "flat"
    assert background.sum() == 2 * 18 + 2 * 14 - 4


def test_an_object_cut_by_one_side_keeps_its_flat_ground():
    rgba = laid_over(padded(rgba_of(FRONT_WITH_EDGE)), (70, 110, 160))[:, :-4]
    background, kind, _ = tell_background(rgba)
    assert kind == "flat"
    assert background[0].all()
    assert not background[8, -1]


@pytest.mark.parametrize("name", NATIVE_NAMES)
@pytest.mark.parametrize(("scale", "side"), [(1, 1), (1, 2), (1, 4), (8, 8), (8, 5), (8, 10), (8, 16)])
def test_a_baked_in_checkerboard_is_taken_out(tmp_path, name, scale, side):
    """Squares finer than native pixels, as large, larger, and off the grid."""
    rgba = padded(demo(name))
    large = enlarged(rgba, scale)
    Image.fromarray(laid_over(large, checkerboard(*large.shape[:2], side))).save(tmp_path / "a.png")
    sprite = load_sprite(tmp_path / "a.png")
    assert sprite.background_kind == "checkerboard"
    assert sprite.grid.scale == scale
    assert (sprite.object == (rgba[:, :, 3] > 0)).all()
    assert (sprite.rgba[sprite.object] == rgba[rgba[:, :, 3] > 0]).all()


def test_a_checkerboard_in_a_jpeg_is_taken_out(tmp_path):
    rgba = padded(demo("furnace_book"))
    large = enlarged(rgba, 8)
    (tmp_path / "a.jpg").write_bytes(jpeg(laid_over(large, checkerboard(*large.shape[:2], 10)), 85))
    sprite = load_sprite(tmp_path / "a.jpg")
    assert sprite.background_kind == "checkerboard"
    assert sprite.grid.scale == 8
    assert (sprite.object != (rgba[:, :, 3] > 0)).mean() < 0.01


def test_the_board_shows_through_a_hole():
    rgba = np.zeros((40, 40, 4), np.uint8)
    rgba[6:34, 6:34] = RED
    rgba[14:26, 14:26] = 0
    board = find_checkerboard(laid_over(rgba, checkerboard(40, 40, 4)))
    assert (board == (rgba[:, :, 3] == 0)).all()


@pytest.mark.parametrize("name", NATIVE_NAMES)
def test_no_board_is_seen_where_there_is_none(name):
    assert find_checkerboard(demo(name)) is None
    assert find_checkerboard(laid_over(padded(demo(name)), (255, 255, 255))) is None
