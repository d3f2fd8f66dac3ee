"""What open questions would move, against the object that a plan with the other answer gives."""

from dataclasses import replace

import pytest

from demo_sprites.make import FOLDER
from pixel2make import api, kinds
from pixel2make.design.alternatives import question_moves
from pixel2make.design.dimensioning import dimension
from pixel2make.reading import Overrides, Question, interpret

KIND = kinds.find("book")


def answered_by_plan(folder, name, subject, option):
    """Write the plan, change the one line as a maker would, and measure what it gives."""
    sprite = folder / f"{name}.png"
    sprite.write_bytes((FOLDER / f"{name}.png").read_bytes())
    plan = folder / "plan.toml"
    text, _ = api.make_plan(api.open_source(sprite), out=plan)
    lines = text.splitlines()
    own = [i for i, line in enumerate(lines) if line.startswith((f"{subject} =", f'"{subject}" ='))]
    assert len(own) == 1
    lines[own[0]] = f'"{subject}" = "{option}"'
    plan.write_text("\n".join(lines) + "\n", "utf-8")
    return api.measure(api.open_source(plan), size=("height", "300mm"))


@pytest.mark.parametrize(
    ("name", "which"),
    # the ledger has answers that are another finish of the same surface, which moves nothing
    [("ferry_tally", -1), ("lamplighters_accounts", -1), ("saltglass_ledger", -1), ("saltglass_ledger", 1)],
)
def test_the_lengths_are_those_of_the_plan_with_that_answer(name, which, tmp_path):
    design = api.measure(api.open_source(FOLDER / f"{name}.png"), size=("height", "300mm"))
    moves = question_moves(design, KIND, KIND)
    assert moves
    now = {d.name: d.value_mm for d in design.dimensions}
    (subject, option), changes = list(moves.items())[which]
    then = {d.name: d.value_mm for d in answered_by_plan(tmp_path, name, subject, option).dimensions}
    wanted = {k: then.get(k, 0.0) - now.get(k, 0.0) for k in {**now, **then}}
    assert dict(changes) == pytest.approx({k: v for k, v in wanted.items() if abs(v) >= 0.05})


def test_every_other_answer_is_weighed_and_the_taken_one_is_not(tmp_path):
    design = api.measure(api.open_source(FOLDER / "ferry_tally.png"), size=("height", "300mm"))
    moves = question_moves(design, KIND, KIND)
    expected = {(q.subject, o) for q in design.reading.questions for o in q.options if o != q.taken}
    assert set(moves) == expected
    # with a clasp the object has lengths that were not there
    come = dict(moves["r11", "clasp"])
    then = answered_by_plan(tmp_path, "ferry_tally", "r11", "clasp")
    assert come["clasp_1_width"] == pytest.approx(then.dimension("clasp_1_width").value_mm)


def test_no_question_no_moves():
    design = api.measure(api.open_source(FOLDER / "kelp_pocketbook.png"), size=("height", "300mm"))
    assert question_moves(replace(design, reading=replace(design.reading, questions=())), KIND, KIND) == {}


@pytest.mark.parametrize("name", ["cullet_primer", "ferry_tally", "saltboilers_almanac"])
def test_another_view_has_its_own_proportions_to_choose_from(name):
    design = api.measure(api.open_source(FOLDER / f"{name}.png"), size=("height", "300mm"))
    reading = design.reading
    others = {view.kind: view for view in reversed(reading.alternatives) if view.kind != reading.view.kind}
    assert others
    kinds_of_view = (reading.view.kind, *others)
    asked = Question("view", "How is the book turned?", kinds_of_view, reading.view.kind)
    moves = question_moves(replace(design, reading=replace(reading, questions=(asked,))), KIND, KIND)
    now = {d.name: d.value_mm for d in design.dimensions}
    for (_, kind), changes in moves.items():
        seen = interpret(reading.regions, KIND, Overrides(view=others[kind]))
        then = {d.name: d.value_mm for d in dimension(seen, KIND, given="height", size_mm=300.0).dimensions}
        wanted = {k: then.get(k, 0.0) - now.get(k, 0.0) for k in {**now, **then}}
        assert dict(changes) == pytest.approx({k: v for k, v in wanted.items() if abs(v) >= 0.05})
