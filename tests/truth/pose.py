"""Choose how a book is turned, and put the drawing on the pixel grid."""

from __future__ import annotations

import numpy as np

from tests.truth.model import Box, Pose
from tests.truth.projection import Vec, stair_roughness
from tests.truth.styles import Style, pick
from tests.truth.turns import MAKERS, THICKNESSES, WIDTHS, bounds

__all__ = ["choose_pose", "seated"]

LEAST_SIDE_PX = 1.6
"""A slanted side face that is narrower, square to the cover's edge, cannot be told from a line."""
LEAST_STRIP_PX = 1.0
LEAST_COVER_PX = 4.0
LEAST_COVER_SHARE = 0.27
"""Breadth of the cover against the picture's longest side; slimmer drawings do not look like books."""
LEAST_SINE = 0.66
"""Covers drawn with a sharper angle than about 41 degrees do not look like books."""
SLACK_PX = 3
"""A drawing may be so much smaller than asked for, because its edges end on whole steps."""
TRIES = 4000
RETHINK = 400
"""After so many failures another pose is wanted, for sizes at which one cannot be drawn."""
OFFSETS = (0.0, 0.25, 0.5, 0.75)


def _gap(edge: Vec, t: Vec) -> float:
    """Breadth of the face that t draws along `edge`."""
    return float(abs(edge[0] * t[1] - edge[1] * t[0]) / np.hypot(*edge))


def _is_fair(pose: Pose, size: float) -> bool:
    """True where the drawing fits, the proportions are a book's and all visible faces can be seen."""
    longest = max(bounds(pose.u, pose.v, pose.t, pose.more))
    if not size - SLACK_PX <= longest <= size + 1e-9:
        return False
    w, _, d = pose.ratio
    if not WIDTHS[0] <= w <= WIDTHS[1] or (d and not THICKNESSES[0] <= d <= THICKNESSES[1]):
        return False
    breadth = min(_gap(pose.u, pose.v), _gap(pose.v, pose.u))
    if breadth < max(LEAST_COVER_PX, LEAST_COVER_SHARE * size):
        return False
    if breadth < LEAST_SINE * min(np.hypot(*pose.u), np.hypot(*pose.v)):
        return False
    if not d:
        return True
    least = LEAST_STRIP_PX if pose.kind == "front_with_edges" else LEAST_SIDE_PX
    return all(gap >= least or gap < 1e-9 for gap in (_gap(pose.v, pose.t), _gap(pose.u, pose.t)))


def choose_pose(rng: np.random.Generator, style: Style, size: int) -> Pose:
    """A pose whose drawing is at most `size` pixels across and down, and within 3 of it."""
    kind, name = pick(rng, style.views), pick(rng, style.poses)
    for attempt in range(1, TRIES + 1):
        if attempt % RETHINK == 0:
            kind, name = pick(rng, style.views), pick(rng, style.poses)
        pose = MAKERS[kind](rng, style, float(size), name)
        if pose is not None and _is_fair(pose, size):
            return pose
    raise AssertionError(f"no pose of {size} px was found")


def seated(pose: Pose, rng: np.random.Generator, margin: float, clean: float) -> tuple[Box, tuple[int, int]]:
    """Put the drawing on a grid so that its stairs are even; gives the box and (rows, columns)."""
    corners = np.array([(0, 0), pose.u, np.add(pose.u, pose.v), pose.v], float)
    points = np.concatenate([corners, corners + pose.t, corners + pose.more, corners + pose.t + pose.more])
    low, high = points.min(0), points.max(0)
    edges: list[tuple[Vec, Vec]] = []
    for start, edge in ((0, pose.u), (0, pose.v), (3, pose.u), (1, pose.v)):
        edges.append(((float(corners[start, 0]), float(corners[start, 1])), edge))
    if pose.t != (0.0, 0.0):
        edges += [((float(x), float(y)), pose.t) for x, y in corners]
    offsets = [(x, y) for x in OFFSETS for y in OFFSETS]
    base = np.ceil(-low) + margin
    rough = [stair_roughness((base[0] + x, base[1] + y), edges) for x, y in offsets]
    best = np.flatnonzero(np.array(rough) <= min(rough) + 1e-9)
    index = int(rng.choice(best)) if rng.random() < clean else int(rng.integers(len(offsets)))
    shift = base + np.array(offsets[index])
    # Only the fraction matters for the stairs; whole pixels keep the box at the margin.
    shift -= np.floor(low + shift - margin + 1e-9)
    columns, rows = np.ceil(high + shift - 1e-9).astype(int) + int(margin)
    return Box((float(shift[0]), float(shift[1])), pose.u, pose.v, pose.t), (int(rows), int(columns))
