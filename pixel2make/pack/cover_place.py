"""Where the title can stand on the cover: the drawn title area, else free places."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make import trade
from pixel2make.design.model import Area, Clasp, Design
from pixel2make.errors import DesignError

__all__ = ["Cover", "TitlePlace", "cover_of", "largest_rectangle", "title_places"]

Rectangle = tuple[float, float, float, float]
"""x, y, width, height."""

MOST_LINES = 64
"""Grid lines tried each way for the largest rectangle: more than a sprite's cover has pixels, so that
outlines along pixel edges are met exactly; round corners are met to their next chord."""
_EVEN_MM = 1e-3
"""A place off the middle of the board by less stands in the middle."""
LEAST_TITLE_MM = 5.0
"""A free place lower or narrower than this holds no legible title."""


@dataclass(frozen=True)
class Cover:
    """The front cover as it is laid out, origin at head and spine.

    Attributes
    ----------
    width_mm, height_mm, joint_mm : float
        The joint lies between 0 and `joint_mm`, the board beyond.
    outline : Polygon
        Of board and joint.
    board : Polygon
    areas : tuple of Area
        Those on the cover.
    plates : tuple of Polygon
        Front plates of the clasps.
    """

    width_mm: float
    height_mm: float
    joint_mm: float
    outline: Polygon
    board: Polygon
    areas: tuple[Area, ...]
    plates: tuple[Polygon, ...]


@dataclass(frozen=True)
class TitlePlace:
    """Box for the lettering, with its margin already taken off, and what it follows.

    Attributes
    ----------
    area_mm : (x, y, width, height)
        The whole place.
    box_mm : (x, y, width, height)
        What lettering may fill.
    is_drawn : bool
        The sprite shows a title area there.
    rule : str
        One sentence without its full stop.
    source : str
    is_centred : bool
        It stands in the middle of the board; of a drawn area nobody asks.
    """

    area_mm: Rectangle
    box_mm: Rectangle
    is_drawn: bool
    rule: str
    source: str
    is_centred: bool = True


def cover_of(design: Design) -> Cover:
    """The front cover of a design.

    Raises
    ------
    DesignError
        The design has no cover size.
    """
    lengths = {dimension.name: dimension.value_mm for dimension in design.dimensions}
    if "cover_width" not in lengths or "cover_height" not in lengths:
        raise DesignError("a cover layout needs the size of the cover, which this object does not have")
    width, height = lengths["cover_width"], lengths["cover_height"]
    part = next((part for part in design.parts if part.name == "front_board"), None)
    board = box(0, 0, width, height)
    if part is not None and isinstance(part.outline, Polygon):
        _, y0, x1, y1 = part.outline.bounds
        # The board ends at the fore-edge and stands level with the middle of the cover.
        shift = (width - x1, (height - (y1 - y0)) / 2 - y0)
        board = affine_transform(part.outline, (1, 0, 0, 1, *shift))
    joint = max(board.bounds[0], 0.0)
    outline = board.union(box(0, board.bounds[1], joint, board.bounds[3])) if joint > 0 else board
    areas = tuple(area for area in design.areas if area.face == "cover")
    plates = tuple(_plate(clasp, width) for clasp in design.clasps)
    return Cover(width, height, joint, outline, board, areas, plates)


def _plate(clasp: Clasp, width: float) -> Polygon:
    """The clasp's front plate on the cover: drawn from the fore-edge inwards."""
    return affine_transform(clasp.plate, (-1, 0, 0, 1, width, clasp.position_mm))


def title_places(cover: Cover) -> tuple[TitlePlace, ...]:
    """Where lettering may go: the largest title area of the sprite alone, else free places on the board.

    Free places are clear of areas and clasps and no higher than the title's share of the cover: the largest
    in the upper third of the board, and all that no other is both as wide and as high as. Each stands once
    as it is found and, where there is one, once in the middle of the board.

    Raises
    ------
    DesignError
        Nothing is free.
    """
    drawn = [area for area in cover.areas if area.feature == "title_area"]
    if drawn:
        area = max(drawn, key=lambda a: (a.outline.area, a.name))
        found = largest_rectangle(area.outline)
        if found is not None:
            margin = trade.value("lettering.margin")
            rule = f"The lettering stands in {area.name}, {margin.number:.0%} of its shorter side clear"
            return (
                TitlePlace(found, _inset(found, margin.number * min(found[2:])), True, rule, margin.cited),
            )
    places = tuple(_free_places(cover))
    if not places:
        raise DesignError(
            f"no place of {LEAST_TITLE_MM:g} mm is free for a title on the cover; name a "
            "title area in the plan"
        )
    return places


