"""A drawing as a picture of its true size: the same shapes as in the SVG file, the resolution in the file."""

from __future__ import annotations

import io
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString
from shapely.ops import substring

from pixel2make import trade
from pixel2make.pack.pens import LINES, Drawing, Path

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
    width, height = picture_size(drawing, dpi)
    pixels = np.zeros((height, width), np.uint8)
    scale = dpi / trade.value("units.inch").number
    for path in drawing.paths:
        if path.tint:
            _fill(pixels, path.lines, index[path.tint], scale)
    for style in LINES.values():
        for path in drawing.paths:
            if path.purpose == style.name:
                _draw(pixels, path, index[style.color], scale)
    image = Image.frombytes("P", (width, height), pixels.tobytes())
    image.putpalette([int(color[k : k + 2], 16) for color in index for k in (1, 3, 5)])
    out = io.BytesIO()
    image.save(out, "PNG", dpi=(dpi, dpi), optimize=True)
    return out.getvalue()


def _fill(pixels: NDArray[np.uint8], rings: Sequence[LineString], index: int, scale: float) -> None:
    """Colour the pixels whose middles lie inside the rings by the even-odd rule."""
    points = [np.asarray(ring.coords)[:, :2] * scale for ring in rings if len(ring.coords) > 2]
    if not points:
        return
    limit = np.array(pixels.shape[::-1])
    low = np.clip(np.floor(np.min([p.min(0) for p in points], axis=0)).astype(int), 0, limit)
    high = np.clip(np.ceil(np.max([p.max(0) for p in points], axis=0)).astype(int), 0, limit)
    if (high <= low).any():
        return
    width, height = (high - low).tolist()
    # Each edge turns inside out whatever lies right of it, in the rows that it crosses.
    turns = np.zeros((height, width + 1), np.uint8)
    for ring in points:
        local = ring - low
        for (xa, ya), (xb, yb) in zip(local[:-1].tolist(), local[1:].tolist(), strict=True):
            first, last = (math.ceil(y - 0.5) for y in sorted((ya, yb)))
            rows = np.arange(max(first, 0), min(last, height))
            if len(rows):
                across = xa + (rows + 0.5 - ya) * (xb - xa) / (yb - ya)
                columns = np.clip(np.ceil(across - 0.5).astype(int), 0, width)
                turns[rows, columns] ^= 1
    inside = np.bitwise_xor.accumulate(turns[:, :-1], axis=1).astype(bool)
    pixels[low[1] : high[1], low[0] : high[0]][inside] = index


def _draw(pixels: NDArray[np.uint8], path: Path, index: int, scale: float) -> None:
    """Draw a line as the area that it covers: flat ends, round corners, as in the SVG file."""
    style = LINES[path.purpose]
    if path.is_solid:
        _fill(pixels, path.lines, index, scale)
        return
    for line in path.lines:
        for dash in _dashes(line, style.dashes_mm):
            area = dash.buffer(style.width_mm / 2, cap_style="flat", join_style="round", quad_segs=4)
            for part in getattr(area, "geoms", [area]):
                _fill(pixels, [part.exterior, *part.interiors], index, scale)


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
