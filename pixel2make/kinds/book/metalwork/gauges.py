"""How thick a clasp is made and how loose: sheet by its alloy, a print by its process."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace

from pixel2make import trade
from pixel2make.design.metalwork import Load
from pixel2make.kinds.book.metalwork.place import Gauge

__all__ = ["METALS", "PROCESSES", "chosen_gauge", "metal_of", "print_gauges", "sheet_gauges", "taken_metal"]

METALS: tuple[str, ...] = tuple(trade.value("metal.temper").value)
PROCESSES: tuple[str, ...] = ("fdm", "resin")

_AS_DRAWN = "as_drawn"
_LIGHTNESS = 0.5
"""How much less lightness counts than hue and chroma."""


def metal_of(color: str) -> str:
    """The metal that a drawn colour is nearest to, by CIEDE2000.

    >>> metal_of("#d29428"), metal_of("#b8b8c0")
    ('brass', 'steel')
    """
    from pixel2make.color import difference, rgb_of, srgb_to_lab

    shades = trade.value("metal.shades").value
    lab = srgb_to_lab(rgb_of(color))

    def apart(metal: str) -> float:
        # how light a sprite draws its metal says little about which one it is
        own = (srgb_to_lab(rgb_of(shade)) for shade in shades[metal])
        return min(float(difference(lab, shade, lightness_weight=_LIGHTNESS)) for shade in own)

    return str(min(shades, key=apart))


def taken_metal(taken: Mapping[str, str | float], color: str) -> str:
    """The maker's metal, or the one whose colour is drawn."""
    answer = str(taken.get("clasp_metal", _AS_DRAWN))
    return metal_of(color) if answer == _AS_DRAWN else answer


def sheet_gauges(
    taken: Mapping[str, str | float], *, metal: str, color: str, plate_mm: float, width_mm: float
) -> Iterator[Gauge]:
    """Gauges of sheet metal to try: the usual one, thicker ones, and, since a spring gets stiffer with its
    thickness, then thinner ones; only one where the maker chose it."""
    temper = str(trade.value("metal.temper").value[metal])
    radius = float(trade.value("metal.least_radius").value[temper])
    group = str(trade.value("metal.bend_group").value[temper])
    coefficient = trade.value(f"metal.bend_coefficient.{group}").numbers[0]
    answer = taken.get("clasp_thickness", "by_rule")
    usual = trade.value("metal.clasp_sheet").value
    is_long = plate_mm > trade.value("metal.long_plate").number
    least = float(usual["long_plate" if is_long else "hook"])
    sizes = trade.value("metal.stock_sheet").numbers
    stock = [t for t in sizes if t >= least] + [t for t in reversed(sizes) if t < least]
    play = trade.value("clasp.metal_play").value
    for sheet in [answer] if isinstance(answer, float) else stock:
        yield Gauge(
            "sheet",
            sheet,
            radius * sheet,
            # the handbook gives the straight length of a right angle; its share per sheet thickness over
            # a quarter turn is the place of the neutral line
            coefficient / 1.5707963267948966,
            float(play["sliding"]),
            float(play["pin"]),
            float(play["knuckle"]),
            _wire(width_mm, sheet),
            max(2.0, 2 * sheet),
            metal,
            color,
        )


def print_gauges(taken: Mapping[str, str | float], *, color: str, width_mm: float) -> Iterator[Gauge]:
    """Gauges of a print to try, the usual wall first."""
    process = str(taken.get("print_process", PROCESSES[0]))
    play = trade.value(f"printing.clearance_{process}").value
    answer = taken.get("print_clearance", "by_process")
    more = answer - float(play["sliding"]) if isinstance(answer, float) else 0.0
    least, most, step = trade.value(f"printing.walls_{process}").numbers
    count = round((most - least) / step) + 1
    pins = trade.value(f"printing.least_pin_{process}")
    for number in range(count):
        wall = round(least + step * number, 3)
        yield Gauge(
            "print",
            wall,
            max(0.5, wall / 2),
            0.5,
            max(float(play["sliding"]) + more, 0.05),
            max(float(play["hinge"]) + more, 0.05),
            max(float(play["sliding"]) + more, 0.05),
            _wire(width_mm, wall),
            max(pins.number, 1.5 * wall),
            process,
            color,
        )


def chosen_gauge(
    gauges: Iterator[Gauge],
    loads_of: Callable[[Gauge], tuple[Load, ...]],
    *,
    most_peg_mm: float = math.inf,
) -> tuple[Gauge, tuple[Load, ...], bool]:
    """The first gauge that holds, its loads, and whether it is not the usual one; else the least overloaded.

    No peg or stud is thicker than `most_peg_mm`, what there is room for.
    """
    best: tuple[float, Gauge, tuple[Load, ...], bool] | None = None
    for number, gauge in enumerate(gauges):
        for peg in (1.0, 1.25, 1.5, 2.0):
            thicker = replace(gauge, peg_mm=round(min(gauge.peg_mm * peg, most_peg_mm), 2))
            found = loads_of(thicker)
            worst = max(load.stress_mpa / load.strength_mpa for load in found)
            if best is None or worst < best[0]:
                best = (worst, thicker, found, number > 0)
            if all(load.is_held for load in found):
                return thicker, found, number > 0
    assert best is not None
    return best[1:]


def _wire(width_mm: float, sheet_mm: float) -> float:
    """Wire of the hinge: the thicker kinds for wide and thick plates."""
    wires = trade.value("clasp.hinge_wire").numbers
    wanted = max(sheet_mm, width_mm / 15)
    return next((wire for wire in wires if wire >= wanted - 1e-9), wires[-1])
