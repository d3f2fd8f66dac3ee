"""What is seen of the closed book from the front and from the fore-edge, and what is measured there.

Both views are in millimetres of the real object, x right, y down, y counted from the head of the cover,
so that they stand level beside each other. The fore-edge is seen from the right, the front cover on its left.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.affinity import scale, translate
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make.design.model import Area, Clasp, Design
from pixel2make.pack.drawing.table import millimetres
from pixel2make.pack.pens import Point
from pixel2make.pack.ribs import ribs
from pixel2make.quantity import Dimension

__all__ = [
    "Corner",
    "Mark",
    "Measure",
    "View",
    "band_reach",
    "clasp_reach",
    "find_dimension",
    "fore_edge_view",
    "front_view",
    "inner_first",
    "length_of",
]

LEAST_JOINT_MM = 0.5
"""A zone narrower than this between spine edge and board is no joint."""
CROSS_SHARE = 0.08
"""How far the centre lines of an emblem run past it, as a share of its size."""
BAND_STEPS = 12
"""Straight pieces of a band's profile."""
SAME_MM = 0.01
"""Lines nearer than this are one."""
MEASURED = ("emblem", "title_area")
MEASURED_AREAS = 3
"""Which areas are dimensioned on the view, and how many; the middle of all stands in the table, and their
outlines are on the masks at true size."""


@dataclass(frozen=True)
class Measure:
    """A length to dimension.

    Attributes
    ----------
    value_mm : float
    start, end : (x, y)
        Where the extension lines begin towards the preferred side, smaller coordinate first.
    is_vertical : bool
    sides : tuple of {-1, 1}
        Above or left, below or right; the preferred first.
    is_essential : bool
        The drawing is of no use without it.
    opposite : (start, end) or None
        Where the extension lines begin towards the other side, where that is elsewhere.
    """

    value_mm: float
    start: Point
    end: Point
    is_vertical: bool
    sides: tuple[int, ...]
    is_essential: bool = False
    opposite: tuple[Point, Point] | None = None

    @property
    def label(self) -> str:
        """The lettering."""
        return millimetres(self.value_mm)


@dataclass(frozen=True)
class Corner:
    """Rounded corners of one radius; `turns_deg` points from a centre to the middle of its arc."""

    radius_mm: float
    center: Point
    turns_deg: tuple[float, ...]


@dataclass(frozen=True)
class Mark:
    """An area with its number in the list and its colour in the sprite."""

    label: str
    outline: BaseGeometry
    color: str


@dataclass(frozen=True)
class View:
    """Lines and measures of one view.

    Attributes
    ----------
    name : str
    bounds : (x0, y0, x1, y1)
        Of the book with its clasps, from which dimension lines are counted.
    shapes : tuple of (purpose, geometry)
    measures : tuple of Measure
        Inner ones first.
    corners : tuple of Corner
    marks : tuple of Mark
    """

    name: str
    bounds: tuple[float, float, float, float]
    shapes: tuple[tuple[str, BaseGeometry], ...]
    measures: tuple[Measure, ...]
    corners: tuple[Corner, ...] = ()
    marks: tuple[Mark, ...] = ()


def find_dimension(design: Design, *names: str) -> Dimension | None:
    """The first dimension that has one of the names."""
    known = {dimension.name: dimension for dimension in design.dimensions}
    return next((known[name] for name in names if name in known), None)


def inner_first(measures: list[Measure]) -> tuple[Measure, ...]:
    """Shorter measures first, essential ones last, so that no extension line crosses a dimension line."""
    drawn = [measure for measure in measures if measure.value_mm > 0]
    return tuple(sorted(drawn, key=lambda m: (m.is_essential, round(m.value_mm, 6))))


def length_of(design: Design, *names: str) -> float:
    """Millimetres of the first dimension that has one of the names; 0 where none has."""
    dimension = find_dimension(design, *names)
    return dimension.value_mm if dimension else 0.0


