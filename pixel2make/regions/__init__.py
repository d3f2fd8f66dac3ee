"""Regions: a sprite told apart into connected areas of one material, and its drawn contour."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from pixel2make.regions.model import Halo, Light, Region, RegionMap

if TYPE_CHECKING:
    from pixel2make.regions.finding import segment
    from pixel2make.regions.part import region_of

__all__ = ["Halo", "Light", "Region", "RegionMap", "region_of", "segment"]


def __getattr__(name: str) -> Any:
    """Import the work on first use; the values alone are cheap."""
    if name == "segment":
        return importlib.import_module("pixel2make.regions.finding").segment
    if name == "region_of":
        return importlib.import_module("pixel2make.regions.part").region_of
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
