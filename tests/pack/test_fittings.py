"""Corner pieces and bosses: folds, hands, holes, patterns, prints; against two libraries and handbooks."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import scale, translate
from shapely.geometry import LineString, Point, Polygon, box

from pixel2make.design import dimension
from pixel2make.design.pull_out import pull_out_n
from pixel2make.geometry.pieces import Sheet
from pixel2make.geometry.solids import Solid, bent_back, block, common_volume
from pixel2make.kinds.book.build import BookBuild
from pixel2make.kinds.book.metalwork.boss import Dome, boss_form
from pixel2make.kinds.book.metalwork.corner_piece import BoardEdge, corner_panel
from pixel2make.pack.clasp_print import bed_of, printed_of
from pixel2make.pack.fittings import alike_fittings, fitting_files
from tests.design import catalogue
from tests.design.catalogue import GOLD, Mark, rectangle
from tests.pack.clasps import gauge_of
from tests.pack.surfaces import surface_gap_mm
from tests.pack.test_metalwork import assert_closed

KIND = BookBuild()
TRIANGLE = Polygon([(0, 0), (40, 0), (40, 6), (6, 40), (0, 40)])
STEPS = box(0, 0, 40, 30).difference(box(12, 18, 50, 50)).difference(box(26, 9, 50, 50))
ROUND_BOSS = Mark("emblem-1", "cover", lambda a, b: (a - 0.45) ** 2 + ((b - 0.5) * 1.5) ** 2 < 0.08**2, GOLD)
folds = pytest.mark.parametrize("fold", ["over_edge", "round_board", "flat"])
hands = pytest.mark.parametrize("is_right", [True, False], ids=["right", "left"])
ways = pytest.mark.parametrize("way", ["sheet", "print"])


def gauge(way):
    return gauge_of(way, 0.8 if way == "sheet" else 2.0)


def edge_of(fold="over_edge", radius=0.0, has_side=True):
    return BoardEdge(2.5, 0.9, 3.5, radius, has_side, fold)


def piece_of(outline, edge, way, *, is_right=True):
    panel, _ = corner_panel(outline, edge, gauge(way), is_right=is_right)
    return Sheet(panel, gauge(way).sheet_mm, gauge(way).k_factor)


def furnished(size=300.0, marks=(*catalogue.CORNERS, catalogue.EMBLEM), **choices):
    taken = {"corner_piece": "metal", "emblem": "metal", **choices}
    return dimension(catalogue.book(*marks), KIND, size_mm=size, choices=taken)


# ---- the fold


@folds
@hands
@ways
@pytest.mark.parametrize("radius", [0.0, 9.0], ids=["square", "rounded"])
def test_a_piece_is_closed_and_its_pattern_bends_back_to_it(fold, is_right, way, radius):
    """Surface distance both ways by a library of its own; a tenth of a millimetre is asked for."""
    for outline in (TRIANGLE, STEPS):
        piece = piece_of(outline, edge_of(fold, radius), way, is_right=is_right)
        again = bent_back(piece.flat())
        assert_closed(piece.solid())
        assert_closed(again)
        assert surface_gap_mm(piece.solid(), again) < 0.1


def test_a_pattern_that_is_cut_for_another_neutral_line_does_not_bend_back():
    """That the test above can fail."""
    pattern = piece_of(TRIANGLE, edge_of(), "sheet").flat()
    wrong = type(pattern)(pattern.outline, pattern.bends, pattern.sheet_mm, pattern.k_factor + 1.0)
    assert surface_gap_mm(piece_of(TRIANGLE, edge_of(), "sheet").solid(), bent_back(wrong)) > 0.1


@hands
@ways
@pytest.mark.parametrize("fold", ["over_edge", "round_board"])
@pytest.mark.parametrize("radius", [0.0, 9.0])
def test_covered_board_and_leaves_have_room(fold, is_right, way, radius):
    """The board with its covering over face and edge, and the leaves a square within, as blocks."""
    edge = edge_of(fold, radius)
    solid = piece_of(TRIANGLE, edge, way, is_right=is_right).solid()
    board, covering, far = edge.board_mm, edge.covering_mm, 60.0

    def blocks(out, low, high):
        lows, highs = ((-far, out), (-far, out)) if is_right else ((-far, out), (-out, far))
        return block((lows[0], highs[0], low), (lows[1], highs[1], high))

    bare = blocks(0.0, -covering - board, -covering)
    assert common_volume(solid, bare) < 1e-6
    if not radius:
        # the covering is rounded over the board's edges as thick as it is: full only beside them
        side = blocks(covering, -covering - board, -covering)
        assert common_volume(solid, side) < 1e-6
    leaves = blocks(-edge.square_mm, -40.0, -2 * covering - board)
    assert common_volume(solid, leaves) < 1e-6
    assert common_volume(solid, blocks(far, -0.5 - covering, -covering)) > 1.0


@ways
def test_hands_are_mirror_images(way):
    """Volumes alike, corners mirrored at v = 0; and no turn about w lays one on the other."""
    right, left = (piece_of(STEPS, edge_of(), way, is_right=r).solid() for r in (True, False))
    assert right.volume_mm3 == pytest.approx(left.volume_mm3, rel=1e-9)
    mirrored = {tuple(row) for row in np.round(right.vertices * (1, -1, 1), 4) + 0.0}
    assert mirrored == {tuple(row) for row in np.round(left.vertices, 4) + 0.0}


def test_two_folds_that_meet_are_relieved_by_a_thickness():
    """Common practice: a relief at least as wide as the sheet is thick, past the bend by a thickness and the
    inside radius, measured from the outside of the finished corner."""
    piece, t = piece_of(TRIANGLE, edge_of(), "sheet"), 0.8
    first, second = piece.panel.folds
    apart = LineString([first.start, first.end]).distance(LineString([second.start, second.end]))
    assert apart == pytest.approx(math.sqrt(2) * t)
    outside = edge_of().wall_mm(gauge("sheet")) + t
    deep = outside - max(first.start[1], first.end[1])
    assert deep >= t + gauge("sheet").radius_mm


@given(
    st.floats(60, 1000),
    st.floats(0.06, 0.3),
    st.floats(0.06, 0.3),
    st.floats(1.0, 4.0),
    st.sampled_from(["over_edge", "round_board", "flat"]),
    st.booleans(),
)
@settings(max_examples=25, deadline=None)
def test_any_size_is_closed_and_bends_back(height, wide, tall, board, fold, is_right):
    """From a book of 60 mm to one a metre high."""
    a, b = height * wide, height * tall
    outline = Polygon([(0, 0), (a, 0), (a, b / 4), (a / 4, b), (0, b)])
    edge = BoardEdge(board, 0.9, 2.0 + height / 200, 0.0, True, fold)
    for way in ("sheet", "print"):
        piece = piece_of(outline, edge, way, is_right=is_right)
        assert_closed(piece.solid())
        again = bent_back(piece.flat())
        if fold != "round_board":
            # two bends behind each other: the seam of what is bent back may gape by less than a micrometre
            assert_closed(again)
        assert np.abs(np.array(piece.solid().bounds) - np.array(again.bounds)).max() < 0.1
        assert again.volume_mm3 == pytest.approx(piece.solid().volume_mm3, rel=0.03)


# ---- on the book


def test_as_many_as_are_drawn_and_their_mirror_images_on_the_back():
    fittings = furnished().fittings
    corners = [f for f in fittings if f.feature == "corner_piece"]
    assert [f.name for f in corners if f.origin == "sprite"] == ["corner_piece-1", "corner_piece-2"]
    assert [f.name for f in corners if f.origin == "rule"] == ["corner_piece-1-back", "corner_piece-2-back"]
    assert len([f for f in furnished(furniture_on="drawn_board").fittings if f.hand]) == 2
    assert furnished(marks=(catalogue.TITLE,)).fittings == ()
    assert dimension(catalogue.furnished(), KIND, size_mm=300).fittings == ()


def test_hands_by_place():
    """A corner at front head and one at back tail are the same turned over; front tail and back head their
    mirror images."""
    hands = {f.where: f.hand for f in furnished().fittings if f.hand}
    assert hands == {
        "front board, head, fore-edge": "right",
        "front board, tail, fore-edge": "left",
        "back board, head, fore-edge": "left",
        "back board, tail, fore-edge": "right",
    }


def test_pieces_of_one_hand_share_a_pattern():
    groups = [group for group in alike_fittings(furnished()) if group.first.hand]
    assert [group.count for group in groups] == [2, 2]
    for group in groups:
        assert len({fitting.hand for fitting in group.all}) == 1


@pytest.mark.parametrize("size", [60.0, 200.0, 1000.0])
def test_fittings_lie_on_the_boards_and_in_nothing(size):
    """Against the closed book's boards and leaves as blocks, in the book's frame."""
    design = furnished(size=size)
    width, height, thick, board, covering, square = (
        design.dimension(name).value_mm
        for name in (
            "cover_width",
            "cover_height",
            "book_thickness",
            "board_thickness",
            "covering_thickness",
            "square",
        )
    )
    touch = 1e-3
    front = block((0, 0, thick - covering - board), (width, height, thick - covering - touch))
    back = block((0, 0, covering + touch), (width, height, covering + board))
    leaves = block(
        (0, square, 2 * covering + board), (width - square, height - square, thick - 2 * covering - board)
    )
    for fitting in design.fittings:
        for piece in fitting.sheet.pieces:
            if piece.source != "made":
                continue
            solid = piece.solid()
            assert_closed(solid)
            for other in (front, back, leaves):
                assert common_volume(solid, other) < 0.02
            low, high = solid.bounds
            margin = covering + 2 * fitting.sheet_mm + 1
            assert low[1] > -margin and high[1] < height + margin and high[0] < width + margin


@pytest.mark.parametrize("size", [120.0, 300.0, 800.0])
def test_holes_keep_two_diameters_from_edges_and_bends(size):
    """Common practice in sheet metal: two diameters."""
    for fitting in furnished(size=size).fittings:
        for mechanism in (fitting.sheet, fitting.print):
            pieces = {piece.name: piece for piece in mechanism.pieces}
            for hole in mechanism.holes:
                panel = pieces[hole.piece].shape.panel
                spot = Point(hole.u_mm, hole.v_mm)
                assert panel.outline.exterior.distance(spot) >= 2 * hole.pin_mm - 1e-3
                for fold in panel.folds:
                    assert LineString([fold.start, fold.end]).distance(spot) >= 2 * hole.pin_mm - 1e-3
                assert hole.diameter_mm > hole.pin_mm


def test_pins_reach_through_what_they_hold():
    """Plate, covering and board, and a head of 1.25 diameters behind (common practice)."""
    design = furnished()
    for fitting in design.fittings:
        for hole in fitting.sheet.holes:
            under = sum(design.dimension(f"{name}_thickness").value_mm for name in ("covering", "board"))
            assert hole.grip_mm >= under + fitting.sheet_mm
            assert hole.length_mm >= hole.grip_mm + 1.25 * hole.pin_mm - 1e-9


def test_a_thick_sheet_goes_round_no_thin_board():
    """The wall between two bends must be one thickness straight at least (common practice); on a board too
    thin for it the piece is folded over the edge, and the maker told."""
    design = furnished(corner_fold="round_board", corner_thickness="2mm")
    said = [f for f in design.findings if f.code == "no-lip"]
    assert said and said[0].measured_mm < said[0].limit_mm
    for fitting in design.fittings:
        for fold in fitting.sheet.pieces[0].shape.panel.folds if fitting.hand else ():
            assert not fold.panel.folds
    assert not [f for f in furnished(corner_fold="round_board").findings if f.code == "no-lip"]


# ---- bosses


def test_a_dome_has_the_volume_of_its_caps():
    """pi h^2 (3 R - h) / 3 for each cap (Bronshtein, Handbook of Mathematics); and the disc has the area of
    the middle layer's cap, pi (a^2 + h^2)."""
    design = furnished(marks=(ROUND_BOSS,), size=200.0)
    (boss,) = design.fittings
    assert boss.form == "domed_boss"
    shell = boss.sheet.piece("_dome").shape
    outer = Dome(shell.diameter_mm, shell.profile[-1][1])
    inner_radius, t = outer.radius_mm - boss.sheet_mm, boss.sheet_mm
    inner_height = outer.height_mm - t

    def cap(radius, height):
        return math.pi * height**2 * (3 * radius - height) / 3

    wanted = cap(outer.radius_mm, outer.height_mm) - cap(inner_radius, inner_height)
    solid = shell.solid()
    assert_closed(solid)
    assert solid.volume_mm3 == pytest.approx(wanted, rel=0.01)
    middle = outer.radius_mm - t / 2
    height = outer.height_mm - t / 2
    rim_squared = middle**2 - (middle - height) ** 2
    assert math.pi * boss.blank_mm**2 / 4 == pytest.approx(math.pi * (rim_squared + height**2), rel=1e-6)


