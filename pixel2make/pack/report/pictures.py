"""Pictures of the sprite and of what was read from it, for the report."""

from __future__ import annotations

import base64
import io
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from pixel2make.design.model import Design
from pixel2make.pack.pens import SvgPathPen, draw_polygon
from pixel2make.pack.report.markup import Markup, tag
from pixel2make.pack.report.words import digits
from pixel2make.quantity import MM_PER_UNIT
from pixel2make.reading.model import Feature, Reading
from pixel2make.reading.show import MARKS, Mark

__all__ = [
    "MOST_PX",
    "cover_picture",
    "data_uri",
    "feature_key",
    "feature_map",
    "png_uri",
    "shown_features",
    "sprite_picture",
    "swatch",
]

MOST_PX = 720
"""Pictures of the pack are shown no wider; a phone and a page of paper need no more."""
LIGHT_BYTES = 60_000
"""A picture up to this goes into the page as it is."""
MOST_COLORS = 200
"""Of a shaded picture in the page; the file beside it has them all."""
FACE_PX = 8
"""Pixels of the cover face on for one native pixel, so that slanted steps keep their shape."""
LETTER_SHARE = 1 / 24
"""Size of a letter on the feature map, as a share of the map's longer side."""
_BARS_MM = (5, 10, 20, 50, 100, 200, 500)
_BARS_IN = (0.25, 0.5, 1, 2, 4, 8, 16)
_HATCH_STEP = 2.0


def data_uri(content: bytes, kind: str = "image/png") -> str:
    """A file as an address that holds the file itself (RFC 2397)."""
    return f"data:{kind};base64,{base64.b64encode(content).decode()}"


def _png(rgba: NDArray[np.uint8]) -> bytes:
    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(rgba).save(out, "PNG", optimize=True)
    return out.getvalue()


def png_uri(content: bytes, most_px: int = MOST_PX) -> tuple[str, int, int]:
    """A PNG file of the pack, smaller where the page shows it so; address, width, height."""
    from PIL import Image

    with Image.open(io.BytesIO(content)) as picture:
        width, height = picture.size
        factor = min(1.0, most_px / max(width, height))
        if factor == 1 and len(content) <= LIGHT_BYTES:
            return data_uri(content), width, height
        size = (max(1, round(width * factor)), max(1, round(height * factor)))
        small = picture.convert("RGBA").resize(size, Image.Resampling.LANCZOS)
    few = small.quantize(MOST_COLORS, method=Image.Quantize.FASTOCTREE)
    out = io.BytesIO()
    few.save(out, "PNG", optimize=True)
    return data_uri(out.getvalue()), *size


def sprite_picture(reading: Reading) -> Markup:
    """The sprite on its native grid; the page enlarges it without smoothing."""
    sprite = reading.regions.sprite
    rows, columns = sprite.shape
    x0, y0, x1, y1 = _window(reading)
    return tag(
        "img",
        class_="pixels",
        src=data_uri(_png(sprite.rgba[y0:y1, x0:x1])),
        width=x1 - x0,
        height=y1 - y0,
        alt=f"The sprite {sprite.file}, {columns} by {rows} pixels, enlarged.",
    )


def _window(reading: Reading) -> tuple[int, int, int, int]:
    """x0, y0, x1, y1 of the drawn pixels with one pixel round them."""
    drawn = np.argwhere(~np.asarray(reading.regions.sprite.background, bool))
    rows, columns = reading.regions.sprite.shape
    if not len(drawn):
        return 0, 0, columns, rows
    (y0, x0), (y1, x1) = drawn.min(axis=0).tolist(), drawn.max(axis=0).tolist()
    return max(0, x0 - 1), max(0, y0 - 1), min(columns, x1 + 2), min(rows, y1 + 2)


def shown_features(reading: Reading) -> list[Feature]:
    """What is drawn, without the background, in the order of the map's legend."""
    order = {word: i for i, word in enumerate(MARKS)}
    shown = [f for f in reading.features if f.feature != "background" and f.mask.any()]
    return sorted(shown, key=lambda f: (order.get(f.feature, len(order)), f.id))


