"""What can be measured of every patch of a drawn book, each as a number from 0 to 1.

Artists shade a fitting in several colours and break a border by lights, so a patch is measured twice: by
itself, and as the *whole* of all patches of like hue that lie close together on its face.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pixel2make.color import difference, srgb_to_lab
from pixel2make.kinds.book.fastening import fastening
from pixel2make.kinds.book.lying import lying
from pixel2make.kinds.book.measures import Units, bump, measure, ramp
from pixel2make.reading.patches import Scene
from pixel2make.reading.strap_ends import covered, strips

__all__ = ["GROUPS", "WHOLE", "Evidence", "gather"]

GROUPS = ("cover", "spine", "side", "off", "contour")
"""Patches on the front cover, on the spine, on the pages' three sides, on no face, of the contour; each
group weighs its evidence by itself."""

WHOLE = "whole: "
"""Begins the name of a measure of the whole that a patch belongs to."""

_GROUP_OF = {"cover": 0, "back": 0, "spine": 1, "fore_edge": 2, "head": 2, "tail": 2}
_COVER, _SPINE, _SIDE, _OFF, _CONTOUR = range(5)

_SAME_DELTA = 8.0
"""CIEDE2000 difference at which two colours stop looking like one material under one light."""
_SHADE_WEIGHT = 0.35
"""Lightness counts so much less where only hue and chroma should tell, as light and shade change it."""
_WHOLE_DELTA = 13.0
"""Patches are parts of one whole up to this difference, lightness counting less: neighbouring shades of one
material differ by up to this, as artists turn the hue along a ramp."""
_REACH_PX = 2
"""Patches are close where they come this near (8-neighbour steps); a drawn line is one pixel wide."""

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
    faces = [patch.face for patch in scene.patches]
    group = np.array(
        [
            _CONTOUR if scene.region(p).is_contour and p.face is None else _GROUP_OF.get(p.face or "", _OFF)
            for p in scene.patches
        ],
        np.int64,
    )
    units = Units(scene, scene.index, faces)
    color = _colors_of(scene, units, group)
    close, border = _close(scene), _borders(scene)
    found = Evidence(group, {"always": np.ones(len(faces)), **measure(units)})
    v = found.values
    v["on the fore-edge"] = np.array([float(face == "fore_edge") for face in faces])
    v |= _color_values(color)
    v |= _neighbour_values(scene, group, border, color)
    v |= _whole_values(scene, faces, group, v["half of its face"], close, color)
    _tie(found, scene, units, border, close, color)
    loose = (v["half of its face"] < 0.5) & (group != _CONTOUR)
    v |= fastening(scene, units, faces, loose, close, color.hue_delta)
    v["its colours lie elsewhere too"] = _elsewhere(scene, faces, close)
    v |= _needed(units, v)
    v["a strap runs into it"] = _strap_ends(scene, units)
    v |= _together(v, found.group)
    v |= lying(scene, units, color.delta, color.hue_delta)
    for name, value in v.items():
        v[name] = np.clip(np.nan_to_num(value), 0.0, 1.0)
    return found


@dataclass(eq=False)
class _Colors:
    """Colours of patches and of the grounds they lie on.

    ``lab`` (N, 3) of each patch; ``delta`` and ``hue_delta`` (N, N) CIEDE2000 in full and with lightness
    counting less; ``grounds``: number of the largest patch of the cover, the pages and the spine, or -1.
    """

    lab: Array
    delta: Array
    hue_delta: Array
    grounds: dict[str, int]

    @property
    def is_alike(self) -> Array:
        return np.asarray(np.exp(-((self.delta / _SAME_DELTA) ** 2)))

    @property
    def is_a_shade(self) -> Array:
        return np.asarray(np.exp(-((self.hue_delta / _SAME_DELTA) ** 2)))


def _colors_of(scene: Scene, units: Units, group: NDArray[np.int64]) -> _Colors:
    lab = scene.labs

    def largest(which: int) -> int:
        at = np.flatnonzero(group == which)
        return int(at[units.area[at].argmax()]) if len(at) else -1

    return _Colors(
        lab,
        np.asarray(difference(lab[:, None], lab[None])),
        np.asarray(difference(lab[:, None], lab[None], lightness_weight=_SHADE_WEIGHT)),
        {"cover": largest(_COVER), "pages": largest(_SIDE), "spine": largest(_SPINE)},
    )


def _color_values(color: _Colors) -> dict[str, Array]:
    lightness, a, b = color.lab.T
    chroma, hue = np.hypot(a, b), np.degrees(np.arctan2(b, a)) % 360
    out = {
        "light": ramp(lightness, 55, 85),
        "dark": 1 - ramp(lightness, 15, 35),
        "strong colour": ramp(chroma, 20, 60),
        "gold": bump(hue, 82, 22) * ramp(chroma, 25, 45) * ramp(lightness, 40, 60),
        "copper": bump(hue, 55, 20) * ramp(chroma, 20, 40) * ramp(lightness, 35, 50),
        "grey metal": (1 - ramp(chroma, 6, 14)) * bump(lightness, 62, 22),
        "paper": ramp(lightness, 66, 82) * (1 - ramp(chroma, 26, 44)),
    }
    none = np.zeros(len(lightness))
    for name, ground in color.grounds.items():
        has = ground >= 0
        lift = lightness - lightness[ground] if has else none
        out[f"like the {name}"] = color.is_alike[ground] if has else none
        out[f"a shade of the {name}"] = color.is_a_shade[ground] if has else none
        out[f"lighter than the {name}"] = ramp(lift, 3, 25)
        out[f"darker than the {name}"] = ramp(-lift, 3, 25)
    return out


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


def _close(scene: Scene) -> Mask:
    """True where two patches come within `_REACH_PX` of each other, shape (N, N)."""
    size, own, reach = len(scene.patches), scene.index, _REACH_PX
    rows, cols = own.shape
    index = np.pad(own, reach, constant_values=-1)
    out = np.zeros((size, size), bool)
    for dy in range(2 * reach + 1):
        for dx in range(2 * reach + 1):
            other = index[dy : dy + rows, dx : dx + cols]
            at = (own >= 0) & (other >= 0)
            out[own[at], other[at]] = True
    return out


def _neighbour_values(
    scene: Scene, group: NDArray[np.int64], border: Array, color: _Colors
) -> dict[str, Array]:
    size = len(scene.patches)
    round_ = border[:size].sum(axis=1).clip(min=1)
    shares = border[:size, :size] / round_[:, None]
    ground = color.grounds["cover"]
    shades = np.array([len(scene.region(p).shades) for p in scene.patches], float)
    out = {
        "touches nothing drawn": border[:size, size] / round_,
        "along the contour": shares[:, group == _CONTOUR].sum(axis=1),
        "inside one patch": ramp(shares.max(axis=1, initial=0), 0.6, 0.95),
        "inside the cover's ground": ramp(shares[:, ground], 0.5, 0.95) if ground >= 0 else np.zeros(size),
        "several shades": ramp(shades, 1, 3),
    }
    for name, which in (("cover", _COVER), ("spine", _SPINE), ("sides", _SIDE)):
        out[f"beside the {name}"] = shares[:, group == which].sum(axis=1)
    return out


def _whole_values(
    scene: Scene,
    faces: list[str | None],
    group: NDArray[np.int64],
    ground: Array,
    close: Mask,
    color: _Colors,
) -> dict[str, Array]:
    """The measures of the whole that each patch belongs to; grounds and contours are wholes by themselves."""
    from scipy.sparse.csgraph import connected_components

    face = np.array([f or "" for f in faces])
    loose = (ground < 0.5) & (group != _CONTOUR)
    joined = close & (color.hue_delta < _WHOLE_DELTA) & (face[:, None] == face[None])
    joined &= loose[:, None] & loose[None]
    _, whole = connected_components(joined | np.eye(len(faces), dtype=bool), directed=False)
    first = np.unique(whole, return_index=True)[1]
    index = np.where(scene.index >= 0, whole[scene.index], -1)
    units = Units(scene, index.astype(np.int64), [faces[i] for i in first])
    out = {WHOLE + name: value[whole] for name, value in measure(units).items()}
    out[WHOLE + "of several patches"] = ramp(np.bincount(whole)[whole].astype(float), 1, 4)
    return out


def _needed(units: Units, v: dict[str, Array]) -> dict[str, Array]:
    """What a fitting on the cover must have to be one at all: see `pixel2make.kinds.book.features.NEEDS`."""
    middle = (units.low + units.high) / 2
    rim = np.minimum(middle, 1 - middle)
    wide, tall = (units.high - units.low).T
    # A flat front does not tell its spine from its fore-edge; a side that shows does.
    told = any(units.scene.face(name).is_visible for name in ("fore_edge", "spine"))
    at_spine = v["at the first side"] * (1 - v["at the last side"]) * told
    short, whole_short = 1 - ramp(tall, 0.3, 0.45), 1 - ramp(v[WHOLE + "tall"], 0.3, 0.45)
    at_fore_edge = np.maximum(ramp(units.high[:, 0], 0.6, 0.8), v[WHOLE + "at the last side"] * whole_short)
    return {
        # What runs over half of the cover is a strap, whatever it ends in.
        "short, towards the fore-edge": short * at_fore_edge * (1 - ramp(wide, 0.4, 0.6)),
        "no place for a clasp": np.maximum(v["from head to tail"], at_spine),
        "short, unlike the pages": short * (1 - 0.5 * v["a shade of the pages"]),
        "short along the side": short,
        "towards a corner": 1 - ramp(rim.max(axis=1), 0.28, 0.4),
        "along an edge or a frame": np.maximum.reduce(
            [v["along the face's edges"], v[WHOLE + "along the face's edges"], v["frame"], v[WHOLE + "frame"]]
        ),
        "off the rim": 1 - v["along the face's edges"] * v[WHOLE + "along the face's edges"],
        "wide, off the rim": np.maximum(v["not upright"], v[WHOLE + "not upright"])
        * (1 - v["along the face's edges"] * v[WHOLE + "along the face's edges"]),
    }


def _elsewhere(scene: Scene, faces: list[str | None], close: Mask) -> Array:
    """1 where the exact colours of a patch lie about its face, away from what is beside it: texture."""
    rgb = scene.regions.sprite.rgba[..., :3].astype(np.int64) @ np.array([65536, 256, 1])
    color = np.unique(rgb, return_inverse=True)[1].reshape(rgb.shape)
    size = int(color.max()) + 1
    counts = np.array([np.bincount(color[p.mask], minlength=size) for p in scene.patches]).reshape(-1, size)
    face = np.array([f or "" for f in faces])
    far = (~close & (face[:, None] == face[None])).astype(float)
    there = ((far @ counts) * (counts > 0)).sum(axis=1)
    return ramp(there / (there + counts.sum(axis=1).clip(min=1)), 0.3, 0.8)


def _strap_ends(scene: Scene, units: Units) -> Array:
    """1 where most of a patch covers a strap from its end to the fore-edge."""
    cover = scene.face("cover")
    found = strips(scene.regions, cover)
    if not found:
        return np.zeros(len(scene.patches))
    parts = covered(cover, srgb_to_lab(scene.regions.sprite.rgba[..., :3]), found)
    ys, xs, _ = units.pixels
    return ramp(units.share(np.logical_or.reduce(parts)[ys, xs]), 0.3, 0.7)


def _together(v: dict[str, Array], group: NDArray[np.int64]) -> dict[str, Array]:
    """Facts that say more together than the sum of each: a third colour, in the place of a fitting."""
    third = (1 - v["like the cover"]) * (1 - v["like the pages"]) * (1 - v["like the spine"])
    down = np.maximum(v["half way down"], v["a quarter from an end"])
    on_cover = v["short, towards the fore-edge"] * down
    clasp = np.where(group == _COVER, on_cover, v["short along the side"] * down * (group == _SIDE))
    inside = v["inside the cover's ground"] * v["off the rim"]
    return {
        "a third colour": third,
        "in a clasp's place": clasp,
        "a third colour in a clasp's place": third * clasp,
        "a third colour in a corner": third * v["in a corner"],
        "a third colour in the middle": third * v["in the middle"] * v["off the rim"],
        "a row in the upper part": v["in the upper part"] * v["not upright"] * inside,
    }


def _tie(found: Evidence, scene: Scene, units: Units, border: Array, close: Mask, color: _Colors) -> None:
    """Relations between patches, and what follows from them for each."""
    size, group = len(scene.patches), found.group
    face = np.array([p.face or "" for p in scene.patches])
    material = np.array([scene.region(p).material for p in scene.patches])
    loose = (1 - found.values["half of its face"]) * (group != _CONTOUR)
    pair = loose[:, None] * loose[None] * ~np.eye(size, dtype=bool)
    same_face = face[:, None] == face[None]
    round_ = border[:size].sum(axis=1).clip(min=1)
    alike = color.is_alike * pair * same_face
    shade = np.exp(-((color.hue_delta / _WHOLE_DELTA) ** 2))
    images = _mirrored(units) * alike
    mirrored = images.max(axis=0)
    in_line = _in_line(units, face) * pair
    sides = (group == _SIDE) | (group == _SPINE)
    bends = ((group == _COVER)[:, None] & sides[None]) | ((group == _COVER)[None] & sides[:, None])
    touches = border[:size, :size] / np.minimum(round_[:, None], round_[None])
    found.links = {
        "touches": touches,
        "a shade beside": _spread(close * shade * pair * same_face),
        # A title's panel is no larger; the cover's field is not made one by the letters on it.
        "inside": _spread(
            ramp(border[:size, :size] / round_[:, None], 0.5, 0.95)
            * pair
            * (1 - ramp(found.values["share"], 0.25, 0.4))[None]
        ),
        "alike": _spread(alike),
        "mirrored": _spread(mirrored),
        "in line, a shade": _spread(in_line * shade),
        "in line, unlike": _spread(in_line * (1 - shade)),
        "bends over an edge": _spread(bends * close * color.is_a_shade),
    }
    v = found.values
    v["alike ones there"] = np.minimum(1, alike.sum(1) / 3)
    v["has a mirror image"] = mirrored.max(axis=1, initial=0)
    v["a twin across the width"] = images[0].max(axis=1, initial=0)
    v["a twin down the height"] = images[1].max(axis=1, initial=0)
    in_corner = v["in a corner"] * loose
    v["like what sits in a corner"] = (color.is_alike * pair * in_corner[None]).max(axis=1, initial=0)
    v["one of four"] = images[:2].max(axis=2, initial=0).min(axis=0)
    over = bends * close * (material[:, None] == material[None]) * loose[None]
    for name, which in (("side", _SIDE), ("spine", _SPINE), ("cover", _COVER)):
        v[f"goes on over the {name}"] = over[:, group == which].max(axis=1, initial=0)


def _spread(strength: Array) -> Array:
    """Divide by how many such ties each end has, so that many weak ones do not outvote all else."""
    degree = np.maximum(1.0, strength.sum(axis=1))
    return np.asarray(strength / np.sqrt(degree[:, None] * degree[None]))


def _mirrored(units: Units) -> Array:
    """How well unit j lies at the mirror image of unit i, across either middle line or both; (3, N, N)."""
    middle, steps = (units.low + units.high) / 2, units.steps[:, None]

    def fits(image: Array) -> Array:
        off = (image[:, None] - middle[None]) * steps
        return np.asarray(np.exp(-((off / 1.5) ** 2).sum(axis=-1)))

    flips = np.array([(True, False), (False, True), (True, True)])
    out = np.stack([fits(np.where(flip, 1 - middle, middle)) for flip in flips])
    like_size = np.exp(-np.abs(np.log(units.area[:, None] / units.area[None])))
    return np.asarray(out * (1 - fits(middle)) * like_size)


def _in_line(units: Units, face: NDArray[np.str_]) -> Array:
    """Share of the narrower one's height that two have in common, on faces that run along it; (N, N)."""
    has = np.isin(face, ("cover", "fore_edge", "spine"))
    low, high = units.low[:, 1], units.high[:, 1]
    common = np.minimum(high[:, None], high[None]) - np.maximum(low[:, None], low[None])
    tall = high - low
    flat = (1 - ramp(tall, 0.25, 0.5)) * has
    share = np.clip(common, 0, None) / np.minimum(tall[:, None], tall[None]).clip(min=1e-6)
    return np.asarray(np.minimum(share, 1) * flat[:, None] * flat[None])
