"""Size, place and form of patches, or of groups of patches, on the faces of a drawn book.

Places are face coordinates: on the cover the first runs from spine to fore-edge, the second from head to
tail; on the spine and the pages' sides the first runs from the front cover to the back, the second along
the face. A *step* is a pixel along the longer coordinate of a drawn edge, the pixels that an artist counts.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.patches import Scene

__all__ = ["Units", "bump", "measure", "ramp"]

_TURNED = ("head", "tail")
"""Faces whose own coordinates begin with the width; here the thickness comes first on every side."""
_NEAR_STEPS = 1.6
"""A patch reaches an edge of its face where it comes this near: the drawn edge is known to a pixel, and
a line or a shade may run along it."""
_RIM_STEPS, _RIM_SHARE = 2.6, 0.2
"""How far from the face's edge a border's line may run, in steps and as a share of the shorter edge; the
smaller one holds, or a small cover would be all rim."""
_HOLLOW = 0.45
"""A frame fills less of its own bounding box than this."""
_FLAT = 1e-6
"""A face with less drawn area than this (px^2) is seen edge on."""

Array = NDArray[np.float64]
Ints = NDArray[np.int64]


def ramp(value: Array, low: float, high: float) -> Array:
    """0 below `low`, 1 above `high`, straight between."""
    return np.clip((value - low) / (high - low), 0, 1)


def bump(value: Array, at: float, wide: float) -> Array:
    """1 at `at`, falling off on both sides."""
    return np.asarray(np.exp(-(((value - at) / wide) ** 2)))


@dataclass(eq=False)
class Units:
    """Patches, or groups of patches on one face, with their pixels.

    Attributes
    ----------
    scene : Scene
    index : ndarray of shape (M, N)
        Number of the unit of every pixel; -1 for the background. Every unit has a pixel.
    faces : sequence of str or None
        Face of each unit; None is measured in the cover's coordinates.
    """

    scene: Scene
    index: Ints
    faces: Sequence[str | None]

    @cached_property
    def pixels(self) -> tuple[Ints, Ints, Ints]:
        """Rows and columns of all pixels, sorted by unit, and where each unit starts."""
        ys, xs = np.nonzero(self.index >= 0)
        order = np.argsort(self.index[ys, xs], kind="stable")
        ys, xs = ys[order], xs[order]
        counts = np.bincount(self.index[ys, xs], minlength=len(self.faces))
        return ys, xs, np.concatenate([[0], np.cumsum(counts)[:-1]])

    @cached_property
    def owner(self) -> Ints:
        """Unit of every pixel, in the order of `pixels`."""
        ys, xs, _ = self.pixels
        return self.index[ys, xs]

    @cached_property
    def placed(self) -> tuple[Array, Array]:
        """Face coordinates (P, 2) of all pixels, and steps (N, 2) of each unit's face."""
        ys, xs, _ = self.pixels
        points = np.stack([xs + 0.5, ys + 0.5], 1)
        names = [face or "cover" for face in self.faces]
        place, steps = np.zeros((len(ys), 2)), np.ones((len(names), 2))
        for name in sorted(set(names)):
            face = self.scene.face(name)
            which = np.array([n == name for n in names])
            at = which[self.owner]
            long = np.array([max(abs(e[0]), abs(e[1]), 1.0) for e in (face.a_px, face.b_px)])
            local = face.to_face(points[at]) if _is_drawn(self.scene, name) else np.zeros((int(at.sum()), 2))
            turn = slice(None, None, -1) if name in _TURNED else slice(None)
            steps[which], place[at] = long[turn], local[:, turn]
        return place, steps

    def reduce(self, values: Array, how: np.ufunc) -> Array:
        """One value a unit from one value a pixel."""
        return np.asarray(how.reduceat(values, self.pixels[2], axis=0), float)

    def share(self, flags: NDArray[np.bool_]) -> Array:
        """Share of each unit's pixels for which a flag holds."""
        return self.reduce(flags.astype(float), np.add) / self.area

    @cached_property
    def area(self) -> Array:
        """Pixels of each unit."""
        return np.bincount(self.owner, minlength=len(self.faces)).astype(float)

    @cached_property
    def low(self) -> Array:
        """Outer edges (N, 2) towards 0, in face coordinates."""
        place, steps = self.placed
        return self.reduce(place - 0.5 / steps[self.owner], np.minimum)

    @cached_property
    def high(self) -> Array:
        """Outer edges (N, 2) towards 1, in face coordinates."""
        place, steps = self.placed
        return self.reduce(place + 0.5 / steps[self.owner], np.maximum)

    @cached_property
    def mean(self) -> Array:
        """Centres of mass (N, 2) in face coordinates."""
        return self.reduce(self.placed[0], np.add) / self.area[:, None]

    @property
    def steps(self) -> Array:
        """Edges of each unit's face, (N, 2), in steps."""
        return self.placed[1]


def _is_drawn(scene: Scene, name: str) -> bool:
    face = scene.face(name)
    return abs(face.a_px[0] * face.b_px[1] - face.a_px[1] * face.b_px[0]) > _FLAT


def measure(units: Units) -> dict[str, Array]:
    """Size, place and form of every unit, each measure a number from 0 to 1 by name."""
    return {**_sizes(units), **_places(units), **_forms(units)}


