"""Stations, supports, thread and both structures against worked examples of handbooks."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point

from pixel2make.design import dimension
from pixel2make.errors import DesignError
from pixel2make.kinds.book.block import block_for
from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.sewing import (
    hole_diameter_mm,
    kettle_distances,
    sewing_of,
    spine_swell_mm,
    support_centres,
    thread_for,
    thread_length_mm,
)
from tests.design import catalogue

KIND = BookBuild()
ASKED = {
    "structure": "case",
    "kettle": "half_inch",
    "supports": "by_height",
    "sewing": "by_swell",
    "thread": "by_section",
}


def sewn(height=294.0, block=None, **answers):
    return sewing_of({**ASKED, **answers}, block or block_for(19.2), height)


def stations(sewing):
    return [station.mm for station in sewing.stations]


def made(size=300, **choices):
    return dimension(catalogue.furnished(thickness=(6.0, 0.0)), KIND, size_mm=size, choices=choices)


def values(design):
    return {d.name: d.value_mm for d in design.dimensions}


def part(design, name):
    return next(p for p in design.parts if p.name == name)


def test_kettle_stitches_half_an_inch_from_the_ends():
    """Bean & Brodhead, Bookbinding for Beginners: 1/2 inch. 294 mm: 12.7 and 281.3."""
    assert stations(sewn())[::9] == pytest.approx([12.7, 281.3])


def test_kettle_stitches_ten_millimetres_from_the_ends():
    """University of Brighton, book arts worksheet: 10 mm. 210 mm: 10 and 200."""
    found = stations(sewn(210, kettle="ten_mm"))
    assert (found[0], found[-1]) == pytest.approx((10, 200))


def test_the_larger_gap_is_at_the_tail():
    """Vaughn, Printing and Bookbinding for Schools: 3/4 inch from the head, 1 1/4 inches from the tail."""
    found = stations(sewn(kettle="larger_at_tail"))
    assert (found[0], 294 - found[-1]) == pytest.approx((0.75 * 25.4, 1.25 * 25.4))


def test_link_sewing_of_an_a5_book():
    """University of Brighton, book arts worksheet: kettles at 10, the rest in three, a pair of holes 5 mm to
    either side of each division. 210 mm: 68.33, 78.33, 131.67, 141.67."""
    found = stations(sewn(210, kettle="ten_mm", supports="none"))
    assert found == pytest.approx([10, 68.333, 78.333, 131.667, 141.667, 200], abs=1e-3)


def test_larger_link_sewing_has_four_spaces():
    """The same worksheet: four equal spaces for large books, so three pairs."""
    found = stations(sewn(300, kettle="ten_mm", supports="none"))
    assert found == pytest.approx([10, 75, 85, 145, 155, 215, 225, 290])


def test_three_tapes():
    """Bean & Brodhead: one in the middle, one 1 to 1 1/2 inches from each end; eight holes a section."""
    sewing = sewn(supports="three")
    head, middle, tail = (support.mm for support in sewing.supports)
    assert middle == 147
    assert 25.4 <= head <= 38.1
    assert 25.4 <= 294 - tail <= 38.1
    assert len(sewing.stations) == 8


def test_five_tapes():
    """Vaughn: head tape 1/4 inch in from the head puncture, foot tape likewise, the others evenly between."""
    sewing = sewn(kettle="larger_at_tail", supports="five")
    found = stations(sewing)
    assert found[1] - found[0] == pytest.approx(6.35)
    assert found[-1] - found[-2] == pytest.approx(6.35)
    steps = [b.mm - a.mm for a, b in pairwise(sewing.supports)]
    assert steps == pytest.approx([steps[0]] * 4)


def test_evenly_spread_tapes():
    """Common practice: m tapes between the kettles. 294 mm, kettles at 12, three of 10 mm: holes at 74.5,
    84.5, 142, 152, 209.5 and 219.5."""
    centres = support_centres("by_height", 294, (12, 12), count=3, width_mm=10)
    assert [c + side for c in centres for side in (-5, 5)] == pytest.approx(
        [74.5, 84.5, 142, 152, 209.5, 219.5]
    )


def test_a_single_section_of_150_mm():
    """Common practice: three holes up to seven inches, the outer ones 15 mm from the ends: 15, 75, 135."""
    sewing = sewn(150, block_for(1.2))
    assert stations(sewing) == pytest.approx([15, 75, 135])
    assert len(sewn(200, block_for(1.2)).stations) == 5


def test_trimming_moves_the_marks_outwards():
    """University of Brighton worksheet: measure from the final edge, so 10 mm and 3 mm of trim make 13."""
    left, trimmed = (made(kettle="ten_mm", edges=word).templates[0] for word in ("left", "trimmed"))
    assert left.holes[0].y_mm == pytest.approx(10)
    assert trimmed.holes[0].y_mm == pytest.approx(13)
    assert trimmed.outline.bounds[3] - left.outline.bounds[3] == pytest.approx(6)
    assert trimmed.outline.bounds[3] - trimmed.holes[-1].y_mm == pytest.approx(13)


def test_thread_of_a_worked_book():
    """Common practice: 16 sections of 294 mm, kettles at 12, links of 12, two tails of 150 and a tenth:
    5293 mm; and the shop rule, sections and two more times the height, 5292 mm."""
    length = thread_length_mm(16, 294 - 2 * 12)
    assert length == pytest.approx(5293.2)
    assert length == pytest.approx(18 * 294, rel=1e-3)


def test_thread_grows_with_the_sections():
    """Peachey, A Guide to Swell: 25/3 to start with, 18/3 for few thick sections, 30/3 or 40/3 for many
    thin ones."""
    assert thread_for("by_section", block_for(19.2)) == "25/3"
    assert thread_for("by_section", block_for(4.8)) == "18/3"
    assert thread_for("by_section", block_for(40, grammage=80)) == "30/3"
    assert thread_for("by_section", block_for(40, grammage=60)) == "40/3"
    assert thread_for("16/3", block_for(40)) == "16/3"


def test_awl_for_the_thread():
    """Common practice: 18/3 at 0.6 mm takes an awl of 1.0 mm; awls are 0.8 to 1.2 mm."""
    assert hole_diameter_mm(0.6) == pytest.approx(1.0)
    assert all(0.8 <= hole_diameter_mm(d) <= 1.2 for d in (0.4, 0.45, 0.5, 0.65))


def test_two_on_nearly_halves_the_swell():
    """Cockerell, Bookbinding, and the Care of Books: sewing two sheets on halves the thread in the folds.
    First and last section are sewn all along."""
    all_along, two_on = (sewn(sewing=word) for word in ("all_along", "two_on"))
    assert (all_along.passes, two_on.passes) == (16, 9)
    assert spine_swell_mm(9, 0.5)[0] == pytest.approx(spine_swell_mm(16, 0.5)[0] * 9 / 16)
    # 0.65 mm of thread bedded by half in sections of 0.8 mm swell by 41 %, more than 30 %.
    assert sewn(block=block_for(20, grammage=80), thread="16/3").is_two_on
    assert not sewn().is_two_on


@pytest.mark.parametrize(
    ("answers", "height", "thickness", "message"),
    [
        ({"kettle": 120.0}, 294, 19.2, "choice kettle: 120 mm from either end"),
        ({"supports": "five"}, 80, 19.2, "five tapes of 10 mm do not fit on a leaf 80.0 mm high"),
        ({"structure": "laced"}, 294, 1.2, "choice structure: .* single section"),
        ({"structure": "laced", "supports": "none"}, 294, 19.2, "laced boards hang on cords"),
        ({"structure": "laced"}, 12, 19.2, "no cord of 2 mm fits"),
    ],
)
def test_what_cannot_be_sewn_says_what_can(answers, height, thickness, message):
    with pytest.raises(DesignError, match=message) as caught:
        sewn(height, block_for(thickness), **answers)
    assert "choose" in str(caught.value)


@settings(deadline=None)
@given(
    st.floats(40, 700),
    st.floats(2.4, 120),
    st.sampled_from(["half_inch", "ten_mm", "larger_at_tail"]),
    st.sampled_from(["by_height", "none"]),
    st.sampled_from(["case", "laced"]),
)
def test_stations_go_down_the_fold_and_keep_paper_between_them(
    height, thickness, kettle, supports, structure
):
    supports = "by_height" if structure == "laced" else supports
    sewing = sewn(height, block_for(thickness), kettle=kettle, supports=supports, structure=structure)
    found = stations(sewing)
    assert all(below - above >= 3.0 - 1e-9 for above, below in pairwise(found))
    assert 0 < found[0] < found[-1] < height
    assert kettle_distances(kettle, height)[0].mm == found[0]
    for support in sewing.supports:
        assert found[0] < support.mm - support.width_mm / 2
        assert support.mm + support.width_mm / 2 < found[-1]


BOOKS = st.builds(
    lambda size, structure, covering, lacing: made(
        size, structure=structure, covering=covering, lacing=lacing
    ),
    st.floats(150, 900),
    st.sampled_from(["case", "laced"]),
    st.sampled_from(["leather", "cloth"]),
    st.sampled_from(["half_inch", "three_eighths"]),
)


@settings(max_examples=25, deadline=None)
@given(BOOKS)
def test_block_and_squares_are_the_boards_in_both_structures(design):
    v = values(design)
    laced = "spine_width" in v
    assert v["board_height"] == pytest.approx(v["leaf_height"] + 2 * v["square"])
    set_back = v["joint_gap"] if laced else v["joint_gap"] - v["board_thickness"]
    assert v["board_width"] + set_back == pytest.approx(v["leaf_width"] + v["square"])
    lining = v["spine_lining_thickness"] if laced else v["spine_piece_thickness"]
    assert v["cover_width"] == pytest.approx(v["covering_thickness"] + lining + v["leaf_width"] + v["square"])
    assert laced != any(p.name == "spine_piece" for p in design.parts)


@settings(max_examples=15, deadline=None)
@given(
    st.floats(150, 900),
    st.sampled_from(["case", "laced"]),
    st.sampled_from(["none", "6mm"]),
    st.sampled_from(["usual", "even", "none"]),
)
def test_masses_of_the_parts_are_the_whole_whatever_is_chosen(size, structure, bevel, bands):
    """Conservation of mass, and ISO 536: leaves weigh their area times their grammage, two pages a leaf."""
    design = made(size, structure=structure, bevel=bevel, bands=bands)
    masses = dict(design.mass_g)
    assert len(masses) == len(design.mass_g)
    assert set(masses) == {p.name for p in design.parts}
    assert sum(masses.values()) == pytest.approx(design.total_mass_g)
    assert min(masses.values()) > 0
    leaf = part(design, "text_block_leaf")
    assert masses["text_block_leaf"] == pytest.approx(leaf.quantity * leaf.outline.area / 1e6 * 120)
    # Clasps apart, a design is as heavy as its parts cut from their own sheets: no part is counted twice.
    board = part(design, "front_board")
    assert masses["front_board"] <= board.outline.area * board.thickness_mm / 1000 * 0.625 + 1e-9


@settings(max_examples=25, deadline=None)
@given(BOOKS)
def test_the_flat_covering_is_what_lies_on_it(design):
    """Area of boards, joints, spine and turn-ins is the area of the covering's blank."""
    v = values(design)
    marks = dict(part(design, "covering").marks)
    spine = marks.get("spine", marks.get("spine_piece"))
    joints = 2 * v["joint_gap"] * v["board_height"]
    turn_ins = v["covering_width"] * v["covering_height"] - marks["turn_in"].area
    flat = marks["front_board"].area + marks["back_board"].area + spine.area + joints + turn_ins
    assert flat == pytest.approx(v["covering_width"] * v["covering_height"])


