"""From the lengths of the trench to LEDs, amperes, wire and supply."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from pixel2make import trade
from pixel2make.design.light.frames import MODES, frame_currents_ma, frames, light_of, periods
from pixel2make.design.light.model import Feed, LightPlan, Rgb, Run
from pixel2make.errors import DesignError

__all__ = ["light_plan", "loop_resistance", "strip_drop_v"]

MOST_FEEDS = 9
"""More places to feed a strip in than a case has corners and sides is a slip of the numbers."""
CANDLE_SECONDS = 60.0
"""How long the candle's chance levels are looked through for their worst frame."""


def strip_drop_v(led_a: float, ohm: float, leds: int) -> float:
    """Drop from the feed to the last of `leds`, each drawing the same through all the pitches before it.

    >>> round(strip_drop_v(0.036, 0.0062, 60), 4)
    0.4085
    """
    return led_a * ohm * leds * (leds + 1) / 2


def loop_resistance(length_mm: float, mm2: float, temperature_c: float = 20.0) -> float:
    """Ohms of a lead there and back, of flexible copper wire (IEC 60228, class 5, maximum).

    >>> round(3.6 * loop_resistance(1500, 0.75), 4)
    0.2808
    """
    per_km = float(trade.value("light.wire.class5").value[f"{mm2:g}"])
    warmer = 1 + trade.value("light.wire.temperature_coefficient").number * (temperature_c - 20)
    return 2 * length_mm / 1e6 * per_km * warmer


def light_plan(
    rooms: Sequence[tuple[str, float]], colors: Sequence[Rgb], taken: Mapping[str, str | float]
) -> LightPlan:
    """The strip for a trench, and everything it takes.

    Parameters
    ----------
    rooms : sequence of (name, length in mm)
        Straight lengths of the trench, in the order in which the data passes them.
    colors : sequence of (r, g, b)
        The sprite's glow.
    taken : mapping
        Answers to the questions of `pixel2make.design.case.questions`.

    Raises
    ------
    DesignError
        Where no LED fits, a supply cannot carry the strip, or a frame is too short to send: with the
        numbers and the nearest thing that works.
    """
    per_metre = float(taken["led_density"])
    runs = _runs(rooms, per_metre)
    leds = sum(run.leds for run in runs)
    led_ma = _number("light.led_current", taken["led_current"])
    dark_ma = trade.value("light.dark_current").number
    controller_ma = trade.value("light.controller_current").number
    still_a = (leds * dark_ma + controller_ma) / 1000
    white_a = leds * led_ma / 1000
    supply_a, brightness = _supply(taken["led_supply"], white_a, still_a, leds, led_ma)
    cap = math.floor(255 * brightness + 1e-9)
    capped_a = white_a * cap / 255 + still_a
    rate = _number("light.frame_rate", taken["led_rate"])
    send_ms, reckon_ms = _check_frame(leds, rate)
    worst_a, worst_frame = _worst(leds, colors, cap, rate, led_ma, dark_ma, controller_ma)
    fuse_a = _fuse(capped_a)
    lead_mm = _number("light.lead_length", taken["led_lead"])
    mm2, lead_drop, feeds, strip_drop = _wire(
        capped_a, fuse_a, lead_mm, runs, led_ma / 1000 * cap / 255, per_metre
    )
    return LightPlan(
        runs=runs,
        per_metre=per_metre,
        led_ma=led_ma,
        dark_ma=dark_ma,
        controller_ma=controller_ma,
        cap=cap,
        full_white_a=white_a + still_a,
        capped_white_a=capped_a,
        worst_a=worst_a,
        worst_frame=worst_frame,
        supply_a=supply_a,
        fuse_a=fuse_a,
        wire_mm2=mm2,
        wire_awg=float(trade.value("light.wire.awg").value[f"{mm2:g}"]),
        lead_mm=lead_mm,
        lead_drop_v=lead_drop,
        strip_drop_v=strip_drop,
        feeds=feeds,
        data_resistor_ohm=trade.value("light.data_resistor").number,
        capacitor_uf=trade.value("light.buffer_capacitor").number,
        frame_rate=rate,
        send_ms=send_ms,
        reckon_ms=reckon_ms,
        frame_ms=1000 / rate,
        heat_w=(capped_a - still_a) * trade.value("light.voltage").number,
        animation=str(taken["led_animation"]),
        colors=tuple(colors),
        notes=tuple(_notes(fuse_a, supply_a)),
    )


