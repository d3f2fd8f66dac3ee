"""How what is drawn on a cover lies: in lines as lettering, in one even figure, as a band, or strewn.

A letter is a few pixels and says nothing by itself. All marks of one ink together do: they are looked at
as one drawing on the face, and each patch hears what the part of the drawing is that it lies in.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from pixel2make.kinds.book.measures import Units, ramp
from pixel2make.reading.marks import LINE_LEAST_PX, lay_out, steps_of
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
Mask = NDArray[np.bool_]


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
    sizes = units.area
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
        _lie_together(out, scene, loose, sizes)
    for ink in inks:
        _lie(out, scene, ink, loose, sizes)
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


def _whole(scene: Scene, numbers: list[int]) -> Mask:
    """Pixels of some patches together."""
    chosen = np.zeros(len(scene.patches) + 1, bool)
    chosen[numbers] = True
    # The last place is that of the background, -1.
    return np.asarray(chosen[scene.index])


def _shares(scene: Scene, parts: Sequence[Mask], sizes: Array) -> Array:
    """Share of every patch that lies in one of some masks."""
    count = len(scene.patches)
    if not parts:
        return np.zeros(count)
    inside = scene.index[np.logical_or.reduce(parts) & (scene.index >= 0)]
    return np.asarray(np.bincount(inside, minlength=count) / np.maximum(sizes, 1))


def _lie_together(out: dict[str, Array], scene: Scene, loose: list[int], sizes: Array) -> None:
    """Look at all inks as one drawing, for figures of several colours."""
    found = lay_out(_whole(scene, loose), scene.face("cover"))
    out["in an even figure"][loose] = _shares(scene, found.figures, sizes)[loose]


def _lie(out: dict[str, Array], scene: Scene, ink: list[int], loose: list[int], sizes: Array) -> None:
    """Look at one ink."""
    if sizes[ink].sum() < LINE_LEAST_PX:
        return
    found = lay_out(_whole(scene, ink), scene.face("cover"))
    lines = found.lines
    others = set(loose) - set(ink)
    if others and lines:
        beside = grown(grown(_whole(scene, sorted(others))))
        lines = tuple(line for line in lines if (line & beside).sum() <= SET_IN * line.sum())
    in_figure = np.maximum(out["in an even figure"][ink], _shares(scene, found.figures, sizes)[ink])
    in_line = _shares(scene, lines, sizes)[ink] * (1 - out["in an even figure"][ink])
    strewn = _shares(scene, (found.stray,), sizes)[ink] * (1 - in_figure)
    out["in a line of marks"][ink] = in_line
    out["one of several lines"][ink] = in_line * (len(found.lines) > 1)
    out["in an even figure"][ink] = in_figure
    out["strewn"][ink] = strewn * ramp(np.array(float((strewn > 0).sum())), 1, STREWN_PIECES)


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
    whole = _whole(scene, loose)
    pieces, count = ndimage.label(whole, np.ones((3, 3)))
    ys, xs = np.nonzero(whole)
    place = cover.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
    piece = pieces[ys, xs]
    low, high = np.full((count + 1, 2), np.inf), np.full((count + 1, 2), -np.inf)
    np.minimum.at(low, piece, place - 0.5 / steps)
    np.maximum.at(high, piece, place + 0.5 / steps)
    area = np.bincount(piece, minlength=count + 1).astype(float)
    forms = _band_forms(low[1:], high[1:], area[1:], np.tile(steps, (count, 1)))
    # A patch hangs together, so any pixel of it tells its piece.
    owner = np.zeros(len(scene.patches), np.int64)
    owner[scene.index[ys, xs]] = piece
    owner = owner[loose]
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
