"""A label map as a planar map: junctions, and arcs that the two regions beside them share.

Lattice points are pixel corners, (x, y) in native pixels, y down; pixel (3, 5) has the corners
(3, 5), (4, 5), (4, 6), (3, 6). The outside of the picture counts as label 0.

Rule for pixels that touch only at a corner: they are not joined there. Where four regions, or two
and two, meet in a checker pattern, the lattice point is a junction that stays where it is, and each
region's outline turns so that it stays with its own pixel.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

__all__ = ["Arc", "PlanarMap", "planar_map"]

_STEPS = ((1, 0), (0, 1), (-1, 0), (0, -1))
"""East, south, west, north: with y down each next one is a right turn."""


@dataclass(frozen=True, eq=False)
class Arc:
    """A run of pixel edges between two junctions, or a closed loop without any.

    Attributes
    ----------
    points : ndarray of shape (K + 1, 2), int
        Lattice points in order; a closed arc repeats its first point at the end. Read-only.
    left, right : int
        Labels beside the arc, seen along its direction.
    is_closed : bool
    """

    points: NDArray[np.int64]
    left: int
    right: int
    is_closed: bool


@dataclass(frozen=True, eq=False)
class PlanarMap:
    """Arcs of a label map and how they bound each region.

    Attributes
    ----------
    labels : ndarray of shape (M, N), int
    arcs : tuple of Arc
    """

    labels: NDArray[np.int64]
    arcs: tuple[Arc, ...]

    @cached_property
    def rings(self) -> dict[int, tuple[tuple[tuple[int, bool], ...], ...]]:
        """For each label but 0, its boundary rings as (index of arc, along its direction).

        The region lies to the right of every ring, so outer rings run clockwise as seen (y down)
        and have a positive shoelace area; holes run the other way.
        """
        return _rings(self)

    def ring_points(
        self, ring: tuple[tuple[int, bool], ...], lines: list[NDArray[np.float64]]
    ) -> NDArray[np.float64]:
        """One ring's points, without repeating the first, from one line for each arc."""
        pieces = [lines[arc][:-1] if along else lines[arc][::-1][:-1] for arc, along in ring]
        return np.concatenate(pieces)


def planar_map(labels: ArrayLike) -> PlanarMap:
    """Trace a label map along its pixel edges.

    Parameters
    ----------
    labels : array_like of shape (M, N), int
        0 is background. Regions need not be connected.

    Returns
    -------
    PlanarMap
        Arcs in raster order of their first junction, loops after them in raster order.

    Examples
    --------
    >>> m = planar_map([[1, 1], [2, 2]])
    >>> [(arc.left, arc.right, len(arc.points)) for arc in m.arcs]
    [(1, 2, 3), (2, 0, 5), (0, 1, 5)]
    """
    labels = np.array(labels, dtype=np.int64)
    edges = _unit_edges(labels)
    neighbours: dict[tuple[int, int], list[int]] = {}
    for (x, y), step in edges:
        neighbours.setdefault((x, y), []).append(step)
    junctions = sorted((p for p, steps in neighbours.items() if len(steps) != 2), key=lambda p: (p[1], p[0]))
    is_junction = set(junctions)
    used: set[tuple[tuple[int, int], int]] = set()
    arcs: list[Arc] = []
    for start in junctions:
        for step in sorted(neighbours[start]):
            if (start, step) not in used:
                arcs.append(_walk(labels, neighbours, is_junction, used, start, step))
    for start in sorted(neighbours, key=lambda p: (p[1], p[0])):
        step = min(neighbours[start])
        if start not in is_junction and (start, step) not in used:
            arcs.append(_walk(labels, neighbours, is_junction, used, start, step))
    return PlanarMap(labels, tuple(arcs))


def _unit_edges(labels: NDArray[np.int64]) -> list[tuple[tuple[int, int], int]]:
    """Every boundary edge of one pixel, from both its ends: (lattice point, step index)."""
    padded = np.pad(labels, 1)
    across = padded[:-1, 1:-1] != padded[1:, 1:-1]  # edges along x, at the top of row y
    down = padded[1:-1, :-1] != padded[1:-1, 1:]  # edges along y, at the left of column x
    edges: list[tuple[tuple[int, int], int]] = []
    for y, x in np.argwhere(across).tolist():
        edges += [((x, y), 0), ((x + 1, y), 2)]
    for y, x in np.argwhere(down).tolist():
        edges += [((x, y), 1), ((x, y + 1), 3)]
    return edges


