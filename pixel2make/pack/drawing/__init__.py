"""Drawings for the workshop: the general arrangement, and the toolkit that other sheets share."""

from pixel2make.pack.drawing.arrangement import general_arrangement
from pixel2make.pack.drawing.check import overlaps

__all__ = ["general_arrangement", "overlaps"]
