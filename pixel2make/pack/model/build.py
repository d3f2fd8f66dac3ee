"""A design to the closed book as solids."""

from __future__ import annotations

from functools import lru_cache

from pixel2make.design.model import Design
from pixel2make.pack.model.block import block_solids
from pixel2make.pack.model.case import bands, boards, joints, spine
from pixel2make.pack.model.frame import Frame
from pixel2make.pack.model.furniture import furniture_solids
from pixel2make.pack.model.inlays import area_solids, binding_solids
from pixel2make.pack.model.paint import book_colors
from pixel2make.pack.model.solid import Model

__all__ = ["model_of"]


@lru_cache(maxsize=1)
def model_of(design: Design) -> Model:
    """The closed book as built.

    Parameters
    ----------
    design : Design

    Returns
    -------
    Model
        Every solid closed, its faces winding outwards, in the colours of the sprite.
    """
    frame, colors = Frame(design), book_colors(design)
    return Model(
        frame.size,
        (
            *block_solids(frame, colors),
            *boards(frame, colors),
            *joints(frame, colors),
            spine(frame, colors),
            *bands(frame, colors),
            *binding_solids(frame, colors),
            *area_solids(frame),
            *furniture_solids(frame),
        ),
    )
