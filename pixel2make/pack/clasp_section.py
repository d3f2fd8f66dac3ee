"""A clasp cut through the middle: how it opens, and how its pieces lie in one another, enlarged."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from shapely import Polygon, unary_union
from shapely.affinity import affine_transform
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry

from pixel2make.design.metalwork import Mechanism
from pixel2make.design.model import Clasp, Design
from pixel2make.geometry.pieces import Piece, Placing, Pose
from pixel2make.geometry.solids import Solid
from pixel2make.pack.clasp_sheet import NOTE_MM, View, lines_of, page, title_block, wrapped
from pixel2make.pack.clasp_words import FORM_WORDS, SECTION_NOTES
from pixel2make.pack.drawing.sheet import SCALES, SHEETS, scale_name
from pixel2make.pack.pens import Drawing
from pixel2make.quantity import in_units

__all__ = ["section_page"]

_POSITIONS = 3
_POSITION_MM = (56.0, 58.0)
"""Largest picture of a position on the page."""
_DETAIL_MM = (100.0, 44.0)
"""Largest enlarged part; labels find room beside it."""
_DETAIL_PITCH_MM = 72.0
_CAPTION_MM = 5.0
_HATCH_MM = 1.6
"""Between hatching lines; ISO 128 asks for 0.7 at least."""
_AROUND_MM = 2.5
"""Shown of the book around what is looked at."""
_SHOWN_SHARE = 0.25
"""Of the depth of the book: how far onto the covers a position shows it."""


@dataclass(frozen=True)
class _Cut:
    """What the plane through the middle cuts: pieces and the book, (x, z) in mm."""

    metal: tuple[tuple[str, str, str, Polygon], ...]
    """Name, title, body, shape."""
    book: tuple[tuple[str, str, Polygon], ...]
    """Title, body, shape."""


def section_page(clasp: Clasp, design: Design) -> Drawing:
    """Positions of opening in a row, and below them both edges of the book enlarged.

    Parameters
    ----------
    clasp : Clasp
        With its mechanism.
    design : Design
        For the book's edges.
    """
    assert clasp.metal is not None
    mechanism, units = clasp.metal, design.units
    cut = _cut_of(mechanism, design)
    sheet = SHEETS["A4"]
    left, top, right, _ = sheet.space
    views = [*_positions(mechanism, cut, (left, top, right), units)]
    second = top + _POSITION_MM[1] + 3 * _CAPTION_MM + 4.0
    fore_edge = design.dimension("cover_width").value_mm
    scales = []
    for number, (title, window) in enumerate(_windows(mechanism, cut, fore_edge)):
        scale = _scale_for(window, _DETAIL_MM)
        scales.append(scale)
        middle = (left + right) / 2, second + 8.0 + number * _DETAIL_PITCH_MM + _DETAIL_MM[1] / 2
        views.append(_detail(cut, window, scale, middle, left + 4.0, f"{title}, {scale_name(scale)}"))
    notes = tuple(in_units(note, units) for note in SECTION_NOTES[clasp.form])
    block = title_block(
        f"Section: {FORM_WORDS[clasp.form]}",
        clasp.material,
        "clasp section",
        clasp.name,
        scales[0],
        sheet,
        "brass",
        units,
    )
    return page(sheet, block, views, notes)


def _cut_of(mechanism: Mechanism, design: Design) -> _Cut:
    first = next(piece for piece in mechanism.pieces if piece.body == "front")
    low, high = first.solid().bounds
    middle = _middle(mechanism, (low[1] + high[1]) / 2)
    metal = []
    for piece in mechanism.pieces:
        shape = _through(piece.solid(), middle)
        if not shape.is_empty:
            metal.append((piece.name, piece.title, piece.body, shape))
    return _Cut(tuple(metal), tuple(_book(mechanism, design)))


def _middle(mechanism: Mechanism, otherwise: float) -> float:
    """The plane through what holds: hook, peg or stud."""
    for ending in ("_peg", "_stud", "_arm"):
        try:
            low, high = mechanism.piece(ending).solid().bounds
        except KeyError:
            continue
        return float(low[1] + high[1]) / 2
    return otherwise


def _book(mechanism: Mechanism, design: Design) -> Iterator[tuple[str, str, Polygon]]:
    width, thickness = (design.dimension(n).value_mm for n in ("cover_width", "book_thickness"))
    front = mechanism.pieces[0].at[2][3]
    back = thickness - front
    covered = (
        design.dimension("board_thickness").value_mm + 2 * design.dimension("covering_thickness").value_mm
    )
    start = width - max(_SHOWN_SHARE * (front - back), 25.0)
    yield "front board, covered", "front", box(start, front - covered, width, front)
    yield "back board, covered", "back", box(start, back, width, back + covered)
    square = design.dimension("square").value_mm
    yield "leaves", "leaves", box(start, back + covered, width - square, front - covered)


def _through(solid: Solid, y: float) -> Polygon:
    """What a plane across the book's height cuts of a solid, as (x, z)."""
    corners = solid.vertices[:, [0, 2, 1]]
    section = Solid(corners, solid.faces[:, ::-1]).body().slice(y)
    shape: BaseGeometry = Polygon()
    for part in section.decompose():
        rings = [np.asarray(ring) for ring in part.to_polygons()]
        shape = shape.union(Polygon(rings[0], rings[1:]))
    return shape