@settings(max_examples=25, deadline=None)
@given(BOOKS)
def test_pages_are_twice_the_leaves_and_fit_on_the_sheets(design):
    leaves = part(design, "text_block_leaf").quantity
    paper = next(m for m in design.materials if m.name.startswith("text paper"))
    assert f"{leaves} leaves, {2 * leaves} pages" in paper.origin
    if paper.unit == "sheets":
        v = values(design)
        # B1 is 707 x 1000 mm (ISO 216): no more paper comes out of the sheets than they hold.
        used = leaves / 2 * v["sheet_width"] * v["sheet_height"]
        assert used <= paper.amount * 707 * 1000


def test_lacing_holes_lie_half_an_inch_from_the_back():
    """Zaehnsdorf, The Art of Bookbinding: half an inch from the back for an octavo, the second hole half an
    inch from the first; each on the line of its slip, which the board's square moves down."""
    design = made(structure="laced")
    board = part(design, "front_board").outline
    centres = sorted((ring.centroid.x, ring.centroid.y) for ring in board.interiors)
    assert len(centres) == 8
    assert {round(x, 6) for x, _ in centres} == {12.7, 25.4}
    cords = [(upper + lower) / 2 for _, upper, lower in design.templates[0].bands]
    square = values(design)["square"]
    assert [y for _, y in centres[:4]] == pytest.approx([y + square for y in cords])
    assert [y for _, y in centres[4:]] == pytest.approx([y + square for y in cords])


