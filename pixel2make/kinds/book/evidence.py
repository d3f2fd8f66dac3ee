"""What can be measured of every patch of a drawn book, each as a number from 0 to 1.

Places are face coordinates: on the cover the first runs from spine to fore-edge, the second from head to
tail; on the spine and the pages' sides the first runs from the front cover to the back, the second along
the face. A *step* is a pixel along the longer coordinate of a drawn edge, the pixels that an artist counts.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference
from pixel2make.reading.patches import Scene

__all__ = ["GROUPS", "Evidence", "gather"]

GROUPS = ("cover", "spine", "side", "off", "contour")
"""Patches on the front cover, on the spine, on the pages' three sides, on no face, of the contour; each
group weighs its evidence by itself."""

_GROUP_OF = {"cover": 0, "back": 0, "spine": 1, "fore_edge": 2, "head": 2, "tail": 2}

_TURNED = ("head", "tail")
"""Faces whose own coordinates begin with the width; here the thickness comes first on every side."""

_NEAR_STEPS = 1.6
"""A patch reaches an edge of its face where it comes this near: the drawn edge is known to a pixel, and
a line or a shade may run along it."""
_SAME_DELTA = 8.0
"""CIEDE2000 difference at which two colours stop looking like one material under one light."""
_SHADE_WEIGHT = 0.35
"""Lightness counts so much less where only hue and chroma should tell, as light and shade change it."""
_HOLLOW = 0.45
"""A frame fills less of its own bounding box than this."""

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]


@dataclass(eq=False)
class Evidence:
    """Measures of all patches of one sprite.

    Attributes
    ----------
    group : ndarray of shape (N,)
        Index into `GROUPS`.
    values : dict of str to ndarray of shape (N,)
        0..1 each.
    links : dict of str to ndarray of shape (N, N)
        0..1 each, 0 on the diagonal.
    """

    group: NDArray[np.int64]
    values: dict[str, Array] = field(default_factory=dict)
    links: dict[str, Array] = field(default_factory=dict)


@dataclass(eq=False)
class _Shape:
    """Extents of every patch on its face; arrays of shape (N,) unless said otherwise.

    ``low``/``high`` (N, 2) are outer edges in face coordinates, ``mean`` (N, 2) centres, ``steps`` (N, 2)
    the face's edges in steps, ``span`` (N, 2) extents in steps.
    """

    area: Array
    low: Array
    high: Array
    mean: Array
    steps: Array

    @property
    def span(self) -> Array:
        return (self.high - self.low) * self.steps


def gather(scene: Scene) -> Evidence:
    """Measure every patch of a scene.

    Parameters
    ----------
    scene : Scene

    Returns
    -------
    Evidence
        Patches in the order of the scene.
    """
    group = np.array(
        [
            4 if scene.region(p).is_contour else 3 if p.face is None else _GROUP_OF[p.face]
            for p in scene.patches
        ],
        np.int64,
    )
    found = Evidence(group)
    shape = _shape_of(scene)
    border = _borders(scene)
    color = _Colors.of(scene, shape, group)
    _sizes(found, scene, shape)
    _places(found, shape)
    _forms(found, scene, shape)
    _colors(found, color)
    _neighbours(found, scene, shape, border, color)
    _links(found, scene, shape, border, color)
    for name, value in found.values.items():
        found.values[name] = np.clip(np.nan_to_num(value), 0.0, 1.0)
    return found


def _reduce(values: Array, starts: NDArray[np.int64], how: np.ufunc) -> Array:
    return np.asarray(how.reduceat(values, starts, axis=0), float)


def _pixels(scene: Scene) -> tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]:
    """Rows, columns of all patch pixels, sorted by patch, and where each patch starts."""
    index = scene.index
    ys, xs = np.nonzero(index >= 0)
    order = np.argsort(index[ys, xs], kind="stable")
    ys, xs = ys[order], xs[order]
    counts = np.bincount(index[ys, xs], minlength=len(scene.patches))
    return ys, xs, np.concatenate([[0], np.cumsum(counts)[:-1]])


def _face_places(scene: Scene, ys: NDArray[np.int64], xs: NDArray[np.int64]) -> tuple[Array, Array, Array]:
    """Face coordinates (P, 2) of pixels, half a pixel in them (P, 2), steps of each patch's face (N, 2)."""
    points = np.stack([xs + 0.5, ys + 0.5], 1)
    index = scene.index[ys, xs]
    names = [p.face or "cover" for p in scene.patches]
    place, steps = np.zeros((len(ys), 2)), np.zeros((len(names), 2))
    for name in sorted(set(names)):
        face = scene.face(name)
        which = np.array([n == name for n in names])
        longest = [max(abs(e[0]), abs(e[1]), 1e-6) for e in (face.a_px, face.b_px)]
        steps[which] = longest
        cross = face.a_px[0] * face.b_px[1] - face.a_px[1] * face.b_px[0]
        at = which[index]
        if abs(cross) > 1e-6:
            place[at] = face.to_face(points[at])
        if name in _TURNED:
            steps[which] = steps[which][:, ::-1]
            place[at] = place[at][:, ::-1]
    return place, 0.5 / np.maximum(steps, 1.0)[index], steps


