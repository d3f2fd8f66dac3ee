"""Pieces that are larger than the bed, cut in two with a dovetail key and glued after printing."""

from __future__ import annotations

import numpy as np

from pixel2make.design.bed import Bed
from pixel2make.geometry.folded import Matrix, Panel
from pixel2make.geometry.solids import Solid, sheet_solid

__all__ = ["split_to_fit"]

_DEEPEST = 6
"""Halvings of a piece; a metre-long one on a small bed takes three."""
_KEY_SHARE = 0.3
"""Width of the key at its neck, of the section it lies in."""
_SPECK_MM3 = 0.5
"""What a cut leaves of less than a drop of glue."""
_FLARE = 1.3
"""The key's end over its neck, so that it holds by its shape while the glue sets."""


def split_to_fit(solid: Solid, bed: Bed, *, play_mm: float) -> list[Solid]:
    """The piece in as many parts as it takes for each to fit onto the bed.

    Parameters
    ----------
    solid : Solid
        Lying as it is printed.
    bed : Bed
    play_mm : float
        Play of the key, on its width.
    """
    return _split(solid, bed, play_mm, _DEEPEST)


def _split(solid: Solid, bed: Bed, play: float, depth: int) -> list[Solid]:
    low, high = solid.bounds
    size = high - low
    if bed.holds(size.tolist()) or depth == 0:
        return [solid]
    excess = size / np.array(
        [max(bed.width_mm, bed.depth_mm), max(bed.width_mm, bed.depth_mm), bed.height_mm]
    )
    axis = int(np.argmax(np.where(excess > 1, size, size * 1e-3)))
    middle = (low[axis] + high[axis]) / 2
    parts = _halves(solid, axis, float(middle), play)
    return [part for half in parts for part in _split(half, bed, play, depth - 1)]


def _halves(solid: Solid, axis: int, at: float, play: float) -> list[Solid]:
    """Cut across an axis; the key lies in the plane of that axis and the wider of the other two."""
    body = solid.body()
    low, high = solid.bounds
    others = [i for i in range(3) if i != axis]
    sections = {i: _section(body, axis, at, i) for i in others}
    wide = max(others, key=lambda i: sections[i][1] - sections[i][0])
    through = next(i for i in others if i != wide)
    section = sections[wide]
    first = _cutter(axis, wide, through, low, high, at, section, 0.0)
    second = _cutter(axis, wide, through, low, high, at, section, play / 2)
    halves = [body ^ first.body(), body - second.body()]
    found = []
    # of an outline with arms a half may be several pieces, with nothing between them to cut
    for part in (part for half in halves for part in half.decompose()):
        if part.volume() < _SPECK_MM3:
            continue
        mesh = part.to_mesh64()
        found.append(
            Solid(np.asarray(mesh.vert_properties, float)[:, :3], np.asarray(mesh.tri_verts, np.int64))
        )
    return found


def _section(body: object, axis: int, at: float, wide: int) -> tuple[float, float]:
    """Extent along `wide` of what is cut."""
    normal = [0.0, 0.0, 0.0]
    normal[axis] = 1.0
    slab = body.trim_by_plane(normal, at - 0.05).trim_by_plane([-n for n in normal], -at - 0.05)  # type: ignore[attr-defined]
    box = slab.bounding_box()
    return float(box[wide]), float(box[wide + 3])


def _cutter(
    axis: int,
    wide: int,
    through: int,
    low: np.ndarray,
    high: np.ndarray,
    at: float,
    section: tuple[float, float],
    grown: float,
) -> Solid:
    """Everything below the cut and the key above it, larger by `grown` all round."""
    from shapely.geometry import Polygon

    middle, neck = (section[0] + section[1]) / 2, _KEY_SHARE * (section[1] - section[0]) / 2
    reach = 2 * neck
    flared = neck * _FLARE
    key = Polygon(
        [
            (at - reach, middle - neck / 2),
            (at, middle - neck / 2),
            (at + reach, middle - flared),
            (at + reach, middle + flared),
            (at, middle + neck / 2),
            (at - reach, middle + neck / 2),
        ]
    )
    margin = 10.0
    below = Polygon(
        [
            (low[axis] - margin, low[wide] - margin),
            (at, low[wide] - margin),
            (at, high[wide] + margin),
            (low[axis] - margin, high[wide] + margin),
        ]
    )
    shape = below.union(key).buffer(grown, join_style="mitre") if grown else below.union(key)
    solid = sheet_solid(Panel("cut", shape), float(high[through] - low[through]) + 2 * margin)
    matrix: Matrix = np.zeros((4, 4))
    matrix[axis, 0] = matrix[wide, 1] = 1.0
    matrix[through, 2] = 1.0
    matrix[through, 3] = low[through] - margin
    matrix[3, 3] = 1.0
    return solid.placed(matrix)
