"""Currents, wire and supply against IEC 60228, ASTM B258 and hand-worked examples."""

import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pixel2make import trade
from pixel2make.design.case import case_keys, design_case
from pixel2make.design.choices import settle
from pixel2make.design.light.plan import light_plan, loop_resistance, strip_drop_v
from pixel2make.errors import DesignError
from tests.case.objects import GLOW, held


def answers(**changed):
    return {**settle([k for k in case_keys() if k.key != "display_case"], {}), **changed}


# IEC 60228, class 5, plain copper, 20 degrees: 39.0, 26.0, 19.5, 13.3 and 7.98 ohm/km. The standard's values
# lie above what the metal alone would have, by its stranding: at 58 MS/m a cross-section A has 1000/(58 A).
@pytest.mark.parametrize(("mm2", "ohm_km"), [(0.5, 39.0), (0.75, 26.0), (1, 19.5), (1.5, 13.3), (2.5, 7.98)])
def test_flexible_wire_has_the_resistance_of_its_standard(mm2, ohm_km):
    assert loop_resistance(500_000, mm2) == pytest.approx(ohm_km)
    assert 1.0 < ohm_km / (1000 / 58 / mm2) < 1.2


# ASTM B258: diameter 0.127 mm x 92^((36 - n)/39); 18 AWG is 0.823 mm2, 20 AWG 0.518 mm2 (wire tables).
@pytest.mark.parametrize("mm2", ["0.5", "0.75", "1", "1.5", "2.5"])
def test_the_american_gauge_named_is_no_thinner_and_the_nearest_such(mm2):
    def area(gauge):
        return math.pi / 4 * (0.127 * 92 ** ((36 - gauge) / 39)) ** 2

    assert area(18) == pytest.approx(0.823, abs=1e-3)
    assert area(20) == pytest.approx(0.518, abs=1e-3)
    gauge = trade.value("light.wire.awg").value[mm2]
    assert area(gauge) >= float(mm2) > area(gauge + 1)


# IEC 60028: copper at 60 degrees has 1 + 0.00393 x 40 = 1.157 times its resistance at 20.
def test_warm_copper_resists_more():
    assert loop_resistance(1000, 1, 60) / loop_resistance(1000, 1) == pytest.approx(1.1572)


# By hand: 60 LEDs of 36 mA on 6.2 milliohm a pitch drop 0.036 x 0.0062 x 60 x 61/2 = 0.4085 V.
def test_the_drop_along_a_strip_is_the_sum_over_its_pitches():
    by_sum = sum(0.036 * (60 - k) * 0.0062 for k in range(60))
    assert strip_drop_v(0.036, 0.0062, 60) == pytest.approx(by_sum)
    assert by_sum == pytest.approx(0.4085, abs=1e-4)


# Common practice, worked by hand: a trench of 1010 mm less 15 at each end holds floor(980/16.667) = 58 LEDs.
def test_a_run_holds_whole_leds():
    plan = light_plan([("front", 1010.0)], GLOW, answers())
    assert plan.leds == 58
    assert plan.runs[0].strip_mm == pytest.approx(58 * 1000 / 60)


# 60 LEDs of 60 mA on a supply of 2.5 A whose controller draws nothing could shine at 0.8 x 2.5/3.6 = 0.5556;
# with the dark current of 60 mA and a controller of 500 mA it is (2.0 - 0.56)/3.6 = 0.4.
def test_the_cap_follows_from_the_supply():
    plan = light_plan([("front", 1031.0)], GLOW, answers(led_supply=2.5))
    assert plan.leds == 60
    assert plan.cap == math.floor(255 * 0.4)


@settings(max_examples=25)
@given(
    st.lists(st.floats(80, 700), min_size=1, max_size=3),
    st.sampled_from(["30", "60", "144"]),
    st.sampled_from(["usual", 12.0, 36.0]),
    st.sampled_from(["auto", 2.0, 5.0]),
    st.floats(300, 4000),
)
def test_every_plan_holds_or_says_what_would(rooms, density, current, supply, lead):
    taken = answers(led_density=density, led_current=current, led_supply=supply, led_lead=lead, led_rate=20.0)
    try:
        plan = light_plan([(f"run {i}", room) for i, room in enumerate(rooms)], GLOW, taken)
    except DesignError as error:
        assert "choose" in str(error) or "nearer" in str(error)
        return
    assert plan.worst_a <= plan.capped_white_a <= 0.8 * plan.supply_a + 1e-9
    assert plan.fuse_a >= plan.capped_white_a
    assert plan.fuse_a <= trade.value("light.wire.rated").value[f"{plan.wire_mm2:g}"]
    # Worldsemi WS2812B: specified down to 4.5 V; half a volt may be lost.
    assert plan.lead_drop_v + plan.strip_drop_v <= 0.5 + 1e-9
    assert plan.send_ms + plan.reckon_ms <= plan.frame_ms
    assert all(run.strip_mm + 2 * 15 <= run.room_mm + 1e-6 for run in plan.runs)


@pytest.mark.parametrize(
    ("changed", "rooms", "words"),
    [
        (
            {"led_supply": 1.0, "led_density": "144"},
            [400.0, 600.0],
            r"1 A carries 42; choose led_supply=2 or",
        ),
        ({"led_density": "144", "led_rate": 60.0}, [300.0, 700.0], r"enough for \d+; choose led_rate=\d+"),
        ({"led_density": "30"}, [40.0], "holds no LED"),
        (
            {"led_lead": 27000.0, "led_supply": 8.0, "led_density": "144", "led_rate": 20.0},
            [700.0, 700.0, 700.0],
            "nearer",
        ),
    ],
)
def test_what_cannot_be_lit_is_refused_with_what_can(changed, rooms, words):
    with pytest.raises(DesignError, match=words):
        light_plan([(f"run {i}", room) for i, room in enumerate(rooms)], GLOW, answers(**changed))


def test_the_supply_and_the_rate_that_are_named_do():
    rooms = [("front", 400.0), ("right", 600.0)]
    assert light_plan(rooms, GLOW, answers(led_supply=2.0, led_density="144")).cap >= 25
    with pytest.raises(DesignError) as refused:
        light_plan(rooms, GLOW, answers(led_density="144", led_rate=60.0))
    named = float(str(refused.value).split("led_rate=")[-1].split()[0])
    assert light_plan(rooms, GLOW, answers(led_density="144", led_rate=named)).frame_rate == named


# Worldsemi WS2812B: 24 bits of 1.25 us; the V5 latches after more than 280 us.
def test_sending_takes_what_the_data_sheet_says():
    plan = light_plan([("front", 1031.0)], GLOW, answers())
    assert plan.send_ms == pytest.approx(60 * 24 * 1.25e-3 + 0.3)


def test_the_leds_lie_in_their_trenches_at_the_strip_s_pitch():
    from shapely.geometry import Point

    from pixel2make.design.case.trench import trench_boxes, trench_centres

    case = design_case(held(), GLOW)
    places = trench_centres(case, case.light)
    boxes = trench_boxes(case)
    assert len(places) == case.light.leds
    start = 0
    for run in case.light.runs:
        own = places[start : start + run.leds]
        start += run.leds
        assert all(boxes[run.name].contains(Point(x, y)) for x, y, _ in own)
        assert all(math.dist(a, b) == pytest.approx(1000 / 60) for a, b in pairwise(own))
