"""The build volume of a maker's printer."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey
from pixel2make.errors import QuantityError

__all__ = ["Bed", "bed_keys", "parse_bed"]

_LEAST_MM = 40.0
"""A side below this is a slip of the unit."""


@dataclass(frozen=True)
class Bed:
    """Build volume of a printer, mm."""

    width_mm: float
    depth_mm: float
    height_mm: float

    def holds(self, size: Sequence[float]) -> bool:
        """Whether a piece of that size fits, turned on the bed by a right angle or not."""
        x, y, z = size
        across, along = sorted((self.width_mm, self.depth_mm))
        small, large = sorted((x, y))
        return small <= across and large <= along and z <= self.height_mm


def parse_bed(text: str) -> Bed:
    """A build volume from "180x180x180mm", in mm, cm or in.

    Raises
    ------
    QuantityError
        Where it is none.

    Examples
    --------
    >>> parse_bed("18 x 18 x 18 cm")
    Bed(width_mm=180.0, depth_mm=180.0, height_mm=180.0)
    """
    number = r"(\d+(?:\.\d+)?)"
    found = re.fullmatch(rf"\s*{number}\s*x\s*{number}\s*x\s*{number}\s*(mm|cm|in)\s*", text.lower())
    if found is None:
        raise QuantityError("a build volume is width x depth x height with a unit, 180x180x180mm")
    unit = {"mm": 1.0, "cm": 10.0, "in": trade.value("units.inch").number}[found[4]]
    sizes = [float(found[i]) * unit for i in (1, 2, 3)]
    if min(sizes) < _LEAST_MM:
        raise QuantityError(f"no printer is that small; {_LEAST_MM:g} mm a side is the least")
    return Bed(*sizes)


def bed_keys() -> Iterator[ChoiceKey]:
    """How large pieces may be printed in one."""
    usual = str(trade.value("printing.bed").value)
    yield ChoiceKey(
        "bed",
        "How large is your printer's build volume? Larger pieces are split with a keyed joint.",
        (usual,),
        usual,
        reads=_read,
        reads_words="width x depth x height, such as 220x220x250mm",
    )


def _read(text: str) -> str:
    bed = parse_bed(text)
    return f"{bed.width_mm:g}x{bed.depth_mm:g}x{bed.height_mm:g}mm"
