"""Leaf counts by worked examples of the trade; leaves that cover the area; what a print shows."""

import dataclasses
import io

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import box

from pixel2make.design.leaf import LEAVES, leaf_plan
from pixel2make.design.model import Area
from pixel2make.errors import DesignError
from pixel2make.pack.drawing.check import overlaps
from pixel2make.pack.gilding import gilding_files, gilding_findings, gilding_sheet
from tests.pack.catalogue import SIZES, book, svg_files


def gilded(*outlines):
    areas = tuple(
        Area(f"emblem-{i}", "emblem", "cover", "gilded", "#d8b040", outline, "drawn like gold")
        for i, outline in enumerate(outlines, 1)
    )
    return dataclasses.replace(book(), areas=areas)


PANEL = box(-20, 20, 230, 200)


def test_the_sheet_says_net_area_allowance_leaves_and_books():
    lines = " ".join(t.value for t in gilding_sheet(gilded(PANEL), "emblem-1").texts)
    for words in (
        "450.0 cm²",
        "594.0 cm²",
        "10 by area, 12 by laying (12 laid whole); take 12",
        "buy 1 book of 25",
    ):
        assert words in lines


def test_totals_count_all_areas():
    lines = " ".join(t.value for t in gilding_sheet(gilded(PANEL, box(0, 0, 20, 20)), "emblem-2").texts)
    assert "All 2 gilded areas: net 454.0 cm²" in lines
    assert "Gold leaf 80 mm: 13 leaves in all" in lines


def test_leaves_are_numbered_in_the_order_of_laying_and_none_lies_beside_the_area():
    frame = box(5, 5, 205, 295).difference(box(15, 15, 195, 285))
    plan = leaf_plan(frame)
    values = [t.value for t in gilding_sheet(gilded(frame), "emblem-1").texts]
    assert all(values.count(str(i)) == 1 for i in range(1, len(plan.laid) + 1))
    assert all(leaf.intersection(frame).area > 0 for leaf in plan.laid)


def test_narrow_strips_are_flagged_with_their_place():
    """Size through a mask holds from 1.5 to 2 mm: common practice."""
    design = gilded(box(20, 20, 60, 60).union(box(60, 30, 100, 31.2)), box(100, 100, 110, 110))
    (finding,) = gilding_findings(design)
    assert (finding.code, finding.subject) == ("narrow-gilding", "emblem-1")
    assert finding.measured_mm == pytest.approx(1.2, rel=0.03)
    assert "y 30.6" in finding.sentence
    drawing = gilding_sheet(design, "emblem-1")
    assert sum(p.purpose == "leader" for p in drawing.paths) == 1


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("leaf", LEAVES)
def test_lettering_touches_no_lettering_and_nothing_leaves_the_page(size, leaf):
    design = book(**SIZES[size])
    for area in design.areas:
        if area.treatment == "gilded":
            found = overlaps(gilding_sheet(design, area.name, leaf=leaf))
            assert [s for s in found if "touches text" in s or "leaves the page" in s] == []


@given(st.tuples(*[st.floats(-30, 150)] * 2), st.tuples(*[st.floats(10, 200)] * 2), st.sampled_from(LEAVES))
def test_no_figure_of_a_leaf_stands_on_a_registration_cross(corner, size, leaf):
    design = gilded(box(*corner, corner[0] + size[0], corner[1] + size[1]))
    drawing = gilding_sheet(design, "emblem-1", leaf=leaf)
    crosses = [line for path in drawing.paths if path.purpose == "dimension" for line in path.lines]
    figures = [text for text in drawing.texts if text.value.isdigit()]
    assert not any(text.box.intersects(line) for text in figures for line in crosses)


def test_the_rendered_tint_has_the_net_area():
    """Drawn by resvg, an independent renderer, at two pixels a millimetre."""
    import xml.etree.ElementTree as ET

    import resvg_py

    design = gilded(box(30, 40, 110, 120))
    root = ET.fromstring(svg_files(gilding_files(design))["gilding/emblem-1.svg"])
    for child in list(root):
        if child.attrib.get("id") not in ("tint", "paper"):
            root.remove(child)
        elif child.attrib.get("id") == "tint":
            for path in [p for p in child if p.attrib["fill"] == "#ffffff"]:
                child.remove(path)
    png = resvg_py.svg_to_bytes(svg_string=ET.tostring(root, encoding="unicode"), dpi=50.8)
    pixels = np.array(Image.open(io.BytesIO(bytes(png))).convert("RGB"))
    is_gold = (np.abs(pixels.astype(int) - (0xD8, 0xB0, 0x40)) < 4).all(axis=2)
    assert is_gold.sum() / 4 == pytest.approx(6400, rel=0.02)


def test_what_is_not_gilded_or_no_leaf_is_named():
    with pytest.raises(DesignError, match=r"no gilded area 'border-1'; gilded are emblem-1"):
        gilding_sheet(book(), "border-1")
    with pytest.raises(DesignError, match="imitation_leaf"):
        gilding_sheet(book(), "emblem-1", leaf="tin")


def test_only_gilded_areas_get_a_sheet_and_always_the_same():
    assert set(svg_files(gilding_files(book()))) == {"gilding/emblem-1.svg"}
    assert svg_files(gilding_files(book())) == svg_files(gilding_files(book()))
    assert svg_files(gilding_files(book(emblem=False))) == {}