def test_the_back_board_is_holed_at_its_own_back():
    design = made(structure="laced")
    front, back = (part(design, name).outline for name in ("front_board", "back_board"))
    width = values(design)["board_width"]
    assert not front.contains(Point(12.7, front.interiors[0].centroid.y))
    assert not back.contains(Point(width - 12.7, front.interiors[0].centroid.y))
    assert front.area == pytest.approx(back.area)


def test_three_eighths_of_an_inch():
    """Diehl, Bookbinding, its Background and Technique: a line three eighths of an inch from the back."""
    board = part(made(structure="laced", lacing="three_eighths"), "front_board").outline
    assert min(ring.centroid.x for ring in board.interiors) == pytest.approx(3 / 8 * 25.4)


def test_each_structure_has_its_own_order_of_work():
    cased, laced = ([s.name for s in made(structure=word).steps] for word in ("case", "laced"))
    assert any(name.startswith("case in") for name in cased)
    assert not any("slips" in name for name in cased)
    assert any("slips" in name for name in laced)
    assert not any("case" in name for name in laced)
    # Laced boards are on before the leather, a case is covered before it is hung.
    assert next(i for i, n in enumerate(laced) if "lace them" in n) < next(
        i for i, n in enumerate(laced) if n.startswith("paste the covering")
    )


