"""Pens: shapes draw onto a pen, a pen makes of it what it likes.

A pen is told ``move_to``, ``line_to``, ``curve_to``, then ``close`` (the contour is a ring) or
``end`` (it stays open). Points are (x, y) in millimetres, x right, y down. Flips, turns and scales
are pens that wrap pens; bounds and length are pens; a file format is a pen.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

from shapely.geometry import LineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

__all__ = [
    "AffinePen",
    "BoundsPen",
    "Command",
    "Pen",
    "Point",
    "RecordingPen",
    "contours",
    "draw_arc",
    "draw_circle",
    "draw_polygon",
    "draw_polyline",
    "flatten",
]

Point = tuple[float, float]
Command = tuple[str, tuple[Point, ...]]
"""Name of the pen's method and its points, as a `RecordingPen` keeps it."""

CURVE_STEPS = 16
"""Chords that stand for one cubic: with quarter arcs the sagitta is below 0.13 % of the radius."""


class Pen(Protocol):
    """What a shape needs to draw itself."""

    def move_to(self, point: Point) -> None:
        """Begin a contour."""

    def line_to(self, point: Point) -> None:
        """Straight line from the last point."""

    def curve_to(self, control1: Point, control2: Point, point: Point) -> None:
        """Cubic Bézier curve from the last point."""

    def close(self) -> None:
        """Finish the contour as a ring."""

    def end(self) -> None:
        """Finish the contour as an open line."""


class RecordingPen:
    """Keeps the commands; the double of every other pen in tests, and the content of a path."""

    def __init__(self) -> None:
        self.commands: list[Command] = []

    def move_to(self, point: Point) -> None:
        self.commands.append(("move_to", (point,)))

    def line_to(self, point: Point) -> None:
        self.commands.append(("line_to", (point,)))

    def curve_to(self, control1: Point, control2: Point, point: Point) -> None:
        self.commands.append(("curve_to", (control1, control2, point)))

    def close(self) -> None:
        self.commands.append(("close", ()))

    def end(self) -> None:
        self.commands.append(("end", ()))

    def replay(self, pen: Pen) -> None:
        """Draw again what was kept.

        >>> first, second = RecordingPen(), RecordingPen()
        >>> draw_polyline([(0, 0), (3, 4)], first)
        >>> first.replay(second)
        >>> second.commands == first.commands
        True
        """
        replay(self.commands, pen)


def replay(commands: Iterable[Command], pen: Pen) -> None:
    """Tell `pen` the commands in order."""
    for name, points in commands:
        getattr(pen, name)(*points)


class AffinePen:
    """Hands points on to another pen after (x, y) -> (a x + c y + e, b x + d y + f).

    Parameters
    ----------
    pen : Pen
    matrix : (a, b, c, d, e, f)
        As in SVG's ``matrix()``; (1, 0, 0, -1, 0, h) flips a page of height h to y up.
    """

    def __init__(self, pen: Pen, matrix: tuple[float, float, float, float, float, float]) -> None:
        self._pen = pen
        self._matrix = matrix

    def _map(self, point: Point) -> Point:
        a, b, c, d, e, f = self._matrix
        x, y = point
        return (a * x + c * y + e, b * x + d * y + f)

    def move_to(self, point: Point) -> None:
        self._pen.move_to(self._map(point))

    def line_to(self, point: Point) -> None:
        self._pen.line_to(self._map(point))

    def curve_to(self, control1: Point, control2: Point, point: Point) -> None:
        self._pen.curve_to(self._map(control1), self._map(control2), self._map(point))

    def close(self) -> None:
        self._pen.close()

    def end(self) -> None:
        self._pen.end()


class BoundsPen:
    """Smallest upright box round all points told; for a curve the box of its flattened line.

    Attributes
    ----------
    bounds : (x0, y0, x1, y1) or None
        None before the first point.
    """

    def __init__(self) -> None:
        self.bounds: tuple[float, float, float, float] | None = None
        self._last: Point = (0.0, 0.0)

    def _add(self, point: Point) -> None:
        x, y = self._last = point
        if self.bounds is None:
            self.bounds = (x, y, x, y)
        else:
            x0, y0, x1, y1 = self.bounds
            self.bounds = (min(x0, x), min(y0, y), max(x1, x), max(y1, y))

    def move_to(self, point: Point) -> None:
        self._add(point)

    def line_to(self, point: Point) -> None:
        self._add(point)

    def curve_to(self, control1: Point, control2: Point, point: Point) -> None:
        for step in _cubic(self._last, control1, control2, point):
            self._add(step)

    def close(self) -> None:
        return

    def end(self) -> None:
        return


