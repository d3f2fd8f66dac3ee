"""Kinds of lines and lettering: what each line is for, its weight, type and colour.

Weights and types follow ISO 128-2 (0.5 wide and 0.25 narrow, dashes counted in line widths), so a
black-and-white print tells the purposes apart. The colours are muted ones of our own choosing, dark
enough to read on white paper; they carry no meaning that the line type does not carry too, and
none is the plain red, blue, green or black that machines are set up for. Whoever drives a machine
by colour picks the purposes from the group names in the file.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from pixel2make import trade

__all__ = ["INK", "LETTERING_HEIGHTS_MM", "LINES", "NARROW_MM", "WIDE_MM", "LineStyle"]

WIDE_MM: float = trade.value("drawing.line_group").value["wide"]
NARROW_MM: float = trade.value("drawing.line_group").value["narrow"]
FRAME_MM: float = trade.value("drawing.frame").value["line"]

LETTERING_HEIGHTS_MM = trade.value("drawing.lettering_heights").numbers
"""Nominal heights of capital letters, ISO 3098, smallest first."""

INK = "#2b2a33"
"""Lettering and drawing lines: a warm blue-black."""


@dataclass(frozen=True)
class LineStyle:
    """How the lines of one purpose look.

    Attributes
    ----------
    name : str
        The purpose, and the name of its group in a file.
    width_mm : float
    color : str
        sRGB hex.
    dashes : tuple of float
        Lengths drawn and left out in turn, in line widths as ISO 128-2 counts them; empty for a
        continuous line.
    meaning : str
        What a maker does along it.
    """

    name: str
    width_mm: float
    color: str
    dashes: tuple[float, ...] = ()
    meaning: str = ""

    @property
    def dashes_mm(self) -> tuple[float, ...]:
        """Dash lengths in millimetres."""
        return tuple(d * self.width_mm for d in self.dashes)


_PATTERN = trade.value("drawing.dash_pattern").value
_DOT, _GAP, _DASH, _LONG = (float(_PATTERN[k]) for k in ("dot", "gap", "dash", "long_dash"))
_DASHED = (_DASH, _GAP)
_LONG_DASH_DOT = (_LONG, _GAP, _DOT, _GAP)
_LONG_DASH_TWO_DOTS = (_LONG, _GAP, _DOT, _GAP, _DOT, _GAP)
_LONG_SHORT_DASH = (_LONG, _GAP, _DASH / 2, _GAP)

_STYLES = (
    LineStyle("cut", WIDE_MM, "#7b2d52", (), "cut through"),
    LineStyle("score", NARROW_MM, "#1f6b62", _DASHED, "score or fold, do not cut through"),
    LineStyle("engrave", NARROW_MM, "#8a5a1c", _LONG_SHORT_DASH, "engrave or scribe"),
    LineStyle("mark", NARROW_MM, "#46598c", _LONG_DASH_TWO_DOTS, "mark with a soft pencil"),
    LineStyle("print", 0.18, "#6d6a75", (), "print only, for reading"),
    LineStyle("bend", NARROW_MM, "#5c4a8a", (), "bend line on a flat pattern"),
    LineStyle("visible", WIDE_MM, INK, (), "visible edge"),
    LineStyle("detail", NARROW_MM, INK, (), "edge of a painted area, imaginary edge"),
    LineStyle("hidden", NARROW_MM, INK, _DASHED, "hidden edge"),
    LineStyle("centre", NARROW_MM, INK, _LONG_DASH_DOT, "centre or symmetry line"),
    LineStyle("cutting_plane", WIDE_MM, INK, _LONG_DASH_DOT, "where a section is cut, ISO 128-3"),
    LineStyle("dimension", NARROW_MM, INK, (), "dimension line"),
    LineStyle("extension", NARROW_MM, INK, (), "extension line"),
    LineStyle("leader", NARROW_MM, INK, (), "leader line to lettering"),
    LineStyle("frame", FRAME_MM, INK, (), "frame of the drawing space"),
)

LINES: Mapping[str, LineStyle] = {style.name: style for style in _STYLES}
"""Purpose to style, in drawing order."""
