"""Cut sheets: true size on paper, every part on one, names on free ground."""

import xml.etree.ElementTree as ET
from collections import Counter
from pathlib import Path

import pytest
import shapely
from shapely.geometry import box

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.errors import DesignError
from pixel2make.pack import sheets as module
from pixel2make.pack.sheet_plan import GAP_MM, MARGIN_MM, cut_plan, on_sheet
from pixel2make.pack.sheets import cut_sheets, sheet_paths
from tests.design.catalogue import CLASP, CORNERS, EMBLEM, STRAP, book
from tests.pack.catalogue import svg_files
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
    laid = [laid.pieces[p.index] for laid in cut_plan(design) for p in laid.sheet.parts]
    for part in design.parts:
        names = Counter(piece.part.name for piece in laid if piece.whole == part.name)
        assert bool(names) == part.is_cut
        assert all(count == part.quantity for count in names.values())


def test_one_material_and_thickness_a_sheet(design):
    for laid in cut_plan(design):
        for placed in laid.sheet.parts:
            part = laid.pieces[placed.index].part
            assert (part.material, part.thickness_mm) == (laid.material, pytest.approx(laid.thickness_mm))


def test_grain_runs_up_the_sheet(design):
    for laid in cut_plan(design):
        for placed in laid.sheet.parts:
            piece = laid.pieces[placed.index]
            part = next(p for p in design.parts if p.name == piece.whole)
            if part.grain is None or piece.part.name != piece.whole:
                continue
            _, y0, _, y1 = placed.outline.bounds
            along = {"height": part.size_mm[1], "width": part.size_mm[0]}[part.grain]
            assert y1 - y0 == pytest.approx(along)


def test_the_bars_measure_100_mm_in_a_rendered_picture():
    for svg in svg_files(cut_sheets(design_of(120.0))).values():
        ink = rendered(svg, "print")[20:-20, 20:-20] > 60
        assert longest_run(ink) == pytest.approx(1000, abs=3)
        assert longest_run(ink.T) == pytest.approx(1000, abs=3)


def test_lettering_touches_no_line_and_no_other_lettering(design):
    for laid in cut_plan(design):
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
    for laid in cut_plan(design):
        page = module._drawn(design, laid).build()
        cut = [path for path in page.paths if path.purpose == "cut"]
        areas = sorted(shapely.area(shapely.polygonize(path.lines)) for path in cut)
        wanted = sorted(laid.pieces[p.index].part.outline.area for p in laid.sheet.parts)
        assert areas == pytest.approx(wanted, rel=1e-3)


def test_sheets_are_well_formed_and_repeat():
    design = design_of(300.0)
    first = svg_files(cut_sheets(design))
    assert first == svg_files(cut_sheets(design))
    for svg in first.values():
        root = ET.fromstring(svg)
        width = float(root.attrib["width"].removesuffix("mm"))
        assert root.attrib["viewBox"].split()[2] == f"{width:g}"


def test_a_metre_high_book_says_that_it_is_larger_than_stock():
    design = design_of(1100.0)
    assert any("Larger than a usual" in svg.decode() for svg in svg_files(cut_sheets(design)).values())


def test_a_strap_and_a_clasp_are_no_greyboard():
    design = dimension(book(*CLASP), kinds.find("book"), given="height", size_mm=200)
    assert all("clasp" not in name for name in sheet_paths(design))


CASES = {
    "as by default": {},
    "the maker's boards": {"stock": "greyboard=400x600mm", "kerf": "0.5mm"},
    "leather in pieces": {"stock": "leather=300x360mm, endpaper=A3"},
    "laser": {"process": "laser", "corner_piece": "metal", "clasp_metal": "brass"},
}


@pytest.mark.parametrize("case", CASES)
def test_what_falls_out_of_a_sheet_measures_as_the_part(case):
    """A cut of the kerf along each line, made by GEOS: what is left inside is the part."""
    design = design_of(250.0, **CASES[case])
    for laid in cut_plan(design):
        assert laid.kerf_mm == {
            "the maker's boards": 0.5,
            "laser": 0.2 if laid.material != "brass" else 0,
        }.get(case, 0)
        for placed in laid.sheet.parts:
            wanted = on_sheet(
                laid.pieces[placed.index].part.outline, laid.pieces[placed.index], placed, laid.kerf_mm
            )
            beam = placed.outline.boundary.buffer(max(laid.kerf_mm, 1e-9) / 2, quad_segs=32)
            left = placed.outline.difference(beam)
            assert left.symmetric_difference(wanted).area < 1e-3 * wanted.length
            assert left.area == pytest.approx(wanted.area, rel=1e-4)


