"""A corner piece: a plate on the board's corner, folded over its edges, as bent sheet.

The plate's own axes: u across the board, 0 at the bare board's edge on the corner's side and above 0 beyond
it, v along the board, 0 at its end; w outwards from the covered face. A right-hand piece lies at u < 0,
v < 0, a left-hand one at u < 0, v > 0: its mirror image.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.affinity import affine_transform
from shapely.geometry import Point, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from pixel2make.geometry.folded import Fold, Matrix, Panel
from pixel2make.geometry.plate import GRID_MM
from pixel2make.kinds.book.metalwork.place import Gauge
from pixel2make.kinds.book.metalwork.relief import relief_mm

__all__ = ["BoardEdge", "corner_frame", "corner_panel"]

_JOIN_MM = 0.05
"""What is added along an edge runs so far into the plate, so that both are one polygon."""
_LEAST_FOLD = 2.0
"""Sheet thicknesses of edge that a fold takes at least; a shorter one is a tag that breaks off."""
_LIP_CLEAR_MM = 0.5
"""Between a lip inside the board and the leaves."""
_ARC = 32
"""Sides of a quarter of a rounded corner."""


@dataclass(frozen=True)
class BoardEdge:
    """The board's corner that a piece is folded over.

    Attributes
    ----------
    board_mm, covering_mm : float
    square_mm : float
        How far the board stands beyond the leaves.
    radius_mm : float
        Of the board's rounded corner; 0 where it is square.
    has_side : bool
        False at the spine, where the joint is: the piece is folded over the end alone.
    fold : {"over_edge", "round_board", "flat"}
    """

    board_mm: float
    covering_mm: float
    square_mm: float
    radius_mm: float = 0.0
    has_side: bool = True
    fold: str = "over_edge"

    @property
    def room_mm(self) -> float:
        """What the fold goes over: covering, board, turn-in."""
        return self.board_mm + 2 * self.covering_mm

    def wall_mm(self, gauge: Gauge) -> float:
        """Inner face of a flange from the bare board's edge.

        The covering that is turned over the edge and some play; and far enough that the inside radius
        begins only where the covered edge has ended its own.
        """
        return max(self.covering_mm, gauge.radius_mm) + gauge.slide_mm / 2

    def lip_mm(self, gauge: Gauge) -> float:
        """Straight length of a lip inside the board, which ends before the leaves."""
        return self.wall_mm(gauge) - gauge.radius_mm + self.square_mm - _LIP_CLEAR_MM


def corner_frame(
    *, side: str, end: str, board: str, spots_mm: tuple[float, float, float]
) -> tuple[Matrix, bool]:
    """From a piece's (u, v, w) to the book's frame, and whether it is a right-hand piece.

    Parameters
    ----------
    side : {"fore_edge", "spine"}
    end : {"head", "tail"}
    board : {"front", "back"}
    spots_mm : (x, y, z)
        The bare board's corner and the covered face in the book's frame.
    """
    s, f = (1 if side == "fore_edge" else -1), (1 if board == "front" else -1)
    # a right-handed frame: v goes up the book where u and w point the same way as x and z
    k = s * f
    matrix = np.diag([float(s), float(k), float(f), 1.0])
    matrix[:3, 3] = spots_mm
    return matrix, k * (1 if end == "head" else -1) > 0


def corner_panel(
    outline: Polygon, edge: BoardEdge, gauge: Gauge, *, is_right: bool
) -> tuple[Panel, tuple[str, ...]]:
    """The piece as a tree of panels, and what could not be folded, in words.

    Parameters
    ----------
    outline : Polygon
        x inwards from the corner's side, y inwards from its end; touches both.
    edge : BoardEdge
    gauge : Gauge
    is_right : bool
    """
    root = gauge.radius_mm + 2 * gauge.sheet_mm
    out = _placed(edge.wall_mm(gauge) - gauge.radius_mm)
    side_ends = _ends(outline, root, edge, along_side=True) if edge.has_side else None
    end_ends = _ends(outline, root, edge, along_side=False)
    plate = _cleared(outline, edge, side_ends, end_ends, root, out)
    said = []
    if edge.fold == "flat":
        return Panel("plate", _turned(plate, is_right)), ()
    meets = edge.has_side and not edge.radius_mm
    relief = _notch(gauge) if meets and gauge.way == "sheet" else 0.0
    folds: dict[str, tuple[float, float]] = {}
    for name, ends in (("side", side_ends), ("end", end_ends)):
        if ends is None:
            continue
        low, high = ends
        start = -out + relief if meets else low + (_notch(gauge) if edge.radius_mm and edge.has_side else 0.0)
        if high - start < _LEAST_FOLD * gauge.sheet_mm:
            said.append(f"no fold over the {'side' if name == 'side' else 'end'}: too short")
        else:
            folds[name] = (_placed(start), _placed(high))
    if meets and len(folds) == 2 and relief:
        plate = plate.difference(box(-out - 1, -out - 1, -out + relief, -out + relief))
    if edge.radius_mm and edge.has_side:
        plate = _notched(plate, folds, out, gauge)
    plate = _grid(plate)
    lips = edge.fold == "round_board"
    made = []
    for name, ends in folds.items():
        covers = name == "side" and len(folds) == 2 and meets
        made.append(
            _fold(
                name,
                ends,
                edge,
                gauge,
                out,
                is_right,
                covers=covers,
                meets=meets and len(folds) == 2,
                lips=lips,
            )
        )
    return Panel("plate", _turned(plate, is_right), tuple(made)), tuple(said)


def _placed(value: float) -> float:
    """On the grid that the plate's corners lie on, so that a bend ends in one of them."""
    return round(round(value / GRID_MM) * GRID_MM, 6)


