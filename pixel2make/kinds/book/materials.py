"""What to buy, with allowance, and what the finished book weighs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.leaf import LEAVES, books_to_buy, leaf_plan, leaf_side_mm
from pixel2make.design.metalwork import Fitting
from pixel2make.design.model import Area, Clasp, Material, Part
from pixel2make.kinds.book.bevel import bevel_mm, wedge_mm3
from pixel2make.kinds.book.block import Block, Stock
from pixel2make.kinds.book.block_materials import (
    adhesive_materials,
    paper_materials,
    sewing_materials,
    spine_materials,
)
from pixel2make.kinds.book.boards import turned
from pixel2make.kinds.book.clasp import clasp_mass_g
from pixel2make.kinds.book.metalwork.gauges import METALS
from pixel2make.kinds.book.metalwork.stock import metalwork_materials, without_sheet
from pixel2make.kinds.book.sewing import Sewing

__all__ = ["book_mass_g", "book_materials", "part_mass_g", "square_feet"]

_M2 = 1e6
"""Square millimetres in a square metre."""

_DM2 = 1e4
"""Square millimetres in a square decimetre, by which skins are measured outside North America."""


_GRAMMAGE = {
    "paper": "paper.grammage",
    "endpaper": "paper.endpaper_grammage",
    "lining_paper": "covering.lining_grammage",
    "mull": "covering.mull_grammage",
    "headband": "covering.headband_grammage",
    "cloth": "covering.cloth_grammage",
    "ribbon": "covering.ribbon_grammage",
}
"""Where the mass by area of flexible materials stands; the others go by density."""


def part_mass_g(part: Part, *, grammage: float | None = None) -> float:
    """Mass of all pieces of a part as they lie in the finished book, from area, thickness and density.

    Parameters
    ----------
    part : Part
    grammage : float, optional
        g/m2 of the text paper; usual paper without it.
    """
    area_m2 = part.quantity * part.outline.area / _M2
    if part.material == "paper" and grammage is not None:
        return area_m2 * grammage
    if part.material in _GRAMMAGE:
        return area_m2 * trade.value(_GRAMMAGE[part.material]).number
    density = {
        "greyboard": "boards.density",
        "card": "boards.card_density",
        "leather": "covering.leather_density",
        "foam": "paper.core_density",
    }.get(part.material)
    per_cm3 = (
        trade.value(density).number if density else float(trade.value("metal.density").value[part.material])
    )
    # 1 m2 of 1 mm is 1000 cm3.
    return area_m2 * part.thickness_mm * 1000 * per_cm3


def square_feet(area_mm2: float) -> float:
    """Leather is sold by the square foot.

    >>> round(square_feet(483.2 * 330), 3)
    1.716
    """
    return area_mm2 / _M2 / trade.value("units.square_foot").number


def book_mass_g(
    parts: Sequence[Part],
    clasps: Sequence[Clasp],
    *,
    grammage: float | None = None,
    lengths: Lengths | None = None,
) -> tuple[tuple[str, float], ...]:
    """Mass by part; clasps count as sheet metal with both plates, bevelled boards without their bevel."""
    by_name = {clasp.name: clasp for clasp in clasps}
    return tuple(
        (
            part.name,
            clasp_mass_g(by_name[part.name])
            if part.name in by_name
            else part_mass_g(part, grammage=grammage) - _bevel_g(part, lengths),
        )
        for part in parts
    )


def _bevel_g(part: Part, lengths: Lengths | None) -> float:
    """What a bevel takes off a board."""
    if lengths is None or not part.name.endswith("_board") or not bevel_mm(lengths):
        return 0.0
    outline = part.outline if part.name == "front_board" else turned(part.outline)
    removed = wedge_mm3(outline, bevel_mm(lengths), lengths["bevel_depth"])
    # A gram a cubic centimetre is a thousandth of a gram a cubic millimetre.
    return removed / 1000 * trade.value("boards.density").number


def book_materials(
    lengths: Lengths,
    block: Block,
    parts: Sequence[Part],
    areas: Sequence[Area],
    clasps: Sequence[Clasp],
    *,
    sewing: Sewing,
    stock: Stock,
    leaf: str = LEAVES[0],
    fittings: Sequence[Fitting] = (),
) -> tuple[Material, ...]:
    """Everything to buy, in trade units. The sheet of fittings counts with the parts that are cut."""
    return (
        *_sheets(parts),
        *paper_materials(lengths, block, stock, parts),
        *sewing_materials(lengths, sewing),
        *spine_materials(parts),
        *_covering(parts),
        *adhesive_materials(parts),
        *_gilding(areas, leaf),
        *metalwork_materials(
            [
                *(clasp.metal for clasp in clasps if clasp.metal is not None),
                *(without_sheet(fitting.sheet) for fitting in fittings),
            ]
        ),
    )


def _sheets(parts: Sequence[Part]) -> Iterator[Material]:
    """Board and metal by thickness."""
    kinds = sorted(
        {(p.material, p.thickness_mm) for p in parts if p.material in ("greyboard", "card", *METALS)}
    )
    for material, thickness in kinds:
        area = sum(
            p.quantity * p.outline.envelope.area
            for p in parts
            if (p.material, p.thickness_mm) == (material, thickness) and p.is_cut
        )
        if not area:
            continue
        key = "metal.area_allowance" if material in METALS else "boards.area_allowance"
        share = trade.value(key).number
        amount = area / _M2 * (1 + share)
        sheet = trade.value(f"stock.{material}").numbers
        yield Material(
            f"{material} {thickness:g} mm",
            round(amount, 4),
            "m2",
            f"{share:.0%} for offcuts",
            "bounding boxes of the pieces",
            math.ceil(round(amount / (sheet[0] * sheet[1] / _M2), 9)),
            f"sheets {sheet[0]:g} x {sheet[1]:g} mm",
        )


def _covering(parts: Sequence[Part]) -> Iterator[Material]:
    for material, thickness in sorted({(p.material, p.thickness_mm) for p in parts}):
        if material not in ("leather", "cloth"):
            continue
        pieces = [p for p in parts if (p.material, p.thickness_mm) == (material, thickness)]
        area = sum(p.quantity * p.outline.envelope.area for p in pieces)
        share = trade.value(f"covering.{material}_waste").number
        amount = area / _M2 * (1 + share)
        yield Material(
            f"{material} {thickness:g} mm",
            round(amount, 4),
            "m2",
            f"{share:.0%} for what cannot be used",
            f"pieces of {area / _DM2:.2f} dm2, {square_feet(area):.2f} square feet; "
            f"{amount * _M2 / _DM2:.2f} dm2, {square_feet(amount * _M2):.2f} square feet with the waste"
            f"{_like(pieces)}",
            *_bought(material, amount),
        )


def _bought(material: str, amount_m2: float) -> tuple[float, str]:
    """Leather as skins are measured, cloth off the roll; rounded up."""
    if material == "leather":
        step = trade.value("covering.skin_step").number
        return math.ceil(round(square_feet(amount_m2 * _M2) / step, 9)) * step, "ft2"
    width, step = trade.value("stock.cloth").numbers[0] / 1000, trade.value("covering.roll_step").number
    return round(math.ceil(round(amount_m2 / width / step, 9)) * step, 3), f"m of a roll {width:g} m wide"


def _like(pieces: Sequence[Part]) -> str:
    """The colours to look for."""
    colors = dict.fromkeys(piece.color for piece in pieces if piece.color)
    return f"; in a colour like {', '.join(colors)}" if colors else ""


def _gilding(areas: Sequence[Area], leaf: str) -> Iterator[Material]:
    gilded = [area for area in areas if area.treatment == "gilded"]
    painted = [area for area in areas if area.treatment == "painted"]
    if gilded:
        count = sum(leaf_plan(a.outline, leaf=leaf).leaves for a in gilded)
        side = leaf_side_mm(leaf)
        in_book = trade.value("gilding.leaves_in_book").number
        spare = trade.value("gilding.spare_books").number
        yield Material(
            f"metal leaf {side:g} x {side:g} mm",
            count,
            "leaves",
            f"one book in {1 / spare:.0f} kept for mending",
            f"{_books(books_to_buy(count))} of {in_book:g}; by area with lap, or as they are laid and cut",
        )
        coverage = trade.value("gilding.size_coverage")
        area_m2 = sum(a.outline.area for a in gilded) / _M2
        yield Material(
            "gilding size",
            round(area_m2 / coverage.number * 1000, 2),
            "mL",
            "none; the smallest pot holds more",
            "gilded area",
        )
    for color in sorted({area.color for area in painted}):
        area_m2 = sum(a.outline.area for a in painted if a.color == color) / _M2
        yield Material(
            f"acrylic paint {color}",
            round(area_m2 / trade.value("gilding.paint_coverage").number * 1000, 2),
            "mL",
            "two coats",
            "painted area",
        )


def _books(count: int) -> str:
    return "1 book" if count == 1 else f"{count} books"