def test_a_boss_follows_its_outline():
    assert boss_form(Point(0, 0).buffer(10), "proposed") == "domed"
    assert boss_form(Point(0, 0).buffer(60), "proposed") == "stepped"
    assert boss_form(box(0, 0, 40, 10), "proposed") == "stepped"
    design = furnished(marks=(catalogue.EMBLEM,))
    (boss,) = design.fittings
    plates = [piece.shape.panel.outline for piece in boss.sheet.pieces]
    assert len(plates) == 3
    for lower, upper in pairwise(plates):
        assert upper.area < lower.area
        assert Polygon(lower.exterior).covers(Polygon(upper.exterior))


# ---- prints and files


@pytest.mark.parametrize("choices", [{}, {"corner_fold": "round_board"}, {"boss_form": "domed"}])
def test_prints_are_closed_lie_flat_and_fit_the_bed(choices):
    design = furnished(**choices)
    bed = bed_of(design)
    for fitting in design.fittings:
        printed = printed_of(fitting.name, fitting.print, design)
        assert printed
        for piece in printed:
            assert_closed(Solid(piece.mesh.vertices, piece.mesh.faces))
            low, high = piece.mesh.bounds
            assert low == pytest.approx([0, 0, 0], abs=1e-9)
            assert bed.holds(high.tolist())


