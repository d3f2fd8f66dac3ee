"""Lines of a planar map, stepped, straight or faired, that never leave the gap between pixel centres.

Each unit edge between two pixels has a *gate*: the segment between the two pixel centres. A line that
passes every gate of its arc in order, and stays in the square around each lattice point in between,
keeps every pixel centre on its own side. The squares of different lattice points do not overlap and
one arc alone passes a square unless a junction lies in it, so lines drawn this way can neither cross
nor leave gaps, whatever the offsets in the gates are.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from pixel2make.geometry.chains import Chain, chains_of, corners_of, level_runs
from pixel2make.geometry.fairing import FIRM_TIE, LOOSE_TIE, fair_offsets, gate_frame
from pixel2make.geometry.planar import PlanarMap
from pixel2make.geometry.straight import Polygonal, intersection, straight_line

__all__ = ["LINE_STYLES", "REACH", "smooth_lines"]

LINE_STYLES = ("stepped", "straight", "faired")
"""From the strictest to the freest: an arc between two regions takes the stricter of their styles."""

REACH = 0.45
"""How far a line may leave a gate's middle, in pixels: a centre stays at least 0.05 pixel inside."""

_IDLE = 1e-7
"""Sine of a turn that is none."""

Nodes = dict[tuple[int, int], NDArray[np.float64]]

_PER_STEP = 4
"""Points that draw one pixel's worth of a faired line; at 2 px radius the chord error is 0.004 px."""


def smooth_lines(planar: PlanarMap, style: Callable[[int], str]) -> list[NDArray[np.float64]]:
    """One line for each arc of a planar map.

    Parameters
    ----------
    planar : PlanarMap
    style : callable
        Gives "stepped", "straight" or "faired" for a label.

    Returns
    -------
    lines : list of ndarray of shape (P, 2)
        From the arc's first to its last point, native pixels; closed arcs repeat their first point.
        Arcs that meet in a junction end in the same point.
    """
    lines: list[NDArray[np.float64]] = [arc.points.astype(float) for arc in planar.arcs]
    chains = chains_of(planar)
    styles = [_chain_style(planar, chain, style) for chain in chains]
    nodes: Nodes = {}
    for _ in range(2):
        # Once to see where lines pass the junctions, once more to end the others right there.
        drawn = _draw_all(planar, chains, styles, nodes)
        nodes = {}
        for chain, kind, line in zip(chains, styles, drawn, strict=True):
            nodes |= _passed(planar, chain, kind, line)
    for chain, kind, line in zip(chains, styles, drawn, strict=True):
        if kind != "stepped":
            for (index, along), points in zip(
                chain.arcs, _cut(planar, chain, kind, line, nodes), strict=True
            ):
                lines[index] = points if along else points[::-1]
    return lines


def _chain_style(planar: PlanarMap, chain: Chain, style: Callable[[int], str]) -> str:
    beside = {label for i, _ in chain.arcs for label in (planar.arcs[i].left, planar.arcs[i].right) if label}
    return min((style(label) for label in beside), key=LINE_STYLES.index)


def _draw_all(
    planar: PlanarMap, chains: Sequence[Chain], styles: Sequence[str], nodes: Nodes
) -> list[Polygonal]:
    corners = [
        () if kind == "stepped" else corners_of(chain) for chain, kind in zip(chains, styles, strict=True)
    ]
    padded = np.pad(planar.labels, 2)
    faired = [
        (chain, kept, _ties(padded, chain, kept))
        for chain, kept, kind in zip(chains, corners, styles, strict=True)
        if kind == "faired"
    ]
    offsets = iter(fair_offsets(faired, nodes, reach=REACH))
    drawn = []
    for chain, kept, kind in zip(chains, corners, styles, strict=True):
        if kind == "faired":
            middles, normals = gate_frame(chain.points)
            gates = middles + normals * next(offsets)[:, None]
            drawn.append(Polygonal(gates, {i: _corner_place(chain, gates, i) for i in kept}))
        elif kind == "straight":
            drawn.append(straight_line(chain, reach=REACH, corners=kept))
        else:
            drawn.append(Polygonal(gate_frame(chain.points)[0], {}))
    return drawn


def _ties(padded: NDArray[np.int64], chain: Chain, corners: tuple[int, ...]) -> NDArray[np.float64]:
    """Firm where the region on either side of a gate is one pixel wide across it, and along level runs."""
    middles, normals = gate_frame(chain.points)

    def label(steps: float) -> NDArray[np.int64]:
        x, y = np.floor(middles + normals * steps).astype(int).T
        return padded[y + 2, x + 2]

    thin = (label(0.5) != label(1.5)) | (label(-0.5) != label(-1.5))
    ties = np.where(thin, FIRM_TIE, LOOSE_TIE)
    for start, stop in level_runs(chain, corners):
        ties[np.arange(start, stop) % len(ties)] = FIRM_TIE
    return ties


