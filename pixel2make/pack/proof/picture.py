"""proof/back_to_pixels.png: the drawing, the finished object drawn again, and where they differ."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.design.model import Design
from pixel2make.pack.preview.pictures import png_bytes
from pixel2make.pack.proof.faithfulness import Comparison, Faithfulness, compared, faithfulness

if TYPE_CHECKING:
    from PIL.ImageDraw import ImageDraw

__all__ = ["proof_files"]

Mask = NDArray[np.bool_]
Rgb = tuple[int, int, int]

_PANEL_PX, _MOST_SCALE, _LEAST_SCALE = 400, 26, 2
_GAP, _TOP, _TITLE, _LINE, _TEXT_PX, _HEAD_PX = 28, 64, 30, 24, 15, 22
"""Picture pixels: a panel's side, between panels, above and below, for lines of text."""

_PAPER, _INK, _FAINT, _GRID = (250, 249, 246), (28, 28, 32), (96, 96, 102), (226, 224, 218)

_PALE = 0.62
"""How far what agrees is faded towards the paper, so that what differs stands out."""

_MARKS: tuple[tuple[str, str, Rgb, str], ...] = (
    ("other", "another feature", (176, 84, 0), "/"),
    ("missing", "drawn, but not on the object", (0, 92, 168), "x"),
    ("added", "on the object, but not drawn", (168, 0, 98), "o"),
)
"""Attribute of `Comparison`, its words, ink and hatch: told apart by the hatch alone."""

_HATCHES: dict[str, Callable[[NDArray[Any], NDArray[Any]], Mask]] = {
    "/": lambda y, x: np.abs((x + y) % 0.5 - 0.25) < 0.085,
    "x": lambda y, x: (np.abs(x - y) < 0.13) | (np.abs(x + y - 1) < 0.13),
    "o": lambda y, x: np.abs(np.hypot(x - 0.5, y - 0.5) - 0.26) < 0.09,
}
"""What is inked of one native pixel, its edges 0 and 1."""


def proof_files(design: Design) -> dict[str, bytes]:
    """The picture of the differences, by path.

    Parameters
    ----------
    design : Design

    Returns
    -------
    dict of str to bytes
        "proof/back_to_pixels.png", crisp, the same bytes for the same design.
    """
    return {"proof/back_to_pixels.png": png_bytes(_sheet(design))}


