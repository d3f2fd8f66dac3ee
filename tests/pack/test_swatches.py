"""Toned-down colours keep hue, lightness and the contrast between neighbours; the sheet says so."""

import io
import math
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image
from skimage.color import deltaE_ciede2000, rgb2lab

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.pack.drawing.check import overlaps
from pixel2make.pack.swatches import MATERIALS, color_neighbours, swatch_files, swatch_sheet, swatches, toned
from tests.design.catalogue import BLUE, CORNERS, CREAM, EMBLEM, GOLD, GREY, RED, TITLE, book, furnished
from tests.pack.catalogue import svg_files


def lab(color):
    return rgb2lab(np.array([[[int(color[i : i + 2], 16) for i in (1, 3, 5)]]], np.uint8))[0, 0]


def apart(a, b):
    """CIEDE2000 by scikit-image, checked there against Sharma, Wu and Dalal 2005, table 1."""
    return float(deltaE_ciede2000(lab(a), lab(b)))


def design_of(reading):
    return dimension(reading, kinds.find("book"), given="height", size_mm=200.0)


HEX = st.tuples(*[st.integers(0, 255)] * 3).map(lambda rgb: "#{:02x}{:02x}{:02x}".format(*rgb))


@settings(max_examples=60, deadline=None)
@given(st.lists(HEX, min_size=2, max_size=6, unique=True), st.floats(0, 1), st.data())
def test_neighbours_stay_as_far_apart_as_they_can_be_told(colors, chroma, data):
    """CIEDE2000 of 10 at least, unless the sprite itself has less."""
    index = st.integers(0, len(colors) - 1)
    pairs = [p for p in data.draw(st.lists(st.tuples(index, index), max_size=8)) if p[0] != p[1]]
    found = toned(colors, pairs, chroma=chroma)
    for i, j in pairs:
        assert apart(found[i], found[j]) >= min(10.0, apart(colors[i], colors[j])) - 1e-9


@settings(max_examples=60, deadline=None)
@given(HEX, st.floats(0.3, 1))
def test_hue_and_lightness_stay_and_chroma_is_lowered(color, chroma):
    """In CIELCh; 8-bit steps leave about one unit of CIELAB."""
    (result,) = toned([color], [], chroma=chroma)
    before, after = lab(color), lab(result)
    assert after[0] == pytest.approx(before[0], abs=1.0)
    assert math.hypot(*(after[1:] - before[1:] * chroma)) < 2.0
    # Distance of the new colour from the ray of the old hue.
    radius = math.hypot(*before[1:]) or 1.0
    assert abs(before[1] * after[2] - before[2] * after[1]) / radius < 2.0


def test_far_colours_lose_all_the_chroma_asked_for_and_close_ones_get_some_back():
    red, green = "#b04040", "#408a40"
    apart_before = apart(red, green)
    assert apart_before > 10
    alone = toned([red, green], [], chroma=0.0)
    kept = toned([red, green], [(0, 1)], chroma=0.0)
    assert apart(*alone) < 10 <= apart(*kept)
    assert toned(["#101010", "#f0f0f0"], [(0, 1)], chroma=0.5) == ("#101010", "#f0f0f0")


def test_neighbours_are_counted_along_pixel_edges():
    reading = book(EMBLEM, TITLE, *CORNERS)
    colors, pairs = color_neighbours(reading)
    assert set(colors) == {RED, CREAM, GOLD, GREY}
    named = {frozenset((colors[i], colors[j])) for i, j in pairs}
    expected = {(RED, CREAM), (RED, GOLD), (RED, GREY), (CREAM, GREY)}
    assert named == {frozenset(pair) for pair in expected}


def test_every_colour_has_a_swatch_with_its_features():
    found = {swatch.color: swatch for swatch in swatches(design_of(furnished()))}
    assert {RED, CREAM, GOLD, GREY, BLUE} <= set(found)
    assert found[RED].names == ("cover",)
    assert {"emblem", "title_area", "clasp"} <= set(found[GOLD].names)
    assert all(set(swatch.toned) == set(MATERIALS) for swatch in found.values())


def test_the_sheet_prints_hex_and_cielab_of_every_swatch():
    """CIELAB by scikit-image, D65 and 2 degree observer."""
    design = design_of(furnished())
    words = {text.value for text in swatch_sheet(design).texts}
    for swatch in swatches(design):
        for color in (swatch.color, *swatch.toned.values()):
            assert color in words
            lightness, a, b = (round(float(v)) + 0 for v in lab(color))
            assert f"L {lightness} a {a} b {b}" in words


def test_lettering_touches_nothing():
    assert overlaps(swatch_sheet(design_of(furnished()))) == []


def test_the_rendered_swatches_show_their_colours():
    """Drawn by resvg, an independent renderer."""
    import resvg_py

    design = design_of(furnished())
    svg = svg_files(swatch_files(design))["swatches/colours.svg"]
    png = resvg_py.svg_to_bytes(svg_string=svg.decode(), dpi=50.8)
    pixels = np.array(Image.open(io.BytesIO(bytes(png))).convert("RGB")).reshape(-1, 3)
    seen, counts = np.unique(pixels, axis=0, return_counts=True)
    areas = {
        "#{:02x}{:02x}{:02x}".format(*c): n / 4 for c, n in zip(seen.tolist(), counts.tolist(), strict=True)
    }
    for swatch in swatches(design):
        for color in (swatch.color, *swatch.toned.values()):
            # Half a millimetre all around shares its pixels with the rim.
            assert areas[color] >= 25.5 * 12


def test_the_file_is_an_svg_of_a4_width_and_always_the_same():
    """ISO 216: A4 is 210 mm wide."""
    design = design_of(furnished())
    files = svg_files(swatch_files(design))
    assert files == svg_files(swatch_files(design_of(furnished())))
    assert ET.fromstring(files["swatches/colours.svg"]).attrib["width"] == "210mm"
