"""Which features are gilded, painted or lettered, and on which face."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon

from pixel2make import trade
from pixel2make.design.facegrid import cells_on_face
from pixel2make.design.finishing import finishing_of
from pixel2make.design.kind import ChoiceKey
from pixel2make.design.model import Area
from pixel2make.design.outlines import OUTLINE_STYLES, outlines_on_face
from pixel2make.design.repair import Grid, repaired_areas
from pixel2make.design.scale import Scaled, feature_masks
from pixel2make.reading.model import Feature, Reading
from pixel2make.regions.model import Region
from pixel2make.regions.part import region_of

__all__ = [
    "AREA_FEATURES",
    "book_areas",
    "main_region",
    "metal_of",
    "outline_keys",
    "style_of",
    "treatment_keys",
]

AREA_FEATURES = ("emblem", "border", "corner_piece", "title_area")
"""Features that lie flat on a face as colour; corner pieces and emblems may be made of metal instead."""

AS_ALL = "as_outline"
"""An area's own line style where it has none of its own."""

_QUESTIONS: Mapping[str, tuple[str, tuple[str, ...], str]] = {
    "emblem": (
        "How is the emblem made? One of metal is a boss.",
        ("by_color", "gilded", "painted", "metal"),
        "by_color",
    ),
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
    """The region that most pixels of a mask belong to, in their colour; None off the object."""
    return region_of(reading.regions, mask)


def book_areas(scaled: Scaled) -> tuple[Area, ...]:
    """Gilded, painted and lettered areas in the order of the features, one for each face they lie on."""
    drawn = [
        (feature, face, mask)
        for feature in scaled.reading.features
        if feature.feature in AREA_FEATURES and scaled.taken.get(feature.feature) != "metal"
        for face, mask in feature_masks(scaled.reading, feature).items()
    ]
    outlines: dict[str, dict[str, Polygon | MultiPolygon]] = {}
    for face in dict.fromkeys(face for _, face, _ in drawn):
        width, height = scaled.face_size(face)
        on_face = {feature.id: (feature, mask) for feature, other, mask in drawn if other == face}
        outlines[face] = outlines_on_face(
            scaled.reading,
            face,
            {name: mask for name, (_, mask) in on_face.items()},
            (width.value, height.value),
            styles={name: style_of(scaled.taken, f.feature) for name, (f, _) in on_face.items()},
        )
    areas = tuple(
        _area(scaled, feature, face, mask, outlines[face][feature.id])
        for feature, face, mask in drawn
        if feature.id in outlines[face]
    )
    finishing = finishing_of(scaled.taken)
    if not finishing.is_repaired:
        return areas
    grids = {face: _grid(scaled, face) for face in outlines}
    return repaired_areas(areas, finishing.tool, grids)


def style_of(taken: Mapping[str, str | float], feature: str) -> str:
    """Line style of a kind of area: its own answer, or the one for all."""
    own = str(taken.get(f"{feature}_outline", AS_ALL))
    return str(taken["outline"]) if own == AS_ALL else own


def outline_keys(reading: Reading) -> Iterator[ChoiceKey]:
    """One question for each kind of area about its lines; asked where one was drawn."""
    drawn = {feature.feature for feature in reading.features}
    for word in AREA_FEATURES:
        question = f"How do the outlines of the {word.replace('_', ' ')} run, if not as all the others?"
        yield ChoiceKey(
            f"{word}_outline", question, (AS_ALL, *OUTLINE_STYLES), AS_ALL, is_asked=word in drawn
        )


def _area(
    scaled: Scaled, feature: Feature, face: str, mask: NDArray[np.bool_], outline: Polygon | MultiPolygon
) -> Area:
    is_alone = len(feature_masks(scaled.reading, feature)) == 1
    name = feature.id if face == feature.face or is_alone else f"{feature.id}.{face}"
    region = main_region(scaled.reading, mask)
    treatment, why = _treatment(str(scaled.taken[feature.feature]), region)
    color = region.color if region else "#000000"
    return Area(name, feature.feature, face, treatment, color, outline, why)


def _grid(scaled: Scaled, face: str) -> Grid:
    """Centres of the face's own pixels."""
    found = next(f for f in scaled.reading.faces if f.name == face)
    cells = cells_on_face(found, found.mask)
    width, height = (span.value for span in scaled.face_size(face))
    rows, columns = np.nonzero(cells.mask)
    xs = (cells.origin[0] + cells.step[0] * (columns + 0.5)) * width
    ys = (cells.origin[1] + cells.step[1] * (rows + 0.5)) * height
    return Grid(tuple(zip(xs.tolist(), ys.tolist(), strict=True)))


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