def _sheet(design: Design) -> NDArray[np.uint8]:
    from PIL import Image, ImageDraw

    figures, comparison = faithfulness(design), compared(design)
    sprite, margin = design.reading.regions.sprite, comparison.again.margin
    rgba = np.pad(sprite.rgba, ((margin, margin), (margin, margin), (0, 0)))
    rows, columns = rgba.shape[:2]
    scale = int(np.clip(_PANEL_PX // max(rows, columns), _LEAST_SCALE, _MOST_SCALE))
    again = np.dstack([comparison.again.color, np.where(comparison.again.label > 0, 255, 0)])
    panels = (
        ("The sprite", _enlarged(_flat(rgba), scale)),
        ("The finished object, drawn again", _enlarged(_flat(again.astype(np.uint8)), scale)),
        ("Where they differ", _differences(_flat(rgba), comparison, scale)),
    )
    said, table = _said(figures), _table(figures)
    across = max(columns * scale, _PANEL_PX * 3 // 4)
    width = 3 * across + 4 * _GAP
    below = max(len(table), len(_MARKS) + 2)
    sheet = Image.new("RGB", (width, _TOP + _TITLE + rows * scale + _GAP + below * _LINE + _GAP), _PAPER)
    pen = ImageDraw.Draw(sheet)
    pen.text((_GAP, 18), f"Back to pixels: {sprite.file}", _INK, font=_font(_HEAD_PX))
    for number, (title, panel) in enumerate(panels):
        x = _GAP + number * (across + _GAP)
        pen.text((x, _TOP), title, _INK, font=_font(_TEXT_PX))
        sheet.paste(Image.fromarray(panel), (x, _TOP + _TITLE))
        pen.rectangle(
            [x - 1, _TOP + _TITLE - 1, x + columns * scale, _TOP + _TITLE + rows * scale], outline=_GRID
        )
    top = _TOP + _TITLE + rows * scale + _GAP
    for number, text in enumerate(said):
        pen.text((_GAP, top + number * _LINE), text, _INK, font=_font(_TEXT_PX))
    for number, row in enumerate(table):
        for words, (x, anchor) in zip(row, _COLUMNS, strict=True):
            at = (2 * _GAP + across + x, top + number * _LINE)
            pen.text(at, words, _INK if number else _FAINT, font=_font(_TEXT_PX), anchor=anchor)
    _key(sheet, pen, comparison, (_GAP + 2 * (across + _GAP), top))
    return np.asarray(sheet)


def _font(size: int) -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _flat(rgba: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Over the paper."""
    alpha = rgba[..., 3:] / 255
    return np.asarray(rgba[..., :3] * alpha + np.array(_PAPER) * (1 - alpha)).round().astype(np.uint8)


def _enlarged(rgb: NDArray[np.uint8], scale: int) -> NDArray[np.uint8]:
    return np.repeat(np.repeat(rgb, scale, axis=0), scale, axis=1)


def _differences(rgb: NDArray[np.uint8], comparison: Comparison, scale: int) -> NDArray[np.uint8]:
    """The sprite faded, with every pixel that differs hatched by how it differs."""
    faded = rgb * (1 - _PALE) + np.array(_PAPER) * _PALE
    picture = _enlarged(faded.astype(np.uint8), scale).copy()
    for name, _, ink, hatch in _MARKS:
        _hatch(picture, getattr(comparison, name), ink, hatch, scale)
    return picture


def _hatch(picture: NDArray[np.uint8], mask: Mask, ink: Rgb, hatch: str, scale: int) -> None:
    place = (np.arange(scale) + 0.5) / scale
    cell = _HATCHES[hatch](place[:, None], place[None, :]) if scale > 3 else np.ones((scale, scale), bool)
    light = np.array(ink) * 0.25 + 255 * 0.75
    for y, x in np.argwhere(mask).tolist():
        tile = picture[y * scale : (y + 1) * scale, x * scale : (x + 1) * scale]
        tile[:] = light.astype(np.uint8)
        tile[cell] = ink


def _said(figures: Faithfulness) -> tuple[str, ...]:
    return (
        f"Same feature: {figures.same_feature:.0%} of {figures.pixels} pixels",
        f"Silhouettes overlap: {figures.silhouette:.0%}",
        f"Mean colour difference: {figures.color_difference:.1f}",
        "(CIEDE2000; light and shade count)",
    )


def _table(figures: Faithfulness) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = [("feature", "pixels", "same", "colour")]
    for fit in figures.features:
        off = "-" if fit.color_difference is None else f"{fit.color_difference:.1f}"
        rows.append((fit.feature.replace("_", " "), str(fit.pixels), f"{fit.same:.0%}", off))
    return rows


_COLUMNS = ((0, "la"), (165, "ra"), (225, "ra"), (295, "ra"))
"""Where the table's columns begin or end, and which."""


def _key(sheet: Any, pen: ImageDraw, comparison: Comparison, at: tuple[int, int]) -> None:
    from PIL import Image

    x, y = at
    side = 18
    for number, (name, words, ink, hatch) in enumerate(_MARKS):
        swatch = np.full((side, side, 3), 255, np.uint8)
        _hatch(swatch, np.ones((1, 1), bool), ink, hatch, side)
        sheet.paste(Image.fromarray(swatch), (x, y + number * _LINE))
        count = int(getattr(comparison, name).sum())
        text = f"{words}: {count} pixel{'' if count == 1 else 's'}"
        pen.text((x + 28, y + number * _LINE), text, _INK, font=_font(_TEXT_PX))
    for number, text in enumerate(("faded: the same in both", "the drawn contour is left out")):
        pen.text((x, y + (len(_MARKS) + number) * _LINE), text, _FAINT, font=_font(_TEXT_PX))