# ---- positions


def _positions(
    mechanism: Mechanism, cut: _Cut, room: tuple[float, float, float], units: str
) -> Iterator[View]:
    """Closed, unlocked, open: each cut with its book, the caption below."""
    left, top, right = room
    shown = [("closed", cut), *((pose.name, _moved(mechanism, cut, pose)) for pose in _chosen(mechanism))]
    near = min(shape.bounds[0] for _, _, shape in cut.book)
    shown = [(name, _beyond(one, near)) for name, one in shown]
    bounds = unary_union([shape for _, one in shown for shape in _shapes(one)]).bounds
    scale = _scale_for(bounds, _POSITION_MM)
    pitch = (right - left) / max(len(shown), 1)
    for number, (name, one) in enumerate(shown):
        x = left + pitch * (number + 0.5)
        matrix = _onto_page(bounds, scale, (x, top + 4.0 + _POSITION_MM[1] / 2))
        shapes = [("detail", affine_transform(shape, matrix)) for _, _, shape in one.book]
        shapes += [("solid", affine_transform(shape, matrix)) for _, _, _, shape in one.metal]
        lines = wrapped([f"{number + 1}  {in_units(name, units)}, {scale_name(scale)}"], pitch - 4.0)
        y = top + 4.0 + _POSITION_MM[1]
        captions = tuple((line.strip(), (x, y + _CAPTION_MM * (i + 1))) for i, line in enumerate(lines))
        yield View(tuple(shapes), captions=captions)


def _chosen(mechanism: Mechanism) -> list[Pose]:
    """The first free pose and the one that shows it open."""
    free = [pose for pose in mechanism.poses if not pose.is_barred]
    if not free:
        return []
    wide = [pose for pose in free if " 40 " in pose.name]
    last = wide[0] if wide else free[-1]
    return [free[0], last] if free[0] is not last else [last]


def _moved(mechanism: Mechanism, cut: _Cut, pose: Pose) -> _Cut:
    moves, bent = dict(pose.moves), dict(pose.bent)
    by_name = {piece.name: piece for piece in mechanism.pieces}
    metal = []
    for name, title, body, shape in cut.metal:
        piece = by_name[name]
        if piece.source == "leather":
            continue
        if name in bent:
            solid = bent[name].solid().placed(piece.at)
            shape = _through(solid, _middle(mechanism, float(np.mean(solid.bounds, axis=0)[1])))
        metal.append((name, title, body, _turned(shape, moves.get(body))))
    book = tuple((title, body, _turned(shape, moves.get(body))) for title, body, shape in cut.book)
    return _Cut(tuple(metal), book)


def _turned(shape: Polygon, move: Placing | None) -> Polygon:
    """Moved in the plane of the section; every turn of a pose is about the book's height."""
    if move is None:
        return shape
    return affine_transform(shape, (move[0][0], move[0][2], move[2][0], move[2][2], move[0][3], move[2][3]))


def _beyond(cut: _Cut, x: float) -> _Cut:
    """What lies nearer to the fore-edge than that; the plates reach far onto the covers."""
    half = box(x, -1e5, 1e5, 1e5)
    metal = tuple((*words, shape.intersection(half)) for *words, shape in cut.metal)
    book = tuple((*words, shape.intersection(half)) for *words, shape in cut.book)
    return _Cut(metal, book)


def _shapes(cut: _Cut) -> list[Polygon]:
    return [shape for *_, shape in cut.metal] + [shape for *_, shape in cut.book]


# ---- enlarged parts

Bounds = tuple[float, float, float, float]


