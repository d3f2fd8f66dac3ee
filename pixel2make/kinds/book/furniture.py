"""What is fitted to the book besides metalwork: straps and ribbon."""

from __future__ import annotations

import math

from shapely.geometry import box

from pixel2make import trade
from pixel2make.design.kind import Lengths
from pixel2make.design.model import Part
from pixel2make.design.scale import Scaled, feature_masks
from pixel2make.design.span import Span
from pixel2make.quantity import Dimension

__all__ = ["bookmarks", "straps"]

_STRAP_FACES = ("cover", "fore_edge", "spine", "back", "head", "tail")
"""A strap is measured where the most of it is to be seen; these faces are tried in turn."""


def straps(scaled: Scaled, lengths: Lengths) -> tuple[tuple[Part, ...], tuple[Dimension, ...]]:
    """One leather strap for each that is drawn on the cover, or on an edge where none is on the cover."""
    drawn = [feature for feature in scaled.reading.features if feature.feature == "strap"]
    by_face = [(feature, feature_masks(scaled.reading, feature)) for feature in drawn]
    on_cover = [pair for pair in by_face if "cover" in pair[1]]
    parts: list[Part] = []
    dimensions: list[Dimension] = []
    for feature, masks in on_cover or by_face:
        face = next((name for name in _STRAP_FACES if name in masks), None)
        place = scaled.box(masks[face], face) if face else None
        if face is None or place is None:
            continue
        across = place.width.value >= place.height.value
        width, drawn_length = (place.height, place.width) if across else (place.width, place.height)
        length, rule = _strap_length(lengths, drawn_length, wraps=across and face in ("cover", "back"))
        name = feature.id.replace("-", "_")
        thickness = trade.value("covering.strap_thickness")
        parts.append(
            Part(feature.id, "leather", 1, thickness.number, box(0, 0, length.value, width.value), None)
        )
        dimensions += [
            width.dimension(
                f"{name}_width", "sprite", "across the strap, as drawn", scaled.proportions.source
            ),
            length.dimension(f"{name}_length", "rule", rule, "common practice"),
        ]
    return tuple(parts), tuple(dimensions)


def _strap_length(lengths: Lengths, drawn: Span, *, wraps: bool) -> tuple[Span, str]:
    """A strap over the fore-edge reaches as far onto the back as onto the front.

    It turns round two edges at half the thickness of the covering, a quarter circle each.
    """
    if not wraps:
        turn_in = lengths["turn_in"]
        return drawn + 2 * turn_in, "as drawn, and a turn-in at both ends"
    turns = math.pi / 2 * lengths["covering_thickness"]
    thickness = Span.of(lengths.dimension("book_thickness"))
    return (
        drawn * 2 + thickness + turns,
        "reach on both covers, closed thickness and two turns round the edges",
    )


def bookmarks(scaled: Scaled, lengths: Lengths) -> tuple[Part, ...]:
    """A ribbon for each that is drawn: the diagonal of the leaf and a tail."""
    diagonal = math.hypot(lengths["leaf_width"], lengths["leaf_height"])
    length = diagonal + trade.value("covering.bookmark_extra").number
    widths = trade.value("covering.bookmark_width").value
    leaf = lengths["leaf_height"]
    width = widths["least" if leaf <= _leaf_mm("A7") else "small" if leaf <= _leaf_mm("A5") else "large"]
    thickness = trade.value("covering.bookmark_thickness").number
    return tuple(
        Part(feature.id, "ribbon", 1, thickness, box(0, 0, width, length), None, is_cut=False)
        for feature in scaled.reading.features
        if feature.feature == "bookmark"
    )


def _leaf_mm(name: str) -> float:
    """Height of an ISO 216 leaf: up to A7 a book is a tiny one, up to A5 a small one."""
    return float(trade.value("paper.iso216.a").value[name][1])
