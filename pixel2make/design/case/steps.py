"""Order of work of the case."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pixel2make import trade
from pixel2make.design.case.lengths import Sized
from pixel2make.design.light.model import LightPlan
from pixel2make.design.model import Step

__all__ = ["case_steps"]

_MEASURE = (
    "measure the finished object over its fittings and build again with measured_width, _height, _thickness"
)
_STRIP = "bend the test strip, measure its legs and set bend_allowance where it differs"
_SAW = "saw the base's panels square and to size"
_JOIN = "cut the corner joints and fit them dry"
_SEAT = "rout the seat to the sheet in hand, then trench and cable holes"
_GLUE = "glue the base's sides and corner blocks, square by its diagonals"
_TOP = "fix the top on the sides"
_FINISH = "sand, oil or varnish the base and let it harden"
_FLAT = "cut the cover's acrylic, scrape and polish its edges, leave the film on"
_ANNEAL = "anneal pieces that were cut by laser before they meet cement; sawn edges need none"
_BEND = (
    "peel the film along the heating lines; heat and bend one line, let it cool in the jig, then the other"
)
_CEMENT = "cement the cover square on a flat board"
_TRIM = "trim the cover's legs to one plane and try it in its seat"
_BENCH = "solder the light, test it on the bench with the program and measure its current"
_LAY = "lay the strip in its trench, feed the leads down, set the diffuser in"
_CRADLE = "glue up the cradle and line where the object touches it"
_LINE = "line the inside, fix the nameplate, screw the bottom on"
_CHECK = "let the light run an hour under the cover and feel for heat, then set the object in"


def case_steps(sized: Sized, light: LightPlan | None) -> tuple[Step, ...]:
    """Steps in an order in which they can be done; each waits only for earlier ones."""
    steps: list[Step] = []
    done: set[str] = set()
    for name, waits, hours, cautions in _tasks(sized, light):
        said = tuple(str(trade.value(f"safety.{key}").value) for key in cautions)
        steps.append(Step(len(steps) + 1, name, tuple(w for w in waits if w in done), hours, said))
        done.add(name)
    return tuple(steps)


_Task = tuple[str, Sequence[str], float, Sequence[str]]


def _tasks(sized: Sized, light: LightPlan | None) -> Iterator[_Task]:
    setting = trade.value("work.setting_hours").number
    dry, cured = trade.value("case.finish_hours").number, trade.value("case.cement_hours").number
    yield _MEASURE, (), 0.0, ()
    if sized.bent:
        yield _STRIP, (), 0.0, ("hot_acrylic",)
    yield _SAW, (_MEASURE,), 0.0, ("sawing",)
    yield _JOIN, (_SAW,), 0.0, ("sawing",)
    yield _SEAT, (_SAW,), 0.0, ("sawing",)
    yield _GLUE, (_JOIN,), setting, ()
    yield _TOP, (_GLUE, _SEAT), setting, ()
    yield _FINISH, (_TOP,), dry, ("sanding", "spray", "oily_rags", "defer")
    yield _FLAT, (_MEASURE, _STRIP), 0.0, ("sawing", "acrylic_laser")
    yield _ANNEAL, (_FLAT,), _anneal_hours(sized["acrylic_thickness"]), ("hot_acrylic",)
    if sized.bent:
        yield _BEND, (_FLAT, _STRIP), 0.0, ("hot_acrylic",)
    yield _CEMENT, (_BEND, _ANNEAL), cured, ("acrylic_cement", "defer")
    yield _TRIM, (_CEMENT, _SEAT), 0.0, ("sawing",)
    if light:
        yield _BENCH, (), 0.0, ("soldering", "low_voltage", "mains_adapter", "flashing")
        yield _LAY, (_BENCH, _FINISH), 0.0, ("low_voltage",)
    if sized.pose.name == "cradle":
        yield _CRADLE, (_SAW,), setting, ("sanding",)
    yield _LINE, (_FINISH, _LAY, _CRADLE), 0.0, ("knife",)
    yield _CHECK, (_LINE, _TRIM), 0.0, ("mains_adapter",) if light else ()


def _anneal_hours(sheet_mm: float) -> float:
    rule = trade.value("acrylic.anneal").value
    return float(max(rule["least_hours"], rule["hours_per_mm"] * sheet_mm))
