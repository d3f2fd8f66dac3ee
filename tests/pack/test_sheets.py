"""Cut sheets: true size on paper, every part on one, names on free ground."""

import xml.etree.ElementTree as ET

import pytest
import shapely
from shapely.geometry import box

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.pack import sheets as module
from pixel2make.pack.sheets import cut_sheets, sheet_paths
from tests.design.catalogue import CLASP, CORNERS, EMBLEM, STRAP, book
from tests.pack.test_masks import longest_run, rendered

HEIGHTS = (70.0, 200.0, 300.0, 900.0)


def design_of(height, **given):
    return dimension(
        book(EMBLEM, STRAP, *CORNERS), kinds.find("book"), given="height", size_mm=height, choices=given
    )


@pytest.fixture(scope="module", params=HEIGHTS)
def design(request):
    return design_of(request.param)


def test_every_cut_part_is_on_a_sheet_as_often_as_it_is_needed(design):
    paths = sheet_paths(design)
    cut = {part.name for part in design.parts if part.is_cut}
    assert set(paths) == cut
    assert {path for where in paths.values() for path in where} == set(cut_sheets(design))
    laid = [laid.parts[p.index].name for laid in module._lay(design) for p in laid.sheet.parts]
    for part in design.parts:
        assert laid.count(part.name) == (part.quantity if part.is_cut else 0)


def test_one_material_and_thickness_a_sheet(design):
    for laid in module._lay(design):
        for placed in laid.sheet.parts:
            part = laid.parts[placed.index]
            assert (part.material, part.thickness_mm) == (laid.material, pytest.approx(laid.thickness_mm))


def test_grain_runs_up_the_sheet(design):
    for laid in module._lay(design):
        for placed in laid.sheet.parts:
            part = laid.parts[placed.index]
            if part.grain is None:
                continue
            _, y0, _, y1 = placed.outline.bounds
            along = {"height": part.size_mm[1], "width": part.size_mm[0]}[part.grain]
            assert y1 - y0 == pytest.approx(along)


def test_the_bars_measure_100_mm_in_a_rendered_picture():
    for svg in cut_sheets(design_of(120.0)).values():
        ink = rendered(svg, "print")[20:-20, 20:-20] > 60
        assert longest_run(ink) == pytest.approx(1000, abs=3)
        assert longest_run(ink.T) == pytest.approx(1000, abs=3)


def test_lettering_touches_no_line_and_no_other_lettering(design):
    for laid in module._lay(design):
        page = module._drawn(design, laid).build()
        boxes = [text.box for text in page.texts]
        for i, text in enumerate(boxes):
            assert box(0, 0, page.width_mm, page.height_mm).contains(text)
            for other in boxes[:i]:
                assert not text.intersects(other)
            for path in page.paths:
                if path.purpose in ("cut", "mark"):
                    assert not any(line.intersects(text) for line in path.lines), page.texts[i].value


def test_cut_lines_have_the_parts_size(design):
    for laid in module._lay(design):
        page = module._drawn(design, laid).build()
        cut = [path for path in page.paths if path.purpose == "cut"]
        areas = sorted(shapely.area(shapely.polygonize(path.lines)) for path in cut)
        wanted = sorted(laid.parts[p.index].outline.area for p in laid.sheet.parts)
        assert areas == pytest.approx(wanted, rel=1e-3)


def test_sheets_are_well_formed_and_repeat():
    design = design_of(300.0)
    first = cut_sheets(design)
    assert first == cut_sheets(design)
    for svg in first.values():
        root = ET.fromstring(svg)
        width = float(root.attrib["width"].removesuffix("mm"))
        assert root.attrib["viewBox"].split()[2] == f"{width:g}"


def test_a_metre_high_book_says_that_it_is_larger_than_stock():
    design = design_of(1100.0)
    assert any("Larger than a usual" in svg.decode() for svg in cut_sheets(design).values())


def test_a_strap_and_a_clasp_are_no_greyboard():
    design = dimension(book(*CLASP), kinds.find("book"), given="height", size_mm=200)
    assert all("clasp" not in name for name in sheet_paths(design))
