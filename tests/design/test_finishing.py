"""Linings, colours, quarter and half coverings, balance, and findings of a book."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import scale as mirrored
from shapely.affinity import translate
from shapely.geometry import Polygon
from skimage.color import rgb2lab

from pixel2make.design import dimension
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Area
from pixel2make.kinds.book.block import paper_stock
from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.covering import drawn_covering
from pixel2make.kinds.book.findings import book_findings
from pixel2make.quantity import Dimension
from tests.design import catalogue
from tests.design.catalogue import BROWN, GREY, Mark, rectangle

KIND = BookBuild()


def made(size=300.0, reading=None, **choices):
    reading = reading or catalogue.furnished(thickness=(6.0, 0.0))
    return dimension(reading, KIND, size_mm=size, choices=choices)


def values(design):
    return {d.name: d.value_mm for d in design.dimensions}


def part(design, name):
    return next(p for p in design.parts if p.name == name)


BOOKS = st.builds(
    lambda size, structure, covering, covered, radius: made(
        size, structure=structure, covering=covering, covered=covered, corner_radius=radius
    ),
    st.floats(150, 900),
    st.sampled_from(["case", "laced"]),
    st.sampled_from(["leather", "cloth"]),
    st.sampled_from(["whole", "quarter", "half"]),
    st.one_of(st.just("square"), st.floats(1, 12)),
)
BOOK_SETTINGS = settings(max_examples=25, deadline=None)


@BOOK_SETTINGS
@given(BOOKS)
def test_masses_add_up_in_every_structure_and_covering(design):
    assert [name for name, _ in design.mass_g] == [p.name for p in design.parts]
    assert design.total_mass_g == pytest.approx(math.fsum(g for _, g in design.mass_g))
    assert all(grams > 0 for _, grams in design.mass_g)


@BOOK_SETTINGS
@given(BOOKS)
def test_a_book_balances_between_spine_and_fore_edge(design):
    v = values(design)
    assert 0.35 * v["cover_width"] < v["balance_from_spine"] < 0.65 * v["cover_width"]


def test_a_clasp_draws_the_balance_towards_the_fore_edge():
    """Statics: mass added beyond the centre of mass moves it there."""
    bare, clasped = (values(made(reading=catalogue.book(*marks))) for marks in ((), catalogue.CLASP))
    assert clasped["balance_from_spine"] > bare["balance_from_spine"]


def test_mull_of_a_worked_book():
    """Common practice: kettle to kettle stitch high, 25 to 30 mm onto each endpaper."""
    design = made()
    v = values(design)
    width, height = part(design, "mull").size_mm
    assert height == pytest.approx(v["leaf_height"] - v["kettle_head"] - v["kettle_tail"])
    assert 50 <= width - v["sewn_spine_thickness"] <= 60


def test_a_laced_book_has_no_mull_on_its_boards():
    assert not any(p.name == "mull" for p in made(structure="laced").parts)
    assert not any("mull" in m.name for m in made(structure="laced").materials)


def test_lining_and_headbands_are_as_wide_as_the_sewn_spine():
    """Common practice: lining 2 mm shorter than the leaf; a bead of 1/8 inch (Vaughn), at most the square."""
    design = made()
    v = values(design)
    lining, band = part(design, "spine_lining"), part(design, "headband")
    assert lining.size_mm == pytest.approx((v["sewn_spine_thickness"], v["leaf_height"] - 2))
    assert (band.quantity, band.size_mm[0]) == (2, pytest.approx(v["sewn_spine_thickness"]))
    assert v["headband_rise"] == pytest.approx(25.4 / 8)
    assert values(made(square=2.0))["headband_rise"] == pytest.approx(2.0)


def test_creep_of_a_worked_section():
    """Common practice: half-round folds nested in each other; four sheets of 0.15 mm: 0.707 mm."""
    assert values(made())["creep"] == pytest.approx(3 * math.pi / 2 * 0.15)


def test_the_order_of_work_knows_what_this_book_has():
    plain = {step.name for step in made(reading=catalogue.book(catalogue.EMBLEM)).steps}
    richer = made(edges="trimmed", corner_radius=10.0, covered="quarter").steps
    more = {step.name for step in richer} - plain
    for words in ("trim head", "round the corners", "marker ribbon", "cut the cloth"):
        assert any(words in name for name in more), words
    names = [step.name for step in richer]
    line = next(step for step in richer if "marker ribbon" in step.name)
    hang = next(step for step in richer if step.name.startswith("case in"))
    assert line.name in hang.waits_for
    # Leather for the spine and cloth for the sides are both cut before the case is made.
    case = next(step for step in richer if step.name.startswith("make the case"))
    assert {"cut the leather and pare its edges", "cut the cloth"} <= set(case.waits_for)
    assert names.index("trim head, tail and fore-edge of the block") < names.index(line.name)


def test_one_section_alone_has_no_headbands():
    design = made(100, reading=catalogue.book(catalogue.EMBLEM), thickness=4.0)
    assert design.templates[0].holes[0].name == "hole 1"
    assert not any(p.name in ("headband", "spine_lining") for p in design.parts)


def hue(color):
    lab = rgb2lab([[[int(color[i : i + 2], 16) / 255 for i in (1, 3, 5)]]])[0, 0]
    return math.atan2(lab[2], lab[1]), math.hypot(lab[1], lab[2])


def test_colours_keep_the_sprites_hue_and_lose_chroma():
    """CIELAB by another library: hue stays, chroma falls, most of all in the endpapers."""
    design = made()
    drawn = hue(catalogue.RED)
    leather, endpaper = (hue(part(design, name).color) for name in ("covering", "endpaper"))
    for angle, _ in (leather, endpaper):
        assert angle == pytest.approx(drawn[0], abs=0.05)
    assert endpaper[1] < leather[1] < drawn[1]
    assert hue(part(design, "bookmark-1").color)[0] == pytest.approx(hue(catalogue.BLUE)[0], abs=0.05)


def with_spine(*marks, color=BROWN):
    """A book whose cover shows a strip of another colour that is taken for its spine."""
    return catalogue.book(Mark("spine-1", "cover", rectangle(-1, -1, 0.2, 2), color), *marks)


def test_a_spine_of_another_colour_makes_a_quarter_binding():
    assert drawn_covering(catalogue.furnished()) == "whole"
    assert drawn_covering(with_spine()) == "quarter"
    # Darker shades of the cover's red, as drawn or turned towards blue, are the same leather.
    assert drawn_covering(with_spine(color="#7a2a24")) == "whole"
    assert drawn_covering(with_spine(color="#380f24")) == "whole"
    corner = Mark("corner_piece-1", "cover", lambda a, b: (1 - a) + 1.5 * b < 0.2, BROWN)
    assert drawn_covering(with_spine(corner)) == "half"
    metal = Mark("corner_piece-1", "cover", lambda a, b: (1 - a) + 1.5 * b < 0.2, GREY)
    assert drawn_covering(with_spine(metal)) == "quarter"


def test_leather_comes_a_fifth_to_a_quarter_onto_the_board():
    """Common practice: 1/5 to 1/4 of the board's width."""
    design = made(covered="quarter")
    v = values(design)
    reach = (part(design, "covering_spine").size_mm[0] - v["spine_piece_width"]) / 2 - v["joint_gap"]
    assert 0.2 <= reach / v["board_width"] <= 0.25
    assert not any(p.name == "covering" for p in design.parts)


