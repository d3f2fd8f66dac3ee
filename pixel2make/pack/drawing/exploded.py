"""Exploded view: the parts drawn apart along their axes, with item numbers and a parts list.

Isometric axonometry (ISO 5456-3): the width runs down to the right, the thickness towards the viewer down to
the left, the height up; all three edges in the same scale. Item references after ISO 6433.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make.design.model import Design
from pixel2make.pack.drawing.heading import frame_views, heading, start_sheet
from pixel2make.pack.drawing.layout import Layout
from pixel2make.pack.drawing.sheet import (
    SCALES,
    SHEETS,
    TITLE_BLOCK_HEIGHT_MM,
    scale_name,
)
from pixel2make.pack.drawing.table import Table
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.quantity import length_digits

__all__ = ["can_explode", "exploded_view"]

_COS, _SIN = math.cos(math.pi / 6), math.sin(math.pi / 6)
APART_SHARE = 0.28
"""How far neighbours stand apart, as a share of the cover's width."""
BALLOON_MM = 4.0
NUMBER_MM = 2.5
CLEAR_MM = 0.8
ROOM_MM = 18.0
"""Kept free round the view for balloons."""
_TURNS_DEG = (-90, -60, -120, -30, -150, 90, 60, 120, 0, 180, -75, -105, -45, -135, 30, 150)
_REACHES_MM = (9.0, 14.0, 20.0, 28.0, 38.0, 50.0, 64.0, 80.0)
_PLACES = 6
THINNEST_MM = 0.6
"""A leaf is drawn no thinner, so that its two edges do not run into one."""


@dataclass(frozen=True)
class _Item:
    """One part as an upright box, already moved apart."""

    number: int
    low: tuple[float, float, float]
    high: tuple[float, float, float]

    @property
    def faces(self) -> tuple[Polygon, ...]:
        """What is seen of it: front, fore-edge and head."""
        (x0, y0, z0), (x1, y1, z1) = self.low, self.high
        corners = (
            ((x0, y0, z1), (x1, y0, z1), (x1, y1, z1), (x0, y1, z1)),
            ((x1, y0, z0), (x1, y0, z1), (x1, y1, z1), (x1, y1, z0)),
            ((x0, y1, z0), (x1, y1, z0), (x1, y1, z1), (x0, y1, z1)),
        )
        return tuple(Polygon([_seen(*point) for point in ring]) for ring in corners)


def _seen(x: float, y: float, z: float) -> tuple[float, float]:
    return ((x - z) * _COS, (x + z) * _SIN - y)


def _items(design: Design) -> list[_Item]:
    """The parts that a box stands for, nearest first."""
    sizes = {d.name: d.value_mm for d in design.dimensions}
    width, height, thick = sizes["cover_width"], sizes["cover_height"], sizes["book_thickness"]
    numbers = {part.name: i for i, part in enumerate(design.parts, 1)}
    parts = {part.name: part for part in design.parts}
    gap = APART_SHARE * width
    found: list[_Item] = []

    def lay(name: str, x: float, z: float, across: float | None = None, deep: float | None = None) -> None:
        part = parts.get(name)
        if part is None:
            return
        wide, tall = part.size_mm
        wide = wide if across is None else across
        depth = max(THINNEST_MM, part.thickness_mm if deep is None else deep)
        low = (height - tall) / 2
        found.append(_Item(numbers[name], (x, low, z), (x + wide, low + tall, z + depth)))

    block = sizes.get("pages_thickness", thick)
    for clasp in sorted(design.clasps, key=lambda c: c.position_mm):
        if clasp.name in numbers:
            top = height - clasp.position_mm
            x = width + gap
            deep = clasp.wall.value_mm
            low, high = (x, top - clasp.width.value_mm, 0.0), (x + deep, top, thick)
            found.append(_Item(numbers[clasp.name], low, high))
    found += _furniture(design, numbers, "front", 3 * gap)
    board = parts["front_board"].size_mm[0] if "front_board" in parts else width
    leaf = parts["text_block_leaf"].size_mm[0] if "text_block_leaf" in parts else width
    lay("front_board", width - board, thick + 2 * gap)
    lay("endpaper", 0.0, thick + gap, across=leaf)
    lay("text_block_leaf", 0.0, 0.0, deep=block)
    for step, name in enumerate(("mull", "spine_lining", "spine_piece"), 1):
        part = parts.get(name)
        if part is not None:
            shift = -gap * step * 0.8
            deep = part.size_mm[0]
            lay(name, shift, (block - deep) / 2, across=max(THINNEST_MM, part.thickness_mm), deep=deep)
    lay("endpaper", 0.0, -gap, across=leaf)
    lay("back_board", width - board, -2 * gap)
    found += _furniture(design, numbers, "back", -2.6 * gap)
    # of one piece behind all boards, or of one on the spine and one on each side
    lay("covering", (width - parts["covering"].size_mm[0]) / 2 if "covering" in parts else 0.0, -3.5 * gap)
    lay("covering_side", 0.0, -3 * gap)
    lay("covering_spine", -2.2 * gap, -4 * gap)
    return found


def _furniture(design: Design, numbers: Mapping[str, int], board: str, away: float) -> Iterator[_Item]:
    """Corner pieces and bosses of one board, drawn off it."""
    for fitting in design.fittings:
        piece = fitting.sheet.pieces[0]
        if piece.body == board and fitting.name in numbers:
            low, high = piece.solid().bounds
            (x0, y0, z0), (x1, y1, z1) = low.tolist(), high.tolist()
            deep = max(z1 - z0, THINNEST_MM)
            yield _Item(numbers[fitting.name], (x0, y0, z0 + away), (x1, y1, z0 + away + deep))


