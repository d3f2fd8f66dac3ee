"""What holds for every sprite: one label a pixel, connected regions, raster order, no favourite direction."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import array_shapes, arrays
from scipy import ndimage

from pixel2make.regions import segment
from tests.regions.grids import COLORS, sprite_from

TABLE = np.array(list(COLORS.values()), np.uint8)


@st.composite
def drawings(draw):
    """Patches and noise of a few colours, the background among them."""
    shape = draw(array_shapes(min_dims=2, max_dims=2, min_side=1, max_side=10))
    letters = draw(arrays(np.int8, 6, elements=st.integers(0, len(TABLE) - 1)))
    pixels = draw(arrays(np.int8, shape, elements=st.integers(0, 5), fill=st.integers(0, 5)))
    return TABLE[letters[pixels]]


def partition_of(regions):
    """Which pixels share a region, apart from the regions' numbers: first pixel of each pixel's region."""
    labels = regions.labels
    _, first, inverse = np.unique(labels.ravel(), return_index=True, return_inverse=True)
    return np.where(labels > 0, first[inverse].reshape(labels.shape), -1)


def same_partition(one, two):
    """True where two label pictures part the pixels alike."""
    pairs = set(zip(one.ravel().tolist(), two.ravel().tolist(), strict=True))
    return len(pairs) == len({a for a, _ in pairs}) == len({b for _, b in pairs})


@given(drawings())
@settings(max_examples=150, deadline=None)
def test_every_object_pixel_has_one_label_in_raster_order(rgba):
    sprite = sprite_from(rgba)
    regions = segment(sprite)
    np.testing.assert_array_equal(regions.labels > 0, sprite.object)
    assert [region.id for region in regions.regions] == list(range(1, len(regions.regions) + 1))
    values, first = np.unique(regions.labels, return_index=True)
    assert (np.diff(first[values > 0]) > 0).all()
    assert regions.labels.max(initial=0) == len(regions.regions)


@given(drawings())
@settings(max_examples=150, deadline=None)
def test_regions_are_connected_and_say_what_they_hold(rgba):
    regions = segment(sprite_from(rgba))
    for region in regions.regions:
        mask = regions.mask(region.id)
        assert ndimage.label(mask)[1] == 1
        assert region.area_px == mask.sum()
        rows, cols = np.nonzero(mask)
        assert region.bbox == (cols.min(), rows.min(), cols.max() + 1, rows.max() + 1)
        colors = {"#{:02x}{:02x}{:02x}".format(*rgb) for rgb in rgba[mask][:, :3]}
        assert set(region.shades) == colors
        assert region.color in colors


@given(drawings())
@settings(max_examples=100, deadline=None)
def test_the_contour_is_one_material_and_nothing_else_is_of_it(rgba):
    regions = segment(sprite_from(rgba)).regions
    contour = {region.material for region in regions if region.is_contour}
    assert len(contour) <= 1
    assert not contour & {region.material for region in regions if not region.is_contour}
    # Materials are numbered in order of first appearance.
    seen = list(dict.fromkeys(region.material for region in regions))
    assert seen == list(range(len(seen)))


@given(drawings(), st.integers(0, 3), st.booleans())
@settings(max_examples=150, deadline=None)
def test_turning_and_mirroring_the_picture_turns_the_regions(rgba, quarters, mirrored):
    def turned(array):
        array = np.rot90(array, quarters)
        return np.ascontiguousarray(array[:, ::-1] if mirrored else array)

    before = segment(sprite_from(rgba))
    after = segment(sprite_from(turned(rgba)))
    assert same_partition(turned(before.labels), after.labels)
    np.testing.assert_array_equal(turned(before.contour), after.contour)


@given(drawings())
@settings(max_examples=50, deadline=None)
def test_the_same_sprite_gives_the_same_regions(rgba):
    one, two = segment(sprite_from(rgba)), segment(sprite_from(rgba.copy()))
    np.testing.assert_array_equal(one.labels, two.labels)
    assert one.regions == two.regions
    assert one.light == two.light


@given(drawings(), st.integers(1, 3))
@settings(max_examples=50, deadline=None)
def test_empty_margins_change_nothing(rgba, margin):
    wide = np.pad(rgba, ((margin, margin), (margin, margin), (0, 0)))
    inside = segment(sprite_from(wide)).labels[margin:-margin, margin:-margin]
    np.testing.assert_array_equal(inside, segment(sprite_from(rgba)).labels)


def test_a_photo_is_binned_and_still_labelled():
    rng = np.random.default_rng(5)
    rgba = np.full((64, 64, 4), 255, np.uint8)
    rgba[..., :3] = rng.integers(0, 256, (64, 64, 3))
    regions = segment(sprite_from(rgba))
    assert (regions.labels > 0).all()
    assert len({shade for region in regions.regions for shade in region.shades}) <= 256
