"""What a kind of object is: it answers the reading and the design."""

from __future__ import annotations

from typing import Protocol

from pixel2make.design.kind import DesignKind
from pixel2make.reading.kind import ReadingKind

__all__ = ["Kind"]


class Kind(ReadingKind, DesignKind, Protocol):
    """All that the stages ask; see the two protocols."""
