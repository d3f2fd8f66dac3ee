"""Clasps from their pixels."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from pixel2make.design import dimension
from pixel2make.kinds.book.build import BookBuild
from tests.design import catalogue
from tests.design.catalogue import GOLD, Mark, rectangle

KIND = BookBuild()


def clasps_of(*marks, size=300.0, **changes):
    return dimension(catalogue.book(*marks, **changes), KIND, size_mm=size)


def test_a_clasp_is_as_large_as_it_is_drawn():
    """Three pixels of 10 mm each way, from 180 mm below the head."""
    clasp = clasps_of(*catalogue.CLASP).clasps[0]
    assert clasp.plate.bounds == pytest.approx((0, 0, 30, 30))
    assert clasp.plate.area == pytest.approx(900)
    assert clasp.position_mm == pytest.approx(180)
    assert (clasp.width.low_mm, clasp.width.high_mm) == pytest.approx((20, 40))
    assert clasp.color == GOLD


def test_the_span_is_the_closed_book_under_light_pressure_and_a_clearance():
    """Common practice: the pages give a hundredth, pared turn-ins add two fifths of the leather a board."""
    design = clasps_of(*catalogue.CLASP)
    thickness, span = design.dimension("book_thickness"), design.clasps[0].span
    more = (
        0.5
        + 2 * 0.4 * design.dimension("covering_thickness").value_mm
        - (0.01 * design.dimension("block_thickness").value_mm)
    )
    assert span.value_mm == pytest.approx(thickness.value_mm + more)
    assert span.low_mm == pytest.approx(thickness.low_mm + more)
    assert span.high_mm == pytest.approx(thickness.high_mm + more)
    assert design.dimension("clasp_1_span").value_mm == span.value_mm


def test_the_neutral_line_is_that_of_the_handbook():
    """Machinery's Handbook, 31st ed., p. 1421: half-hard brass, a right angle takes 0.64 t + 1.57 R. The same
    from the k-factor, pi / 2 (R + k t): 2.2108 mm for sheet and radius of 1 mm."""
    clasp = clasps_of(*catalogue.CLASP).clasps[0]
    sheet, radius = clasp.sheet.value_mm, clasp.inside_radius.value_mm
    assert math.pi / 2 * (radius + clasp.k_factor * sheet) == pytest.approx(
        0.64 * sheet + 1.57 * radius, rel=1e-3
    )
    assert math.pi / 2 * (1 + clasp.k_factor * 1) == pytest.approx(2.2108, abs=1e-4)


def test_x_runs_from_the_fore_edge_inwards():
    """A plate that is broad at the fore-edge and narrow at its tip."""
    broad = Mark("clasp-1", "cover", rectangle(0.9, 0.6, 1, 0.7), GOLD)
    tip = Mark("clasp-1", "cover", rectangle(0.8, 0.63, 0.9, 0.67), GOLD)
    plate = clasps_of(broad, tip).clasps[0].plate
    assert plate.intersection(box(0, 0, 1, 99)).area == pytest.approx(30)
    assert plate.intersection(box(39, 0, 40, 99)).area == pytest.approx(10)


def test_a_plate_that_ends_short_of_the_fore_edge_is_carried_on_to_it():
    plate = clasps_of(Mark("clasp-1", "cover", rectangle(0.8, 0.6, 0.9, 0.7), GOLD)).clasps[0].plate
    assert plate.geom_type == "Polygon"
    assert plate.bounds == pytest.approx((0, 0, 40, 30))


def test_a_clasp_on_the_leaves_alone_gets_a_plate_by_rule():
    """Common practice: 20 to 30 mm onto the board."""
    clasp = clasps_of(catalogue.CLASP[1]).clasps[0]
    assert clasp.plate_length.origin == "rule"
    assert 20 <= clasp.plate_length.value_mm <= 30
    assert clasp.plate.bounds == pytest.approx((0, 0, clasp.plate_length.value_mm, 30))
    assert clasp.position_mm == pytest.approx(180)


def test_a_tiny_clasp_is_made_large_enough_for_its_pins():
    """A clasp of two pixels would be 4 mm at 60 mm; 8 x 10 mm hold two pins (common practice)."""
    small = Mark("clasp-1", "cover", rectangle(0.9, 0.6, 1, 0.66), GOLD)
    clasp = clasps_of(small, size=60.0, thickness=(8.0, 0.0)).clasps[0]
    assert clasp.plate_length.value_mm >= 8.0
    assert "at least" in clasp.plate_length.rule
    assert clasp.width.value_mm == pytest.approx(10.0)
    assert clasp.plate.bounds == pytest.approx((0, 0, clasp.plate_length.value_mm, 10))
    assert "at least" in clasp.width.rule
    assert clasp.position_mm + 5 == pytest.approx(60 * 0.63, abs=2)


@pytest.mark.parametrize(
    ("width", "height", "thickness"),
    [((16, 8), (0, 20), (6, -3)), ((32, 16), (-40, 20), (0, 8)), ((14, 0), (0, 20), (3, -3))],
)
def test_a_clasp_on_a_slanted_cover_has_a_square_plate(width, height, thickness):
    clasp = clasps_of(
        *catalogue.CLASP,
        width=width,
        height=height,
        thickness=thickness,
        origin=(44, 10),
        ratio=(0.7, 1, 0.2),
    ).clasps[0]
    assert clasp.plate.area > 0.9 * clasp.plate.envelope.area
    assert clasp.plate.bounds[:2] == pytest.approx((0, 0), abs=1e-9)
    assert clasp.width.low_mm <= 30 <= clasp.width.high_mm


def test_each_clasp_is_a_part_that_lies_on_no_sheet():
    design = dimension(catalogue.plain(), KIND, size_mm=300)
    part = next(p for p in design.parts if p.name == "clasp-1")
    assert not part.is_cut
    assert part.material == "brass"


def test_clasps_are_fitted_after_casing_in_and_before_pasting_down():
    """Etherington & Roberts 1982, entry clasps: last, since only then the thickness is known; the pastedown
    hides the pins."""
    names = [step.name for step in dimension(catalogue.plain(), KIND, size_mm=300).steps]
    fit, case, paste = (
        next(i for i, name in enumerate(names) if name.startswith(word))
        for word in ("fit clasps", "case in", "paste down")
    )
    assert case < fit < paste


@pytest.mark.parametrize("form", ["hooked_arm", "pin_strap", "folded_slide"])
@settings(max_examples=15)
@given(size=st.floats(80, 900), thickness=st.floats(2, 24))
def test_every_form_comes_in_whole_pieces_at_every_size(form, size, thickness):
    """A stud thicker than a thin book has room for once cut its flange in two."""
    drawn = catalogue.book(*catalogue.CLASP, thickness=(thickness, 0.0))
    clasp = dimension(drawn, KIND, size_mm=size, choices={"clasp_form": form}).clasps[0]
    for mechanism in (clasp.metal, clasp.printed):
        for piece in mechanism.pieces:
            panels = [piece.shape.panel] if hasattr(piece.shape, "panel") else []
            for panel in panels:
                panels += [fold.panel for fold in panel.folds]
                assert isinstance(panel.outline, Polygon) and panel.outline.is_valid


@pytest.mark.parametrize(
    ("name", "metal"), [("lamplighters_accounts", "steel"), ("saltglass_ledger", "brass")]
)
def test_a_clasp_is_of_the_metal_that_is_drawn_though_a_strap_is_more_of_it(name, metal):
    """The sources say so: a silver buckle on a brown belt, a clasp of gold."""
    from pathlib import Path

    from pixel2make import api

    sprite = Path(__file__).parents[2] / "demo_sprites" / f"{name}.png"
    design = api.measure(api.open_source(sprite), size=("height", "250mm"))
    assert {part.material for part in design.parts if part.name == "clasp-1"} == {metal}
