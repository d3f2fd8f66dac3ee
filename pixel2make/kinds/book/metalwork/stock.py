"""What metalwork is made of, to buy: sheet, wire and rod by size, pins by diameter and length."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import replace

from pixel2make import trade
from pixel2make.design.metalwork import Mechanism
from pixel2make.design.model import Material
from pixel2make.geometry.pieces import Sheet, Turned

__all__ = ["metalwork_materials", "without_sheet"]

_M2 = 1e6


def without_sheet(mechanism: Mechanism) -> Mechanism:
    """Its pins, wire and rod alone, where its sheet is counted with the parts."""
    return replace(mechanism, pieces=tuple(p for p in mechanism.pieces if p.source != "made"))


def metalwork_materials(mechanisms: Iterable[Mechanism]) -> Iterator[Material]:
    """Of all mechanisms together, as made of sheet metal.

    Sheet by the flat patterns' bounding boxes with an allowance for offcuts, wire and rod by their lengths,
    pins by count.
    """
    sheets: dict[tuple[str, float], float] = defaultdict(float)
    rods: dict[tuple[str, str, float], float] = defaultdict(float)
    pins: dict[tuple[float, float], int] = defaultdict(int)
    for mechanism in mechanisms:
        for piece in mechanism.pieces:
            shape = piece.shape
            if isinstance(shape, Turned):
                rods[piece.material, piece.source, shape.diameter_mm] += shape.length_mm
            elif isinstance(shape, Sheet) and piece.source == "made":
                across, along = shape.flat().size_mm
                sheets[piece.material, shape.sheet_mm] += across * along
        for hole in mechanism.holes:
            if hole.pin_mm:
                pins[hole.pin_mm, hole.length_mm] += 1
    for (diameter, length), count in sorted(pins.items()):
        longest = max(trade.value("clasp.pin_lengths").numbers)
        size = f"{diameter:g} x {length:g} mm" if length else f"{diameter:g} mm, over {longest:g} mm long"
        yield Material(f"escutcheon pins {size}", count, "pins", "none", "holes of the plates")
    share = trade.value("metal.area_allowance").number
    for (metal, thickness), area in sorted(sheets.items()):
        yield Material(
            f"{metal} sheet for metalwork {thickness:g} mm",
            round(area / _M2 * (1 + share), 5),
            "m2",
            f"{share:.0%} for offcuts",
            "flat patterns; not needed where they are printed",
        )
    spare = trade.value("metal.rod_allowance").number
    for (metal, source, diameter), length in sorted(rods.items()):
        yield Material(
            f"{metal} {source} {diameter:g} mm",
            round((length + spare) / 1000, 3),
            "m",
            f"{spare:g} mm to hold it by",
            "hinge wires" if source == "wire" else "pegs and studs; not needed where they are printed",
        )