def draw_polyline(points: Sequence[Point], pen: Pen, *, is_closed: bool = False) -> None:
    """Draw straight lines through `points`; nothing for fewer than two."""
    if len(points) < 2:
        return
    pen.move_to(points[0])
    for point in points[1:]:
        pen.line_to(point)
    if is_closed:
        pen.close()
    else:
        pen.end()


def draw_polygon(geometry: BaseGeometry, pen: Pen) -> None:
    """Draw a shapely polygon, its holes, or each polygon of several; an empty one draws nothing.

    Rings are drawn as they stand, without the repeated last point.

    >>> pen = RecordingPen()
    >>> draw_polygon(Polygon([(0, 0), (2, 0), (2, 1)]), pen)
    >>> [name for name, _ in pen.commands]
    ['move_to', 'line_to', 'line_to', 'close']
    """
    if isinstance(geometry, Polygon):
        rings = [] if geometry.is_empty else [geometry.exterior, *geometry.interiors]
        for ring in rings:
            draw_polyline([(float(x), float(y)) for x, y in ring.coords[:-1]], pen, is_closed=True)
    elif isinstance(geometry, MultiPolygon):
        for polygon in geometry.geoms:
            draw_polygon(polygon, pen)
    else:
        raise TypeError(f"a Polygon or MultiPolygon is drawn, got {geometry.geom_type}")


def draw_arc(center: Point, radius: float, start_deg: float, end_deg: float, pen: Pen) -> None:
    """Draw a circular arc as an open line of cubics, each at most a quarter turn.

    Angles run from the x axis towards y, so clockwise on the page. The cubic with control length
    4/3 tan(angle/4) leaves the true arc by less than 0.03 % of the radius.
    """
    points = _arc(center, radius, start_deg, end_deg)
    pen.move_to(points[0])
    for i in range(1, len(points), 3):
        pen.curve_to(points[i], points[i + 1], points[i + 2])
    pen.end()


def draw_circle(center: Point, radius: float, pen: Pen) -> None:
    """Draw a full circle as a ring of four cubics."""
    points = _arc(center, radius, 0.0, 360.0)
    pen.move_to(points[0])
    for i in range(1, len(points), 3):
        pen.curve_to(points[i], points[i + 1], points[i + 2])
    pen.close()


def _arc(center: Point, radius: float, start_deg: float, end_deg: float) -> list[Point]:
    count = max(1, math.ceil(abs(end_deg - start_deg) / 90.0 - 1e-9))
    step = math.radians(end_deg - start_deg) / count
    reach = 4.0 / 3.0 * math.tan(step / 4.0)
    cx, cy = center

    def at(angle: float, along: float) -> Point:
        x, y = math.cos(angle), math.sin(angle)
        return (cx + radius * (x - along * y), cy + radius * (y + along * x))

    angle = math.radians(start_deg)
    points = [at(angle, 0.0)]
    for _ in range(count):
        points += [at(angle, reach), at(angle + step, -reach), at(angle + step, 0.0)]
        angle += step
    return points


def _cubic_weights() -> Iterator[tuple[float, float, float, float]]:
    """Shares of a cubic's four points in each end of its equal steps."""
    for i in range(1, CURVE_STEPS + 1):
        t = i / CURVE_STEPS
        s = 1.0 - t
        yield s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t


_CUBIC_WEIGHTS = tuple(_cubic_weights())


def _cubic(p0: Point, p1: Point, p2: Point, p3: Point) -> list[Point]:
    points = []
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = p0, p1, p2, p3
    for a, b, c, d in _CUBIC_WEIGHTS:
        points.append((a * x0 + b * x1 + c * x2 + d * x3, a * y0 + b * y1 + c * y2 + d * y3))
    return points


def contours(commands: Iterable[Command]) -> list[list[Point]]:
    """Points of each contour of recorded commands, curves as chords; rings end where they began.

    Single points are left out.
    """
    found: list[list[Point]] = []
    points: list[Point] = []
    for name, args in commands:
        if name == "move_to":
            points = [args[0]]
        elif name == "line_to":
            points.append(args[0])
        elif name == "curve_to":
            points += _cubic(points[-1], *args)
        else:
            if name == "close":
                points.append(points[0])
            if len(points) > 1:
                found.append(points)
            points = []
    return found


def flatten(commands: Iterable[Command]) -> list[LineString]:
    """Contours of recorded commands as shapely lines."""
    return [LineString(points) for points in contours(commands)]
