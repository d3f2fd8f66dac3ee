"""The page that masks, stencils and leaf sheets of a face share: marks, measuring bars, notes.

The registration crosses stand at the same place on all of them, so that any of a face's sheets lies on
any other. A mirrored page is the same page turned over, with lettering that still reads.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import dist

from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.pack.bars import check_bar, check_bar_words
from pixel2make.pack.pens import DrawingBuilder, text_width_mm
from pixel2make.quantity import in_units

__all__ = ["MARGIN_MM", "NOTE_MM", "FacePage", "face_page", "register_boxes", "register_marks", "wrapped"]

Point = tuple[float, float]
Box = tuple[float, float, float, float]

MARGIN_MM = trade.value("cutting.mask_margin").number
NOTE_MM: float = trade.value("drawing.lettering").value["note"]
_CROSS_MM = trade.value("cutting.register_cross").number
_INSET_MM = trade.value("cutting.register_inset").number

_PITCH = 1.9
"""Baselines apart, in lettering heights: ISO 3098, type B with accents."""

_FOOT_MM = 8.0
"""Strip below the sheet for the level bar."""

_SIDE_MM = 14.0
"""Strip at the left for the upright bar and its figure, clear of a mirrored page's crosses."""

_LEAST_APART_MM = 20.0
"""Crosses closer than this do not fix an angle, and run into each other on a narrow spine."""

_UNLIKE_MM = 5.0
"""Sides of the crosses' triangle differ by at least this, or the sheet could be laid on turned over."""

_DOWN = (0.9, 0.75, 0.6)
"""Where the third cross may stand, in heights of the face."""


def register_marks(face: tuple[float, float]) -> tuple[Point, Point, Point]:
    """Centres of the registration crosses in the face's own millimetres: two above it, one at its right.

    They are neither in line nor symmetric: no turn of the sheet maps them onto themselves, nor does its back.

    >>> register_marks((200, 300))
    ((5.0, -10.0), (195.0, -10.0), (210.0, 270.0))
    """
    width, height = face
    half, out = _CROSS_MM / 2, MARGIN_MM / 2
    left = (half, -out)
    right = (max(width - half, half + _LEAST_APART_MM), -out)
    lower = [(max(width, right[0]) + out, height * share) for share in _DOWN]

    def unlike(third: Point) -> float:
        sides = [dist(a, b) for a, b in combinations((left, right, third), 2)]
        return min(abs(a - b) for a, b in combinations(sides, 2))

    third = next((p for p in lower if unlike(p) > _UNLIKE_MM), None) or max(lower, key=unlike)
    return left, right, third


def register_boxes(face: tuple[float, float]) -> tuple[Box, Box, Box]:
    """What the registration crosses take up, in the face's own millimetres."""
    half = _CROSS_MM / 2
    left, right, third = ((x - half, y - half, x + half, y + half) for x, y in register_marks(face))
    return left, right, third


def wrapped(text: str, width: float) -> list[str]:
    """Lines of notes no wider than `width` millimetres, as far as single words allow."""
    lines = [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and text_width_mm(longer, NOTE_MM) > width:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines


@dataclass(frozen=True)
class FacePage:
    """Where a face lies on its page, and the page under work.

    Attributes
    ----------
    sheet : DrawingBuilder
    face : (float, float)
        Width and height.
    origin : (x, y)
        Upper left corner of the face on the page.
    notes_top : float
    is_mirrored : bool
    """

    sheet: DrawingBuilder
    face: tuple[float, float]
    origin: Point
    notes_top: float
    is_mirrored: bool = False

    def point(self, x: float, y: float) -> Point:
        """A point of the face on the page; mirrored x' = w - x."""
        across = self.face[0] - x if self.is_mirrored else x
        return self.origin[0] + across, self.origin[1] + y

    def shape(self, geometry: BaseGeometry) -> BaseGeometry:
        """A shape of the face on the page."""
        a = -1 if self.is_mirrored else 1
        x, y = self.point(0, 0)
        return affine_transform(geometry, [a, 0, 0, 1, x, y])


def face_page(
    title: str,
    face: tuple[float, float],
    notes: Sequence[str],
    *,
    is_mirrored: bool = False,
    reach: Box | None = None,
    units: str = "mm",
) -> FacePage:
    """A page with the face's outline, registration crosses, both bars and the notes set.

    Parameters
    ----------
    title : str
    face : (float, float)
    notes : sequence of str
        Long ones are broken.
    is_mirrored : bool
    reach : (x0, y0, x1, y1), optional
        What else must find room, in the face's millimetres.
    units : {"mm", "in"}
        In which lengths are written.
    """
    bar = check_bar(units)
    x0, y0, x1, y1 = _reach(face, reach, is_mirrored)
    left, top = _SIDE_MM + MARGIN_MM - x0, MARGIN_MM - y0
    width = max(left + x1 + MARGIN_MM, _SIDE_MM + MARGIN_MM + bar + MARGIN_MM)
    lines = [line for note in notes for line in wrapped(in_units(note, units), width - 2 * _INSET_MM)]
    notes_top = top + max(y1, bar) + MARGIN_MM + _FOOT_MM
    height = notes_top + (len(lines) + 1) * NOTE_MM * _PITCH
    page = FacePage(DrawingBuilder(width, height, title), face, (left, top), notes_top, is_mirrored)
    page.sheet.rectangle("print", 0.0, 0.0, width, height)
    page.sheet.rectangle("mark", left, top, *face)
    _crosses(page)
    _bars(page, units)
    for i, line in enumerate(lines, 1):
        page.sheet.text(line, (_INSET_MM, notes_top + i * NOTE_MM * _PITCH), NOTE_MM)
    return page


def _reach(face: tuple[float, float], reach: Box | None, is_mirrored: bool) -> Box:
    width, height = face
    x0, y0, x1, y1 = reach or (0.0, 0.0, width, height)
    marks = register_marks(face)
    # The cross at the right stands within the margin, unless a narrow face pushes it out.
    x0, x1 = min(x0, 0.0), max(x1, width, max(x for x, _ in marks) - MARGIN_MM / 2)
    if is_mirrored:
        x0, x1 = width - x1, width - x0
    return x0, min(y0, 0.0), x1, max(y1, height)


def _crosses(page: FacePage) -> None:
    half = _CROSS_MM / 2
    for x, y in (page.point(*mark) for mark in register_marks(page.face)):
        page.sheet.line("dimension", (x - half, y), (x + half, y))
        page.sheet.line("dimension", (x, y - half), (x, y + half))
        page.sheet.circle("dimension", (x, y), half / 2)


def _bars(page: FacePage, units: str) -> None:
    """A known length along the foot and up the left side; measured before anything is cut."""
    sheet, tick = page.sheet, 1.5
    bar, words = check_bar(units), check_bar_words(units)
    left, foot = _SIDE_MM + MARGIN_MM, page.notes_top - _FOOT_MM
    _ticked(sheet, [(left, foot), (left + bar, foot)], (0, tick))
    sheet.text(words, (left + bar / 2, foot - 1), NOTE_MM, "middle")
    top = page.origin[1]
    _ticked(sheet, [(_INSET_MM, top), (_INSET_MM, top + bar)], (tick, 0))
    at = (_INSET_MM + NOTE_MM + 1.5, top + bar / 2)
    sheet.text(words, at, NOTE_MM, "middle", is_upward=True)


def _ticked(sheet: DrawingBuilder, ends: Iterable[Point], tick: Point) -> None:
    points = list(ends)
    sheet.line("print", *points)
    for x, y in points:
        sheet.line("print", (x - tick[0], y - tick[1]), (x + tick[0], y + tick[1]))