def _notch(gauge: Gauge) -> float:
    """Width of a relief cut: beside a bend that ends before an arc, and between two bends that meet.

    Between two bends it reaches a thickness past both; from the outside of the finished corner that is the
    inside radius and two thicknesses deep, more than the rule asks.
    """
    return relief_mm(gauge.sheet_mm, gauge.radius_mm)[0]


def _ends(outline: Polygon, root: float, edge: BoardEdge, *, along_side: bool) -> tuple[float, float] | None:
    """Where the plate lies along an edge, from the corner on; from the end of the arc of a rounded one."""
    far = max(outline.bounds) + 1
    strip = box(-1, -1, root, far) if along_side else box(-1, -1, far, root)
    near = outline.intersection(strip)
    if near.is_empty:
        return None
    high = near.bounds[3 if along_side else 2]
    low = edge.radius_mm if edge.has_side else near.bounds[0 if not along_side else 1]
    return (low, high) if high > low else None


def _cleared(
    outline: Polygon,
    edge: BoardEdge,
    side: tuple[float, float] | None,
    end: tuple[float, float] | None,
    root: float,
    out: float,
) -> Polygon:
    """The plate carried on to where its bends begin, straight there, and round where the board is."""
    strips: list[BaseGeometry] = [outline]
    if edge.fold == "flat":
        out = 0.0
    if side is not None:
        strips.append(box(-out, -out if not edge.radius_mm else side[0], root, side[1]))
    if end is not None:
        low = -out if edge.has_side and not edge.radius_mm else end[0]
        strips.append(box(low, -out, end[1], root))
    plate = shapely.union_all(strips)
    if edge.radius_mm and edge.has_side:
        radius, far = edge.radius_mm + out, 2 * max(outline.bounds) + 10
        middle = Point(edge.radius_mm, edge.radius_mm)
        board = shapely.union_all(
            [
                middle.buffer(radius, quad_segs=_ARC),
                box(edge.radius_mm, -out, far, far),
                box(-out, edge.radius_mm, far, far),
            ]
        )
        corner = box(-out, -out, edge.radius_mm + _JOIN_MM, edge.radius_mm + _JOIN_MM)
        if side is not None and end is not None:
            plate = plate.union(corner.intersection(board).difference(box(root, root, far, far)))
        plate = plate.intersection(board)
    return _largest(plate)


