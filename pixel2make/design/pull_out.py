"""What draws a driven pin out of a board."""

from __future__ import annotations

from pixel2make import trade

__all__ = ["pull_out_n"]


def pull_out_n(pin_mm: float, depth_mm: float, density: float) -> float:
    """Load in newtons that draws a driven, unclinched pin out of a board.

    Parameters
    ----------
    pin_mm, depth_mm : float
        Diameter, and length within the board.
    density : float
        g/cm3 of the board.

    Notes
    -----
    p = 6900 G^(5/2) D in pounds an inch of depth, D in inches, for plain nails in wood; for millboard and
    greyboard it is an estimate.
    """
    inch = trade.value("units.inch").number
    per_inch = trade.value("metal.nail_withdrawal").number * density**2.5 * pin_mm / inch
    return per_inch * depth_mm / inch * trade.value("units.pound_force").number
