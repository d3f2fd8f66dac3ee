"""Lettering and emblems in a shade of the cover: told from texture by how they lie on the face.

One shade of a cover is lettering where its pixels fill a few lines with empty ones between, off the rim;
it is an emblem where they make one compact figure about the middle line. Texture lies everywhere, light
and shade lie along the rim or run into it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Face

__all__ = ["Layout", "lay_out", "marks"]

LEAST_STEPS = 7
"""A cover of fewer steps has no room for marks, rim and ground."""
RIM_STEPS = 1.2
"""What comes nearer to the face's edge is light, shade or a drawn edge."""
CORNER_STEPS = 2.4
"""What comes so near to two edges is a fitting or a border, not a mark."""

LINE_TALL = 0.26
LINE_LEAST_TALL = 3
"""A line of marks is no taller than this share of the face's height, or than three steps on a small face."""
LINE_SPAN, LINE_FILLED, LINE_LEAST_PX = 0.2, 0.26, 3
"""A line spans this share of the width at least, and its marks fill this share of its box."""
JOINED = 0.45
"""Share of a line's pixels that have a neighbour along or across it; specks of texture stand alone."""

FIGURE_PX, FIGURE_FILLED, FIGURE_MIDDLE = 6, 0.36, 0.11
FIGURE_SHORT = 0.5
"""An emblem's pixels, the share of its box that they fill with what they enclose, how far its middle may lie
off the cover's middle line, and its shorter side as a share of the longer one."""
FIGURE_JOINED, FIGURE_EVEN, FIGURE_HALFWAY = 0.45, 0.6, 0.42
"""Share of an emblem's pixels with a neighbour along a row or column, and with a mirror image across its own
middle line; a clump of dithering has few of the one, a blotch few of the other. Halfway is
enough beside lettering."""
STRAIGHT_STEPS, SLANTED_STEPS = (0.51, 0.51), (0.51, 0.76)
"""How far from its mirror image, across and along the face, a pixel is still found."""
FIGURE_MOST = 0.45
"""An emblem takes no more of the face."""
ONE_PIECE = 0.6
"""Share of a figure's pixels that its largest piece has."""

SURE_LINES = 2
"""Lines of marks beside which a crooked figure is believed."""
CROSSED_PX = 12
"""Pixels of a line of crossed strokes alone, which is in checkerboard order as dithering is."""
CROSSED_CONTRAST = 16.0
"""CIEDE2000 between crossed strokes and their ground; dithering mixes neighbouring shades of a ramp."""

STRAY = 0.2
"""Share of the ink off the rim that may lie in no line and no figure."""
RIM_SHARE = 0.35
"""Ink of the same rows that lies on the rim, as a share of the line's: more is a texture."""
MOST_INK = 0.4
"""Ink takes no more of the ground."""
MOST_LINES = 9
"""More lines than this is a pattern."""

LEAST_CONTRAST = 8.0
"""CIEDE2000 between marks and what is round them."""
MOST_SHADES = 14
"""Shades that are tried one by one; a ground of more is a gradient, tried at steps of lightness."""
SAME_SHADE = 2.3
"""CIEDE2000 below which two colours are one: about what is seen side by side."""

Mask = NDArray[np.bool_]
Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Layout:
    """How some ink lies on a face; masks of shape (M, N) that do not overlap.

    Attributes
    ----------
    lines : tuple of ndarray
        Lines of lettering, from the head on.
    figures : tuple of ndarray
        Compact figures about the middle line.
    stray : ndarray
        Ink off the rim that is neither.
    is_joined : bool
        False where there is nothing but lines of crossed strokes, each pixel by itself.
    """

    lines: tuple[Mask, ...]
    figures: tuple[Mask, ...]
    stray: Mask
    is_joined: bool = True

    @property
    def drawn(self) -> int:
        """Pixels in lines and figures."""
        return int(sum(part.sum() for part in (*self.lines, *self.figures)))


def steps_of(face: Face) -> Floats:
    """The face's two edges in steps, the pixels an artist counts."""
    return np.array([max(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)])


