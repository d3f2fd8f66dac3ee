"""The shopping list: amounts, trade units, the maker's prices."""

import csv
import io
from decimal import Decimal

import pytest

from pixel2make import kinds
from pixel2make.design import dimension
from pixel2make.errors import DesignError
from pixel2make.pack.shopping import read_prices, shopping_files, shopping_rows
from tests.design.catalogue import furnished


@pytest.fixture(scope="module")
def design():
    return dimension(furnished(), kinds.find("book"), size_mm=300)


def table(files):
    return list(csv.DictReader(io.StringIO(files["shopping.csv"].decode(), newline="")))


def test_every_material_is_a_line_with_its_waste(design):
    rows = table(shopping_files(design))
    assert [row["item"] for row in rows] == [m.name for m in design.materials]
    for row, material in zip(rows, design.materials, strict=True):
        assert float(row["needed"]) == pytest.approx(material.amount, abs=1e-3)
        assert row["waste"] == material.allowance
        assert float(row["buy"]) > 0
    assert "cost" not in rows[0]


def test_lines_end_as_rfc_4180_says(design):
    """RFC 4180, 2.1 and 2.6: lines end in CRLF; fields with commas are quoted."""
    text = shopping_files(design)["shopping.csv"].decode()
    assert text.endswith("\r\n")
    assert text.count("\n") == text.count("\r\n") == 1 + len(design.materials)


def test_leather_is_bought_by_the_square_foot(design):
    """1 square foot is 0.09290304 m2 (NIST SP 811, appendix B)."""
    leather = [row for row in table(shopping_files(design)) if row["item"].startswith("leather")]
    assert leather
    for row in leather:
        assert row["unit"] == "ft2"
        bought = float(row["buy"]) * 0.09290304
        assert float(row["needed"]) <= bought + 1e-4
        # Skins are measured to a quarter of a square foot: common practice.
        assert (4 * float(row["buy"])) % 1 == 0
        assert bought - float(row["needed"]) < 0.25 * 0.0929031


def test_boards_are_bought_by_the_sheet(design):
    """Common practice: greyboard in sheets of 700 x 1000 mm."""
    board = next(row for row in table(shopping_files(design)) if row["item"].startswith("greyboard"))
    assert board["unit"].startswith("sheets")
    assert float(board["needed"]) <= float(board["buy"]) * 0.7


def test_prices_are_the_makers(design):
    item, other = (m.name for m in design.materials[:2])
    rows = shopping_rows(design, {item: Decimal("2.50")})
    buy = Decimal(rows[1][1])
    assert rows[1][-2:] == ("2.50", f"{2.5 * float(buy):.2f}")
    assert rows[2][0] == other
    assert rows[2][-2:] == ("", "")
    assert rows[-1][0] == f"sum without {len(design.materials) - 1} items that have no price"
    assert rows[-1][-1] == rows[1][-1]


def test_a_filled_in_list_is_read_back(design):
    prices = {m.name: Decimal(i) / 4 for i, m in enumerate(design.materials)}
    text = shopping_files(design, prices)["shopping.csv"].decode()
    body = "".join(text.splitlines(keepends=True)[:-1])
    assert read_prices(body) == prices
    rows = shopping_rows(design, prices)
    assert rows[-1][0] == "sum"
    assert sum(Decimal(row[-1]) for row in rows[1:-1]) == Decimal(rows[-1][-1])


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("item,cost\nglue,3\n", "columns item,price_each"),
        ("", "columns item,price_each"),
        ("item,price_each\nglue,three\n", "line 2: 'three' is no price"),
        ("item,price_each\nglue,-1\n", "line 2: '-1' is no price"),
        ("item,price_each\nglue,inf\n", "no price"),
        ("item,price_each\nglue,1\nglue,2\n", "line 3: 'glue' has two prices"),
    ],
)
def test_a_price_list_that_will_not_do_is_refused(text, message):
    with pytest.raises(DesignError, match=message):
        read_prices(text)


def test_a_price_for_nothing_is_refused(design):
    with pytest.raises(DesignError, match="no item 'moonstone' to price; items are greyboard"):
        shopping_rows(design, {"moonstone": Decimal(1)})
