"""Pixels of a face to outlines in millimetres."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.facegrid import labels_on_face
from pixel2make.design.scale import face_named
from pixel2make.reading.model import Reading

__all__ = ["OUTLINE_STYLES", "corner_contacts", "outline_on_face", "outlines_on_face", "polygons_only"]

OUTLINE_STYLES = ("stepped", "straight", "faired")
"""Along the pixels' edges; along the straight lines that the steps were drawn for; along fair curves."""

_LARGEST_JOIN = 0.5
"""Share of a pixel's shorter side: a joining square larger than this would round off the pixels it joins."""

_SPECK_MM2 = 1e-6
"""Slivers that clipping leaves along an edge, far below what any tool can cut."""


def outline_on_face(
    reading: Reading,
    face: str,
    mask: NDArray[np.bool_],
    size_mm: tuple[float, float],
    *,
    style: str = "stepped",
) -> Polygon | MultiPolygon | None:
    """Outline of pixels on the real face, in millimetres.

    The pixels are laid on the face's own grid (`pixel2make.design.facegrid`), so a disc that was drawn on
    a slanted cover comes out round and a title panel square. The outline ends at the face's edges.

    Two pixels that meet only at a corner have no width there. They are joined by a small square of
    the side "cutting.corner_join" on that corner, at most half a pixel: so the outline of what was
    drawn as one line is one piece, and no two openings of a stencil touch in a point.

    Parameters
    ----------
    reading : Reading
    face : str
        Name of the face.
    mask : ndarray of shape (M, N), bool
    size_mm : (float, float)
        Real size along the face's two edges.
    style : {"stepped", "straight", "faired"}
        See `OUTLINE_STYLES` and `pixel2make.geometry.outline.outlines`.

    Returns
    -------
    Polygon, MultiPolygon or None
        In the face's own coordinates; valid. None where nothing of the mask lies on the face.
    """
    found = outlines_on_face(reading, face, {face: mask}, size_mm, styles={face: style})
    return found.get(face)


def outlines_on_face(
    reading: Reading,
    face: str,
    masks: Mapping[str, NDArray[np.bool_]],
    size_mm: tuple[float, float],
    *,
    styles: Mapping[str, str],
) -> dict[str, Polygon | MultiPolygon]:
    """Outlines of several shapes on one face, which share the lines between them: no gap and no overlap.

    Where two shapes cross corner to corner, the earlier one is joined and the later one is not.

    Parameters
    ----------
    reading : Reading
    face : str
    masks : mapping of str to ndarray of shape (M, N), bool
        By name, without common pixels.
    size_mm : (float, float)
    styles : mapping of str to str
        Line style by name; a line between two shapes takes the stricter one.

    Returns
    -------
    dict of str to Polygon or MultiPolygon
        As `outline_on_face` gives it; without the shapes of which nothing lies on the face.
    """
    found = face_named(reading, face)
    drawn = {name: mask for name, mask in masks.items() if mask.any()}
    if found is None or not drawn:
        return {}
    labels, cells = labels_on_face(found, list(drawn.values()))
    (x, y), (dx, dy) = ((a * size_mm[0], b * size_mm[1]) for a, b in (cells.origin, cells.step))
    outlines = _cell_outlines(labels, [styles[name] for name in drawn])
    joins = _joins(labels, (x, y), (dx, dy))
    whole = box(0, 0, *size_mm)
    made = {}
    for number, name in enumerate(drawn, 1):
        if number not in outlines:
            continue
        outline = affine_transform(outlines[number], [dx, 0, 0, dy, x, y])
        others = [square for owner, squares in joins.items() if owner != number for square in squares]
        if joins.get(number):
            outline = shapely.union_all([outline, *joins[number]])
        if others:
            outline = outline.difference(shapely.union_all(others))
        kept = polygons_only(outline.intersection(whole))
        if kept is not None:
            made[name] = kept
    return made


def corner_contacts(mask: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Grid points (x, y) at which two pixels of a mask meet only corner to corner, in raster order.

    >>> corner_contacts(np.array([[1, 0], [0, 1]], bool))
    [(1, 1)]
    >>> corner_contacts(np.array([[1, 1], [0, 1]], bool))
    []
    """
    a, b, c, d = mask[:-1, :-1], mask[:-1, 1:], mask[1:, :-1], mask[1:, 1:]
    falling, rising = a & d & ~b & ~c, b & c & ~a & ~d
    return [(int(x) + 1, int(y) + 1) for y, x in np.argwhere(falling | rising)]


def polygons_only(shape: shapely.Geometry) -> Polygon | MultiPolygon | None:
    """The areas of a shape without points, lines and slivers; None where there are none."""
    pieces = [
        piece
        for piece in shapely.get_parts(shapely.make_valid(shape)).tolist()
        if isinstance(piece, Polygon) and piece.area > _SPECK_MM2
    ]
    if not pieces:
        return None
    return pieces[0] if len(pieces) == 1 else MultiPolygon(pieces)


def _cell_outlines(labels: NDArray[np.int32], styles: Sequence[str]) -> dict[int, shapely.Geometry]:
    """Outline of each label in cells."""
    if all(style == "stepped" for style in styles):
        return {number: _union(labels == number) for number in np.unique(labels[labels > 0]).tolist()}
    from pixel2make.geometry.outline import outlines

    return dict(outlines(labels, style=lambda label: styles[label - 1]))


def _joins(
    labels: NDArray[np.int32], origin: tuple[float, float], step: tuple[float, float]
) -> dict[int, list[Polygon]]:
    """Squares on the corners at which pixels of a label meet, each corner once."""
    side = _join_side(abs(step[0]), abs(step[1]))
    taken: set[tuple[int, int]] = set()
    found: dict[int, list[Polygon]] = {}
    for number in np.unique(labels[labels > 0]).tolist():
        for i, j in corner_contacts(labels == number):
            if (i, j) not in taken:
                taken.add((i, j))
                u, v = origin[0] + step[0] * i, origin[1] + step[1] * j
                square = box(u - side / 2, v - side / 2, u + side / 2, v + side / 2)
                found.setdefault(number, []).append(square)
    return found


def _union(mask: NDArray[np.bool_]) -> shapely.Geometry:
    """Union of unit squares; runs along a row are one box each, so large masks stay cheap."""
    padded = np.zeros((mask.shape[0], mask.shape[1] + 2), np.int8)
    padded[:, 1:-1] = mask
    change = np.diff(padded, axis=1)
    rows, starts = np.nonzero(change == 1)
    _, ends = np.nonzero(change == -1)
    return shapely.union_all(shapely.box(starts, rows, ends, rows + 1))


def _join_side(width_mm: float, height_mm: float) -> float:
    return min(trade.value("cutting.corner_join").number, _LARGEST_JOIN * min(width_mm, height_mm))
