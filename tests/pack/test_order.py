"""The order of work and its critical path."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.design.model import Step
from pixel2make.pack.order import bench_words, order_files, schedule
from pixel2make.trade import LABELS
from tests.design.catalogue import furnished


def design_of(**choices):
    return dimension(furnished(), kinds.find("book"), size_mm=300, choices=choices)


@st.composite
def orders(draw):
    steps = []
    for order in range(1, draw(st.integers(1, 8)) + 1):
        earlier = [step.name for step in steps]
        waits = draw(st.lists(st.sampled_from(earlier), unique=True)) if earlier else []
        hours = draw(st.sampled_from([0.0, 0.5, 1.0, 12.0, 24.0]))
        minutes = draw(st.sampled_from([0.0, 15.0, 90.0, 480.0]))
        steps.append(Step(order, f"step {order}", tuple(waits), hours, (), minutes))
    return tuple(steps)


def hours_of(step):
    return step.bench_minutes / 60 + step.wait_hours


def every_path(steps):
    """All chains from a step that waits for nothing, by plain enumeration."""
    after = {step.name: [s for s in steps if step.name in s.waits_for] for step in steps}

    def chains(step):
        yield [step]
        for later in after[step.name]:
            for chain in chains(later):
                yield [step, *chain]

    for step in steps:
        yield from chains(step)


@settings(deadline=None)
@given(orders())
def test_the_critical_path_is_the_longest_of_all(steps):
    """Kelley & Walker, Critical-path planning and scheduling (1959): the longest chain is the duration."""
    found = schedule(steps)
    assert found.total_hours == max(sum(map(hours_of, chain)) for chain in every_path(steps))
    by_name = {step.name: step for step in steps}
    assert sum(hours_of(by_name[name]) for name in found.critical) == found.total_hours
    for earlier, later in zip(found.critical, found.critical[1:], strict=False):
        assert earlier in by_name[later].waits_for


@settings(deadline=None)
@given(orders())
def test_no_step_begins_before_what_it_waits_for_is_dry(steps):
    found = schedule(steps)
    hours = {step.name: hours_of(step) for step in steps}
    for step in steps:
        for name in step.waits_for:
            assert found.start_hours[step.name] >= found.start_hours[name] + hours[name]
        assert found.start_hours[step.name] + hours[step.name] <= found.total_hours


@settings(deadline=None)
@given(orders())
def test_one_pair_of_hands_takes_no_less_than_the_path_and_the_work(steps):
    """Bounds of list scheduling on one machine (Graham 1966): neither the longest chain nor the sum of
    the work is beaten, and no more than all work and all waits one after another is needed."""
    found = schedule(steps)
    assert found.bench_hours == pytest.approx(sum(step.bench_minutes for step in steps) / 60)
    assert found.alone_hours >= max(found.total_hours, found.bench_hours) - 1e-9
    assert found.alone_hours <= found.bench_hours + sum(step.wait_hours for step in steps) + 1e-9


def test_two_jobs_of_one_worker():
    """By hand: the long drying first (1 h and 10 h to dry), then 3 h of other work in it, then 1 h to join
    them: 12 h in all, 5 h of it work. The other way round it would be 15 h."""
    dry = Step(2, "glue", (), 10.0, (), 60.0)
    cut = Step(1, "cut", (), 0.0, (), 180.0)
    found = schedule((cut, dry, Step(3, "join", ("cut", "glue"), 0.0, (), 60.0)))
    assert (found.alone_hours, found.bench_hours, found.total_hours) == (12.0, 5.0, 12.0)


@settings(deadline=None)
@given(orders())
def test_what_is_done_meanwhile_needs_nothing_that_dries(steps):
    found = schedule(steps)
    by_name = {step.name: step for step in steps}

    def needs(name):
        return set(by_name[name].waits_for).union(*(needs(n) for n in by_name[name].waits_for))

    listed = [name for names in found.meanwhile.values() for name in names]
    assert len(listed) == len(set(listed))
    assert not set(listed) & set(found.critical)
    for drying, names in found.meanwhile.items():
        assert by_name[drying].wait_hours > 0
        assert sum(by_name[name].bench_minutes for name in names) / 60 <= by_name[drying].wait_hours + 1e-9
        for name in names:
            assert drying not in needs(name)
            assert name not in needs(drying)


@pytest.mark.parametrize("structure", ["case", "laced"])
def test_every_step_is_on_the_checklist_with_its_cautions(structure):
    design = design_of(structure=structure)
    text = order_files(design)["order.txt"].decode()
    flat = re.sub(r"\s+", " ", text)
    for step in design.steps:
        assert f"{step.order} {step.name}" in flat
        for caution in step.cautions:
            assert caution in flat
    assert text.count("[ ]") == len(design.steps)
    assert max(len(line) for line in text.splitlines()) <= 96


def test_leather_and_masks_are_cut_while_the_block_dries():
    """Common practice: what needs no block is done while the sections are under weight."""
    found = schedule(design_of().steps)
    doing = [name for names in found.meanwhile.values() for name in names]
    assert "cut the leather and pare its edges" in doing
    assert "cut the masks" in doing


def test_a_laced_book_takes_more_work():
    """Common practice: backing, lacing, paring and covering on the book take longer by hand than a case."""
    cased, laced = (schedule(design_of(structure=word).steps) for word in ("case", "laced"))
    assert laced.bench_hours > cased.bench_hours


@pytest.mark.parametrize("structure", ["case", "laced"])
def test_every_step_has_its_minutes_and_how_sure_they_are(structure):
    design = design_of(structure=structure)
    text = re.sub(r"\s+", " ", order_files(design)["order.txt"].decode())
    for step in design.steps:
        assert step.bench_minutes > 0
        assert step.bench_source in LABELS
        assert bench_words(step.bench_minutes) in text
    assert "from memory" in text


def test_pieces_that_are_joined_have_a_step_of_their_own():
    """Common practice: leather that comes out of two skins is scarf jointed before it is pasted on."""
    design = design_of(stock="leather=350x400mm")
    (joining,) = [step for step in design.steps if step.name.startswith("join covering")]
    assert "scarf" in joining.name
    assert joining.waits_for == ("cut the leather and pare its edges",)
    (case,) = [step for step in design.steps if step.name.startswith("make the case")]
    assert joining.name in case.waits_for
    assert not any(step.name.startswith("join") for step in design_of().steps)
