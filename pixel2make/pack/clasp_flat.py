"""Marking-out drawing of a piece of sheet metal at 1:1: outline, bends, holes, with dimensions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from shapely.affinity import affine_transform
from shapely.geometry import LineString, Point

from pixel2make.design.metalwork import PinHole
from pixel2make.geometry.folded import Bend, FlatPattern
from pixel2make.geometry.pieces import Piece, Sheet
from pixel2make.pack.clasp_sheet import (
    BAR_MM,
    BAR_STRIP_MM,
    MARGIN_MM,
    View,
    note_lines,
    page,
    sheet_for,
    title_block,
)
from pixel2make.pack.drawing.dimension_line import Linear
from pixel2make.pack.pens import Drawing
from pixel2make.quantity import UNIT_WORDS, format_length, in_units, length_digits

__all__ = ["flat_page"]

_LARGEST_CHAIN = 6
"""Bend lines that are measured one by one, and columns or rows of holes; the notes say all bends."""
_SAME_MM = 0.05


def flat_page(
    piece: Piece, holes: tuple[PinHole, ...], units: str = "mm", more: tuple[str, ...] = ()
) -> Drawing:
    """The flat pattern of one piece at 1:1 with bend lines, dimensions and a bar to measure both ways.

    Parameters
    ----------
    piece : Piece
        Of sheet.
    holes : tuple of PinHole
        Of this piece.
    units : {"mm", "in"}
        In which lengths are written.
    more : tuple of str
        Further notes, lengths in mm.
    """
    assert isinstance(piece.shape, Sheet)
    pattern = piece.shape.flat()
    x0, y0, x1, y1 = pattern.outline.bounds
    notes = tuple(in_units(note, units) for note in (*_notes(piece, pattern, holes, units), *more))
    sheet = sheet_for(x1 - x0 + BAR_STRIP_MM, max(y1 - y0 + BAR_STRIP_MM, BAR_MM), note_lines(notes))
    left = sheet.space[0] + BAR_STRIP_MM
    left += (sheet.space[2] - left - (x1 - x0)) / 2
    top = sheet.space[1] + MARGIN_MM
    block = title_block(
        f"Flat pattern: {piece.title}",
        f"{piece.material} {format_length(pattern.sheet_mm, units)}",
        "cutting pattern",
        piece.name,
        1.0,
        sheet,
        "brass",
        units,
    )
    view = _view(pattern, holes, units, (1, 0, 0, -1, left - x0, top + y1))
    return page(sheet, block, (view,), notes, has_bars=True)


def _notes(piece: Piece, pattern: FlatPattern, holes: tuple[PinHole, ...], units: str) -> Iterator[str]:
    yield (
        f"{piece.material.capitalize()} sheet, {pattern.sheet_mm:g} mm thick. Print at 100 %; check both "
        "bars. Outside of the finished piece faces you. Flat "
        f"{pattern.size_mm[0]:.2f} x {pattern.size_mm[1]:.2f} mm."
    )
    if pattern.bends:
        yield (
            "Three thin lines a bend: the bend line in the middle, and where the bend begins and ends. "
            f"K = {pattern.k_factor:.3f}. Up is towards you."
        )
    for text in dict.fromkeys(_bend_words(bend) for bend in pattern.bends):
        count = sum(_bend_words(bend) == text for bend in pattern.bends)
        yield f"{count} x {text}" if count > 1 else text[0].upper() + text[1:]
    for diameter in dict.fromkeys(hole.diameter_mm for hole in holes):
        count = sum(hole.diameter_mm == diameter for hole in holes)
        plural = "s" if count > 1 else ""
        yield f"{count} hole{plural} of {diameter:.1f} mm for pins; drill before bending."
    if len(holes) > 1:
        # A small piece has no room for the dimensions of them all.
        x0, y0, _, _ = pattern.outline.bounds
        places = ", ".join(
            f"{length_digits(hole.u_mm - x0, units)} / {length_digits(hole.v_mm - y0, units)}"
            for hole in sorted(holes, key=lambda hole: (hole.u_mm, hole.v_mm))
        )
        yield f"Holes from the left and lower ends of the flat, in {UNIT_WORDS[units]}: {places}."


def _bend_words(bend: Bend) -> str:
    way = "up" if bend.angle_deg > 0 else "down"
    return (
        f"bend {way} {abs(bend.angle_deg):g}°, inside radius {bend.radius_mm:.2f} mm, "
        f"allowance {bend.allowance_mm:.2f} mm"
    )


def _view(
    pattern: FlatPattern,
    holes: tuple[PinHole, ...],
    units: str,
    matrix: tuple[float, float, float, float, float, float],
) -> View:
    outline = affine_transform(pattern.outline, matrix)
    x0, y0, x1, y1 = outline.bounds
    shapes: list[tuple[str, LineString]] = [("cut", outline)]
    for bend in pattern.bends:
        shapes.append(("bend", affine_transform(LineString(bend.line()), matrix)))
        for share in (0.0, 1.0):
            shapes.append(("detail", affine_transform(LineString(bend.line(share)), matrix)))
    # the shorter lie nearer: no extension line then crosses a dimension line
    measures = _bend_measures(pattern, units, matrix, (x0, y0, x1, y1))
    measures += [
        Linear(length_digits(x1 - x0, units), (x0, y1), (x1, y1), False, 1, y1),
        Linear(length_digits(y1 - y0, units), (x0, y0), (x0, y1), True, -1, x0),
    ]
    spots = [affine_transform(Point(hole.u_mm, hole.v_mm), matrix) for hole in holes]
    measures += _hole_measures([(float(s.x), float(s.y)) for s in spots], units, (x0, y0, x1, y1))
    labels = []
    for diameter in dict.fromkeys(hole.diameter_mm for hole in holes):
        own = [s for s, hole in zip(spots, holes, strict=True) if hole.diameter_mm == diameter]
        words = f"⌀{length_digits(diameter, units)}"
        spot = min(own, key=lambda s: (s.x, -s.y))  # away from the dimensions
        labels.append((f"{len(own)} x {words}" if len(own) > 1 else words, (float(spot.x), float(spot.y))))
    return View(tuple(shapes), tuple(measures), tuple(labels))


def _hole_measures(
    spots: Sequence[tuple[float, float]], units: str, bounds: tuple[float, float, float, float]
) -> Iterator[Linear]:
    """Edge distance and pitch of the columns of holes above the pattern, of their rows at its right.

    Equal pitches are one dimension, their number times the pitch (ISO 129-1, repeated features). What is
    measured from is the edge at the fore-edge, which is the right one, and the upper edge.
    """
    _, y0, x1, _ = bounds
    for axis, edge in ((0, x1), (1, y0)):
        found = sorted({round(spot[axis], 2) for spot in spots}, reverse=axis == 0)
        ends = [edge, *found][: _LARGEST_CHAIN + 1]
        # The longer first: the arrows of a short one stand outside it, where its neighbour's line would run.
        for first, last, count in sorted(_runs(ends), key=lambda run: -abs(run[1] - run[0])):
            pitch, whole = abs(last - first) / count, abs(last - first)
            label = length_digits(whole, units)
            if count > 1:
                label = f"{count} x {length_digits(pitch, units)} (= {label})"
            low, high = sorted((first, last))
            if axis == 0:
                tops = {end: _nearest(spots, 0, end, y0) for end in (low, high)}
                yield Linear(label, (low, tops[low]), (high, tops[high]), False, -1, y0)
            else:
                sides = {end: _nearest(spots, 1, end, x1) for end in (low, high)}
                yield Linear(label, (sides[low], low), (sides[high], high), True, 1, x1)


def _runs(ends: Sequence[float]) -> Iterator[tuple[float, float, int]]:
    """From the edge to the first, then equal gaps that follow each other as one: (from, to, gaps)."""
    gaps = [abs(b - a) for a, b in pairwise(ends)]
    if gaps:
        yield ends[0], ends[1], 1
    start = 1
    for stop in range(2, len(ends)):
        is_last = stop == len(gaps)
        if is_last or abs(gaps[stop] - gaps[start]) > _SAME_MM:
            yield ends[start], ends[stop], stop - start
            start = stop


def _nearest(spots: Sequence[tuple[float, float]], axis: int, at: float, edge: float) -> float:
    """Where the extension line of a column or row begins: at its hole nearest to the edge, or at the edge."""
    own = [spot[1 - axis] for spot in spots if abs(spot[axis] - at) < _SAME_MM]
    return min(own, key=lambda value: abs(value - edge), default=edge)


def _bend_measures(
    pattern: FlatPattern,
    units: str,
    matrix: tuple[float, float, float, float, float, float],
    bounds: tuple[float, float, float, float],
) -> list[Linear]:
    """Each bend line from the edge of the pattern that its axis runs along."""
    x0, y0, _, y1 = bounds
    found: dict[tuple[bool, float], Linear] = {}
    for bend in pattern.bends:
        (ax, ay), (bx, by) = affine_transform(LineString(bend.line()), matrix).coords
        if abs(ax - bx) < _SAME_MM:
            key = (False, round(ax, 1))
            if ax - x0 > _SAME_MM:
                found.setdefault(
                    key, Linear(length_digits(ax - x0, units), (x0, y1), (ax, max(ay, by)), False, 1, y1)
                )
        elif abs(ay - by) < _SAME_MM:
            key = (True, round(ay, 1))
            if ay - y0 > _SAME_MM:
                found.setdefault(
                    key, Linear(length_digits(ay - y0, units), (x0, y0), (min(ax, bx), ay), True, -1, x0)
                )
    return sorted(found.values(), key=lambda m: m.span[1] - m.span[0])[:_LARGEST_CHAIN]