def test_files_and_words():
    design = furnished()
    files = fitting_files(design)
    assert {path for path in files if path.endswith("_flat")} >= {"metalwork/corner_piece-1_plate_flat"}
    assert "metalwork/print-plate-1.3mf" in files
    assert fitting_files(furnished()) == files
    text = files["metalwork/fittings.txt"].decode()
    assert "right hand" in text and "left hand" in text
    for word in ("swarf", "hot", "resin", "washer"):
        assert word in text
    round_board = fitting_files(furnished(corner_fold="round_board"))["metalwork/fittings.txt"].decode()
    assert "lips first" in round_board and "support" in round_board and "lips first" not in text
    assert fitting_files(dimension(catalogue.plain(), KIND, size_mm=300)) == {}


def test_parts_materials_and_order_hold_the_metal():
    design = furnished()
    names = [part.name for part in design.parts]
    for fitting in design.fittings:
        assert fitting.name in names
    assert any(material.name.startswith("steel 0.8") for material in design.materials)
    pins = [m for m in design.materials if m.name.startswith("escutcheon pins")]
    assert sum(m.amount for m in pins) == sum(len(f.sheet.holes) for f in design.fittings)
    steps = {step.name: step for step in design.steps}
    assert any("corner pieces" in name for name in steps)


def test_published_nail_withdrawal():
    """US Forest Products Laboratory, Research Note FPL-093 (1965): p = 6900 G^(5/2) D pounds an inch. Of
    0.148 in in wood of G = 0.5, an inch deep: 6900 x 0.176777 x 0.148 = 180.5 lb = 803 N."""
    assert pull_out_n(0.148 * 25.4, 25.4, 0.5) == pytest.approx(803.0, rel=1e-3)


