"""The picture while it is drawn: a feature, a material and a shade for every pixel."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from tests.truth.model import Box
from tests.truth.raster import Buffer, steps

__all__ = ["Easel"]

Mask = NDArray[np.bool_]


@dataclass(eq=False)
class Easel:
    """One drawing in the making.

    Attributes
    ----------
    buffer : Buffer
    box : Box
    rng : numpy Generator
    light : (x, y)
    ramps : dict
        Material word to its shades (count, 3), darkest first.
    feature, material : ndarray of str
    level : ndarray of float
        0 is a ramp's darkest shade, 1 its lightest.
    """

    buffer: Buffer
    box: Box
    rng: np.random.Generator
    light: tuple[float, float]
    ramps: dict[str, NDArray[np.uint8]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        shape = self.buffer.part.shape
        self.feature = np.full(shape, "background", "<U12")
        self.material = np.full(shape, "", "<U12")
        self.level = np.zeros(shape)

    @property
    def cover(self) -> Mask:
        """Pixels of the front cover's own face."""
        return np.asarray((self.buffer.face == "cover") & np.isin(self.buffer.part, ("front",)))

    def lengths(self) -> tuple[float, float, float]:
        """Width, height and thickness in steps, the pixels an artist counts."""
        return steps(self.box.u), steps(self.box.v), max(1.0, steps(self.box.t))

    def along(self) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
        """Each pixel's place on the book in steps from head-spine-front."""
        la, lb, lc = self.lengths()
        place = self.buffer.place
        return place[..., 0] * la, place[..., 1] * lb, place[..., 2] * lc

    def lay(self, mask: Mask, feature: str, material: str, level: float | NDArray[np.float64]) -> None:
        """Give the pixels of `mask` a feature, a material and a shade."""
        self.feature[mask] = feature
        self.material[mask] = material
        self.level[mask] = level[mask] if isinstance(level, np.ndarray) else level
