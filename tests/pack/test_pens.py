"""Pens against shapely, and SVG files measured in rendered pictures."""

import io
import math
import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make.pack.pens import (
    LETTERING_HEIGHTS_MM,
    LINES,
    AffinePen,
    BoundsPen,
    Drawing,
    DrawingBuilder,
    RecordingPen,
    SvgPathPen,
    Text,
    draw_circle,
    draw_polygon,
    draw_polyline,
    svg_bytes,
)

SVG = "{http://www.w3.org/2000/svg}"
DPI = 254  # ten pixels to the millimetre
FACES = ("DejaVu Sans", "Liberation Sans", "Arial", "Noto Sans")

coordinate = st.floats(-500, 500, allow_nan=False).map(lambda v: round(v, 3))
points = st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=12)


def picture(drawing: Drawing, face: str = FACES[0], dpi: int = DPI) -> np.ndarray:
    """Grey levels of a drawing as an independent renderer shows it."""
    import resvg_py
    from PIL import Image

    png = resvg_py.svg_to_bytes(svg_string=svg_bytes(drawing).decode(), dpi=dpi, sans_serif_family=face)
    return np.asarray(Image.open(io.BytesIO(png)).convert("L"))


def contours(pen: RecordingPen) -> list[list[tuple[float, float]]]:
    from pixel2make.pack.pens.pen import contours as of

    return of(pen.commands)


@given(points, st.tuples(*[st.floats(-3, 3, allow_nan=False)] * 6))
def test_affine_pen_moves_points_as_shapely_does(line, matrix):
    from shapely.geometry import LineString

    pen = RecordingPen()
    draw_polyline(line, AffinePen(pen, matrix))
    a, b, c, d, e, f = matrix
    expected = affinity.affine_transform(LineString(line), (a, c, b, d, e, f))
    assert np.allclose(contours(pen)[0], expected.coords, atol=1e-6)


@given(points)
def test_bounds_pen_agrees_with_shapely(line):
    from shapely.geometry import MultiPoint

    pen = BoundsPen()
    draw_polyline(line, pen)
    assert pen.bounds == pytest.approx(MultiPoint(line).bounds)


def test_bounds_of_nothing_are_none():
    assert BoundsPen().bounds is None


def test_a_polygon_keeps_its_holes_and_area():
    shape = box(0, 0, 30, 20).difference(box(5, 5, 10, 10)).union(box(40, 0, 45, 5))
    assert isinstance(shape, MultiPolygon)
    pen = RecordingPen()
    draw_polygon(shape, pen)
    rings = [Polygon(ring) for ring in contours(pen)]
    assert len(rings) == 3
    outer = sum(r.area for r in rings) - 2 * min(r.area for r in rings if r.within(box(0, 0, 30, 20)))
    assert outer == pytest.approx(shape.area)


def test_only_areas_are_drawn_as_polygons():
    from shapely.geometry import Point

    with pytest.raises(TypeError, match="Point"):
        draw_polygon(Point(0, 0), RecordingPen())


def test_circle_of_cubics_stays_near_the_circle():
    # Goldapp, Approximation of circular arcs by cubic polynomials, CAGD 8 (1991): the usual quarter cubic
    # leaves the arc by at most 2.73e-4 of the radius.
    pen = RecordingPen()
    draw_circle((3.0, -4.0), 50.0, pen)
    distances = [math.dist(p, (3.0, -4.0)) for p in contours(pen)[0]]
    assert max(abs(d - 50.0) for d in distances) <= 2.73e-4 * 50.0


@given(points)
def test_path_data_round_trips_to_half_a_thousandth(line):
    pen = SvgPathPen()
    draw_polyline(line, pen)
    assert re.fullmatch(r"M[-\d. ]+(L[-\d. ]+)+", pen.data)
    numbers = [float(v) for v in re.findall(r"-?\d+(?:\.\d+)?", pen.data)]
    assert np.allclose(numbers, np.ravel(line), atol=0.0005001)
    assert "-0L" not in pen.data and "-0 " not in pen.data


def ruled_page() -> Drawing:
    page = DrawingBuilder(140, 60, "bar")
    for x in (20.0, 120.0):
        page.line("visible", (x, 20), (x, 30))
    for y in (10.0, 50.0):
        page.line("visible", (60, y), (80, y))
    return page.build()


