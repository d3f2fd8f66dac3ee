"""Cut faces on a page: outline, and hatching after ISO 128-3 by what is cut.

Boards are hatched at 45 degrees, strips and cords the other way, leaves along their length where they are cut
across; the covering and thin linings are tinted, since they are too thin to hatch.
"""

from __future__ import annotations

from collections.abc import Iterator

from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.pack.pens import DrawingBuilder

__all__ = ["cut_face"]

_PITCHES = trade.value("drawing.hatching").value
HATCH_MM, LEAF_MM = float(_PITCHES["pitch"]), float(_PITCHES["leaves"])
TINT = "#e3d3c4"
"""Of what is not hatched: pale enough for lettering and leaders."""
_LEAST_MM = 0.2
"""A shorter hatching line is a speck."""


def cut_face(page: DrawingBuilder, shape: BaseGeometry, hatch: str) -> None:
    """Draw what the plane cuts of one material.

    Parameters
    ----------
    page : DrawingBuilder
    shape : geometry
        On the page; nothing is drawn of what has no area.
    hatch : {"/", "\\\\", "-", " ", ""}
        Way of the lines, seen with y down the page; " " leaves the face white, "" tints it.
    """
    if shape.is_empty or not isinstance(shape, Polygon | MultiPolygon):
        return
    page.polygon("detail", shape, tint=TINT if not hatch else None)
    for row in _rows(shape, hatch):
        common = row.intersection(shape)
        for part in getattr(common, "geoms", [common]):
            if isinstance(part, LineString) and part.length > _LEAST_MM:
                page.line("print", *((float(x), float(y)) for x, y in part.coords))


def _rows(shape: Polygon | MultiPolygon, hatch: str) -> Iterator[LineString]:
    x0, y0, x1, y1 = shape.bounds
    if hatch == "-":
        for i in range(1, int((y1 - y0) / LEAF_MM) + 1):
            yield LineString([(x0, y0 + LEAF_MM * i), (x1, y0 + LEAF_MM * i)])
    elif hatch.strip():
        reach = y1 - y0
        top, low = (y0, y1) if hatch == "/" else (y1, y0)
        for i in range(1, int((x1 - x0 + reach) / HATCH_MM) + 1):
            yield LineString([(x0 + HATCH_MM * i, top), (x0 + HATCH_MM * i - reach, low)])
