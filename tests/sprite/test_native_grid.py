"""Enlarged pictures come back to their native pixels; native ones are left alone.

The demo sprites, enlarged by the picture library in known ways, are the truth.
"""

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from pixel2make.errors import SpriteError
from pixel2make.sprite import load_sprite
from pixel2make.sprite.grid_axis import Axis
from pixel2make.sprite.grid_exact import changes
from pixel2make.sprite.grid_kernels import KERNELS, weights
from pixel2make.sprite.native_grid import recover
from tests.sprite.pictures import (
    CUBIC,
    LINEAR,
    NATIVE_NAMES,
    demo,
    enlarged,
    jpeg,
    laid_over,
    padded,
    visible,
)

WHITE = (255, 255, 255)


@pytest.mark.parametrize("name", NATIVE_NAMES)
def test_a_native_sprite_is_left_alone(name):
    rgba = demo(name)
    found = recover(rgba)
    assert found.grid.scale == 1.0
    assert (found.rgba == rgba).all()


@pytest.mark.parametrize("name", NATIVE_NAMES)
@pytest.mark.parametrize("scale", [2, 3, 8, 3.7, 5.3])
def test_nearest_enlargement_comes_back_exactly(name, scale):
    rgba = demo(name)
    found = recover(enlarged(rgba, scale))
    assert found.grid.scale == pytest.approx(scale, rel=0.02)
    assert found.grid.confidence > 0.99
    assert found.rgba.shape == rgba.shape
    assert (visible(found.rgba) == visible(rgba)).all()


@pytest.mark.parametrize("name", NATIVE_NAMES)
def test_half_numbered_scales_have_ties(name):
    """At 2.5 every other line falls on the middle of a file pixel and may show on either side."""
    rgba = demo(name)
    found = recover(enlarged(rgba, 2.5))
    assert (visible(found.rgba) == visible(rgba)).all()


@given(
    st.integers(0, 2**32),
    st.tuples(st.integers(9, 40), st.integers(9, 40)),
    st.integers(2, 9),
    st.tuples(st.integers(0, 8), st.integers(0, 8)),
)
@settings(deadline=None)
def test_any_drawing_enlarged_by_a_whole_factor_comes_back(seed, shape, scale, cut):
    palette = np.array([[0] * 4, [9, 9, 9, 255], [200, 0, 0, 255], [0, 200, 0, 255], [250] * 4], np.uint8)
    native = palette[np.random.default_rng(seed).integers(0, 5, shape)]
    across, down = changes(native)
    assume(len(across) == shape[1] - 1 and len(down) == shape[0] - 1)
    cut_x, cut_y = cut[0] % scale, cut[1] % scale
    found = recover(native.repeat(scale, 0).repeat(scale, 1)[cut_y:, cut_x:])
    assert found.grid.scale == scale
    assert found.grid.offset_px == (-cut_x % scale, -cut_y % scale)
    assert (found.rgba == native).all()


def test_a_picture_cropped_off_the_grid_keeps_its_cut_pixels():
    rgba = demo("furnace_book")
    large = rgba.repeat(8, 0).repeat(8, 1)[83:-83, 69:-66]
    found = recover(large)
    assert found.grid.scale == 8
    assert found.grid.offset_px == (3.0, 5.0)
    assert (visible(found.rgba) == visible(rgba[10:-10, 8:-8])).all()


@pytest.mark.parametrize("name", NATIVE_NAMES)
@pytest.mark.parametrize(("scale", "how"), [(8, LINEAR), (3.7, LINEAR), (2, LINEAR), (4, CUBIC)])
def test_blended_enlargement_comes_back(name, scale, how):
    rgba = demo(name)
    found = recover(enlarged(rgba, scale, how))
    assert found.is_lossy
    assert found.grid.scale == pytest.approx(scale, rel=0.02)
    assert found.rgba.shape == rgba.shape
    error = abs(visible(found.rgba) - visible(rgba)).max(axis=2)
    assert (error <= 8).mean() > 0.93


@pytest.mark.parametrize("name", NATIVE_NAMES)
@pytest.mark.parametrize(("scale", "how", "quality"), [(8, None, 80), (5.3, LINEAR, 85)])
def test_jpeg_of_an_enlargement_comes_back(tmp_path, name, scale, how, quality):
    rgba = laid_over(padded(demo(name)), WHITE)
    large = rgba.repeat(8, 0).repeat(8, 1) if how is None else enlarged(rgba, scale, how)
    (tmp_path / "a.jpg").write_bytes(jpeg(large, quality))
    sprite = load_sprite(tmp_path / "a.jpg")
    assert sprite.grid.scale == pytest.approx(scale, rel=0.02)
    assert sprite.shape == rgba.shape[:2]
    assert sprite.background_kind == "flat"
    error = abs(sprite.rgba.astype(int) - rgba).max(axis=2)
    # Compressed colour is stored at half the size, so thin marks fade; the exact share is for pixels 8 wide.
    assert (error <= 12).mean() > (0.97 if how is None else 0.8)