def front_view(design: Design) -> View:
    """The front cover with joint, areas and clasps."""
    width, height = length_of(design, "cover_width"), length_of(design, "cover_height")
    joint, outline = _cover(design, width, height)
    plates = [_plate(clasp, width) for clasp in design.clasps]
    under = unary_union(plates) if plates else Polygon()
    shapes: list[tuple[str, BaseGeometry]] = [("visible", outline)]
    if joint > LEAST_JOINT_MM:
        shapes.append(("detail", LineString([(joint, 0), (joint, height)]).difference(under)))
    shapes += [("visible", line.difference(under)) for line in _bevel_lines(design, outline, joint)]
    bands = ribs(design)
    shapes += [("visible", LineString([(-x, y) for x, y in rib.profile(BAND_STEPS)])) for rib in bands]
    areas = [area for area in design.areas if area.face == "cover"]
    shapes += [("centre", line) for area in areas if area.feature == "emblem" for line in _cross(area)]
    for clasp, plate in zip(design.clasps, plates, strict=True):
        top = clasp.position_mm
        shapes.append(("visible", plate))
        wall = box(width, top, width + clasp.wall.value_mm, top + clasp.width.value_mm)
        shapes.append(("visible", wall))
    bounds = (-band_reach(design), 0.0, width + clasp_reach(design.clasps), height)
    measures = _clasp_measures(design.clasps, width)
    for area in _ranked(areas):
        measures += _area_measures(area, width, height)
    if joint > LEAST_JOINT_MM:
        measures.append(Measure(joint, (0.0, height), (joint, height), False, (1,)))
    head_edge, fore_edge = ((0.0, 0.0), (width, 0.0)), ((width, 0.0), (width, height))
    measures.append(Measure(width, (0.0, height), (width, height), False, (1, -1), True, head_edge))
    measures.append(Measure(height, (0.0, 0.0), (0.0, height), True, (-1, 1), True, fore_edge))
    marks = tuple(
        Mark(str(i), area.outline.intersection(outline).difference(under), area.color)
        for i, area in enumerate(design.areas, 1)
        if area.face == "cover"
    )
    corners = _corners(length_of(design, "corner_radius"), width, height)
    return View("Front", bounds, tuple(shapes), inner_first(measures), corners, marks)


def _bevel_lines(design: Design, outline: Polygon, joint: float) -> list[BaseGeometry]:
    """Where the slope of a bevelled board meets its flat, and the mitres at square corners."""
    board = next((part for part in design.parts if part.name == "front_board"), None)
    flat = None if board is None else dict(board.marks).get("flat")
    if flat is None:
        return []
    flat = translate(flat, joint, 0.0)
    spine_edge = LineString([(joint, 0.0), (joint, outline.bounds[3])])
    lines: list[BaseGeometry] = [flat.boundary.difference(spine_edge.buffer(SAME_MM))]
    right = outline.bounds[2]
    if length_of(design, "corner_radius") <= 0:
        x, top, low = flat.bounds[2], flat.bounds[1], flat.bounds[3]
        lines.append(LineString([(x, top), (right, outline.bounds[1])]))
        lines.append(LineString([(x, low), (right, outline.bounds[3])]))
    return lines


def band_reach(design: Design) -> float:
    """How far raised bands stand out behind the spine."""
    return max((rib.rise_mm for rib in ribs(design)), default=0.0)


def _cover(design: Design, width: float, height: float) -> tuple[float, Polygon]:
    """Width of the joint and outline of the cover; the board gives the shape of the corners."""
    board = next((part for part in design.parts if part.name == "front_board"), None)
    outline = box(0, 0, width, height)
    radius = min(length_of(design, "corner_radius"), width / 2, height / 2)
    if radius > 0:
        outline = _round_right(outline, radius)
    return (max(0.0, width - board.size_mm[0]) if board else 0.0), outline


def _round_right(outline: Polygon, radius: float) -> Polygon:
    """Round the two corners at the fore-edge."""
    from shapely.geometry import Point as Dot

    x0, y0, x1, y1 = outline.bounds
    body = unary_union([box(x0, y0, x1 - radius, y1), box(x1 - radius, y0 + radius, x1, y1 - radius)])
    arcs = [Dot(x1 - radius, y).buffer(radius, quad_segs=24) for y in (y0 + radius, y1 - radius)]
    joined = unary_union([body, *arcs])
    return joined if isinstance(joined, Polygon) else outline


def _corners(radius: float, width: float, height: float) -> tuple[Corner, ...]:
    if radius <= 0:
        return ()
    return (
        Corner(radius, (width - radius, radius), (-45.0, -60.0, -30.0)),
        Corner(radius, (width - radius, height - radius), (45.0, 60.0, 30.0)),
    )


def clasp_reach(clasps: tuple[Clasp, ...]) -> float:
    """How far clasps stand out beyond the book."""
    return max((clasp.wall.value_mm for clasp in clasps), default=0.0)


def _plate(clasp: Clasp, width: float) -> BaseGeometry:
    """The front plate where it lies on the cover: x is counted from the fore-edge inwards."""
    return translate(scale(clasp.plate, -1.0, 1.0, origin=(0, 0)), width, clasp.position_mm)