def _number(key: str, answer: str | float) -> float:
    return answer if isinstance(answer, float) else trade.value(key).number


def _runs(rooms: Sequence[tuple[str, float]], per_metre: float) -> tuple[Run, ...]:
    pitch, end = 1000 / per_metre, trade.value("light.end_room").number
    runs = []
    for name, room in rooms:
        leds = math.floor((room - 2 * end) / pitch + 1e-9)
        if leds > 0:
            runs.append(Run(name, room, leds, leds * pitch))
    if not runs:
        longest = max(room for _, room in rooms)
        raise DesignError(
            f"choice led_density: a trench of {longest:.0f} mm holds no LED at {per_metre:g} a metre; "
            f"choose led_run=none or a larger case_clearance"
        )
    return tuple(runs)


def _supply(
    answer: str | float, white_a: float, still_a: float, leds: int, led_ma: float
) -> tuple[float, float]:
    """Rating of the supply, and how bright white may be with it."""
    share = trade.value("light.supply_share").number
    most = trade.value("light.strip_power_share").number
    least = trade.value("light.least_brightness").number
    ratings = trade.value("light.supply").numbers
    needed = (most * white_a + still_a) / share
    if isinstance(answer, float):
        supply = answer
    else:
        supply = next((rating for rating in ratings if rating >= needed), ratings[-1])
    brightness = min(most, (share * supply - still_a) / white_a)
    if brightness >= least:
        return supply, brightness
    enough = (least * white_a + still_a) / share
    larger = next((rating for rating in ratings if rating >= enough), None)
    carries = math.floor(
        (share * supply * 1000 - trade.value("light.controller_current").number)
        / (least * led_ma + trade.value("light.dark_current").number)
    )
    way = f"choose led_supply={larger:g} or " if larger is not None else ""
    raise DesignError(
        f"choice led_supply: {leds} LEDs and the controller need {enough:.2f} A to shine at {least:.0%}, "
        f"a supply of {supply:g} A carries {max(carries, 0)}; {way}a lower led_density"
    )


def _check_frame(leds: int, rate: float) -> tuple[float, float]:
    bit_us, bits = trade.value("light.bit_time").number, trade.value("light.bits").number
    reset_us = trade.value("light.reset_time").number
    reckon_us = trade.value("light.reckon_time").number
    send_ms, reckon_ms = (leds * bits * bit_us + reset_us) / 1000, leds * reckon_us / 1000
    frame_ms = 1000 / rate
    if send_ms + reckon_ms > frame_ms:
        fit = math.floor((frame_ms * 1000 - reset_us) / (bits * bit_us + reckon_us))
        nearest = math.floor(1000 / (send_ms + reckon_ms))
        way = f"choose led_rate={nearest} or " if nearest >= LOWEST_RATE else "choose "
        raise DesignError(
            f"choice led_rate: {leds} LEDs take {send_ms:.1f} ms to send and about {reckon_ms:.1f} ms to "
            f"reckon, a frame at {rate:g} a second has {frame_ms:.1f} ms, enough for {fit}; "
            f"{way}a lower led_density"
        )
    return send_ms, reckon_ms


LOWEST_RATE = 10
"""Frames a second below which a fade is seen to step."""


