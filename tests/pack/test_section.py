"""The section across the spine: layers fill the closed book without overlap, on a page without clashes."""

import math
import re
from itertools import combinations
from pathlib import Path

import pytest
from shapely.geometry import LineString

from pixel2make import api
from pixel2make.pack.drawing import overlaps
from pixel2make.pack.drawing.layers import band_layers, bevel_window, spine_layers
from pixel2make.pack.drawing.section import section_drawing

DEMO = sorted((Path(__file__).parent.parent.parent / "demo_sprites").glob("*.png"))
CASES = [(path, "240mm", {}) for path in DEMO]
CASES += [
    (DEMO[0], "90mm", {"structure": "laced"}),
    (DEMO[-1], "600mm", {"units": "in", "covering": "cloth"}),
    (DEMO[4], "60mm", {"units": "in", "bands": "even", "bevel": "2mm"}),
    (DEMO[5], "300mm", {"structure": "laced", "bevel": "10mm"}),
    (DEMO[9], "1m", {"bands": "drawn", "bevel": "12mm"}),
]


@pytest.fixture(params=CASES, ids=lambda c: f"{c[0].stem}-{c[1]}", scope="module")
def design(request):
    path, height, choices = request.param
    return api.measure(api.open_source(path), size=("height", height), choices=choices)


def test_nothing_on_the_page_touches_what_it_must_not(design):
    assert overlaps(section_drawing(design)) == []


def test_every_layer_is_named_on_the_page(design):
    shown = {text.value for text in section_drawing(design).texts}
    assert {layer.name for layer in (*spine_layers(design), *band_layers(design))} <= shown


def test_no_two_materials_lie_in_the_same_place(design):
    # The solids of one object exclude each other; the set-in joint may press the covering into air alone.
    pairs = (*combinations(spine_layers(design), 2), *combinations(band_layers(design), 2))
    for one, other in pairs:
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
    named = [t.value for t in section_drawing(design).texts if re.match(r"[A-D](-[A-D])? \(", t.value)]
    assert len(named) == 2 + (bevel_window(design) is not None) + bool(band_layers(design))
    for name in named:
        ratio = name.partition("(")[2].rstrip(")")
        assert ratio in {
            "1:1",
            *(f"{n}:1" for n in (2, 5, 10, 20, 50)),
            *(f"1:{n}" for n in (2, 5, 10, 20, 50)),
        }


def lengths_of(design):
    return {d.name: d.value_mm for d in design.dimensions}


def test_the_covering_keeps_its_thickness_down_the_bevel(design):
    """The middle of the slope is as far from the covering's outer side, square to the slope, as
    the covering is thick (lengths by GEOS)."""
    lengths = lengths_of(design)
    if "bevel_width" not in lengths:
        return
    layers = {layer.name.split(" ")[0]: layer for layer in spine_layers(design)}
    board = layers["board"].shape.geoms[0]
    width, skin = lengths["cover_width"], lengths["covering_thickness"]
    crest, foot = (width - lengths["bevel_width"], skin), (width, skin + lengths["bevel_depth"])
    assert LineString([crest, foot]).within(board.boundary.buffer(1e-6))
    covering = next(layer.shape for layer in spine_layers(design) if not layer.hatch)
    middle = LineString([crest, foot]).interpolate(0.5, normalized=True)
    long = math.hypot(lengths["bevel_width"], lengths["bevel_depth"])
    out = (lengths["bevel_depth"] / long, -lengths["bevel_width"] / long)
    ray = LineString([middle, (middle.x + 3 * skin * out[0], middle.y + 3 * skin * out[1])])
    assert ray.intersection(covering).length == pytest.approx(skin, rel=1e-6)


def test_the_board_loses_the_triangle_of_its_bevel(design):
    lengths = lengths_of(design)
    board = next(layer.shape for layer in spine_layers(design) if layer.name.startswith("board"))
    wedge = lengths.get("bevel_width", 0.0) * lengths.get("bevel_depth", 0.0) / 2
    whole = lengths["board_width"] * lengths["board_thickness"]
    assert [part.area for part in board.geoms] == pytest.approx([whole - wedge] * 2)


def test_a_band_is_as_high_and_as_thick_as_the_spec_says(design):
    lengths, layers = lengths_of(design), band_layers(design)
    assert bool(layers) == ("band_rise" in lengths)
    if not layers:
        return
    covering, core = layers[0].shape, layers[1].shape
    skin, rise = lengths["covering_thickness"], lengths["band_rise"]
    assert covering.bounds[0] == pytest.approx(-rise, rel=1e-3)
    x0, y0, x1, y1 = core.bounds
    assert (x1 - x0, x1) == pytest.approx((rise, skin))
    assert (y0 + y1) / 2 == pytest.approx(lengths["band_1_from_head"])
    strips = [part for part in design.parts if part.name == "raised_band"]
    if strips:
        places = [name for name in lengths if name.endswith("_from_head")]
        assert len(core.geoms) * len(places) == strips[0].quantity
        assert y1 - y0 == pytest.approx(strips[0].size_mm[1])
    else:
        # a round cord: its section is a circle, pi d^2 / 4
        assert core.area == pytest.approx(math.pi * rise**2 / 4, rel=1e-2)
