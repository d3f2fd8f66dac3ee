"""Places annotations on a page one after the other, each only where it touches nothing.

What is to be placed is tried as fragments, a fragment being all lines and lettering of one
annotation at one place. The first fragment that is free is taken. What finds no place is not drawn;
the caller learns of it.

Lines are kept as arrays of segments (x0, y0, x1, y1) and lettering as boxes, so that a fragment is
judged against the whole page at once.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.pack.pens import Drawing, DrawingBuilder, Path, Point

__all__ = ["Layout", "role", "trimmed"]

CLEAR_MM = 0.3
"""Air between lettering and everything else; the box of a text has air of its own."""
TIP_MM = 0.2
"""How far from its tip a dimension line may be met."""
ARROW_SHRINK = 0.8
"""An arrowhead is judged at this share of its size, so that others may meet its tip."""
FLAT_MM = 1e-12
"""A segment is parallel to a side of the page below this difference; dividing by it would overflow."""
SAME_LINE_MM = 0.25
"""Parallel lines nearer than a narrow line is wide read as one."""
DRAWN = ("visible", "detail", "hidden", "centre")
"""Purposes of lines that show the object."""
BARRED = {
    "dimension": (*DRAWN, "cutting_plane", "dimension", "extension", "leader", "arrow"),
    "arrow": ("cutting_plane", "dimension", "arrow", "leader"),
    "extension": ("cutting_plane", "dimension", "arrow", "leader"),
    "leader": ("cutting_plane", "dimension", "extension", "arrow", "leader"),
    "cutting_plane": (*DRAWN, "dimension", "extension", "arrow", "leader"),
}
"""What a line of an annotation must not cross. A dimension line crosses nothing; extension lines and
leaders may cross lines of the object, and extension lines each other."""

Segments = NDArray[np.float64]
Bounds = tuple[float, float, float, float]


@dataclass(frozen=True)
class _Shapes:
    """Segments as drawn, segments as judged against other lines, their roles, boxes of lettering."""

    drawn: Segments
    judged: Segments
    roles: NDArray[np.str_]
    boxes: NDArray[np.float64]

    @classmethod
    def of(cls, drawing: Drawing) -> _Shapes:
        drawn: list[Bounds] = []
        judged: list[Bounds] = []
        roles: list[str] = []
        for path in drawing.paths:
            for points in path.contours:
                drawn += _pairs(points)
                judged += _pairs(trimmed(path, points))
                roles += [role(path)] * (len(points) - 1)
        return cls(
            np.array(drawn, float).reshape(-1, 4),
            np.array(judged, float).reshape(-1, 4),
            np.array(roles, dtype="U12"),
            np.array([text.bounds for text in drawing.texts], float).reshape(-1, 4),
        )

    def with_more(self, other: _Shapes) -> _Shapes:
        return _Shapes(
            np.concatenate([self.drawn, other.drawn]),
            np.concatenate([self.judged, other.judged]),
            np.concatenate([self.roles, other.roles]),
            np.concatenate([self.boxes, other.boxes]),
        )


class Layout:
    """A page under work.

    Parameters
    ----------
    page : DrawingBuilder
        What is on it stays; accepted fragments are added to it.
    zone : (x0, y0, x1, y1)
        No fragment leaves this part of the page.
    closed : sequence of (x0, y0, x1, y1), optional
        Boxes that no fragment comes into, as it would not into lettering.
    """

    def __init__(self, page: DrawingBuilder, zone: Bounds, closed: Sequence[Bounds] = ()) -> None:
        self.page = page
        self.zone = zone
        shapes = _Shapes.of(page.build())
        self._shapes = replace(shapes, boxes=np.array([*shapes.boxes, *closed], float).reshape(-1, 4))
        self._of_roles: dict[tuple[str, ...], Segments] = {}

    def fragment(self) -> DrawingBuilder:
        """An empty page of the same size to draw one annotation on."""
        return DrawingBuilder(self.page.width_mm, self.page.height_mm)

    def take(self, drawing: Drawing) -> None:
        """Put a fragment on the page without asking."""
        self.page.paths.extend(drawing.paths)
        self.page.texts.extend(drawing.texts)
        self._shapes = self._shapes.with_more(_Shapes.of(drawing))
        self._of_roles.clear()

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
        new, old = _Shapes.of(drawing), self._shapes
        if not self._is_inside(new):
            return False
        aired = _grown(new.boxes, CLEAR_MM)
        if (
            _any_meets(new.boxes, new.drawn)
            or _any_meets(aired, old.drawn)
            or _any_boxes_meet(aired, old.boxes)
            or _any_meets(_grown(old.boxes, CLEAR_MM), new.drawn)
        ):
            return False
        return not any(self._is_barred(kind, new.judged[new.roles == kind]) for kind in np.unique(new.roles))

    def _is_inside(self, new: _Shapes) -> bool:
        x0, y0, x1, y1 = self.zone
        ends = np.concatenate([new.drawn, new.boxes])
        xs, ys = ends[:, 0::2], ends[:, 1::2]
        return bool(np.all((xs >= x0) & (xs <= x1)) and np.all((ys >= y0) & (ys <= y1)))

    def _is_barred(self, kind: str, segments: Segments) -> bool:
        """Whether any line would be read wrongly: it crosses what it must not, or runs on a visible edge.

        On the narrow edges of areas an extension line may run, since a pixel grid brings them into line.
        """
        if _any_cross(segments, self._judged(BARRED.get(kind, ()))):
            return True
        if kind != "extension":
            return False
        return any(_runs_on_any(segment, self._judged(("visible",))) for segment in segments)

    def _judged(self, roles: tuple[str, ...]) -> Segments:
        """Lines on the page of those purposes; found once until more is taken."""
        if roles not in self._of_roles:
            self._of_roles[roles] = self._shapes.judged[np.isin(self._shapes.roles, roles)]
        return self._of_roles[roles]


def role(path: Path) -> str:
    """The purpose of a path, with arrowheads told from dimension lines."""
    return "arrow" if path.purpose == "dimension" and path.is_solid else path.purpose


def trimmed(path: Path, points: Sequence[Point]) -> list[Point]:
    """A dimension line or arrowhead without its outermost ends, where others may meet it.

    Dimension lines that share an extension line meet there tip to tip, and the extension line of an outer
    one passes the tip of an inner one; neither is a crossing.
    """
    if path.purpose != "dimension":
        return list(points)
    if path.is_solid:
        ring = points[:-1]
        cx, cy = sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring)
        return [(cx + (x - cx) * ARROW_SHRINK, cy + (y - cy) * ARROW_SHRINK) for x, y in points]
    return [_towards(points[0], points[1]), *points[1:-1], _towards(points[-1], points[-2])]


def _towards(point: Point, other: Point) -> Point:
    length = math.dist(point, other)
    share = min(TIP_MM / length, 0.5) if length > 0 else 0.0
    return (point[0] + (other[0] - point[0]) * share, point[1] + (other[1] - point[1]) * share)


def _pairs(points: Sequence[Point]) -> list[Bounds]:
    return [(*points[i], *points[i + 1]) for i in range(len(points) - 1)]


def _grown(boxes: Segments, by: float) -> Segments:
    return boxes + np.array([-by, -by, by, by])


def _any_boxes_meet(one: Segments, other: Segments) -> bool:
    a, b = one[:, None], other[None]
    is_met = (a[..., :2] <= b[..., 2:]).all(axis=-1) & (b[..., :2] <= a[..., 2:]).all(axis=-1)
    return bool(is_met.any())


def _any_meets(boxes: Segments, segments: Segments) -> bool:
    """Whether any segment comes into any box: the part of it between each pair of sides is not empty."""
    bounds = boxes[:, None]
    first = np.zeros((len(boxes), len(segments)))
    last = np.ones_like(first)
    for axis in (0, 1):
        start = segments[:, axis]
        delta = segments[:, axis + 2] - start
        is_flat = np.abs(delta) < FLAT_MM
        step = np.where(is_flat, 1.0, delta)
        one, two = (bounds[..., axis] - start) / step, (bounds[..., axis + 2] - start) / step
        is_out = is_flat & ((start < bounds[..., axis]) | (start > bounds[..., axis + 2]))
        first = np.maximum(first, np.where(is_flat, 0.0, np.minimum(one, two)))
        last = np.minimum(last, np.where(is_flat, np.where(is_out, -1.0, 1.0), np.maximum(one, two)))
    return bool(np.any(first <= last))


def _any_cross(segments: Segments, others: Segments) -> bool:
    """Whether any segment meets any other: their boxes meet and each parts the ends of the other."""
    low, high = (turn(segments[:, None, :2], segments[:, None, 2:]) for turn in (np.minimum, np.maximum))
    far_low, far_high = (turn(others[:, :2], others[:, 2:]) for turn in (np.minimum, np.maximum))
    # Few boxes meet; only their segments are looked at closely.
    one, two = np.nonzero(
        (low[..., 0] <= far_high[:, 0])
        & (far_low[:, 0] <= high[..., 0])
        & (low[..., 1] <= far_high[:, 1])
        & (far_low[:, 1] <= high[..., 1])
    )
    a, b = segments[one, :2], segments[one, 2:]
    c, d = others[two, :2], others[two, 2:]
    is_parted = (_turn(a, b, c) * _turn(a, b, d) <= 0) & (_turn(c, d, a) * _turn(c, d, b) <= 0)
    return bool(np.any(is_parted))


def _turn(a: Segments, b: Segments, c: Segments) -> NDArray[np.float64]:
    """Twice the signed area of the triangles a, b, c."""
    ab, ac = b - a, c - a
    return np.asarray(ab[..., 0] * ac[..., 1] - ab[..., 1] * ac[..., 0])


def _runs_on_any(segment: Segments, others: Segments) -> bool:
    """Whether an upright or level segment lies on a parallel one for longer than `CLEAR_MM`."""
    across = 0 if abs(segment[0] - segment[2]) < abs(segment[1] - segment[3]) else 1
    along = 1 - across
    level = segment[across]
    is_near = np.all(np.abs(others[:, [across, across + 2]] - level) < SAME_LINE_MM, axis=1)
    ends = np.sort(others[is_near][:, [along, along + 2]], axis=1)
    low, high = sorted((segment[along], segment[along + 2]))
    common = np.minimum(ends[:, 1], high) - np.maximum(ends[:, 0], low)
    return bool(np.any(common > CLEAR_MM))
