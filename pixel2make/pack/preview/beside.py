"""preview/beside_the_sprite.png: the sprite at the left, the finished object at the right, true to one scale
with a rule, a hand and, where the maker's height is given, the maker."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from shapely.affinity import affine_transform
from shapely.geometry import Polygon

from pixel2make import trade
from pixel2make.design.model import Design
from pixel2make.pack.model.solid import Model
from pixel2make.pack.preview.camera import looking_from
from pixel2make.pack.preview.drawn import is_mirrored
from pixel2make.pack.preview.figures import hand_outline, hand_size_mm, person_outline
from pixel2make.pack.preview.pictures import PAPER, developed, encoded, lamp_for
from pixel2make.pack.preview.scene import scene_of
from pixel2make.pack.preview.shade import picture_of

__all__ = ["beside"]

_WIDTH, _HEIGHT, _EDGE = 1400, 800, 48
_SPRITE_PX = 430
_GROUND = 660
"""Where object, hand and maker stand, from the top; the rule lies below."""

_OBJECT_PX = (470, 560)
"""Room for the object."""

_TURN = (0.34, 0.2, 1.0)
"""The front board almost square to the picture, so that rule and cover can be compared."""

_INK, _FAINT, _FILL = (40, 40, 44), (92, 92, 98), (226, 214, 200)


def beside(design: Design, model: Model) -> NDArray[np.uint8]:
    """The picture as 8-bit sRGB of shape (rows, columns, 3).

    Parameters
    ----------
    design : Design
    model : Model
        The right way round, as it is built.
    """
    from PIL import Image, ImageDraw

    ground = tuple(encoded(np.array([[PAPER]], np.float32))[0, 0].tolist())
    sheet = Image.new("RGB", (_WIDTH, _HEIGHT), ground)
    pen = ImageDraw.Draw(sheet)
    rgba = design.reading.regions.sprite.rgba
    scale = max(1, _SPRITE_PX // max(rgba.shape[:2]))
    sprite = Image.fromarray(np.repeat(np.repeat(rgba, scale, axis=0), scale, axis=1))
    top = max(_EDGE, _GROUND - sprite.height)
    sheet.paste(sprite, (_EDGE + (_SPRITE_PX - sprite.width) // 2, top), sprite)
    pen.text(
        (_EDGE, _GROUND + 24), f"drawn: {rgba.shape[1]} x {rgba.shape[0]} pixels", _FAINT, font=_font(18)
    )
    away = (-_TURN[0], *_TURN[1:]) if is_mirrored(design.reading.view) else _TURN
    camera = looking_from(away, (0.0, 1.0, 0.0))
    scene = scene_of(model)
    flat = camera.project(scene.points)[:, :2]
    low, high = flat.min(axis=0), flat.max(axis=0)
    rule_mm, rule_wide = trade.value("preview.rule").numbers
    hand_mm = hand_size_mm()
    # The rule, the hand and the object share one scale; the largest of them sets it.
    per_mm = min(
        _OBJECT_PX[0] / float(high[0] - low[0]),
        _OBJECT_PX[1] / float(high[1] - low[1]),
        _OBJECT_PX[1] / hand_mm[1],
        600 / rule_mm,
    )
    left = _EDGE + _SPRITE_PX + 60
    size = (int((high[0] - low[0]) * per_mm) + 60, int((high[1] - low[1]) * per_mm) + 60)
    near = camera.scaled(per_mm, (30 - float(low[0]) * per_mm, 30 - float(low[1]) * per_mm))
    picture = developed(picture_of(scene, near, size, lamp_for(near)))
    sheet.paste(Image.fromarray(picture), (left - 30, _GROUND - size[1] + 30))
    width, height, thickness = (_mm(v, design) for v in model.size_mm)
    pen.text(
        (left, _GROUND + 24), f"built: {height} high, {width} wide, {thickness} thick", _FAINT, font=_font(18)
    )
    at = left + max(size[0] - 60, 400) + 50
    _figure(pen, hand_outline(), (at, _GROUND), per_mm)
    pen.text((at, _GROUND + 24), f"hand of {_mm(hand_mm[1], design)}", _FAINT, font=_font(18))
    _rule(pen, (left, _GROUND + 62), per_mm, rule_mm, rule_wide)
    tall = design.taken.get("maker_height")
    if isinstance(tall, float):
        _maker(sheet, pen, picture, tall, per_mm, design)
    return np.asarray(sheet)


def _font(size: int) -> Any:
    from PIL import ImageFont

    return ImageFont.load_default(size)


def _mm(value: float, design: Design) -> str:
    from pixel2make.quantity import format_length

    # A sixteenth of an inch is finer than a millimetre.
    return format_length(round(value) if design.units == "mm" else value, design.units)


def _figure(pen: Any, outline: Polygon, at: tuple[float, float], per_mm: float) -> None:
    """An outline in mm standing on a point of the picture."""
    placed = affine_transform(outline, [per_mm, 0, 0, -per_mm, *at])
    points = [(float(x), float(y)) for x, y in placed.exterior.coords]
    pen.polygon(points, fill=_FILL)
    pen.line(points, fill=_FAINT, width=2, joint="curve")


def _rule(pen: Any, at: tuple[float, float], per_mm: float, length: float, breadth: float) -> None:
    """A rule with a line every centimetre, longer ones every five and figures every ten."""
    x, y = at
    high = min(breadth * per_mm, 44.0)
    pen.rectangle([x, y, x + length * per_mm, y + high], fill=(224, 225, 228), outline=_FAINT)
    for mark in range(0, int(length) + 1, 10):
        long = 0.55 if mark % 50 == 0 else 0.3
        at_x = x + mark * per_mm
        pen.line([at_x, y, at_x, y + long * high], fill=_INK)
        if mark % 100 == 0:
            anchor = "lm" if mark == 0 else "rm" if mark == int(length) else "mm"
            shift = 4 if mark == 0 else -4 if mark == int(length) else 0
            pen.text((at_x + shift, y + 0.78 * high), str(mark), _INK, font=_font(14), anchor=anchor)
    pen.text((x + length * per_mm + 10, y + high / 2), "mm", _FAINT, font=_font(16), anchor="lm")


def _maker(
    sheet: Any, pen: Any, picture: NDArray[np.uint8], tall: float, per_mm: float, design: Design
) -> None:
    """The maker and the object at a scale of their own, in the upper right corner."""
    from PIL import Image

    small = 250 / tall
    foot = (_WIDTH - 120, _EDGE + 260)
    _figure(pen, person_outline(tall), foot, small)
    factor = small / per_mm
    rows, columns = picture.shape[:2]
    size = (max(2, round((columns - 60) * factor)), max(2, round((rows - 60) * factor)))
    piece = Image.fromarray(picture[30:-30, 30:-30]).resize(size, Image.Resampling.LANCZOS)
    sheet.paste(piece, (_WIDTH - 60 - size[0] // 2, int(foot[1]) - size[1]))
    pen.text((foot[0], foot[1] + 10), f"maker of {_mm(tall, design)}", _FAINT, font=_font(14), anchor="ma")
