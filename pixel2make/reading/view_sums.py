"""Sums over the faces of many boxes and over the pairs of pixels that their edges part."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.box import COVER, SIDE_P, SIDE_Q, Boxes, paint
from pixel2make.reading.view_ground import STEP_BOUNDS, Ground

__all__ = ["Sums", "sums_of"]

Floats = NDArray[np.float64]
Pixels = NDArray[np.float32]

EDGES = ((COVER, SIDE_P), (COVER, SIDE_Q), (SIDE_P, SIDE_Q))


@dataclass(frozen=True, eq=False)
class Sums:
    """What K boxes add up to on a ground.

    Attributes
    ----------
    face : ndarray of shape (K, 3, F)
        For cover, side p, side q: body pixels, sums of L*, a*, b*, L*^2, a*^2 + b*^2, paper, line, then
        pixels of each material.
    pair : ndarray of shape (K, 4, 4)
        For pairs of neighbours within a face, cover to p, cover to q, p to q: their number, colour steps
        (0..1 each), changes of material, pairs with a drawn line.
    even : ndarray of shape (K, 3)
        Length of the mean colour step over mean length of the step, for the last three: 1 where every
        pixel along the edge changes alike, near 0 for texture.
    missing, excess : ndarray of shape (K,)
        Box pixels without body, body pixels outside the box.
    """

    face: Floats
    pair: Floats
    even: Floats
    missing: Floats
    excess: Floats


def _kinds() -> NDArray[np.uint8]:
    """From 4 * one label + other label: 0 no pair, 1 within, then the edges, +3 for the reverse."""
    table = np.zeros(16, np.uint8)
    for label in (COVER, SIDE_P, SIDE_Q):
        table[label * 5] = 1
    for i, (one, two) in enumerate(EDGES):
        table[one * 4 + two] = 2 + i
        table[two * 4 + one] = 5 + i
    return table


_KINDS = _kinds()


def _pixel_table(ground: Ground) -> Pixels:
    lab = ground.lab.reshape(-1, 3)
    material = ground.material.ravel()
    columns = [
        np.ones((len(lab), 1)),
        lab,
        lab[:, :1] ** 2,
        (lab[:, 1:] ** 2).sum(axis=1, keepdims=True),
        ground.paper.reshape(-1, 1),
        ground.line.reshape(-1, 1).astype(float),
        (material[:, None] == np.arange(material.max(initial=0) + 1)).astype(float),
    ]
    return np.asarray(np.concatenate(columns, axis=1) * ground.body.ravel()[:, None], np.float32)


def _pair_table(ground: Ground, axis: int) -> Pixels:
    """Per pair of neighbours: both body, step, other material, line, then the step in L*, a*, b*."""
    one = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
    two = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
    both = ground.body[one] & ground.body[two]
    way = ground.lab[two] - ground.lab[one]
    length = np.sqrt((way**2).sum(axis=-1))
    step = np.clip((length - STEP_BOUNDS[0]) / (STEP_BOUNDS[1] - STEP_BOUNDS[0]), 0, 1)
    other = (ground.material[one] != ground.material[two]).astype(float)
    line = (ground.line[one] | ground.line[two]).astype(float)
    table = np.concatenate([np.stack([np.ones(step.shape), step, other, line, length], -1), way], axis=-1)
    return np.asarray((table * both[..., None]).reshape(-1, table.shape[-1]), np.float32)


def sums_of(boxes: Boxes, ground: Ground) -> Sums:
    """Add up what each box covers and parts.

    Parameters
    ----------
    boxes : Boxes
    ground : Ground
    """
    rows, cols = ground.shape
    count = len(boxes)
    labels = paint(boxes, ground.shape)
    body = ground.body.ravel()
    pixels = _pixel_table(ground)
    face = np.stack([(labels == f).astype(np.float32) @ pixels for f in (COVER, SIDE_P, SIDE_Q)], axis=1)
    drawn = labels > 0
    grid = labels.reshape(-1, rows, cols)
    pair = np.zeros((count, 7, 8), np.float32)
    for axis, (one, two) in enumerate(((grid[:, :-1], grid[:, 1:]), (grid[:, :, :-1], grid[:, :, 1:]))):
        kind = _KINDS[one * 4 + two].reshape(count, -1)
        table = _pair_table(ground, axis)
        pair[:, 0] += (kind == 1).astype(np.float32) @ table
        # Only pairs next to an edge of some box: a fraction of all, so gather before multiplying.
        for i in range(1, 7):
            at, pixel = np.nonzero(kind == i + 1)
            for column in range(8):
                pair[:, i, column] += np.bincount(at, weights=table[pixel, column], minlength=count)
    forward, back = pair[:, 1:4].astype(float), pair[:, 4:7].astype(float)
    mean = np.sqrt(((forward[..., 5:] - back[..., 5:]) ** 2).sum(axis=-1))
    even = mean / np.maximum(forward[..., 4] + back[..., 4], 1e-6)
    edges = forward[..., :4] + back[..., :4]
    return Sums(
        face.astype(float),
        np.concatenate([pair[:, :1, :4].astype(float), edges], axis=1),
        np.where(edges[..., 0] > 0, even, 0.0),
        (drawn & ~body).sum(axis=1).astype(float),
        (~drawn & body).sum(axis=1).astype(float),
    )
