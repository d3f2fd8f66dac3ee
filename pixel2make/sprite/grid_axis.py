"""One axis of the native pixel grid: equally spaced lines, and the file pixels between them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Axis"]


@dataclass(frozen=True)
class Axis:
    """Grid lines at ``offset + j * scale`` along a side of `size` file pixels.

    A file pixel belongs to the native pixel that holds its centre. A native pixel that the picture's
    border cuts is kept, so that nothing drawn is lost.
    """

    size: int
    scale: float
    offset: float

    @property
    def bounds(self) -> NDArray[np.int64]:
        """File columns where native columns begin, and the end: 0, ..., size."""
        first = math.ceil((-self.offset - 0.5) / self.scale)
        last = math.floor((self.size - self.offset + 0.5) / self.scale)
        lines = self.offset + self.scale * np.arange(first, last + 1)
        inner = np.ceil(lines - 0.5).astype(np.int64)
        inner = inner[(inner > 0) & (inner < self.size)]
        return np.concatenate([[0], np.unique(inner), [self.size]])

    @property
    def count(self) -> int:
        """Native pixels along this axis."""
        return len(self.bounds) - 1

    @property
    def middles(self) -> NDArray[np.int64]:
        """The file pixel that holds the centre of each native pixel, or the nearest to it in the picture."""
        bounds = self.bounds
        first = math.floor((0.5 - self.offset) / self.scale)
        centres = self.offset + (first + np.arange(self.count) + 0.5) * self.scale
        return np.floor(centres).astype(np.int64).clip(bounds[:-1], bounds[1:] - 1)

    @property
    def cells(self) -> NDArray[np.int64]:
        """For each file pixel, the index of its native pixel."""
        return np.repeat(np.arange(self.count), np.diff(self.bounds))
