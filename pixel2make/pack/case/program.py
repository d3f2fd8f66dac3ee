"""The light's program for a board: its settings, the engine as it stands, and the loop round it."""

from __future__ import annotations

from collections.abc import Iterator

from pixel2make import trade
from pixel2make.design.light.frames import MODES, gamma_table, periods, wave_table
from pixel2make.design.light.model import LightPlan

__all__ = ["program_text"]

DATA_PIN, BUTTON_PIN = 0, 1
"""Pins that most boards have; the maker changes them at the top of the program."""

BYTES_A_LINE = 16

_LOOP = '''

def run(count=None):
    """Show frames for ever, or `count` of them; the button steps through the animations and to dark."""
    strip = neopixel.NeoPixel(Pin(DATA_PIN), COUNT)
    button = Pin(BUTTON_PIN, Pin.IN, Pin.PULL_UP)
    light = Light(COUNT, COLORS, WAVE, GAMMA, CAP, BAND, FADE, BREATH, CANDLE)
    mode = START
    n = 0
    was_up = True
    due = time.ticks_ms()
    try:
        while count is None or n < count:
            if mode < len(MODES):
                shown = light.frame(mode, n)
                for i in range(COUNT):
                    strip[i] = (shown[3 * i], shown[3 * i + 1], shown[3 * i + 2])
            else:
                strip.fill((0, 0, 0))
            strip.write()
            n = (n + 1) & 0x3FFFFFF
            due = time.ticks_add(due, FRAME_MS)
            wait = time.ticks_diff(due, time.ticks_ms())
            if wait > 0:
                time.sleep_ms(wait)
            else:
                due = time.ticks_ms()
            is_up = button.value() != 0
            if was_up and not is_up:
                mode = (mode + 1) % (len(MODES) + 1)
            was_up = is_up
    finally:
        strip.fill((0, 0, 0))
        strip.write()


if __name__ == "__main__":
    run()
'''


def program_text(light: LightPlan, title: str) -> str:
    """The program as a text in MicroPython, to be saved on the board as main.py.

    Parameters
    ----------
    light : LightPlan
    title : str
        Of the object, for the first line.
    """
    from importlib.resources import files

    engine = files("pixel2make.design.light").joinpath("engine.py").read_text("utf-8")
    return "\n".join(_head(light, title)) + "\n\n" + engine.rstrip() + "\n" + _LOOP


def _head(light: LightPlan, title: str) -> Iterator[str]:
    steps = periods(light.frame_rate)
    runs = ", ".join(f"{run.name} {run.leds}" for run in light.runs)
    modes = ", ".join(f"{i} {name}" for i, name in enumerate(MODES))
    white_a = light.capped_white_a
    yield f"# Light of the display case: {' '.join(title.split())}."
    yield "#"
    yield "# For a board that runs MicroPython and has the module neopixel; save it there as main.py."
    yield f"# Strip: {light.leds} LEDs, runs {runs}, in this order."
    yield (
        f"# Supply {light.supply_a:g} A; the worst frame draws {light.worst_a:.2f} A. Do not raise CAP: with"
    )
    yield f"# it even white stays at {white_a:.2f} A, which is what supply, fuse and wire were chosen for."
    yield "# At most three flashes a second, after WCAG 2.x 2.3.1; keep the periods if you change anything."
    yield ""
    yield "import time"
    yield ""
    yield "import neopixel"
    yield "from machine import Pin"
    yield ""
    yield f"DATA_PIN = {DATA_PIN}"
    yield f"BUTTON_PIN = {BUTTON_PIN}  # to ground; leave it open for no button"
    yield f"COUNT = {light.leds}"
    yield f"CAP = {light.cap}  # of 255"
    yield f"START = {MODES.index(light.animation)}  # {modes}"
    yield f"FRAME_MS = {round(light.frame_ms)}"
    for name in ("band", "fade", "breath", "candle"):
        yield f"{name.upper()} = {steps[name]}  # frames"
    yield f"COLORS = {light.colors!r}"
    yield from _bytes("WAVE", wave_table())
    yield from _bytes("GAMMA", gamma_table(trade.value("light.gamma").number))


def _bytes(name: str, table: bytes) -> Iterator[str]:
    yield f"{name} = bytes(("
    for i in range(0, len(table), BYTES_A_LINE):
        yield "    " + " ".join(f"{v}," for v in table[i : i + BYTES_A_LINE])
    yield "))"
