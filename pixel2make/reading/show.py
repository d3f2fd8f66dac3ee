"""A picture of a reading: sprite, found box, feature map and face-on cover side by side."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from pixel2make.reading.model import Feature, Reading

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageDraw import ImageDraw

__all__ = ["MARKS", "Mark", "show_png"]

_PANEL_PX = 380
"""A panel's longest side is about this, so that four of them fit a wide screen."""
_MOST_SCALE = 24
_GAP, _TITLE, _LINE = 18, 26, 19
"""Pixels between panels, for a panel's title, for a line of text."""
_TEXT_PX, _SMALL_PX = 14, 12
_LETTER_PX = 15
_LEGEND_COLUMNS = 4
_NARROWEST_PX = 1180
"""A caption line of usual length fits this."""

_PAPER, _INK, _FAINT = (250, 249, 246), (28, 28, 32), (120, 120, 126)
_CHECK = ((226, 226, 228), (210, 210, 213))
_BOX, _SIDE, _HALO = (214, 0, 88), (0, 96, 200), (255, 255, 255)
_ASKED = (0, 110, 70)
_ASKED_PX = 2
"""Breadth of the line round a patch that is asked about."""

CORNERS = ("HS", "HF", "TF", "TS")
_CORNER_KEY = "HS head-spine, HF head-fore-edge, TF tail-fore-edge, TS tail-spine"

Rgb = tuple[int, int, int]


@dataclass(frozen=True)
class Mark:
    """How a feature is drawn in the map, so that it can be told without colour.

    Attributes
    ----------
    letter : str
    color : (r, g, b)
    hatch : {"", "/", "\\\\", "-", "|", "x", "."}
        Lines over the colour, or dots.
    """

    letter: str
    color: Rgb
    hatch: str = ""


MARKS: Mapping[str, Mark] = {
    "cover": Mark("C", (196, 164, 132)),
    "spine": Mark("S", (150, 112, 92), "|"),
    "page_edge": Mark("P", (246, 238, 206), "-"),
    "back_cover": Mark("B", (128, 118, 140), "\\"),
    "clasp": Mark("K", (240, 178, 0), "x"),
    "strap": Mark("R", (204, 96, 64), "/"),
    "corner_piece": Mark("N", (0, 158, 115), "."),
    "emblem": Mark("E", (120, 94, 240)),
    "title_area": Mark("T", (86, 180, 233), "-"),
    "border": Mark("F", (0, 122, 160), "/"),
    "bookmark": Mark("M", (220, 80, 150), "|"),
    "outline": Mark("O", (52, 52, 58)),
    "background": Mark("", (255, 255, 255)),
    "other": Mark("X", (160, 200, 60), "\\"),
}
"""The map's legend; a word that is not here is drawn like "other"."""


def show_png(reading: Reading, *, scale: int | None = None) -> bytes:
    """The picture that ``--show`` writes.

    Parameters
    ----------
    reading : Reading
    scale : int, optional
        Picture pixels for one native pixel; without it, as many as fit a panel of about 380 px.

    Returns
    -------
    bytes
        A PNG, the same bytes for the same reading: sprite; found box with the cover's corners named
        and the patches that are asked about outlined and numbered; feature map with letters and
        hatching; face-on cover; legend and caption below.
    """
    import io

    sheet = _sheet(reading, scale or _scale_for(reading))
    out = io.BytesIO()
    sheet.save(out, "PNG", compress_level=9)
    return out.getvalue()


