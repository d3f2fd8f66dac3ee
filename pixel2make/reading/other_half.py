"""The other half of a fitting over the fore-edge, where light and shade put it into a ground's region.

A gold clasp's half on cream pages, or its dark half in the drawn contour, is told by colour only against what
lies beside it at other heights. Its first half points at it: the same rows, across the edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face, Patch

__all__ = ["with_other_halves"]

_SMALL = 0.12
"""A first half takes no more than this share of its face."""
_SHORT, _ENDS = 0.34, 0.05
"""It is no higher than this share of the edge, and keeps away from head and tail by that."""
_DEEPEST = 0.35
"""On the cover it reaches no further in than this; what does is a strap, a row of lettering or a line."""
_AT_EDGE_STEPS = 1.7
"""It comes this near to the fore-edge: a drawn line may part its halves."""
_REACH_PX = 2
"""The other half lies this near (8-neighbour steps), over a drawn line."""
_LEAST_STEPS = 7
"""A smaller book's rows are too few to tell a fitting from a shade of the ground."""
_STANDS_OUT = 4.0
"""CIEDE2000 between a pixel and every shade of its ground at other heights, at least: just above what an eye
tells apart at a glance; a palette's neighbouring shades differ by more."""
_LIKE = 13.0
"""CIEDE2000, lightness counting less, between the halves at most: shades of one metal."""
_SHADE_WEIGHT = 0.35
"""Lightness counts so much less between the halves, as one lies in another light."""
_MOST_HALVES = 12
"""Two clasps are drawn in a few patches each; more specks at the fore-edge are texture."""
_SAME = 1.0
"""CIEDE2000 up to which two pixels are one shade."""
_LEAST_GROUND = 4
"""A patch of fewer pixels is no ground that hides anything."""
_MOST_SHARE = 0.5
"""An other half that takes more of its ground is the ground."""

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


def with_other_halves(
    patches: Sequence[Patch], faces: Sequence[Face], lab: Floats, contours: frozenset[int]
) -> list[Patch]:
    """Patches with the other halves of fittings cut out of grounds and of the drawn contour.

    Parameters
    ----------
    patches : sequence of Patch
    faces : sequence of Face
    lab : ndarray of shape (M, N, 3)
        CIELAB of every pixel.
    contours : frozenset of int
        Regions that are drawn contour.

    Returns
    -------
    list of Patch
        They cover the same pixels; a part that was cut out follows what it was cut from.
    """
    sides = {face.name: face for face in faces if face.name in ("cover", "fore_edge")}
    if len(sides) < 2 or not all(_is_drawn(face) for face in sides.values()):
        return list(patches)
    place = {name: _placed(face, lab.shape[:2]) for name, face in sides.items()}
    seeds = [seed for patch in patches for seed in _seeds(patch, sides, place, contours)]
    if not 0 < len(seeds) <= _MOST_HALVES:
        return list(patches)
    names = {patch.name for patch in patches}
    out: list[Patch] = []
    for patch in patches:
        cut = _cut(patch, seeds, sides, place, lab, patch.region in contours)
        if cut is None:
            out.append(patch)
            continue
        mask, face = cut
        rest = patch.mask & ~mask
        stem = f"r{patch.region}.{face}"
        name = next(n for n in (f"{stem}.{k}" for k in range(2, len(names) + 3)) if n not in names)
        names.add(name)
        out += [replace(patch, mask=_fixed(rest)), replace(patch, name=name, face=face, mask=_fixed(mask))]
    return out


def _fixed(mask: Mask) -> Mask:
    mask.flags.writeable = False
    return mask


def _is_drawn(face: Face) -> bool:
    return abs(face.a_px[0] * face.b_px[1] - face.a_px[1] * face.b_px[0]) > 1e-6


def _steps(face: Face) -> Floats:
    return np.array([max(abs(edge[0]), abs(edge[1]), 1.0) for edge in (face.a_px, face.b_px)])


def _placed(face: Face, shape: tuple[int, ...]) -> Floats:
    """Face coordinates of every pixel, (M, N, 2)."""
    ys, xs = np.indices(shape)
    points = np.stack([xs.ravel() + 0.5, ys.ravel() + 0.5], 1)
    return face.to_face(points).reshape(*shape, 2)


