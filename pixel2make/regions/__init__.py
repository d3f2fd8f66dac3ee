"""Regions: a sprite told apart into connected areas of one material, and its drawn contour."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from pixel2make.regions.model import Halo, Light, Region, RegionMap

if TYPE_CHECKING:
    from pixel2make.regions.finding import segment

__all__ = ["Halo", "Light", "Region", "RegionMap", "segment"]


def __getattr__(name: str) -> Any:
    """Import the work on first use; the values alone are cheap."""
    if name == "segment":
        return importlib.import_module("pixel2make.regions.finding").segment
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
