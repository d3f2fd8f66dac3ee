"""Which form of clasp is proposed, and why; where pins go."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, box

from pixel2make import trade
from pixel2make.design import dimension
from pixel2make.geometry.pieces import Sheet
from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.metalwork.gauges import metal_of
from pixel2make.kinds.book.metalwork.holes import pin_diameter_mm, pin_length_mm
from pixel2make.kinds.book.metalwork.proposal import form_of
from tests.design import catalogue
from tests.pack.clasps import FORMS, gauge_of, site_of

KIND = BookBuild()
forms = pytest.mark.parametrize("form", FORMS)
ways = pytest.mark.parametrize("way", ["sheet", "print"])


@pytest.mark.parametrize(
    ("wide", "thick", "has_strap", "over_edge", "form", "reason"),
    [
        (24, 40, False, False, "hooked_arm", "room for a hinge"),
        (24, 40, True, False, "pin_strap", "strap is drawn"),
        (10, 40, False, False, "folded_slide", "10.0 mm wide has no room for a hinge"),
        (24, 10, False, False, "folded_slide", "10.0 mm thick has no room for a hinge"),
        (24, 90, False, False, "pin_strap", "swells"),
        (24, 90, False, True, "hooked_arm", "over the fore-edge"),
    ],
)
def test_the_form_follows_size_thickness_and_what_is_drawn(wide, thick, has_strap, over_edge, form, reason):
    """Common practice: a hinge takes 12 mm of width and depth; from 60 mm on a strap follows the leaves."""
    site = site_of(box(0, 0, 40, wide), thickness=thick)
    found, why = form_of({}, site, has_strap=has_strap, over_edge=over_edge)
    assert found == form
    assert reason in why
    assert why.endswith(".")


@forms
def test_the_makers_word_wins(form):
    site = site_of(box(0, 0, 40, 24))
    assert form_of({"clasp_form": form}, site, has_strap=True, over_edge=True)[0] == form


@pytest.mark.parametrize(
    ("color", "metal"),
    [("#e0b030", "brass"), ("#b86a3a", "copper"), ("#a8acb4", "steel"), ("#806030", "bronze")],
)
def test_a_metal_is_suggested_by_its_colour(color, metal):
    """Common practice: yellow is brass, red is copper, brown is bronze, grey is steel."""
    assert metal_of(color) == metal


@given(st.floats(1, 6))
def test_a_pin_is_no_thicker_than_half_its_board(board):
    """Common practice; from 1.46 mm on, twice the thinnest wire (steel wire gauge 22, 0.0286 in)."""
    diameter = pin_diameter_mm(board)
    if board >= 2 * 0.0286 * 25.4:
        assert diameter <= board / 2
    assert diameter in trade.value("clasp.pin_stock").numbers


@given(st.floats(0.5, 18), st.sampled_from([0.88, 1.2]))
def test_a_pin_holds_all_layers_and_has_a_head_left(grip, diameter):
    """Common practice: 1.0 to 1.5 diameters stand out to be headed; lengths as shops keep them."""
    length = pin_length_mm(grip, diameter)
    if length is None:
        assert grip + 1.5 * diameter > 20
    else:
        assert length - grip >= diameter
        assert length in (6, 8, 10, 13, 16, 20)


@forms
@ways
@given(st.floats(25, 120), st.floats(12, 80), st.floats(1.5, 4))
def test_holes_keep_two_diameters_from_every_edge_of_their_plate(form, way, length, wide, board):
    """Two diameters of the pin from its middle to any edge of the plate, other holes among them, four pins
    apart, and 6 mm or three diameters from the edge of the board where it goes into one."""
    from dataclasses import replace

    site = replace(site_of(box(0, 0, length, wide)), board_mm=board)
    mechanism = FORMS[form](site, gauge_of(way))
    for piece in mechanism.pieces:
        holes = [hole for hole in mechanism.holes if hole.piece == piece.name]
        if not holes:
            continue
        assert isinstance(piece.shape, Sheet)
        outline = piece.shape.panel.outline
        places = [Point(hole.u_mm, hole.v_mm) for hole in holes]
        for hole, place in zip(holes, places, strict=True):
            others = [r for r in outline.interiors if not r.envelope.buffer(0.1).contains(place)]
            rim = [LineString(outline.exterior.coords), *(LineString(r.coords) for r in others)]
            assert min(line.distance(place) for line in rim) >= 2 * hole.pin_mm - 0.02
            if piece.body in ("front", "back"):
                assert -hole.u_mm >= max(6, 3 * hole.pin_mm) - 1e-6
        for i, one in enumerate(places):
            assert all(one.distance(other) >= 4 * holes[0].pin_mm - 1e-6 for other in places[:i])


@pytest.mark.parametrize("size", [60.0, 300.0, 900.0])
def test_pins_reach_through_plate_covering_and_board(size):
    design = dimension(catalogue.book(*catalogue.CLASP), KIND, size_mm=size)
    layers = design.dimension("covering_thickness").value_mm + design.dimension("board_thickness").value_mm
    holes = [hole for clasp in design.clasps for hole in clasp.metal.holes]
    assert len(holes) >= 2 * len(design.clasps)
    for hole in holes:
        assert math.isclose(hole.diameter_mm, hole.pin_mm + 0.1)
        assert hole.length_mm >= layers or hole.piece.endswith("strap_end")


@pytest.mark.parametrize("size", [60.0, 90.0, 120.0, 160.0, 220.0, 300.0])
def test_boards_of_small_books_get_pins_that_do_not_split_them(size):
    design = dimension(catalogue.book(*catalogue.CLASP), KIND, size_mm=size)
    assert not [f for f in design.findings if f.code == "pin-too-thick"]


def test_a_form_that_would_not_work_gives_way_to_one_that_does():
    """Wide enough for no hinge, too thin for a spring: what would break is told, and a strap taken."""
    site = site_of(box(0, 0, 20, 10), thickness=10)
    broken = {"folded_slide": "the tongue as a spring would bear 900 MPa", "hooked_arm": "it meets"}
    form, why = form_of({}, site, has_strap=False, over_edge=False, hindrance=lambda f: broken.get(f, ""))
    assert form == "pin_strap"
    assert "900 MPa" in why
    form, _ = form_of({}, site, has_strap=False, over_edge=False, hindrance=lambda f: "no")
    assert form == "folded_slide"
