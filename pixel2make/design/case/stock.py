"""What a sheet of acrylic is large enough for, and how the maker is told where it is not."""

from __future__ import annotations

import math
from collections.abc import Mapping

from pixel2make import trade
from pixel2make.design.case.model import Bent
from pixel2make.design.cutting import Cutting

__all__ = ["ACRYLIC", "panel_sizes", "why_not_bent", "why_not_panels"]

Size = tuple[float, float]

ACRYLIC = "acrylic"
"""Key of the cover's material."""


def panel_sizes(outside: Mapping[str, float], sheet_mm: float, bent: Bent | None) -> dict[str, Size]:
    """Width and height of the flat panels by name: the two ends of a bent cover, or all five.

    Parameters
    ----------
    outside : mapping
        "width", "depth" and "height" of the cover.
    """
    gap = trade.value("acrylic.cement_gap").number
    wall = outside["height"] - sheet_mm
    between = outside["depth"] - 2 * sheet_mm - 2 * gap
    if bent is not None:
        return {"cover_end": (between, wall - gap)}
    return {
        "cover_front": (outside["width"], wall),
        "cover_back": (outside["width"], wall),
        "cover_side": (between, wall),
        "cover_top_panel": (outside["width"], outside["depth"]),
    }


def why_not_bent(bent: Bent, cutting: Cutting) -> str:
    """Why a cover cannot be bent from one sheet, with what would do; "" where it can."""
    trim = trade.value("acrylic.trim").number
    piece = (bent.width_mm, bent.developed_mm + 2 * trim)
    if min(bent.leg_mm, bent.top_mm) < bent.bends[0].band_mm / 2:
        short = min(bent.leg_mm, bent.top_mm)
        return (
            f"a straight part of {short:.1f} mm is too short beside a bend whose heated band is "
            f"{bent.bends[0].band_mm:.1f} mm wide; choose a smaller bend_radius or a larger case_clearance"
        )
    longest = trade.value("acrylic.longest_bend").number
    if bent.width_mm > longest:
        return (
            f"bends of {bent.width_mm:.0f} mm bow, {longest:.0f} mm is the longest that keeps straight; "
            f"choose a case that is {bent.width_mm - longest:.0f} mm narrower"
        )
    return _too_large("the flat cover", piece, cutting)


def why_not_panels(panels: Mapping[str, Size], cutting: Cutting) -> str:
    """Why panels cannot be cut from the stock, with what would do; "" where they can."""
    for name, size in panels.items():
        reason = _too_large(f"the panel {name.removeprefix('cover_').replace('_panel', '')}", size, cutting)
        if reason:
            return reason
    return ""


def _too_large(what: str, piece: Size, cutting: Cutting) -> str:
    if _fits(piece, cutting.room_mm(ACRYLIC)):
        return ""
    lost = cutting.stock_mm(ACRYLIC)[0] - cutting.room_mm(ACRYLIC)[0]
    sheets = {
        name: (width - lost, height - lost)
        for name, (width, height) in trade.value("acrylic.stock").value.items()
    }
    larger = next((name for name, size in sheets.items() if _fits(piece, size)), None)
    if larger:
        way = f"choose stock=acrylic={larger}mm"
    else:
        share = max(_share(piece, size) for size in sheets.values())
        way = f"no sheet is large enough; make the object {math.floor(100 * share)} % of its size or smaller"
    has = " x ".join(f"{v:.0f}" for v in cutting.stock_mm(ACRYLIC))
    return (
        f"{what} of {piece[0]:.0f} x {piece[1]:.0f} mm, with a margin for the cut, is larger than the sheet "
        f"of {has} mm; {way}"
    )


def _fits(piece: Size, sheet: tuple[float, float]) -> bool:
    return _share(piece, sheet) >= 1.0


def _share(piece: Size, sheet: tuple[float, float]) -> float:
    """How many times the piece fits the sheet in its better turn, as a scale."""
    short, long = sorted(piece)
    narrow, wide = sorted(float(v) for v in sheet)
    return min(narrow / short, wide / long)
