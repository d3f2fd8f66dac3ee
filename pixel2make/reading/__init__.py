"""Reading: what is drawn, how it is turned, and how sure that is."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

from pixel2make.reading.model import (
    FACES,
    VIEW_KINDS,
    Band,
    Candidate,
    Face,
    Feature,
    Overrides,
    Patch,
    Proportions,
    Question,
    Reading,
    Rounding,
    View,
)

if TYPE_CHECKING:
    from pixel2make.reading.interpreting import interpret
    from pixel2make.reading.show import show_png

__all__ = [
    "FACES",
    "VIEW_KINDS",
    "Band",
    "Candidate",
    "Face",
    "Feature",
    "Overrides",
    "Patch",
    "Proportions",
    "Question",
    "Reading",
    "Rounding",
    "View",
    "interpret",
    "show_png",
]

_WORK = {"interpret": "pixel2make.reading.interpreting", "show_png": "pixel2make.reading.show"}


def __getattr__(name: str) -> Any:
    """Import the work on first use; the values alone are cheap."""
    if name in _WORK:
        value = getattr(importlib.import_module(_WORK[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
