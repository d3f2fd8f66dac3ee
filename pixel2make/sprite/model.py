"""What the sprite stage hands on: the picture on its native pixel grid."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import SpriteError

__all__ = ["BACKGROUND_KINDS", "Grid", "Sprite"]

BACKGROUND_KINDS = ("transparent", "flat", "checkerboard", "none")


@dataclass(frozen=True)
class Grid:
    """How the file's pixels lie on the native pixel grid.

    Attributes
    ----------
    scale : float
        File pixels that make one native pixel; 1.0 for a sprite that is native already.
    offset_px : tuple of float
        (x, y) in file pixels of the first native grid line, 0 <= offset < scale.
    confidence : float
        0..1.
    why : str
        One sentence.
    """

    scale: float = 1.0
    offset_px: tuple[float, float] = (0.0, 0.0)
    confidence: float = 1.0
    why: str = "The file is on its native pixel grid."


@dataclass(frozen=True, eq=False)
class Sprite:
    """A sprite on its native pixel grid, background told from object.

    Attributes
    ----------
    file : str
        Name of the file without its folder, for messages and the spec.
    sha256 : str
        Of the file's bytes, lower-case hex.
    rgba : ndarray of shape (M, N, 4), uint8
        Native pixels, row 0 at the top. Read-only. Pixels of the background keep the file's colour.
    background : ndarray of shape (M, N), bool
        True where no object is drawn: transparent, flat or checkerboard background, and any
        half-transparent glow or shadow around the object. Read-only.
    background_kind : {"transparent", "flat", "checkerboard", "none"}
    glow : ndarray of shape (M, N), bool
        Part of `background`: half-transparent halo or cast shadow. Read-only.
    grid : Grid
    frame : int
        Index of the frame that was read, from 0.
    region_px : tuple of int or None
        (x, y, w, h) in file pixels, when only a part of the file was read.
    notes : tuple of str
        Sentences for the maker, such as "The picture was enlarged 8 times.".
    """

    file: str
    sha256: str
    rgba: NDArray[np.uint8]
    background: NDArray[np.bool_]
    background_kind: str = "transparent"
    glow: NDArray[np.bool_] | None = None
    grid: Grid = field(default_factory=Grid)
    frame: int = 0
    region_px: tuple[int, int, int, int] | None = None
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        rgba = np.array(self.rgba, dtype=np.uint8)
        if rgba.ndim != 3 or rgba.shape[2] != 4:
            raise SpriteError(f"rgba has shape (rows, cols, 4), got {rgba.shape}")
        background = np.array(self.background, dtype=bool)
        glow = np.zeros(background.shape, bool) if self.glow is None else np.array(self.glow, dtype=bool)
        if background.shape != rgba.shape[:2] or glow.shape != rgba.shape[:2]:
            raise SpriteError(f"masks have shape {rgba.shape[:2]}, got {background.shape} and {glow.shape}")
        if self.background_kind not in BACKGROUND_KINDS:
            raise SpriteError(f"background_kind is one of {', '.join(BACKGROUND_KINDS)}")
        for name, array in (("rgba", rgba), ("background", background), ("glow", glow)):
            array.flags.writeable = False
            object.__setattr__(self, name, array)

    @property
    def shape(self) -> tuple[int, int]:
        """(rows, columns) of the native grid."""
        return int(self.rgba.shape[0]), int(self.rgba.shape[1])

    @property
    def object(self) -> NDArray[np.bool_]:
        """True where the object is drawn, its contour included."""
        return ~self.background
