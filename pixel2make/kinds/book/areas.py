"""Which features are gilded, painted or lettered, and on which face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray

from pixel2make import trade
from pixel2make.design.kind import ChoiceKey
from pixel2make.design.model import Area
from pixel2make.design.outlines import outline_on_face
from pixel2make.design.scale import Scaled, feature_masks
from pixel2make.reading.model import Reading
from pixel2make.regions.model import Region

__all__ = ["AREA_FEATURES", "book_areas", "main_region", "metal_of", "treatment_keys"]

AREA_FEATURES = ("emblem", "border", "corner_piece", "title_area")
"""Features that lie flat on a face as colour; corner pieces may be cut from metal instead."""

_QUESTIONS: Mapping[str, tuple[str, tuple[str, ...], str]] = {
    "emblem": ("How is the emblem made?", ("by_color", "gilded", "painted"), "by_color"),
    "border": ("How is the border made?", ("by_color", "gilded", "painted"), "by_color"),
    "corner_piece": (
        "How are the corner pieces made? Metal ones are cut from sheet.",
        ("by_color", "gilded", "painted", "metal"),
        "by_color",
    ),
    "title_area": ("How is the title made?", ("lettering", "gilded", "painted"), "lettering"),
}


def treatment_keys(reading: Reading) -> Iterator[ChoiceKey]:
    """One question for each kind of area; asked where one was drawn."""
    drawn = {feature.feature for feature in reading.features}
    for word in AREA_FEATURES:
        question, options, default = _QUESTIONS[word]
        yield ChoiceKey(word, question, options, default, is_asked=word in drawn)


def metal_of(lab: tuple[float, float, float]) -> str | None:
    """ "gold" or "silver" where a colour is drawn like one, else None.

    Gold is a yellow of middle hue that is neither pale (paper) nor dark (leather); silver a light grey
    that is not white. Limits are those of "gilding.gold_*" and "gilding.silver_*", in CIELAB.

    >>> metal_of((73.9, 5.6, 62.0)), metal_of((77.7, 0.0, 0.0)), metal_of((37.5, 26.4, 41.0))
    ('gold', 'silver', None)
    """
    lightness, a, b = lab
    chroma, hue = math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360
    low, high = trade.value("gilding.gold_hue").numbers
    if (
        low <= hue <= high
        and chroma >= trade.value("gilding.gold_chroma").number
        and lightness >= trade.value("gilding.gold_lightness").number
    ):
        return "gold"
    low, high = trade.value("gilding.silver_lightness").numbers
    if low <= lightness <= high and chroma < trade.value("gilding.silver_chroma").number:
        return "silver"
    return None


def main_region(reading: Reading, mask: NDArray[np.bool_]) -> Region | None:
    """The region that most pixels of a mask belong to; of equals the first."""
    labels = reading.regions.labels[mask]
    labels = labels[labels > 0]
    if not labels.size:
        return None
    ids, counts = np.unique(labels, return_counts=True)
    wanted = int(ids[int(np.argmax(counts))])
    return next((region for region in reading.regions.regions if region.id == wanted), None)


def book_areas(scaled: Scaled) -> tuple[Area, ...]:
    """Gilded, painted and lettered areas in the order of the features, one for each face they lie on."""
    return tuple(
        area
        for feature in scaled.reading.features
        if feature.feature in AREA_FEATURES and scaled.taken.get(feature.feature) != "metal"
        for area in _areas_of(scaled, feature.id)
    )


def _areas_of(scaled: Scaled, feature_id: str) -> Iterator[Area]:
    feature = next(f for f in scaled.reading.features if f.id == feature_id)
    masks = feature_masks(scaled.reading, feature)
    for face, mask in masks.items():
        width, height = scaled.face_size(face)
        size, style = (width.value, height.value), str(scaled.taken["outline"])
        outline = outline_on_face(scaled.reading, face, mask, size, style=style)
        if outline is None:
            continue
        name = feature.id if face == feature.face or len(masks) == 1 else f"{feature.id}.{face}"
        region = main_region(scaled.reading, mask)
        treatment, why = _treatment(str(scaled.taken[feature.feature]), region)
        color = region.color if region else "#000000"
        yield Area(name, feature.feature, face, treatment, color, outline, why)


def _treatment(taken: str, region: Region | None) -> tuple[str, str]:
    if taken != "by_color":
        if taken == "lettering":
            return "lettering", "A title is lettered."
        return taken, "Chosen by the maker."
    metal = metal_of(region.lab) if region else None
    if region and metal:
        leaf = "gold leaf" if metal == "gold" else "silver leaf"
        return "gilded", f"Its colour {region.color} is drawn like {metal}: {leaf}."
    color = f" {region.color}" if region else ""
    return "painted", f"Its colour{color} is drawn like paint."
