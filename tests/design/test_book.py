"""A book's parts against worked examples of the trade and what holds for any book."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, box

from pixel2make.design import dimension
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Part
from pixel2make.kinds.book.block import block_for, leaf_thickness_mm, paper_stock
from pixel2make.kinds.book.boards import covering_outline
from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.materials import book_materials, part_mass_g, square_feet
from pixel2make.kinds.book.sewing import sewing_of, spine_swell_mm, thread_length_mm
from pixel2make.quantity import Dimension
from tests.design import catalogue

KIND = BookBuild()


def any_book(size, width, thickness, **choices):
    ends = {"low": (0.8 * width, 1.0, 0.7 * thickness), "high": (1.2 * width, 1.0, 1.4 * thickness)}
    reading = catalogue.furnished(ratio=(width, 1.0, thickness), **ends)
    return dimension(reading, KIND, size_mm=size, choices=choices)


BOOKS = st.builds(
    any_book,
    st.floats(100, 1200),
    st.floats(0.5, 1.3),
    st.floats(0.07, 0.5),
    covering=st.sampled_from(["leather", "cloth"]),
    spine_piece=st.sampled_from(["stiff", "narrow", "soft"]),
    joint_gap=st.sampled_from(["usual", "rule_a", "rule_b", "rule_c"]),
    corner_radius=st.one_of(st.just("square"), st.floats(1, 15)),
)
BOOK_SETTINGS = settings(max_examples=40, deadline=None)


def values(design):
    return {d.name: d.value_mm for d in design.dimensions}


def part(design, name):
    return next(p for p in design.parts if p.name == name)


def test_leaf_thickness_is_grammage_times_bulk():
    """ISO 534:2011 defines bulk as thickness (um) by grammage (g/m2): 100 um at 80 g/m2 is 1.25 cm3/g. So
    50 leaves of 80 g/m2 at 1.5 are 6.0 mm and 128 leaves of 120 g/m2 at 1.25 are 19.2 mm."""
    assert leaf_thickness_mm(80, 1.25) == pytest.approx(0.100)
    assert 50 * leaf_thickness_mm(80, 1.5) == pytest.approx(6.0)
    assert 128 * leaf_thickness_mm(120, 1.25) == pytest.approx(19.2)


def test_128_leaves_fill_19_2_mm():
    """Common practice: four folded sheets a section, so 16 sections of 16 pages."""
    block = block_for(19.2)
    assert (block.leaves, block.sections, block.folios) == (128, 16, 4)
    assert block.thickness_mm == pytest.approx(19.2)


def test_a_foam_core_keeps_the_thickness_and_halves_the_mass():
    """Common practice: 939 g of leaves with half of them foam of 0.03 g/cm3 are 470 and 18 g."""
    solid, cored = block_for(19.2), block_for(19.2, has_core=True)
    assert cored.thickness_mm == pytest.approx(solid.thickness_mm)
    assert cored.leaves == solid.leaves // 2
    core = Part("core", "foam", 1, cored.core_mm, box(0, 0, 208, 294))
    assert part_mass_g(core) == pytest.approx(18, abs=0.5)
    assert block_for(2.4, has_core=True).core_mm == 0
    design = dimension(catalogue.plain(), KIND, size_mm=300, choices={"pages": "foam_core"})
    assert design.total_mass_g < 0.65 * dimension(catalogue.plain(), KIND, size_mm=300).total_mass_g
    assert part(design, "core").thickness_mm == design.dimension("core_thickness").value_mm
    assert any(step.name.startswith("cut the core") for step in design.steps)


def test_swell_of_sixteen_sections():
    """Common practice: each section adds half the diameter of a 25/3 thread of 0.5 mm, so 19.2 mm grow by
    4.0 mm."""
    usual, low, high = spine_swell_mm(16, 0.5)
    assert usual == pytest.approx(4.0)
    assert low < usual < high
    assert spine_swell_mm(1, 0.5) == (0.0, 0.0, 0.0)


def test_thread_is_close_to_the_shop_rule():
    """Common practice: sections and two more, times the height of the spine: 18 * 294 = 5292 mm."""
    assert thread_length_mm(16, 294 - 2 * 12.7) == pytest.approx(18 * 294, rel=0.02)


def test_a_board_of_300_with_squares_of_3_has_leaves_of_294():
    """Indiana University Libraries, preservation manual: 3 mm on head, tail and fore-edge."""
    design = dimension(catalogue.plain(), KIND, size_mm=300, choices={"square": "neat"})
    assert values(design)["leaf_height"] == pytest.approx(294)
    assert part(design, "text_block_leaf").size_mm[1] == pytest.approx(294)


def test_mass_of_the_text_block():
    """ISO 536: grammage is mass by area. 128 leaves of 294 x 208 mm at 120 g/m2 weigh 939.3 g."""
    leaves = Part("text_block_leaf", "paper", 128, 0.15, box(0, 0, 208, 294))
    assert part_mass_g(leaves) == pytest.approx(939.3, abs=0.05)


def test_leather_by_the_square_foot():
    """A covering of 483.2 x 330 mm is 1.716 square feet (1 foot is 0.3048 m); with 30 % of the skin lost to
    its edge, common practice, 2.23 are bought."""
    assert square_feet(483.2 * 330) == pytest.approx(1.716, abs=5e-4)
    covering = Part("covering", "leather", 1, 0.8, box(0, 0, 483.2, 330))
    taken = dict.fromkeys(("structure", "kettle", "supports", "sewing"), "by_height")
    sewing = sewing_of({**taken, "thread": "25/3"}, block_for(19.2), 294)
    materials = book_materials(
        _lengths(), block_for(19.2), [covering], [], [], sewing=sewing, stock=paper_stock("B1")
    )
    bought = next(m for m in materials if "leather" in m.name)
    assert "2.23 square feet" in bought.origin


def _lengths(**mm):
    mm = {"sheet_width": 416, "sheet_height": 294, "thread_length": 5292, "support_length": 83.2, **mm}
    return Lengths(tuple(Dimension(name, v, v, v, "rule") for name, v in mm.items()))


def test_mitre_of_the_covering():
    """Common practice: the 45 degree cut passes 1.5 board thicknesses from the corner of the board, measured
    square to the cut: for a board of 2 mm, 3.0 mm; for leather twice the board, 4.0 mm."""
    lengths = _lengths(covering_width=483.2, covering_height=330, turn_in=15, board_thickness=2)
    for covering, distance in (("cloth", 3.0), ("leather", 4.0)):
        outline = covering_outline(lengths, covering=covering)
        for x, y in [(15, 15), (468.2, 15), (468.2, 315), (15, 315)]:
            assert Point(x, y).distance(outline.exterior) == pytest.approx(distance)


@BOOK_SETTINGS
@given(BOOKS)
def test_what_is_kept_between_leaf_board_and_cover(design):
    v = values(design)
    assert v["board_height"] == pytest.approx(v["leaf_height"] + 2 * v["square"])
    assert v["board_height"] == v["cover_height"] == v["spine_piece_height"]
    assert v["book_thickness"] == pytest.approx(
        v["block_thickness"] + 2 * v["board_thickness"] + 2 * v["covering_thickness"] + 0.3
    )
    # From the spine's outside: covering, spine piece, leaves, square.
    assert v["cover_width"] == pytest.approx(
        v["covering_thickness"] + v["spine_piece_thickness"] + v["leaf_width"] + v["square"]
    )
    assert v["covering_width"] == pytest.approx(
        2 * (v["board_width"] + v["joint_gap"] + v["turn_in"]) + v["spine_piece_width"]
    )
    assert v["covering_height"] == pytest.approx(v["board_height"] + 2 * v["turn_in"])


@BOOK_SETTINGS
@given(BOOKS)
def test_marks_lie_on_the_covering_side_by_side(design):
    covering = part(design, "covering")
    marks = dict(covering.marks)
    flat = [marks[name] for name in ("front_board", "spine_piece", "back_board")]
    turn_in = values(design)["turn_in"]
    for mark in flat:
        assert covering.outline.buffer(1e-6).contains(mark)
        assert marks["turn_in"].buffer(1e-6).contains(mark)
    for one, other in pairwise(flat):
        assert one.distance(other) == pytest.approx(values(design)["joint_gap"])
    assert flat[0].bounds[0] == pytest.approx(turn_in)
    assert flat[0].area == pytest.approx(part(design, "front_board").outline.area)
    assert flat[1].area == pytest.approx(part(design, "spine_piece").outline.area)


@BOOK_SETTINGS
@given(BOOKS)
def test_pieces_begin_at_zero_and_have_the_size_of_their_dimensions(design):
    v = values(design)
    for piece in design.parts:
        assert piece.outline.is_valid
        assert piece.outline.bounds[:2] == pytest.approx((0, 0), abs=1e-9)
    assert part(design, "front_board").size_mm == pytest.approx((v["board_width"], v["board_height"]))
    assert part(design, "covering").size_mm == pytest.approx((v["covering_width"], v["covering_height"]))
    assert part(design, "endpaper").size_mm == pytest.approx((2 * v["leaf_width"], v["leaf_height"]))
    assert part(design, "front_board").outline.area == pytest.approx(part(design, "back_board").outline.area)


@BOOK_SETTINGS
@given(BOOKS)
def test_masses_add_up_and_each_is_above_zero(design):
    assert design.total_mass_g == pytest.approx(sum(g for _, g in design.mass_g))
    assert [name for name, _ in design.mass_g] == [p.name for p in design.parts]
    assert all(grams > 0 for _, grams in design.mass_g)
    board = part(design, "front_board")
    # Greyboard 0.625 g/cm3, common practice.
    assert dict(design.mass_g)["front_board"] == pytest.approx(
        board.outline.area * board.thickness_mm / 1000 * 0.625
    )


@BOOK_SETTINGS
@given(BOOKS)
def test_pages_are_whole_sections_and_come_near_the_room_for_them(design):
    v = values(design)
    leaves = part(design, "text_block_leaf").quantity
    assert v["pages_thickness"] == pytest.approx(leaves * v["leaf_thickness"])
    if leaves > 8:
        assert leaves % 8 == 0
        assert abs(v["pages_thickness"] - v["block_thickness"]) <= 4 * v["leaf_thickness"] + 1e-9
    paper = next(m for m in design.materials if m.name.startswith("text paper"))
    assert f"{2 * leaves} pages" in paper.origin


@BOOK_SETTINGS
@given(BOOKS)
def test_areas_lie_on_their_face(design):
    v = values(design)
    assert {area.name for area in design.areas} >= {"emblem-1", "title_area-1", "corner_piece-1"}
    for area in design.areas:
        assert area.outline.is_valid
        assert box(0, 0, v["cover_width"], v["cover_height"]).buffer(1e-6).contains(area.outline)
        assert area.why


@BOOK_SETTINGS
@given(BOOKS)
def test_steps_wait_for_earlier_ones_alone_and_all_lead_to_the_end(design):
    names = [step.name for step in design.steps]
    assert [step.order for step in design.steps] == list(range(1, len(names) + 1))
    assert len(set(names)) == len(names)
    seen, needed = set(), set()
    for step in design.steps:
        assert set(step.waits_for) <= seen
        assert step.wait_hours >= 0
        seen.add(step.name)
        needed |= set(step.waits_for)
    assert set(names) - needed == {names[-1]}


def test_rounded_corners_go_with_the_leaves():
    """Common practice: corners of cover and block go together; the leaf's arc has the same centre."""
    design = dimension(catalogue.plain(), KIND, size_mm=300, choices={"corner_radius": 20.0})
    board, leaf = part(design, "front_board"), part(design, "text_block_leaf")
    square = values(design)["square"]
    lost = (4 - math.pi) / 2  # of two corners, in radii squared
    assert board.outline.envelope.area - board.outline.area == pytest.approx(lost * 20**2, rel=1e-2)
    assert leaf.outline.envelope.area - leaf.outline.area == pytest.approx(
        lost * (20 - square) ** 2, rel=1e-2
    )
    # The spine edge stays square: both of its corners are still there.
    assert {(0.0, 0.0), (0.0, 300.0)} <= set(board.outline.exterior.coords)


