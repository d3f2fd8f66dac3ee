"""The maker's stock, tool and kerf."""

import pytest

from pixel2make.design.choices import settle
from pixel2make.design.cutting import Cutting, cutting_keys, cutting_of, parse_stock
from pixel2make.errors import DesignError, QuantityError


def cutting(**given):
    return cutting_of(settle(cutting_keys(), given))


def test_sizes_by_name_are_those_of_iso_216():
    """ISO 216:2007: A1 is 594 x 841 mm, B2 is 500 x 707 mm."""
    assert cutting(stock="paper=A1, greyboard=b2").stock_mm("paper") == (594, 841)
    assert cutting(stock="paper=A1, greyboard=b2").stock_mm("greyboard") == (500, 707)


@pytest.mark.parametrize(
    ("text", "size"),
    [
        ("600x400mm", (600, 400)),
        ("60 x 40 cm", (600, 400)),
        ("24in x 36in", (609.6, 914.4)),
        ("60,5 x 40 cm", (605, 400)),
        ("60cm × 400mm", (600, 400)),
        ("1/2 ft x 7 1/2 in", (152.4, 190.5)),
    ],
)
def test_sizes_as_makers_write_them(text, size):
    assert cutting(stock=text).stock_mm("leather") == pytest.approx(size)
    assert parse_stock(parse_stock(text)) == parse_stock(text), "what a plan keeps reads back as the same"


def test_a_size_for_one_material_leaves_the_others():
    one = cutting(stock="greyboard=300x420mm")
    assert one.stock_mm("greyboard") == (300, 420) and one.stock_mm("leather") == (600, 900)
    assert one.is_makers("greyboard") and not one.is_makers("leather")


@pytest.mark.parametrize(
    "text",
    ["", "600", "600x400", "x", "600x400mm, 500x300mm", "cheese=600x400mm", "=600x400mm", "9x4mm", "A99"],
)
def test_what_is_no_size_is_refused(text):
    with pytest.raises(QuantityError):
        parse_stock(text)
    with pytest.raises(DesignError, match="choice stock"):
        cutting(stock=text)


def test_kerf_by_process_or_by_the_maker():
    """Common practice: a knife takes nothing, a CO2 laser about 0.2 mm, a scroll saw 0.5 to 0.9 mm."""
    assert cutting().kerf_mm("greyboard") == 0
    assert cutting(process="laser").kerf_mm("greyboard") == 0.2
    assert 0.5 <= cutting(process="scroll_saw").kerf_mm("greyboard") <= 0.9
    assert cutting(process="laser", kerf="0.13mm").kerf_mm("card") == 0.13
    assert cutting(kerf="0").kerf_mm("card") == 0


def test_a_room_is_the_sheet_less_margins_and_a_cut():
    width, height = Cutting(stock=(("", (600.0, 400.0)),), kerf=0.5).room_mm("card")
    assert (width, height) == (600 - 20.5, 400 - 20.5)
