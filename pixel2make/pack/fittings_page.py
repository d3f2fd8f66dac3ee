"""The drawing of a corner piece or boss on its board: from outside, and in section through its fold."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from pixel2make.design.metalwork import Fitting
from pixel2make.design.model import Design
from pixel2make.geometry.folded import Fold, Panel
from pixel2make.geometry.pieces import Piece, Sheet, Turned
from pixel2make.pack.clasp_pages import silhouette
from pixel2make.pack.clasp_sheet import (
    BETWEEN_MM,
    LARGEST,
    MARGIN_MM,
    SMALLEST,
    View,
    note_lines,
    page,
    sheet_for,
    title_block,
)
from pixel2make.pack.drawing.dimension_line import Linear
from pixel2make.pack.drawing.sheet import SCALES, SHEETS, scale_name
from pixel2make.pack.drawing.sheet import Sheet as Page
from pixel2make.pack.pens import Drawing
from pixel2make.quantity import format_length, in_units, length_digits

__all__ = ["fitting_drawing", "fold_section"]

_SECTION_SCALE = 5.0
"""Sheet of 0.8 mm is then 4 mm thick on the page, enough for its inside radius to be seen."""
_SHOWN_MM = 12.0
"""How much of the board is drawn in section."""
_TURNS = 8
"""Chords of a quarter turn."""
_TITLES = {"corner_piece": "Corner piece", "domed_boss": "Domed boss", "stepped_boss": "Stepped boss"}

Matrix = tuple[float, float, float, float, float, float]


def fitting_drawing(fitting: Fitting, count: int, design: Design) -> Drawing:
    """A fitting in sheet metal with its dimensions: from outside, and in section or from the side.

    Parameters
    ----------
    fitting : Fitting
    count : int
        How many are made of it.
    design : Design
        For board and covering.
    """
    board, covering = (design.dimension(f"{name}_thickness").value_mm for name in ("board", "covering"))
    units = design.units
    plan = _plan(fitting)
    fold = _first_fold(fitting)
    below = _section(fitting, fold, board, covering) if fold is not None else _side(fitting, board, covering)
    wide, tall = _size(plan[0])
    section_wide, section_tall = _size(below[0])
    close = _close_scale(section_wide)
    notes = tuple(in_units(note, units) for note in _notes(fitting, count, close))
    sheet, scale = _sheet(wide, tall, section_wide * close, section_tall * close, note_lines(notes))
    left, right = sheet.space[0], sheet.space[2]
    top = sheet.space[1] + MARGIN_MM
    views = (
        _view(plan, scale, (left + right) / 2, top, units),
        _view(below, close, (left + right) / 2, top + tall * scale + BETWEEN_MM, units),
    )
    hand = f", {fitting.hand} hand" if fitting.hand else ""
    block = title_block(
        f"{_TITLES[fitting.form]}{hand}",
        f"{fitting.sheet.pieces[0].material} {format_length(fitting.sheet_mm, units)}",
        "drawing of metalwork",
        fitting.name,
        scale,
        sheet,
        "brass",
        units,
    )
    return page(sheet, block, views, notes)


def _notes(fitting: Fitting, count: int, close: float) -> Iterator[str]:
    yield f"Make {count}; this one for: {fitting.where}."
    what = "section through the fold" if fitting.room_mm else "from the side"
    yield f"Above: from outside. Below: {what}, {scale_name(close)}; narrow: board and covering."
    if fitting.room_mm:
        yield (
            f"The fold goes over {fitting.room_mm:.1f} mm: covering, board and turn-in. Printed walls "
            f"{fitting.wall_mm:.1f} mm."
        )
    if fitting.blank_mm:
        disc = f"{fitting.blank_mm:.1f} mm"
        yield f"Domed from a disc of {disc} across; the pin is fixed inside the crown."


def _sheet(
    wide: float, tall: float, section_wide: float, section_tall: float, notes: int
) -> tuple[Page, float]:
    """The largest scale that fits an A4 sheet; else 1:1 on the smallest larger one."""
    below = section_tall + BETWEEN_MM
    for scale in SCALES:
        if SMALLEST <= scale <= LARGEST:
            sheet = sheet_for(max(wide * scale, section_wide), tall * scale + below, notes)
            if sheet.name == "A4":
                return sheet, scale
    return sheet_for(max(wide, section_wide), tall + below, notes), 1.0


def _close_scale(wide: float) -> float:
    """The largest scale up to 5:1 at which a section lies between the margins of an A4 sheet."""
    x0, _, x1, _ = SHEETS["A4"].space
    room = x1 - x0 - 2 * MARGIN_MM
    fitting = (scale for scale in SCALES if scale <= _SECTION_SCALE and wide * scale <= room)
    return next(fitting, SCALES[-1])


Shapes = list[tuple[str, BaseGeometry]]
Measures = list[tuple[float, tuple[float, float], tuple[float, float], bool, int]]
"""Length in mm, two ends in the view's own mm, whether vertical, on which side."""
Labels = list[tuple[str, float, tuple[float, float]]]
Found = tuple[Shapes, Measures, Labels]


