"""pixel2make: from the sprite of an item to a build pack for the real object."""

from __future__ import annotations

import importlib
from typing import Any

__version__ = "0.1.0"

_FACE = {
    "CoverText": "pixel2make.api",
    "Design": "pixel2make.design.model",
    "Pack": "pixel2make.api",
    "Pixel2MakeError": "pixel2make.errors",
    "Reading": "pixel2make.reading.model",
    "RegionMap": "pixel2make.regions.model",
    "Source": "pixel2make.api",
    "Sprite": "pixel2make.sprite.model",
    "build_pack": "pixel2make.api",
    "dimension": "pixel2make.api",
    "export": "pixel2make.api",
    "interpret": "pixel2make.api",
    "load_sprite": "pixel2make.api",
    "make_plan": "pixel2make.api",
    "measure": "pixel2make.api",
    "open_source": "pixel2make.api",
    "read_cells": "pixel2make.api",
    "segment": "pixel2make.api",
}

__all__ = sorted(_FACE)


def __getattr__(name: str) -> Any:
    """Import on first use, so that ``import pixel2make`` and the command's help start at once."""
    if name in _FACE:
        return getattr(importlib.import_module(_FACE[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return [*__all__, "__version__"]
