"""Outlines of the regions of a label map, each arc drawn once and shared by both its sides."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import ArrayLike, NDArray
from shapely.geometry import MultiPolygon, Polygon

from pixel2make.geometry.planar import PlanarMap, planar_map
from pixel2make.geometry.smooth import LINE_STYLES, smooth_lines

__all__ = ["LINE_STYLES", "outlines", "signed_area"]


def outlines(labels: ArrayLike, *, style: str | Callable[[int], str] = "stepped") -> dict[int, MultiPolygon]:
    """Outline of every region of a label map, in native pixels.

    Neighbours share their border line exactly: no gap, no overlap. In every style the centre of each
    pixel lies inside the outline of its own region.

    Parameters
    ----------
    labels : array_like of shape (M, N), int
        0 is background and gets no outline.
    style : {"stepped", "straight", "faired"} or callable
        One style for all, or a callable that gives a label's; a line between two regions takes the
        stricter of theirs, in this order.

    Returns
    -------
    dict of int to MultiPolygon
        Parts of a region that touch only at a pixel corner are not joined there.

    Examples
    --------
    >>> outlines([[1, 1], [1, 2]])[1].area
    3.0
    """
    chosen = style if callable(style) else lambda _label: str(style)
    planar = planar_map(labels)
    return _assemble(planar, smooth_lines(planar, chosen))


def _assemble(planar: PlanarMap, lines: list[NDArray[np.float64]]) -> dict[int, MultiPolygon]:
    found = {}
    for label, rings in planar.rings.items():
        points = [planar.ring_points(ring, lines) for ring in rings]
        outer = [ring for ring in points if signed_area(ring) > 0]
        holes = [ring for ring in points if signed_area(ring) <= 0]
        found[label] = MultiPolygon(_with_holes(outer, holes))
    return found


def _with_holes(outer: list[NDArray[np.float64]], holes: list[NDArray[np.float64]]) -> list[Polygon]:
    """Each hole goes to the smallest outer ring around it."""
    shells = [Polygon(ring) for ring in outer]
    inside: list[list[NDArray[np.float64]]] = [[] for _ in shells]
    if holes:
        tree = shapely.STRtree(shells)
        marks = [Polygon(hole).representative_point() for hole in holes]
        for hole, mark in zip(holes, marks, strict=True):
            around = [int(i) for i in tree.query(mark, predicate="within")]
            inside[min(around, key=lambda i: (shells[i].area, i))].append(hole)
    return [Polygon(ring, cuts) for ring, cuts in zip(outer, inside, strict=True)]


def signed_area(points: NDArray[np.float64]) -> float:
    """Shoelace area of a closed ring (K, 2); positive where the ring runs clockwise as seen, y down.

    >>> signed_area(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]))
    2.0
    """
    x, y = points.T
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y) / 2)