def _size(shapes: Shapes) -> tuple[float, float]:
    x0, y0, x1, y1 = _bounds(shapes)
    return x1 - x0, y1 - y0


def _bounds(shapes: Shapes) -> tuple[float, float, float, float]:
    each = np.array([shape.bounds for _, shape in shapes])
    (x0, y0), (x1, y1) = each[:, :2].min(axis=0), each[:, 2:].max(axis=0)
    return float(x0), float(y0), float(x1), float(y1)


def _view(found: Found, scale: float, middle: float, top: float, units: str) -> View:
    shapes, measures, labels = found
    x0, _, x1, y1 = _bounds(shapes)
    m: Matrix = (scale, 0, 0, -scale, middle - (x0 + x1) / 2 * scale, top + y1 * scale)
    placed = tuple((purpose, affine_transform(shape, m)) for purpose, shape in shapes)
    px0, py0, px1, py1 = _bounds(list(placed))
    lines = []
    for length, a, b, is_vertical, side in measures:
        first, second = sorted((_at(m, a), _at(m, b)), key=lambda p: p[1 if is_vertical else 0])
        base = (px1 if side > 0 else px0) if is_vertical else (py1 if side > 0 else py0)
        lines.append(Linear(length_digits(length, units), first, second, is_vertical, side, base))
    return View(
        placed,
        tuple(lines),
        tuple((f"{words}{length_digits(mm, units)}", _at(m, spot)) for words, mm, spot in labels),
    )


def _at(m: Matrix, point: tuple[float, float]) -> tuple[float, float]:
    return m[0] * point[0] + m[4], m[3] * point[1] + m[5]


def _plan(fitting: Fitting) -> Found:
    """All pieces from outside, in the lowest one's axes."""
    shapes: Shapes = []
    base = np.linalg.inv(np.asarray(fitting.sheet.pieces[0].at))
    for piece in fitting.sheet.pieces:
        if piece.source == "made":
            solid = piece.shape.solid().placed(base @ np.asarray(piece.at))
            shapes.append(("visible", silhouette(solid, 2)))
    x0, y0, x1, y1 = _bounds(shapes)
    measures: Measures = [
        (x1 - x0, (x0, y0), (x1, y0), False, 1),
        (y1 - y0, (x0, y0), (x0, y1), True, -1),
    ]
    panel = _panel(fitting.sheet.pieces[0])
    for fold in panel.folds if panel is not None else ():
        shapes.append(("detail", LineString([fold.start, fold.end])))
    if panel is not None and panel.folds:
        # the bare board's edges
        shapes += [("hidden", line) for line in _board_edges(panel)]
    return shapes, measures, []


def _board_edges(panel: Panel) -> Iterator[LineString]:
    """The bare board's edges beside the folds: the lines u = 0 and v = 0."""
    for fold in panel.folds:
        is_side = abs(fold.away[0]) > abs(fold.away[1])
        ends = (fold.start, fold.end)
        yield LineString([(0.0, v) if is_side else (u, 0.0) for u, v in ends])


def _panel(piece: Piece) -> Panel | None:
    return piece.shape.panel if isinstance(piece.shape, Sheet) else None


def _first_fold(fitting: Fitting) -> Fold | None:
    panel = _panel(fitting.sheet.pieces[0])
    return panel.folds[0] if panel is not None and panel.folds else None


