"""Places annotations on a page one after the other, each only where it touches nothing.

What is to be placed is tried as fragments, a fragment being all lines and lettering of one
annotation at one place. The first fragment that is free is taken. What finds no place is not drawn;
the caller learns of it.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon, box
from shapely.ops import substring

from pixel2make.pack.pens import Drawing, DrawingBuilder, Path

__all__ = ["Layout", "trimmed"]

CLEAR_MM = 0.3
"""Air between lettering and everything else; ISO 128-2 asks 0.7 between parallel lines, and a text box
has air of its own."""
TIP_MM = 0.2
"""How far from its tip a dimension line may be met."""
DRAWN = ("visible", "detail", "hidden", "centre")
"""Purposes of lines that show the object."""


class Layout:
    """A page under work.

    Parameters
    ----------
    page : DrawingBuilder
        What is on it stays; accepted fragments are added to it.
    zone : (x0, y0, x1, y1)
        No fragment leaves this part of the page.
    """

    def __init__(self, page: DrawingBuilder, zone: tuple[float, float, float, float]) -> None:
        self.page = page
        self.zone = zone
        self._zone = box(*zone)
        self._lines: list[LineString] = []
        self._purposes: list[str] = []
        self._boxes: list[Polygon] = []
        self.take(page.build(), is_new=False)

    def fragment(self) -> DrawingBuilder:
        """An empty page of the same size to draw one annotation on."""
        return DrawingBuilder(self.page.width_mm, self.page.height_mm)

    def take(self, drawing: Drawing, *, is_new: bool = True) -> None:
        """Put a fragment on the page without asking; with `is_new` false it is there already."""
        if is_new:
            self.page.paths.extend(drawing.paths)
            self.page.texts.extend(drawing.texts)
        for path in drawing.paths:
            lines = path.lines
            self._lines += [trimmed(path, line) for line in lines]
            self._purposes += [_role(path)] * len(lines)
        self._boxes += [text.box for text in drawing.texts]

    def place(self, fragments: Iterable[DrawingBuilder]) -> bool:
        """Take the first free fragment; False where none is."""
        for fragment in fragments:
            drawing = fragment.build()
            if self.is_free(drawing):
                self.take(drawing)
                return True
        return False

    def is_free(self, drawing: Drawing) -> bool:
        """Whether a fragment keeps inside the zone and touches nothing that it must not."""
        lines = [(_role(path), trimmed(path, line)) for path in drawing.paths for line in path.lines]
        boxes = [text.box for text in drawing.texts]
        aired = [area.buffer(CLEAR_MM) for area in boxes]
        if not all(self._zone.contains(shape) for shape in (*boxes, *(line for _, line in lines))):
            return False
        if any(area.intersects(line) for area in boxes for _, line in lines):
            return False
        if _any_touch(aired, [*self._boxes, *self._lines]):
            return False
        if _any_touch([area.buffer(CLEAR_MM) for area in self._boxes], [line for _, line in lines]):
            return False
        return not any(self._is_barred(role, line) for role, line in lines)

    def _is_barred(self, role: str, line: LineString) -> bool:
        """Lines that would be read wrongly.

        A dimension line crosses no line at all; an extension line may cross lines of the object and other
        extension lines, but no dimension line, and runs on neither; a leader may cross lines of the
        object, but no dimension or extension line.
        """
        barred = {
            "dimension": (*DRAWN, "dimension", "extension", "leader", "arrow"),
            "arrow": ("dimension", "arrow", "leader"),
            "extension": ("dimension", "arrow", "leader"),
            "leader": ("dimension", "extension", "arrow", "leader"),
        }.get(role, ())
        others = [o for o, purpose in zip(self._lines, self._purposes, strict=True) if purpose in barred]
        if others and bool(np.any(shapely.intersects(others, line))):
            return True
        if role != "extension":
            return False
        drawn = [o for o, purpose in zip(self._lines, self._purposes, strict=True) if purpose in DRAWN]
        return bool(drawn) and bool(np.any(shapely.length(shapely.intersection(drawn, line)) > CLEAR_MM))


def _role(path: Path) -> str:
    return "arrow" if path.purpose == "dimension" and path.is_solid else path.purpose


def trimmed(path: Path, line: LineString) -> LineString:
    """A dimension line or arrowhead without its outermost ends, where others may meet it.

    Dimension lines that share an extension line meet there tip to tip, and the extension line of an outer
    one passes the tip of an inner one; neither is a crossing.
    """
    if path.purpose != "dimension":
        return line
    if path.is_solid:
        return LineString(Polygon(line).buffer(-TIP_MM / 2).exterior.coords)
    return substring(line, TIP_MM, line.length - TIP_MM)


def _any_touch(areas: list[Polygon], others: list[Polygon | LineString]) -> bool:
    if not areas or not others:
        return False
    array = np.array(others, dtype=object)
    return any(bool(np.any(shapely.intersects(array, area))) for area in areas)
