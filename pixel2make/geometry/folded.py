"""Sheet that is cut flat and bent: panels joined by bends, as the bent thing and as its flat pattern.

A piece is a tree. Each panel has an outline in its own plane, (u, v), and is as thick as the sheet, from
w = 0 (the lower side) to w = t. A bend leaves a panel through a straight part of its outline and ends
at another panel, whose u runs away from the bend and whose v runs along it.

A bend of A degrees, A the angle turned through, with inside radius R in sheet of thickness t takes
BA = pi/180 A (R + K t) of flat length: the arc of the layer that neither stretches nor shrinks. The
deduction BD = 2 (R + t) tan(A/2) - BA is what the flat sheet is shorter than the sum of the outside
lengths, which meet in the corner that the bend rounds off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import Polygon, box
from shapely.geometry.polygon import orient

__all__ = [
    "Bend",
    "FlatPattern",
    "Fold",
    "Panel",
    "bend_allowance",
    "bend_deduction",
    "flat_pattern",
    "folds_of",
    "panels",
]

Point = tuple[float, float]
Matrix = NDArray[np.float64]

_SPECK_MM2 = 1e-4
_GRID_MM = 1e-4
"""Corners of a flat pattern lie on this grid, a tenth of a micrometre."""


def bend_allowance(angle_deg: float, radius_mm: float, sheet_mm: float, k_factor: float) -> float:
    """Flat length that a bend takes.

    Parameters
    ----------
    angle_deg : float
        Turned through: 0 leaves the sheet flat, 180 folds it back.
    radius_mm : float
        Inside.
    sheet_mm : float
    k_factor : float
        Where the layer that keeps its length lies, in sheet thicknesses from the inside.

    Examples
    --------
    >>> round(bend_allowance(90, 1.0, 1.0, 0.4074366543), 4)
    2.2108
    """
    return math.radians(angle_deg) * (radius_mm + k_factor * sheet_mm)


def bend_deduction(angle_deg: float, radius_mm: float, sheet_mm: float, k_factor: float) -> float:
    """How much shorter the flat sheet is than both outside lengths of a bend; the angle is below 180.

    Examples
    --------
    >>> round(bend_deduction(90, 1.0, 1.0, 0.4074366543), 4)
    1.7892
    """
    setback = (radius_mm + sheet_mm) * math.tan(math.radians(angle_deg) / 2)
    return 2 * setback - bend_allowance(angle_deg, radius_mm, sheet_mm, k_factor)


@dataclass(frozen=True)
class Fold:
    """A bend and the panel behind it.

    Attributes
    ----------
    start, end : (u, v)
        On the outline of the panel that the bend leaves; its outside lies to the right of start to end.
    angle_deg : float
        Turned through; above 0 towards the upper side, below 0 towards the lower side.
    radius_mm : float
        Inside.
    panel : Panel
        Behind the bend: its u runs away from the bend, its v along it, from 0 to the bend's length.
    """

    start: Point
    end: Point
    angle_deg: float
    radius_mm: float
    panel: Panel

    @property
    def length_mm(self) -> float:
        """Along the bend."""
        return math.dist(self.start, self.end)

    @property
    def along(self) -> Point:
        """Unit vector from start to end."""
        return (
            (self.end[0] - self.start[0]) / self.length_mm,
            (self.end[1] - self.start[1]) / self.length_mm,
        )

    @property
    def away(self) -> Point:
        """Unit vector from the panel outwards."""
        return self.along[1], -self.along[0]

    def center_w(self, sheet_mm: float) -> float:
        """Where the bend's axis lies across the panel."""
        return sheet_mm + self.radius_mm if self.angle_deg > 0 else -self.radius_mm

    def turned(self, share: float, sheet_mm: float, beyond_mm: float = 0.0) -> Matrix:
        """From (u, v, w) of what follows after a share of the bend to the panel that it leaves."""
        angle = math.radians(self.angle_deg) * share
        (nu, nv), (eu, ev) = self.away, self.along
        n, e, w = np.array([nu, nv, 0.0]), np.array([eu, ev, 0.0]), np.array([0.0, 0.0, 1.0])
        new_n = n * math.cos(angle) + w * math.sin(angle)
        new_w = -n * math.sin(angle) + w * math.cos(angle)
        center = self.center_w(sheet_mm)
        origin = np.array([*self.start, 0.0]) + n * beyond_mm + center * (w - new_w)
        matrix = np.eye(4)
        matrix[:3, 0], matrix[:3, 1], matrix[:3, 2], matrix[:3, 3] = new_n, e, new_w, origin
        return matrix


@dataclass(frozen=True)
class Panel:
    """A flat part of a piece.

    Attributes
    ----------
    name : str
        What a drawing calls it.
    outline : Polygon
        In (u, v), mm; may have holes.
    folds : tuple of Fold
    """

    name: str
    outline: Polygon
    folds: tuple[Fold, ...] = ()


