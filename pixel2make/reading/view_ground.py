"""What the search for the drawn box looks at: the object's body, and per-pixel and per-pair evidence."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from pixel2make.regions.model import RegionMap

__all__ = ["Ground", "ground_of", "grounds_of", "hanging", "neighbours_background"]

Floats = NDArray[np.float64]

PAGE_LIGHT = (45.0, 80.0)
PAGE_CHROMA = (12.0, 45.0)
"""CIELAB lightness from which, and chroma up to which, a colour may be paper; paper from grey to
parchment lies inside the inner bounds, gold and painted leather outside the outer ones."""

STEP_BOUNDS = (4.0, 30.0)
"""Colour steps (CIELAB distance) from just visible to plain: beyond, more contrast tells no more."""

CLOSED_SHARE = 0.97
"""From here on the line runs all round; a pixel or two are lost to corners and fittings."""

HANGING_SHARE = 0.08
"""What sticks out is at most this share of the object; more is a part of it."""
HANGING_DEPTH_PX = 2.0
"""A step of a pixel or two is the contour's or a rounding's."""
HANGING_OUTSIDE = 0.6
"""Share of a region's pixels outside the hull of the rest from which on it sticks out."""
HULL_SLACK_PX = 0.75
"""Half a pixel's diagonal: centres on the hull's edge are inside."""

THICK_SHARE = 0.85
"""Share of the border under a contour that is contour again, from which on the line is two pixels thick."""

MARGIN = 1
"""Empty pixels kept round the object."""


@dataclass(frozen=True, eq=False)
class Ground:
    """Evidence on the cropped canvas; arrays of N pixels run row by row.

    Attributes
    ----------
    shift : (x, y)
        Canvas coordinates plus shift are sprite coordinates.
    body : ndarray of shape (M, N), bool
        The object without the outer part of its drawn contour.
    line : ndarray of shape (M, N), bool
        Drawn contour inside the body.
    lab : ndarray of shape (M, N, 3)
    material : ndarray of shape (M, N), int
        0.. for materials without the contour, -1 elsewhere.
    paper : ndarray of shape (M, N)
        0..1, how much a pixel's material looks like paper.
    closed : float
        Share of the object's border that is drawn contour.
    is_whole : bool
        True where the border's contour counts as body.
    dropped : float
        Share of the object that was taken off as not belonging to it, such as a cast shadow.
    shaded, shaded_grey : float
        Share of the body that may be a cast shadow after all, and that share where the shadow is grey and
        of a shade that nothing else has.
    """

    shift: tuple[int, int]
    body: NDArray[np.bool_]
    line: NDArray[np.bool_]
    lab: Floats
    material: NDArray[np.int64]
    paper: Floats
    closed: float
    is_whole: bool
    dropped: float = 0.0
    shaded: float = 0.0
    shaded_grey: float = 0.0

    @property
    def shape(self) -> tuple[int, int]:
        """(rows, columns) of the canvas."""
        return self.body.shape[0], self.body.shape[1]

    @property
    def area(self) -> int:
        """Pixels of the body."""
        return int(self.body.sum())


