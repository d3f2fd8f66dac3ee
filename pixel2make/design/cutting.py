"""How sheet materials are cut: on which stock, with which tool, and what its cut takes away."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey, Number
from pixel2make.errors import QuantityError
from pixel2make.quantity import parse_length

__all__ = ["PROCESSES", "Cutting", "cutting_keys", "cutting_of", "parse_stock"]

PROCESSES = ("by_material", "knife", "laser", "piercing_saw", "scroll_saw", "band_saw")
"""Tools; by_material takes a knife for all that is flexible or board and a piercing saw for metal."""

_METALS = ("brass", "copper", "bronze", "steel", "aluminium", "silver")

_SAWN = ("acrylic", "opal_acrylic", "birch_plywood", "mdf")
_SAWN_SOLID = ("white_oak", "sugar_maple", "black_walnut", "black_cherry", "beech")
"""What a knife does not cut: sawn beside the line unless a laser or a saw of the maker's is named."""

_USUAL = "usual"
_BETWEEN = re.compile(r";|(?<!\d),|,(?!\d)")
"""Between two sizes; a comma amid digits is a decimal comma."""

_SIZE = re.compile(r"\s*(?P<width>[^x×]+?)\s*[x×]\s*(?P<height>[^x×]+?)\s*\Z", re.IGNORECASE)
_SHORTEST_MM, _LONGEST_MM = 50.0, 5000.0
"""Sheets that are sold, with room to spare on both sides."""

_WORDS = "sizes, such as 600x400mm or greyboard=700x1000mm, paper=A1"
_MOST_KERF_MM = 10.0
"""Wider than any saw's cut; a router's bit may be that wide."""


@dataclass(frozen=True)
class Cutting:
    """The maker's answers about cutting.

    Attributes
    ----------
    stock : tuple of (material, (width, height))
        Sizes that the maker has, "" for every material that is not named; the grain runs along the height.
    process : str
        One of `PROCESSES`.
    kerf : float or None
        Width of a cut in millimetres, None for that of the process.
    nesting : {"plain", "tight"}
    """

    stock: tuple[tuple[str, tuple[float, float]], ...] = ()
    process: str = "by_material"
    kerf: float | None = None
    nesting: str = "plain"

    def stock_mm(self, material: str) -> tuple[float, float]:
        """Width and height of a sheet of a material."""
        own = dict(self.stock)
        if material in own:
            return own[material]
        if "" in own:
            return own[""]
        key = f"stock.{material}"
        width, height = trade.value(key if key in set(trade.keys()) else "stock.card").numbers
        return width, height

    def room_mm(self, material: str) -> tuple[float, float]:
        """Width and height within the margins of a sheet, less one cut."""
        lost = 2 * trade.value("cutting.sheet_margin").number + self.kerf_mm(material)
        width, height = self.stock_mm(material)
        return width - lost, height - lost

    def knows(self, material: str) -> bool:
        """Is it told how large a sheet of a material is?"""
        return self.is_makers(material) or f"stock.{material}" in set(trade.keys())

    def stock_source(self, material: str) -> str:
        """Where the size of a sheet comes from."""
        return "the maker" if self.is_makers(material) else trade.value(f"stock.{material}").cited

    def is_makers(self, material: str) -> bool:
        """Did the maker say how large the sheets are?"""
        return any(name in ("", material) for name, _ in self.stock)

    def process_for(self, material: str) -> str:
        """The tool for a material: metal is sawn, whatever else a laser or a knife does."""
        if material in _METALS and self.process in ("by_material", "knife", "laser"):
            return "piercing_saw"
        if material in (*_SAWN, *_SAWN_SOLID) and self.process in ("by_material", "knife"):
            return "band_saw"
        return "knife" if self.process == "by_material" else self.process

    def kerf_mm(self, material: str) -> float:
        """Width of a cut in a material.

        By hand the saw runs beside the line, on the waste side, so metal has none unless the maker gives one.
        """
        process = self.process_for(material)
        if self.kerf is not None:
            return self.kerf
        if process in ("knife", "laser"):
            return trade.value(f"cutting.{process}_kerf").number
        if self.process != process:
            return 0.0
        return float(trade.value("cutting.saw_kerf").value[process])


