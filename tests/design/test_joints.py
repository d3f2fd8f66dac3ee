"""Divided parts: they fit, they lap, together they are the part; a seam keeps off folds."""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import box

from pixel2make.design.joints import divided, grain_upright, joint_for, seams
from pixel2make.design.model import Part

LENGTHS = st.floats(20, 2000)


def part(material, width, height, grain=None, marks=()):
    return Part("covering", material, 1, 1.0, box(0, 0, width, height), grain, marks=marks)


@given(LENGTHS, st.floats(60, 700), st.floats(5, 20), st.lists(st.floats(0, 2000), max_size=4))
def test_seams_leave_pieces_that_fit_and_as_few_as_can_be(length, most, overlap, avoid):
    cuts = seams(length, most, overlap, avoid)
    starts = [0, *(cut - overlap / 2 for cut in cuts)]
    ends = [*(cut + overlap / 2 for cut in cuts), length]
    assert all(0 < b - a <= most + 1e-6 for a, b in zip(starts, ends, strict=True))
    # n pieces with n - 1 laps reach no further than this.
    reach = len(cuts) * (most - overlap) + overlap
    assert not cuts or length > reach - 1e-6


def test_a_seam_keeps_off_a_fold_where_it_can():
    """The middle is a fold: the seam moves away by the lap's width."""
    assert abs(seams(1000, 600, 20, avoid=[500])[0] - 500) >= 20
    assert seams(1000, 510, 20, avoid=[500]) == [500.0], "nowhere else gives two pieces"


@given(st.floats(500, 900), st.floats(20, 120), st.floats(0.3, 0.7), st.sampled_from(["width", "height"]))
def test_no_lap_lies_over_the_spine_where_the_boards_have_room(length, spine, at, grain):
    """Common practice: a joint stands on a board, where nothing bends."""
    middle = length * at
    mark = box(middle - spine / 2, 15, middle + spine / 2, 285)
    part = Part("covering", "leather", 1, 1.0, box(0, 0, length, 300), grain, marks=(("spine", mark),))
    most = length - 100
    pieces = divided(grain_upright(part), (most, 400) if grain == "height" else (400, most))
    overlap, _ = joint_for("leather")
    has_room = middle - spine / 2 - overlap / 2 > 100 + overlap or middle + spine / 2 + overlap / 2 < (
        most - overlap
    )
    for piece in pieces:
        marks = dict(piece.part.marks)
        if has_room and "lap" in marks and "spine" in marks:
            assert marks["lap"].intersection(marks["spine"]).area < 1e-6


@settings(max_examples=40, deadline=None)
@given(
    LENGTHS,
    LENGTHS,
    st.sampled_from([None, "height", "width"]),
    st.sampled_from(["leather", "paper", "mull"]),
)
def test_pieces_fit_lap_and_make_up_the_part(width, height, grain, material):
    whole = grain_upright(part(material, width, height, grain))
    room = (400.0, 560.0)
    pieces = divided(whole, room)
    area = sum(piece.part.outline.area for piece in pieces)
    assert area >= whole.outline.area * (1 - 1e-9)
    for piece in pieces:
        w, h = piece.part.size_mm
        assert (w <= room[0] + 1e-6 and h <= room[1] + 1e-6) or (
            grain is None and w <= room[1] + 1e-6 and h <= room[0] + 1e-6
        )
        laps = [shape for name, shape in piece.part.marks if name == "lap"]
        assert len(pieces) == 1 or laps
    if len(pieces) == 2:
        (lap,) = [shape for name, shape in pieces[0].part.marks if name == "lap"]
        assert area == pytest.approx(whole.outline.area + lap.area)


def test_grain_decides_which_way_a_part_may_lie():
    """A sheet 400 x 560 takes 500 x 300 turned, unless its grain forbids it."""
    assert len(divided(part("paper", 500, 300), (400, 560))) == 1
    assert len(divided(part("paper", 500, 300, "height"), (400, 560))) == 2
    assert len(divided(grain_upright(part("paper", 500, 300, "width")), (400, 560))) == 1


def test_boards_and_metal_stay_whole():
    for material in ("greyboard", "card", "brass"):
        assert len(divided(part(material, 900, 900), (400, 560))) == 1


def test_marks_are_cut_with_the_piece():
    marked = part("leather", 700, 300, marks=(("board", box(50, 20, 650, 280)),))
    pieces = divided(marked, (400, 560))
    seen = sum(dict(piece.part.marks)["board"].area for piece in pieces)
    lap = dict(pieces[0].part.marks)["lap"]
    shared = shapely.intersection(lap, dict(pieces[0].part.marks)["board"]).area
    assert seen == pytest.approx(600 * 260 + shared)