@BOOK_SETTINGS
@given(
    st.floats(150, 900),
    st.sampled_from(["case", "laced"]),
    st.sampled_from(["quarter", "half"]),
    st.one_of(st.just("square"), st.floats(1, 12)),
)
def test_pieces_laid_over_each_other_are_the_whole_covering(size, structure, covered, radius):
    given_ = {"structure": structure, "corner_radius": radius, "covering": "cloth"}
    whole = part(made(size, **given_), "covering").outline
    design = made(size, covered=covered, **given_)
    width, height = whole.bounds[2:]
    spine, side = part(design, "covering_spine"), part(design, "covering_side")
    left = side.outline
    laid = [translate(spine.outline, (width - spine.size_mm[0]) / 2, 0), left, turned(left, width, height)]
    if covered == "half":
        corner = part(design, "covering_corner").outline
        laid += [corner, turned(corner, width, height)]
        upright = mirrored(corner, 1, -1, origin=(0, height / 2))
        laid += [upright, turned(upright, width, height)]
    union = Polygon()
    for piece in laid:
        union = union.union(piece)
    assert union.symmetric_difference(whole).area == pytest.approx(0, abs=1e-6 * whole.area)
    for piece in (side, spine, *(p for p in design.parts if p.name == "covering_corner")):
        assert all(piece.outline.buffer(1e-6).contains(mark) for _, mark in piece.marks)
    # Turned in by as much as the covering in one piece.
    turn_in = values(design)["turn_in"]
    assert side.marks[0][1].bounds[:2] == pytest.approx((turn_in, turn_in))
    # What lies double is the overlap of 3 mm and no more: common practice.
    seams = 2 * height
    if covered == "half":
        seams += 4 * 2**0.5 * part(design, "covering_corner").size_mm[0]
    assert sum(piece.area for piece in laid) - whole.area <= 3.0 * seams + 1e-6


