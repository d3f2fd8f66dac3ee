"""What is seen of the closed book from above its head: boards, spine and the sunk leaves.

In millimetres of the real object, x right from the spine, y down from the back board's outer face to the
front board's. Seen from above, the front cover lies below the back one by either projection.
"""

from __future__ import annotations

from shapely.affinity import scale
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from pixel2make.design.model import Clasp, Design
from pixel2make.pack.drawing.layers import has_layers, rib_outline, spine_layers
from pixel2make.pack.drawing.view import Measure, View, band_reach, clasp_reach, inner_first, length_of

__all__ = ["head_view"]

LEAVES = "leaves"
"""How the layer of the text block begins; at the head all other layers are under the turned-in covering."""
JOIN_MM = 0.05
"""Layers that lie on each other to within this are one outline: below any dimension of the trade."""


def head_view(design: Design) -> View:
    """The head edge, with the clasps that reach round the fore-edge and the size of the block."""
    width, thick = length_of(design, "cover_width"), length_of(design, "book_thickness")
    case, block = _outlines(design, width, thick)
    clasps = [_clasp(clasp, width, thick) for clasp in design.clasps]
    over = unary_union(clasps) if clasps else Polygon()
    shapes: list[tuple[str, BaseGeometry]] = [("visible", case), ("visible", block.difference(case))]
    shapes += [("visible", line.difference(over)) for line in _bevel_feet(design, width, thick)]
    rib = rib_outline(design, thick)
    if rib is not None:
        shapes.append(("visible", LineString(list(rib.exterior.coords)[:4])))
    shapes += [("visible", shape) for shape in _apart(over)]
    _, y0, x1, y1 = block.bounds
    x0 = x1 - (length_of(design, "leaf_width") or x1 - block.bounds[0])
    measures = [
        Measure(x1 - x0, (x0, y1), (x1, y1), False, (1, -1), opposite=((x0, y0), (x1, y0))),
    ]
    for clasp in design.clasps[:1]:
        inner, outer = width - clasp.plate_length.value_mm, thick + clasp.wall.value_mm
        ends = ((inner, outer), (width, outer)), ((inner, -clasp.wall.value_mm), (width, 0.0))
        measures.append(Measure(clasp.plate_length.value_mm, *ends[0], False, (1, -1), opposite=ends[1]))
    reach = clasp_reach(design.clasps)
    bounds = (-band_reach(design), -reach, width + reach, thick + reach)
    return View("Head", bounds, tuple(s for s in shapes if not s[1].is_empty), inner_first(measures))


def _outlines(design: Design, width: float, thick: float) -> tuple[BaseGeometry, Polygon]:
    """Boards and spine under their covering, and the block of leaves between them."""
    board, square = length_of(design, "board_thickness"), length_of(design, "square")
    if not has_layers(design):
        ends = [box(0, 0, width, board), box(0, thick - board, width, thick), box(0, 0, board, thick)]
        return unary_union(ends), box(board, board, width - square, thick - board)
    layers = spine_layers(design)
    block = next(layer.shape for layer in layers if layer.name.startswith(LEAVES))
    case = unary_union([layer.shape for layer in layers if layer.shape is not block])
    case = case.buffer(JOIN_MM, join_style="mitre").buffer(-JOIN_MM, join_style="mitre")
    turned = [scale(shape, 1.0, -1.0, origin=(0.0, thick / 2)) for shape in (case, block)]
    return turned[0], box(*turned[1].bounds)


def _bevel_feet(design: Design, width: float, thick: float) -> list[LineString]:
    """Where the slope at the head begins on both boards."""
    depth = length_of(design, "bevel_depth")
    if depth <= 0 or length_of(design, "bevel_width") <= 0:
        return []
    edge = width - length_of(design, "board_width")
    return [LineString([(edge, y), (width, y)]) for y in (depth, thick - depth)]


def _clasp(clasp: Clasp, width: float, thick: float) -> Polygon:
    """Front plate, strap and back plate from above: a bracket round the fore-edge."""
    wall, length = clasp.wall.value_mm, clasp.plate_length.value_mm
    outer = box(width - length, -wall, width + wall, thick + wall)
    return outer.difference(box(width - length, 0.0, width, thick))


def _apart(shape: BaseGeometry) -> list[BaseGeometry]:
    return [part for part in getattr(shape, "geoms", [shape]) if not part.is_empty]
