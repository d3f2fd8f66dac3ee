"""Bevelled boards, raised bands and the other answers that shops teach differently."""

from dataclasses import replace
from itertools import pairwise

import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.errors import DesignError
from pixel2make.kinds.book.bands import even_places
from pixel2make.kinds.book.bevel import flat_outline, wedge_mm3
from pixel2make.reading.model import Band, Rounding
from tests.design.catalogue import furnished

INCH = 25.4


def made(size=300, reading=None, **choices):
    return dimension(reading or furnished(), kinds.find("book"), size_mm=size, choices=choices)


def values(design):
    return {d.name: d.value_mm for d in design.dimensions}


def part(design, name):
    return next(p for p in design.parts if p.name == name)


def with_bands(*places, sure=0.9):
    bands = tuple(Band(at, at - 0.02, at + 0.02, 0.03, 0.02, 0.05, sure, "A lit ridge.") for at in places)
    return replace(furnished(), bands=bands)


def bevelled(px):
    return replace(furnished(), chamfer=Rounding(px, px - 0.5, px + 0.5, "A light rim."))


# --- bevel ---------------------------------------------------------------------------------------


@given(st.floats(60, 400), st.floats(60, 400), st.floats(1, 14), st.floats(0.5, 3))
@settings(max_examples=40, deadline=None)
def test_a_bevel_takes_away_what_a_solid_of_the_board_lacks(width, height, bevel, depth):
    """Volume of the convex hull of both faces by another library (trimesh): foot less that is the wedge."""
    foot = box(0, 0, width, height)
    flat = flat_outline(foot, bevel)
    x0, y0, x1, y1 = flat.bounds
    assert (x0, y0, x1, y1) == pytest.approx((0, bevel, width - bevel, height - bevel))
    corners = [(x, y, 0.0) for x, y in foot.exterior.coords[:-1]]
    corners += [(x, y, depth) for x, y in flat.exterior.coords[:-1]]
    solid = trimesh.convex.convex_hull(corners)
    assert wedge_mm3(foot, bevel, depth) == pytest.approx(width * height * depth - solid.volume, rel=1e-6)


def test_bevelled_boards_are_lighter_by_their_wedges():
    """Greyboard of 0.625 g/cm3 (common practice): mass is volume times density."""
    plain, sloped = made(), made(bevel="10mm")
    outline = part(sloped, "front_board").outline
    lost = wedge_mm3(outline, 10, 0.5 * values(sloped)["board_thickness"]) / 1000 * 0.625
    for name in ("front_board", "back_board"):
        assert dict(plain.mass_g)[name] - dict(sloped.mass_g)[name] == pytest.approx(lost)


def test_a_drawn_bevel_is_taken_with_its_interval_and_marked_on_both_boards():
    design = made(reading=bevelled(1.5))
    dimension_of = design.dimension("bevel_width")
    px = design.dimension("px_mm")
    assert dimension_of.value_mm == pytest.approx(1.5 * px.value_mm)
    assert dimension_of.low_mm < dimension_of.value_mm < dimension_of.high_mm
    assert dimension_of.origin == "sprite"
    width, height = part(design, "front_board").size_mm
    marks = {name: dict(part(design, name).marks)["flat"].bounds for name in ("front_board", "back_board")}
    bevel = dimension_of.value_mm
    assert marks["front_board"] == pytest.approx((0, bevel, width - bevel, height - bevel))
    assert marks["back_board"] == pytest.approx((bevel, bevel, width, height - bevel))
    assert any("bevel" in step.name for step in design.steps)
    assert not any(d.name == "bevel_width" for d in made(reading=bevelled(1.5), bevel="none").dimensions)


def test_a_bevel_on_a_thin_board_and_one_beyond_all_custom_are_found():
    thin = made(150, bevel="5mm")
    assert [f.code for f in thin.findings if f.subject == "front_board"] == ["board-thin-for-bevel"]
    assert not [f for f in made(150, bevel="5mm", board="3mm").findings if f.subject == "front_board"]
    assert [f.code for f in made(300, bevel="30mm").findings if f.subject == "front_board"] == ["odd-bevel"]
    # A drawn one is left out where it would not show, and kept to what can be worked on a large book.
    drawn = made(150, reading=bevelled(1.5))
    (finding,) = [f for f in drawn.findings if f.subject == "front_board"]
    assert "left out" in finding.sentence
    assert "bevel_width" not in values(drawn)
    assert values(made(900, reading=bevelled(1.5)))["bevel_width"] == 25
    with pytest.raises(DesignError, match=r"choice bevel: 90 mm .* at most \d"):
        made(300, bevel="90mm")


# --- bands ---------------------------------------------------------------------------------------


def test_five_bands_part_the_back_into_six_the_tail_a_little_longer():
    """Cockerell, Bookbinding, and the Care of Books, ch. VII, and Zaehnsdorf, The Art of Bookbinding (1890):
    five bands, six panels, the tail's the longest."""
    places = (0.0, *even_places(300), 300.0)
    panels = [below - above for above, below in pairwise(places)]
    assert len(panels) == 6
    assert panels[:5] == pytest.approx([panels[0]] * 5)
    assert panels[0] < panels[5] < 1.25 * panels[0]