def _worst(
    leds: int,
    colors: Sequence[Rgb],
    cap: int,
    rate: float,
    led_ma: float,
    dark_ma: float,
    controller_ma: float,
) -> tuple[float, tuple[str, int]]:
    """The frame of all animations that draws most: one period of each, a minute of the candle."""
    light = light_of(leds, colors, cap, rate)
    length = periods(rate)
    counts = (
        math.lcm(length["band"], length["fade"]),
        length["breath"],
        math.ceil(CANDLE_SECONDS * rate),
    )
    best, where = -1.0, ("", 0)
    for mode, count in zip(MODES, counts, strict=True):
        drawn = frame_currents_ma(frames(light, mode, count), led_ma=led_ma, dark_ma=dark_ma)
        frame = int(drawn.argmax())
        if drawn[frame] > best + 1e-9:
            best, where = float(drawn[frame]), (mode, frame)
    return (best + controller_ma) / 1000, where


def _fuse(load_a: float) -> float:
    ratings = trade.value("light.fuse").numbers
    return next((f for f in ratings if f >= trade.value("light.fuse_share").number * load_a), ratings[-1])


def _wire(
    load_a: float, fuse_a: float, lead_mm: float, runs: Sequence[Run], led_a: float, per_metre: float
) -> tuple[float, float, tuple[Feed, ...], float]:
    """Thinnest wire that the fuse protects, and the fewest feeds that keep the worst LED lit."""
    most = trade.value("light.most_drop").number
    warm = trade.value("light.wire.warm").number
    ohm = float(trade.value("light.strip_resistance").value[f"{per_metre:g}"])
    leds = sum(run.leds for run in runs)
    best = math.inf
    for size, rated in trade.value("light.wire.rated").value.items():
        if rated < fuse_a:
            continue
        drop = load_a * loop_resistance(lead_mm, float(size), warm)
        for feeds in range(1, MOST_FEEDS + 1):
            strip = _fed_drop(led_a, ohm, leds, feeds)
            best = min(best, drop + strip)
            # A thicker lead is cheaper than a third feed; more than two only where no wire will do.
            if drop + strip <= most and (feeds <= 2 or drop <= most / 2):
                return float(size), drop, _feeds(runs, leds, feeds), strip
    raise DesignError(
        f"choice led_lead: {lead_mm:g} mm of lead and the strip drop {best:.2f} V, the last LED may miss "
        f"{most:g} V at most; bring the supply nearer or choose a lower led_density"
    )


def _fed_drop(led_a: float, ohm: float, leds: int, feeds: int) -> float:
    """At the LED that is farthest from any feed; feeds lie at both ends and evenly between."""
    far = leds if feeds == 1 else math.ceil(leds / (2 * (feeds - 1)))
    return strip_drop_v(led_a, ohm, far)


def _feeds(runs: Sequence[Run], leds: int, count: int) -> tuple[Feed, ...]:
    places = [0] if count == 1 else [round(leds * i / (count - 1)) for i in range(count)]
    return tuple(Feed(place, _where(runs, place)) for place in places)


def _where(runs: Sequence[Run], place: int) -> str:
    if place == 0:
        return f"start of the {runs[0].name} run"
    before = 0
    for run in runs:
        if place < before + run.leds:
            return f"{run.name} run, after {place - before} LEDs"
        before += run.leds
        if place == before:
            return f"end of the {run.name} run"
    raise AssertionError("a feed lies on the strip")


def _notes(fuse_a: float, supply_a: float) -> list[str]:
    notes = []
    if fuse_a > supply_a:
        notes.append(
            f"The supply limits itself at about {supply_a:g} A, before the {fuse_a:g} A fuse blows; the fuse "
            "is there for a supply that fails."
        )
    high = trade.value("light.input_high_share").number * trade.value("light.voltage").number
    logic = trade.value("light.logic_voltage").number
    threshold = trade.value("light.shifter_input_high").number
    notes.append(
        f"The data input wants {high:g} V, a controller of {logic:g} V gives {logic:g}: a level shifter with "
        f"a threshold of {threshold:g} V (74AHCT125 or like) stands between."
    )
    return notes
