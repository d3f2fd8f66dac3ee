"""What a maker should know of a clasp: what meets what, what gives way, what cannot be pinned or bent."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.metalwork import Load, Mechanism
from pixel2make.design.model import Finding
from pixel2make.geometry.folded import folds_of
from pixel2make.geometry.pieces import Sheet
from pixel2make.kinds.book.metalwork.fit import clashes, is_held
from pixel2make.kinds.book.metalwork.holes import pin_diameter_mm, pin_grip_mm, pin_length_mm
from pixel2make.kinds.book.metalwork.making import Way
from pixel2make.kinds.book.metalwork.place import Gauge, Site
from pixel2make.kinds.book.metalwork.strength import loads
from pixel2make.quantity import rounded_down, rounded_up

__all__ = [
    "bend_findings",
    "few_pins",
    "metalwork_findings",
    "next_size_mm",
    "pin_findings",
    "why_not",
]

_WAYS = {"sheet": "in sheet metal", "print": "printed"}
_LEAST_CLEAR_MM = 0.3
"""What passes an edge nearer than this rubs on leather that is not quite flat."""


def metalwork_findings(name: str, made: Sequence[Way], lengths: Lengths) -> Iterator[Finding]:
    """Findings about one clasp, made in each way."""
    for way in made:
        yield from _fit(name, way.site, way.mechanism)
        yield from _strength(name, way.site, way.gauge, way.mechanism)
    yield from pin_findings(name, made[0].mechanism, lengths)
    yield from few_pins(name, made[0].mechanism, lengths)
    yield from bend_findings(name, made[0].gauge, made[0].mechanism)


def why_not(way: Way) -> str:
    """Why a clasp made that way does not work, in a few words; "" where it does."""
    weak = [load for load in way.mechanism.loads if not load.is_held]
    if weak:
        worst = max(weak, key=lambda load: load.stress_mpa / load.strength_mpa)
        stands = f"{_stuff(way.gauge, worst)} stands {worst.strength_mpa:.0f}"
        return f"the {worst.part} would bear {worst.stress_mpa:.0f} MPa, {stands}"
    for clash in clashes(way.mechanism, way.site):
        return f"{_short(way.site.name, clash.one)} and {_short(way.site.name, clash.other)} would meet"
    return "" if is_held(way.mechanism, way.site) else "nothing would stop it when it is pulled"


def _stuff(gauge: Gauge, load: Load) -> str:
    """What the part that a load stands for is made of."""
    return {"strap": "leather", "board": "greyboard", "wire": "brass"}.get(load.size, gauge.material)


def _fit(name: str, site: Site, mechanism: Mechanism) -> Iterator[Finding]:
    found = list(clashes(mechanism, site))
    if found:
        worst = max(found, key=lambda clash: clash.volume_mm3)
        one, other = (_short(name, part) for part in (worst.one, worst.other))
        yield Finding(
            "clasp-meets",
            name,
            f"{name} {_WAYS[mechanism.way]}: {one} and {other} meet ({worst.pose}, {worst.volume_mm3:.2f} "
            "mm3). "
            "Choose another clasp_form, or a larger size.",
            source="volumes of the intersecting solids",
        )
    if not is_held(mechanism, site):
        yield Finding(
            "clasp-lets-go",
            name,
            f"{name} {_WAYS[mechanism.way]}: nothing stops it when it is pulled. Choose another clasp_form.",
            source="volumes of the intersecting solids",
        )
    if mechanism.clear_mm < _LEAST_CLEAR_MM:
        yield Finding(
            "clasp-rubs",
            name,
            f"{name} {_WAYS[mechanism.way]} passes the fore-edge at {rounded_down(mechanism.clear_mm, 2)} "
            f"mm; from "
            f"{_LEAST_CLEAR_MM:g} mm on it does not rub. Choose another clasp_form.",
            mechanism.clear_mm,
            _LEAST_CLEAR_MM,
            "common practice",
        )


def _strength(name: str, site: Site, gauge: Gauge, mechanism: Mechanism) -> Iterator[Finding]:
    """One finding for all that gives way, led by the worst, with the size at which all of it holds."""
    weak = [load for load in mechanism.loads if not load.is_held]
    if not weak:
        return
    sizes = [next_size_mm(mechanism.form, site, gauge, load, mechanism) for load in weak]
    then = None if None in sizes else max(size for size in sizes if size is not None)
    if then is not None and mechanism.way == "sheet":
        advice = f"{then:g} mm holds: choose clasp_thickness {then:g}mm"
    else:
        what = "no size at hand holds" if then is None else f"{then:g} mm would hold"
        metal = "" if mechanism.way == "sheet" else "make it of metal, "
        advice = f"{what}; {metal}choose another clasp_form, or a lighter book (pages foam_core)"
    worst = max(weak, key=lambda load: load.stress_mpa / load.strength_mpa)
    rest = [load.part for load in weak if load is not worst]
    more = f" (and {', '.join(rest)})" if rest else ""
    yield Finding(
        "clasp-too-weak",
        name,
        f"{name} {_WAYS[mechanism.way]}, {gauge.sheet_mm:g} mm, is too weak: the {worst.part}{more} bears "
        f"{worst.stress_mpa:.0f} MPa, {_stuff(gauge, worst)} stands {worst.strength_mpa:.0f} MPa; {advice}.",
        gauge.sheet_mm,
        then,
        trade.value("metal.beams").cited,
    )


def next_size_mm(form: str, site: Site, gauge: Gauge, load: Load, mechanism: Mechanism) -> float | None:
    """The next stock thickness at which that part holds, all else the same."""
    pull = _pull_of(mechanism)
    key = "metal.stock_sheet" if gauge.way == "sheet" else f"printing.walls_{gauge.material}"
    sizes = trade.value(key).numbers
    if gauge.way == "print":
        least, most, step = sizes
        sizes = tuple(round(least + step * i, 3) for i in range(round((most - least) / step) + 1))
    ratio = gauge.peg_mm / gauge.sheet_mm
    for size in sizes:
        if size <= gauge.sheet_mm:
            continue
        thicker = replace(gauge, sheet_mm=size, peg_mm=ratio * size, wire_mm=max(gauge.wire_mm, size))
        found = {each.part: each for each in loads(form, site, thicker, pull)}
        if found[load.part].is_held:
            return size
    return None


def _pull_of(mechanism: Mechanism) -> float:
    return mechanism.pull_n


def pin_findings(name: str, mechanism: Mechanism, lengths: Lengths) -> Iterator[Finding]:
    """Pins that split the board, or that no shop keeps long enough."""
    most = trade.value("clasp.pin_board_share").number * lengths["board_thickness"]
    diameter = pin_diameter_mm(lengths["board_thickness"])
    if diameter > most:
        yield Finding(
            "pin-too-thick",
            name,
            f"{name}: the thinnest pins, of {diameter:g} mm, split a board of "
            f"{lengths['board_thickness']:g} mm; drill it, glue the plates and rivet over a washer.",
            diameter,
            most,
            trade.value("clasp.pin_board_share").cited,
        )
    deepest = max((hole.grip_mm for hole in mechanism.holes), default=0.0)
    if pin_length_mm(deepest, diameter) is None:
        needed = pin_grip_mm(deepest, diameter)
        yield Finding(
            "pin-too-short",
            name,
            f"{name}: plate, covering and board take a pin of {rounded_up(needed)} mm, longer than shops "
            f"keep; "
            "take brass rod of the same diameter and head it at both ends.",
            needed,
            max(trade.value("clasp.pin_lengths").numbers),
            trade.value("clasp.pin_lengths").cited,
        )


def few_pins(name: str, mechanism: Mechanism, lengths: Lengths) -> Iterator[Finding]:
    """Plates that have no room for two pins."""
    diameter = pin_diameter_mm(lengths["board_thickness"])
    for piece in mechanism.pieces:
        if piece.body in ("front", "back") and piece.source == "made":
            count = sum(hole.piece == piece.name for hole in mechanism.holes)
            if count < 2:
                yield Finding(
                    "few-pins",
                    name,
                    f"{name}: the {piece.title} has room for {count} pin{'s' * (count != 1)} of "
                    f"{diameter:g} mm "
                    "far enough from its edges; glue it as well, or choose a larger size.",
                    count,
                    2,
                    trade.value("clasp.hole_edge").cited,
                )


def bend_findings(name: str, gauge: Gauge, mechanism: Mechanism) -> Iterator[Finding]:
    """Flanges that a brake cannot hold, and pattern pieces that would lie on each other."""
    rule = trade.value("metal.least_flange")
    for piece in mechanism.pieces:
        if not isinstance(piece.shape, Sheet) or piece.source != "made":
            continue
        for fold in folds_of(piece.shape.panel):
            least = rule.numbers[0] * gauge.sheet_mm + rule.numbers[1] * fold.radius_mm
            outside = fold.panel.outline.bounds[2] + gauge.sheet_mm + fold.radius_mm
            if fold.panel.name in ("flange", "tongue", "hook") and outside < least:
                yield Finding(
                    "short-flange",
                    name,
                    f"{name}: the {fold.panel.name} of the {piece.title} is {rounded_down(outside)} mm "
                    f"long outside; a brake holds it from {rounded_up(least)} mm on. Bend it in the vice, "
                    f"or print it.",
                    outside,
                    least,
                    rule.cited,
                )
        flat = piece.shape.flat()
        whole = piece.shape.solid().volume_mm3 / gauge.sheet_mm
        if flat.outline.area < 0.97 * whole:
            yield Finding(
                "pattern-overlaps",
                name,
                f"{name}: the flat pattern of the {piece.title} would lie on itself; print it, or solder "
                "it of "
                "two pieces.",
                source="area of the pattern",
            )


def _short(name: str, part: str) -> str:
    return part.removeprefix(f"{name}_").replace("_", " ")
