"""The colour path against published values."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from pixel2make.color import (
    difference,
    encoded_srgb,
    hex_of,
    lab_to_srgb,
    linear_light,
    rgb_of,
    srgb_to_lab,
    tone_down,
)

# Sharma, Wu, Dalal 2005, table 1; the file names the source in full.
_LINES = (Path(__file__).parent / "ciede2000.csv").read_text(encoding="utf-8").splitlines()
PAIRS = [[float(v) for v in row[1:]] for row in csv.reader(_LINES[3:])]

# Arithmetic of IEC 61966-2-1:1999 (sRGB) and ISO/CIE 11664-4 (CIELAB, D65, 2 degree).
LAB_OF_SRGB = {
    "#ff0000": (53.241, 80.092, 67.203),
    "#00ff00": (87.735, -86.183, 83.179),
    "#0000ff": (32.297, 79.188, -107.860),
    "#808080": (53.585, 0.0, 0.0),
    "#ffffff": (100.0, 0.0, 0.0),
    "#8b4513": (37.470, 26.443, 40.984),
    "#ffd700": (86.931, -1.924, 87.132),
    "#c0c0c0": (77.704, 0.0, 0.0),
}

rgb_arrays = arrays(np.uint8, st.tuples(st.integers(1, 6), st.just(3)))


def test_the_table_has_all_pairs():
    assert len(PAIRS) == 34


@pytest.mark.parametrize("row", PAIRS)
def test_published_pairs_of_ciede2000(row):
    first, second, expected = row[:3], row[3:6], row[6]
    assert difference(first, second) == pytest.approx(expected, abs=5e-5)
    assert difference(second, first) == pytest.approx(expected, abs=5e-5)


def test_published_pairs_as_arrays():
    table = np.array(PAIRS)
    np.testing.assert_allclose(difference(table[:, :3], table[:, 3:6]), table[:, 6], atol=5e-5)


@pytest.mark.parametrize(("color", "lab"), LAB_OF_SRGB.items())
def test_lab_of_srgb(color, lab):
    assert srgb_to_lab(rgb_of(color)) == pytest.approx(lab, abs=0.02)


def test_difference_of_two_named_golds():
    # #FFD700 against #C0A020, computed with an implementation that passes the published pairs.
    assert difference(srgb_to_lab([255, 215, 0]), srgb_to_lab([192, 160, 32])) == pytest.approx(
        15.27, abs=0.02
    )


@given(rgb_arrays)
def test_lab_comes_back(rgb):
    np.testing.assert_array_equal(lab_to_srgb(srgb_to_lab(rgb)), rgb)


@given(rgb_arrays)
def test_a_colour_does_not_differ_from_itself(rgb):
    lab = srgb_to_lab(rgb)
    np.testing.assert_allclose(difference(lab, lab), 0, atol=1e-9)


@given(rgb_arrays)
def test_hex_comes_back(rgb):
    np.testing.assert_array_equal(rgb_of(hex_of(rgb[0])), rgb[0])


def test_lightness_weighs_less_when_asked():
    dark, light = [30.0, 20.0, 10.0], [60.0, 20.0, 10.0]
    assert difference(dark, light, lightness_weight=0.5) < difference(dark, light)


@given(arrays(np.uint8, 3), st.floats(0, 1))
def test_toning_down_keeps_lightness_and_hue(rgb, share):
    before = srgb_to_lab(rgb)
    after = srgb_to_lab(rgb_of(tone_down(hex_of(rgb), chroma=share)))
    # Rounding to 8 bits moves dark colours by about one unit; clipping at the gamut adds a little.
    assert after[0] == pytest.approx(before[0], abs=1.5)
    np.testing.assert_allclose(after[1:], before[1:] * share, atol=3.5)


@pytest.mark.parametrize("color", ["d8b040", "#d8b04", "#d8b0400", "gold", "#d8b04g"])
def test_what_is_not_a_hex_colour_is_refused(color):
    with pytest.raises(ValueError, match="six hex digits"):
        rgb_of(color)


def test_wrong_shapes_and_shares_are_refused():
    with pytest.raises(ValueError, match=r"\(\.\.\., 3\)"):
        srgb_to_lab([[1, 2]])
    with pytest.raises(ValueError, match="0 to 1"):
        tone_down("#d8b040", chroma=1.5)


def test_linear_light_is_the_y_of_grey_by_another_library():
    # scikit-image rgb2xyz: curve and matrix of IEC 61966-2-1; the Y of a grey is its linear light.
    from skimage.color import rgb2xyz

    for code in range(256):
        wanted = rgb2xyz(np.full((1, 1, 3), code / 255.0))[0, 0, 1]
        assert linear_light(f"#{code:02x}{code:02x}{code:02x}")[1] == pytest.approx(wanted, abs=1e-6)


def test_every_code_of_srgb_comes_back_from_its_linear_light():
    codes = [f"#{code:02x}{255 - code:02x}00" for code in range(256)]
    back = [tuple(encoded_srgb(linear_light(code)).tolist()) for code in codes]
    assert back == [(code, 255 - code, 0) for code in range(256)]