def _scale_for(reading: Reading) -> int:
    return int(np.clip(_PANEL_PX // max(reading.regions.sprite.shape), 1, _MOST_SCALE))


def _sheet(reading: Reading, scale: int) -> Image:
    from PIL import Image, ImageDraw

    panels = (
        ("Sprite", _sprite_panel(reading, scale)),
        ("Found box, and what is asked", _box_panel(reading, scale)),
        ("Features", _feature_panel(reading, scale)),
        ("Cover, face on", _cover_panel(reading, scale)),
    )
    caption = _caption(reading)
    legend = _legend(reading)
    rows = -(-len(legend) // _LEGEND_COLUMNS)
    tallest = max(panel.height for _, panel in panels)
    width = max(_NARROWEST_PX, sum(panel.width + _GAP for _, panel in panels) + _GAP)
    lines = [line for text in caption for line in _wrapped(text, width - 2 * _GAP)]
    below = _GAP + (rows + 1) * _LINE + len(lines) * _LINE + _GAP
    sheet = Image.new("RGB", (width, _TITLE + tallest + below), _PAPER)
    pen = ImageDraw.Draw(sheet)
    x = _GAP
    for title, panel in panels:
        pen.text((x, 6), title, _INK, font=_font(_TEXT_PX))
        sheet.paste(panel, (x, _TITLE))
        x += panel.width + _GAP
    y = _TITLE + tallest + _GAP
    _draw_legend(sheet, legend, y, width)
    y += (rows + 1) * _LINE
    for number, line in enumerate(lines):
        pen.text((_GAP, y + number * _LINE), line, _INK, font=_font(_TEXT_PX))
    return sheet


def _font(size: int) -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _wrapped(text: str, width: int) -> list[str]:
    """Lines that fit, broken between words."""
    font, lines = _font(_TEXT_PX), [""]
    for word in text.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and font.getlength(longer) > width:
            lines.append(f"    {word}")
        else:
            lines[-1] = longer if lines[-1] else word
    return lines


def _over_checks(rgba: NDArray[np.uint8], scale: int) -> NDArray[np.uint8]:
    """Enlarged without smoothing, over a chequered ground of the picture's own pixels."""
    big = np.repeat(np.repeat(rgba, scale, 0), scale, 1).astype(float)
    ys, xs = np.indices(big.shape[:2])
    side = max(4, scale // 2)
    ground = np.array(_CHECK, float)[(ys // side + xs // side) % 2]
    alpha = big[..., 3:] / 255
    return np.asarray(big[..., :3] * alpha + ground * (1 - alpha)).round().astype(np.uint8)


def _sprite_panel(reading: Reading, scale: int) -> Image:
    from PIL import Image

    return Image.fromarray(_over_checks(reading.regions.sprite.rgba, scale))


def _box_panel(reading: Reading, scale: int) -> Image:
    from PIL import Image, ImageDraw

    faded = _over_checks(reading.regions.sprite.rgba, scale) * 0.55 + 0.45 * 255
    panel = Image.fromarray(faded.astype(np.uint8))
    pen = ImageDraw.Draw(panel)
    asked = _asked(reading)
    for _, mask in asked:
        _outlined(panel, mask, scale)
    ring = np.array([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])
    for face in reading.faces:
        if face.is_visible and face.name != "cover":
            _closed_line(pen, face.to_picture(ring) * scale, _SIDE, 2)
    front = np.array(reading.view.cover_corners_px) * scale
    _closed_line(pen, front, _BOX, 3)
    middle = front.mean(axis=0)
    for name, corner in zip(CORNERS, front, strict=True):
        _label(pen, name, _pulled_in(corner, middle), (panel.width, panel.height))
    for number, mask in asked:
        x, y = _deepest(mask)
        at = ((x + 0.5) * scale, (y + 0.5) * scale)
        _label(pen, str(number), at, (panel.width, panel.height), _ASKED)
    return panel


def _asked(reading: Reading) -> list[tuple[int, NDArray[np.bool_]]]:
    """Number of each question, from 1, that is about a patch, and the patch's pixels."""
    masks = {patch.name: patch.mask for patch in reading.patches}
    numbered = enumerate(reading.questions, 1)
    return [(n, masks[each.subject]) for n, each in numbered if each.subject in masks]


def _outlined(panel: Image, mask: NDArray[np.bool_], scale: int) -> None:
    """A line round the pixels of a mask, on their outer side and thus over what lies beside them."""
    from PIL import Image
    from scipy import ndimage

    big = np.repeat(np.repeat(mask, scale, 0), scale, 1)
    line = ndimage.binary_dilation(big, np.ones((3, 3), bool), iterations=_ASKED_PX) & ~big
    panel.paste(Image.new("RGB", panel.size, _ASKED), mask=Image.fromarray(line))


def _closed_line(pen: ImageDraw, points: NDArray[np.float64], color: Rgb, width: int) -> None:
    ring = [tuple(point) for point in (*points, points[0])]
    pen.line(ring, color, width, joint="curve")


def _pulled_in(corner: NDArray[np.float64], middle: NDArray[np.float64]) -> tuple[float, float]:
    """A little towards the middle, so that the name lies in its corner."""
    way = middle - corner
    length = float(np.hypot(*way))
    return tuple(corner + way * min(1.0, 18 / max(length, 1.0)))


def _label(
    pen: ImageDraw, text: str, at: tuple[float, float], within: tuple[int, int], ink: Rgb = _BOX
) -> None:
    x = float(np.clip(at[0], 12, within[0] - 12))
    y = float(np.clip(at[1], 9, within[1] - 9))
    font = _font(_SMALL_PX)
    pen.text((x, y), text, ink, font=font, anchor="mm", stroke_width=3, stroke_fill=_HALO)


def _feature_panel(reading: Reading, scale: int) -> Image:
    from PIL import Image, ImageDraw

    rows, cols = reading.regions.sprite.shape
    picture = np.full((rows * scale, cols * scale, 3), 255, np.uint8)
    number = np.zeros((rows, cols), np.int64)
    for i, feature in enumerate(reading.features):
        mask = np.repeat(np.repeat(feature.mask, scale, 0), scale, 1)
        _tint(picture, mask, _mark(feature.feature))
        number[feature.mask] = i
    _part(picture, number, scale)
    panel = Image.fromarray(picture)
    pen = ImageDraw.Draw(panel)
    for feature in reading.features:
        letter = _mark(feature.feature).letter
        if letter:
            x, y = _deepest(feature.mask)
            _letter(pen, letter, ((x + 0.5) * scale, (y + 0.5) * scale), _mark(feature.feature).color)
    return panel


def _mark(word: str) -> Mark:
    return MARKS.get(word, MARKS["other"])


def _tint(picture: NDArray[np.uint8], mask: NDArray[np.bool_], mark: Mark) -> None:
    picture[mask] = mark.color
    if mark.hatch:
        ys, xs = np.nonzero(mask)
        on = _HATCHES[mark.hatch](ys, xs)
        dark = np.array(mark.color, float) * 0.72
        picture[ys[on], xs[on]] = dark.astype(np.uint8)


_HATCHES: Mapping[str, Callable[[NDArray[np.int64], NDArray[np.int64]], NDArray[np.bool_]]] = {
    "/": lambda y, x: (x + y) % 7 == 0,
    "\\": lambda y, x: (x - y) % 7 == 0,
    "-": lambda y, x: y % 5 == 0,
    "|": lambda y, x: x % 5 == 0,
    "x": lambda y, x: ((x + y) % 8 == 0) | ((x - y) % 8 == 0),
    ".": lambda y, x: (y % 5 < 2) & (x % 5 < 2),
}


def _part(picture: NDArray[np.uint8], number: NDArray[np.int64], scale: int) -> None:
    """Dark lines where one feature ends and another begins."""
    if scale < 4:
        return
    ys, xs = np.nonzero(number[:, 1:] != number[:, :-1])
    for y, x in zip(ys.tolist(), xs.tolist(), strict=True):
        picture[y * scale : (y + 1) * scale, (x + 1) * scale] = _INK
    ys, xs = np.nonzero(number[1:] != number[:-1])
    for y, x in zip(ys.tolist(), xs.tolist(), strict=True):
        picture[(y + 1) * scale, x * scale : (x + 1) * scale] = _INK


def _deepest(mask: NDArray[np.bool_]) -> tuple[int, int]:
    """(x, y) of the pixel that lies deepest in a mask, of equals the one nearest its centre."""
    from scipy import ndimage

    depth = ndimage.distance_transform_cdt(np.pad(mask, 1), "chessboard")[1:-1, 1:-1]
    ys, xs = np.nonzero((depth == depth.max()) & mask)
    rows, cols = np.nonzero(mask)
    off = np.hypot(ys - rows.mean(), xs - cols.mean())
    best = int(np.argmin(off))
    return int(xs[best]), int(ys[best])


def _letter(pen: ImageDraw, letter: str, at: tuple[float, float], color: Rgb) -> None:
    is_dark = sum(color) < 330
    ink, halo = (_HALO, _INK) if is_dark else (_INK, _HALO)
    pen.text(at, letter, ink, font=_font(_LETTER_PX), anchor="mm", stroke_width=2, stroke_fill=halo)


def _cover_panel(reading: Reading, scale: int) -> Image:
    from PIL import Image

    from pixel2make.reading.faces import rectify

    face = reading.face("cover")
    return Image.fromarray(_over_checks(rectify(face, reading.regions.sprite.rgba, float(scale)), 1))


def _legend(reading: Reading) -> list[tuple[str, str]]:
    """(word, text) for every feature word that was found, in the order of `MARKS`."""
    found: dict[str, list[Feature]] = {}
    for feature in reading.features:
        if feature.mask.any():
            found.setdefault(feature.feature, []).append(feature)
    rows = []
    order = list(MARKS)
    for word in sorted(found, key=lambda w: (order.index(w) if w in order else len(order), w)):
        if word == "background":
            continue
        some = found[word]
        times = f" x {len(some)}" if len(some) > 1 else ""
        sure = min(feature.confidence for feature in some)
        rows.append((word, f"{_mark(word).letter}  {word.replace('_', ' ')}{times}, {sure:.0%} sure"))
    return rows


def _draw_legend(sheet: Image, rows: Sequence[tuple[str, str]], top: int, width: int) -> None:
    from PIL import Image, ImageDraw

    pen = ImageDraw.Draw(sheet)
    column = (width - 2 * _GAP) // _LEGEND_COLUMNS
    for i, (word, text) in enumerate(rows):
        x = _GAP + (i % _LEGEND_COLUMNS) * column
        y = top + (i // _LEGEND_COLUMNS) * _LINE
        swatch = np.zeros((14, 26, 3), np.uint8)
        _tint(swatch, np.ones((14, 26), bool), _mark(word))
        sheet.paste(Image.fromarray(swatch), (x, y + 1))
        pen.rectangle([x, y + 1, x + 25, y + 14], outline=_INK)
        pen.text((x + 34, y), text, _INK, font=_font(_TEXT_PX))


def _caption(reading: Reading) -> list[str]:
    view, best = reading.view, reading.proportions[0]
    sprite = reading.regions.sprite
    rows, cols = sprite.shape
    w, h, t = best.ratio
    thick = f"{t:.2f}" if t else "not drawn"
    text = [
        f"{sprite.file}: {cols} x {rows} native pixels. View: {view.kind.replace('_', ' ')}, "
        f"{view.confidence:.0%} sure. Width : height : thickness = {w:.2f} : {h:.2f} : {thick} "
        f"({best.name.replace('_', ' ')}).",
        f"Corners of the cover: {_CORNER_KEY}.",
    ]
    asked = (f"To ask, {n}: {each.question}" for n, each in enumerate(reading.questions, 1))
    return [*text, *asked]
