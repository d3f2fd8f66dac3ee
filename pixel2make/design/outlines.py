"""Pixels of a face to outlines in millimetres."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import MultiPolygon, Polygon, box

from pixel2make import trade
from pixel2make.design.facegrid import cells_on_face
from pixel2make.design.scale import face_named
from pixel2make.reading.model import Reading

__all__ = ["OUTLINE_STYLES", "corner_contacts", "outline_on_face", "polygons_only"]

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
    found = face_named(reading, face)
    if found is None or not mask.any():
        return None
    cells = cells_on_face(found, mask)
    (x, y), (dx, dy) = ((a * size_mm[0], b * size_mm[1]) for a, b in (cells.origin, cells.step))
    drawn = affine_transform(_cell_outline(cells.mask, style), [dx, 0, 0, dy, x, y])
    contacts = corner_contacts(cells.mask)
    if contacts:
        side = _join_side(abs(dx), abs(dy))
        places = [(x + dx * i, y + dy * j) for i, j in contacts]
        joins = [box(u - side / 2, v - side / 2, u + side / 2, v + side / 2) for u, v in places]
        drawn = shapely.union_all([drawn, *joins])
    return polygons_only(drawn.intersection(box(0, 0, *size_mm)))


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


def _cell_outline(mask: NDArray[np.bool_], style: str) -> shapely.Geometry:
    if style == "stepped":
        return _union(mask)
    from pixel2make.geometry.outline import outlines

    return outlines(mask.astype(np.int32), style=style)[1]


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
