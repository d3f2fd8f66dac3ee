"""A patch in words by which a maker finds it in the drawing: its colour, its face and where it lies there."""

from __future__ import annotations

import numpy as np

from pixel2make.color.words import color_words
from pixel2make.reading.model import Face, Patch
from pixel2make.reading.patches import Scene

__all__ = ["described", "place_of"]

_FACES = {
    "cover": "on the front cover",
    "spine": "on the spine",
    "fore_edge": "on the fore-edge side",
    "head": "on the side at the head",
    "tail": "on the side at the tail",
    "back": "on the back cover",
}
_ACROSS = ("at the spine", "towards the spine", "", "towards the fore-edge", "at the fore-edge")
_DOWN = ("at the head", "in the upper half", "", "in the lower half", "at the tail")
_FROM = (0.2, 0.4, 0.6, 0.8)
"""Shares of a face's edge at which the next word begins: fifths, as "middle" means no more than that."""
_REACH_STEPS = 1.2
"""A patch that comes this near to an edge is said to lie at it."""
_LONG = 0.7
"""A patch that covers this share of an edge runs along it."""
_FLAT = 1e-6
"""A face with less drawn area than this (px^2) is seen edge on."""


def described(scene: Scene, patch: Patch) -> str:
    """A patch by colour and place, such as "orange patch on the front cover at the fore-edge, mid height".

    Parameters
    ----------
    scene : Scene
    patch : Patch
        Of one pixel or more.
    """
    rgb = np.median(scene.regions.sprite.rgba[patch.mask][:, :3], axis=0)
    if patch.region and scene.region(patch).is_contour:
        return f"{color_words(rgb)} line"
    return f"{color_words(rgb)} patch {place_of(scene, patch)}"


def place_of(scene: Scene, patch: Patch) -> str:
    """Where a patch lies: its face, then along the width and along the height.

    Parameters
    ----------
    scene : Scene
    patch : Patch
        Of one pixel or more.

    Returns
    -------
    str
        Such as "on the spine, mid height"; "beside the book" for what lies on no face.
    """
    if patch.face is None:
        return "beside the book"
    face = scene.face(patch.face)
    if abs(face.a_px[0] * face.b_px[1] - face.a_px[1] * face.b_px[0]) < _FLAT:
        return _FACES[patch.face]
    low, high, reach = _extent(face, patch)
    across = _word(low[0], high[0], reach[0], _ACROSS, "from spine to fore-edge")
    down = _word(low[1], high[1], reach[1], _DOWN, "from head to tail")
    said = _FACES[patch.face]
    if patch.face in ("spine", "fore_edge"):
        return f"{said}, {down or 'mid height'}"
    if patch.face in ("head", "tail"):
        return f"{said}, {across or 'half way along'}"
    if not across and not down:
        return f"{said}, in the middle"
    if {across, down} <= {_ACROSS[0], _ACROSS[-1], _DOWN[0], _DOWN[-1]}:
        return f"{said}, in the corner {across} and {down}"
    return ", ".join(part for part in (f"{said} {across}".strip(), down or "mid height") if part)


def _extent(face: Face, patch: Patch) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Outer edges (2,) and (2,) in face coordinates, and what counts as near an edge, (2,)."""
    ys, xs = np.nonzero(patch.mask)
    place = face.to_face(np.stack([xs + 0.5, ys + 0.5], 1))
    steps = np.array([max(abs(edge[0]), abs(edge[1]), 1.0) for edge in (face.a_px, face.b_px)])
    return place.min(axis=0) - 0.5 / steps, place.max(axis=0) + 0.5 / steps, _REACH_STEPS / steps


def _word(low: float, high: float, reach: float, words: tuple[str, ...], along: str) -> str:
    if high - low >= _LONG:
        return along
    middle = (low + high) / 2
    if middle < _FROM[1] and low < reach:
        return words[0]
    if middle > _FROM[2] and high > 1 - reach:
        return words[-1]
    return words[int(np.searchsorted(_FROM, middle))]