def lay_out(ink: Mask, face: Face) -> Layout:
    """Tell lines of marks and figures from what lies on the rim and what is strewn.

    Parameters
    ----------
    ink : ndarray of shape (M, N), bool
    face : Face
        The cover.
    """
    from scipy import ndimage

    none = np.zeros(ink.shape, bool)
    steps = steps_of(face)
    pieces, count = ndimage.label(ink, np.ones((3, 3)))
    ys, xs = np.nonzero(ink)
    if steps.min() < LEAST_STEPS or not count:
        return Layout((), (), ink if count else none)
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1)) * steps
    gap = np.minimum(place, steps - place)
    piece = pieces[ys, xs]
    nearest = np.full((count + 1, 2), np.inf)
    np.minimum.at(nearest, piece, gap)
    at_rim = np.asarray((nearest < RIM_STEPS).any(axis=1) | (nearest < CORNER_STEPS).all(axis=1))
    on_rim = at_rim[piece]
    inner = ~on_rim
    row = np.floor(place[:, 1]).astype(int)
    lines: list[Mask] = []
    figures: list[Mask] = []
    crossed: list[Mask] = []
    halfway: list[Mask] = []
    crooked: list[Mask] = []
    for low, high in _bands(row[inner]):
        here = (row >= low) & (row <= high)
        own = inner & here
        part = none.copy()
        part[ys[own], xs[own]] = True
        runs_through = (on_rim & here).sum() > RIM_SHARE * own.sum() + 2
        joined = _joined(part, ys[own], xs[own])
        middle, is_compact = _compact(place[own], piece[own], part, steps)
        if is_compact and joined >= FIGURE_JOINED:
            evenness = _evenness(place[own], middle, face)
            is_central = abs(middle / steps[0] - 0.5) <= max(FIGURE_MIDDLE, 1.0 / steps[0])
            if evenness >= FIGURE_EVEN and is_central:
                figures.append(part)
            else:
                (halfway if evenness >= FIGURE_HALFWAY and is_central else crooked).append(part)
        elif not runs_through and _is_line(place[own], steps):
            (lines if joined >= JOINED else crossed).append(part)
    is_joined = bool(lines or figures)
    if lines:
        # Beside a line that is sure, loose letters are a line too, and a crooked figure is a figure.
        figures += halfway + crooked if len(lines) >= SURE_LINES else halfway
        lines += crossed
    elif not figures:
        # Crossed strokes have no neighbours along or across; several make a line all the same.
        lines += [part for part in crossed if part.sum() >= CROSSED_PX]
    stray = none.copy()
    stray[ys[inner], xs[inner]] = True
    for part in (*lines, *figures):
        stray &= ~part
    return Layout(tuple(lines), tuple(figures), stray, is_joined)


def _bands(rows: NDArray[np.int64]) -> Iterator[tuple[int, int]]:
    """First and last row of each run of rows that hold ink."""
    if not len(rows):
        return
    held = np.unique(rows)
    for run in np.split(held, np.flatnonzero(np.diff(held) > 1) + 1):
        yield int(run[0]), int(run[-1])


def _joined(part: Mask, ys: NDArray[np.int64], xs: NDArray[np.int64]) -> float:
    """Share of a mask's pixels that share an edge with another one of it."""
    padded = np.pad(part, 1)
    near = np.zeros(len(ys), bool)
    for dy, dx in ((0, 1), (1, 0), (0, -1), (-1, 0)):
        near |= padded[ys + 1 + dy, xs + 1 + dx]
    return float(near.mean())


def _compact(place: Floats, piece: NDArray[np.int64], part: Mask, steps: Floats) -> tuple[float, bool]:
    """The middle of some ink across the face, and whether it is one compact figure."""
    from scipy import ndimage

    low, high = place.min(axis=0) - 0.5, place.max(axis=0) + 0.5
    size = high - low
    is_compact = (
        FIGURE_PX <= len(place) <= FIGURE_MOST * steps.prod()
        and size.min() >= max(2.0, FIGURE_SHORT * size.max())
        and np.bincount(piece).max() >= ONE_PIECE * len(place)
        and ndimage.binary_fill_holes(part).sum() >= FIGURE_FILLED * size.prod()
    )
    return float(low[0] + high[0]) / 2, bool(is_compact)


def _evenness(place: Floats, middle: float, face: Face) -> float:
    """Share of places that have another one at their mirror image across a middle."""
    from scipy.spatial import KDTree

    # On a slanted face the rows of pixels lie up to half a step off the face's own.
    is_slanted = max(min(abs(edge[0]), abs(edge[1])) for edge in (face.a_px, face.b_px)) > 0.5
    reach = np.array(SLANTED_STEPS if is_slanted else STRAIGHT_STEPS)
    image = np.stack([2 * middle - place[:, 0], place[:, 1]], 1)
    apart, _ = KDTree(place / reach).query(image / reach, p=np.inf)
    return float((np.asarray(apart) <= 1.0).mean())