def cutting_keys() -> tuple[ChoiceKey, ...]:
    """The questions about cutting, for every kind of object."""
    return (
        ChoiceKey(
            "stock",
            "How large are the sheets that you have? Width x height, the grain along the height; the usual "
            "sizes of the trade, or your own for all materials or by material.",
            (_USUAL,),
            _USUAL,
            reads=parse_stock,
            reads_words=_WORDS,
        ),
        ChoiceKey(
            "process",
            "What are the parts cut with? By material: a knife, for metal a piercing saw beside the line.",
            PROCESSES,
            PROCESSES[0],
        ),
        ChoiceKey(
            "kerf",
            "How wide is the cut? Cut lines lie half of it outside the part. Measure yours: cut a square of "
            "20 mm, the kerf is 20 mm less what it measures.",
            ("by_process",),
            "by_process",
            number=Number(0.0, _MOST_KERF_MM, "mm", 0.2),
        ),
        ChoiceKey(
            "nesting",
            "How closely do parts lie on a sheet? Tight saves a sheet now and then, takes seconds for each, "
            'lays them anew in every run, and wants the extra: pip install "pixel2make[nest]".',
            ("plain", "tight"),
            "plain",
        ),
    )


def cutting_of(taken: Mapping[str, str | float]) -> Cutting:
    """The answers to `cutting_keys`, those that are not there as by default."""
    kerf = taken.get("kerf", "by_process")
    return Cutting(
        _stock(str(taken.get("stock", _USUAL))),
        str(taken.get("process", PROCESSES[0])),
        kerf if isinstance(kerf, float) else None,
        str(taken.get("nesting", "plain")),
    )


def parse_stock(text: str) -> str:
    """Sizes of stock in words that read back as the same.

    Parameters
    ----------
    text : str
        One or more sizes between commas or semicolons, each for all materials or, after "=", for one: a
        width and a height in any unit of length, or a size of ISO 216 such as A1.

    Raises
    ------
    QuantityError

    Examples
    --------
    >>> parse_stock("600x400mm")
    '600x400mm'
    >>> parse_stock("greyboard = 24 in x 36 in; paper=A1")
    'greyboard=609.6x914.4mm, paper=594x841mm'
    """
    return ", ".join(
        f"{f'{material}=' if material else ''}{width:.10g}x{height:.10g}mm"
        for material, (width, height) in _stock(text)
    )


def _stock(text: str) -> tuple[tuple[str, tuple[float, float]], ...]:
    if text == _USUAL:
        return ()
    found: dict[str, tuple[float, float]] = {}
    known = tuple(key.removeprefix("stock.") for key in sorted(trade.keys()) if key.startswith("stock."))
    for entry in _BETWEEN.split(text):
        material, sign, size = entry.rpartition("=")
        name = material.strip().lower().replace(" ", "_")
        if sign and name not in known:
            raise QuantityError(f"{material.strip()!r} is no sheet material; those are {', '.join(known)}")
        if name in found:
            raise QuantityError(f"the stock of {name or 'all materials'} is given twice; keep one of them")
        found[name] = _size(size)
    return tuple(found.items())


def _size(text: str) -> tuple[float, float]:
    named = {**trade.value("paper.iso216.a").value, **trade.value("paper.iso216.b").value}
    if text.strip().upper() in named:
        width, height = named[text.strip().upper()]
        return float(width), float(height)
    match = _SIZE.match(text)
    if match is None:
        raise QuantityError(f"{text.strip()!r} is no size of a sheet; write one such as 600x400mm or A1")
    width, height = match["width"], match["height"]
    if not re.search(r"[^\d.,/\s]", width):
        # One unit at the end is meant for both.
        unit = re.search(r"[^\d./\s].*\Z", height)
        width += unit[0] if unit else ""
    sides = [parse_length(side, low_mm=_SHORTEST_MM, high_mm=_LONGEST_MM) for side in (width, height)]
    return sides[0], sides[1]
