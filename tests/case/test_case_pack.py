"""What a maker gets of the case: clean pages, true templates, a pack that can be made again."""

import io
import json
import tomllib

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry import box
from shapely.ops import unary_union

from pixel2make.design.case import design_case
from pixel2make.design.case.joints import corner_joint, finger_count
from pixel2make.errors import DesignError
from pixel2make.pack.case.page import PageText, drawing_page
from pixel2make.pack.case.part_pages import part_pages, strip_page
from pixel2make.pack.case.sections import seat_view, side_view
from pixel2make.pack.case.views import front_view, plan_view
from pixel2make.pack.case.wiring import wiring_diagram
from pixel2make.pack.drawing.check import overlaps
from tests.case.objects import GLOW, held

TEXT = PageText(
    "Display case", "after the sprite", "General arrangement", "5a5a-CASE", "ISO 2768-1 c", ("A note.",)
)


def pages(case):
    yield "arrangement", drawing_page([[front_view(case), side_view(case), plan_view(case)]], TEXT)
    yield "seat", drawing_page([[seat_view(case)]], TEXT, largest=5.0)
    yield from part_pages(case, TEXT).items()
    if case.bent:
        yield "strip", strip_page(case, TEXT)
    if case.light:
        yield "wiring", wiring_diagram(case.light, TEXT)


@settings(max_examples=12)
@given(
    st.builds(held, width=st.floats(50, 500), height=st.floats(70, 600), thickness=st.floats(8, 140)),
    st.fixed_dictionaries(
        {
            "case_pose": st.sampled_from(["cradle", "standing", "lying"]),
            "case_joint": st.sampled_from(["dowels", "rebate", "finger"]),
            "case_seat": st.sampled_from(["groove", "rebate"]),
            "case_wood": st.sampled_from(["birch_plywood", "black_walnut"]),
            "led_run": st.sampled_from(["three_sides", "front", "none"]),
            "case_top": st.sampled_from(["auto", "panels"]),
        }
    ),
)
def test_no_lettering_touches_anything_on_any_page(thing, answers):
    try:
        case = design_case(thing, GLOW, {**answers, "stock": "acrylic=2050x3050mm", "led_rate": 20.0})
    except DesignError as error:
        assert "choose" in str(error) or "nearer" in str(error) or "make" in str(error)
        return
    for name, page in pages(case):
        assert overlaps(page) == [], name


@pytest.mark.parametrize("joint", ["dowels", "rebate", "finger"])
def test_the_four_sides_close_to_a_frame_of_the_base_s_size(joint):
    """Seen from above the panels fill the frame once, whatever the joint."""
    case = design_case(held(), GLOW, {"case_joint": joint})
    wide, deep, thick = case["base_width"], case["base_depth"], case["base_thickness"]
    side = case["base_side_length"]
    sunk = {"dowels": 0.0, "rebate": thick * 2 / 3, "finger": thick}[joint]
    assert side == pytest.approx(deep - 2 * thick + 2 * sunk, abs=0.01)
    front, _ = corner_joint(joint, wide, 48.0, thick, is_face=True)
    assert front.bounds[2] == pytest.approx(wide)


# A finger joint closes when the fingers of one panel fill the notches of the other: the sum of both
# edges' wood along the corner is the height less the play at each flank.
def test_fingers_of_the_face_fill_the_notches_of_the_side():
    height, thick = 48.0, 12.0
    face, _ = corner_joint("finger", 200.0, height, thick, is_face=True)
    side, _ = corner_joint("finger", 150.0, height, thick, is_face=False)
    strip = box(0, 0, thick, height)
    one, other = face.intersection(strip), side.intersection(strip)
    assert one.intersection(other).area == pytest.approx(0.0, abs=1e-9)
    flanks = finger_count(height, thick) - 1
    assert one.area + other.area == pytest.approx(thick * (height - flanks * 0.1))


def test_the_end_fills_the_bent_cover_from_leg_to_leg():
    from pixel2make.pack.case.sections import cover_section

    case = design_case(held(), GLOW)
    end = next(part for part in case.parts if part.name == "cover_end").outline
    placed = affinity.affine_transform(end, (1, 0, 0, -1, 0.1, end.bounds[3]))
    shell = cover_section(case)
    assert placed.intersection(shell).area < 0.05
    inside = box(0, 0, case["inside_depth"], case["cover_height"]).difference(
        unary_union([shell, shell.convex_hull.symmetric_difference(shell.envelope)])
    )
    # What is left open is the gap for the cement alone, a tenth of a millimetre along the edge.
    assert inside.difference(placed).area < 0.15 * end.length


