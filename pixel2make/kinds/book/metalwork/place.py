"""Where a clasp sits on the closed book, and how thick and loose its pieces are."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely import Polygon
from shapely.affinity import affine_transform
from shapely.geometry.polygon import orient

from pixel2make.geometry.folded import Matrix
from pixel2make.geometry.plate import RootedPlate

__all__ = ["Gauge", "Site"]


@dataclass(frozen=True)
class Gauge:
    """How one way of making goes about it: sheet metal or a print.

    Attributes
    ----------
    way : {"sheet", "print"}
    sheet_mm : float
        Thickness of every plate.
    radius_mm : float
        Inside radius of bends.
    k_factor : float
    slide_mm : float
        Play between what slides, in all.
    pin_mm : float
        Play of a pin in its bore, on the diameter.
    knuckle_mm : float
        Gap between knuckles.
    wire_mm : float
        Diameter of the hinge wire.
    peg_mm : float
        Least diameter of a peg or stud.
    material, color : str
    """

    way: str
    sheet_mm: float
    radius_mm: float
    k_factor: float
    slide_mm: float
    pin_mm: float
    knuckle_mm: float
    wire_mm: float
    peg_mm: float
    material: str
    color: str


@dataclass(frozen=True)
class Site:
    """A clasp's place on the closed book, in the book's frame.

    Attributes
    ----------
    name : str
    fore_edge_mm : float
        x of the boards' fore-edge.
    low_mm : float
        y of the plate's lower end.
    back_mm, front_mm : float
        z of the outer faces of back and front under light pressure.
    joint_mm : float
        x about which a board turns.
    board_mm, covering_mm, square_mm : float
    height_mm : float
        Of the cover.
    plate : RootedPlate
        x from the fore-edge inwards, y down the height of the book.
    """

    name: str
    fore_edge_mm: float
    low_mm: float
    back_mm: float
    front_mm: float
    joint_mm: float
    board_mm: float
    covering_mm: float
    square_mm: float
    height_mm: float
    plate: RootedPlate

    @property
    def cover_mm(self) -> float:
        """Board and covering, which a pin goes through."""
        return self.board_mm + self.covering_mm

    @property
    def deep_mm(self) -> float:
        """From face to face."""
        return self.front_mm - self.back_mm

    @property
    def wide_mm(self) -> float:
        """Of the plate along the height of the book."""
        return float(self.plate.outline.bounds[3])

    @property
    def root(self) -> tuple[float, float]:
        """Ends of the plate's root at the fore-edge, v of the front."""
        return self.wide_mm - self.plate.high_mm, self.wide_mm - self.plate.low_mm

    def across(self, width_mm: float) -> tuple[float, float]:
        """A strip of that width in the middle of the root, v of the front."""
        low, high = self.root
        middle = (low + high) / 2
        return middle - width_mm / 2, middle + width_mm / 2

    def flipped(self, ends: tuple[float, float]) -> tuple[float, float]:
        """The same strip, v of the back."""
        return self.wide_mm - ends[1], self.wide_mm - ends[0]

    @property
    def front_outline(self) -> Polygon:
        """The plate with u towards the fore-edge (0 there, below 0 on the cover) and v up."""
        return orient(affine_transform(self.plate.outline, (-1, 0, 0, -1, 0, self.wide_mm)))

    @property
    def back_outline(self) -> Polygon:
        """The same plate seen on the back: its mirror image."""
        return orient(affine_transform(self.plate.outline, (-1, 0, 0, 1, 0, 0)))

    @property
    def front(self) -> Matrix:
        """From (u, v, w) on the front cover, w outwards, to the book's frame."""
        return _frame((1, 0, 0), (0, 1, 0), (0, 0, 1), (self.fore_edge_mm, self.low_mm, self.front_mm))

    @property
    def back(self) -> Matrix:
        """From (u, v, w) on the back cover, w outwards, v down, to the book's frame."""
        origin = (self.fore_edge_mm, self.low_mm + self.wide_mm, self.back_mm)
        return _frame((1, 0, 0), (0, -1, 0), (0, 0, -1), origin)

    def down(self, x_mm: float, z_mm: float) -> Matrix:
        """From (u, v, w) of what hangs before the fore-edge, u down, v up the book, w outwards."""
        return _frame((0, 0, -1), (0, 1, 0), (1, 0, 0), (x_mm, self.low_mm, z_mm))


def _frame(
    u: tuple[float, float, float],
    v: tuple[float, float, float],
    w: tuple[float, float, float],
    origin: tuple[float, float, float],
) -> Matrix:
    matrix = np.eye(4)
    matrix[:3, 0], matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = u, v, w, origin
    return matrix
