"""Order of work: what waits for what, the longest wait of all, and what can be done in it, as a checklist."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pixel2make.design.model import Design, Step
from pixel2make.quantity import in_units

__all__ = ["Schedule", "order_files", "order_text", "schedule"]

_COLUMNS = 96
"""As many characters a line as a page of A4 holds in a plain ten-point face."""

_INDENT = " " * 9

_STEP_HOURS = 1e-6
"""Added to each wait, so that of equally long paths the one through more steps is taken: what needs no wait
itself may hold up all the same."""

_END = ""
"""Name of the end of all work; no step has an empty name."""


@dataclass(frozen=True)
class Schedule:
    """When what can be done, counting waiting time alone.

    Attributes
    ----------
    total_hours : float
        From the first step to the end of the last wait.
    critical : tuple of str
        Steps whose waits add up to that; hurrying any other gains nothing.
    start_hours : mapping of str to float
        Earliest beginning of each step.
    meanwhile : mapping of str to tuple of str
        By a step of the critical path that has to dry: other steps that can be done then, each once.
    """

    total_hours: float
    critical: tuple[str, ...]
    start_hours: Mapping[str, float]
    meanwhile: Mapping[str, tuple[str, ...]]


def schedule(steps: Sequence[Step]) -> Schedule:
    """The critical path of an order of work.

    Parameters
    ----------
    steps : sequence of Step
        Each waits for earlier ones alone.

    Returns
    -------
    Schedule
        Of several longest paths the one with the most steps, then the one whose steps come first.

    Examples
    --------
    >>> glue, cut = Step(1, "glue", (), 3.0, ()), Step(2, "cut", (), 0.0, ())
    >>> found = schedule((glue, cut, Step(3, "join", ("glue", "cut"), 1.0, ())))
    >>> found.total_hours, found.critical, found.meanwhile
    (4.0, ('glue', 'join'), {'glue': ('cut',)})
    """
    import networkx as nx  # type: ignore[import-untyped, unused-ignore]

    graph = nx.DiGraph()
    for step in steps:
        graph.add_node(step.name)
    hours = {step.name: step.wait_hours for step in steps}
    for step in steps:
        for name in step.waits_for:
            graph.add_edge(name, step.name, hours=hours[name] + _STEP_HOURS)
        graph.add_edge(step.name, _END, hours=step.wait_hours + _STEP_HOURS)
    topological = [*(step.name for step in steps), _END]
    path = nx.dag_longest_path(graph, weight="hours", default_weight=0, topo_order=topological)
    starts: dict[str, float] = {}
    for step in steps:
        starts[step.name] = max((starts[name] + hours[name] for name in step.waits_for), default=0.0)
    critical = tuple(name for name in path if name != _END)
    return Schedule(
        sum(hours[name] for name in critical),
        critical,
        starts,
        _meanwhile(steps, critical, {name: set(nx.ancestors(graph, name)) for name in hours}),
    )


def _meanwhile(
    steps: Sequence[Step], critical: Sequence[str], before: Mapping[str, set[str]]
) -> dict[str, tuple[str, ...]]:
    """Put every other step into the first wait of the critical path in which it can be done."""
    waits = {step.name: step.wait_hours for step in steps}
    others = [step.name for step in steps if step.name not in critical]
    done: set[str] = set()
    found: dict[str, tuple[str, ...]] = {}
    for name in critical:
        done.add(name)
        if not waits[name]:
            continue
        fitting: list[str] = []
        for other in others:
            # Neither what waits for this step nor what this step had to wait for.
            is_free = name not in before[other] and other not in before[name]
            if other not in done and is_free and before[other] <= done:
                fitting.append(other)
                done.add(other)
        if fitting:
            found[name] = tuple(fitting)
    return found


def order_files(design: Design) -> dict[str, bytes]:
    """``order.txt``: the steps as a checklist, UTF-8."""
    return {"order.txt": order_text(design).encode()}


def order_text(design: Design) -> str:
    """The checklist: steps to tick off, waits with what can be done in them, cautions."""
    plan = schedule(design.steps)
    number = {step.name: step.order for step in design.steps}
    lines = [
        f"Order of work: {design.reading.regions.sprite.file}",
        "",
        *_wrapped(
            f"Drying and pressing take {_hours(plan.total_hours)} from the first step to the end of the last "
            "if nothing is left waiting; the work itself comes on top. Steps marked * hold up the others: "
            f"{' > '.join(str(number[name]) for name in plan.critical)}.",
            "",
        ),
        "",
    ]
    told: dict[str, int] = {}
    for step in design.steps:
        lines += _step(step, plan, number, told, design.units)
    return "\n".join(lines).rstrip() + "\n"


def _step(
    step: Step, plan: Schedule, number: Mapping[str, int], told: dict[str, int], units: str
) -> list[str]:
    mark = "*" if step.name in plan.critical else " "
    lines = _wrapped(in_units(step.name, units), f"[ ]{mark}{step.order:3}  ")
    if step.waits_for:
        after = ", ".join(str(n) for n in sorted(number[name] for name in step.waits_for))
        lines += _wrapped(f"after {after}; not before {_hours(plan.start_hours[step.name])}", _INDENT)
    if step.wait_hours:
        lines += _wrapped(f"then wait {_hours(step.wait_hours)}", _INDENT)
    if step.name in plan.meanwhile:
        doing = "; ".join(f"{number[name]} {name}" for name in plan.meanwhile[step.name])
        lines += _wrapped(f"meanwhile: {doing}", _INDENT)
    for caution in step.cautions:
        if caution in told:
            lines += _wrapped(f"! {caution.split(':')[0].rstrip('.')}: see {told[caution]}", _INDENT)
        else:
            told[caution] = step.order
            lines += _wrapped(in_units(f"! {caution}", units), _INDENT)
    return [*lines, ""]


def _hours(hours: float) -> str:
    """A wait in words.

    >>> _hours(1.0), _hours(24.5)
    ('1 hour', '24.5 hours')
    """
    return f"{hours:g} hour{'' if hours == 1 else 's'}"


def _wrapped(text: str, lead: str) -> list[str]:
    return textwrap.wrap(
        text,
        _COLUMNS,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=False,
        break_on_hyphens=False,
    )
