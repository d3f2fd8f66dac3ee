"""The general arrangement as a file of the pack."""

from __future__ import annotations

from pixel2make.design.model import Design
from pixel2make.pack.drawing import general_arrangement
from pixel2make.pack.drawing.exploded import can_explode, exploded_view
from pixel2make.pack.drawing.layers import has_layers
from pixel2make.pack.drawing.section import section_drawing
from pixel2make.pack.pens import Drawing

__all__ = ["drawing_files"]


def drawing_files(design: Design) -> dict[str, Drawing]:
    """``drawing``: the closed book with its dimensions; ``section``: its layers; ``exploded``."""
    files = {"drawing": general_arrangement(design)}
    if has_layers(design):
        files["section"] = section_drawing(design)
    if can_explode(design):
        files["exploded"] = exploded_view(design)
    return files
