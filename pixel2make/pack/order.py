"""Order of work: what waits for what, the longest wait of all, and what can be done in it, as a checklist."""

from __future__ import annotations

import textwrap
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pixel2make.design.model import Design, Step
from pixel2make.quantity import in_units

__all__ = ["Schedule", "bench_words", "order_files", "order_text", "order_words", "schedule"]

_COLUMNS = 96
"""As many characters a line as a page of A4 holds in a plain ten-point face."""

_INDENT = " " * 9

_STEP_HOURS = 1e-6
"""Added to each wait, so that of equally long paths the one through more steps is taken: what needs no wait
itself may hold up all the same."""

_HALF_HOUR = 0.5
"""Times are told to it."""

_END = ""
"""Name of the end of all work; no step has an empty name."""


@dataclass(frozen=True)
class Schedule:
    """When what can be done, counting work by hand and waiting.

    Attributes
    ----------
    total_hours : float
        From the first move to the end of the last wait, where whatever is not on the critical path is done
        by other hands or while that waits.
    alone_hours : float
        The same for one pair of hands that does one step after another and always takes up the one that
        the most waits for; nights and meals come on top.
    bench_hours : float
        Of work by hand in all.
    critical : tuple of str
        Steps whose work and waits add up to `total_hours`; hurrying any other gains nothing.
    start_hours : mapping of str to float
        Earliest beginning of each step.
    meanwhile : mapping of str to tuple of str
        By a step of the critical path that has to dry: other steps that can be done in that time, each once.
    """

    total_hours: float
    alone_hours: float
    bench_hours: float
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
    >>> glue, cut = Step(1, "glue", (), 3.0, (), 30.0), Step(2, "cut", (), 0.0, (), 60.0)
    >>> found = schedule((glue, cut, Step(3, "join", ("glue", "cut"), 1.0, (), 30.0)))
    >>> found.total_hours, found.alone_hours, found.bench_hours
    (5.0, 5.0, 2.0)
    >>> found.critical, found.meanwhile
    (('glue', 'join'), {'glue': ('cut',)})
    """
    import networkx as nx  # type: ignore[import-untyped, unused-ignore]

    graph = nx.DiGraph()
    for step in steps:
        graph.add_node(step.name)
    hours = {step.name: _bench_hours(step) + step.wait_hours for step in steps}
    for step in steps:
        for name in step.waits_for:
            graph.add_edge(name, step.name, hours=hours[name] + _STEP_HOURS)
        graph.add_edge(step.name, _END, hours=hours[step.name] + _STEP_HOURS)
    topological = [*(step.name for step in steps), _END]
    path = nx.dag_longest_path(graph, weight="hours", default_weight=0, topo_order=topological)
    starts: dict[str, float] = {}
    for step in steps:
        starts[step.name] = max((starts[name] + hours[name] for name in step.waits_for), default=0.0)
    critical = tuple(name for name in path if name != _END)
    return Schedule(
        sum(hours[name] for name in critical),
        _alone_hours(steps),
        sum(_bench_hours(step) for step in steps),
        critical,
        starts,
        _meanwhile(steps, critical, {name: set(nx.ancestors(graph, name)) for name in hours}),
    )


def _bench_hours(step: Step) -> float:
    return step.bench_minutes / 60


def _alone_hours(steps: Sequence[Step]) -> float:
    """One worker, one step at a time, waits unattended: list scheduling by the longest way to the end."""
    tail: dict[str, float] = {}
    for step in reversed(steps):
        later = max((tail[other.name] for other in steps if step.name in other.waits_for), default=0.0)
        tail[step.name] = _bench_hours(step) + step.wait_hours + later
    left, dry, now = list(steps), dict[str, float](), 0.0
    while left:
        open_at = {
            step.name: max((dry[name] for name in step.waits_for), default=0.0)
            for step in left
            if all(name in dry for name in step.waits_for)
        }
        now = max(now, min(open_at.values()))
        ready = [step for step in left if open_at.get(step.name, now + 1) <= now]
        step = max(ready, key=lambda s: (tail[s.name], -s.order))
        now += _bench_hours(step)
        dry[step.name] = now + step.wait_hours
        left.remove(step)
    return max(dry.values(), default=0.0)


def _meanwhile(
    steps: Sequence[Step], critical: Sequence[str], before: Mapping[str, set[str]]
) -> dict[str, tuple[str, ...]]:
    """Put other steps into the first wait of the critical path that has room for their work and drying."""
    by_name = {step.name: step for step in steps}
    others = [step.name for step in steps if step.name not in critical]
    done: set[str] = set()
    found: dict[str, tuple[str, ...]] = {}
    for name in critical:
        done.add(name)
        room = by_name[name].wait_hours
        fitting: list[str] = []
        for other in others if room else ():
            # Neither what waits for this step nor what this step had to wait for.
            is_free = name not in before[other] and other not in before[name]
            work = _bench_hours(by_name[other])
            if other not in done and is_free and before[other] <= done and work <= room:
                fitting.append(other)
                done.add(other)
                room -= work
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
        *_wrapped(order_words(plan, design.steps), ""),
        *_wrapped(
            f"Steps marked * hold up the others: {' > '.join(str(number[name]) for name in plan.critical)}.",
            "",
        ),
        "",
    ]
    told: dict[str, int] = {}
    for step in design.steps:
        lines += _step(step, plan, number, told, design.units)
    return "\n".join(lines).rstrip() + "\n"


def order_words(plan: Schedule, steps: Sequence[Step]) -> str:
    """How long it takes, with how sure that is: one paragraph."""
    sources = ", ".join(dict.fromkeys(step.bench_source for step in steps if step.bench_source))
    said = f" (times by hand {sources}; yours may be half or twice as long)" if sources else ""
    helped = (
        f"with help it is no less than {_hours(plan.total_hours)}"
        if plan.alone_hours - plan.total_hours > _HALF_HOUR
        else "help does not shorten it"
    )
    return (
        f"About {_hours(plan.bench_hours)} of work by hand in all{said}. From the first step to the end of "
        f"the last wait it is {_hours(plan.alone_hours)} alone, most of them drying and pressing; {helped}. "
        "Nights come on top."
    )


def bench_words(minutes: float) -> str:
    """Work by hand in words.

    >>> bench_words(25), bench_words(90), bench_words(60)
    ('25 min by hand', '1 h 30 min by hand', '1 h by hand')
    """
    hours, rest = divmod(round(minutes), 60)
    words = [f"{hours} h"] * (hours > 0) + [f"{rest} min"] * (rest > 0)
    return f"{' '.join(words)} by hand"


def _step(
    step: Step, plan: Schedule, number: Mapping[str, int], told: dict[str, int], units: str
) -> list[str]:
    mark = "*" if step.name in plan.critical else " "
    lines = _wrapped(in_units(step.name, units), f"[ ]{mark}{step.order:3}  ")
    if step.waits_for:
        after = ", ".join(str(n) for n in sorted(number[name] for name in step.waits_for))
        lines += _wrapped(f"after {after}; not before {_hours(plan.start_hours[step.name])}", _INDENT)
    if step.bench_minutes or step.wait_hours:
        lines += _wrapped(f"{', '.join(_durations(step))}", _INDENT)
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


def _durations(step: Step) -> list[str]:
    found = [bench_words(step.bench_minutes)] if step.bench_minutes else []
    return [*found, f"then wait {_hours(step.wait_hours)}"] if step.wait_hours else found


def _hours(hours: float) -> str:
    """A time in words, to the half hour.

    >>> _hours(1.0), _hours(24.4)
    ('1 hour', '24.5 hours')
    """
    half = round(2 * hours) / 2
    return f"{half:g} hour{'' if half == 1 else 's'}"


def _wrapped(text: str, lead: str) -> list[str]:
    return textwrap.wrap(
        text,
        _COLUMNS,
        initial_indent=lead,
        subsequent_indent=" " * len(lead),
        break_long_words=False,
        break_on_hyphens=False,
    )
