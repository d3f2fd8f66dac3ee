"""The outline of a clasp's plate, made ready to be printed or bent.

Coordinates are the plate's own: x from the fore-edge inwards, y along the height of the book.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass

import shapely
from shapely.geometry import LinearRing, MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pixel2make.errors import DesignError

__all__ = ["GRID_MM", "RootedPlate", "rooted_plate"]

GRID_MM = 0.001
"""Vertices lie on this grid. It is finer than any tool, and coarser than the 32-bit floats of an STL
file for anything up to 8 m, so that no two vertices fall together when the file is written."""

ROOT_SHARE = 1 / 6
"""The part of the plate next to the fore-edge that decides how wide the span is. The edge of a
slanted sprite is a staircase whose corners reach x = 0 one by one; a sixth of the plate takes in the
whole stair and leaves a drawn neck, which is at least a quarter of a small plate, alone."""


@dataclass(frozen=True)
class RootedPlate:
    """A plate and where the span joins it.

    Attributes
    ----------
    outline : Polygon
        Valid, touching itself nowhere, counter-clockwise in (x, y), vertices on `GRID_MM`.
    low_mm, high_mm : float
        The span takes y from low to high; the plate is full there from x = 0 to `depth_mm`.
    depth_mm : float
    """

    outline: Polygon
    low_mm: float
    high_mm: float
    depth_mm: float

    @property
    def length_mm(self) -> float:
        """Reach of the plate onto the cover."""
        return float(self.outline.bounds[2])

    @property
    def root_mm(self) -> float:
        """Width of the span along the height of the book."""
        return self.high_mm - self.low_mm


def rooted_plate(
    plate: Polygon, *, wall_mm: float, least_depth_mm: float, name: str = "clasp"
) -> RootedPlate:
    """Join the plate's outline to a straight root at the fore-edge, as deep as asked at least.

    An outline that is straight at the fore-edge stays as it is. Parts that touch at a corner only are
    joined by a square as wide as the wall is thick.

    Parameters
    ----------
    plate : Polygon
        Bounding box beginning at (0, 0).
    wall_mm : float
        Side of the squares that join corners.
    least_depth_mm : float
        No deeper than the plate is long.
    name : str
        For the message.

    Raises
    ------
    DesignError
        Where the outline has no area on a grid of `GRID_MM`.
    """
    plate = _largest(_joined(plate, wall_mm / 2))
    if plate.is_empty:
        raise DesignError(f"{name}: the plate has no area; choose a larger size or another region")
    length = float(plate.bounds[2])
    depth = _on_grid(min(max(least_depth_mm, ROOT_SHARE * length), length), math.ceil)
    _, y0, _, y1 = plate.bounds
    _, low, _, high = plate.intersection(box(-1, y0 - 1, depth, y1 + 1)).bounds
    low, high = _on_grid(low, math.floor), _on_grid(high, math.ceil)
    outline = _largest(shapely.set_precision(plate.union(box(0, low, depth, high)), GRID_MM))
    return RootedPlate(orient(outline.simplify(0)), low, high, depth)


def _on_grid(value: float, rounded: Callable[[float], int]) -> float:
    """The next place on the grid, as GEOS computes it; a place on it stays."""
    return rounded(round(value / GRID_MM, 3)) / round(1 / GRID_MM)


def _largest(geometry: BaseGeometry) -> Polygon:
    """The largest polygon of a geometry; an empty one where there is none."""
    if isinstance(geometry, Polygon):
        return geometry
    polygons = [g for g in getattr(geometry, "geoms", ()) if isinstance(g, Polygon)]
    return max(polygons, key=lambda g: (g.area, g.bounds), default=Polygon())


def _joined(plate: Polygon, reach: float) -> BaseGeometry:
    """The plate on the grid, with a square at every vertex where it touches itself.

    Such a vertex would be an edge with four faces in a solid, which no slicer can tell the inside of.
    """
    valid = plate if plate.is_valid else shapely.make_valid(plate)
    snapped = shapely.set_precision(valid, GRID_MM)
    squares = [box(x - reach, y - reach, x + reach, y + reach) for x, y in _pinches(snapped)]
    return shapely.set_precision(shapely.union_all([snapped, *squares]), GRID_MM) if squares else snapped


def _pinches(geometry: BaseGeometry) -> Iterator[tuple[float, float]]:
    """Vertices that occur more than once, in order."""
    counts = Counter(point for ring in _rings(geometry) for point in list(ring.coords)[:-1])
    yield from sorted(point for point, count in counts.items() if count > 1)


def _rings(geometry: BaseGeometry) -> Iterator[LinearRing]:
    for part in geometry.geoms if isinstance(geometry, MultiPolygon) else (geometry,):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part.exterior
            yield from part.interiors
