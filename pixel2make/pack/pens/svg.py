"""SVG: a pen for path data and a writer for a whole page.

Width and height in mm with a matching viewBox make one user unit one millimetre (SVG 2). Nothing in
the file depends on the day or the machine.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET

from pixel2make.pack.pens.lines import LINES, LineStyle
from pixel2make.pack.pens.pen import Point
from pixel2make.pack.pens.shapes import Drawing, Path, Text

__all__ = ["VIEWS", "SvgPathPen", "svg_bytes"]

VIEWS = "views"
"""Name of the element that says where a sheet's views are: an address ending in #views shows them alone."""

DECIMALS = 3
"""A thousandth of a millimetre, finer than any tool that cuts by these files."""


def _number(value: float, decimals: int = DECIMALS) -> str:
    """Fixed decimals without trailing zeros, never "-0".

    >>> _number(3.0), _number(-0.0001), _number(12.34567)
    ('3', '0', '12.346')
    """
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"
    return "0" if text in {"-0", ""} else text


class SvgPathPen:
    """Writes path data with absolute commands.

    Parameters
    ----------
    decimals : int
        Digits after the point; trailing zeros are left out.

    >>> pen = SvgPathPen()
    >>> pen.move_to((0, 0)); pen.line_to((10, 2.5)); pen.close()
    >>> pen.data
    'M0 0L10 2.5Z'
    """

    def __init__(self, decimals: int = DECIMALS) -> None:
        self._decimals = decimals
        self._parts: list[str] = []

    def _put(self, letter: str, *points: Point) -> None:
        self._parts.append(
            letter + " ".join(_number(v, self._decimals) for point in points for v in (point[0], point[1]))
        )

    def move_to(self, point: Point) -> None:
        self._put("M", point)

    def line_to(self, point: Point) -> None:
        self._put("L", point)

    def curve_to(self, control1: Point, control2: Point, point: Point) -> None:
        self._put("C", control1, control2, point)

    def close(self) -> None:
        self._parts.append("Z")

    def end(self) -> None:
        return

    @property
    def data(self) -> str:
        """What belongs into the ``d`` attribute."""
        return "".join(self._parts)


def svg_bytes(drawing: Drawing) -> bytes:
    """A drawing as an SVG file.

    Paths stand in one group a purpose, in the order of `LINES`, tints below everything, lettering on
    top; within a group they keep the order in which they were drawn.
    """
    width, height = _number(drawing.width_mm), _number(drawing.height_mm)
    root = ET.Element(
        "svg",
        {
            "xmlns": "http://www.w3.org/2000/svg",
            "width": f"{width}mm",
            "height": f"{height}mm",
            "viewBox": f"0 0 {width} {height}",
        },
    )
    if drawing.title:
        ET.SubElement(root, "title").text = drawing.title
    if drawing.views is not None:
        x0, y0, x1, y1 = drawing.views
        box = " ".join(_number(value) for value in (x0, y0, x1 - x0, y1 - y0))
        ET.SubElement(root, "view", {"id": VIEWS, "viewBox": box})
    ET.SubElement(root, "rect", {"id": "paper", "width": width, "height": height, "fill": "#ffffff"})
    _add_tints(root, drawing)
    for style in LINES.values():
        _add_lines(root, style, [p for p in drawing.paths if p.purpose == style.name])
    _add_texts(root, drawing.texts)
    ET.indent(root, space=" ")
    text = ET.tostring(root, encoding="unicode")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{text}\n'.encode()


def _data(path: Path) -> str:
    pen = SvgPathPen()
    path.draw(pen)
    return pen.data


def _add_tints(root: ET.Element, drawing: Drawing) -> None:
    tints = [path for path in drawing.paths if path.tint]
    if not tints:
        return
    group = ET.SubElement(root, "g", {"id": "tint", "fill-rule": "evenodd"})
    for path in tints:
        ET.SubElement(group, "path", {"d": _data(path), "fill": path.tint or "none"})


def _add_lines(root: ET.Element, style: LineStyle, paths: list[Path]) -> None:
    if not paths:
        return
    attributes = {
        "id": style.name,
        "fill": "none",
        "stroke": style.color,
        "stroke-width": _number(style.width_mm),
        "stroke-linejoin": "round",
    }
    if style.dashes:
        attributes["stroke-dasharray"] = " ".join(_number(v) for v in style.dashes_mm)
    group = ET.SubElement(root, "g", attributes)
    for path in paths:
        extra = {"fill": style.color, "stroke": "none"} if path.is_solid else {}
        ET.SubElement(group, "path", {"d": _data(path), **extra})


def _add_texts(root: ET.Element, texts: tuple[Text, ...]) -> None:
    if not texts:
        return
    group = ET.SubElement(root, "g", {"id": "lettering", "font-family": "sans-serif", "stroke": "none"})
    for text in texts:
        x, y = (_number(v) for v in text.at)
        attributes = {
            "x": x,
            "y": y,
            "font-size": _number(text.font_size_mm),
            "fill": text.color,
        }
        if text.anchor != "start":
            attributes["text-anchor"] = text.anchor
        if text.is_upward:
            attributes["transform"] = f"rotate(-90 {x} {y})"
        ET.SubElement(group, "text", attributes).text = text.value
