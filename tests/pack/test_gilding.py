"""Leaf counts by worked examples of the trade; leaves that cover the area; what a print shows."""

import dataclasses
import io
from itertools import pairwise

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from shapely.geometry import box

from pixel2make.design.model import Area
from pixel2make.errors import DesignError
from pixel2make.pack.drawing.check import overlaps
from pixel2make.pack.gilding import (
    LEAVES,
    books_to_buy,
    gilding_files,
    gilding_findings,
    gilding_sheet,
    leaf_count,
    leaf_grid,
)
from tests.pack.catalogue import SIZES, book, svg_files


def gilded(*outlines):
    areas = tuple(
        Area(f"emblem-{i}", "emblem", "cover", "gilded", "#d8b040", outline, "drawn like gold")
        for i, outline in enumerate(outlines, 1)
    )
    return dataclasses.replace(book(), areas=areas)


PANEL = box(-20, 20, 230, 200)


def test_a_panel_of_250_by_180_takes_12_leaves_of_80():
    """Common practice: by area ceil(1.32 A / L²), by grid with 5 mm overlap ceil(245/75) ceil(175/75).

    1.32 is what a book of 1.978 square feet lays, about 1 1/2 (common practice).
    """
    count = leaf_count(0.250 * 0.180 * 1e6, (250, 180))
    assert (count.by_area, count.by_grid, count.leaves) == (10, 4 * 3, 12)
    assert books_to_buy(12) == 1


def test_imitation_leaf_needs_about_55_for_a_square_metre():
    """Handover, gilding suppliers, guide 2021: 140 mm square, 51.02 net, 55 quoted with lap; 1.32 is on the
    safe side of that."""
    count = leaf_count(1e6, (1000, 1000), leaf="imitation_leaf")
    assert 55 <= count.by_area <= 51.02 * 1.32 + 1
    assert count.by_grid == 8 * 8


def test_american_leaf_is_three_and_three_eighths_inches():
    """Paramount Coatings, gold leaf information: 500 leaves are 39.55 square feet without lap."""
    square_foot = 304.8**2
    count = leaf_count(39.55 * square_foot, (1e4, 400), leaf="leaf_us")
    assert count.by_area == pytest.approx(500 * 1.32, abs=1)


def test_small_patches_are_cut_from_one_leaf():
    """Common practice: floor(L / (w + 2 o)) each way; a patch of 21.4 mm, 3 mm around: 2 x 2 from 80 mm."""
    count = leaf_count(21.4**2, (21.4, 21.4))
    assert (count.pieces_in_leaf, count.leaves) == (4, 1)


@pytest.mark.parametrize(("leaves", "books"), [(0, 0), (1, 1), (20, 1), (21, 2), (100, 5), (125, 6)])
def test_one_book_in_five_is_spare(leaves, books):
    """Books of 25; of six books bought one is left over for mending. Common practice."""
    assert books_to_buy(leaves) == books


SIDE = st.floats(3, 900)


@given(SIDE, SIDE, st.sampled_from(LEAVES))
def test_the_grid_covers_its_extent_with_as_many_leaves_as_counted(width, height, leaf):
    leaves = leaf_grid((10, 20, 10 + width, 20 + height), leaf=leaf)
    count = leaf_count(width * height, (width, height), leaf=leaf)
    assert shapely.union_all(leaves).buffer(1e-6).covers(box(10, 20, 10 + width, 20 + height))
    assert len(leaves) == (count.by_grid or 1)


@given(SIDE, SIDE)
def test_neighbouring_leaves_overlap_by_three_to_five_millimetres(width, height):
    """Common practice."""
    leaves = leaf_grid((0, 0, width, height))
    for a, b in pairwise(leaves):
        shared = a.intersection(b)
        if not shared.is_empty and shared.bounds[3] - shared.bounds[1] > 70:
            assert 3 <= shared.bounds[2] - shared.bounds[0] <= 5 + 1e-9


@given(SIDE, SIDE, st.floats(1, 50))
def test_a_larger_area_never_takes_fewer_leaves(width, height, more):
    small = leaf_count(width * height, (width, height)).leaves
    assert leaf_count((width + more) * height, (width + more, height)).leaves >= small


def test_the_sheet_says_net_area_allowance_leaves_and_books():
    lines = " ".join(t.value for t in gilding_sheet(gilded(PANEL), "emblem-1").texts)
    for words in ("450.0 cm²", "594.0 cm²", "10 by area, 12 by the grid; take 12", "buy 1 book of 25"):
        assert words in lines


def test_totals_count_all_areas():
    lines = " ".join(t.value for t in gilding_sheet(gilded(PANEL, box(0, 0, 20, 20)), "emblem-2").texts)
    assert "All 2 gilded areas: net 454.0 cm²" in lines
    assert "Gold leaf 80 mm: 13 leaves in all" in lines


def test_places_beside_the_area_are_in_brackets():
    frame = box(5, 5, 205, 295).difference(box(15, 15, 195, 285))
    drawing = gilding_sheet(gilded(frame), "emblem-1")
    values = {t.value for t in drawing.texts}
    grid = leaf_grid(frame.bounds)
    for i, leaf in enumerate(grid, 1):
        assert (str(i) in values) == leaf.intersects(frame)
        assert (f"({i})" in values) != leaf.intersects(frame)


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
