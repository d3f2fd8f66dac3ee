"""How much acrylic and wood move in a room's year, from the state they were built in."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from pixel2make import trade

__all__ = ["Movement", "acrylic_movement", "equilibrium_moisture", "wood_movement"]

SOLID_WOODS = ("white_oak", "sugar_maple", "black_walnut", "black_cherry", "beech")
"""Woods with change coefficients in the trade table; anything else is a panel."""


@dataclass(frozen=True)
class Movement:
    """Growth and shrinkage of one length, both counted above zero, in mm."""

    grow_mm: float
    shrink_mm: float


def equilibrium_moisture(humidity: float, temperature_c: float = 21.0) -> float:
    """Moisture content of wood in %, at rest in air of that humidity.

    Hailwood-Horrobin sorption as in the Wood Handbook, FPL-GTR-190, equation 4-5.

    Parameters
    ----------
    humidity : float
        Relative humidity in %, 0 to below 100.
    temperature_c : float

    >>> round(equilibrium_moisture(50.0, (70 - 32) / 1.8), 2)
    9.25
    """
    t, h = temperature_c * 1.8 + 32.0, humidity / 100.0
    w = 330 + 0.452 * t + 0.00415 * t**2
    k = 0.791 + 4.63e-4 * t - 8.44e-7 * t**2
    k1 = 6.34 + 7.75e-4 * t - 9.35e-5 * t**2
    k2 = 1.09 + 2.84e-2 * t - 9.04e-5 * t**2
    kh = k * h
    taken_up = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + taken_up)


def wood_movement(wood: str, length_mm: float, *, is_across: bool) -> Movement:
    """Movement of a base's top from the workshop's air to a damp summer and to a heated winter.

    Parameters
    ----------
    wood : str
        A solid wood of the trade table, taken as plain-sawn (tangential), or a panel.
    length_mm : float
    is_across : bool
        Across the grain; along it solid wood does not move to speak of. Panels move alike in both.
    """
    if wood not in SOLID_WOODS:
        half = trade.value("wood.plywood_movement").number * length_mm / 2
        return Movement(half, half)
    if not is_across:
        return Movement(0.0, 0.0)
    air = trade.value("wood.humidity").value
    temperature = trade.value("wood.room_temperature").number
    dry, built, damp = (equilibrium_moisture(air[name], temperature) for name in ("dry", "built", "damp"))
    per_point = float(trade.value(f"wood.shrinkage.{wood}").value["tangential"]) * length_mm
    return Movement(per_point * (damp - built), per_point * (built - dry))


def acrylic_movement(length_mm: float) -> Movement:
    """Movement of a sheet with the room's temperature and humidity together."""
    heat = trade.value("acrylic.expansion").number * trade.value("acrylic.temperature_swing").number
    air = trade.value("wood.humidity").value
    dry, built, damp = (_moisture_growth(air[name]) for name in ("dry", "built", "damp"))
    return Movement(length_mm * (heat + damp - built), length_mm * (heat + built - dry))


def _moisture_growth(humidity: float) -> float:
    """Share of its dry length that a sheet has gained, straight between the points of the table."""
    points = trade.value("acrylic.moisture_growth").value
    for (x0, y0), (x1, y1) in pairwise(points):
        if humidity <= x1:
            return float(y0 + (y1 - y0) * (humidity - x0) / (x1 - x0)) / 100.0
    return float(points[-1][1]) / 100.0
