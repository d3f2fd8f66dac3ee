"""Movement of wood and acrylic against the Wood Handbook and the sheet makers' figures."""

import pytest

from pixel2make import trade
from pixel2make.design.case.movement import acrylic_movement, equilibrium_moisture, wood_movement


# Wood Handbook FPL-GTR-190, table 4-2, 70 degrees F (value recalled), and the 140 F check of equation 4-5.
@pytest.mark.parametrize(
    ("humidity", "fahrenheit", "percent"),
    [
        (25, 70, 5.4),
        (30, 70, 6.2),
        (40, 70, 7.7),
        (50, 70, 9.2),
        (65, 70, 12.0),
        (80, 70, 16.0),
        (55, 140, 8.4),
    ],
)
def test_moisture_content_follows_the_wood_handbook(humidity, fahrenheit, percent):
    assert equilibrium_moisture(humidity, (fahrenheit - 32) / 1.8) == pytest.approx(percent, abs=0.1)


# Wood Handbook table 13-5: white oak 0.00365 tangential; dD = D C (M2 - M1) of chapter 13. Between 30 and
# 65 % humidity wood goes from 6.2 to 12.0 % (table 4-2): 250 x 0.00365 x 5.8 = 5.29 mm.
def test_white_oak_moves_as_the_handbook_says():
    moves = wood_movement("white_oak", 250, is_across=True)
    assert moves.grow_mm + moves.shrink_mm == pytest.approx(5.29, abs=0.1)


def test_solid_wood_rests_along_its_grain_and_a_panel_moves_alike_in_both():
    assert wood_movement("beech", 400, is_across=False).grow_mm == 0
    assert wood_movement("mdf", 400, is_across=False) == wood_movement("mdf", 400, is_across=True)


# ACRYLITE knowledge base: 4.0e-5 per degree F. A 400 mm sheet that warms by 30 K grows 0.864 mm.
def test_acrylic_expands_as_its_maker_says():
    assert 400 * 30 * trade.value("acrylic.expansion").number == pytest.approx(400 * 4.0e-5 * 1.8 * 30)


# Heat alone, 15 K either way, is 0.432 mm on 400 mm; moisture (0 to 0.6 % of length over the whole range)
# only adds to it.
def test_acrylic_moves_by_heat_and_moisture_together():
    moves = acrylic_movement(400)
    assert 0.432 < moves.grow_mm < 0.432 + 0.006 * 400
    assert 0.432 < moves.shrink_mm < 0.432 + 0.006 * 400


def test_the_moisture_range_stays_where_the_coefficients_hold():
    low, high = trade.value("wood.moisture_range").numbers
    for air in trade.value("wood.humidity").value.values():
        assert low <= equilibrium_moisture(air) <= high
