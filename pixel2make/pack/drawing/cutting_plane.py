"""Marks of a section on the view that it is cut through (ISO 128-3): wide strokes, arrows and letters."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from pixel2make import trade
from pixel2make.pack.pens import DrawingBuilder, RecordingPen, draw_polyline

__all__ = ["PURPOSE", "SECTION", "cutting_plane"]

PURPOSE = "cutting_plane"
SECTION = "A"
"""Letter of the section across the spine, on the view and over the section."""

_SIZES = trade.value("drawing.cutting_plane").value
STROKE_MM, ARROW_MM, OFF_MM, LETTER_MM = (float(_SIZES[k]) for k in ("stroke", "arrow", "off", "letter"))
HEAD_MM, HEAD_HALF_MM = 4.0, 1.0
"""Length and half the width of an arrowhead, larger than those of dimensions."""
AIR_MM = 1.2
"""Between an arrow's end and its letter."""
PAST_MM = 4.0
"""Off the edges of what is missed, so that the stroke is not taken for one of them."""
_STEPS = 9
_REACH_SHARE = 0.4
"""How far from the middle of the view the plane may be marked, as a share of the height, and in how many
steps it is tried."""


def cutting_plane(
    new: Callable[[], DrawingBuilder],
    bounds: tuple[float, float, float, float],
    missed: Sequence[tuple[float, float]] = (),
    letter: str = SECTION,
) -> Iterator[DrawingBuilder]:
    """Fragments of the marks left and right of a view, at its middle first; one looks up the page.

    Parameters
    ----------
    new : callable
        Gives an empty page.
    bounds : (x0, y0, x1, y1)
        Of the view on the page.
    missed : sequence of (low, high)
        Levels of what the plane does not go through.
    letter : str
        Of the section.
    """
    x0, y0, x1, y1 = bounds
    for step in range(2 * _STEPS + 1):
        way = (step + 1) // 2 * (1 if step % 2 else -1)
        level = (y0 + y1) / 2 + (y1 - y0) * _REACH_SHARE * way / _STEPS
        if any(low - PAST_MM < level < high + PAST_MM for low, high in missed):
            continue
        page = new()
        for start, end in ((x0 - OFF_MM - STROKE_MM, x0 - OFF_MM), (x1 + OFF_MM, x1 + OFF_MM + STROKE_MM)):
            page.line(PURPOSE, (start, level), (end, level))
            _arrow(page, (start + end) / 2, level, letter)
        yield page


def _arrow(page: DrawingBuilder, x: float, level: float, letter: str) -> None:
    """An arrow from below whose tip is on the stroke, with its letter at its foot."""
    head = level + HEAD_MM
    pen = RecordingPen()
    draw_polyline([(x, level), (x - HEAD_HALF_MM, head), (x + HEAD_HALF_MM, head)], pen, is_closed=True)
    page.add(PURPOSE, pen, is_solid=True)
    page.line("leader", (x, head), (x, level + ARROW_MM))
    page.text(letter, (x, level + ARROW_MM + AIR_MM + LETTER_MM), LETTER_MM, "middle")
