"""Patches to features: which patches of one word are one thing on the object."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face, Feature, Patch
from pixel2make.reading.patches import Scene

__all__ = ["features_of"]

_REACH_PX = 2
"""Patches of one thing may lie this far apart (8-neighbour steps): a drawn line between two faces is
one pixel wide, so that a clasp that bends over an edge is cut by it."""
_IN_BAND = 0.5
"""Two pieces of one strap share at least this part of the narrower one's breadth."""

Mask = NDArray[np.bool_]


def features_of(scene: Scene, patches: Sequence[Patch], grouping: Mapping[str, str]) -> tuple[Feature, ...]:
    """Gather patches into things.

    Parameters
    ----------
    scene : Scene
    patches : sequence of Patch
        With their features; the background too.
    grouping : mapping of str to str
        See `pixel2make.reading.kind.GROUPINGS`; a word that is not there is "touching".

    Returns
    -------
    tuple of Feature
        In order of their first pixel, each numbered among those of its word. They cover every pixel
        exactly once.
    """
    found: list[tuple[int, list[Patch]]] = []
    for word in dict.fromkeys(patch.feature for patch in patches):
        own = [patch for patch in patches if patch.feature == word and patch.mask.any()]
        for group in _groups(scene, own, grouping.get(word, "touching")):
            found.append((min(int(np.argmax(patch.mask.ravel())) for patch in group), group))
    numbers: dict[str, int] = {}
    features = []
    for _, group in sorted(found, key=lambda item: item[0]):
        word = group[0].feature
        numbers[word] = numbers.get(word, 0) + 1
        features.append(_feature(f"{word}-{numbers[word]}", group))
    return tuple(features)


def _feature(name: str, group: Sequence[Patch]) -> Feature:
    mask = np.logical_or.reduce([patch.mask for patch in group])
    mask.flags.writeable = False
    main = max(group, key=lambda patch: int(patch.mask.sum()))
    sizes = np.array([patch.mask.sum() for patch in group], float)
    sure = float(np.average([patch.confidence for patch in group], weights=sizes))
    names = tuple(patch.name for patch in group)
    return Feature(name, main.feature, names, _main_face(group), mask, round(sure, 4), main.why)


def _main_face(group: Sequence[Patch]) -> str | None:
    """The face with most of the pixels, of equals the first; None only where no patch lies on one."""
    area: dict[str, int] = {}
    for patch in group:
        if patch.face is not None:
            area[patch.face] = area.get(patch.face, 0) + int(patch.mask.sum())
    return max(area, key=lambda face: area[face]) if area else None


def _groups(scene: Scene, own: Sequence[Patch], how: str) -> list[list[Patch]]:
    if how == "one":
        return [list(own)] if own else []
    if how == "one_a_face":
        return [[p for p in own if p.face == face] for face in dict.fromkeys(p.face for p in own)]
    near = _joined(own, _touch)
    if how == "aligned":
        bands = [_band(scene, patch) for patch in own]
        near |= _joined(bands, lambda one, two: _share(one, two) >= _IN_BAND)
    return _components(own, near)


def _joined(items: Sequence[object], test: Callable) -> NDArray[np.bool_]:  # type: ignore[type-arg]
    out = np.eye(len(items), dtype=bool)
    for i in range(len(items)):
        for j in range(i):
            out[i, j] = out[j, i] = test(items[i], items[j])
    return out


def _touch(one: Patch, two: Patch) -> bool:
    return bool((_wider(one.mask, _REACH_PX) & two.mask).any())


def _wider(mask: Mask, reach: int) -> Mask:
    """`mask` and all pixels within `reach` 8-neighbour steps."""
    rows, cols = mask.shape
    out = np.zeros_like(mask)
    padded = np.pad(mask, reach)
    for dy in range(2 * reach + 1):
        for dx in range(2 * reach + 1):
            out |= padded[dy : dy + rows, dx : dx + cols]
    return out


def _band(scene: Scene, patch: Patch) -> tuple[float, float] | None:
    """Lowest and highest place along the height, 0 head to 1 tail; None off the faces that have one."""
    if patch.face not in ("cover", "fore_edge", "spine"):
        return None
    face: Face = scene.face(patch.face)
    ys, xs = np.nonzero(patch.mask)
    along = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1))[:, 1]
    half = 0.5 / max(abs(face.b_px[0]), abs(face.b_px[1]), 1.0)
    return float(along.min() - half), float(along.max() + half)


def _share(one: tuple[float, float] | None, two: tuple[float, float] | None) -> float:
    if one is None or two is None:
        return 0.0
    common = min(one[1], two[1]) - max(one[0], two[0])
    return common / max(1e-9, min(one[1] - one[0], two[1] - two[0]))


def _components(own: Sequence[Patch], near: NDArray[np.bool_]) -> list[list[Patch]]:
    left: Iterable[int] = range(len(own))
    groups = []
    todo = set(left)
    while todo:
        front = [min(todo)]
        todo -= set(front)
        group = set(front)
        while front:
            at = front.pop()
            more = {int(j) for j in np.flatnonzero(near[at])} & todo
            todo -= more
            group |= more
            front += sorted(more)
        groups.append([own[i] for i in sorted(group)])
    return groups
