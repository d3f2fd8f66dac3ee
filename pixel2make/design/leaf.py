"""Metal leaf: how leaves are laid over an area and how many it takes.

A piece that a leaf covers with a margin all around is cut from a leaf as a patch, several from one leaf
where they fit. Over a larger piece whole leaves are laid row by row, each over the one before. An area of
many pieces is laid in one grid or piece by piece, whichever takes fewer leaves.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import shapely
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.errors import DesignError

__all__ = ["LEAVES", "LeafPlan", "Patch", "books_to_buy", "leaf_grid", "leaf_plan", "leaf_side_mm"]

LEAVES = ("leaf", "leaf_us", "imitation_leaf")
"""European and American gold leaf, imitation leaf: keys of the trade table "gilding"."""

_HAIR_MM = 1e-9

Outline: TypeAlias = Polygon | MultiPolygon


@dataclass(frozen=True)
class Patch:
    """A rectangle that is cut from a leaf.

    Attributes
    ----------
    shape : Polygon
        Where it is laid.
    leaf : int
        Which of the leaves that patches are cut from, from 1.
    """

    shape: Polygon
    leaf: int


@dataclass(frozen=True)
class LeafPlan:
    """Leaf for one area.

    Attributes
    ----------
    area_mm2 : float
        Net.
    by_area : int
        Leaves with lap and waste, at least one.
    laid : tuple of Polygon
        Whole leaves in the order of laying.
    patches : tuple of Patch
    """

    area_mm2: float
    by_area: int
    laid: tuple[Polygon, ...]
    patches: tuple[Patch, ...]

    @property
    def cut_leaves(self) -> int:
        """Leaves that patches are cut from."""
        return max((patch.leaf for patch in self.patches), default=0)

    @property
    def by_laying(self) -> int:
        """Leaves as they are laid and cut."""
        return len(self.laid) + self.cut_leaves

    @property
    def leaves(self) -> int:
        """The larger of the two counts."""
        return max(self.by_area, self.by_laying)


def leaf_side_mm(leaf: str) -> float:
    """Side of a leaf; DesignError for a leaf that is none of `LEAVES`."""
    if leaf not in LEAVES:
        raise DesignError(f"a leaf is one of {', '.join(LEAVES)}, got {leaf!r}")
    return trade.value(f"gilding.{leaf}").number


def leaf_plan(outline: Outline, *, leaf: str = "leaf") -> LeafPlan:
    """Lay and count the leaves for one area.

    Parameters
    ----------
    outline : Polygon or MultiPolygon
        Of what is gilded, millimetres.
    leaf : {"leaf", "leaf_us", "imitation_leaf"}

    Returns
    -------
    LeafPlan
        Leaves and patches together cover the outline.

    Examples
    --------
    A panel of 250 x 180 mm with leaves of 80 mm, 5 mm over each other:

    >>> plan = leaf_plan(box(0, 0, 250, 180))
    >>> plan.by_area, plan.by_laying, plan.leaves, books_to_buy(plan.leaves)
    (10, 12, 12, 1)

    Four corners of 20 mm on the same panel are cut from one leaf:

    >>> corners = [box(x, y, x + 20, y + 20) for x in (0, 230) for y in (0, 160)]
    >>> leaf_plan(MultiPolygon(corners)).leaves
    1
    """
    side = leaf_side_mm(leaf)
    by_area = max(1, math.ceil(trade.value("gilding.lap_and_waste").number * outline.area / side**2))
    pieces = shapely.get_parts(outline).tolist()
    plans = [LeafPlan(outline.area, by_area, *_by_piece(pieces, leaf))]
    if len(pieces) > 1:
        plans.append(LeafPlan(outline.area, by_area, tuple(_touching(outline, leaf)), ()))
    # Of equals one grid over all, which is laid faster than piece by piece.
    return min(reversed(plans), key=lambda plan: plan.by_laying)


def leaf_grid(bounds: tuple[float, float, float, float], *, leaf: str = "leaf") -> list[Polygon]:
    """Leaves laid over an extent, row by row, each over the one before; the grid stands over its middle.

    >>> [leaf.bounds for leaf in leaf_grid((0, 0, 155, 80))]
    [(0.0, 0.0, 80.0, 80.0), (75.0, 0.0, 155.0, 80.0)]
    """
    side, overlap = leaf_side_mm(leaf), trade.value("gilding.overlap").number
    x0, y0, x1, y1 = bounds
    # What a leaf covers in one direction still takes one leaf across.
    columns, rows = (
        max(1, math.ceil((length - overlap - _HAIR_MM) / (side - overlap))) for length in (x1 - x0, y1 - y0)
    )
    pitch = side - overlap
    left = (x0 + x1 - columns * pitch - overlap) / 2
    top = (y0 + y1 - rows * pitch - overlap) / 2
    corners = [(left + i * pitch, top + j * pitch) for j in range(rows) for i in range(columns)]
    return [box(x, y, x + side, y + side) for x, y in corners]


def books_to_buy(leaves: int) -> int:
    """Books of leaf, with one for every five kept for mending.

    >>> books_to_buy(0), books_to_buy(12), books_to_buy(24)
    (0, 1, 2)
    """
    with_spare = leaves * (1 + trade.value("gilding.spare_books").number)
    return math.ceil(with_spare / trade.value("gilding.leaves_in_book").number)


def _by_piece(pieces: Sequence[Polygon], leaf: str) -> tuple[tuple[Polygon, ...], tuple[Patch, ...]]:
    """Leaves over each large piece, patches for the small ones."""
    side, margin = leaf_side_mm(leaf), trade.value("gilding.overlap_small").number
    laid: list[Polygon] = []
    small: list[Polygon] = []
    for piece in pieces:
        x0, y0, x1, y1 = piece.bounds
        patch = box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
        if max(x1 - x0, y1 - y0) + 2 * margin <= side + _HAIR_MM:
            small.append(patch)
        else:
            laid += _touching(piece, leaf)
    return tuple(laid), tuple(Patch(small[i], number) for i, number in _shelved(small, side))


def _touching(outline: Outline, leaf: str) -> list[Polygon]:
    """Of the grid over an extent, the leaves that have something to cover."""
    shapely.prepare(outline)
    return [each for each in leaf_grid(outline.bounds, leaf=leaf) if each.intersection(outline).area > 0]


def _shelved(patches: Sequence[Polygon], side: float) -> list[tuple[int, int]]:
    """(patch, leaf it is cut from): rows across a leaf, high patches first, each in the first row with room.

    Equal patches come out as floor(side / width) times floor(side / height) to a leaf.
    """
    sizes = [(p.bounds[2] - p.bounds[0], p.bounds[3] - p.bounds[1]) for p in patches]
    rows: list[tuple[int, float, float]] = []  # leaf, height, width taken
    tops: list[float] = []  # height taken of each leaf
    found: list[tuple[int, int]] = []
    for i in sorted(range(len(sizes)), key=lambda i: (-round(sizes[i][1], 6), -round(sizes[i][0], 6), i)):
        width, height = sizes[i]
        fits = (
            k for k, (_, h, w) in enumerate(rows) if h >= height - _HAIR_MM and w + width <= side + _HAIR_MM
        )
        row = next(fits, None)
        if row is None:
            number = next((n for n, top in enumerate(tops) if top + height <= side + _HAIR_MM), None)
            if number is None:
                tops.append(0.0)
                number = len(tops) - 1
            tops[number] += height
            rows.append((number, height, 0.0))
            row = len(rows) - 1
        number, high, taken = rows[row]
        rows[row] = (number, high, taken + width)
        found.append((i, number + 1))
    return sorted(found)
