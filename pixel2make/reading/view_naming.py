"""Which edge of a found box is the width and which the height, and where spine and head lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import Boxes, cross
from pixel2make.reading.proj_shape import ShapeTable, shape_log_density
from pixel2make.reading.view_evidence import FAMILIES, families_of
from pixel2make.reading.view_ground import Ground

__all__ = ["NAMING", "TURNS", "Named", "names_of", "naming_evidence"]

Floats = NDArray[np.float64]

TURNS = tuple(
    (swap, fore, tail) for swap in (False, True) for fore in (False, True) for tail in (False, True)
)
"""Height along q instead of p; the side along the height is the fore-edge, not the spine; the side along
the width is the tail, not the head."""

NAMING = (
    "readable",
    "head_up",
    "spine_left",
    "readable_flat",
    "head_up_flat",
    "spine_left_flat",
    "fore_paper",
    "spine_alike",
    "end_paper",
    "end_alike",
    "spine_seen",
    "tail_seen",
    "lateral_seen",
    "shape",
    "rows",
    "mark_above",
    "fitting_fore",
    "line_spine",
)
"""What speaks for a naming."""

GRID = 12
"""The cover is looked at on a grid of so many places each way, about the pixels of a small cover."""


@dataclass(frozen=True)
class Named:
    """Origin, width, height, thickness and second strip of one naming of K boxes, each (K, 2)."""

    origin: Floats
    u: Floats
    v: Floats
    t: Floats
    more: Floats


def names_of(boxes: Boxes) -> list[Named]:
    """The eight namings, each for all K boxes, in the order of `TURNS`."""
    out = []
    for swap, fore, tail in TURNS:
        along, across = (boxes.q, boxes.p) if swap else (boxes.p, boxes.q)
        origin = boxes.apex + (across if fore else 0.0) + (along if tail else 0.0)
        out.append(Named(origin, -across if fore else across, -along if tail else along, boxes.t, boxes.more))
    return out


def naming_evidence(
    boxes: Boxes, ground: Ground, looks: tuple[Floats, Floats, NDArray[np.bool_]], table: ShapeTable
) -> Floats:
    """What speaks for each naming.

    Parameters
    ----------
    boxes : Boxes
    ground : Ground
    looks : (paper, alike, seen), each of shape (K, 2)
        For the sides along p and q: how much more like paper than the cover they look, how much they
        are the cover's material, whether they are drawn.
    table : ShapeTable
        Of the prior.

    Returns
    -------
    ndarray of shape (K, 8, len(NAMING) + 1)
        The last column is 1 where the naming is impossible.
    """
    paper, alike, seen = looks
    family = families_of(boxes)
    slanted = family == FAMILIES.index("slanted")
    opposite = family == FAMILIES.index("opposite")
    foreign, line = _marks(boxes, ground)
    # Which way an edge runs does not matter for its length.
    shape = [shape_log_density(*edges, boxes.t, table) for edges in ((boxes.q, boxes.p), (boxes.p, boxes.q))]
    rows = []
    for (swap, fore, tail), named in zip(TURNS, names_of(boxes), strict=True):
        lateral, end = (1, 0) if swap else (0, 1)
        length_u, length_v = np.hypot(*named.u.T), np.hypot(*named.v.T)
        readable = np.sign(cross(named.u, named.v))
        head_up, spine_left = named.v[:, 1] / length_v, named.u[:, 0] / length_u
        way = 1.0 if fore else -1.0
        end_seen = seen[:, end] & ~opposite
        fore_paper = seen[:, lateral] * paper[:, lateral] - opposite * paper[:, end]
        columns = {
            "readable": readable * slanted,
            "head_up": head_up * slanted,
            "spine_left": spine_left * slanted,
            "readable_flat": readable * ~slanted,
            "head_up_flat": head_up * ~slanted,
            "spine_left_flat": spine_left * ~slanted,
            "fore_paper": fore_paper * way,
            "spine_alike": -alike[:, lateral] * way,
            "end_paper": end_seen * paper[:, end],
            "end_alike": end_seen * alike[:, end],
            "spine_seen": seen[:, lateral] & (not fore),
            "tail_seen": end_seen & tail,
            "lateral_seen": seen[:, lateral] & ~seen[:, end],
            "shape": shape[int(swap)],
            **_cover_columns(_turned(foreign, swap, fore, tail), _turned(line, swap, fore, tail)),
        }
        block = [np.asarray(columns[name], float) for name in NAMING]
        block.append((opposite & (not swap)).astype(float))
        rows.append(np.stack(block, axis=1))
    return np.stack(rows, axis=1)


def _marks(boxes: Boxes, ground: Ground) -> tuple[Floats, Floats]:
    """On a grid over each cover, (K, GRID along q, GRID along p): what is not the cover's main material,
    and how much darker than the cover's middle each place is."""
    steps = (np.arange(GRID) + 0.5) / GRID
    b, a = np.meshgrid(steps, steps, indexing="ij")
    points = (
        boxes.apex[:, None, None]
        + a[..., None] * boxes.p[:, None, None]
        + b[..., None] * boxes.q[:, None, None]
    )
    at = np.floor(points).astype(int)
    x = np.clip(at[..., 0], 0, ground.shape[1] - 1)
    y = np.clip(at[..., 1], 0, ground.shape[0] - 1)
    material, light = ground.material[y, x], ground.lab[y, x, 0]
    foreign = np.zeros(material.shape)
    for k in range(len(boxes)):
        inner = material[k][material[k] >= 0]
        main = np.bincount(inner).argmax() if len(inner) else -1
        foreign[k] = material[k] != main
    middle = np.median(light.reshape(len(boxes), -1), axis=1)[:, None, None]
    return foreign, np.clip((middle - light) / 20.0, -1, 1)


def _turned(grid: Floats, swap: bool, fore: bool, tail: bool) -> Floats:
    """The grid as (K, along the height from the head, along the width from the spine)."""
    # Rows run along q and columns along p; the height is p unless swapped.
    out = grid if swap else grid.transpose(0, 2, 1)
    if tail:
        out = out[:, ::-1]
    return out[:, :, ::-1] if fore else out


def _cover_columns(foreign: Floats, dark: Floats) -> Mapping[str, Floats]:
    """Rows of lettering, marks above the middle, a fitting at the fore-edge, a dark line by the spine."""
    edge, side = 2, slice(GRID // 3, GRID - GRID // 3)
    inner = foreign[:, 1:-1, 1:-1]
    spine, fore = dark[:, :, :3].mean(axis=1).max(axis=1), dark[:, :, -3:].mean(axis=1).max(axis=1)
    return {
        "rows": 10 * (inner.mean(axis=2).var(axis=1) - inner.mean(axis=1).var(axis=1)),
        "mark_above": foreign[:, 1 : GRID // 2 - 1, 2:-2].mean(axis=(1, 2))
        - foreign[:, GRID // 2 + 1 : -1, 2:-2].mean(axis=(1, 2)),
        "fitting_fore": foreign[:, side, -edge:].mean(axis=(1, 2))
        - foreign[:, side, :edge].mean(axis=(1, 2)),
        "line_spine": spine - fore,
    }