def _shape_of(scene: Scene) -> _Shape:
    ys, xs, starts = _pixels(scene)
    place, half, steps = _face_places(scene, ys, xs)
    area = np.diff(np.append(starts, len(ys))).astype(float)
    return _Shape(
        area,
        _reduce(place - half, starts, np.minimum),
        _reduce(place + half, starts, np.maximum),
        _reduce(place, starts, np.add) / area[:, None],
        np.maximum(steps, 1.0),
    )


def _borders(scene: Scene) -> Array:
    """Pixel edges that patches share, shape (N + 1, N + 1); the last is everything undrawn."""
    index = np.pad(scene.index, 1, constant_values=-1)
    size = len(scene.patches)
    index = np.where(index < 0, size, index)
    out = np.zeros((size + 1, size + 1))
    for one, two in ((index[:, :-1], index[:, 1:]), (index[:-1], index[1:])):
        differ = one != two
        pairs = one[differ] * (size + 1) + two[differ]
        out += np.bincount(pairs.ravel(), minlength=(size + 1) ** 2).reshape(size + 1, size + 1)
    return out + out.T


def _sizes(found: Evidence, scene: Scene, shape: _Shape) -> None:
    area = {face.name: max(1, int(face.mask.sum())) for face in scene.faces}
    whole = shape.area.sum()
    own = np.array([area.get(p.face or "", whole) for p in scene.patches], float)
    share = shape.area / own
    largest = np.zeros(len(share))
    for name in {p.face for p in scene.patches}:
        at = np.array([p.face == name for p in scene.patches])
        largest[at] = shape.area[at] == shape.area[at].max()
    v = found.values
    v["always"] = np.ones(len(share))
    v["share"] = share
    v["half of its face"] = _ramp(share, 0.25, 0.6)
    v["small"] = 1 - _ramp(share, 0.02, 0.12)
    v["one or two pixels"] = 1 - _ramp(shape.area, 2, 4)
    v["largest on its face"] = largest


def _ramp(value: Array, low: float, high: float) -> Array:
    """0 below `low`, 1 above `high`, straight between."""
    return np.clip((value - low) / (high - low), 0, 1)


def _bump(value: Array, at: float, wide: float) -> Array:
    """1 at `at`, falling off on both sides."""
    return np.asarray(np.exp(-(((value - at) / wide) ** 2)))


def _gaps(shape: _Shape) -> tuple[Array, Array, Array, Array]:
    """Distance in steps to the face's edges: at 0 and 1 of the first, at 0 and 1 of the second."""
    low, high = shape.low * shape.steps, (1 - shape.high) * shape.steps
    return low[:, 0], high[:, 0], low[:, 1], high[:, 1]


def _near(gap: Array) -> Array:
    return 1 - _ramp(gap, _NEAR_STEPS - 0.8, _NEAR_STEPS + 0.4)