def test_the_cradle_s_boards_touch_the_object_and_do_not_cut_it():
    case = design_case(held(), GLOW)
    for name, board in case.pose.supports:
        assert board.intersection(case.pose.section).area < 1e-6, name
    under = unary_union([shape for _, shape in case.pose.supports])
    assert case.pose.section.distance(under) < 1e-9
    x0, y0, x1, y1 = unary_union([case.pose.section, under]).bounds
    assert (x1 - x0, y1 - y0) == pytest.approx(case.pose.size_mm[1:])


# Density of acrylic 1.19 g/cm3 (DesignerData.nl, PMMA): 265 x 899 x 5 mm is 1417 g, worked by hand.
def test_a_sheet_weighs_what_its_density_says():
    case = design_case(held(), GLOW)
    flat = next(part for part in case.parts if part.name == "cover_bent")
    w, h = flat.size_mm
    assert dict(case.mass_g)["cover_bent"] == pytest.approx(w * h * 5 * 1.19 / 1000)


def test_the_command_writes_a_case(run, tmp_path):
    status, out, err = run(
        "case", "demo_sprites/kelp_pocketbook.png", "--height", "160mm", "-o", tmp_path / "c"
    )
    assert (status, err) == (0, "")
    folder = tmp_path / "c" / "case"
    record = json.loads((folder / "case.json").read_text("utf-8"))
    lengths = {d["name"]: d["value_mm"] for d in record["dimensions"]}
    room = record["pose"]["room_mm"]
    assert lengths["inside_width"] >= room[0] + 2 * lengths["clearance"] - 1e-3
    for path in ("arrangement.svg", "seat.svg", "wiring.svg", "parts/base_top.pdf", "main.py", "case.txt"):
        assert (folder / path).stat().st_size > 500, path
    from PIL import Image

    with Image.open(io.BytesIO((folder / "preview.webp").read_bytes())) as picture:
        assert picture.is_animated and picture.n_frames > 20
    if any(d["high_mm"] - d["low_mm"] > 2 for d in record["dimensions"] if d["name"].startswith("inside")):
        assert "measure the finished object" in out


def test_an_answer_about_the_case_stands_in_the_pack_s_plan_and_nothing_else_does(run, tmp_path):
    status, _, err = run(
        "build", "demo_sprites/kelp_pocketbook.png", "--height", "160mm", "--case",
        "--set", "case_joint=finger", "--set", "case_clearance=25mm", "-o", tmp_path / "b",
    )  # fmt: skip
    assert (status, err) == (0, "")
    plan = tomllib.loads((tmp_path / "b" / "plan" / "plan.toml").read_text("utf-8"))["choices"]
    assert plan["display_case"] == "acrylic" and plan["case_joint"] == "finger"
    assert plan["case_clearance"] == "25mm"
    assert "case_seat" not in plan and "led_run" not in plan
    assert (tmp_path / "b" / "case" / "case.txt").exists()


def test_a_case_that_cannot_be_made_is_one_line_and_nothing_is_written(run, tmp_path):
    status, _, err = run(
        "case", "demo_sprites/kelp_pocketbook.png", "--height", "160mm", "--set", "bend_radius=1mm",
        "-o", tmp_path / "c",
    )  # fmt: skip
    assert status == 2
    assert err.count("\n") == 1 and err.startswith("Error: ") and "choose 3 mm or more" in err
    assert not (tmp_path / "c").exists()


@pytest.mark.parametrize("stock", ["acrylic=200x100mm", "birch_plywood=100x100mm"])
def test_a_piece_larger_than_the_maker_s_sheet_is_refused_with_a_sheet_that_does(
    run, write_sprite, tmp_path, stock
):
    out, tome = tmp_path / "case", write_sprite()
    status, _, err = run("case", tome, "--height", "150mm", "--stock", stock, "-o", out)
    assert status == 2
    (line,) = err.splitlines()
    assert "larger than" in line
    assert not out.exists()
    named = line.rpartition("stock=")[2]
    assert run("case", tome, "--height", "150mm", "--stock", named, "-o", out)[0] == 0


def test_a_cover_that_no_sheet_of_the_maker_s_can_be_bent_from_is_made_of_panels(run, write_sprite, tmp_path):
    out = tmp_path / "case"
    stock = ("--stock", "acrylic=300x400mm")
    assert run("case", write_sprite(), "--height", "150mm", *stock, "-o", out)[0] == 0
    assert (out / "case/parts/cover_front.svg").is_file()
    assert not (out / "case/parts/cover_bent.svg").exists()
