"""Areas as a tool can make them: narrow places widened, sharp corners rounded, and what that changed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import shapely

from pixel2make.design.finishing import tool_limits
from pixel2make.design.model import Area
from pixel2make.design.outlines import polygons_only
from pixel2make.geometry.narrow import narrow_places, round_corners, sharp_corners, widen
from pixel2make.quantity import rounded_down

__all__ = ["CORNER_TOLERANCE", "Grid", "repaired_areas"]

CORNER_TOLERANCE = 0.25
"""Share of a tool's radius that may be missing at a corner; a right angle misses 0.41."""

_LEAST_CHANGE_MM2 = 1e-3
"""Below this an area counts as unchanged: far less than a knife can cut away."""


@dataclass(frozen=True)
class Grid:
    """Centres of the drawn pixels on a face, to tell which of them change sides.

    Attributes
    ----------
    centres : tuple of ((x, y), ...)
        Millimetres on the face.
    """

    centres: tuple[tuple[float, float], ...] = ()

    def inside(self, outline: shapely.Geometry) -> int:
        """How many centres lie in an outline."""
        if not self.centres:
            return 0
        xs, ys = zip(*self.centres, strict=True)
        return int(shapely.contains_xy(outline, list(xs), list(ys)).sum())

    def moved(self, before: shapely.Geometry, after: shapely.Geometry) -> int:
        """How many centres lie in one of two outlines and not in the other."""
        return self.inside(before.symmetric_difference(after))


def repaired_areas(areas: Sequence[Area], tool: str, grids: dict[str, Grid]) -> tuple[Area, ...]:
    """Areas of one object as a tool can make them, with a sentence about what was changed.

    Where a widened area comes over a larger neighbour, that one gives way, so that areas still share
    their edges; all else stays where it was drawn.

    Parameters
    ----------
    areas : sequence of Area
    tool : str
        One of `pixel2make.design.finishing.AREA_TOOLS`.
    grids : dict of str to Grid
        By face.

    Returns
    -------
    tuple of Area
        In the same order.
    """
    width, radius = tool_limits(tool)
    wide = {area.name: _repaired(area, width, radius) for area in areas}
    order = sorted(areas, key=lambda area: (area.outline.area, area.name))
    outlines = {area.name: area.outline for area in areas}
    for i, area in enumerate(order):
        smaller = [outlines[o.name] for o in order[:i] if o.face == area.face]
        shape = wide[area.name]
        if smaller:
            shape = polygons_only(shape.difference(shapely.union_all(smaller))) or area.outline
        outlines[area.name] = shape
    return tuple(
        _told(area, outlines[area.name], tool, width, radius, grids.get(area.face, Grid())) for area in areas
    )


def _repaired(area: Area, width: float, radius: float) -> shapely.Geometry:
    shape = widen(area.outline, width)
    if radius and sharp_corners(shape, radius, tolerance=CORNER_TOLERANCE * radius):
        # Rounding the corners of a short neck takes its flanks away; it gets its width back.
        shape = widen(round_corners(shape, radius), width)
    return shape


def _told(area: Area, outline: shapely.Geometry, tool: str, width: float, radius: float, grid: Grid) -> Area:
    change = outline.symmetric_difference(area.outline).area
    if change < _LEAST_CHANGE_MM2:
        return area
    narrow = narrow_places(area.outline, width)
    sharp = sharp_corners(area.outline, radius, tolerance=CORNER_TOLERANCE * radius) if radius else []
    name = area.name.replace("_", " ")
    what = []
    if narrow:
        x, y = narrow[0].at
        what.append(
            f"{len(narrow)} narrow {'place' if len(narrow) == 1 else 'places'} widened to {width:g} mm, "
            f"the narrowest from {rounded_down(narrow[0].size, 2)} mm at x {x:.1f}, y {y:.1f} mm"
        )
    if sharp:
        what.append(f"{len(sharp)} {'corner' if len(sharp) == 1 else 'corners'} rounded to {radius:g} mm")
    if not what:
        what.append("it gives way to a neighbour that was widened")
    moved = grid.moved(area.outline, outline)
    faith = (
        "every pixel's centre stays on its side"
        if not moved
        else f"{moved} pixel {'centre changes' if moved == 1 else 'centres change'} sides"
    )
    sentence = (
        f"{name[:1].upper()}{name[1:]} was changed for a {tool}: {', '.join(what)}; area "
        f"{(outline.area - area.outline.area) / 100:+.2f} cm², {faith}."
    )
    return replace(area, outline=outline, repairs=sentence)
