"""The drawing of a clasp: seen on the cover and from the head, closed and swung open."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np
from shapely import Polygon, unary_union
from shapely.affinity import affine_transform
from shapely.geometry import LineString, box
from shapely.geometry.base import BaseGeometry

from pixel2make.design.metalwork import Mechanism
from pixel2make.design.model import Clasp, Design
from pixel2make.geometry.pieces import Piece, Turned
from pixel2make.geometry.solids import Solid
from pixel2make.pack.clasp_sheet import (
    BETWEEN_MM,
    MARGIN_MM,
    Matrix,
    View,
    lines_of,
    note_lines,
    page,
    sheet_and_scale,
    title_block,
)
from pixel2make.pack.clasp_words import FORM_WORDS
from pixel2make.pack.drawing.dimension_line import Linear
from pixel2make.pack.drawing.sheet import FIRST_ANGLE, THIRD_ANGLE
from pixel2make.pack.pens import Drawing
from pixel2make.quantity import in_units, length_digits

__all__ = ["clasp_drawing", "piece_words", "silhouette"]

_SHOWN_MM = 14.0
"""How much of the book is drawn beyond the clasp."""
_SMOOTH_MM = 0.02
"""Chords of bends that an outline leaves out."""


def clasp_drawing(clasp: Clasp, design: Design) -> Drawing:
    """The clasp in sheet metal, closed: on the cover and from the head, with its dimensions.

    The view from the head stands under the other by first angle, above it by third (ISO 5456-2).

    The scale is the largest of ISO 5455 from 5:1 to 1:5 that fits an A4 sheet, or 1:1 on the smallest
    larger sheet.

    Parameters
    ----------
    clasp : Clasp
        With its mechanism.
    design : Design
        For the book's edges.
    """
    assert clasp.metal is not None
    width, height, thickness = (
        design.dimension(name).value_mm for name in ("cover_width", "cover_height", "book_thickness")
    )
    solids = [(piece, piece.solid()) for piece in clasp.metal.pieces]
    low = np.min([solid.bounds[0] for _, solid in solids], axis=0)
    high = np.max([solid.bounds[1] for _, solid in solids], axis=0)
    swung = _swung(clasp.metal)
    if swung is not None:
        high = np.maximum(high, swung[1].bounds[1])
    wide, tall, deep = high - low
    units = design.units
    notes = tuple(in_units(note, units) for note in _notes(clasp, units))
    sheet, scale = sheet_and_scale(wide + _SHOWN_MM, tall + deep + 4, note_lines(notes))
    left = sheet.space[0] + (sheet.space[2] - sheet.space[0] - (wide + _SHOWN_MM) * scale) / 2
    projection = str(design.taken.get("projection", FIRST_ANGLE))
    upper = lower = sheet.space[1] + MARGIN_MM
    if projection == THIRD_ANGLE:
        upper += deep * scale + BETWEEN_MM
    else:
        lower += tall * scale + BETWEEN_MM
    # on the cover: x to the right, y up; from the head: x to the right, the front below by either projection
    start = low[0] - _SHOWN_MM
    on_cover = (scale, 0, 0, -scale, left - start * scale, upper + high[1] * scale)
    from_head = (scale, 0, 0, scale, left - start * scale, lower - low[2] * scale)
    views = (
        _front(clasp, solids, on_cover, (start, low[1], width, high[1]), height, units),
        _head(clasp, solids, from_head, (start, width, thickness), swung, units),
    )
    block = title_block(
        f"Clasp: {FORM_WORDS[clasp.form]}",
        clasp.material,
        "clasp drawing",
        clasp.name,
        scale,
        sheet,
        "brass",
        units,
        projection,
    )
    return page(sheet, block, views, notes)


def _notes(clasp: Clasp, units: str) -> Iterator[str]:
    assert clasp.metal is not None
    yield clasp.why
    for piece in clasp.metal.pieces:
        yield f"{piece.title}: {piece_words(piece, units)}"
    nip = clasp.metal.nip_mm
    if nip:
        seen = "; thin line: the arm swung out" if _swung(clasp.metal) is not None else ""
        yield f"To open, press the book together by {nip:.2f} mm{seen}."
    yield (
        f"Upper end of the plate {clasp.position_mm:.1f} mm below the head edge. Sheet "
        f"{clasp.sheet.value_mm:g} mm, bends inside {clasp.inside_radius.value_mm:g} mm; printed walls "
        f"{clasp.wall.value_mm:g} mm."
    )


def piece_words(piece: Piece, units: str) -> str:
    """Size and stuff of a piece in a few words."""
    shape = piece.shape
    if isinstance(shape, Turned):
        diameter, length = (length_digits(v, units) for v in (shape.diameter_mm, shape.length_mm))
        return f"{piece.material}, diameter {diameter}, length {length}"
    across, along = (length_digits(v, units) for v in shape.flat().size_mm)
    return f"{piece.material} {length_digits(shape.sheet_mm, units)}, flat {across} x {along}"


def silhouette(solid: Solid, axis: int) -> BaseGeometry:
    """Outline of a solid seen along an axis: (x, y) along z, (x, z) along y, (y, z) along x."""
    import manifold3d

    first, second = ((1, 2), (0, 2), (0, 1))[axis]
    turned = np.column_stack((solid.vertices[:, first], solid.vertices[:, second], solid.vertices[:, axis]))
    body = Solid(turned, solid.faces if axis != 1 else solid.faces[:, ::-1]).body()
    rings = [np.asarray(ring) for ring in body.project().to_polygons()]
    section = manifold3d.CrossSection(rings, manifold3d.FillRule.Positive)
    shape: BaseGeometry = Polygon()
    for part in section.decompose():
        own = [np.asarray(ring) for ring in part.to_polygons()]
        shape = shape.union(Polygon(own[0], own[1:]))
    return shape.simplify(_SMOOTH_MM)


def _visible(
    solids: Sequence[tuple[Piece, Solid]], axis: int, nearest_first: Sequence[int]
) -> list[tuple[Piece, BaseGeometry]]:
    """Silhouettes, each less what lies nearer."""
    covered: BaseGeometry = Polygon()
    found = []
    for number in nearest_first:
        piece, solid = solids[number]
        shape = silhouette(solid, axis)
        found.append((piece, shape.difference(covered.buffer(0.001))))
        covered = covered.union(shape)
    return found


def _front(
    clasp: Clasp,
    solids: Sequence[tuple[Piece, Solid]],
    matrix: Matrix,
    bounds: tuple[float, float, float, float],
    height: float,
    units: str,
) -> View:
    _, low, width, high = bounds
    order = sorted(range(len(solids)), key=lambda i: (-solids[i][1].bounds[1][2], i))
    seen = _visible(solids, 2, order)
    metal = unary_union([shape for _, shape in seen])
    below, above = max(0.0, low - 6), min(height, high + 6)
    edge = LineString([(width, below), (width, above)]).difference(metal.buffer(0.01))
    shapes = [("visible", affine_transform(shape, matrix)) for _, shape in seen if not shape.is_empty]
    shapes += [("detail", affine_transform(line, matrix)) for line in lines_of(edge)]
    # the first piece's own origin: its folded sides may stand out beyond the plate
    plate_low = solids[0][0].at[1][3]
    x0 = solids[0][1].bounds[0][0]
    y_low, y_high = plate_low, plate_low + clasp.width.value_mm
    a, b = _at(matrix, (x0, y_high)), _at(matrix, (width, y_high))
    c = _at(matrix, (x0, y_low))
    whole = affine_transform(metal, matrix).bounds
    measures = (
        Linear(length_digits(width - x0, units), a, b, False, -1, whole[1]),
        Linear(length_digits(clasp.width.value_mm, units), a, c, True, -1, whole[0]),
    )
    return View(tuple(shapes), measures, tuple(_numbers(seen, matrix)))


def _numbers(
    seen: Sequence[tuple[Piece, BaseGeometry]], matrix: Matrix
) -> Iterator[tuple[str, tuple[float, float]]]:
    """A leader with its title to each piece that shows."""
    for piece, shape in seen:
        whole = affine_transform(shape, matrix)
        if whole.area > 4.0:
            biggest = max(getattr(whole, "geoms", [whole]), key=lambda g: g.area)
            spot = biggest.representative_point()
            yield piece.title, (float(spot.x), float(spot.y))


def _head(
    clasp: Clasp,
    solids: Sequence[tuple[Piece, Solid]],
    matrix: Matrix,
    book: tuple[float, float, float],
    swung: tuple[Piece, Solid] | None,
    units: str,
) -> View:
    start, width, thickness = book
    order = sorted(range(len(solids)), key=lambda i: (-solids[i][1].bounds[1][1], i))
    seen = _visible(solids, 1, order)
    metal = unary_union([shape for _, shape in seen])
    shapes = [("visible", affine_transform(shape, matrix)) for _, shape in seen if not shape.is_empty]
    if swung is not None:
        ghost = silhouette(swung[1], 1).difference(metal.buffer(0.01))
        shapes += [("detail", affine_transform(part, matrix)) for part in getattr(ghost, "geoms", [ghost])]
    outline = box(start, 0.0, width, thickness).exterior
    open_end = LineString([(start, 0.0), (start, thickness)])
    book_lines = LineString(outline.coords).difference(open_end).difference(metal.buffer(0.01))
    shapes += [("detail", affine_transform(line, matrix)) for line in lines_of(book_lines)]
    x0, y0, x1, y1 = affine_transform(metal, matrix).bounds
    mx0, mz0, mx1, mz1 = metal.bounds
    back, front = _inner_faces(clasp, thickness)
    left = _at(matrix, (mx0, back))[0]
    measures = (
        Linear(
            length_digits(front - back, units),
            (left, _at(matrix, (0, back))[1]),
            (left, _at(matrix, (0, front))[1]),
            True,
            -1,
            x0,
        ),
        Linear(length_digits(mz1 - mz0, units), (x1, y0), (x1, y1), True, 1, x1),
        Linear(length_digits(mx1 - width, units), (_at(matrix, (width, 0))[0], y1), (x1, y1), False, 1, y1),
    )
    return View(tuple(shapes), measures)


def _inner_faces(clasp: Clasp, thickness: float) -> tuple[float, float]:
    """z of the outer faces of the closed book at the clasp."""
    assert clasp.metal is not None
    front = clasp.metal.pieces[0].at[2][3]
    return thickness - front, front


def _swung(mechanism: Mechanism) -> tuple[Piece, Solid] | None:
    """The arm at the pose nearest to a right angle."""
    for pose in mechanism.poses:
        moves = dict(pose.moves)
        if "70" in pose.name and "arm" in moves:
            arm = mechanism.piece("_arm")
            return arm, arm.solid().placed(moves["arm"])
    return None


def _at(matrix: Matrix, point: tuple[float, float]) -> tuple[float, float]:
    a, b, d, e, x, y = matrix
    return a * point[0] + b * point[1] + x, d * point[0] + e * point[1] + y
