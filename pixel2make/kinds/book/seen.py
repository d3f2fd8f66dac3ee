"""Which dimensions can be measured on the closed book; all others belong to the bench."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

from pixel2make.quantity import Dimension

__all__ = ["seen"]

_SEEN = re.compile(
    r"cover_(height|width)|book_thickness|board_(height|width|thickness)|square|leaf_(height|width)"
    r"|joint_gap|spine(_piece)?_width|sewn_spine_thickness|block_thickness|corner_radius|bevel_(width|depth)"
    r"|band_\w+|headband_rise|clasp_\d+_(width|plate_length|span)|(strap|corner_piece)_\d+_\w+"
    r"|balance_from_spine"
)


def seen(dimensions: Iterable[Dimension]) -> tuple[Dimension, ...]:
    """The same, each with whether a rule laid on the closed book would find it."""
    return tuple(replace(d, is_seen=_SEEN.fullmatch(d.name) is not None) for d in dimensions)