def _corner_place(chain: Chain, gates: NDArray[np.float64], index: int) -> NDArray[np.float64]:
    """Where the two legs of a corner meet, kept in the square around the lattice point."""
    count = len(gates)
    corner = chain.points[index].astype(float)
    two_before, before, after, two_after = (gates[(index + k) % count] for k in (-2, -1, 0, 1))
    meet = intersection((before, before - two_before), (after, two_after - after))
    return corner if meet is None else np.clip(meet, corner - REACH, corner + REACH)


def _joints(chain: Chain, planar: PlanarMap) -> list[int]:
    """Lattice indices at which one arc of the chain ends and the next begins."""
    lengths = [len(planar.arcs[i].points) - 1 for i, _ in chain.arcs]
    return np.cumsum(lengths)[:-1].tolist()


def _passed(
    planar: PlanarMap, chain: Chain, kind: str, line: Polygonal
) -> dict[tuple[int, int], NDArray[np.float64]]:
    joints = _joints(chain, planar)
    if chain.is_closed and len(chain.arcs) and not planar.arcs[chain.arcs[0][0]].is_closed:
        joints = [0, *joints]
    return {_key(chain, i): _joint_place(chain, kind, line, i) for i in joints}


def _joint_place(chain: Chain, kind: str, line: Polygonal, index: int) -> NDArray[np.float64]:
    if kind == "stepped":
        return chain.points[index].astype(float)
    if index in line.vertices:
        return line.vertices[index]
    return np.asarray(line.gates[index - 1] + line.gates[index % len(line.gates)]) / 2


def _key(chain: Chain, index: int) -> tuple[int, int]:
    x, y = chain.points[index].tolist()
    return x, y


def _cut(
    planar: PlanarMap, chain: Chain, kind: str, line: Polygonal, nodes: Nodes
) -> list[NDArray[np.float64]]:
    """The chain's line as one piece an arc."""
    count = len(line.gates)
    ends = [0, *_joints(chain, planar), count]
    pieces = []
    for a, b in itertools.pairwise(ends):
        points = [_end(chain, line, nodes, a)]
        for i in range(a, b):
            if i > a:
                points += _between(chain, kind, line, i)
            points.append(line.gates[i])
        points.append(_end(chain, line, nodes, b % count if chain.is_closed else b))
        if chain.is_closed and len(chain.arcs) == 1 and planar.arcs[chain.arcs[0][0]].is_closed:
            points = _closed(chain, kind, line, points)
        pieces.append(_without_idle_points(np.array(points)))
    return pieces


def _end(chain: Chain, line: Polygonal, nodes: Nodes, index: int) -> NDArray[np.float64]:
    return nodes.get(_key(chain, index), chain.points[index].astype(float))


def _closed(
    chain: Chain, kind: str, line: Polygonal, points: list[NDArray[np.float64]]
) -> list[NDArray[np.float64]]:
    """A loop without junctions has no node: it begins at its corner there, or at its first gate."""
    seam = _between(chain, kind, line, 0)
    inner = points[1:-1]
    if 0 in line.vertices:
        return [line.vertices[0], *inner, line.vertices[0]]
    return [*inner, *seam, inner[0]]


def _between(chain: Chain, kind: str, line: Polygonal, index: int) -> list[NDArray[np.float64]]:
    """Points between gate index - 1 and gate index: the vertex there, or those of a cubic."""
    if index in line.vertices:
        return [line.vertices[index]]
    if kind != "faired":
        return []
    count = len(line.gates)
    near, far = line.gates[index - 1], line.gates[index % count]
    square = chain.points[index].astype(float)
    before = _tangent_point(chain, line, index - 1, -1)
    after = _tangent_point(chain, line, index, 1)
    slope_near = (far - before) / 2 if before is not None else far - near
    slope_far = (after - near) / 2 if after is not None else far - near
    points = []
    for k in range(1, _PER_STEP):
        t = k / _PER_STEP
        h00, h10 = (1 + 2 * t) * (1 - t) ** 2, t * (1 - t) ** 2
        h01, h11 = t * t * (3 - 2 * t), t * t * (t - 1)
        place = h00 * near + h10 * slope_near + h01 * far + h11 * slope_far
        points.append(np.clip(place, square - 0.5, square + 0.5))
    return points


def _tangent_point(chain: Chain, line: Polygonal, gate: int, side: int) -> NDArray[np.float64] | None:
    """The next gate on one side, None beyond a corner or an open end."""
    count = len(line.gates)
    vertex = gate if side < 0 else gate + 1
    if chain.is_closed:
        vertex %= count
        gate %= count
    if vertex in line.vertices:
        return None
    other = gate + side
    if chain.is_closed:
        return line.gates[other % count]
    return line.gates[other] if 0 <= other < count else None


def _without_idle_points(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Leave out points in the middle of a straight piece; they draw nothing."""
    keep = [0]
    for i in range(1, len(points) - 1):
        into, out = points[i] - points[keep[-1]], points[i + 1] - points[i]
        if abs(into[0] * out[1] - into[1] * out[0]) > _IDLE * max(1e-12, np.hypot(*into) * np.hypot(*out)):
            keep.append(i)
    return points[[*keep, len(points) - 1]]
