"""What to buy, as a table for a spreadsheet; prices are the maker's own or none."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping
from decimal import Decimal, InvalidOperation

from pixel2make.design.model import Design, Material
from pixel2make.errors import DesignError
from pixel2make.pack.amounts import amount_in
from pixel2make.quantity import in_units

__all__ = ["read_prices", "shopping_files", "shopping_rows"]

HEAD = ("item", "buy", "unit", "needed", "needed_unit", "waste", "counted_from")
PRICED = ("price_each", "cost")

_DECIMALS = 3
"""A thousandth of a square metre, a millimetre of thread: finer than anything is sold."""

_CENT = Decimal("0.01")


def shopping_files(design: Design, prices: Mapping[str, Decimal] | None = None) -> dict[str, bytes]:
    """``shopping.csv``: one line a material, UTF-8, comma-separated with CRLF line ends (RFC 4180).

    Parameters
    ----------
    design : Design
    prices : mapping of item to price, optional
        Of one unit as it is bought; adds columns for price and cost, and a sum where every item has one.
    """
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows(shopping_rows(design, prices))
    return {"shopping.csv": out.getvalue().encode()}


def shopping_rows(design: Design, prices: Mapping[str, Decimal] | None = None) -> list[tuple[str, ...]]:
    """The table with its head.

    Raises
    ------
    DesignError
        Where a price is for something that is not on the list.
    """
    units = design.units
    names = [in_units(material.name, units) for material in design.materials]
    # A price list that was made with the other units names things with those.
    other = {material.name: name for material, name in zip(design.materials, names, strict=True)}
    prices = {other.get(item, item): price for item, price in (prices or {}).items()}
    unknown = [name for name in prices if name not in names]
    if unknown:
        raise DesignError(
            f"there is no item {unknown[0]!r} to price; items are {'; '.join(dict.fromkeys(names))}"
        )
    if not prices:
        return [HEAD, *(_row(material, units) for material in design.materials)]
    costs = [
        _cost(material, prices.get(name), units)
        for material, name in zip(design.materials, names, strict=True)
    ]
    rows = [
        (*_row(material, units), *_money(prices.get(name)), *_money(cost))
        for material, name, cost in zip(design.materials, names, costs, strict=True)
    ]
    known = sum((cost for cost in costs if cost is not None), Decimal(0))
    missing = costs.count(None)
    word = f"sum without {missing} items that have no price" if missing else "sum"
    return [(*HEAD, *PRICED), *rows, (word, *[""] * len(HEAD), *_money(known))]


def _row(material: Material, units: str) -> tuple[str, ...]:
    buy, unit = amount_in(*material.to_buy, units)
    needed, needed_unit = amount_in(material.amount, material.unit, units)
    return (
        in_units(material.name, units),
        _number(buy),
        unit,
        _number(needed),
        needed_unit,
        in_units(material.allowance, units),
        in_units(material.origin, units),
    )


def _number(value: float) -> str:
    return f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".")


def _cost(material: Material, price: Decimal | None, units: str) -> Decimal | None:
    """Of what is bought, in the unit that stands on the list."""
    if price is None:
        return None
    return (price * Decimal(_number(amount_in(*material.to_buy, units)[0]))).quantize(_CENT)


def _money(amount: Decimal | None) -> tuple[str]:
    return ("" if amount is None else f"{amount.quantize(_CENT)}",)


def read_prices(text: str) -> dict[str, Decimal]:
    """Prices from a maker's table with the columns ``item`` and ``price_each``, others left alone.

    A shopping list whose price column was filled in will do; lines without a price are skipped.

    Raises
    ------
    DesignError
        Naming the line and what would do.

    Examples
    --------
    >>> read_prices("item,price_each\\nlinen tape 10 mm,0.80\\n")
    {'linen tape 10 mm': Decimal('0.80')}
    """
    reader = csv.DictReader(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    if not {"item", "price_each"} <= set(reader.fieldnames or ()):
        raise DesignError("a price list has a first line with the columns item,price_each")
    found: dict[str, Decimal] = {}
    for row in reader:
        item, price = (row["item"] or "").strip(), (row["price_each"] or "").strip()
        if not price:
            continue
        try:
            value = Decimal(price)
        except InvalidOperation:
            value = Decimal("NaN")
        if not (value.is_finite() and value >= 0):
            raise DesignError(
                f"line {reader.line_num}: {price!r} is no price; write a plain number, such as 12.50"
            )
        if item in found and found[item] != value:
            raise DesignError(f"line {reader.line_num}: {item!r} has two prices; leave one of them out")
        found[item] = value
    return found