def fold_section(fold: Fold, sheet_mm: float, reach_mm: float) -> Polygon:
    """Section of plate, bend, flange and lip across a fold: x away from the bend's beginning, y outwards.

    Parameters
    ----------
    fold : Fold
        By -90 degrees; at most one more behind it.
    sheet_mm : float
    reach_mm : float
        Of the plate, inwards from the bend.
    """
    radius, t = fold.radius_mm, sheet_mm
    straight = fold.panel.outline.bounds[2]
    outer = [(-reach_mm, t), *_arc((0.0, -radius), radius + t, 90, 0)]
    inner = [(-reach_mm, 0.0), *_arc((0.0, -radius), radius, 90, 0)]
    low = -radius - straight
    if fold.panel.folds:
        lip = fold.panel.folds[0]
        middle = (radius - lip.radius_mm, low)
        end = middle[0] - lip.panel.outline.bounds[2]
        outer += [*_arc(middle, lip.radius_mm + t, 0, -90), (end, low - lip.radius_mm - t)]
        inner += [*_arc(middle, lip.radius_mm, 0, -90), (end, low - lip.radius_mm)]
    else:
        outer.append((radius + t, low))
        inner.append((radius, low))
    return Polygon([*outer, *reversed(inner)])


def _arc(
    middle: tuple[float, float], radius: float, start_deg: float, end_deg: float
) -> list[tuple[float, float]]:
    turns = [math.radians(start_deg + (end_deg - start_deg) * i / _TURNS) for i in range(_TURNS + 1)]
    return [(middle[0] + radius * math.cos(a), middle[1] + radius * math.sin(a)) for a in turns]


def _section(fitting: Fitting, fold: Fold, board: float, covering: float) -> Found:
    """Across the first fold; x = 0 where the bend begins."""
    t, radius = fitting.sheet_mm, fold.radius_mm
    metal = fold_section(fold, t, _SHOWN_MM)
    # where the bare board ends, from the bend's beginning
    start = fold.start[0] if abs(fold.away[0]) > abs(fold.away[1]) else fold.start[1]
    edge = -abs(start)
    shapes: Shapes = [("solid", metal), *_book(edge, board, covering)]
    _, low, right, _ = metal.bounds
    end = -radius - fold.panel.outline.bounds[2]
    measures: Measures = [
        (fitting.room_mm, (-_SHOWN_MM, 0.0), (-_SHOWN_MM, -fitting.room_mm), True, -1),
        (t - low, (right, t), (right, low), True, 1),
        (right - edge, (edge, min(low, end)), (right, min(low, end)), False, 1),
    ]
    half = math.sqrt(0.5)
    labels: Labels = [
        ("R", radius, (radius * half, radius * half - radius)),
        ("t = ", t, (-_SHOWN_MM / 2, t)),
    ]
    return shapes, measures, labels


def _book(edge: float, board: float, covering: float) -> Iterator[tuple[str, BaseGeometry]]:
    bare = box(-2 * _SHOWN_MM, -covering - board, edge, -covering)
    shown = box(-_SHOWN_MM, -99, 99, 99)
    for shape in (bare, bare.buffer(covering)):
        line = shape.exterior.intersection(shown.buffer(-1e-6))
        for part in getattr(line, "geoms", [line]):
            if isinstance(part, LineString) and part.length > 0.1:
                yield "detail", part


def _side(fitting: Fitting, board: float, covering: float) -> Found:
    """A boss from the side on its board, with its pins' way through."""
    base = np.linalg.inv(np.asarray(fitting.sheet.pieces[0].at))
    shapes: Shapes = []
    for piece in fitting.sheet.pieces:
        solid = piece.shape.solid().placed(base @ np.asarray(piece.at))
        purpose = "visible" if piece.source == "made" else "hidden"
        if isinstance(piece.shape, Turned) and piece.source == "made":
            shapes.append(("solid", _turned_section(piece.shape)))
        else:
            shapes.append((purpose, silhouette(solid, 1)))
    x0, _, x1, y1 = _bounds([pair for pair in shapes if pair[0] in ("visible", "solid")])
    for hole in fitting.sheet.holes:
        shapes.append(("centre", LineString([(hole.u_mm, y1 + 1), (hole.u_mm, -covering - board - 2)])))
    for level in (0.0, -covering, -covering - board):
        shapes.append(("detail", LineString([(x0 - 2, level), (x1 + 2, level)])))
    measures: Measures = [
        (y1, (x1, 0.0), (x1, y1), True, 1),
        (x1 - x0, (x0, y1), (x1, y1), False, -1),
    ]
    return shapes, measures, []


def _turned_section(shape: Turned) -> Polygon:
    """Through the axis."""
    right = list(shape.profile)
    left = [(-r, z) for r, z in reversed(right)]
    return Polygon([*right, *left]).buffer(0)