def feature_key(reading: Reading, feature: Feature) -> str:
    """Letter of the feature, with a number where there are several of its kind.

    The number is that of the feature's id.
    """
    alike = [f for f in shown_features(reading) if f.feature == feature.feature]
    number = feature.id.rpartition("-")[2] if len(alike) > 1 else ""
    return mark_of(feature.feature).letter + number


def mark_of(word: str) -> Mark:
    """How a feature word is drawn; an unknown one like "other"."""
    return MARKS.get(word, MARKS["other"])


def _hex(color: Iterable[int]) -> str:
    return "#" + "".join(f"{int(c):02x}" for c in color)


def _hatch(mark: Mark, step: float, *, has_ground: bool = True) -> Markup:
    """Lines of a hatching within a square of `step`, over the mark's colour."""
    s = step
    lines = {
        "/": f"M0 {s}L{s} 0",
        "\\": f"M0 0L{s} {s}",
        "-": f"M0 {s / 2}H{s}",
        "|": f"M{s / 2} 0V{s}",
        "x": f"M0 0L{s} {s}M0 {s}L{s} 0",
        ".": f"M{s * 0.35} {s / 2}H{s * 0.65}",
        "": "",
    }[mark.hatch]
    dark = _hex(int(c * 0.55) for c in mark.color)
    ground = tag("rect", width=s, height=s, fill=_hex(mark.color)) if has_ground else Markup("")
    if not lines:
        return ground
    width = s * (0.3 if mark.hatch == "." else 0.09)
    return Markup(ground + tag("path", d=lines, fill="none", stroke=dark, stroke_width=f"{width:g}"))


def swatch(word: str) -> Markup:
    """The legend's sample of a feature's colour and hatching."""
    mark = mark_of(word)
    ground = tag("rect", width=30, height=20, fill=_hex(mark.color))
    squares = (
        tag("g", _hatch(mark, 10.0, has_ground=False), transform=f"translate({x} {y})")
        for x in (0, 10, 20)
        for y in (0, 10)
    )
    border = tag("rect", x="0.5", y="0.5", width=29, height=19, fill="none", stroke="currentColor")
    return tag("svg", ground, *squares, border, viewBox="0 0 30 20", class_="swatch", aria_hidden="true")


def feature_map(reading: Reading) -> Markup:
    """What each pixel was taken for: colour, hatching and letter over the faded sprite."""
    x0, y0, x1, y1 = _window(reading)
    shown = shown_features(reading)
    words = [word for word in MARKS if any(f.feature == word for f in shown)]
    step = max(x1 - x0, y1 - y0) / 40 * _HATCH_STEP
    patterns = (
        tag(
            "pattern",
            _hatch(mark_of(word), step),
            id=f"mark-{word}",
            width=f"{step:g}",
            height=f"{step:g}",
            patternUnits="userSpaceOnUse",
        )
        for word in words
    )
    shapes = _feature_shapes(shown)
    fills = (tag("path", d=shapes[f.id], fill=f"url(#mark-{f.feature})", fill_rule="evenodd") for f in shown)
    size = max(x1 - x0, y1 - y0) * LETTER_SHARE
    letters = (
        tag("text", feature_key(reading, f), x=f"{x + 0.5:g}", y=f"{y + 0.5 + size * 0.36:.2f}")
        for f in shown
        for x, y in [_deepest(f.mask)]
    )
    names = ", ".join(f"{feature_key(reading, f)} {f.id.replace('_', ' ').replace('-', ' ')}" for f in shown)
    return tag(
        "svg",
        tag("defs", *patterns),
        tag("g", *fills, stroke="#1c1c20", stroke_width=f"{size * 0.06:.3f}", stroke_linejoin="round"),
        tag("g", *letters, class_="letters", font_size=f"{size:.2f}", stroke_width=f"{size * 0.2:.2f}"),
        viewBox=f"{x0} {y0} {x1 - x0} {y1 - y0}",
        role="img",
        aria_label=f"Feature map of the sprite: {names}. The table below says what each is.",
    )


