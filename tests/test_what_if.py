"""What answers move: before, after and change, in the table and for programs."""

import json
import re

import pytest

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.design.moved import moves
from tests.design.catalogue import furnished

SIZE = ("--height", "300mm")


def design_of(**choices):
    return dimension(furnished(), kinds.find("book"), size_mm=300, choices=choices)


def test_heavier_paper_and_a_bold_square_at_once():
    """ISO 534: thickness is grammage times bulk, so 100 g/m2 at 1.25 cm3/g is 0.125 mm a leaf. Vaughn,
    Printing and Bookbinding for Schools: boards 3/8 inch longer than the book, so leaves of 290.475 mm."""
    found = {m.name: m for m in moves(design_of(), design_of(grammage="100", square="bold", bulk="1.25"))}
    assert found["leaf_thickness"].after == pytest.approx(0.125)
    assert found["leaf_height"].after == pytest.approx(300 - 9.525)
    assert found["square"].after == pytest.approx(9.525 / 2)
    assert found["leaf_height"].change == pytest.approx(-2 * found["square"].change)
    assert found["number of text_block_leaf"].change > 0
    assert {m.unit for m in found.values()} == {"mm", "g", "pieces", "min"}


@pytest.mark.parametrize("choices", [{"structure": "laced"}, {"covering": "cloth"}, {"thread": "18/3"}])
def test_the_way_back_is_the_same_with_the_sign_turned(choices):
    there = moves(design_of(), design_of(**choices))
    back = {m.name: m for m in moves(design_of(**choices), design_of())}
    assert {m.name for m in there} == set(back)
    for move in there:
        assert (move.before, move.after) == (back[move.name].after, back[move.name].before)
        if move.change is not None:
            assert move.change == pytest.approx(-back[move.name].change)


def test_masses_that_move_are_the_whole_change():
    """Conservation of mass: the changes of the parts add up to the change of all."""
    before, after = design_of(), design_of(structure="laced", grammage="80")
    grams = {name: -g for name, g in before.mass_g}
    for name, g in after.mass_g:
        grams[name] = grams.get(name, 0.0) + g
    whole = next(m for m in moves(before, after) if m.name == "mass in all")
    assert whole.change == pytest.approx(sum(grams.values()))


def test_nothing_moves_where_nothing_differs():
    assert moves(design_of(), design_of()) == ()
    assert moves(design_of(), design_of(units="in")) == ()


def test_the_command_shows_what_moves(run, write_sprite):
    sprite = write_sprite()
    answers = ("--set", "square=5mm", "--set", "corner_radius=8mm")
    status, out, err = run("measure", sprite, *SIZE, *answers)
    assert (status, err) == (0, "")
    assert "What moves with square=5mm, corner_radius=8mm:" in out
    status, out, err = run("measure", sprite, *SIZE, *answers, "--moved", "--json")
    assert (status, err) == (0, "")
    told = json.loads(out)
    assert told["set"] == {"square": "5mm", "corner_radius": "8mm"}
    plain, other = (
        {
            d["name"]: d["value_mm"]
            for d in json.loads(run("measure", sprite, *SIZE, *a, "--json")[1])["dimensions"]
        }
        for a in ((), answers)
    )
    for row in told["moved"]:
        if row["unit"] == "mm":
            assert row["before"] == plain.get(row["name"])
            assert row["after"] == other.get(row["name"])
    still = {name for name in plain if other.get(name) == plain[name]}
    assert not still & {row["name"] for row in told["moved"]}


def test_the_command_compares_with_the_plan(run, write_sprite, tmp_path):
    sprite, plan = write_sprite(), tmp_path / "tome.toml"
    assert run("plan", sprite, *SIZE, "-o", plan)[0] == 0
    answer = re.compile(r"(?m)^#? ?square = .*$")
    assert answer.search(plan.read_text())
    plan.write_text(answer.sub('square = "5mm"', plan.read_text()))
    told = json.loads(run("measure", plan, "--set", "square=3mm", "--moved", "--json")[1])
    assert next(r for r in told["moved"] if r["name"] == "square")["before"] == 5.0


def test_units_alone_are_no_what_if(run, write_sprite):
    sprite = write_sprite()
    assert "moves" not in run("measure", sprite, *SIZE, "--units", "in")[1]
    status, _, err = run("measure", sprite, *SIZE, "--moved")
    assert status == 2
    assert "--set" in err
    assert len(err.strip().splitlines()) == 1