def _walk(
    labels: NDArray[np.int64],
    neighbours: dict[tuple[int, int], list[int]],
    junctions: set[tuple[int, int]],
    used: set[tuple[tuple[int, int], int]],
    start: tuple[int, int],
    step: int,
) -> Arc:
    points = [start]
    here = start
    first = step
    while True:
        used.add((here, step))
        here = (here[0] + _STEPS[step][0], here[1] + _STEPS[step][1])
        points.append(here)
        back = (step + 2) % 4
        used.add((here, back))
        if here == start or here in junctions:
            break
        steps = neighbours[here]
        step = steps[0] if steps[1] == back else steps[1]
    left, right = _sides(labels, start, first)
    array = np.array(points, dtype=np.int64)
    array.flags.writeable = False
    return Arc(array, left, right, here == start and start not in junctions)


def _sides(labels: NDArray[np.int64], point: tuple[int, int], step: int) -> tuple[int, int]:
    """Labels to the left and right of the unit edge that leaves `point` in direction `step`."""
    x, y = point
    left, right = (
        ((x, y - 1), (x, y)),
        ((x, y), (x - 1, y)),
        ((x - 1, y), (x - 1, y - 1)),
        ((x - 1, y - 1), (x, y - 1)),
    )[step]
    return _label(labels, *left), _label(labels, *right)


def _label(labels: NDArray[np.int64], x: int, y: int) -> int:
    rows, columns = labels.shape
    return int(labels[y, x]) if 0 <= x < columns and 0 <= y < rows else 0


def _rings(planar: PlanarMap) -> dict[int, tuple[tuple[tuple[int, bool], ...], ...]]:
    """Chain arcs so that the region stays on the right; at a checker corner keep to the own pixel."""
    leaving: dict[tuple[int, tuple[int, int]], list[tuple[int, int, bool]]] = {}
    starts: list[tuple[int, int, bool]] = []
    for index, arc in enumerate(planar.arcs):
        for along, label in ((True, arc.right), (False, arc.left)):
            if label == 0:
                continue
            points = arc.points if along else arc.points[::-1]
            leaving.setdefault((label, _point(points[0])), []).append(
                (_step(points[0], points[1]), index, along)
            )
            starts.append((label, index, along))
    rings: dict[int, list[tuple[tuple[int, bool], ...]]] = {}
    used: set[tuple[int, bool]] = set()
    for label, index, along in starts:
        if (index, along) in used:
            continue
        chain: list[tuple[int, bool]] = []
        while (index, along) not in used:
            used.add((index, along))
            chain.append((index, along))
            points = planar.arcs[index].points if along else planar.arcs[index].points[::-1]
            arrived = _step(points[-2], points[-1])
            options = leaving[label, _point(points[-1])]
            # The own pixel lies to the right: the sharpest right turn keeps to it.
            _, index, along = min(options, key=lambda o: (arrived + 1 - o[0]) % 4)
        rings.setdefault(label, []).extend(_split_at_touches(planar, chain))
    return {label: tuple(found) for label, found in sorted(rings.items())}


def _split_at_touches(planar: PlanarMap, chain: list[tuple[int, bool]]) -> list[tuple[tuple[int, bool], ...]]:
    """Split a ring that passes one lattice point twice, so that every ring is simple."""
    rings: list[tuple[tuple[int, bool], ...]] = []
    path: list[tuple[int, bool]] = []
    seen: list[tuple[int, int]] = []
    for index, along in chain:
        points = planar.arcs[index].points if along else planar.arcs[index].points[::-1]
        seen.append(_point(points[0]))
        path.append((index, along))
        end = _point(points[-1])
        if end in seen:
            cut = seen.index(end)
            rings.append(tuple(path[cut:]))
            del path[cut:], seen[cut:]
    return rings


def _point(row: NDArray[np.int64]) -> tuple[int, int]:
    return int(row[0]), int(row[1])


def _step(a: NDArray[np.int64], b: NDArray[np.int64]) -> int:
    return _STEPS.index((int(b[0] - a[0]), int(b[1] - a[1])))
