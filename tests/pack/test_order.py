"""The order of work and its critical path."""

import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.design.model import Step
from pixel2make.pack.order import order_files, schedule
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
        steps.append(Step(order, f"step {order}", tuple(waits), hours, ()))
    return tuple(steps)


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
    assert found.total_hours == max(sum(s.wait_hours for s in chain) for chain in every_path(steps))
    by_name = {step.name: step for step in steps}
    assert sum(by_name[name].wait_hours for name in found.critical) == found.total_hours
    for earlier, later in zip(found.critical, found.critical[1:], strict=False):
        assert earlier in by_name[later].waits_for


@settings(deadline=None)
@given(orders())
def test_no_step_begins_before_what_it_waits_for_is_dry(steps):
    found = schedule(steps)
    hours = {step.name: step.wait_hours for step in steps}
    for step in steps:
        for name in step.waits_for:
            assert found.start_hours[step.name] >= found.start_hours[name] + hours[name]
        assert found.start_hours[step.name] + step.wait_hours <= found.total_hours


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


def test_a_laced_book_takes_longer():
    """Common practice: backing and covering each dry over night, a case dries beside the block."""
    assert schedule(design_of(structure="laced").steps).total_hours > 0
    cased, laced = (schedule(design_of(structure=word).steps).total_hours for word in ("case", "laced"))
    assert laced != cased
