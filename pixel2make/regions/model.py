"""What the regions stage hands on: a label for every native pixel."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pixel2make.errors import ReadingError
from pixel2make.sprite.model import Sprite

__all__ = ["Halo", "Light", "Region", "RegionMap"]


@dataclass(frozen=True)
class Light:
    """Where the drawn light comes from.

    Attributes
    ----------
    direction_px : tuple of float
        Unit vector (x, y) in the picture pointing towards the light; (-0.7, -0.7) is upper left.
    confidence : float
    why : str
    """

    direction_px: tuple[float, float]
    confidence: float
    why: str


@dataclass(frozen=True, eq=False)
class Halo:
    """Opaque glow or cast shadow round an object: background, though it is painted.

    Attributes
    ----------
    kind : {"glow", "shadow"}
    mask : ndarray of shape (M, N), bool
        Its pixels, which are part of the sprite's background. Read-only.
    confidence : float
    why : str
    """

    kind: str
    mask: NDArray[np.bool_]
    confidence: float
    why: str

    def __post_init__(self) -> None:
        mask = np.array(self.mask, bool)
        mask.flags.writeable = False
        object.__setattr__(self, "mask", mask)


@dataclass(frozen=True)
class Region:
    """One connected area of one material (4-connected: pixels that share an edge).

    Attributes
    ----------
    id : int
        1..K, in raster order of each region's first pixel.
    material : int
        Regions of like colour share a material, 0..; the contour has a material of its own.
    is_contour : bool
        True for the drawn contour, the line that parts the object from the background and
        its faces from each other.
    area_px : int
    bbox : tuple of int
        (x0, y0, x1, y1) along pixel edges: a single pixel (3, 5) has (3, 5, 4, 6).
    lab : tuple of float
        CIELAB (D65, 2 degree) of the region's middle shade.
    color : str
        sRGB hex of the middle shade, "#d8b040"; always a colour that occurs in the region.
    shades : tuple of str
        All sRGB colours of the region, darkest first.
    """

    id: int
    material: int
    is_contour: bool
    area_px: int
    bbox: tuple[int, int, int, int]
    lab: tuple[float, float, float]
    color: str
    shades: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class RegionMap:
    """Labels for every native pixel of a sprite.

    Attributes
    ----------
    sprite : Sprite
        Its background holds the halo, too.
    labels : ndarray of shape (M, N), int32
        0 for background, else the region's id. Read-only.
    regions : tuple of Region
        In order of id.
    light : Light or None
        None where the shading shows no direction.
    halo : tuple of Halo
        Opaque glow and cast shadow, outermost first.
    """

    sprite: Sprite
    labels: NDArray[np.int32]
    regions: tuple[Region, ...]
    light: Light | None = None
    halo: tuple[Halo, ...] = ()

    def __post_init__(self) -> None:
        labels = np.array(self.labels, dtype=np.int32)
        if labels.shape != self.sprite.shape:
            raise ReadingError(f"labels have shape {self.sprite.shape}, got {labels.shape}")
        labels.flags.writeable = False
        object.__setattr__(self, "labels", labels)

    def mask(self, region_id: int) -> NDArray[np.bool_]:
        """Pixels of one region, shape (M, N)."""
        return np.asarray(self.labels == region_id)

    @property
    def contour(self) -> NDArray[np.bool_]:
        """Pixels of the drawn contour, shape (M, N)."""
        ids = [region.id for region in self.regions if region.is_contour]
        return np.isin(self.labels, ids)
