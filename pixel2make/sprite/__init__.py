"""The picture file, read onto its native pixel grid with the object told from its background."""

from __future__ import annotations

import importlib
from typing import Any

_FACE = {
    "Grid": "pixel2make.sprite.model",
    "Sprite": "pixel2make.sprite.model",
    "cells_of": "pixel2make.sprite.cells",
    "load_sprite": "pixel2make.sprite.load",
    "parse_cell": "pixel2make.sprite.part",
    "parse_region": "pixel2make.sprite.part",
}

__all__ = ["Grid", "Sprite", "cells_of", "load_sprite", "parse_cell", "parse_region"]


def __getattr__(name: str) -> Any:
    """Import on first use, so that a command that is only asked for its help starts at once."""
    if name in _FACE:
        return getattr(importlib.import_module(_FACE[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