def turned(piece, width, height):
    return mirrored(piece, -1, 1, origin=(width / 2, height / 2))


def _lengths(**mm):
    usual = {
        "square": 3.0,
        "sheet_width": 400.0,
        "sheet_height": 294.0,
        "cover_height": 300.0,
        "leaf_height": 294.0,
        "spine_piece_width": 30.0,
        "book_thickness": 30.0,
    }
    return Lengths(tuple(Dimension(name, v, v, v, "rule") for name, v in {**usual, **mm}.items()))


def codes(lengths, **more):
    return {f.code: f for f in book_findings(lengths, (), paper_stock("B1"), **more)}


def test_a_spine_too_narrow_for_its_title_is_found_with_the_thickness_that_works():
    """Common practice: no lettering on spines below a quarter inch."""
    title = Area("title_area-1", "title_area", "spine", "lettering", "#e2b23c", Polygon(), "")
    found = codes(_lengths(spine_piece_width=4.0, book_thickness=4.0), areas=[title])["spine-too-narrow"]
    assert (found.measured_mm, found.limit_mm) == (4.0, 6.35)
    assert "at least 7 mm" in found.sentence
    assert "spine-too-narrow" not in codes(_lengths(spine_piece_width=6.5), areas=[title])
    assert "spine-too-narrow" not in codes(_lengths(spine_piece_width=4.0))


def test_a_block_too_heavy_for_a_case_is_to_be_laced():
    found = codes(_lengths(), block_mass_g=2500.0)["heavy-for-case"]
    assert "2500 g" in found.sentence
    assert "laced" in found.sentence
    assert not codes(_lengths(), block_mass_g=2500.0, is_laced=True)


def test_a_sheet_larger_than_the_stock_names_a_stock_that_is_not():
    """ISO 216: A3 is 297 x 420 mm, B1 707 x 1000 mm."""
    lengths = _lengths(sheet_width=420.0, sheet_height=297.0)
    (found,) = book_findings(lengths, (), paper_stock("A3"))
    assert "choose paper_stock B1" in found.sentence
    assert not list(book_findings(lengths, (), paper_stock("A3_short_grain")))


def test_a_clasp_higher_than_the_block_is_found():
    tall = Mark("clasp-1", "cover", rectangle(0.9, 0, 1, 1), catalogue.GOLD)
    design = dimension(catalogue.book(tall), KIND, size_mm=300)
    found = next(f for f in design.findings if f.code == "clasp-wider-than-block")
    assert (found.measured_mm, found.limit_mm) == pytest.approx((300, 293))


def test_a_whole_case_worked_out_by_hand():
    """Common practice, worked by hand: 128 leaves of 0.15 mm are 19.2 mm, sewn in 16 sections 23.2 mm; with
    boards of 2 mm, squares of 3 and joints of 7 mm a leaf 208 mm wide takes boards of 208 + 3 - (7 - 2) =
    206 mm, a spine piece of 27.2 mm, a case of 412 + 14 + 27.2 = 453.2 mm and, turned in by 15 mm, a cloth of
    483.2 mm."""
    closed = (208 + 3 + 2 + 0.35, 250.0, 19.2 + 2 * 2 + 2 * 0.35 + 0.3)
    reading = catalogue.book(catalogue.EMBLEM, ratio=(closed[0] / 250, 1.0, closed[2] / 250))
    v = values(made(250, reading=reading, covering="cloth", square=3.0, joint_gap=7.0))
    worked = {
        "board_thickness": 2.0,
        "leaf_width": 208.0,
        "leaf_height": 244.0,
        "pages_thickness": 19.2,
        "sewn_spine_thickness": 23.2,
        "board_width": 206.0,
        "spine_piece_width": 27.2,
        "covering_width": 483.2,
        "covering_height": 280.0,
        "sheet_width": 416.0,
    }
    assert {name: v[name] for name in worked} == pytest.approx(worked)


def test_leather_is_pared_at_its_edges_and_joints():
    """Common practice: edges feathered over 15 to 20 mm. Adam, Practical Bookbinding: 5 mm to either side of
    the joint's line."""
    for structure in ("case", "laced"):
        design = made(structure=structure)
        covering = part(design, "covering")
        marks = dict(covering.marks)
        front, spine, back = sorted(marks["full_thickness"].geoms, key=lambda piece: piece.bounds[0])
        assert 15 <= front.distance(covering.outline.exterior) <= 20
        assert front.distance(spine) >= 10 - 1e-9
        assert spine.distance(back) >= 10 - 1e-9
        for piece, name in ((front, "front_board"), (back, "back_board")):
            assert marks[name].buffer(1e-6).contains(piece)
    assert "full_thickness" not in dict(part(made(covering="cloth"), "covering").marks)