def neighbours_background(obj: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Object pixels that share an edge or a corner with the background or the picture's border."""
    wide = np.pad(~obj, 1, constant_values=True)
    rows, cols = obj.shape
    near = np.zeros(obj.shape, bool)
    for dy in (0, 1, 2):
        for dx in (0, 1, 2):
            near |= wide[dy : dy + rows, dx : dx + cols]
    return np.asarray(near & obj)


def grounds_of(regions: RegionMap) -> tuple[Ground, ...]:
    """The object without its outer contour and, where that line is not closed, the whole object too.

    A line along a part of the border may be contour or the shaded edge of a face: both are looked at. So is
    the object without what may be the shadow that it casts.
    """
    from pixel2make.reading.view_shadow import cast_shadow, grey_alone

    first = ground_of(regions)
    shadow = cast_shadow(regions)
    grounds = [first]
    if 0 < first.closed < CLOSED_SHARE:
        grounds.append(ground_of(regions, keep_contour=True))
    if shadow is not None:
        share = float(shadow.sum() / regions.sprite.object.sum())
        grey = share * grey_alone(regions, shadow)
        grounds = [replace(ground, shaded=share, shaded_grey=grey) for ground in grounds]
        grounds.append(ground_of(regions, drop=shadow))
    return tuple(grounds)


def hanging(regions: RegionMap, body: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Pixels of small regions that stick out of the rest further than they are wide, such as a bookmark.

    A box has no such parts, and one would pull its outline askew. A corner piece ends the rest, too, but is
    wider than deep there; a strip of pages is far wider.

    Parameters
    ----------
    regions : RegionMap
    body : ndarray of shape (M, N), bool

    Returns
    -------
    ndarray of shape (M, N), bool
        With the contour around what sticks out.
    """
    out = np.zeros(body.shape, bool)
    limit, contour = HANGING_SHARE * body.sum(), regions.contour
    rows, cols = np.nonzero(body)
    middle = np.array([cols.mean(), rows.mean()]) + 0.5 if len(rows) else np.zeros(2)
    for region in regions.regions:
        if region.is_contour or not 2 <= region.area_px <= limit:
            continue
        own = regions.mask(region.id) & body
        points = np.argwhere(own)[:, ::-1] + 0.5
        rest = np.argwhere(body & ~own & ~contour)[:, ::-1] + 0.5
        away = points.mean(axis=0) - middle if len(points) else np.zeros(2)
        reach = float(np.hypot(*away))
        if len(rest) < 3 or reach < 1:
            continue
        across = points @ np.array([-away[1], away[0]]) / reach
        along = points @ away / reach
        if np.ptp(along) < np.ptp(across) or np.ptp(along) < HANGING_DEPTH_PX:
            continue
        hull = shapely.MultiPoint(rest).convex_hull.buffer(HULL_SLACK_PX)
        if shapely.contains_xy(hull, *points.T).mean() > 1 - HANGING_OUTSIDE:
            continue
        ys, xs = np.nonzero((own | contour) & body)
        beyond = ~shapely.contains_xy(hull, xs + 0.5, ys + 0.5)
        out[ys[beyond], xs[beyond]] = True
    return out


def _outer_line(contour: NDArray[np.bool_], obj: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The contour along the object's border, one pixel thick or two."""
    border = neighbours_background(obj)
    outer = contour & border
    if outer.sum() < THICK_SHARE * border.sum():
        return outer
    under = neighbours_background(obj & ~outer)
    second = contour & under
    return outer | second if second.sum() >= THICK_SHARE * max(under.sum(), 1) else outer


def ground_of(
    regions: RegionMap, *, keep_contour: bool = False, drop: NDArray[np.bool_] | None = None
) -> Ground:
    """Collect the evidence of a region map.

    Parameters
    ----------
    regions : RegionMap
        With at least one object pixel.
    keep_contour : bool
        True to count the outer contour as body: an artist may have drawn the line inside the faces.
    drop : ndarray of shape (M, N), bool, optional
        Pixels that do not belong to the object.
    """
    from pixel2make.color import srgb_to_lab

    whole = regions.sprite.object
    obj = whole if drop is None else whole & ~drop
    contour = regions.contour & obj
    border = neighbours_background(obj)
    outer = _outer_line(contour, obj)
    body = obj if keep_contour else obj & ~outer
    body = body & ~hanging(regions, body)
    if not body.any():
        body = obj
    # All grounds of a sprite share one canvas.
    ys, xs = np.nonzero(whole)
    top, left = int(ys.min()) - MARGIN, int(xs.min()) - MARGIN
    rows, cols = int(ys.max()) + 1 + MARGIN - top, int(xs.max()) + 1 + MARGIN - left

    def cut(array: NDArray[np.generic], fill: float) -> NDArray[np.generic]:
        out = np.full((rows, cols, *array.shape[2:]), fill, array.dtype)
        part = array[max(top, 0) : top + rows, max(left, 0) : left + cols]
        y, x = max(-top, 0), max(-left, 0)
        out[y : y + part.shape[0], x : x + part.shape[1]] = part
        return out

    lab = srgb_to_lab(regions.sprite.rgba[..., :3])
    material = np.full(obj.shape, -1, np.int64)
    numbers = {r.id: r.material for r in regions.regions if not r.is_contour}
    compact = {m: i for i, m in enumerate(sorted(set(numbers.values())))}
    table = np.full(len(regions.regions) + 1, -1, np.int64)
    for region, number in numbers.items():
        table[region] = compact[number]
    material = table[regions.labels]
    return Ground(
        (left, top),
        np.asarray(cut(body, 0), bool),
        np.asarray(cut(contour & body, 0), bool),
        np.asarray(cut(lab, 0.0), float),
        np.asarray(cut(material, -1), np.int64),
        np.asarray(cut(_paper(lab, material), 0.0), float),
        float((contour & border).sum() / border.sum()),
        keep_contour,
        1 - float(obj.sum() / whole.sum()),
    )


def _paper(lab: Floats, material: NDArray[np.int64]) -> Floats:
    """Mean paper look of each pixel's material: bands of shade on the pages count together."""
    chroma = np.hypot(lab[..., 1], lab[..., 2])
    light = np.clip((lab[..., 0] - PAGE_LIGHT[0]) / (PAGE_LIGHT[1] - PAGE_LIGHT[0]), 0, 1)
    grey = np.clip((PAGE_CHROMA[1] - chroma) / (PAGE_CHROMA[1] - PAGE_CHROMA[0]), 0, 1)
    look = light * grey
    known = material >= 0
    if not known.any():
        return look
    count = np.bincount(material[known])
    mean = np.bincount(material[known], weights=look[known]) / np.maximum(count, 1)
    out = look.copy()
    out[known] = mean[material[known]]
    return out