def test_a_cord_reaches_through_both_holes():
    """Geometry: half the spine, the joint and two holes lie within half a cord."""
    v = values(made(structure="laced"))
    reach = v["support_length"] / 2 - v["sewn_spine_thickness"] / 2
    assert reach > v["joint_gap"] + 12.7 + 12.7 + 2 * v["board_thickness"]


def test_thinner_paper_makes_more_pages_of_the_same_thickness():
    """ISO 534: thickness is grammage times bulk; 100 g/m2 at 1.5 cm3/g are 0.150 mm, as 120 at 1.25."""
    usual, other = made(), made(grammage="100 g/m2", bulk=1.5)
    assert values(other)["leaf_thickness"] == pytest.approx(values(usual)["leaf_thickness"])
    thin = made(grammage=80)
    assert part(thin, "text_block_leaf").quantity > part(usual, "text_block_leaf").quantity
    assert values(thin)["pages_thickness"] == pytest.approx(values(usual)["pages_thickness"], abs=0.8)


def test_mass_of_the_leaves_follows_their_grammage():
    """ISO 536: mass is grammage by area."""
    design = made(grammage=80)
    leaf = part(design, "text_block_leaf")
    assert dict(design.mass_g)["text_block_leaf"] == pytest.approx(
        leaf.quantity * leaf.outline.area / 1e6 * 80
    )


def test_a4_leaves_come_from_short_grain_a3_alone():
    """Common practice: the fold runs along the grain, so A4 leaves take A3 with its grain along 297 mm."""
    for size, word, fits in ((290, "A3_short_grain", True), (290, "A3", False)):
        found = [f.code for f in made(size, paper_stock=word).findings]
        assert ("folio-larger-than-stock" in found) != fits


def test_sheet_count_of_a_block():
    """36 sections of 4 folded sheets of 386 x 293 mm: one across 707, three along 1000 mm of B1."""
    design = made()
    v = values(design)
    fit = math.floor(707 / v["sheet_width"]) * math.floor(1000 / v["sheet_height"])
    paper = next(m for m in design.materials if m.name.startswith("text paper"))
    assert paper.amount == math.ceil(part(design, "text_block_leaf").quantity / 2 / fit)
