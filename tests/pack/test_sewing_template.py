"""The punching template at true size."""

import xml.etree.ElementTree as ET

import pytest
from shapely.geometry import box

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.design.model import Hole, Template
from pixel2make.pack.pens import svg_bytes
from pixel2make.pack.sewing_template import sewing_files, template_drawing
from tests.design.catalogue import EMBLEM, book
from tests.pack.catalogue import svg_files
from tests.pack.test_masks import longest_run, rendered


def design_of(height, **choices):
    return dimension(book(EMBLEM), kinds.find("book"), size_mm=height, choices=choices)


def circles(drawing):
    boxes = [path.lines[0].bounds for path in drawing.paths if path.purpose == "engrave"]
    return [((x0 + x1) / 2, (y0 + y1) / 2, x1 - x0) for x0, y0, x1, y1 in boxes]


@pytest.mark.parametrize("choices", [{}, {"structure": "laced"}, {"supports": "five"}, {"edges": "trimmed"}])
def test_every_hole_stands_where_the_design_says(choices):
    template = design_of(300, **choices).templates[0]
    drawing = template_drawing(template)
    strip = next(path for path in drawing.paths if path.purpose == "cut").lines[0].bounds
    found = circles(drawing)
    assert len(found) == len(template.holes)
    for (x, y, diameter), hole in zip(found, template.holes, strict=True):
        assert (x - strip[0], y - strip[1]) == pytest.approx((hole.x_mm, hole.y_mm))
        assert diameter == pytest.approx(hole.diameter_mm, rel=0.01)
    assert strip[3] - strip[1] == pytest.approx(template.outline.bounds[3])


def test_the_page_is_in_millimetres():
    """SVG 1.1: width in mm and a viewBox of the same numbers give one unit a millimetre."""
    (svg,) = svg_files(sewing_files(design_of(200))).values()
    root = ET.fromstring(svg)
    _, _, width, height = (float(v) for v in root.get("viewBox").split())
    assert root.get("width") == f"{width:g}mm"
    assert root.get("height") == f"{height:g}mm"


def test_the_bar_measures_100_mm_in_a_rendered_picture():
    (svg,) = svg_files(sewing_files(design_of(200))).values()
    ink = rendered(svg, "print")[20:-20, 20:-20] > 60
    dots_per_mm = 10
    assert longest_run(ink) == pytest.approx(100 * dots_per_mm, abs=0.2 * dots_per_mm)


@pytest.mark.parametrize("gap", [0.5, 3.0, 20.0])
def test_lettering_stays_apart_and_on_the_page(gap):
    holes = tuple(Hole(f"hole {i}", 30, 5 + gap * i, 1.0) for i in range(8))
    drawing = template_drawing(
        Template("sewing", box(0, 0, 60, 10 + 8 * gap), holes, upper_end="head", lower_end="tail")
    )
    page = box(0, 0, drawing.width_mm, drawing.height_mm)
    for i, text in enumerate(drawing.texts):
        assert page.contains(text.box), text.value
        for other in drawing.texts[i + 1 :]:
            assert text.box.intersection(other.box).area == pytest.approx(0, abs=0.2), (text, other)


def test_same_design_same_bytes():
    template = design_of(240).templates[0]
    assert svg_bytes(template_drawing(template)) == svg_bytes(template_drawing(template))
