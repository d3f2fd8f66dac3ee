"""Which colour to look for in a shop: the sprite's, toned down, since screens are purer than leather."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from pixel2make.color import tone_down
from pixel2make.design.model import Part
from pixel2make.kinds.book.areas import main_region
from pixel2make.reading.model import Reading

__all__ = ["colored"]

_ENDPAPER_CHROMA = 0.35
"""Share of the cover's chroma in the endpapers: quieter than the leather they lie beside."""

_SOURCES = {
    "covering": ("cover",),
    "covering_spine": ("spine", "cover"),
    "covering_corner": ("spine", "cover"),
    "covering_side": ("cover",),
    "text_block_leaf": ("page_edge",),
    "endpaper": ("cover",),
    "headband": ("border", "emblem", "title_area", "page_edge"),
}
"""By part, the features whose colour it takes; the first that was drawn."""


def colored(parts: Sequence[Part], reading: Reading) -> tuple[Part, ...]:
    """The parts with the colour of what they were drawn as; those that do not show keep none."""
    return tuple(replace(part, color=_color(part, reading)) for part in parts)


def _color(part: Part, reading: Reading) -> str:
    own = [feature for feature in reading.features if feature.id == part.name]
    for word in _SOURCES.get(part.name, ()):
        own += [feature for feature in reading.features if feature.feature == word]
    for feature in own:
        region = main_region(reading, np.asarray(feature.mask))
        if region is not None:
            if part.name == "endpaper":
                return tone_down(region.color, chroma=_ENDPAPER_CHROMA)
            return tone_down(region.color)
    return ""
