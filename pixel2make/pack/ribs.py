"""Raised bands as they stand on the closed book: ribs across the spine under the covering."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.design.model import Design

__all__ = ["STRIPS", "Rib", "ribs"]

STRIPS = "raised_band"
"""Name of the strips that the bands of a case are made of; a laced-in book has its cords there."""

_OF_STRIPS, _OF_CORD = 4.0, 2.0
"""Exponents of the superellipse that a rib's section is: strips keep their shoulders, a cord is round."""


@dataclass(frozen=True)
class Rib:
    """One band.

    Attributes
    ----------
    from_head_mm : float
        Its middle from the head of the boards.
    foot_mm : float
        Breadth along the spine where it leaves the spine, covering and all.
    core_mm : float
        Breadth of the strips or the cord within.
    rise_mm : float
        How far it stands out of the spine.
    exponent : float
        Of the superellipse.
    """

    from_head_mm: float
    foot_mm: float
    core_mm: float
    rise_mm: float
    exponent: float

    def rise_at(self, along: NDArray[np.float64]) -> NDArray[np.float64]:
        """How far it stands out (mm) at places from -1 to 1 across its breadth."""
        share = np.clip(1.0 - np.abs(along) ** self.exponent, 0.0, None)
        return np.asarray(self.rise_mm * share ** (1.0 / self.exponent))

    def profile(self, steps: int) -> NDArray[np.float64]:
        """Points (out of the spine, from the head) from foot to foot, shape (steps + 1, 2)."""
        along = -np.cos(np.linspace(0.0, np.pi, steps + 1))
        return np.column_stack([self.rise_at(along), self.from_head_mm + along * self.foot_mm / 2])


def ribs(design: Design) -> tuple[Rib, ...]:
    """The bands of a design from the head down; none where its spine is smooth.

    The breadth of strips is their own, and the covering lies on either side of them; that of cords holds the
    covering.
    """
    lengths = {dimension.name: dimension.value_mm for dimension in design.dimensions}
    breadth, rise = lengths.get("band_width", 0.0), lengths.get("band_rise", 0.0)
    if breadth <= 0 or rise <= 0:
        return ()
    skin = lengths.get("covering_thickness", 0.0)
    is_strip = any(part.name == STRIPS for part in design.parts)
    foot, core = (breadth + 2 * skin, breadth) if is_strip else (breadth, max(breadth - 2 * skin, rise))
    exponent = _OF_STRIPS if is_strip else _OF_CORD
    places = sorted(
        mm for name, mm in lengths.items() if name.startswith("band_") and name.endswith("_from_head")
    )
    return tuple(Rib(mm, foot, core, rise, exponent) for mm in places)
