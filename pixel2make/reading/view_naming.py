"""Which edge of a found box is the width and which the height, and where spine and head lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import Boxes, cross

__all__ = ["NAMING", "Named", "naming_evidence", "names_of"]

Floats = NDArray[np.float64]

TURNS = tuple(
    (swap, fore, tail) for swap in (False, True) for fore in (False, True) for tail in (False, True)
)
"""Height along q instead of p; the side along the height is the fore-edge, not the spine; the side along
the width is the tail, not the head."""

NAMING: Mapping[str, float] = {
    "readable": 1.2,
    "head_up": 2.0,
    "fore_paper": 3.0,
    "spine_alike": 1.5,
    "end_paper": 3.0,
    "width": 1.0,
    "plain_left": 1.0,
}
"""Weights of what speaks for a naming, a conditional logit like that of the boxes."""


@dataclass(frozen=True)
class Named:
    """Origin, width, height, thickness of one naming of one box."""

    origin: Floats
    u: Floats
    v: Floats
    t: Floats


def names_of(boxes: Boxes) -> list[Named]:
    """The eight namings, each for all K boxes."""
    out = []
    for swap, fore, tail in TURNS:
        along, across = (boxes.q, boxes.p) if swap else (boxes.p, boxes.q)
        origin = boxes.apex + (across if fore else 0.0) + (along if tail else 0.0)
        out.append(Named(origin, -across if fore else across, -along if tail else along, boxes.t))
    return out


def naming_evidence(boxes: Boxes, paper: Floats, alike: Floats, seen: NDArray[np.bool_]) -> Floats:
    """What speaks for each naming.

    Parameters
    ----------
    boxes : Boxes
    paper : ndarray of shape (K, 2)
        How much more the sides along p and q look like paper than the cover does.
    alike : ndarray of shape (K, 2)
        How much the sides' materials are the cover's.
    seen : ndarray of shape (K, 2), bool
        Which of the two sides are drawn.

    Returns
    -------
    ndarray of shape (K, 8, len(NAMING))
    """
    from pixel2make.reading.projection import book_shape

    rows = []
    for (swap, fore, _), named in zip(TURNS, names_of(boxes), strict=True):
        lateral, end = (1, 0) if swap else (0, 1)
        on = seen[:, lateral]
        length_u, length_v = np.hypot(*named.u.T), np.hypot(*named.v.T)
        columns = {
            "readable": np.sign(cross(named.u, named.v)),
            "head_up": named.v[:, 1] / length_v,
            "fore_paper": on * paper[:, lateral] * (1.0 if fore else -1.0),
            "spine_alike": on * alike[:, lateral] * (-1.0 if fore else 1.0),
            "end_paper": seen[:, end] * (paper[:, end] - alike[:, end]),
            "width": -np.abs(np.log(book_shape(named.u, named.v, named.t)[:, 0] / 0.75)),
            "plain_left": named.u[:, 0] / length_u,
        }
        rows.append(np.stack([np.asarray(columns[name], float) for name in NAMING], axis=1))
    return np.stack(rows, axis=1)