def test_cut_sheets_show_the_outside_of_each_hand():
    """A part's y runs down, a panel's up: turned over, the pattern is the part, else its mirror."""
    design = furnished()
    parts = {part.name: part for part in design.parts}
    for fitting in design.fittings:
        if fitting.hand:
            flat = fitting.sheet.pieces[0].shape.flat().outline
            x0, _, _, y1 = flat.bounds
            up = scale(parts[fitting.name].outline, 1, -1, origin=(0, 0))
            assert up.symmetric_difference(translate(flat, -x0, -y1)).area < 1e-6
            assert [name for name, _ in parts[fitting.name].marks] == ["bend", "bend"]


@pytest.mark.parametrize("size", [60.0, 1000.0])
def test_prints_of_any_size_come_in_pieces_that_fit(size):
    """A corner piece larger than the bed is split, and its arms may come apart: each piece is closed."""
    design = furnished(size=size, bed="100x100x100mm")
    bed = bed_of(design)
    for fitting in design.fittings:
        whole = sum(p.solid().volume_mm3 for p in fitting.print.pieces if p.source == "made")
        printed = printed_of(fitting.name, fitting.print, design)
        for piece in printed:
            assert_closed(Solid(piece.mesh.vertices, piece.mesh.faces))
            assert bed.holds(piece.mesh.bounds[1].tolist())
        assert sum(piece.volume_mm3 for piece in printed) == pytest.approx(whole, rel=0.03)