def test_a_soft_spine_is_card():
    design = dimension(catalogue.plain(), KIND, size_mm=300, choices={"spine_piece": "soft"})
    assert (part(design, "spine_piece").material, part(design, "spine_piece").thickness_mm) == ("card", 0.3)


def test_pieces_of_one_material_and_thickness_are_bought_together():
    design = dimension(catalogue.furnished(), KIND, size_mm=300)
    board = next(m for m in design.materials if m.name == "greyboard 2.5 mm")
    area = sum(p.size_mm[0] * p.size_mm[1] for p in design.parts if p.material == "greyboard" and p.is_cut)
    assert board.amount == pytest.approx(area / 1e6 * 1.15, abs=1e-4)
    assert {m.name for m in design.materials if m.name.startswith("leather")} == {
        "leather 1 mm",
        "leather 2 mm",
    }


def test_gold_is_gilded_and_other_colours_are_painted():
    blue = catalogue.Mark("emblem-2", "cover", catalogue.rectangle(0.1, 0.6, 0.3, 0.7), catalogue.BLUE)
    cream = catalogue.Mark("border-1", "cover", catalogue.rectangle(0, 0.95, 1, 1), catalogue.CREAM)
    design = dimension(catalogue.book(catalogue.EMBLEM, *catalogue.CORNERS, blue, cream), KIND, size_mm=300)
    treatment = {area.name: area.treatment for area in design.areas}
    assert treatment == {
        "emblem-1": "gilded",
        "corner_piece-1": "gilded",
        "corner_piece-2": "gilded",
        "emblem-2": "painted",
        "border-1": "painted",
    }
    assert "silver" in next(area.why for area in design.areas if area.name == "corner_piece-1")