def _is_line(place: Floats, steps: Floats) -> bool:
    low, high = place.min(axis=0) - 0.5, place.max(axis=0) + 0.5
    wide, tall = high - low
    return bool(
        len(place) >= LINE_LEAST_PX
        and tall <= max(LINE_LEAST_TALL, LINE_TALL * steps[1])
        and wide >= max(3.0, LINE_SPAN * steps[0])
        and wide >= tall
        and len(place) >= LINE_FILLED * wide * tall
    )


def marks(mask: Mask, face: Face, lab: Floats) -> tuple[Mask, ...]:
    """Lettering and emblems in shades of a region's ground.

    Parameters
    ----------
    mask : ndarray of shape (M, N), bool
        The region's pixels on the face.
    face : Face
        The cover.
    lab : ndarray of shape (M, N, 3)

    Returns
    -------
    tuple of ndarray
        Masks within `mask` that do not overlap: all lettering as one, then each emblem. Empty for nearly all
        regions.
    """
    if steps_of(face).min() < LEAST_STEPS or 3 * mask.sum() < face.mask.sum():
        return ()
    best: tuple[float, Layout] | None = None
    for ink in _inks(mask, lab):
        found = lay_out(ink, face)
        drawn, stray = found.drawn, int(found.stray.sum())
        if not drawn or stray > STRAY * (drawn + stray) or len(found.lines) > MOST_LINES:
            continue
        least = LEAST_CONTRAST if found.is_joined else CROSSED_CONTRAST
        if _contrast(found, ink, mask, lab) < least:
            continue
        worth = drawn - 2.0 * stray
        if best is None or worth > best[0]:
            best = worth, found
    if best is None:
        return ()
    found = best[1]
    out = [np.logical_or.reduce(found.lines)] if found.lines else []
    return (*out, *(_filled(figure, mask, lab) for figure in found.figures))


def _inks(mask: Mask, lab: Floats) -> Iterator[Mask]:
    """Parts of a ground that may be drawn on it: its darkest shades, its lightest, and each by itself."""
    ys, xs = np.nonzero(mask)
    colors, shade = np.unique(np.round(lab[ys, xs], 3), axis=0, return_inverse=True)
    shade = shade.reshape(-1)
    order = np.argsort(colors[:, 0], kind="stable")
    rank = np.empty(len(order), np.int64)
    rank[order] = np.arange(len(order))
    level = rank[shade]
    if len(order) > MOST_SHADES:
        light = colors[order, 0]
        edges = np.linspace(light[0], light[-1], MOST_SHADES + 1)[1:-1]
        cuts = sorted({int((light <= edge).sum()) for edge in edges})
    else:
        cuts = list(range(1, len(order)))
    chosen = [level < cut for cut in cuts] + [level >= cut for cut in cuts]
    if len(order) <= MOST_SHADES:
        chosen += [level == one for one in range(1, len(order) - 1)]
    for own in chosen:
        if LINE_LEAST_PX <= own.sum() <= MOST_INK * len(ys):
            ink = np.zeros(mask.shape, bool)
            ink[ys[own], xs[own]] = True
            yield ink


def _contrast(found: Layout, ink: Mask, mask: Mask, lab: Floats) -> float:
    from scipy import ndimage

    from pixel2make.color import difference

    drawn = np.logical_or.reduce([*found.lines, *found.figures])
    beside = ndimage.binary_dilation(drawn) & mask & ~ink
    if not beside.any():
        return 0.0
    return float(difference(np.median(lab[drawn], axis=0), np.median(lab[beside], axis=0)))


def _filled(figure: Mask, mask: Mask, lab: Floats) -> Mask:
    """A figure with what it encloses in other shades than the ground round it."""
    from scipy import ndimage

    inside = ndimage.binary_fill_holes(figure) & mask & ~figure
    around = ndimage.binary_dilation(figure) & mask & ~figure & ~inside
    if not inside.any() or not around.any():
        return figure
    both = np.concatenate([lab[around], lab[inside]])
    shade = np.unique(np.round(both, 3), axis=0, return_inverse=True)[1].reshape(-1)
    same = np.isin(shade[around.sum() :], shade[: around.sum()])
    out = figure.copy()
    out[inside] = ~same
    return out
