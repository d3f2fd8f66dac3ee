"""The bent cover: closed form, the mesh unrolled, and the mesh folded round the object."""

import math

import numpy as np
import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.affinity import translate
from shapely.geometry import LineString

from pixel2make.design.case import design_case
from pixel2make.design.case.bending import bend_allowance, bent_cover, k_from_strip
from pixel2make.errors import DesignError
from tests.case.objects import GLOW, held


# Neutral line at half the sheet, common practice: 240 wide and 330 high outside, sheet 3, radius 6 is
# 222 + 2 x 321 + 2 x 11.781 = 887.56 mm long in the flat (worked by hand).
def test_the_developed_length_of_a_worked_example():
    bent = bent_cover(depth_mm=240, height_mm=330, width_mm=300, sheet_mm=3, radius_mm=6)
    assert bent.developed_mm == pytest.approx(222 + 2 * 321 + 2 * math.pi / 2 * 7.5)
    first, second = bent.bends
    assert first.line_mm == pytest.approx(321 + 11.781 / 2, abs=1e-3)
    assert first.line_mm + second.line_mm == pytest.approx(bent.developed_mm)


def profile(bent, offset, steps=256):
    """Points of the folded sheet's section at `offset` from its inside face: the front leg's foot first.

    Built from the flat alone: a strip of chords that turns by a right angle within each bend.
    """
    radius = bent.radius_mm + offset
    heading, at = math.pi / 2, np.array([-offset, 0.0])
    points = [at]
    for straight, has_bend in ((bent.leg_mm, True), (bent.top_mm, True), (bent.leg_mm, False)):
        at = at + straight * np.array([math.cos(heading), math.sin(heading)])
        points.append(at)
        for _ in range(steps if has_bend else 0):
            heading -= math.pi / 4 / steps
            chord = 2 * radius * math.sin(math.pi / 4 / steps)
            at = at + chord * np.array([math.cos(heading), math.sin(heading)])
            heading -= math.pi / 4 / steps
            points.append(at)
    return np.array(points)


sizes = st.builds(
    held,
    width=st.floats(60, 400),
    height=st.floats(80, 500),
    thickness=st.floats(8, 140),
    cover=st.floats(0, 6),
    back=st.floats(0, 6),
    fore_edge=st.floats(0, 12),
)
poses = st.sampled_from(["cradle", "standing", "lying"])


@settings(max_examples=30)
@given(sizes, poses)
def test_unrolling_the_folded_mesh_gives_back_the_flat_sheet(thing, pose):
    case = design_case(thing, GLOW, {"case_pose": pose, "led_run": "none", "stock": "acrylic=2050x3050mm"})
    if case.bent is None:
        return
    bent = case.bent
    line = profile(bent, bent.k_factor * bent.sheet_mm)
    wall = np.stack([np.c_[np.full(len(line), x), line] for x in (0.0, bent.width_mm)])
    n = len(line)
    i = np.arange(n - 1)
    faces = np.concatenate([np.c_[i, i + 1, n + i], np.c_[i + 1, n + i + 1, n + i]])
    mesh = trimesh.Trimesh(wall.reshape(-1, 3), faces, process=False)
    # Area over width is the length along the neutral surface: that of the flat piece that was drawn.
    assert mesh.area / bent.width_mm == pytest.approx(bent.developed_mm, rel=1e-5)
    flat = next(part for part in case.parts if part.name == "cover_bent")
    assert flat.size_mm[1] == pytest.approx(bent.developed_mm + 2 * case["trim"])


@settings(max_examples=30)
@given(sizes, poses, st.floats(6, 40), st.floats(8, 60))
def test_the_flat_sheet_folded_up_encloses_the_object_with_the_stated_clearance(thing, pose, side, above):
    answers = {"case_pose": pose, "led_run": "none", "stock": "acrylic=2050x3050mm"}
    answers |= {"case_clearance": side, "case_headroom": above}
    try:
        case = design_case(thing, GLOW, answers)
    except DesignError as error:
        assert "choose" in str(error)
        return
    if case.bent is None:
        return
    inner = profile(case.bent, 0.0)
    # The legs stand in the seat: their feet lie below the lining by the seat's depth and the lining.
    inner[:, 1] -= case["seat_depth"] + case["lining_thickness"]
    body = translate(case.pose.section, case["clearance"], 0.0)
    assert body.distance(LineString(inner)) >= min(side, above) - 0.02
    front, floor, back, top = body.bounds
    assert front >= side - 1e-6 and case["inside_depth"] - back >= side - 1e-6
    assert floor >= -1e-6 and case["inside_height"] - top >= above - 1e-6
    # Across: the ends stand flush in the sheet's width, so the object has its clearance there as well.
    assert case.bent.width_mm - 2 * case["acrylic_thickness"] - case.pose.size_mm[0] >= 2 * side - 1e-6


@given(st.floats(2, 10), st.floats(1, 3), st.floats(0.3, 0.5), st.floats(60, 120))
def test_a_measured_test_strip_gives_the_neutral_line_that_bent_it(sheet, times, k, leg):
    radius = times * sheet
    length = 2 * (leg - radius - sheet) + bend_allowance(radius, sheet, k)
    assert k_from_strip(length, (leg, leg), radius, sheet) == pytest.approx(k, abs=1e-6)


def test_a_stated_allowance_moves_the_flat_by_twice_the_difference():
    by_rule = design_case(held(), GLOW)
    shorter = design_case(held(), GLOW, {"bend_allowance": by_rule["bend_allowance"] - 0.5})
    assert by_rule["cover_developed_length"] - shorter["cover_developed_length"] == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"acrylic_thickness": 5.0, "bend_radius": 3.0}, "under the least for a sheet of 5 mm.*choose 5 mm"),
        (
            {"case_top": "bent", "stock": "acrylic=600x1000mm"},
            "larger than the sheet of 600 x 1000 mm.*stock=acrylic=1000x2000mm",
        ),
        ({"acrylic_thickness": 40.0}, "choose 2 to 10 mm"),
        ({"case_clearance": 2.0}, "choose at least 5 mm"),
        ({"bend_radius": 45.0}, "choose 30 mm at most"),
    ],
)
def test_what_cannot_be_made_is_refused_with_the_nearest_that_can(answers, words):
    with pytest.raises(DesignError, match=words):
        design_case(held(height=360.0), GLOW, answers)


def test_the_nearest_things_named_do_work():
    thing = held(height=360.0)
    assert design_case(thing, GLOW, {"acrylic_thickness": 5.0, "bend_radius": 5.0}).bent
    assert design_case(thing, GLOW, {"case_top": "bent", "stock": "acrylic=1000x2000mm"}).bent
    assert design_case(thing, GLOW, {"case_clearance": 5.0}).bent
    assert design_case(thing, GLOW, {"bend_radius": 30.0}).bent


def test_a_case_wider_than_a_heater_bends_gets_flat_panels_and_says_why():
    case = design_case(held(width=640.0), GLOW)
    assert case.bent is None
    assert any("flat panels" in warning and "bow" in warning for warning in case.warnings)
    names = {part.name for part in case.parts}
    assert {"cover_front", "cover_back", "cover_side", "cover_top_panel"} <= names