def _feature_shapes(shown: Iterable[Feature]) -> dict[str, str]:
    """Path data of each feature along its pixels' edges."""
    from pixel2make.geometry.outline import outlines

    features = list(shown)
    if not features:
        return {}
    labels = np.zeros(features[0].mask.shape, np.int64)
    for i, feature in enumerate(features, 1):
        labels[feature.mask] = i
    found = outlines(labels)
    return {f.id: _path_data(found[i], 0) if i in found else "" for i, f in enumerate(features, 1)}


def _path_data(geometry: BaseGeometry, decimals: int) -> str:
    pen = SvgPathPen(decimals)
    draw_polygon(geometry, pen)
    return pen.data


def _deepest(mask: NDArray[np.bool_]) -> tuple[int, int]:
    """(x, y) of the pixel farthest from the edge of a mask, of equals the one nearest its centre."""
    from scipy import ndimage

    depth = ndimage.distance_transform_cdt(np.pad(mask, 1), "chessboard")[1:-1, 1:-1]
    ys, xs = np.nonzero((depth == depth.max()) & mask)
    rows, columns = np.nonzero(mask)
    best = int(np.argmin(np.hypot(ys - rows.mean(), xs - columns.mean())))
    return int(xs[best]), int(ys[best])


def cover_picture(design: Design) -> Markup | None:
    """The cover face on at its true proportions, with the outlines of the areas and a bar for the scale.

    None where the design has no cover that is drawn.
    """
    from pixel2make.reading.faces import rectify

    reading = design.reading
    face = reading.face("cover")
    sizes = {d.name: d.value_mm for d in design.dimensions}
    width, height = sizes.get("cover_width"), sizes.get("cover_height")
    if not face.is_visible or width is None or height is None:
        return None
    picture = data_uri(_png(rectify(face, reading.regions.sprite.rgba, float(FACE_PX))))
    unit = max(width, height) / 100
    pad = 9 * unit
    areas = [
        tag("path", d=_path_data(area.outline, 1), fill="none", fill_rule="evenodd")
        for area in design.areas
        if area.face == "cover"
    ]
    round_ones = _BARS_MM if design.units == "mm" else tuple(n * float(MM_PER_UNIT["in"]) for n in _BARS_IN)
    bar = max((b for b in round_ones if b <= width * 0.6), default=round_ones[0])
    foot = height + 5 * unit
    words = [
        tag("text", "head", x=f"{width / 2:.1f}", y=f"{-2 * unit:.1f}"),
        tag("text", "spine", transform=f"translate({-2 * unit:.1f} {height / 2:.1f}) rotate(-90)"),
        tag(
            "text", "fore-edge", transform=f"translate({width + 4.6 * unit:.1f} {height / 2:.1f}) rotate(-90)"
        ),
        tag(
            "text",
            f"{digits(bar, design.units)} {design.units}",
            x=f"{bar + 3 * unit:.1f}",
            y=f"{foot + unit:.1f}",
            text_anchor="start",
        ),
    ]
    ticks = (
        f"M0 {foot - unit:.1f}V{foot + unit:.1f}M0 {foot:.1f}H{bar:g}"
        f"M{bar:g} {foot - unit:.1f}V{foot + unit:.1f}"
    )
    what = f" with the outlines of {len(areas)} painted or gilded areas" if areas else ""
    return tag(
        "svg",
        tag(
            "image",
            href=picture,
            width=f"{width:.1f}",
            height=f"{height:.1f}",
            preserveAspectRatio="none",
            class_="pixels",
        ),
        tag(
            "rect",
            width=f"{width:.1f}",
            height=f"{height:.1f}",
            fill="none",
            stroke="currentColor",
            stroke_width=f"{unit * 0.25:.2f}",
        ),
        tag("g", *areas, class_="halo", stroke_width=f"{unit * 0.9:.2f}"),
        tag("g", *areas, class_="line", stroke_width=f"{unit * 0.35:.2f}"),
        tag("path", d=ticks, fill="none", stroke="currentColor", stroke_width=f"{unit * 0.4:.2f}"),
        tag("g", *words, class_="lettering", font_size=f"{3.4 * unit:.2f}", text_anchor="middle"),
        viewBox=f"{-pad:.1f} {-pad * 0.7:.1f} {width + 2 * pad:.1f} {height + pad * 1.6:.1f}",
        role="img",
        aria_label=f"The front cover face on, in its true proportions{what}.",
    )