@dataclass(frozen=True)
class Bend:
    """One bend on a flat pattern.

    Attributes
    ----------
    start, end : (x, y)
        Where the bend begins on the flat sheet, from end to end; it takes `allowance_mm` to the right
        of start to end.
    angle_deg : float
        Above 0 up, below 0 down, seen on the pattern.
    radius_mm, allowance_mm : float
    """

    start: Point
    end: Point
    angle_deg: float
    radius_mm: float
    allowance_mm: float

    @property
    def away(self) -> Point:
        """Unit vector across the bend."""
        length = math.dist(self.start, self.end)
        return (self.end[1] - self.start[1]) / length, -(self.end[0] - self.start[0]) / length

    def line(self, share: float = 0.5) -> tuple[Point, Point]:
        """The bend line, in the middle of the bend, or another line along it."""
        (nx, ny), far = self.away, self.allowance_mm * share
        return (
            (self.start[0] + nx * far, self.start[1] + ny * far),
            (self.end[0] + nx * far, self.end[1] + ny * far),
        )


@dataclass(frozen=True)
class FlatPattern:
    """A piece cut from sheet, before it is bent.

    Attributes
    ----------
    outline : Polygon
        The first panel lies as it is; (x, y) in mm, x and y as its u and v.
    bends : tuple of Bend
        From the first panel outwards.
    sheet_mm, k_factor : float
    """

    outline: Polygon
    bends: tuple[Bend, ...]
    sheet_mm: float
    k_factor: float

    @property
    def size_mm(self) -> tuple[float, float]:
        """Of the bounding box."""
        x0, y0, x1, y1 = self.outline.bounds
        return x1 - x0, y1 - y0


def folds_of(panel: Panel) -> Iterator[Fold]:
    """Every bend of a piece, from the first panel outwards."""
    for fold in panel.folds:
        yield fold
        yield from folds_of(fold.panel)


def panels(root: Panel, sheet_mm: float) -> Iterator[tuple[Panel, Matrix]]:
    """Every panel with the matrix from its (u, v, w) to the first panel's, bent."""

    def walk(panel: Panel, matrix: Matrix) -> Iterator[tuple[Panel, Matrix]]:
        yield panel, matrix
        for fold in panel.folds:
            yield from walk(fold.panel, matrix @ fold.turned(1.0, sheet_mm))

    yield from walk(root, np.eye(4))


def flat_pattern(root: Panel, sheet_mm: float, k_factor: float) -> FlatPattern:
    """Unfold a piece.

    Parameters
    ----------
    root : Panel
    sheet_mm : float
    k_factor : float

    Returns
    -------
    FlatPattern
        Its outline is one polygon; panels that would lie on each other show as a loss of area.
    """
    shapes, bends = [], []
    for outline, bend in _laid_flat(root, sheet_mm, k_factor):
        shapes.append(outline)
        if bend is not None:
            bends.append(bend)
    outline = shapely.union_all([shape.buffer(1e-7, join_style="mitre") for shape in shapes])
    cleaned = shapely.set_precision(outline, _GRID_MM).simplify(_GRID_MM / 2)
    return FlatPattern(orient(_largest(cleaned)), tuple(bends), sheet_mm, k_factor)


def _largest(shape: shapely.Geometry) -> Polygon:
    pieces = [p for p in shapely.get_parts(shape).tolist() if isinstance(p, Polygon) and p.area > _SPECK_MM2]
    return max(pieces, key=lambda p: p.area)


def _laid_flat(root: Panel, sheet_mm: float, k_factor: float) -> Iterator[tuple[Polygon, Bend | None]]:
    """Outlines of panels and bends on the flat sheet."""

    def walk(
        panel: Panel, m: tuple[float, float, float, float, float, float]
    ) -> Iterator[tuple[Polygon, Bend | None]]:
        yield affine_transform(panel.outline, m), None
        for fold in panel.folds:
            taken = bend_allowance(abs(fold.angle_deg), fold.radius_mm, sheet_mm, k_factor)
            (nu, nv), (eu, ev) = fold.away, fold.along
            own = (nu, eu, nv, ev, fold.start[0], fold.start[1])
            start = _chained(m, own)
            yield (
                affine_transform(box(0, 0, taken, fold.length_mm), start),
                Bend(
                    _on_grid(_at(m, fold.start)),
                    _on_grid(_at(m, fold.end)),
                    fold.angle_deg,
                    fold.radius_mm,
                    taken,
                ),
            )
            beyond = (*own[:4], own[4] + nu * taken, own[5] + nv * taken)
            yield from walk(fold.panel, _chained(m, beyond))

    yield from walk(root, (1.0, 0.0, 0.0, 1.0, 0.0, 0.0))


Affine = tuple[float, float, float, float, float, float]
"""(a, b, d, e, xoff, yoff) as shapely has it: x' = a x + b y + xoff, y' = d x + e y + yoff."""


def _chained(outer: Affine, inner: Affine) -> Affine:
    a, b, d, e, x, y = outer
    p, q, r, s, u, v = inner
    return (a * p + b * r, a * q + b * s, d * p + e * r, d * q + e * s, a * u + b * v + x, d * u + e * v + y)


def _at(m: Affine, point: Point) -> Point:
    a, b, d, e, x, y = m
    return a * point[0] + b * point[1] + x, d * point[0] + e * point[1] + y


def _on_grid(point: Point) -> Point:
    return round(point[0] / _GRID_MM) * _GRID_MM, round(point[1] / _GRID_MM) * _GRID_MM
