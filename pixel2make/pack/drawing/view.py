"""What is seen of the closed book from the front and from the fore-edge, and what is measured there.

Both views are in millimetres of the real object, x right, y down, y counted from the head of the cover,
so that they stand level beside each other. First-angle projection: the fore-edge, seen from the
right, stands to the left of the front view with the front cover on its outer side.
"""

from __future__ import annotations

from dataclasses import dataclass

from shapely.affinity import scale, translate
from shapely.geometry import LineString, MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make.design.model import Area, Clasp, Design
from pixel2make.pack.drawing.table import millimetres
from pixel2make.pack.pens import Point
from pixel2make.quantity import Dimension

__all__ = ["Corner", "Measure", "Mark", "View", "find_dimension", "fore_edge_view", "front_view"]

LEAST_JOINT_MM = 0.5
"""A zone narrower than this between spine edge and board is no joint."""
MEASURED_AREAS = 3
"""Areas whose place and size are dimensioned on the view; those of all stand in the table."""
AREA_RANK = ("emblem", "title_area", "border")
"""Which areas are dimensioned first."""


@dataclass(frozen=True)
class Measure:
    """A length to dimension.

    Attributes
    ----------
    value_mm : float
    start, end : (x, y)
        Where the extension lines begin, smaller coordinate first.
    is_vertical : bool
    sides : tuple of {-1, 1}
        Above or left, below or right; the preferred first.
    is_essential : bool
        The drawing is of no use without it.
    """

    value_mm: float
    start: Point
    end: Point
    is_vertical: bool
    sides: tuple[int, ...]
    is_essential: bool = False

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
    """An area with its number in the list."""

    label: str
    outline: BaseGeometry


@dataclass(frozen=True)
class View:
    """Lines and measures of one view.

    Attributes
    ----------
    name : str
    bounds : (x0, y0, x1, y1)
        Of the book itself, from which dimension lines are counted.
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


def _length(design: Design, *names: str) -> float:
    dimension = find_dimension(design, *names)
    return dimension.value_mm if dimension else 0.0


def front_view(design: Design) -> View:
    """The front cover with joint, areas and clasps."""
    width, height = _length(design, "cover_width"), _length(design, "cover_height")
    joint, outline = _cover(design, width, height)
    plates = [_plate(clasp, width) for clasp in design.clasps]
    under = unary_union(plates) if plates else Polygon()
    shapes: list[tuple[str, BaseGeometry]] = [("visible", outline)]
    if joint > LEAST_JOINT_MM:
        shapes.append(("detail", LineString([(joint, 0), (joint, height)]).difference(under)))
    areas = [area for area in design.areas if area.face == "cover"]
    shapes += [("detail", area.outline.difference(under)) for area in areas]
    for clasp, plate in zip(design.clasps, plates, strict=True):
        top = clasp.position_mm
        shapes.append(("visible", plate))
        wall = box(width, top, width + clasp.wall.value_mm, top + clasp.width.value_mm)
        shapes.append(("visible", wall))
    bounds = (0.0, 0.0, width, height)
    measures = [
        *(m for area in _ranked(areas) for m in _area_measures(area)),
        *_clasp_measures(design.clasps, width, height),
    ]
    if joint > LEAST_JOINT_MM:
        measures.append(Measure(joint, (0.0, height), (joint, height), False, (1, -1)))
    measures.append(Measure(width, (0.0, height), (width, height), False, (1, -1), True))
    measures.append(Measure(height, (0.0, 0.0), (0.0, height), True, (-1, 1), True))
    marks = tuple(
        Mark(str(i), area.outline.difference(under))
        for i, area in enumerate(design.areas, 1)
        if area.face == "cover"
    )
    corners = _corners(_length(design, "corner_radius"), width, height)
    return View("Front", bounds, tuple(shapes), tuple(measures), corners, marks)


def _cover(design: Design, width: float, height: float) -> tuple[float, Polygon]:
    """Width of the joint and outline of the cover; the board gives the shape of the corners."""
    board = next((part for part in design.parts if part.name == "front_board"), None)
    outline = box(0, 0, width, height)
    radius = min(_length(design, "corner_radius"), width / 2, height / 2)
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


def _plate(clasp: Clasp, width: float) -> BaseGeometry:
    """The front plate where it lies on the cover: x is counted from the fore-edge inwards."""
    return translate(scale(clasp.plate, -1.0, 1.0, origin=(0, 0)), width, clasp.position_mm)


def _ranked(areas: list[Area]) -> list[Area]:
    def rank(area: Area) -> tuple[int, str]:
        known = AREA_RANK.index(area.feature) if area.feature in AREA_RANK else len(AREA_RANK)
        return known, area.name

    return sorted(areas, key=rank)[:MEASURED_AREAS]


def _area_measures(area: Area) -> list[Measure]:
    """Size of an area, and how far its middle (emblem) or its near edge lies from spine edge and head."""
    x0, y0, x1, y1 = area.outline.bounds
    is_centred = area.feature == "emblem"
    x, y = ((x0 + x1) / 2, (y0 + y1) / 2) if is_centred else (x0, y0)
    return [
        Measure(x1 - x0, (x0, y0), (x1, y0), False, (-1, 1)),
        Measure(y1 - y0, (x0, y0), (x0, y1), True, (-1, 1)),
        Measure(x, (0.0, 0.0), (x, y0), False, (-1, 1)),
        Measure(y, (0.0, 0.0), (x0, y), True, (-1, 1)),
    ]


def _clasp_measures(clasps: tuple[Clasp, ...], width: float, height: float) -> list[Measure]:
    measures = []
    for i, clasp in enumerate(sorted(clasps, key=lambda c: (c.position_mm, c.name))):
        top, size = clasp.position_mm, clasp.width.value_mm
        edge, inner = width + clasp.wall.value_mm, width - clasp.plate_length.value_mm
        measures.append(Measure(size, (edge, top), (edge, top + size), True, (1,)))
        measures.append(Measure(top, (width, 0.0), (edge, top), True, (1,)))
        if i == 0:
            measures.append(
                Measure(clasp.plate_length.value_mm, (inner, top), (width, 0.0), False, (-1,)),
            )
    return measures


def fore_edge_view(design: Design) -> View:
    """Boards, text block and clasps from the fore-edge."""
    height, thickness = _length(design, "cover_height"), _length(design, "book_thickness")
    board, square = _length(design, "board_thickness"), _length(design, "square")
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
    back = LineString([(board, 0), (thickness - board, 0)]), LineString(
        [(board, height), (thickness - board, height)]
    )
    shapes: list[tuple[str, BaseGeometry]] = [
        ("visible", box(0, 0, board, height).exterior.difference(over)),
        ("visible", box(thickness - board, 0, thickness, height).exterior.difference(over)),
        ("visible", box(board, square, thickness - board, height - square).exterior.difference(over)),
        *(("visible", line) for line in back),
        *(("visible", span) for span in spans),
    ]
    measures = [
        Measure(board, (0.0, 0.0), (board, 0.0), False, (-1, 1)),
        Measure(square, (0.0, 0.0), (board, square), True, (-1,)),
        Measure(thickness, (0.0, height), (thickness, height), False, (1, -1), True),
    ]
    bounds = (0.0, 0.0, thickness, height)
    return View(
        "Fore-edge",
        bounds,
        tuple(shape for shape in shapes if not shape[1].is_empty),
        tuple(measure for measure in measures if measure.value_mm > 0),
    )


def is_polygonal(geometry: BaseGeometry) -> bool:
    """Whether a geometry is a polygon or several."""
    return isinstance(geometry, Polygon | MultiPolygon)