def test_jpeg_cut_off_the_grid_comes_back():
    rgba = laid_over(padded(demo("tidewardens_rule")), WHITE)
    from io import BytesIO

    from PIL import Image

    large = np.array(Image.open(BytesIO(jpeg(rgba.repeat(8, 0).repeat(8, 1), 85))).convert("RGBA"))
    found = recover(large[3:-2, 5:-1])
    assert found.grid.scale == pytest.approx(8, rel=0.005)
    assert found.grid.offset_px == pytest.approx((3, 5), abs=0.6)


@pytest.mark.parametrize(("left", "top", "side"), [(150, 60, 200), (60, 250, 128), (0, 0, 512)])
def test_a_photo_has_no_grid_and_is_refused(tmp_path, left, top, side):
    """Parts of a photograph that scikit-image carries (public domain, NASA)."""
    from PIL import Image
    from skimage.data import astronaut

    part = astronaut()[top : top + side, left : left + side]
    Image.fromarray(part).save(tmp_path / "photo.png")
    with pytest.raises(SpriteError, match=r"looks like a photo or a painting: \d+ colours .* give pixel art"):
        load_sprite(tmp_path / "photo.png")


def test_more_native_pixels_than_a_sprite_has(tmp_path):
    from PIL import Image

    noise = np.random.default_rng(1).integers(0, 256, (60, 4000, 3), np.uint8)
    Image.fromarray(noise).save(tmp_path / "wide.png")
    with pytest.raises(
        SpriteError, match=r"is 4000 x 60 native pixels \(no pixel grid .* at most 512 a side"
    ):
        load_sprite(tmp_path / "wide.png")


def test_a_few_blocks_do_not_prove_a_grid():
    """A plain box of even sides on even places may be native just as well."""
    rgba = np.zeros((32, 32, 4), np.uint8)
    rgba[4:28, 6:26] = (150, 40, 40, 255)
    assert recover(rgba).grid.scale == 1.0


@given(st.floats(1.5, 12), st.integers(8, 20), st.sampled_from(sorted(KERNELS)))
def test_blending_keeps_a_flat_colour(scale, count, kernel):
    size = round(count * scale)
    positions = (np.arange(size) + 0.5) / (size / count) - 0.5
    assert weights(positions, count, kernel, size / count).sum(axis=-1) == pytest.approx(1)


@pytest.mark.parametrize(("kernel", "how"), [("linear", LINEAR), ("cubic", CUBIC)])
def test_our_weights_are_those_of_the_picture_library(kernel, how):
    """One line of floats through Pillow's own resampling."""
    from PIL import Image

    line = np.random.default_rng(4).random((1, 11)).astype(np.float32)
    want = np.array(Image.fromarray(line, "F").resize((37, 1), how))[0]
    positions = (np.arange(37) + 0.5) * 11 / 37 - 0.5
    assert weights(positions, 11, kernel, 37 / 11) @ line[0] == pytest.approx(want, abs=1e-4)


@given(st.integers(4, 300), st.floats(1.0, 20), st.floats(0, 0.999))
def test_an_axis_parts_the_file_without_gaps(size, scale, share):
    axis = Axis(size, scale, share * scale)
    assert axis.bounds[0] == 0
    assert axis.bounds[-1] == size
    assert (np.diff(axis.bounds) >= 1).all()
    assert (axis.cells[axis.middles] == np.arange(axis.count)).all()


@pytest.mark.parametrize("factor", [1.5, 1.8, 2.5, 10 / 3])
@given(st.integers(0, 2**32 - 1), st.integers(14, 24), st.integers(14, 24))
def test_a_small_sprite_enlarged_by_a_broken_factor(factor, seed, width, height):
    """Pillow's own nearest neighbour, whichever way it rounds a line in the middle of a pixel."""
    from PIL import Image

    rng = np.random.default_rng(seed)
    rgba = np.zeros((height, width, 4), np.uint8)
    rgba[2:-2, 1:-1] = rng.choice([40, 90, 160, 230], (height - 4, width - 2, 1))
    rgba[2:-2, 1:-1, 3] = 255
    size = round(width * factor), round(height * factor)
    large = np.array(Image.fromarray(rgba).resize(size, Image.Resampling.NEAREST))
    assert np.array_equal(recover(large).rgba, rgba)
    assert recover(rgba).grid.scale == 1.0
