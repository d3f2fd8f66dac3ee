"""From a drawn box to pixels that know their part, face and place on the book."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.truth.model import Box
from tests.truth.projection import Vec, kernel

__all__ = ["Buffer", "Build", "grow", "paint_book", "shrink"]

NUDGE = (1.3e-6, 2.1e-6)
"""Moves pixel centres off the edges, so that a centre on an edge belongs to one face only."""


@dataclass(frozen=True)
class Build:
    """How the book is put together, in native pixels along the drawn edges.

    Attributes
    ----------
    square_px : float
        How far the covers overhang the pages.
    front_px, back_px : float
        Thickness of the cover boards' edges; 0 where a board's edge is not drawn.
    spine_px : float
        How far the spine's leather reaches over the pages' edges.
    radius_px : float
        Of the covers' corners at the fore-edge.
    spine_radius_px : float
        Of the covers' corners at the spine.
    bulge_px : float
        How far a rounded spine that shows stands out in its middle.
    """

    square_px: float = 0.0
    front_px: float = 0.0
    back_px: float = 0.0
    spine_px: float = 1.0
    radius_px: float = 0.0
    spine_radius_px: float = 0.0
    bulge_px: float = 0.0


@dataclass(eq=False)
class Buffer:
    """What each pixel shows: one entry a pixel in every array.

    Attributes
    ----------
    part : ndarray of str
        "" (nothing), "front", "back", "pages", "spine".
    face : ndarray of str
        Face of the book on which the pixel lies, "" for nothing.
    place : ndarray of shape (M, N, 3), float
        (a, b, c), each 0..1: along width, height, thickness.
    """

    part: NDArray[np.str_]
    face: NDArray[np.str_]
    place: NDArray[np.float64]

    @property
    def filled(self) -> NDArray[np.bool_]:
        """True where the book is drawn."""
        return np.asarray(self.part != "")


def shifted(mask: NDArray[np.bool_], dx: int, dy: int) -> NDArray[np.bool_]:
    """`mask` moved by whole pixels; what comes in from outside is False."""
    out = np.zeros_like(mask)
    rows, cols = mask.shape
    ys, yd = (slice(0, rows - dy), slice(dy, rows)) if dy >= 0 else (slice(-dy, rows), slice(0, rows + dy))
    xs, xd = (slice(0, cols - dx), slice(dx, cols)) if dx >= 0 else (slice(-dx, cols), slice(0, cols + dx))
    out[yd, xd] = mask[ys, xs]
    return out


def grow(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """`mask` and the pixels that share an edge with it."""
    return mask | shifted(mask, 1, 0) | shifted(mask, -1, 0) | shifted(mask, 0, 1) | shifted(mask, 0, -1)


def shrink(mask: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """`mask` without the pixels that share an edge with its outside."""
    return ~grow(~mask) & mask


def steps(vector: Vec) -> float:
    """Length as an artist counts it: pixels along the longer coordinate."""
    return max(abs(vector[0]), abs(vector[1]))


def paint_book(box: Box, build: Build, shape: tuple[int, int], strip: str = "", more: Vec = (0, 0)) -> Buffer:
    """Paint the parts of a closed book, hind parts first.

    Parameters
    ----------
    box : Box
        With thickness (0, 0) only the front cover is painted.
    build : Build
    shape : (rows, columns)
    strip, more : str, (dx, dy)
        A second side face beside the cover, drawn flat, and its thickness.
    """
    buffer = Buffer(np.full(shape, "", "<U5"), np.full(shape, "", "<U9"), np.zeros((*shape, 3)))
    if box.t == (0.0, 0.0):
        _fill(buffer, box, build, "cover", "front", (0, 0, 0), (1, 1, 0))
        return buffer
    if strip:
        _lay_strip(buffer, box, build, strip, more)
    la, lb, lc = steps(box.u), steps(box.v), steps(box.t)
    front, back = build.front_px / lc, 1 - build.back_px / lc
    sq_a, sq_b = build.square_px / la, build.square_px / lb
    spine = ("spine", (0.0, 0.0, 0.0), (min(build.spine_px / la, 0.2), 1.0, 1.0))
    pages = ("pages", (0.0, sq_b, front), (1 - sq_a, 1 - sq_b, back))
    toward = kernel(box.u, box.v, box.t)
    order = [spine, pages] if toward[0] > 0 else [pages, spine]
    if build.back_px:
        order.insert(0, ("back", (0.0, 0.0, back), (1.0, 1.0, 1.0)))
    if build.bulge_px and toward[0] < 0:
        _bulge(buffer, box, build)
    for part, low, high in [*order, ("front", (0.0, 0.0, 0.0), (1.0, 1.0, front))]:
        for face in _visible(toward, part):
            _fill(buffer, box, build, face, part, low, high)
    return buffer


def _lay_strip(buffer: Buffer, box: Box, build: Build, strip: str, more: Vec) -> None:
    """Paint a side face flat beside the cover, round the corner that it makes with the first strip."""
    low, high = [0.0, 0.0, 0.0], [1.0, 1.0, 1.0]
    for axis, edge in ((0, box.u), (1, box.v)):
        reach = float(np.dot(box.t, edge)) / float(np.dot(edge, edge))
        low[axis], high[axis] = low[axis] + min(0.0, reach), high[axis] + max(0.0, reach)
    # Along its own direction the strip begins at the cover's edge.
    own = 0 if strip in ("fore_edge", "spine") else 1
    low[own], high[own] = 0.0, 1.0
    part = "spine" if strip == "spine" else "pages"
    side = Box(box.origin, box.u, box.v, more)
    _fill(buffer, side, build, strip, part, (low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _bulge(buffer: Buffer, box: Box, build: Build) -> None:
    """Paint a rounded spine where it stands out beyond the box."""
    rows, cols = buffer.part.shape
    b, c = np.meshgrid(np.linspace(0, 1, 4 * rows), np.linspace(1, 0, 4 * cols))
    out = build.bulge_px / steps(box.u) * (1 - (2 * c - 1) ** 2)
    points = np.stack([-out.ravel(), b.ravel(), c.ravel()], 1) @ np.array([box.u, box.v, box.t]) + box.origin
    xs, ys = np.floor(points - NUDGE).astype(int).T
    inside = (xs >= 0) & (ys >= 0) & (xs < cols) & (ys < rows)
    ys, xs = ys[inside], xs[inside]
    buffer.part[ys, xs], buffer.face[ys, xs] = "spine", "spine"
    # Just below 1, as the far end of a half-open interval.
    place = np.stack([0 * b.ravel(), b.ravel() * (1 - 1e-9), c.ravel() * (1 - 1e-9)], 1)
    buffer.place[ys, xs] = place[inside]


def _visible(toward: NDArray[np.float64], part: str) -> list[str]:
    tiny = 1e-9 * float(np.abs(toward).max())
    names = []
    if abs(toward[0]) > tiny:
        names.append("fore_edge" if toward[0] > 0 else "spine")
    if abs(toward[1]) > tiny:
        names.append("tail" if toward[1] > 0 else "head")
    return [*names, "cover"]


def _fill(
    buffer: Buffer,
    box: Box,
    build: Build,
    face: str,
    part: str,
    low: tuple[float, float, float],
    high: tuple[float, float, float],
) -> None:
    """Paint one face of the block that reaches from `low` to `high` in the box's coordinates."""
    along = {"fore_edge": (1, 2), "spine": (1, 2), "head": (0, 2), "tail": (0, 2), "cover": (0, 1)}[face]
    fixed = 3 - sum(along)
    at = {"fore_edge": high[0], "spine": low[0], "head": low[1], "tail": high[1], "cover": low[2]}[face]
    axes = np.array([box.u, box.v, box.t], float)
    if abs(np.linalg.det(axes[list(along)])) < 1e-9:
        return
    rows, cols = buffer.part.shape
    ys, xs = np.mgrid[0:rows, 0:cols]
    points = np.stack([xs + 0.5 + NUDGE[0], ys + 0.5 + NUDGE[1]], -1) - box.origin - at * axes[fixed]
    local = points @ np.linalg.inv(axes[list(along)])
    place = np.zeros((rows, cols, 3))
    place[..., along[0]], place[..., along[1]], place[..., fixed] = local[..., 0], local[..., 1], at
    inside = np.ones((rows, cols), bool)
    for axis in along:
        inside &= (place[..., axis] >= low[axis]) & (place[..., axis] < high[axis])
    if face == "cover" and part in ("front", "back"):
        inside &= ~_cut_corners(place, box, build)
    buffer.part[inside], buffer.face[inside] = part, face
    buffer.place[inside] = place[inside]


def _cut_corners(place: NDArray[np.float64], box: Box, build: Build) -> NDArray[np.bool_]:
    """True outside the rounding of the cover's corners."""
    la, lb = steps(box.u), steps(box.v)
    out = np.zeros(place.shape[:2], bool)
    b = np.minimum(place[..., 1], 1 - place[..., 1]) * lb
    for a, radius in (
        ((1 - place[..., 0]) * la, build.radius_px),
        (place[..., 0] * la, build.spine_radius_px),
    ):
        if radius > 0:
            out |= (a < radius) & (b < radius) & (np.hypot(radius - a, radius - b) > radius)
    return out
