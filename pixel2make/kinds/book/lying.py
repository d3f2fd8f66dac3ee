"""How what is drawn on a cover lies: in lines as lettering, in one even figure, as a band, or strewn.

A letter is a few pixels and says nothing by itself. All marks of one ink together do: they are looked at
as one drawing on the face, and each patch hears what the part of the drawing is that it lies in.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from pixel2make.kinds.book.measures import Units, ramp
from pixel2make.reading.marks import lay_out, steps_of
from pixel2make.reading.patches import Scene, grown

__all__ = ["LYING", "lying"]

SAME_INK = 10.0
"""CIEDE2000, lightness counting less, up to which two patches are drawn in one ink."""
MOST_SHARE = 0.4
"""A patch with more of the cover than this is its ground."""
FIELD_SHARE, FIELD_DELTA = 0.06, 12.0
"""A patch with more of the cover than this, of the ground's hue and this near to it in CIEDE2000, is a field
of the ground that lines part off."""
SHOWS = 5.0
"""CIEDE2000 between an ink and the ground; what is nearer is the ground, seen through a figure."""
SET_IN = 0.5
"""Share of a line's marks that touch other ink, from which they are parts of something larger."""
STREWN_PIECES = 6
"""Strewn pieces of one ink from which it is a texture."""
BAND_FILLED, BAND_LONG, BAND_NARROW, BAND_RATIO = 0.75, 0.4, 0.3, 2.0
"""A band fills its box on the face, is so long and so narrow as shares of the face, and so much longer than
wide."""

LYING = (
    "in a line of marks",
    "one of several lines",
    "in an even figure",
    "strewn",
    "a band from head or tail",
    "a band from the spine or the fore-edge",
    "a line from head to tail",
    "a line from spine to fore-edge",
)
"""Names of the measures, each from 0 to 1."""

Array = NDArray[np.float64]


def lying(scene: Scene, units: Units, delta: Array, hue_delta: Array) -> dict[str, Array]:
    """What each patch is a part of on the cover.

    Parameters
    ----------
    scene : Scene
    units : Units
        Of the patches.
    delta, hue_delta : ndarray of shape (N, N)
        CIEDE2000 between patches, in full and with lightness counting less.

    Returns
    -------
    dict of str to ndarray of shape (N,)
        By the names in `LYING`; 0 off the cover, for its ground and for the contour.
    """
    out = {name: np.zeros(len(scene.patches)) for name in LYING}
    cover = scene.face("cover")
    room = max(1, int(cover.mask.sum()))
    sizes = np.array([patch.mask.sum() for patch in scene.patches], float)
    there = [
        number
        for number, patch in enumerate(scene.patches)
        if patch.face == "cover" and sizes[number] and not scene.region(patch).is_contour
    ]
    if not there:
        return out
    ground = max(there, key=lambda number: sizes[number])
    is_field = (sizes > FIELD_SHARE * room) & (hue_delta[ground] <= SAME_INK) & (delta[ground] < FIELD_DELTA)
    loose = [n for n in there if sizes[n] <= MOST_SHARE * room and delta[n, ground] >= SHOWS]
    inks = _inks(loose, hue_delta)
    if len(inks) > 1:
        _lie(out, scene, loose, loose)
    for ink in inks:
        _lie(out, scene, ink, loose)
    _bands(out, units, [n for n in there if n != ground and not is_field[n]])
    _broken_bands(out, scene, [n for n in loose if not is_field[n]])
    return out


def _inks(loose: list[int], hue_delta: Array) -> list[list[int]]:
    """Patches in groups of like hue."""
    from scipy.sparse.csgraph import connected_components

    if not loose:
        return []
    near = hue_delta[np.ix_(loose, loose)] <= SAME_INK
    count, group = connected_components(near, directed=False)
    return [[loose[i] for i in np.flatnonzero(group == number)] for number in range(count)]