@pytest.mark.parametrize("case", CASES)
def test_parts_lie_on_the_stock_within_its_margins_and_apart(case):
    design = design_of(250.0, **CASES[case])
    for laid in cut_plan(design):
        room = box(0, 0, laid.sheet.width_mm, laid.sheet.height_mm).buffer(
            -MARGIN_MM + 1e-6, join_style="mitre"
        )
        for i, placed in enumerate(laid.sheet.parts):
            assert laid.sheet.is_oversize or room.contains(placed.outline)
            assert all(placed.outline.distance(o.outline) >= GAP_MM - 1e-6 for o in laid.sheet.parts[:i])


def test_marks_go_where_their_part_goes():
    """The boards lie on the covering where the design has them, however the sheet turns it."""
    design = design_of(250.0, stock="leather=700x400mm", kerf="1mm")
    (covering,) = [part for part in design.parts if part.name == "covering"]
    laid = next(laid for laid in cut_plan(design) if any(p.whole == "covering" for p in laid.pieces))
    placed = next(p for p in laid.sheet.parts if laid.pieces[p.index].whole == "covering")
    piece = laid.pieces[placed.index]
    for (_, before), (_, mark) in zip(covering.marks, piece.part.marks, strict=True):
        moved = on_sheet(mark, piece, placed, laid.kerf_mm)
        assert moved.area == pytest.approx(before.area)
        assert moved.boundary.distance(placed.outline.boundary) == pytest.approx(
            before.boundary.distance(covering.outline.boundary) + 0.5, abs=1e-6
        )


def test_a_board_larger_than_the_makers_stock_is_refused_with_the_size_that_works():
    with pytest.raises(
        DesignError, match=r"larger than a sheet of greyboard \(300 x 250 mm.*height \d+ mm"
    ) as caught:
        cut_sheets(design_of(300.0, stock="greyboard=300x250mm"))
    size = float(str(caught.value).rsplit("height ", 1)[1].removesuffix(" mm"))
    assert cut_sheets(design_of(size, stock="greyboard=300x250mm"))
    with pytest.raises(DesignError):
        cut_sheets(design_of(size + 2, stock="greyboard=300x250mm"))


def test_a_piece_that_is_joined_is_a_finding_and_stands_on_its_sheet():
    design = design_of(250.0, stock="leather=300x360mm")
    (finding,) = [f for f in design.findings if (f.code, f.subject) == ("pieced", "covering")]
    assert "scarf joint" in finding.sentence and finding.sentence in design.warnings
    text = b"".join(svg_files(cut_sheets(design)).values()).decode()
    assert "covering 1 of 2" in text and "15 mm scarf joint" in text


def test_metal_is_sawn_whatever_a_laser_does_for_the_rest():
    design = design_of(250.0, process="laser", corner_piece="metal", clasp_metal="brass")
    tools = {laid.material: laid.process for laid in cut_plan(design)}
    assert tools["brass"] == "piercing_saw" and tools["greyboard"] == "laser"


def test_a_laser_sheet_says_what_hurts():
    """Vegetable-tanned leather only, no vinyl: material lists of fabrication laboratories."""
    files = {path: words(page) for path, page in cut_sheets(design_of(250.0, process="laser")).items()}
    leather = next(text for path, text in files.items() if "leather" in path)
    assert "vegetable-tanned" in leather and "never leave it running alone" in leather
    plain = [words(page) for page in cut_sheets(design_of(250.0)).values()]
    assert not any("Laser" in text for text in plain)


def words(page):
    return " ".join(text.value for text in page.texts)


def test_no_stretch_of_a_mark_is_drawn_twice():
    """Dashes that fall on other dashes print as a solid line, which means a cut."""
    from pixel2make import api

    for structure in ("case", "laced"):
        source = api.open_source(Path(__file__).parents[2] / "demo_sprites" / "saltglass_ledger.png")
        design = api.measure(source, size=("height", "300mm"), choices={"structure": structure})
        for name, drawing in cut_sheets(design).items():
            marks = [line for p in drawing.paths if p.purpose == "mark" for line in p.lines]
            cuts = shapely.union_all([line for p in drawing.paths if p.purpose == "cut" for line in p.lines])
            assert all(line.intersection(cuts).length < 0.1 for line in marks), name
            for i, one in enumerate(marks):
                assert all(one.intersection(other).length < 0.1 for other in marks[:i]), name


def test_a_line_of_full_thickness_is_explained_on_the_sheet_that_has_it():
    """Leather is pared at turn-ins and joints (Adam, Practical Bookbinding); cloth is not pared."""
    for covering, is_told in (("leather", True), ("cloth", False)):
        design = dimension(book(EMBLEM), kinds.find("book"), size_mm=200, choices={"covering": covering})
        words = " ".join(text.value for sheet in cut_sheets(design).values() for text in sheet.texts)
        assert ("stays as thick as it is" in words) == is_told