def _sizes(units: Units) -> dict[str, Array]:
    area = {face.name: max(1, int(face.mask.sum())) for face in units.scene.faces}
    own = np.array([area.get(face or "", units.area.sum()) for face in units.faces], float)
    share = units.area / own
    largest = np.zeros(len(share))
    for name in set(units.faces):
        at = np.array([face == name for face in units.faces])
        largest[at] = units.area[at] == units.area[at].max()
    return {
        "share": np.clip(share, 0, 1),
        "half of its face": ramp(share, 0.25, 0.6),
        "small": 1 - ramp(share, 0.02, 0.12),
        "one or two pixels": 1 - ramp(units.area, 2, 4),
        "largest on its face": largest,
    }


def _near(gap: Array) -> Array:
    return 1 - ramp(gap, _NEAR_STEPS - 0.8, _NEAR_STEPS + 0.4)


def _places(units: Units) -> dict[str, Array]:
    mean, steps = units.mean, units.steps
    first, top = (units.low * steps).T
    last, bottom = ((1 - units.high) * steps).T
    middle = (units.low + units.high) / 2
    wide, tall = (units.high - units.low).T
    across = bump(middle[:, 0], 0.5, 0.09)
    narrow = (1 - ramp(wide, 0.32, 0.5)) * (1 - ramp(tall, 0.32, 0.5))
    corner = narrow * np.minimum(
        1 - ramp(np.minimum(first, last), 1.0, 2.6), 1 - ramp(np.minimum(top, bottom), 1.0, 2.6)
    )
    return {
        "at the first side": _near(first),
        "at the last side": _near(last),
        "at the head": _near(top),
        "at the tail": _near(bottom),
        "centred across": across,
        "half way down": bump(middle[:, 1], 0.5, 0.09),
        "a quarter from an end": np.maximum(bump(mean[:, 1], 0.25, 0.08), bump(mean[:, 1], 0.75, 0.08)),
        "in the middle": across * bump(mean[:, 1], 0.55, 0.16),
        "in the upper part": 1 - ramp(mean[:, 1], 0.35, 0.5),
        "in the lower part": ramp(mean[:, 1], 0.55, 0.75),
        "near the first side": 1 - ramp(mean[:, 0], 0.15, 0.4),
        "near the last side": ramp(mean[:, 0], 0.6, 0.85),
        "beyond the head": ramp(-mean[:, 1] * steps[:, 1], 0, 1),
        "beyond the tail": ramp((mean[:, 1] - 1) * steps[:, 1], 0, 1),
        "beyond the first side": ramp(-mean[:, 0] * steps[:, 0], 0, 1),
        "beyond the last side": ramp((mean[:, 0] - 1) * steps[:, 0], 0, 1),
        "in a corner": corner,
    }


def _forms(units: Units) -> dict[str, Array]:
    wide, tall = (units.high - units.low).T
    across, down = ((units.high - units.low) * units.steps).T
    fill = units.area / (np.maximum(across, 1) * np.maximum(down, 1))
    ratio = np.log(np.maximum(across, 0.7) / np.maximum(down, 0.7))
    mirrored, rim, thin = _per_pixel(units)
    return {
        "from side to side": ramp(wide, 0.7, 0.9),
        "from head to tail": ramp(tall, 0.7, 0.9),
        "wide": np.clip(wide, 0, 1),
        "tall": np.clip(tall, 0, 1),
        "one or two steps high": 1 - ramp(down, 2.2, 3.4),
        "one or two steps wide": 1 - ramp(across, 2.2, 3.4),
        "lengthwise": ramp(ratio, 0.3, 1.4),
        "upright": ramp(-ratio, 0.3, 1.4),
        "not upright": ramp(ratio, -0.1, 0.3),
        "fills its box": ramp(fill, 0.5, 0.95),
        "frame": (1 - ramp(fill, _HOLLOW - 0.1, _HOLLOW + 0.1))
        * ramp(wide, 0.45, 0.7)
        * ramp(tall, 0.45, 0.7),
        "mirror image of itself": mirrored,
        "along the face's edges": rim,
        "one pixel thin": thin,
    }


def _per_pixel(units: Units) -> tuple[Array, Array, Array]:
    """Share of each unit that has its mirror image across the face's middle line; that lies near the
    face's edges; that has not a 2 x 2 block of its own."""
    place, steps = units.placed
    ys, xs, _ = units.pixels
    reach = np.minimum(_RIM_STEPS, _RIM_SHARE * steps.min(axis=1))[units.owner]
    rim = (np.minimum(place, 1 - place) * steps[units.owner]).min(axis=1) < reach
    thin = ~_blocks(units.index)[ys, xs]
    mirrored = np.zeros(len(ys), bool)
    rows, cols = units.index.shape
    for name in sorted({face for face in units.faces if face is not None and _is_drawn(units.scene, face)}):
        at = np.array([face == name for face in units.faces])[units.owner]
        flipped = np.stack([1 - place[at, 0], place[at, 1]], 1)
        turn = slice(None, None, -1) if name in _TURNED else slice(None)
        image = np.floor(units.scene.face(name).to_picture(flipped[:, turn]) + 1e-6).astype(int)
        row, col = np.clip(image[:, 1], 0, rows - 1), np.clip(image[:, 0], 0, cols - 1)
        mirrored[at] = units.index[row, col] == units.owner[at]
    return units.share(mirrored), units.share(rim), units.share(thin)


def _blocks(index: Ints) -> NDArray[np.bool_]:
    """True for pixels that lie in a 2 x 2 block of one unit."""
    out = np.zeros(index.shape, bool)
    same = (
        (index[:-1, :-1] == index[1:, :-1])
        & (index[:-1, :-1] == index[:-1, 1:])
        & (index[:-1, :-1] == index[1:, 1:])
    )
    for rows in (slice(None, -1), slice(1, None)):
        for cols in (slice(None, -1), slice(1, None)):
            out[rows, cols] |= same
    return out