def _notched(
    plate: BaseGeometry, folds: dict[str, tuple[float, float]], out: float, gauge: Gauge
) -> BaseGeometry:
    """Cuts beside bends that end where the corner begins to be round."""
    deep = relief_mm(gauge.sheet_mm, gauge.radius_mm)[1]
    for name, (start, _) in folds.items():
        low, high = start - _notch(gauge), start
        cut = (
            box(-out - 1, low, -out + deep, high) if name == "side" else box(low, -out - 1, high, -out + deep)
        )
        plate = plate.difference(cut)
    return plate


def _fold(
    name: str,
    ends: tuple[float, float],
    edge: BoardEdge,
    gauge: Gauge,
    out: float,
    is_right: bool,
    *,
    covers: bool,
    meets: bool,
    lips: bool,
) -> Fold:
    """A flange over one edge, with its lip where the piece goes round the board.

    Where two flanges meet, that of the side runs on to cover the end of the other.
    """
    t, radius = gauge.sheet_mm, gauge.radius_mm
    start, high = ends
    beyond = 0.0
    if meets:
        # from the bend's end on: over the other bend, and over the other flange or up to it
        beyond = start + out + (radius + t if covers else radius - gauge.slide_mm / 4)
    length = high - start
    room = edge.room_mm + (gauge.slide_mm / 2 if lips else 0.0)
    straight = room - radius - (radius if lips else 0.0)
    # the flange's own axes: u away from the bend, v along it; which end of v is the corner's depends on how
    # the bend runs, and that on side and hand
    at_high = (name == "side") == is_right
    low_v, high_v = (0.0, length + beyond) if at_high else (-beyond, length)
    folds: tuple[Fold, ...] = ()
    if lips:
        folds = (_lip(straight, length, edge.lip_mm(gauge), start, out, gauge, at_high=at_high, meets=meets),)
    flange = Panel("flange", box(0.0, low_v, straight, high_v), folds)
    at = -out
    if name == "side":
        a, b = _spot(at, high, is_right), _spot(at, start, is_right)
        if not is_right:
            a, b = b, a
    else:
        a, b = _spot(start, at, is_right), _spot(high, at, is_right)
        if not is_right:
            a, b = b, a
    return Fold(a, b, -90.0, radius, flange)


def _lip(
    straight: float,
    length: float,
    lip_mm: float,
    start: float,
    out: float,
    gauge: Gauge,
    *,
    at_high: bool,
    meets: bool,
) -> Fold:
    """The lip inside the board, mitred where it would meet the other one."""
    cut = start + out
    """How far the bend's end lies from the other bend's beginning, along the bend."""
    # at the reach u the other lip lies at u from the other tangent: both keep off the line between them
    gap = gauge.slide_mm / 2 + gauge.sheet_mm / 2 if meets else 0.0
    first = max(0.0, gap - cut) if meets else 0.0
    length -= first
    reached = max(0.0, lip_mm + gap - cut - first) if meets else 0.0
    ring = [(0.0, 0.0), (lip_mm, reached), (lip_mm, length), (0.0, length)]
    low, high = first, first + length
    if at_high:
        ring = [(u, length - v) for u, v in ring]
        low, high = 0.0, length
    lip = Panel("lip", orient(Polygon(ring)))
    return Fold((straight, low), (straight, high), -90.0, gauge.radius_mm, lip)


def _spot(x: float, y: float, is_right: bool) -> tuple[float, float]:
    return (-x, -y) if is_right else (-x, y)


def _turned(plate: BaseGeometry, is_right: bool) -> Polygon:
    """From inwards measures to the piece's own axes."""
    turned = affine_transform(plate, (-1, 0, 0, -1 if is_right else 1, 0, 0))
    return orient(_largest(turned))


def _grid(plate: BaseGeometry) -> Polygon:
    found = _largest(shapely.set_precision(plate, GRID_MM))
    simple = found.simplify(0)
    assert isinstance(simple, Polygon)
    return simple


def _largest(shape: BaseGeometry) -> Polygon:
    pieces = [piece for piece in shapely.get_parts(shape).tolist() if isinstance(piece, Polygon)]
    return max(pieces, key=lambda piece: piece.area)
