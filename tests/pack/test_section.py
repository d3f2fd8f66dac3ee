"""The section across the spine: layers fill the closed book without overlap, on a page without clashes."""

from itertools import combinations
from pathlib import Path

import pytest

from pixel2make import api
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.drawing.layers import spine_layers
from pixel2make.pack.drawing.section import section_drawing

DEMO = sorted((Path(__file__).parent.parent.parent / "demo_sprites").glob("*.png"))
CASES = [(path, "240mm", {}) for path in DEMO]
CASES += [
    (DEMO[0], "90mm", {"structure": "laced"}),
    (DEMO[-1], "600mm", {"units": "in", "covering": "cloth"}),
]


@pytest.fixture(params=CASES, ids=lambda c: f"{c[0].stem}-{c[1]}", scope="module")
def design(request):
    path, height, choices = request.param
    return api.measure(api.open_source(path), size=("height", height), choices=choices)


def test_nothing_on_the_page_touches_what_it_must_not(design):
    assert overlaps(section_drawing(design)) == []


def test_every_layer_is_named_on_the_page(design):
    shown = {text.value for text in section_drawing(design).texts}
    assert {layer.name for layer in spine_layers(design)} <= shown


def test_no_two_materials_lie_in_the_same_place(design):
    # The solids of one object exclude each other; the set-in joint may press the covering into air alone.
    for one, other in combinations(spine_layers(design), 2):
        common = one.shape.intersection(other.shape).area
        assert common == pytest.approx(0, abs=1e-6), (one.name, other.name)


def test_the_layers_reach_the_closed_size(design):
    bounds = [layer.shape.bounds for layer in spine_layers(design)]
    width = max(b[2] for b in bounds) - min(b[0] for b in bounds)
    thick = max(b[3] for b in bounds) - min(b[1] for b in bounds)
    assert width == pytest.approx(design.dimension("cover_width").value_mm)
    assert thick == pytest.approx(design.dimension("book_thickness").value_mm)


def test_scales_are_of_iso_5455(design):
    # ISO 5455: 1:1, and 2, 5, 10 and their tenfolds up and down.
    named = [t.value for t in section_drawing(design).texts if t.value.startswith(("A-A (", "B ("))]
    assert len(named) == 2
    for name in named:
        ratio = name.partition("(")[2].rstrip(")")
        assert ratio in {
            "1:1",
            *(f"{n}:1" for n in (2, 5, 10, 20, 50)),
            *(f"1:{n}" for n in (2, 5, 10, 20, 50)),
        }
