"""The spine at its exact size, with bands and lettering in place.

The page is the spine seen face on: head at the top, as wide as the spine is between the boards.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from shapely.affinity import affine_transform
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from pixel2make import trade
from pixel2make.design.model import Design, Finding
from pixel2make.lettering import faces
from pixel2make.lettering.model import Lettering, Line
from pixel2make.lettering.setting import clean_text, fit_lines
from pixel2make.pack.cover_marks import add_bar, add_lettering
from pixel2make.pack.cover_sizes import capital_mm, least_capital_mm, low_lines
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.quantity import rounded_down, rounded_up

__all__ = ["SPINE_WIDTHS", "spine_findings", "spine_layout"]

SPINE_WIDTHS = ("spine_piece_width", "book_thickness")
"""Dimensions that tell how wide a spine is to the eye, the first that an object has."""


@dataclass(frozen=True, eq=False)
class _Spine:
    """A spine with its lettering.

    Attributes
    ----------
    width_mm, height_mm : float
    bands : tuple of (float, float)
        Upper and lower edge of each raised band.
    lettering : Lettering
        Set level in a box at (0, 0); `turned` puts it in place.
    place_mm : (x, y, width, height)
        What lettering may fill.
    direction : str
    """

    width_mm: float
    height_mm: float
    bands: tuple[tuple[float, float], ...]
    lettering: Lettering
    place_mm: tuple[float, float, float, float]
    direction: str

    def turned(self, shape: BaseGeometry) -> BaseGeometry:
        """A shape of the level lettering on the page."""
        x, y, width, height = self.place_mm
        if self.direction == "down":
            return affine_transform(shape, (0, -1, 1, 0, x + width, y))
        if self.direction == "up":
            return affine_transform(shape, (0, 1, -1, 0, x, y + height))
        return affine_transform(shape, (1, 0, 0, 1, x, y))


def spine_layout(
    design: Design, *, title: str, byline: str | None = None, face: str | Path = "engraved"
) -> Drawing | None:
    """The spine laid out at 1 : 1; None where it has no lettering, or no place for any that can be made.

    A byline that would come out too low is left out.

    Raises
    ------
    DesignError
        Characters that the face lacks.
    """
    spine = _as_drawn(design, title, byline, face)
    if spine is None or _is_low(spine, "title"):
        return None
    page = DrawingBuilder(spine.width_mm, spine.height_mm, "Spine, layout")
    page.rectangle("visible", 0.0, 0.0, spine.width_mm, spine.height_mm)
    for top, bottom in spine.bands:
        page.line("detail", (0, top), (spine.width_mm, top))
        page.line("detail", (0, bottom), (spine.width_mm, bottom))
    page.rectangle("mark", *spine.place_mm)
    add_lettering(page, [spine.turned(glyph.shape) for glyph in spine.lettering], "detail")
    x, y, width, height = spine.place_mm
    taken = box(x, y, x + width, y + height)
    for top, bottom in spine.bands:
        taken = taken.union(box(0, top, spine.width_mm, bottom))
    add_bar(page, box(0, 0, spine.width_mm, spine.height_mm), taken, "spine", design.units)
    return page.build()


def spine_findings(
    design: Design, *, title: str, byline: str | None = None, face: str | Path = "engraved"
) -> Iterator[Finding]:
    """Says that a spine is too narrow for its title or its byline, with the size that would do."""
    drawn = _as_drawn(design, title, byline, face)
    if drawn is None:
        return
    if _is_low(drawn, "title"):
        yield _too_narrow(drawn)
        return
    asked = drawn if byline is None else _spine(design, title, byline, face)
    if asked is not None:
        height = design.dimension("cover_height").value_mm
        low = low_lines(asked.lettering, on="spine", book_mm=height, then=", so it is left out there")
        yield from (finding for finding in low if finding.subject == "spine_byline")


def _too_narrow(spine: _Spine) -> Finding:
    capital, least = spine.lettering.capital_mm, trade.value("lettering.least_capital")
    other_way = "along" if spine.direction == "across" else "across"
    return Finding(
        "spine-too-narrow",
        "spine",
        f"The spine is {rounded_down(spine.width_mm)} mm wide: its lettering would have capitals of "
        f"{rounded_down(capital, 2)} mm, made by hand they have at least {least.number:g} mm, so none is "
        f"drawn; a book {rounded_up(least.number / capital, 2)} times as large would do, or fewer words, or "
        f"lettering that runs {other_way} the spine.",
        math.floor(capital * 1000) / 1000,
        least.number,
        least.cited,
    )


def _is_low(spine: _Spine, name: str) -> bool:
    return capital_mm(spine.lettering, name) < least_capital_mm()


def _as_drawn(design: Design, title: str, byline: str | None, face: str | Path) -> _Spine | None:
    """The spine as it was asked for, without its byline where that would be too low."""
    spine = _spine(design, title, byline, face)
    if spine is None or byline is None or not _is_low(spine, "byline"):
        return spine
    return _spine(design, title, None, face)


def _spine(design: Design, title: str, byline: str | None, face: str | Path) -> _Spine | None:
    lengths = {dimension.name: dimension.value_mm for dimension in design.dimensions}
    width = next((lengths[name] for name in SPINE_WIDTHS if name in lengths), None)
    height = lengths.get("board_height", lengths.get("cover_height"))
    direction = str(design.taken.get("spine_lettering", "usual"))
    if width is None or height is None or direction == "none":
        return None
    bands = tuple(_bands(lengths))
    if direction == "usual":
        direction = "across" if bands else "down"
    place = _place(width, height, bands, is_across=direction == "across")
    if min(place[2:]) <= 0:
        return None
    sizes = trade.value("lettering.sizes").value
    named = (("title", title), ("byline", byline))
    # Several lines of a title run on along a spine; across it they are broken anew.
    blocks = [Line(clean_text(text), float(sizes[name]), name) for name, text in named if text is not None]
    chosen = faces.face_for(face, "".join(block.text for block in blocks) + " ")
    box_mm = place[2:] if direction == "across" else (place[3], place[2])
    return _Spine(width, height, bands, fit_lines(blocks, chosen, box_mm=box_mm), place, direction)


def _bands(lengths: dict[str, float]) -> Iterator[tuple[float, float]]:
    breadth = lengths.get("band_width", 0.0)
    number = 1
    while (middle := lengths.get(f"band_{number}_from_head")) is not None:
        yield middle - breadth / 2, middle + breadth / 2
        number += 1


def _place(
    width: float, height: float, bands: tuple[tuple[float, float], ...], *, is_across: bool
) -> tuple[float, float, float, float]:
    """The second panel from the head between bands, else the middle of a smooth spine, margins taken off."""
    side = trade.value("lettering.spine_margin").number * width
    panels = [
        (low, high)
        for low, high in zip([0.0, *(b for _, b in bands)], [*(a for a, _ in bands), height], strict=True)
        if high > low
    ]
    if len(panels) > 1:
        wanted = int(trade.value("lettering.spine_panel").number) - 1
        top, bottom = panels[min(wanted, len(panels) - 1)]
        clear = min(side, (bottom - top) * trade.value("lettering.spine_margin").number)
        return side, top + clear, width - 2 * side, bottom - top - 2 * clear
    if is_across:
        third = height * trade.value("lettering.title_height").number
        return side, side, width - 2 * side, third - side
    length = height * trade.value("lettering.spine_length").number
    return side, (height - length) / 2, width - 2 * side, length
