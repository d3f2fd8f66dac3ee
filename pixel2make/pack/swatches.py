"""Swatches: the sprite's colours, and what to look for in paint, thread, paper and leather.

Screen colours are purer than dyed things. Each material gets the drawn hue and lightness with less
chroma, but never so little that two neighbours in the drawing could be taken for one another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import box

from pixel2make import trade
from pixel2make.color import difference, rgb_of, srgb_to_lab, tone_down
from pixel2make.design.model import Design
from pixel2make.pack.face_page import NOTE_MM, wrapped
from pixel2make.pack.pens import Drawing, DrawingBuilder
from pixel2make.reading.model import Patch, Reading
from pixel2make.regions.part import region_of

__all__ = ["MATERIALS", "Swatch", "color_neighbours", "swatch_files", "swatch_sheet", "swatches", "toned"]

MATERIALS: tuple[str, ...] = tuple(trade.value("swatch_colors.chroma").value)

_STEP = 0.05
"""Chroma given back at a time where two neighbours came too close; finer steps cannot be seen."""

_PAGE_MM = 210.0
"""Width of an A4 sheet (ISO 216)."""

_EDGE_MM = 12.0
_NAME_MM = 38.0
_CELL_MM = 29.5
_TILE_MM = 13.0
_ROW_MM = 26.0
"""Layout of the sheet: names at the left, one cell for the sprite and for each material."""

_SMALL_MM = 1.8
"""Smallest lettering of ISO 3098."""


@dataclass(frozen=True)
class Swatch:
    """One colour of the drawing.

    Attributes
    ----------
    names : tuple of str
        Features that have it.
    color : str
        sRGB hex in the sprite.
    toned : mapping of str to str
        Hex by material.
    """

    names: tuple[str, ...]
    color: str
    toned: Mapping[str, str]


def toned(colors: Sequence[str], neighbours: Sequence[tuple[int, int]], *, chroma: float) -> tuple[str, ...]:
    """Colours with less chroma whose neighbours stay apart.

    Parameters
    ----------
    colors : sequence of str
        sRGB hex.
    neighbours : sequence of (int, int)
        Indices of colours that meet in the drawing.
    chroma : float
        0..1, share of the chroma that is kept in CIELCh at hue and lightness of the drawing.

    Returns
    -------
    tuple of str
        Two neighbours differ by CIEDE2000 10 at least ("swatch_colors.least_difference"), or by what they
        differ in the sprite where that is less. Where the wanted chroma does not do, both get chroma back in
        equal steps, in the end all of it.

    Examples
    --------
    >>> toned(["#c04040", "#808080"], [(0, 1)], chroma=0.0)[1]
    '#808080'
    """
    kept = [chroma] * len(colors)
    found = [tone_down(color, chroma=chroma) for color in colors]
    wanted = {pair: _wanted(*(colors[i] for i in pair)) for pair in sorted(set(neighbours))}
    close = [pair for pair in wanted if _apart(*(found[i] for i in pair)) < wanted[pair]]
    while close:
        for index in sorted({i for pair in close for i in pair}):
            kept[index] = min(1.0, kept[index] + _STEP)
            # All of the chroma is the drawn colour itself, free of rounding.
            is_whole = kept[index] == 1.0
            found[index] = colors[index] if is_whole else tone_down(colors[index], chroma=kept[index])
        close = [pair for pair in wanted if _apart(*(found[i] for i in pair)) < wanted[pair]]
    return tuple(found)


def color_neighbours(reading: Reading) -> tuple[tuple[str, ...], tuple[tuple[int, int], ...]]:
    """Colours of the regions in order of their first region, and which of them meet along a pixel edge."""
    by_region = {region.id: region.color for region in reading.regions.regions}
    labels = reading.regions.labels.copy()
    for patch in reading.patches:
        color = color_of_patch(reading, patch)
        if color != by_region.get(patch.region, ""):
            by_region[max(by_region) + 1] = color
            labels[patch.mask] = max(by_region)
    colors = tuple(dict.fromkeys(by_region.values()))
    place = {color: i for i, color in enumerate(colors)}
    pairs = np.concatenate(
        [
            np.stack([labels[:, :-1].ravel(), labels[:, 1:].ravel()], axis=1),
            np.stack([labels[:-1].ravel(), labels[1:].ravel()], axis=1),
        ]
    )
    met = set()
    for a, b in np.unique(pairs[(pairs > 0).all(axis=1)], axis=0).tolist():
        i, j = sorted((place[by_region[a]], place[by_region[b]]))
        if i != j:
            met.add((i, j))
    return colors, tuple(sorted(met))


def color_of_patch(reading: Reading, patch: Patch) -> str:
    """A patch's colour: its region's, or where it is drawn apart its own; "" for none."""
    own = next((r.color for r in reading.regions.regions if r.id == patch.region), "")
    if not patch.name.rsplit(".", 1)[-1].isdigit():
        return own
    region = region_of(reading.regions, patch.mask)
    return region.color if region else own


def swatches(design: Design) -> tuple[Swatch, ...]:
    """One swatch for each colour of the drawing, in order of its first region."""
    colors, neighbours = color_neighbours(design.reading)
    shares = trade.value("swatch_colors.chroma").value
    by_material = {name: toned(colors, neighbours, chroma=float(shares[name])) for name in MATERIALS}
    names = _names(design.reading)
    return tuple(
        Swatch(names.get(color, ("other",)), color, {name: by_material[name][i] for name in MATERIALS})
        for i, color in enumerate(colors)
    )


def swatch_sheet(design: Design) -> Drawing:
    """A sheet of swatches with sRGB hex and CIELAB (D65, 2 degree) below each."""
    found = swatches(design)
    notes = _notes(design)
    lines = [line for note in notes for line in wrapped(note, _PAGE_MM - 2 * _EDGE_MM)]
    top = _EDGE_MM + 14.0
    height = top + len(found) * _ROW_MM + (len(lines) + 2) * NOTE_MM * 1.9
    sheet = DrawingBuilder(_PAGE_MM, height, "Colours for real materials")
    sheet.rectangle("print", 0, 0, _PAGE_MM, height)
    sheet.text("Colours for real materials", (_EDGE_MM, _EDGE_MM + 3), 3.5)
    for i, head in enumerate(("in the sprite", *MATERIALS)):
        sheet.text(head, (_column(i), top - 2.0), NOTE_MM)
    for row, swatch in enumerate(found):
        _draw_row(sheet, top + row * _ROW_MM, swatch)
    for i, line in enumerate(lines, 1):
        sheet.text(line, (_EDGE_MM, top + len(found) * _ROW_MM + i * NOTE_MM * 1.9), NOTE_MM)
    return sheet.build()


def swatch_files(design: Design) -> dict[str, Drawing]:
    """``swatches/colours``; empty for a drawing without regions."""
    if not design.reading.regions.regions:
        return {}
    return {"swatches/colours": swatch_sheet(design)}


def _draw_row(sheet: DrawingBuilder, y: float, swatch: Swatch) -> None:
    at = y + NOTE_MM + 1.0
    for line in _name_lines(swatch.names):
        sheet.text(line, (_EDGE_MM, at), NOTE_MM)
        at += NOTE_MM * 1.5
    for i, color in enumerate((swatch.color, *(swatch.toned[name] for name in MATERIALS))):
        x = _column(i)
        sheet.polygon("print", box(x, y, x + _CELL_MM - 3.0, y + _TILE_MM), tint=color)
        sheet.text(color, (x, y + _TILE_MM + 4.0), NOTE_MM)
        sheet.text(_lab_words(color), (x, y + _TILE_MM + 8.0), _SMALL_MM)


def _name_lines(names: Sequence[str]) -> list[str]:
    """Three lines at most; what does not fit is counted."""
    lines = wrapped(", ".join(name.replace("_", " ") for name in names), _NAME_MM - 3.0)
    return lines if len(lines) <= 3 else [*lines[:2], f"and more ({len(names)} in all)"]


def _lab_words(color: str) -> str:
    lightness, a, b = (float(v) for v in srgb_to_lab(rgb_of(color)))
    return f"L {lightness:.0f} a {a:.0f} b {b:.0f}".replace("-0 ", "0 ")


def _column(index: int) -> float:
    return _EDGE_MM + _NAME_MM + index * _CELL_MM


def _notes(design: Design) -> list[str]:
    shares = trade.value("swatch_colors.chroma").value
    least = trade.value("swatch_colors.least_difference").number
    words = ", ".join(f"{name} {float(shares[name]):.0%}" for name in MATERIALS)
    return [
        f"{design.reading.regions.sprite.file}. Below each swatch sRGB and CIELAB (D65, 2 degree observer).",
        f"Hue and lightness as drawn, chroma lowered: {words}; more where two neighbours would come "
        f"closer than CIEDE2000 {least:g}, or than they are in the sprite.",
        "Look for the colour in daylight, with the material beside the sheet. Printers and screens differ: "
        "the figures count, not the print.",
    ]


def _names(reading: Reading) -> dict[str, tuple[str, ...]]:
    """Names of the features that have each colour, in the order of the features."""
    patches = {patch.name: patch for patch in reading.patches}
    found: dict[str, dict[str, None]] = {}
    for feature in reading.features:
        for name in feature.patches:
            patch = patches.get(name)
            color = color_of_patch(reading, patch) if patch else None
            if color:
                found.setdefault(color, {})[feature.feature] = None
    return {color: tuple(names) for color, names in found.items()}


def _wanted(a: str, b: str) -> float:
    return min(trade.value("swatch_colors.least_difference").number, _apart(a, b))


def _apart(a: str, b: str) -> float:
    return float(difference(srgb_to_lab(rgb_of(a)), srgb_to_lab(rgb_of(b))))