def _lie(out: dict[str, Array], scene: Scene, ink: list[int], loose: list[int]) -> None:
    """Look at one ink, or at all together (`ink` is `loose`: then for figures of several inks alone)."""
    whole = np.logical_or.reduce([scene.patches[number].mask for number in ink])
    found = lay_out(whole, scene.face("cover"))
    lines = np.logical_or.reduce([np.zeros_like(whole), *found.lines])
    figures = np.logical_or.reduce([np.zeros_like(whole), *found.figures])
    if ink is loose:
        for number in ink:
            mask = scene.patches[number].mask
            out["in an even figure"][number] = (mask & figures).sum() / mask.sum()
        return
    others = [scene.patches[number].mask for number in loose if number not in ink]
    if others:
        beside = grown(grown(np.logical_or.reduce(others)))
        for line in found.lines:
            if (line & beside).sum() > SET_IN * line.sum():
                lines &= ~line
    pieces = sum(bool((scene.patches[number].mask & found.stray).any()) for number in ink)
    for number in ink:
        mask = scene.patches[number].mask
        size = mask.sum()
        in_line = (mask & lines).sum() / size * (1 - out["in an even figure"][number])
        out["in a line of marks"][number] = in_line
        out["one of several lines"][number] = in_line * (len(found.lines) > 1)
        figure = (mask & figures).sum() / size
        out["in an even figure"][number] = max(out["in an even figure"][number], figure)
        out["strewn"][number] = (mask & found.stray).sum() / size * ramp(np.array(pieces), 1, STREWN_PIECES)


def _bands(out: dict[str, Array], units: Units, loose: list[int]) -> None:
    """Patches that are straight bands and lines parallel to the cover's edges."""
    if not loose or steps_of(units.scene.face("cover")).min() < 1:
        return
    at = np.array(loose, int)
    for name, value in _band_forms(units.low[at], units.high[at], units.area[at], units.steps[at]).items():
        out[name][at] = value


def _broken_bands(out: dict[str, Array], scene: Scene, loose: list[int]) -> None:
    """Patches of which several make one band or line: rubbed gold is drawn in many colours."""
    from scipy import ndimage

    cover = scene.face("cover")
    steps = steps_of(cover)
    if len(loose) < 2 or steps.min() < 1:
        return
    whole = np.logical_or.reduce([scene.patches[number].mask for number in loose])
    pieces, count = ndimage.label(whole, np.ones((3, 3)))
    ys, xs = np.nonzero(whole)
    place = cover.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
    piece = pieces[ys, xs]
    low, high = np.full((count + 1, 2), np.inf), np.full((count + 1, 2), -np.inf)
    np.minimum.at(low, piece, place - 0.5 / steps)
    np.maximum.at(high, piece, place + 0.5 / steps)
    area = np.bincount(piece, minlength=count + 1).astype(float)
    forms = _band_forms(low[1:], high[1:], area[1:], np.tile(steps, (count, 1)))
    owner = np.array([np.bincount(pieces[scene.patches[number].mask]).argmax() for number in loose])
    for name, value in forms.items():
        out[name][loose] = np.maximum(out[name][loose], value[owner - 1])


def _band_forms(low: Array, high: Array, area: Array, steps: Array) -> dict[str, Array]:
    """How much things with these boxes, in face coordinates, are bands and lines."""
    size = high - low
    across, down = (size * steps).T
    filled = ramp(area / np.maximum(across * down, 1), BAND_FILLED - 0.15, BAND_FILLED)
    wide, tall = size.T
    near = 1.0 / steps
    upright = filled * (tall >= BAND_LONG) * (wide <= BAND_NARROW) * (down >= BAND_RATIO * across)
    level = filled * (wide >= BAND_LONG) * (tall <= BAND_NARROW) * (across >= BAND_RATIO * down)
    ends = (low <= near).astype(int) + (high >= 1 - near).astype(int)
    inside = (low > near / 2) & (high < 1 - near / 2)
    return {
        "a band from head or tail": upright * (ends[:, 1] == 1) * inside[:, 0],
        "a band from the spine or the fore-edge": level * (ends[:, 0] == 1) * inside[:, 1],
        "a line from head to tail": upright * (ends[:, 1] == 2),
        "a line from spine to fore-edge": level * (ends[:, 0] == 2),
    }
