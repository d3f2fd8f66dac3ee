"""Which colour every surface has: the sprite's own, since the maker is to see what was drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from pixel2make.design.model import Design
from pixel2make.reading.model import Reading
from pixel2make.regions.part import region_of

__all__ = ["Colors", "book_colors", "main_color", "region_color"]

_LEATHER, _PAPER, _RIBBON = "#7a5a3a", "#efe6cf", "#a03030"
"""Where the drawing shows nothing of a thing: undyed leather, paper, a red ribbon."""


_GOOD_PART = 0.15
"""Share of the leaves' pixels; a highlight of a few is not their colour."""


@dataclass(frozen=True)
class Colors:
    """sRGB hex by surface; finishes of the covering.

    Attributes
    ----------
    cover, back, spine, joint, pages, endpaper : str
    side_finish : {"leather", "cloth"}
        Of the boards' sides.
    """

    cover: str
    back: str
    spine: str
    joint: str
    pages: str
    endpaper: str
    side_finish: str


def book_colors(design: Design) -> Colors:
    """The colours of the covering and the leaves.

    A covering in one piece has one colour, however the drawing shades the spine; only a quarter or half
    binding has a spine of its own.
    """
    reading = design.reading
    parts = {part.name: part for part in design.parts}
    cover = main_color(reading, ("cover", "back_cover", "spine"), _LEATHER)
    spine = main_color(reading, ("spine", "cover"), cover) if "covering_spine" in parts else cover
    sides = parts.get("covering_side", parts.get("covering"))
    endpaper = parts["endpaper"].color if "endpaper" in parts else ""
    return Colors(
        cover=cover,
        back=cover,
        spine=spine,
        joint=spine,
        pages=_page_color(reading),
        endpaper=endpaper or _PAPER,
        side_finish="cloth" if sides is not None and sides.material == "cloth" else "leather",
    )


def _page_color(reading: Reading) -> str:
    """The lightest colour that a good part of the drawn leaves has: the others are its shade."""
    masks = [feature.mask for feature in reading.features if feature.feature == "page_edge"]
    if not masks:
        return _PAPER
    labels = reading.regions.labels[np.any(masks, axis=0)]
    counts = np.bincount(labels, minlength=1)
    seen = [r for r in reading.regions.regions if r.id < len(counts) and counts[r.id]]
    share: dict[str, int] = {}
    for region in seen:
        share[region.color] = share.get(region.color, 0) + int(counts[region.id])
    usual = [r for r in seen if share[r.color] >= _GOOD_PART * len(labels)] or seen
    return max(usual, key=lambda r: (r.lab[0], -r.id)).color if usual else _PAPER


def main_color(reading: Reading, words: Sequence[str], default: str) -> str:
    """Colour of the region that most pixels of a feature belong to, the first word that was drawn."""
    for word in words:
        masks = [feature.mask for feature in reading.features if feature.feature == word]
        if masks:
            color = region_color(reading, np.any(masks, axis=0))
            if color:
                return color
    return default


def region_color(reading: Reading, mask: np.typing.NDArray[np.bool_]) -> str:
    """Colour of the region that most pixels of a mask belong to, the first of equals; "" for none."""
    region = region_of(reading.regions, mask)
    return region.color if region else ""
