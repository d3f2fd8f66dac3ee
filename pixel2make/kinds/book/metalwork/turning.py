"""Turns about the book's axes."""

from __future__ import annotations

import math

import numpy as np

from pixel2make.geometry.folded import Matrix
from pixel2make.geometry.pieces import moved

__all__ = ["about_x", "about_y", "swung", "turn_about_y"]


def about_y() -> Matrix:
    """A turned piece's axis z laid along the book's height."""
    return np.array([[1.0, 0, 0, 0], [0, 0, 1, 0], [0, -1, 0, 0], [0, 0, 0, 1]])


def turn_about_y(angle_deg: float) -> Matrix:
    """Right-handed about y: z turns towards x."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[c, 0, s, 0], [0, 1, 0, 0], [-s, 0, c, 0], [0, 0, 0, 1]], float)


def swung(x_mm: float, z_mm: float, angle_deg: float) -> Matrix:
    """Turned outwards about a line along the book's height at (x, z): what hangs below it moves away from
    the fore-edge, what lies on the spine's side of it rises."""
    return moved(x_mm, 0.0, z_mm) @ turn_about_y(-angle_deg) @ moved(-x_mm, 0.0, -z_mm)


def about_x() -> Matrix:
    """A turned piece's axis z laid outwards from the fore-edge."""
    return np.array([[0.0, 0, 1, 0], [1, 0, 0, 0], [0, 1, 0, 0], [0, 0, 0, 1]])