def test_metal_corner_pieces_are_parts_and_no_areas():
    design = dimension(catalogue.furnished(), KIND, size_mm=300, choices={"corner_piece": "metal"})
    assert not [area for area in design.areas if area.feature == "corner_piece"]
    assert part(design, "corner_piece-1").material == "steel"  # drawn grey
    assert any("corner" in step.name for step in design.steps)


def test_a_strap_reaches_both_covers():
    """Common practice: reach on each board, closed thickness and two quarter turns at half the covering."""
    design = dimension(catalogue.furnished(), KIND, size_mm=300)
    v = values(design)
    assert v["strap_1_length"] == pytest.approx(2 * 100 + v["book_thickness"] + math.pi / 2 * 1.0)
    assert v["strap_1_width"] == pytest.approx(30)


def test_a_ribbon_is_longer_than_the_leafs_diagonal():
    """Common practice: the diagonal and 40 to 60 mm."""
    design = dimension(catalogue.furnished(), KIND, size_mm=300)
    v = values(design)
    tail = part(design, "bookmark-1").size_mm[1] - math.hypot(v["leaf_width"], v["leaf_height"])
    assert 40 <= tail <= 60


@pytest.mark.parametrize("choices", [{}, {"structure": "laced"}, {"bands": "even", "pages": "foam_core"}])
def test_every_result_names_its_rule_and_where_that_stands(choices):
    design = dimension(catalogue.furnished(), KIND, size_mm=300, choices=choices)
    for length in design.dimensions:
        assert length.rule, length.name
        assert length.source or length.origin == "maker", length.name
    for material in design.materials:
        assert material.allowance, material.name
        assert material.origin, material.name


def test_same_input_same_design():
    first, again = (dimension(catalogue.furnished(), KIND, size_mm=300) for _ in range(2))
    for name in ("dimensions", "parts", "areas", "clasps", "materials", "steps", "choices", "findings"):
        assert getattr(first, name) == getattr(again, name)