def test_cords_lie_where_bands_are_drawn():
    design = made(reading=with_bands(0.2, 0.4, 0.6, 0.8), structure="laced")
    found = values(design)
    for number, at in enumerate((0.2, 0.4, 0.6, 0.8), 1):
        assert found[f"band_{number}_from_head"] == pytest.approx(at * found["board_height"])
    cords = [(lower + upper) / 2 for _, upper, lower in design.templates[0].bands]
    assert cords == pytest.approx([at * 300 - found["square"] for at in (0.2, 0.4, 0.6, 0.8)])
    # Boards are holed where the cords lie.
    holes = sorted(
        {round(hole.centroid.y, 3) for hole in map(box_of, part(design, "front_board").outline.interiors)}
    )
    assert holes == pytest.approx([at * 300 for at in (0.2, 0.4, 0.6, 0.8)], abs=0.01)
    assert not any(p.name == "raised_band" for p in design.parts)


def box_of(ring):
    return box(*ring.bounds)


def test_bands_that_cannot_be_sewn_over_are_said_to_have_moved():
    design = made(reading=with_bands(0.01, 0.5, 0.51), structure="laced")
    (finding,) = [f for f in design.findings if f.code == "bands-moved"]
    assert "spread evenly" in finding.sentence
    assert values(design)["band_1_from_head"] != pytest.approx(3.0)


def test_bands_of_a_case_are_strips_that_fit_its_spine_piece():
    """Zaehnsdorf, The Art of Bookbinding (1890): two or three leathers stuck together, cut into strips."""
    design = made(reading=with_bands(0.25, 0.5, 0.75))
    strips, found = part(design, "raised_band"), values(design)
    assert strips.quantity == 2 * 3
    assert strips.size_mm[0] == pytest.approx(found["spine_piece_width"])
    assert found["band_width"] == pytest.approx(0.03 * 300)
    assert found["band_rise"] == pytest.approx(2 * strips.thickness_mm)
    marks = [shape for name, shape in part(design, "spine_piece").marks if name.startswith("band_")]
    assert [mark.centroid.y for mark in marks] == pytest.approx([75, 150, 225])
    assert any("bands" in step.name for step in design.steps)
    assert not any(p.name == "raised_band" for p in made(reading=with_bands(0.5), bands="none").parts)


def test_lines_that_are_hardly_bands_are_offered_and_not_taken():
    design = made(reading=with_bands(0.3, sure=0.3))
    choice = next(c for c in design.choices if c.key == "bands")
    assert "drawn" in choice.options
    assert choice.taken == "usual"
    assert part(made(reading=with_bands(0.3, sure=0.3), bands="drawn"), "raised_band").quantity == 2


def test_a_smooth_laced_spine_has_its_cords_sunk():
    design = made(structure="laced", bands="none")
    assert not any(d.name.startswith("band_") for d in design.dimensions)
    assert any("sunk into saw cuts" in step.name for step in design.steps)


# --- what shops teach differently ------------------------------------------------------------------


def test_a_case_of_a_teaching_text():
    """Vaughn, Printing and Bookbinding for Schools, the typical case binding: boards as wide as the book and
    3/8 inch longer, pushed forward by the square; three fourths of an inch for each turn-in; the back edges
    of the boards as far apart on the cloth as the thickness of the book and two joints; mitres cut about the
    thickness of the board from its corner."""
    board = 2.5
    joint = 3 / 16 * INCH + board  # pushed forward by the square, and down into the groove by the board
    design = made(
        square="bold", turn_in="wide", spine_piece="soft", covering="cloth",
        board=f"{board}mm", joint_gap="board_as_leaf",
    )  # fmt: skip
    found = values(design)
    assert found["board_width"] == pytest.approx(found["leaf_width"])
    assert found["board_height"] == pytest.approx(found["leaf_height"] + 3 / 8 * INCH)
    assert found["covering_height"] == pytest.approx(found["board_height"] + 1.5 * INCH)
    apart = found["covering_width"] - 2 * 0.75 * INCH - 2 * found["board_width"]
    assert apart == pytest.approx(found["sewn_spine_thickness"] + 2 * joint)
    covering = part(design, "covering").outline
    corner = box(0.75 * INCH, 0.75 * INCH, 200, 200)
    mitre = covering.exterior.distance(corner)
    assert mitre == pytest.approx(board, rel=0.5)  # "about equal to the thickness of the board"


def test_the_swell_is_the_makers_when_measured():
    """Etherington & Roberts 1982, entry swell: what the spine is thicker than the block; no formula holds."""
    usual, measured = made(), made(swell="6mm")
    assert values(measured)["sewn_spine_thickness"] - values(measured)["block_thickness"] == pytest.approx(6)
    least, most = (values(made(swell=word))["swell"] for word in ("least", "most"))
    assert least < values(usual)["swell"] < most
    swell = usual.dimension("swell")
    assert (swell.low_mm, swell.high_mm) == pytest.approx((least, most))


@pytest.mark.parametrize(
    ("choices", "words"),
    [
        ({"board": "20mm"}, "choice board: boards are 0.5 to 12 mm"),
        ({"turn_in": "150mm"}, "choice turn_in: .* at most"),
    ],
)
def test_what_cannot_be_says_what_can(choices, words):
    with pytest.raises(DesignError, match=words):
        made(300, **choices)


def test_thicker_boards_leave_less_for_pages():
    """Closed thickness is two boards and what is between: 1 mm more of board is 2 mm less of block."""
    thin, thick = values(made(board="2mm")), values(made(board="3mm"))
    assert thin["block_thickness"] - thick["block_thickness"] == pytest.approx(2)