def _places(found: Evidence, shape: _Shape) -> None:
    v, mean = found.values, shape.mean
    first, last, top, bottom = _gaps(shape)
    v["at the first side"], v["at the last side"] = _near(first), _near(last)
    v["at the head"], v["at the tail"] = _near(top), _near(bottom)
    v["centred across"] = _bump((shape.low[:, 0] + shape.high[:, 0]) / 2, 0.5, 0.09)
    v["half way down"] = _bump((shape.low[:, 1] + shape.high[:, 1]) / 2, 0.5, 0.09)
    v["a quarter from an end"] = np.maximum(_bump(mean[:, 1], 0.25, 0.08), _bump(mean[:, 1], 0.75, 0.08))
    v["in the middle"] = v["centred across"] * _bump(mean[:, 1], 0.55, 0.16)
    v["in the upper part"] = 1 - _ramp(mean[:, 1], 0.35, 0.5)
    v["in the lower part"] = _ramp(mean[:, 1], 0.55, 0.75)
    v["near the first side"] = 1 - _ramp(mean[:, 0], 0.15, 0.4)
    v["near the last side"] = _ramp(mean[:, 0], 0.6, 0.85)
    v["beyond the head"] = _ramp(-mean[:, 1] * shape.steps[:, 1], 0, 1)
    v["beyond the tail"] = _ramp((mean[:, 1] - 1) * shape.steps[:, 1], 0, 1)
    v["beyond the first side"] = _ramp(-mean[:, 0] * shape.steps[:, 0], 0, 1)
    v["beyond the last side"] = _ramp((mean[:, 0] - 1) * shape.steps[:, 0], 0, 1)
    narrow = (1 - _ramp(shape.span[:, 0] / shape.steps[:, 0], 0.32, 0.5)) * (
        1 - _ramp(shape.span[:, 1] / shape.steps[:, 1], 0.32, 0.5)
    )
    v["in a corner"] = narrow * np.minimum(
        1 - _ramp(np.minimum(first, last), 1.0, 2.6), 1 - _ramp(np.minimum(top, bottom), 1.0, 2.6)
    )


def _forms(found: Evidence, scene: Scene, shape: _Shape) -> None:
    v, span = found.values, shape.span
    across, down = span[:, 0], span[:, 1]
    box = np.maximum(across, 1) * np.maximum(down, 1)
    v["from side to side"] = _ramp(across / shape.steps[:, 0], 0.7, 0.9)
    v["from head to tail"] = _ramp(down / shape.steps[:, 1], 0.7, 0.9)
    v["wide"] = np.clip(across / shape.steps[:, 0], 0, 1)
    v["tall"] = np.clip(down / shape.steps[:, 1], 0, 1)
    v["one or two steps high"] = 1 - _ramp(down, 2.2, 3.4)
    v["one or two steps wide"] = 1 - _ramp(across, 2.2, 3.4)
    v["lengthwise"] = _ramp(np.log(np.maximum(across, 0.7) / np.maximum(down, 0.7)), 0.3, 1.4)
    v["upright"] = _ramp(np.log(np.maximum(down, 0.7) / np.maximum(across, 0.7)), 0.3, 1.4)
    fill = shape.area / box
    v["fills its box"] = _ramp(fill, 0.5, 0.95)
    v["frame"] = (
        (1 - _ramp(fill, _HOLLOW - 0.1, _HOLLOW + 0.1))
        * _ramp(across / shape.steps[:, 0], 0.45, 0.7)
        * _ramp(down / shape.steps[:, 1], 0.45, 0.7)
    )
    v["mirror image of itself"], v["along the face's edges"], v["one pixel thin"] = _per_pixel(scene, shape)


def _per_pixel(scene: Scene, shape: _Shape) -> tuple[Array, Array, Array]:
    """Share of each patch that has its mirror image across the face's middle line; that lies within two
    steps of the face's edges; that has not a 2 x 2 block of its own."""
    ys, xs, starts = _pixels(scene)
    place, _, steps = _face_places(scene, ys, xs)
    index = scene.index
    own = index[ys, xs]
    rim = np.minimum(place, 1 - place) * steps[own]
    near = (rim.min(axis=1) < 2.6).astype(float)
    block = np.zeros(index.shape, bool)
    same = (
        (index[:-1, :-1] == index[1:, :-1])
        & (index[:-1, :-1] == index[:-1, 1:])
        & (index[:-1, :-1] == index[1:, 1:])
    )
    for rows in (slice(None, -1), slice(1, None)):
        for cols in (slice(None, -1), slice(1, None)):
            block[rows, cols] |= same
    mirrored = np.zeros(len(ys))
    for name in sorted({p.face for p in scene.patches if p.face is not None}):
        face = scene.face(name)
        if abs(face.a_px[0] * face.b_px[1] - face.a_px[1] * face.b_px[0]) < 1e-6:
            continue
        at = np.array([p.face == name for p in scene.patches])[own]
        flipped = np.stack([1 - place[at, 0], place[at, 1]], 1)
        image = face.to_picture(flipped[:, ::-1] if name in _TURNED else flipped)
        col = np.clip(np.floor(image[:, 0] + 1e-6).astype(int), 0, index.shape[1] - 1)
        row = np.clip(np.floor(image[:, 1] + 1e-6).astype(int), 0, index.shape[0] - 1)
        mirrored[at] = index[row, col] == own[at]
    thin = (~block[ys, xs]).astype(float)
    return (
        _reduce(mirrored, starts, np.add) / shape.area,
        _reduce(near, starts, np.add) / shape.area,
        _reduce(thin, starts, np.add) / shape.area,
    )


