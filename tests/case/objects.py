"""Objects to put into a case, made up for the tests."""

from pixel2make.design.case import Held
from pixel2make.quantity import Dimension

GLOW = ((255, 200, 60), (60, 160, 255))


def dimension(name: str, value: float, half: float = 0.0) -> Dimension:
    return Dimension(name, value, value - half, value + half, "sprite" if half else "maker")


def held(width=213.0, height=300.0, thickness=45.0, half=0.0, **projections: float) -> Held:
    return Held(
        "Saltglass Ledger",
        dimension("width", width, half),
        dimension("height", height),
        dimension("thickness", thickness, half),
        projections or {"cover": 2.25, "back": 2.25, "fore_edge": 2.0},
        1800.0,
    )
