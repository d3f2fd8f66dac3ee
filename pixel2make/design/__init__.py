"""Reading to Design: real dimensions, parts, areas, clasps, order of work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pixel2make.design.dimensioning import choice_keys, dimension

__all__ = ["choice_keys", "dimension"]


def __getattr__(name: str) -> Any:
    """Import on first use: the face costs nothing until a design is made."""
    if name in __all__:
        from importlib import import_module

        return getattr(import_module("pixel2make.design.dimensioning"), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
