"""Parallel projections of the object's frame onto a picture."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

__all__ = ["Camera", "fitted", "from_rows", "looking_from"]

Array = NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Camera:
    """A parallel projection, square to the picture or oblique.

    Attributes
    ----------
    rows_px : ndarray of shape (2, 3)
        Picture x (right) and y (down) of a millimetre along each axis of the object.
    offset_px : (x, y)
        Where the object's origin lies in the picture.
    towards : ndarray of shape (3,)
        Unit vector along the rays, from the object to the eye.
    """

    rows_px: Array
    offset_px: tuple[float, float]
    towards: Array

    def project(self, points_mm: Array) -> Array:
        """Picture x, picture y and nearness in mm (larger is nearer) of points (N, 3)."""
        flat = points_mm @ self.rows_px.T + self.offset_px
        return np.column_stack([flat, points_mm @ self.towards])

    @property
    def matrix(self) -> Array:
        """Rows of `project` as one (3, 3) matrix; its inverse takes pictures back to the object."""
        return np.vstack([self.rows_px, self.towards])

    @property
    def right(self) -> Array:
        """Unit vector of the object that runs to the right in the picture, square to the rays."""
        return self._square(self.rows_px[0])

    @property
    def up(self) -> Array:
        """Unit vector of the object that runs up in the picture, square to the rays."""
        return self._square(-self.rows_px[1])

    def _square(self, vector: Array) -> Array:
        along = vector - (vector @ self.towards) * self.towards
        return np.asarray(along / np.linalg.norm(along))

    def scaled(self, factor: float, offset_px: tuple[float, float] = (0.0, 0.0)) -> Camera:
        """The same picture larger, then moved."""
        x, y = self.offset_px
        moved = (x * factor + offset_px[0], y * factor + offset_px[1])
        return Camera(self.rows_px * factor, moved, self.towards)


def from_rows(rows_px: Array, offset_px: tuple[float, float], facing: Sequence[float]) -> Camera:
    """The projection with these rows, seen from the side that `facing` points to."""
    rays = np.cross(rows_px[0], rows_px[1])
    length = float(np.linalg.norm(rays))
    if length < 1e-12:
        raise ValueError("a projection shows two directions at least")
    rays = rays / length
    return Camera(np.asarray(rows_px, float), offset_px, rays if rays @ np.asarray(facing) >= 0 else -rays)


def looking_from(towards: Sequence[float] | Array, up: Sequence[float] | Array) -> Camera:
    """A projection square to the picture, one pixel for a millimetre, its origin at the object's.

    Parameters
    ----------
    towards : vector
        From the object to the eye.
    up : vector
        What stands upright in the picture; not along `towards`.
    """
    eye = np.asarray(towards, float) / np.linalg.norm(towards)
    right = np.cross(np.asarray(up, float), eye)
    right = right / np.linalg.norm(right)
    return Camera(np.vstack([right, -np.cross(eye, right)]), (0.0, 0.0), eye)


def fitted(camera: Camera, points_mm: Array, size: tuple[int, int], margin: tuple[float, float]) -> Camera:
    """The projection enlarged and moved so that the points fill a picture of that size.

    Parameters
    ----------
    size : (width, height)
        Of the picture in pixels.
    margin : (x, y)
        Left free on each side, in pixels.
    """
    flat = camera.project(points_mm)[:, :2]
    low, high = flat.min(axis=0), flat.max(axis=0)
    room = np.asarray(size, float) - 2 * np.asarray(margin, float)
    factor = float((room / np.maximum(high - low, 1e-9)).min())
    middle = (low + high) / 2 * factor
    x, y = np.asarray(size) / 2 - middle
    return camera.scaled(factor, (float(x), float(y)))
