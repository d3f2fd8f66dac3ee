"""One list of shapes for every format: paths with a purpose, and texts with a box."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make.pack.pens.lines import INK, LINES
from pixel2make.pack.pens.pen import (
    Command,
    Pen,
    Point,
    RecordingPen,
    contours,
    draw_arc,
    draw_circle,
    draw_polygon,
    draw_polyline,
    flatten,
    replay,
)

__all__ = ["Drawing", "DrawingBuilder", "Path", "Text", "text_width_mm"]

CAPITAL_PER_EM = 0.72
"""Height of a capital letter in a sans-serif face, in font sizes: 0.716 to 0.729 in common faces."""
ASCENT_PER_EM, DESCENT_PER_EM = 0.80, 0.24
"""How far letters, brackets and strokes reach above and below the baseline, in font sizes."""

_ADVANCES = {
    0.30: "'ijlI",
    0.34: " ,./:;\\|J·",
    0.42: "f-()[]t!r",
    0.54: '"*_`°–sz?c',
    0.60: "LFkvxyP",
    0.66: "TYaeo$0123456789ESbdghnpqu{}K",
    0.76: "ABVXZCRUNH",
    0.84: "&DGOQw#+<=>^~×±",
    1.00: "M%mW@—…",
}
"""Advance widths in font sizes, each the widest among common sans-serif faces, rounded up."""
_ADVANCE = {char: width for width, chars in _ADVANCES.items() for char in chars}
_WIDEST = max(_ADVANCES)


def text_width_mm(value: str, height_mm: float) -> float:
    """Conservative width of a line of text whose capitals are `height_mm` high.

    No common sans-serif face sets the text wider; a character of unknown width counts as the widest.
    """
    return sum(_ADVANCE.get(char, _WIDEST) for char in value) * height_mm / CAPITAL_PER_EM


@dataclass(frozen=True)
class Path:
    """Contours of one purpose.

    Attributes
    ----------
    purpose : str
        Key of `LINES`.
    commands : tuple of Command
    is_solid : bool
        Filled with the purpose's own colour and without a line, as an arrowhead is.
    tint : str or None
        sRGB hex that lies under the area inside the contours (even-odd).
    """

    purpose: str
    commands: tuple[Command, ...]
    is_solid: bool = False
    tint: str | None = None

    def __post_init__(self) -> None:
        if self.purpose not in LINES:
            raise ValueError(f"purpose is one of {', '.join(LINES)}, got {self.purpose!r}")

    def draw(self, pen: Pen) -> None:
        """Draw onto a pen."""
        replay(self.commands, pen)

    @property
    def contours(self) -> list[list[Point]]:
        """Points of each contour, curves as chords; rings end where they began."""
        return contours(self.commands)

    @property
    def lines(self) -> list[LineString]:
        """Contours as shapely lines, curves as chords."""
        return flatten(self.commands)


@dataclass(frozen=True)
class Text:
    """One line of lettering.

    Attributes
    ----------
    value : str
    at : (x, y)
        On the baseline.
    height_mm : float
        Of a capital letter.
    anchor : {"start", "middle", "end"}
        Which point of the text stands at `at`.
    is_upward : bool
        Read from the right-hand edge of the page: the baseline runs up.
    color : str
    """

    value: str
    at: Point
    height_mm: float
    anchor: str = "start"
    is_upward: bool = False
    color: str = INK

    @property
    def font_size_mm(self) -> float:
        """Size of the em that gives capitals of `height_mm`."""
        return self.height_mm / CAPITAL_PER_EM

    @property
    def box(self) -> Polygon:
        """Upright rectangle that holds the lettering in any common sans-serif face."""
        return box(*self.bounds)

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """(x0, y0, x1, y1) of the box."""
        width = text_width_mm(self.value, self.height_mm)
        left = {"start": 0.0, "middle": -width / 2, "end": -width}[self.anchor]
        up, down = ASCENT_PER_EM * self.font_size_mm, DESCENT_PER_EM * self.font_size_mm
        x, y = self.at
        if self.is_upward:
            return (x - up, y - left - width, x + down, y - left)
        return (x + left, y - up, x + left + width, y + down)


@dataclass(frozen=True)
class Drawing:
    """A page in millimetres, y down, that any format can be written from.

    Attributes
    ----------
    width_mm, height_mm : float
    paths : tuple of Path
        In the order in which they were drawn.
    texts : tuple of Text
    title : str
        For the file's own title.
    is_sheet : bool
        The page is a drawing sheet of its own size, printed whole; else it lies at true size and
        is printed over as many sheets of the maker's paper as it takes.
    formats : tuple of str
        Which files are made of it.
    views : (x0, y0, x1, y1) or None
        Where on a sheet the views with their dimensions are, without tables and title block.
    """

    width_mm: float
    height_mm: float
    paths: tuple[Path, ...] = ()
    texts: tuple[Text, ...] = ()
    title: str = ""
    is_sheet: bool = False
    formats: tuple[str, ...] = ("svg", "dxf", "pdf")
    views: tuple[float, float, float, float] | None = None


@dataclass
class DrawingBuilder:
    """Collects shapes for a `Drawing`.

    Attributes
    ----------
    width_mm, height_mm : float
    title : str
    is_sheet : bool
    formats : tuple of str
    views : (x0, y0, x1, y1) or None
        As `Drawing` has them.
    """

    width_mm: float
    height_mm: float
    title: str = ""
    paths: list[Path] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    is_sheet: bool = False
    formats: tuple[str, ...] = ("svg", "dxf", "pdf")
    views: tuple[float, float, float, float] | None = None

    def add(
        self, purpose: str, pen: RecordingPen, *, is_solid: bool = False, tint: str | None = None
    ) -> None:
        """Add what a pen recorded; nothing where it recorded nothing."""
        if pen.commands:
            self.paths.append(Path(purpose, tuple(pen.commands), is_solid, tint))

    def line(self, purpose: str, *points: Point) -> None:
        """Straight lines through the points."""
        pen = RecordingPen()
        draw_polyline(points, pen)
        self.add(purpose, pen)

    def rectangle(self, purpose: str, x: float, y: float, width: float, height: float) -> None:
        """Upright rectangle with its upper left corner at (x, y)."""
        pen = RecordingPen()
        draw_polyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], pen, is_closed=True)
        self.add(purpose, pen)

    def polygon(self, purpose: str, geometry: BaseGeometry, *, tint: str | None = None) -> None:
        """A shapely polygon or several."""
        pen = RecordingPen()
        draw_polygon(geometry, pen)
        self.add(purpose, pen, tint=tint)

    def circle(self, purpose: str, center: Point, radius: float) -> None:
        """A full circle."""
        pen = RecordingPen()
        draw_circle(center, radius, pen)
        self.add(purpose, pen)

    def arc(self, purpose: str, center: Point, radius: float, start_deg: float, end_deg: float) -> None:
        """A circular arc, angles clockwise from the x axis."""
        pen = RecordingPen()
        draw_arc(center, radius, start_deg, end_deg, pen)
        self.add(purpose, pen)

    def arrowhead(self, tip: Point, direction: Point, length: float) -> None:
        """Filled arrowhead whose tip points along `direction`, three times as long as wide."""
        norm = math.hypot(*direction)
        dx, dy = direction[0] / norm * length, direction[1] / norm * length
        base = (tip[0] - dx, tip[1] - dy)
        left, right = (base[0] - dy / 6, base[1] + dx / 6), (base[0] + dy / 6, base[1] - dx / 6)
        pen = RecordingPen()
        draw_polyline([tip, left, right], pen, is_closed=True)
        self.add("dimension", pen, is_solid=True)

    def dot(self, center: Point, radius: float = 0.5) -> None:
        """Filled dot at the end of a leader that points at a surface."""
        pen = RecordingPen()
        draw_circle(center, radius, pen)
        self.add("leader", pen, is_solid=True)

    def text(
        self,
        value: str,
        at: Point,
        height_mm: float,
        anchor: str = "start",
        *,
        is_upward: bool = False,
        color: str = INK,
    ) -> Text:
        """Add a line of lettering; empty text adds nothing. Returns it, for its box."""
        text = Text(value, at, height_mm, anchor, is_upward, color)
        if value:
            self.texts.append(text)
        return text

    def build(self) -> Drawing:
        """The finished page."""
        return Drawing(
            self.width_mm,
            self.height_mm,
            tuple(self.paths),
            tuple(self.texts),
            self.title,
            self.is_sheet,
            self.formats,
            self.views,
        )