def can_explode(design: Design) -> bool:
    """Whether the design has the sizes and parts that the view is made of."""
    names = {d.name for d in design.dimensions}
    parts = {part.name for part in design.parts}
    return {"cover_width", "cover_height", "book_thickness"} <= names and {
        "front_board",
        "back_board",
    } <= parts


def exploded_view(design: Design) -> Drawing:
    """Sheet with the exploded view, a balloon at each part shown, and the list of all parts."""
    sheet = SHEETS["A3"]
    x0, y0, x1, y1 = sheet.space
    table = _parts_list(design, int((y1 - y0 - TITLE_BLOCK_HEIGHT_MM - 16.0) / 4.4) - 1)
    left = x1 - 6.0 - table.width_mm
    zone = (x0 + 6.0, y0 + 6.0, left - 4.0, y1 - TITLE_BLOCK_HEIGHT_MM - 4.0)
    items = _items(design)
    silhouettes = [unary_union(item.faces) for item in items]
    bx0, by0, bx1, by1 = unary_union(silhouettes).bounds
    wide, tall = zone[2] - zone[0] - 2 * ROOM_MM, zone[3] - zone[1] - 2 * ROOM_MM
    scale = next((s for s in SCALES if (bx1 - bx0) * s <= wide and (by1 - by0) * s <= tall), SCALES[-1])
    dx = (zone[0] + zone[2]) / 2 - scale * (bx0 + bx1) / 2
    dy = (zone[1] + zone[3]) / 2 - scale * (by0 + by1) / 2

    def on_page(geometry: BaseGeometry) -> BaseGeometry:
        return affine_transform(geometry, (scale, 0, 0, scale, dx, dy))

    block = heading(
        design,
        sheet,
        title="Exploded view",
        document="Exploded view, parts list",
        mark="EX",
        scale=scale_name(scale),
        note="thin parts drawn thicker",
    )
    page = start_sheet(sheet, replace(block, projection=None), "Closed book, exploded view")
    table.draw(page, left, y0 + 6.0)
    before = len(page.paths), len(page.texts)
    nearer: BaseGeometry = Polygon()
    shown: list[tuple[int, BaseGeometry]] = []
    for item, silhouette in zip(items, silhouettes, strict=True):
        edges = unary_union([face.exterior for face in item.faces]).difference(nearer)
        for line in _lines(on_page(edges)):
            page.line("visible", *((float(x), float(y)) for x, y in line.coords))
        shown.append((item.number, on_page(silhouette.difference(nearer))))
        nearer = nearer.union(silhouette)
    drawn = unary_union([line for path in page.paths if path.purpose == "visible" for line in path.lines])
    layout, named = Layout(page, zone), set()
    for number, seen in shown:
        if number not in named and not seen.is_empty and layout.place(_balloons(layout, number, seen, drawn)):
            named.add(number)
    frame_views(page, *before)
    return page.build()


def _lines(geometry: BaseGeometry) -> Iterator[LineString]:
    for part in getattr(geometry, "geoms", [geometry]):
        if isinstance(part, LineString) and part.length > 0:
            yield part


def _balloons(
    layout: Layout, number: int, seen: BaseGeometry, drawn: BaseGeometry
) -> Iterator[DrawingBuilder]:
    """A dot on the part, a leader, and its number in a circle that no edge runs through."""
    for at in _places(seen):
        for reach in _REACHES_MM:
            for turn in _TURNS_DEG:
                ux, uy = math.cos(math.radians(turn)), math.sin(math.radians(turn))
                center = (at.x + ux * (reach + BALLOON_MM), at.y + uy * (reach + BALLOON_MM))
                if drawn.distance(Point(center)) < BALLOON_MM + CLEAR_MM:
                    continue
                page = layout.fragment()
                page.dot((at.x, at.y))
                page.line("leader", (at.x, at.y), (at.x + ux * reach, at.y + uy * reach))
                page.circle("leader", center, BALLOON_MM)
                page.text(str(number), (center[0], center[1] + NUMBER_MM / 2), NUMBER_MM, "middle")
                yield page


def _places(seen: BaseGeometry) -> Iterator[Point]:
    """Points of a part that are seen: its middle first, then others over its largest piece."""
    piece = max(getattr(seen, "geoms", [seen]), key=lambda g: g.area)
    yield piece.representative_point()
    x0, y0, x1, y1 = piece.bounds
    for i in range(1, _PLACES):
        for j in range(1, _PLACES):
            at = Point(x0 + (x1 - x0) * i / _PLACES, y0 + (y1 - y0) * j / _PLACES)
            if piece.contains(at):
                yield at


def _parts_list(design: Design, most: int) -> Table:
    """Item, part, pieces, material and size of every part (ISO 7573)."""
    units = design.units
    rows = [
        (
            str(i),
            part.name.replace("_", " "),
            str(part.quantity),
            part.material.replace("_", " "),
            " x ".join(length_digits(v, units) for v in (*part.size_mm, part.thickness_mm)),
        )
        for i, part in enumerate(design.parts, 1)
    ]
    return Table(("item", "part", "pieces", "material", f"size {units}"), rows, right=(0, 2), most=most)