@dataclass(eq=False)
class _Colors:
    """Colours of patches and of the grounds they lie on.

    ``lab`` (N, 3) of each patch; ``delta`` and ``hue_delta`` (N, N) CIEDE2000 in full and with light and
    shade counting less; ``cover``, ``pages``, ``spine``: number of the largest patch of that ground, or -1.
    """

    lab: Array
    delta: Array
    hue_delta: Array
    cover: int
    pages: int
    spine: int

    @staticmethod
    def of(scene: Scene, shape: _Shape, group: NDArray[np.int64]) -> _Colors:
        lab = np.array([scene.region(p).lab for p in scene.patches], float).reshape(-1, 3)
        delta = difference(lab[:, None], lab[None])
        hue = difference(lab[:, None], lab[None], lightness_weight=_SHADE_WEIGHT)

        def largest(which: int) -> int:
            at = np.flatnonzero(group == which)
            return int(at[np.argmax(shape.area[at])]) if len(at) else -1

        return _Colors(lab, delta, hue, largest(0), largest(2), largest(1))


def _colors(found: Evidence, color: _Colors) -> None:
    v = found.values
    lightness, a, b = color.lab.T
    chroma, hue = np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360
    v["light"], v["dark"] = _ramp(lightness, 55, 85), 1 - _ramp(lightness, 15, 35)
    v["strong colour"] = _ramp(chroma, 20, 60)
    v["gold"] = _bump(hue, 82, 22) * _ramp(chroma, 25, 45) * _ramp(lightness, 40, 60)
    v["copper"] = _bump(hue, 55, 20) * _ramp(chroma, 20, 40) * _ramp(lightness, 35, 50)
    v["grey metal"] = (1 - _ramp(chroma, 6, 14)) * _bump(lightness, 62, 22)
    v["paper"] = _ramp(lightness, 66, 82) * (1 - _ramp(chroma, 26, 44))
    for name, ground in (("cover", color.cover), ("pages", color.pages), ("spine", color.spine)):
        if ground < 0:
            for word in ("like the", "a shade of the", "lighter than the", "darker than the"):
                v[f"{word} {name}"] = np.zeros(len(lightness))
            continue
        lift = lightness - lightness[ground]
        v[f"like the {name}"] = np.exp(-((color.delta[ground] / _SAME_DELTA) ** 2))
        v[f"a shade of the {name}"] = np.exp(-((color.hue_delta[ground] / _SAME_DELTA) ** 2))
        v[f"lighter than the {name}"] = _ramp(lift, 3, 25)
        v[f"darker than the {name}"] = _ramp(-lift, 3, 25)


def _neighbours(found: Evidence, scene: Scene, shape: _Shape, border: Array, color: _Colors) -> None:
    v, size = found.values, len(scene.patches)
    round_ = border[:size].sum(axis=1).clip(min=1)
    is_line = found.group == 4
    v["touches nothing drawn"] = border[:size, size] / round_
    v["along the contour"] = border[:size, :size][:, is_line].sum(axis=1) / round_
    for name, group in (("cover", 0), ("spine", 1), ("sides", 2)):
        v[f"beside the {name}"] = border[:size, :size][:, found.group == group].sum(axis=1) / round_
    most = border[:size, :size].max(axis=1, initial=0) / round_
    v["inside one patch"] = _ramp(most, 0.6, 0.95)
    ground = np.zeros(size)
    if color.cover >= 0:
        ground = border[:size, color.cover] / round_
    v["inside the cover's ground"] = _ramp(ground, 0.5, 0.95)
    shades = np.array([len(scene.region(p).shades) for p in scene.patches], float)
    v["several shades"] = _ramp(shades, 1, 3)