def _windows(mechanism: Mechanism, cut: _Cut, fore_edge: float) -> Iterator[tuple[str, Bounds]]:
    """What is shown of the front edge and of the back edge; one window where the book is thin."""
    board = {title: shape.bounds for title, _, shape in cut.book}
    front, back = board["front board, covered"], board["back board, covered"]
    right = max(shape.bounds[2] for *_, shape in cut.metal) + _AROUND_MM
    top = max(shape.bounds[3] for *_, shape in cut.metal) + _AROUND_MM
    bottom = min(shape.bounds[1] for *_, shape in cut.metal) - _AROUND_MM
    half = (front[3] + back[1]) / 2
    low, high = front[1] - _AROUND_MM, back[3] + _AROUND_MM
    left_front = left_back = fore_edge - 4 * _AROUND_MM
    for piece in _holding(mechanism):
        x0, z0, _, z1 = next(shape.bounds for name, *_, shape in cut.metal if name == piece.name)
        if z0 > half:
            left_front, low = min(left_front, x0 - _AROUND_MM), min(low, z0 - 2 * _AROUND_MM)
        elif z1 < half:
            left_back, high = min(left_back, x0 - _AROUND_MM), max(high, z1 + _AROUND_MM)
        else:
            left_back = min(left_back, x0 - 3 * _AROUND_MM)
    if low <= high:
        yield "Cut through the middle", (min(left_front, left_back), bottom, right, top)
        return
    yield "Front edge", (left_front, low, right, top)
    yield "Back edge", (left_back, bottom, right, high)


def _holding(mechanism: Mechanism) -> list[Piece]:
    """What moves, and the pegs and studs that hold it."""
    return [p for p in mechanism.pieces if p.source == "rod" or p.body in ("arm", "strap")]


def _detail(
    cut: _Cut, window: Bounds, scale: float, middle: tuple[float, float], left: float, title: str
) -> View:
    matrix = _onto_page(window, scale, middle)
    frame = box(*window)
    shapes: list[tuple[str, BaseGeometry]] = []
    metal = unary_union([shape for *_, shape in cut.metal])
    named: list[tuple[str, BaseGeometry]] = []
    for number, (_, name, _, shape) in enumerate(cut.metal):
        seen = shape.intersection(frame)
        if seen.is_empty:
            continue
        edges = shape.boundary.intersection(frame.buffer(-1e-6))
        shapes += [("visible", affine_transform(line, matrix)) for line in lines_of(edges)]
        shapes += [("detail", line) for line in _hatching(affine_transform(seen, matrix), number)]
        named.append((name, seen))
    # the small ones first: they have the fewest places for their leaders
    named.sort(key=lambda one: one[1].area)
    for name, _, shape in cut.book:
        free = shape.boundary.intersection(frame.buffer(-1e-6)).difference(metal.buffer(1e-3))
        shapes += [("detail", affine_transform(line, matrix)) for line in lines_of(free)]
        named.append((name, shape.intersection(frame).difference(metal)))
    labels = [label for name, shape in named for label in _label(name, shape, matrix)]
    _, y0, _, _ = affine_transform(frame, matrix).bounds
    return View(tuple(shapes), (), tuple(labels), ((title, (left, y0 + NOTE_MM), "start"),))


def _label(name: str, shape: BaseGeometry, matrix: Sequence[float]) -> list[tuple[str, tuple[float, float]]]:
    parts = [p for p in getattr(shape, "geoms", [shape]) if isinstance(p, Polygon) and p.area > 0.05]
    if not parts:
        return []
    spot = affine_transform(max(parts, key=lambda p: p.area), matrix).representative_point()
    return [(name, (float(spot.x), float(spot.y)))]


def _hatching(shape: BaseGeometry, number: int) -> Iterator[LineString]:
    """Lines at 45 degrees, turned and spaced otherwise from piece to piece."""
    x0, y0, x1, y1 = shape.bounds
    slope = 1.0 if number % 2 == 0 else -1.0
    pitch = _HATCH_MM * (1.0 if number % 4 < 2 else 0.7)
    rises = pitch * math.sqrt(2)
    start = math.floor(min(y0 - slope * x0, y0 - slope * x1) / rises)
    stop = math.ceil(max(y1 - slope * x0, y1 - slope * x1) / rises)
    inside = shape.buffer(-0.1)
    for rise in (step * rises for step in range(start, stop + 1)):
        line = LineString([(x0 - 1, slope * (x0 - 1) + rise), (x1 + 1, slope * (x1 + 1) + rise)])
        yield from lines_of(line.intersection(inside))


def _scale_for(bounds: Bounds, room: tuple[float, float]) -> float:
    width, height = bounds[2] - bounds[0], bounds[3] - bounds[1]
    fitting = [s for s in SCALES if width * s <= room[0] and height * s <= room[1]]
    return float(min(max(fitting, default=min(SCALES)), 5.0))


def _onto_page(bounds: Bounds, scale: float, middle: tuple[float, float]) -> tuple[float, ...]:
    """x to the right, z up, the middle of the bounds in the middle given."""
    x, z = (bounds[0] + bounds[2]) / 2, (bounds[1] + bounds[3]) / 2
    return (scale, 0.0, 0.0, -scale, middle[0] - scale * x, middle[1] + scale * z)
