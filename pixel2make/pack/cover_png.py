"""A drawing as a picture of its true size: the same shapes as in the SVG file, the resolution in the file."""

from __future__ import annotations

import io
import math
from typing import TYPE_CHECKING

from shapely.geometry import LineString
from shapely.ops import substring

from pixel2make import trade
from pixel2make.pack.pens import LINES, Drawing, Path

if TYPE_CHECKING:
    from PIL.Image import Image

__all__ = ["PRINT_DPI", "picture_size", "png_bytes"]

PRINT_DPI = 300
"""Dots per inch that printers ask of pictures; 11811 to the metre."""
PAPER = "#ffffff"


def picture_size(drawing: Drawing, dpi: int = PRINT_DPI) -> tuple[int, int]:
    """Width and height in pixels.

    >>> picture_size(Drawing(254.0, 127.0))
    (3000, 1500)
    """
    scale = dpi / trade.value("units.inch").number
    return max(1, round(drawing.width_mm * scale)), max(1, round(drawing.height_mm * scale))


def png_bytes(drawing: Drawing, *, dpi: int = PRINT_DPI) -> bytes:
    """The paths of a drawing as a PNG file; tints below, lines above in the order of `LINES`.

    One colour index a pixel and no blending: at print resolution an edge is as sharp as the printer can
    make it, and the file stays small. Texts are left out, as their shape depends on the reader's fonts.
    """
    from PIL import Image

    colors = [PAPER, *dict.fromkeys(c for p in drawing.paths for c in (p.tint, LINES[p.purpose].color) if c)]
    index = {color: i for i, color in enumerate(dict.fromkeys(colors))}
    image = Image.new("P", picture_size(drawing, dpi), 0)
    image.putpalette([int(color[k : k + 2], 16) for color in index for k in (1, 3, 5)])
    scale = dpi / trade.value("units.inch").number
    for path in drawing.paths:
        if path.tint:
            _fill(image, path, index[path.tint], scale)
    for style in LINES.values():
        for path in drawing.paths:
            if path.purpose == style.name:
                _draw(image, path, index[style.color], scale)
    out = io.BytesIO()
    image.save(out, "PNG", dpi=(dpi, dpi), optimize=True)
    return out.getvalue()


def _points(line: LineString, scale: float) -> list[tuple[float, float]]:
    # Pillow counts from the middle of a pixel, a drawing from its corner.
    return [(x * scale - 0.5, y * scale - 0.5) for x, y in line.coords]


def _fill(image: Image, path: Path, index: int, scale: float) -> None:
    """Paint the area inside the contours by the even-odd rule."""
    from PIL import Image as Images
    from PIL import ImageChops, ImageDraw

    rings = [_points(line, scale) for line in path.lines if len(line.coords) > 2]
    if not rings:
        return
    x0, y0 = (max(0, math.floor(min(p[k] for ring in rings for p in ring))) for k in (0, 1))
    x1, y1 = (min(image.size[k], math.ceil(max(p[k] for ring in rings for p in ring)) + 1) for k in (0, 1))
    if x1 <= x0 or y1 <= y0:
        return
    mask = Images.new("1", (x1 - x0, y1 - y0), 0)
    for ring in rings:
        one = Images.new("1", mask.size, 0)
        ImageDraw.Draw(one).polygon([(x - x0, y - y0) for x, y in ring], fill=1)
        mask = ImageChops.logical_xor(mask, one)
    image.paste(index, (x0, y0), mask)


def _draw(image: Image, path: Path, index: int, scale: float) -> None:
    from PIL import ImageDraw

    style = LINES[path.purpose]
    if path.is_solid:
        _fill(image, path, index, scale)
        return
    pen = ImageDraw.Draw(image)
    width = max(1, round(style.width_mm * scale))
    for line in path.lines:
        for dash in _dashes(line, style.dashes_mm):
            pen.line(_points(dash, scale), fill=index, width=width, joint="curve")


def _dashes(line: LineString, pattern: tuple[float, ...]) -> list[LineString]:
    """The drawn stretches of a line, by lengths drawn and left out in turn."""
    if not pattern:
        return [line]
    found, at, k = [], 0.0, 0
    while at < line.length:
        if k % 2 == 0:
            found.append(substring(line, at, min(at + pattern[k % len(pattern)], line.length)))
        at += pattern[k % len(pattern)]
        k += 1
    return [dash for dash in found if isinstance(dash, LineString)]