def _free_places(cover: Cover) -> Iterator[TitlePlace]:
    taken = unary_union([*(area.outline for area in cover.areas), *cover.plates])
    free = cover.board.difference(taken)
    x0, _, x1, _ = cover.board.bounds
    even = free.intersection(affine_transform(free, (-1, 0, 0, 1, x0 + x1, 0)))
    third = trade.value("lettering.title_height")
    high = third.number * cover.height_mm
    upper = box(0, 0, cover.width_mm, high)
    for region, is_upper in (
        (even.intersection(upper), True),
        (free.intersection(upper), True),
        (even, False),
        (free, False),
    ):
        for x, y, width, height in _widest_rectangles(region, high):
            found = (x, y, width, min(height, high))
            inner = _clear_of_edges(found, cover)
            if min(inner[2:]) < LEAST_TITLE_MM:
                continue
            is_even = abs(2 * x + width - x0 - x1) < _EVEN_MM
            where = (
                "upper third of the cover" if is_upper else "free place of the cover with the largest letters"
            )
            rule = f"No title area is drawn, so the lettering stands in the {where}, clear of what is drawn"
            yield TitlePlace(found, inner, False, rule, third.cited, is_even)


def _widest_rectangles(region: BaseGeometry, high: float) -> list[Rectangle]:
    """Rectangles within a region that no other matches both ways, height counting up to a limit."""
    front: list[Rectangle] = []
    blocks = sorted(_blocks(region), key=lambda r: (-r[2], -min(r[3], high), r[1], r[0]))
    tallest = 0.0
    for block in blocks:
        if min(block[3], high) > tallest * (1 + 1e-9):
            front.append(block)
            tallest = min(block[3], high)
    return front


def _clear_of_edges(place: Rectangle, cover: Cover) -> Rectangle:
    """A free place without its margin, which is larger towards an edge of the board.

    Both sides get the larger of their two margins, so that the lettering stands in the middle of its place.
    """
    x, y, width, height = place
    least = trade.value("lettering.margin").number * min(width, height)
    x0, y0, x1, _ = cover.board.bounds
    edge = trade.value("lettering.cover_margin").number * (x1 - x0)
    side = max(least, edge - (x - x0), edge - (x1 - x - width))
    top = max(least, edge - (y - y0))
    return (x + side, y + top, width - 2 * side, height - top - least)


def _inset(rectangle: Rectangle, margin: float) -> Rectangle:
    x, y, width, height = rectangle
    return (x + margin, y + margin, width - 2 * margin, height - 2 * margin)


def largest_rectangle(region: BaseGeometry) -> Rectangle | None:
    """Upright rectangle of largest area within a region, its sides on the region's own coordinates.

    Ties: the highest, then the leftmost. None for a region without area.

    >>> corner = box(0, 0, 10, 4).union(box(0, 0, 3, 9))
    >>> largest_rectangle(corner)
    (0.0, 0.0, 10.0, 4.0)
    """
    best: Rectangle | None = None
    for block in _blocks(region):
        if best is None or block[2] * block[3] > best[2] * best[3] * (1 + 1e-9):
            best = block
    return best


def _blocks(region: BaseGeometry) -> Iterator[Rectangle]:
    """For each pair of a region's rows the longest run of columns that are free in all of them."""
    if region.is_empty or region.area <= 0:
        return
    coords = shapely.get_coordinates(region)
    xs, ys = _grid_lines(coords[:, 0]), _grid_lines(coords[:, 1])
    tiny = 1e-6
    left, top = np.meshgrid(xs[:-1] + tiny, ys[:-1] + tiny)
    right, bottom = np.meshgrid(xs[1:] - tiny, ys[1:] - tiny)
    shapely.prepare(region)
    inside = shapely.covers(region, shapely.box(left, top, right, bottom))
    for first in range(len(ys) - 1):
        whole = np.ones(len(xs) - 1, bool)
        for last in range(first, len(ys) - 1):
            whole &= inside[last]
            if not whole.any():
                break
            edges = np.flatnonzero(np.diff(np.r_[False, whole, False]))
            widths = xs[edges[1::2]] - xs[edges[::2]]
            k = int(widths.argmax())
            yield float(xs[edges[2 * k]]), float(ys[first]), float(widths[k]), float(ys[last + 1] - ys[first])


def _grid_lines(values: NDArray[np.float64]) -> NDArray[np.float64]:
    lines = np.unique(values.round(6))
    if len(lines) > MOST_LINES:
        lines = lines[np.linspace(0, len(lines) - 1, MOST_LINES).round().astype(int)]
    return lines