def test_pieces_of_one_corner_are_one_and_what_lies_on_no_board_is_told():
    """A frame and its filling drawn apart; and a piece on the fore-edge, where there is no board."""
    other = Mark("corner_piece-3", "cover", rectangle(0.75, 0.0, 0.85, 0.1), GOLD)
    edge = Mark("corner_piece-4", "fore_edge", rectangle(0.2, 0.4, 0.8, 0.6), GOLD)
    design = furnished(marks=(*catalogue.CORNERS, other, edge), furniture_on="drawn_board")
    names = [fitting.name for fitting in design.fittings if fitting.form == "corner_piece"]
    assert names[:2] == ["corner_piece-1", "corner_piece-2"]
    assert any("corner_piece-4 lies on neither board" in warning for warning in design.warnings)


def test_a_corner_piece_in_the_way_of_a_clasp_is_found():
    """A clasp that is drawn 3 mm high beside a corner piece is made 10 mm high, and so over it."""
    clasp = Mark("clasp-1", "cover", rectangle(0.8, 0.2, 1, 0.24), GOLD)
    corner = Mark("corner_piece-1", "cover", rectangle(0.7, 0.0, 1.0, 0.2), catalogue.GREY)
    hit = furnished(marks=(corner, clasp), size=80.0)
    clear = furnished(marks=(*catalogue.CORNERS, *catalogue.CLASP))
    codes = {f.code: f.subject for f in hit.findings}
    assert codes.get("fittings-meet") == "corner_piece-1"
    assert "fittings-meet" not in {f.code for f in clear.findings}


def test_the_plate_is_read_back_in_strict_mode_in_millimetres():
    """lib3mf, the consortium's reference implementation: as many objects as pieces, on the bed."""
    lib3mf = pytest.importorskip("lib3mf")
    design = furnished()
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(fitting_files(design)["metalwork/print-plate-1.3mf"])
    assert reader.GetWarningCount() == 0
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    objects, count = model.GetMeshObjects(), 0
    while objects.MoveNext():
        assert objects.GetCurrentMeshObject().IsManifoldAndOriented()
        count += 1
    assert count == len(design.fittings)
