"""The jig through which the sections are pierced."""

from __future__ import annotations

from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Hole, Template
from pixel2make.kinds.book.sewing import Sewing

__all__ = ["sewing_template"]

_KINDS = {
    "tapes": "sewn on tapes",
    "cords": "sewn on cords",
    "link": "link stitch without tapes",
    "pamphlet": "one section, sewn through its fold",
}


def sewing_template(lengths: Lengths, sewing: Sewing, trim_mm: float) -> Template:
    """A strip as high as the folded sheet, with its holes on the fold.

    Where the block is trimmed after sewing, the holes keep their distance from the edges that stay.
    """
    width = trade.value("sewing.template_width").number
    height = lengths["sheet_height"]
    holes = tuple(
        Hole(station.name, width / 2, station.mm + trim_mm, sewing.hole_mm) for station in sewing.stations
    )
    bands = tuple(
        (
            f"{sewing.kind[:-1]} {number}",
            support.mm + trim_mm - support.width_mm / 2,
            support.mm + trim_mm + support.width_mm / 2,
        )
        for number, support in enumerate(sewing.supports, 1)
    )
    return Template(
        "sewing",
        box(0, 0, width, height),
        holes,
        bands,
        fold_mm=width / 2,
        upper_end="head",
        lower_end="tail",
        notes=tuple(_notes(lengths, sewing, trim_mm)),
    )


def _notes(lengths: Lengths, sewing: Sewing, trim_mm: float) -> list[str]:
    notes = [
        f"{_KINDS[sewing.kind]}, waxed linen {sewing.thread}, holes of {sewing.hole_mm:g} mm",
        f"thread {lengths['thread_length'] / 1000:.2f} m in all"
        + (", two sections at a time, the outermost singly" if sewing.is_two_on else ""),
    ]
    if trim_mm:
        notes.append(f"{trim_mm:g} mm at head and tail are trimmed off after sewing")
    return notes