def _links(found: Evidence, scene: Scene, shape: _Shape, border: Array, color: _Colors) -> None:
    size = len(scene.patches)
    face = np.array([p.face or "" for p in scene.patches])
    material = np.array([scene.region(p).material for p in scene.patches])
    shares = border[:size, :size]
    round_ = border[:size].sum(axis=1).clip(min=1)
    base = found.values["half of its face"]
    line = found.group == 4
    both_small = (1 - base)[:, None] * (1 - base)[None] * ~(line[:, None] | line[None])
    alike = np.exp(-((color.delta / _SAME_DELTA) ** 2)) * both_small
    same_face = face[:, None] == face[None]
    found.links["touches"] = shares / np.minimum(round_[:, None], round_[None])
    found.links["inside"] = _ramp(shares / round_[:, None], 0.5, 0.95)
    found.links["alike"] = _spread(alike * same_face)
    found.links["mirrored"] = _spread(_mirrored(shape, face) * alike)
    found.links["in line"] = _spread(_in_line(shape, face, scene) * both_small)
    across = (found.group[:, None] == 0) & (found.group[None] == 2)
    across |= (found.group[:, None] == 0) & (found.group[None] == 1)
    across = across | across.T
    close = _close(scene)
    found.links["bends over an edge"] = _spread(
        across * close * np.exp(-((color.hue_delta / _SAME_DELTA) ** 2))
    )
    found.values["alike ones there"] = np.minimum(
        1, (alike * same_face * ~np.eye(size, dtype=bool)).sum(1) / 3
    )
    found.values["has a mirror image"] = (_mirrored(shape, face) * alike * ~np.eye(size, dtype=bool)).max(1)
    for name, group in (("side", 2), ("spine", 1)):
        at = found.group == group
        over = across * close * (color.hue_delta < _SAME_DELTA) * (material[:, None] == material[None])
        found.values[f"goes on over the {name}"] = (over[:, at] * (1 - base)[at]).max(axis=1, initial=0)
    at = found.group == 0
    over = across * close * (material[:, None] == material[None])
    found.values["goes on over the cover"] = (over[:, at] * (1 - base)[at]).max(axis=1, initial=0)
    for name, value in found.links.items():
        np.fill_diagonal(value, 0.0)


def _spread(strength: Array) -> Array:
    """Divide by how many such ties each end has, so that many weak ones do not outvote all else."""
    out = strength * ~np.eye(len(strength), dtype=bool)
    degree = np.maximum(1.0, out.sum(axis=1))
    return np.asarray(out / np.sqrt(degree[:, None] * degree[None]))


def _mirrored(shape: _Shape, face: NDArray[np.str_]) -> Array:
    """How well patch j lies at the mirror image of patch i, across either middle line or both; (N, N)."""
    middle = (shape.low + shape.high) / 2
    out = np.zeros((len(middle), len(middle)))
    size = np.abs(np.log(shape.area[:, None] / shape.area[None]))
    for flip in ((1, 0), (0, 1), (1, 1)):
        image = np.where(np.array(flip, bool), 1 - middle, middle)
        off = (image[:, None] - middle[None]) * shape.steps[:, None]
        out = np.maximum(out, np.exp(-((off / 1.5) ** 2).sum(axis=-1)))
    on_itself = np.exp(-((((middle[:, None] - middle[None]) * shape.steps[:, None]) / 1.5) ** 2).sum(axis=-1))
    return out * (1 - on_itself) * np.exp(-size) * (face[:, None] == face[None])


def _in_line(shape: _Shape, face: NDArray[np.str_], scene: Scene) -> Array:
    """Share of the narrower one's height that both have in common, on faces that run along it; (N, N)."""
    has = np.isin(face, ("cover", "fore_edge", "spine"))
    common = np.minimum(shape.high[:, None, 1], shape.high[None, :, 1]) - np.maximum(
        shape.low[:, None, 1], shape.low[None, :, 1]
    )
    tall = shape.high[:, 1] - shape.low[:, 1]
    share = np.clip(common, 0, None) / np.minimum(tall[:, None], tall[None]).clip(min=1e-6)
    low = 1 - _ramp(tall, 0.25, 0.5)
    return share * has[:, None] * has[None] * low[:, None] * low[None]


def _close(scene: Scene) -> Mask:
    """True where two patches come within two pixels of each other, shape (N, N)."""
    size = len(scene.patches)
    index = np.pad(scene.index, 2, constant_values=-1)
    rows, cols = scene.index.shape
    own = scene.index
    out = np.zeros((size, size), bool)
    for dy in range(-2, 3):
        for dx in range(-2, 3):
            other = index[2 + dy : 2 + dy + rows, 2 + dx : 2 + dx + cols]
            at = (own >= 0) & (other >= 0)
            out[own[at], other[at]] = True
    return out