@dataclass(frozen=True, eq=False)
class _Half:
    """A first half: its patch, the box that bounds it on its face, (2,) and (2,), and what lies near it."""

    patch: Patch
    face: str
    low: Floats
    high: Floats
    near: Mask


def _seeds(
    patch: Patch, sides: Mapping[str, Face], place: Mapping[str, Floats], contours: frozenset[int]
) -> Iterator[_Half]:
    """The patch, where it may be one half of a fitting over the fore-edge."""
    from scipy import ndimage

    face = sides.get(patch.face or "")
    if face is None or patch.region in contours or not patch.region:
        return
    steps, size = _steps(face), int(patch.mask.sum())
    if steps[1] < _LEAST_STEPS or size > _SMALL * max(face.mask.sum(), 8):
        return
    at = place[face.name][patch.mask]
    low, high = at.min(axis=0) - 0.5 / steps, at.max(axis=0) + 0.5 / steps
    if high[1] - low[1] > _SHORT or low[1] < _ENDS or high[1] > 1 - _ENDS:
        return
    if face.name == "cover":
        is_there = high[0] >= 1 - _AT_EDGE_STEPS / steps[0] and low[0] >= 1 - max(_DEEPEST, 2.2 / steps[0])
    else:
        is_there = low[0] <= _AT_EDGE_STEPS / steps[0]
    if is_there:
        near = ndimage.binary_dilation(patch.mask, np.ones((3, 3)), iterations=_REACH_PX)
        yield _Half(patch, face.name, low, high, near)


def _cut(
    patch: Patch,
    seeds: Sequence[_Half],
    sides: Mapping[str, Face],
    place: Mapping[str, Floats],
    lab: Floats,
    is_contour: bool,
) -> tuple[Mask, str] | None:
    """Pixels of a ground or a contour that go on from a first half, and the face they lie on."""
    from scipy import ndimage

    size = int(patch.mask.sum())
    if not patch.region or (patch.face not in sides and not is_contour) or size < _LEAST_GROUND:
        return None
    found = np.zeros(patch.mask.shape, bool)
    face = patch.face or "fore_edge"
    for seed in seeds:
        if seed.patch is patch:
            continue
        on = patch.face or seed.face
        for row, near in _windows(seed, on, sides, place):
            if not (patch.mask & row & near).any():
                continue
            good = _told(lab, patch.mask & row, patch.mask & ~row, seed.patch.mask)
            pieces, count = ndimage.label(good, np.ones((3, 3)))
            kept = [piece for piece in range(1, count + 1) if (near & (pieces == piece)).any()]
            if kept:
                found |= np.isin(pieces, kept) & good
                face = on
    taken = int(found.sum())
    return (found, face) if 0 < taken <= _MOST_SHARE * size else None


def _windows(
    seed: _Half, on: str, sides: Mapping[str, Face], place: Mapping[str, Floats]
) -> Iterator[tuple[Mask, Mask]]:
    """Rows where the rest of a fitting may lie and what it must touch: beside the half, and for one of a pair
    at the mirror image across the middle of the height."""
    across, along = place[on][..., 0], place[on][..., 1]
    # On its own face the rest lies above or below it, across the edge in the same rows.
    more = (1.2 if on == seed.face else 0.3) / _steps(sides[on])[1]
    low, high = seed.low[1] - more, seed.high[1] + more
    yield (along > low) & (along < high), seed.near
    if low > 0.5 or high < 0.5:
        row = (along > 1 - high) & (along < 1 - low)
        step = 0.6 / _steps(sides[on])[0]
        if on == seed.face:
            yield row, row & (across > seed.low[0] - step) & (across < seed.high[0] + step)


def _told(lab: Floats, row: Mask, other: Mask, seed: Mask) -> Mask:
    """Pixels of a row that are a shade of the seed and none of their ground at other heights; where the
    ground has no other heights, only those of the very same shade."""
    from pixel2make.color import difference

    out = np.zeros(row.shape, bool)
    mine = lab[row]
    first = np.unique(np.round(lab[seed], 4), axis=0)
    if other.any():
        like = difference(mine[:, None], first[None], lightness_weight=_SHADE_WEIGHT).min(axis=1) <= _LIKE
        ground = np.unique(np.round(lab[other], 4), axis=0)
        like &= difference(mine[:, None], ground[None]).min(axis=1) >= _STANDS_OUT
    else:
        like = difference(mine[:, None], first[None]).min(axis=1) <= _SAME
    out[row] = like
    return out
