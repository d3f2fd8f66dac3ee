"""Judge a finished page: no lettering touches lettering or a line, nothing leaves the page.

Lettering may stand above its own dimension line, since its box ends before the line; it may stand on a tint.
"""

from __future__ import annotations

from itertools import combinations

from shapely.geometry import LineString, Polygon, box
from shapely.strtree import STRtree

from pixel2make.pack.drawing.layout import role, trimmed
from pixel2make.pack.pens import Drawing

__all__ = ["overlaps"]

TOUCH_MM = 1e-6
"""Boxes that share an edge to within rounding count as apart."""
SAME_LINE_MM = 0.5
"""Two lines that run on each other for longer than a wide line is wide read as one."""


def overlaps(drawing: Drawing) -> list[str]:
    """Sentences about everything on a page that touches what it must not; empty for a good page.

    Found are: a text box that touches another text box or any line; a text box or a line that leaves
    the page; a dimension line that crosses another dimension line or runs on another line.

    Parameters
    ----------
    drawing : Drawing

    Returns
    -------
    sentences : list of str
        In the order of texts, then lines.
    """
    boxes = [text.box.buffer(-TOUCH_MM) for text in drawing.texts]
    lines = [(path.purpose, line) for path in drawing.paths for line in path.lines]
    return [
        *_leaving(drawing, boxes, lines),
        *_texts_on_texts(drawing, boxes),
        *_texts_on_lines(drawing, boxes, lines),
        *_dimension_lines(drawing),
    ]


def _leaving(drawing: Drawing, boxes: list[Polygon], lines: list[tuple[str, LineString]]) -> list[str]:
    page = box(0, 0, drawing.width_mm, drawing.height_mm).buffer(TOUCH_MM)
    found = [
        f"text {text.value!r} leaves the page"
        for text, area in zip(drawing.texts, boxes, strict=True)
        if not page.contains(area)
    ]
    return found + [f"{purpose} line leaves the page" for purpose, line in lines if not page.contains(line)]


def _texts_on_texts(drawing: Drawing, boxes: list[Polygon]) -> list[str]:
    if not boxes:
        return []
    left, right = STRtree(boxes).query(boxes, predicate="intersects")
    pairs = sorted((int(i), int(j)) for i, j in zip(left, right, strict=True) if i < j)
    return [f"text {drawing.texts[i].value!r} touches text {drawing.texts[j].value!r}" for i, j in pairs]


def _texts_on_lines(drawing: Drawing, boxes: list[Polygon], lines: list[tuple[str, LineString]]) -> list[str]:
    if not boxes or not lines:
        return []
    which, where = STRtree([line for _, line in lines]).query(boxes, predicate="intersects")
    pairs = sorted((int(i), int(j)) for i, j in zip(which, where, strict=True))
    return [f"text {drawing.texts[i].value!r} touches a {lines[j][0]} line" for i, j in pairs]


def _dimension_lines(drawing: Drawing) -> list[str]:
    own = [
        LineString(trimmed(path, points))
        for path in drawing.paths
        if role(path) == "dimension"
        for points in path.contours
    ]
    others = [
        (p.purpose, line)
        for p in drawing.paths
        if p.purpose in {"visible", "detail", "hidden", "centre", "extension"}
        for line in p.lines
    ]
    found = ["dimension lines cross" for a, b in combinations(own, 2) if a.intersects(b)]
    for line in own:
        for purpose, other in others:
            if line.intersection(other).length > SAME_LINE_MM:
                found.append(f"a dimension line runs on a {purpose} line")
    return found
