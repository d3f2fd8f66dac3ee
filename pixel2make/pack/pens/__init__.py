"""Pens, the shape list that every format is written from, and the SVG writer."""

from pixel2make.pack.pens.lines import LETTERING_HEIGHTS_MM, LINES, LineStyle
from pixel2make.pack.pens.pen import (
    AffinePen,
    BoundsPen,
    Pen,
    Point,
    RecordingPen,
    draw_arc,
    draw_circle,
    draw_polygon,
    draw_polyline,
)
from pixel2make.pack.pens.shapes import Drawing, DrawingBuilder, Path, Text, text_width_mm
from pixel2make.pack.pens.svg import SvgPathPen, svg_bytes

__all__ = [
    "LETTERING_HEIGHTS_MM",
    "LINES",
    "AffinePen",
    "BoundsPen",
    "Drawing",
    "DrawingBuilder",
    "LineStyle",
    "Path",
    "Pen",
    "Point",
    "RecordingPen",
    "SvgPathPen",
    "Text",
    "draw_arc",
    "draw_circle",
    "draw_polygon",
    "draw_polyline",
    "svg_bytes",
    "text_width_mm",
]
