"""The light's program, run by the real MicroPython on a stub of the LED driver that keeps the frames."""

import math

import numpy as np
import pytest

from pixel2make.design.case import design_case
from pixel2make.design.light.frames import (
    MODES,
    flashes_a_second,
    frame_currents_ma,
    frames,
    light_of,
)
from pixel2make.pack.case.program import program_text
from tests.case.board import frames_on_board
from tests.case.objects import GLOW, held

CASES = {
    "usual": {},
    "dense": {"led_density": "144", "led_rate": 20.0},
    "sparse": {"led_density": "30", "led_run": "front"},
}


@pytest.fixture(scope="module", params=CASES)
def plan(request):
    return design_case(held(), GLOW, CASES[request.param]).light


@pytest.mark.parametrize("mode", range(3), ids=MODES)
def test_the_board_shows_the_frames_of_the_reference(plan, mode, tmp_path):
    count = 160
    shown, _ = frames_on_board(program_text(plan, "a ledger"), tmp_path, start=mode, count=count)
    light = light_of(plan.leds, plan.colors, plan.cap, plan.frame_rate)
    assert np.array_equal(shown[:-1], frames(light, MODES[mode], count))
    assert not shown[-1].any(), "the strip is left dark"


def test_every_frame_fits_into_its_time_and_into_the_plan_s_current(plan, tmp_path):
    shown, latched = frames_on_board(program_text(plan, "a ledger"), tmp_path, start=0, count=200)
    apart = np.diff(latched[:-1])
    sending_us = (
        plan.leds * 24 * 1.25 + 300
    )  # Worldsemi WS2812B: 800 kbit/s, 24 bits; reset of the V5 over 280 us
    assert apart.min() >= sending_us
    # Clock ticks are whole milliseconds, so single frames jitter by one; none drifts.
    assert abs(apart - 1e6 / plan.frame_rate).max() <= 2000
    assert (latched[-2] - latched[0]) / (len(latched) - 2) == pytest.approx(1e6 / plan.frame_rate, rel=0.02)
    drawn_ma = shown.sum(axis=(1, 2)) / 765 * plan.led_ma + plan.leds * plan.dark_ma + plan.controller_ma
    assert drawn_ma.max() / 1000 <= plan.worst_a + 1e-9
    assert plan.worst_a <= plan.capped_white_a <= 0.8 * plan.supply_a + 1e-9


def test_the_button_steps_through_the_animations_to_dark_and_on(tmp_path):
    plan = design_case(held(), GLOW).light
    shown, _ = frames_on_board(
        program_text(plan, "a ledger"), tmp_path, start=0, count=60, presses=(10, 20, 21, 30, 40)
    )
    light = light_of(plan.leds, plan.colors, plan.cap, plan.frame_rate)
    for first, last, mode in ((0, 10, 0), (10, 20, 1), (20, 30, 2), (40, 60, 0)):
        assert np.array_equal(shown[first:last], frames(light, MODES[mode], last - first, first)), mode
    assert not shown[30:40].any()


# An account of the animations of its own, in floating point, from what they are said to do.
def test_breathing_follows_a_raised_cosine_through_the_gamma():
    light = light_of(10, ((255, 128, 0),), 200, 30.0)
    shown = frames(light, "breathing", 120)
    # One step of 256 of the wave is 3.1 levels at its steepest, two roundings down are 2; the gamma's slope
    # is at most 2.6, the cap 200 of 255.
    slack = (math.pi + 2) * 2.6 * 200 / 255
    for n in range(120):
        level = (40 + 215 * (1 - math.cos(2 * math.pi * n / 120)) / 2) / 255
        for channel, full in enumerate((255, 128, 0)):
            wish = 200 * (level * full / 255) ** 2.6
            assert abs(shown[n, 0, channel] - wish) <= slack, (n, channel)


def test_the_band_passes_every_led_once_a_round_and_fades():
    light = light_of(40, ((0, 255, 0),), 255, 30.0)
    shown = frames(light, "shimmer", 450)[..., 1].astype(int)
    brightest = shown.argmax(axis=1)
    # Where the band is brightest moves on along the strip, once round in 5 s of 150 frames.
    steps = np.diff(brightest) % 40
    assert steps.sum() == pytest.approx(3 * 40, abs=2)
    assert set(steps.tolist()) <= {0, 1}
    swing = shown.max(axis=1)
    assert swing[0] < 0.3 * swing[225], "faded out at the start, full half way through its 15 s"


def test_a_candle_never_jumps_and_never_repeats():
    light = light_of(30, ((255, 160, 60),), 255, 30.0)
    shown = frames(light, "candle", 900)[..., 0].astype(int)
    assert abs(np.diff(shown, axis=0)).max() < 60
    assert len({tuple(row) for row in shown[::12].tolist()}) > 60


# W3C, WCAG 2.x, success criterion 2.3.1: no more than three flashes in any one second. Taken at its
# strictest: full light is the program's own cap, and red counts with every saturated colour.
@pytest.mark.parametrize("mode", MODES)
@pytest.mark.parametrize("rate", [10.0, 30.0, 60.0])
@pytest.mark.parametrize("colors", [GLOW, ((255, 0, 0),), ((255, 255, 255), (255, 0, 0), (0, 0, 255))])
def test_no_animation_flashes_more_than_three_times_a_second(mode, rate, colors):
    light = light_of(17, colors, 255, rate)
    shown = frames(light, mode, round(20 * rate))
    assert flashes_a_second(shown, rate, full=255) <= 3


# Counted by hand: light and dark in turn at f Hz is f flashes a second.
@pytest.mark.parametrize(("hertz", "flashes"), [(1, 1), (2, 2), (3, 3), (5, 5), (10, 10)])
@pytest.mark.parametrize("color", [(255, 255, 255), (255, 0, 0)])
def test_a_square_wave_is_counted_as_it_flashes(hertz, flashes, color):
    rate = 60
    on = (np.arange(3 * rate) * hertz * 2 // rate) % 2 == 0
    shown = np.zeros((3 * rate, 1, 3), np.uint8)
    shown[on] = color
    assert abs(flashes_a_second(shown, rate) - flashes) <= 1


def test_a_small_ripple_and_a_bright_one_are_no_flashes():
    rate, shown = 60, np.zeros((180, 1, 3), np.uint8)
    shown[::2], shown[1::2] = 100, 115  # 6 % of full
    assert flashes_a_second(shown, rate) == 0
    shown[::2], shown[1::2] = 255, 215  # a sixth, but the darker state is above 0.8
    assert flashes_a_second(shown, rate) == 0


def test_white_at_full_draws_what_is_planned_for():
    shown = np.full((1, 60, 3), 255, np.uint8)
    assert frame_currents_ma(shown, led_ma=60, dark_ma=1)[0] == pytest.approx(3600 + 60)