def test_a_hundred_millimetres_measure_a_hundred_in_a_picture():
    # CSS Values and Units Level 3: 1in = 2.54cm; SVG 2: width in mm with a matching viewBox.
    grey = picture(ruled_page())
    assert grey.shape == (600, 1400)
    row = np.flatnonzero(grey[250] < 128)
    first, last = row[row < 700].mean(), row[row >= 700].mean()
    assert last - first == pytest.approx(100 * DPI / 25.4, abs=1)
    column = np.flatnonzero(grey[:, 700] < 128)
    assert column[column >= 300].mean() - column[column < 300].mean() == pytest.approx(400, abs=1)


def test_the_page_is_in_millimetres():
    root = ET.fromstring(svg_bytes(ruled_page()))
    assert root.tag == f"{SVG}svg"
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("140mm", "60mm", "0 0 140 60")


def test_wide_lines_come_out_as_wide_as_they_say():
    grey = picture(ruled_page())
    row = np.flatnonzero(grey[250] < 128)
    assert np.count_nonzero(row < 700) == pytest.approx(LINES["visible"].width_mm * DPI / 25.4, abs=1)


def test_same_drawing_same_bytes_without_a_date():
    one, two = svg_bytes(ruled_page()), svg_bytes(ruled_page())
    assert one == two
    assert not re.search(rb"20\d\d-\d\d", one)


def test_an_empty_page_is_a_page():
    root = ET.fromstring(svg_bytes(Drawing(10, 20)))
    assert [child.tag for child in root] == [f"{SVG}rect"]


def test_line_widths_and_lettering_are_those_of_the_standards():
    # ISO 128-2 widths, ISO 3098-1 heights: both series step by the square root of two.
    iso_128_2 = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
    assert {style.width_mm for style in LINES.values()} <= set(iso_128_2)
    assert LETTERING_HEIGHTS_MM == (1.8, 2.5, 3.5, 5.0, 7.0, 10.0, 14.0, 20.0)


def test_purposes_are_told_apart_without_colour():
    looks = {
        name: (LINES[name].width_mm, LINES[name].dashes)
        for name in ("cut", "score", "engrave", "mark", "print")
    }
    assert len(set(looks.values())) == len(looks)


def test_no_purpose_has_the_plain_colours_of_machines():
    from colorsys import rgb_to_hsv

    for style in LINES.values():
        channels = [int(style.color[i : i + 2], 16) / 255 for i in (1, 3, 5)]
        assert rgb_to_hsv(*channels)[1] < 0.85 and 0 < max(channels) < 1


@pytest.fixture(scope="module")
def face() -> str:
    """A sans-serif face that is installed here."""
    for name in FACES:
        if picture(Drawing(20, 10, texts=(Text("A", (5, 8), 3.5),)), name).min() < 128:
            return name
    pytest.skip("no sans-serif face is installed")


@pytest.mark.parametrize("is_upward", [False, True])
@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
@pytest.mark.parametrize(
    "value", ["234.5", "General arrangement", "WMQ@%mwW", "(gjpqy) [|]", "R12 x 7.5 °±×"]
)
def test_lettering_stays_in_its_box(face, value, anchor, is_upward):
    text = Text(value, (75.0, 75.0), 5.0, anchor, is_upward)
    grey = picture(Drawing(150, 150, texts=(text,)), face)
    rows, columns = np.nonzero(grey < 200)
    x0, y0, x1, y1 = text.bounds
    assert x0 - 0.1 <= columns.min() / 10 and (columns.max() + 1) / 10 <= x1 + 0.1
    assert y0 - 0.1 <= rows.min() / 10 and (rows.max() + 1) / 10 <= y1 + 0.1


def test_capitals_are_as_high_as_they_say(face):
    # ISO 3098: the nominal height is that of the capitals; faces differ by a fiftieth.
    grey = picture(Drawing(60, 40, texts=(Text("EHI", (10.0, 30.0), 10.0),)), face)
    rows = np.flatnonzero((grey < 128).any(axis=1))
    assert rows.max() + 1 - rows.min() == pytest.approx(100, abs=3)