def _ranked(areas: list[Area]) -> list[Area]:
    known = [area for area in areas if area.feature in MEASURED]
    return sorted(known, key=lambda area: (MEASURED.index(area.feature), area.name))[:MEASURED_AREAS]


def _cross(area: Area) -> list[LineString]:
    """Centre lines of an area, a little longer than it is."""
    x0, y0, x1, y1 = area.outline.bounds
    x, y, dx, dy = (x0 + x1) / 2, (y0 + y1) / 2, (x1 - x0) * CROSS_SHARE, (y1 - y0) * CROSS_SHARE
    return [LineString([(x0 - dx, y), (x1 + dx, y)]), LineString([(x, y0 - dy), (x, y1 + dy)])]


def _area_measures(area: Area, width: float, height: float) -> list[Measure]:
    """Size of an area, and how far it begins from spine edge and head.

    The place of its middle stands in the table: an extension line from there would run through the
    lettering of the size.
    """
    x0, y0, x1, y1 = area.outline.bounds
    above = ((x0, y0), (x1, y0)), ((0.0, 0.0), (x0, y0))
    below = ((x0, y1), (x1, y1)), ((0.0, height), (x0, y1))
    # the nearer edge of the cover, so that extension lines cross as little as can be
    near, far, sides = (above, below, (-1, 1)) if y0 <= height - y1 else (below, above, (1, -1))
    return [
        Measure(x1 - x0, *near[0], False, sides, opposite=far[0]),
        Measure(y1 - y0, (x0, y0), (x0, y1), True, (-1, 1), opposite=((x1, y0), (x1, y1))),
        Measure(x0, *near[1], False, sides, opposite=far[1]),
        Measure(y0, (0.0, 0.0), (x0, y0), True, (-1, 1), opposite=((width, 0.0), (x1, y0))),
    ]


def _clasp_measures(clasps: tuple[Clasp, ...], width: float) -> list[Measure]:
    measures = []
    for clasp in sorted(clasps, key=lambda c: (c.position_mm, c.name)):
        top, size = clasp.position_mm, clasp.width.value_mm
        edge = width + clasp.wall.value_mm
        measures.append(Measure(size, (edge, top), (edge, top + size), True, (1,)))
        measures.append(Measure(top, (width, 0.0), (edge, top), True, (1,)))
    return measures


def fore_edge_view(design: Design) -> View:
    """Boards, text block and clasps from the fore-edge."""
    height, thickness = length_of(design, "cover_height"), length_of(design, "book_thickness")
    board, square = length_of(design, "board_thickness"), length_of(design, "square")
    spans = [
        box(
            -clasp.wall.value_mm,
            clasp.position_mm,
            thickness + clasp.wall.value_mm,
            clasp.position_mm + clasp.width.value_mm,
        )
        for clasp in design.clasps
    ]
    over = unary_union(spans) if spans else Polygon()
    back = (
        LineString([(board, 0), (thickness - board, 0)]),
        LineString([(board, height), (thickness - board, height)]),
    )
    reach, depth = length_of(design, "bevel_width"), min(length_of(design, "bevel_depth"), board)
    front = _edge_of_board(board, height, reach, depth)
    behind = [scale(shape, -1.0, 1.0, origin=(thickness / 2, 0)) for shape in front]
    shapes: list[tuple[str, BaseGeometry]] = [
        *(("visible", shape.difference(over)) for shape in (*front, *behind)),
        ("visible", box(board, square, thickness - board, height - square).exterior.difference(over)),
        *(("visible", line) for line in back),
        *(("visible", span) for span in spans),
    ]
    measures = [
        Measure(board, (0.0, 0.0), (board, 0.0), False, (-1,)),
        Measure(square, (0.0, 0.0), (board, square), True, (-1,)),
        Measure(
            thickness,
            (0.0, height),
            (thickness, height),
            False,
            (1, -1),
            True,
            ((0.0, 0.0), (thickness, 0.0)),
        ),
    ]
    out = clasp_reach(design.clasps)
    bounds = (-out, 0.0, thickness + out, height)
    return View(
        "Fore-edge",
        bounds,
        tuple(shape for shape in shapes if not shape[1].is_empty),
        inner_first(measures),
    )


def _edge_of_board(board: float, height: float, reach: float, depth: float) -> list[BaseGeometry]:
    """The front board from its fore-edge, outer face at x = 0: outline, and the foot of its bevel."""
    if reach <= 0 or depth <= 0:
        return [box(0, 0, board, height).exterior]
    low = height - reach
    ring = [(0, reach), (depth, 0), (board, 0), (board, height), (depth, height), (0, low)]
    return [LineString([*ring, ring[0]]), LineString([(depth, 0), (depth, height)])]
