"""What is known about a drawn book, and the words for it."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["FACES", "FEATURES", "HIDDEN", "VIEW_KINDS", "Box", "Drawn", "Pose"]

FEATURES = (
    "cover",
    "spine",
    "page_edge",
    "back_cover",
    "clasp",
    "strap",
    "corner_piece",
    "emblem",
    "title_area",
    "border",
    "bookmark",
    "outline",
    "background",
    "other",
)
FACES = ("cover", "spine", "fore_edge", "head", "tail", "back")
HIDDEN = ""
"""Word in the face map where no face is drawn: background, contour, a ribbon that hangs out."""
VIEW_KINDS = ("front", "front_with_edges", "oblique", "axonometric")


@dataclass(frozen=True)
class Box:
    """The drawn box: native pixels, x right, y down.

    Attributes
    ----------
    origin : (x, y)
        Head-spine corner of the cover.
    u, v, t : (dx, dy)
        Width (spine to fore-edge), height (head to tail), thickness (front to back cover); t is
        (0, 0) where no thickness is drawn.
    """

    origin: tuple[float, float]
    u: tuple[float, float]
    v: tuple[float, float]
    t: tuple[float, float]

    @property
    def corners(self) -> NDArray[np.float64]:
        """Cover corners (4, 2): head-spine, head-fore-edge, tail-fore-edge, tail-spine."""
        o, u, v = (np.array(p, float) for p in (self.origin, self.u, self.v))
        return np.array([o, o + u, o + u + v, o + v])


@dataclass(frozen=True)
class Pose:
    """Drawn edges without a place, and what they stand for.

    Attributes
    ----------
    kind : {"front", "front_with_edges", "oblique", "axonometric"}
    name : str
        How the book is turned; for an oblique view the true face and the convention.
    u, v, t : (dx, dy)
    ratio : (width, height, thickness)
    strip : str
        A second side face drawn flat beside the cover, "" for none.
    more : (dx, dy)
        Its drawn thickness.
    """

    kind: str
    name: str
    u: tuple[float, float]
    v: tuple[float, float]
    t: tuple[float, float]
    ratio: tuple[float, float, float]
    strip: str = ""
    more: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, eq=False)
class Drawn:
    """A drawn book and the truth about it.

    Attributes
    ----------
    rgba : ndarray of shape (M, N, 4), uint8
        Native pixels. The object is opaque; alpha below 255 is background (glow, cast shadow, nothing).
    features : ndarray of shape (M, N), str
        One of `FEATURES` a pixel.
    faces : ndarray of shape (M, N), str
        One of `FACES` a pixel, or `HIDDEN`.
    ratio : (width, height, thickness)
        Of the true book, height 1; thickness 0 where none is drawn.
    kind : {"front", "front_with_edges", "oblique", "axonometric"}
    box : Box
    light : (x, y)
        Unit vector in the picture towards the light.
    style, seed, size : str, int, int
        What `make` was asked for.
    habits : dict
        What the drawing does, word to value.
    """

    rgba: NDArray[np.uint8]
    features: NDArray[np.str_]
    faces: NDArray[np.str_]
    ratio: tuple[float, float, float]
    kind: str
    box: Box
    light: tuple[float, float]
    style: str
    seed: int
    size: int
    habits: dict[str, object] = field(default_factory=dict)

    @property
    def corners(self) -> NDArray[np.float64]:
        """Cover corners (4, 2): head-spine, head-fore-edge, tail-fore-edge, tail-spine."""
        return self.box.corners

    @property
    def background(self) -> NDArray[np.bool_]:
        """True where no object is drawn, shape (M, N)."""
        return np.asarray(self.features == "background")
