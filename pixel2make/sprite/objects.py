"""How many objects the picture shows: one with its small marks, or several to choose from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import SpriteError
from pixel2make.sprite.part import Box

__all__ = ["MIN_OBJECT_SIDE_PX", "Part", "check_one_object", "find_parts", "several_message"]

MIN_OBJECT_SIDE_PX = 4
"""A cover, a spine and a contour on both sides need that many pixels."""
REACH_PX = 1
"""Parts with one background pixel between them are one object; sheets keep at least two, one margin each."""
COMPARABLE_AREA = 0.2
"""A part with at least this share of the largest part's area is an object, not a sparkle or a shadow."""
MOST_LISTED = 12

Mask = NDArray[np.bool_]


@dataclass(frozen=True)
class Part:
    """A connected part of the object: box (x, y, w, h) and area in native pixels."""

    box: Box
    area: int


def find_parts(drawn: Mask, glow: Mask) -> tuple[Part, ...]:
    """Parts in raster order of their boxes' corners; what a glow joins is one part.

    Parameters
    ----------
    drawn, glow : ndarray of shape (M, N), bool
        The object's pixels, and the half-transparent ones around it.
    """
    from scipy import ndimage

    around = np.ones((3, 3), bool)
    joined = _close_gaps(drawn | glow)
    labels, count = ndimage.label(joined, around)
    labels = np.where(drawn, labels, 0)
    parts = []
    for index, where in enumerate(ndimage.find_objects(labels, count), 1):
        if where is not None:
            rows, columns = where
            box = (columns.start, rows.start, columns.stop - columns.start, rows.stop - rows.start)
            parts.append(Part(box, int((labels[where] == index).sum())))
    return tuple(sorted(parts, key=lambda part: (part.box[1], part.box[0], part.box)))


def _close_gaps(mask: Mask) -> Mask:
    """`mask` with gaps of REACH_PX pixels filled along rows and columns."""
    closed = mask.copy()
    for gap in range(1, REACH_PX + 1):
        closed[:, gap:-gap] |= mask[:, : -2 * gap] & mask[:, 2 * gap :]
        closed[gap:-gap] |= mask[: -2 * gap] & mask[2 * gap :]
    return closed


def check_one_object(parts: tuple[Part, ...]) -> tuple[Part, ...]:
    """The parts that could each be an object of their own; one where a part dominates.

    Raises
    ------
    SpriteError
        No part, or the largest is too small to be read.
    """
    if not parts:
        raise SpriteError("shows no object: all of it is background; cut the sprite out with a margin")
    largest = max(parts, key=lambda part: part.area)
    if largest.area == 1:
        raise SpriteError("shows a single pixel; draw the book at 12 pixels a side or more")
    if max(largest.box[2:]) < MIN_OBJECT_SIDE_PX:
        raise SpriteError(
            f"shows an object of {largest.box[2]} x {largest.box[3]} pixels, too small to be read; "
            "draw the book at 12 pixels a side or more"
        )
    return tuple(
        part
        for part in parts
        if part is largest
        or (part.area >= COMPARABLE_AREA * largest.area and not _holds(largest.box, part.box))
    )


def _holds(outer: Box, inner: Box) -> bool:
    """Whether the middle of `inner` lies in `outer`, as a gem in a ring does."""
    x, y = inner[0] + inner[2] / 2, inner[1] + inner[3] / 2
    return outer[0] <= x <= outer[0] + outer[2] and outer[1] <= y <= outer[1] + outer[3]


def several_message(boxes: list[Box]) -> str:
    """What to say about several objects; boxes (x, y, w, h) in file pixels."""
    listed = "; ".join(
        f"{index}: {x},{y},{w},{h}" for index, (x, y, w, h) in enumerate(boxes[:MOST_LISTED], 1)
    )
    more = f"; and {len(boxes) - MOST_LISTED} more" if len(boxes) > MOST_LISTED else ""
    return (
        f"shows {len(boxes)} objects (x,y,w,h in file pixels: {listed}{more}); choose one with "
        f"--region x,y,w,h or --cell W,H,COLUMN,ROW, or give a region around all that are one book"
    )
