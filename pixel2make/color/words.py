"""A colour in a word that a maker would use: the eleven basic terms, gold, cream, and how light it is.

The basic terms are those of Berlin and Kay, Basic Color Terms, 1969. Where one ends and the next begins
is drawn here on CIELCh so that the colour keywords of CSS Color Module Level 4 get their own names.
"""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from pixel2make.color.space import srgb_to_lab

__all__ = ["color_words"]

_GREY_CHROMA = 9.0
"""Of less chroma than this a colour has no name but black, grey or white."""
_BLACK, _WHITE = 16.0, 92.0
"""Lightness below and above which a grey is called so."""
_DARK, _PALE = 32.0, 82.0
"""Lightness from which a colour is called dark or pale as well."""
_HUES = (
    (15.0, "pink"),
    (48.0, "red"),
    (78.0, "orange"),
    (110.0, "yellow"),
    (195.0, "green"),
    (307.0, "blue"),
    (335.0, "purple"),
    (360.0, "pink"),
)
"""Hue angles in degrees up to which a name holds, beginning at 0."""
_BROWN_LIGHTNESS = 60.0
"""Orange and yellow of less lightness are brown."""
_BROWN_CHROMA = 62.0
"""Orange and yellow of more chroma than this stay what they are, however dark."""
_CREAM_HUE, _CREAM_LIGHTNESS, _CREAM_CHROMA = 55.0, 76.0, 38.0
"""A light and weak orange or yellow is the colour of paper; a darker one is a light brown."""
_PINK_LIGHTNESS, _PINK_CHROMA = 60.0, 62.0
"""Red that is lighter and weaker than this is pink."""
_GOLD_HUE, _GOLD_LIGHTNESS, _GOLD_CHROMA = (75.5, 95.0), (50.0, 84.0), 40.0
"""A yellow neither pale nor dark is what artists paint gold and brass with."""


def color_words(rgb: ArrayLike) -> str:
    """The name of one 8-bit sRGB colour.

    Parameters
    ----------
    rgb : array_like of shape (3,)

    Returns
    -------
    str
        A basic term, with "dark" or "pale" before it where it is.

    Examples
    --------
    >>> color_words([255, 165, 0]), color_words([139, 0, 0]), color_words([40, 40, 44])
    ('orange', 'dark red', 'dark grey')
    """
    lightness, a, b = srgb_to_lab(rgb).reshape(3).tolist()
    chroma, hue = math.hypot(a, b), math.degrees(math.atan2(b, a)) % 360
    if chroma < _GREY_CHROMA or lightness < _BLACK * 0.7:
        if lightness < _BLACK or lightness > _WHITE:
            return "black" if lightness < _BLACK else "white"
        return _shaded("grey", lightness)
    name = next(name for up_to, name in _HUES if hue <= up_to)
    low, high = _GOLD_LIGHTNESS
    if _GOLD_HUE[0] <= hue <= _GOLD_HUE[1] and low <= lightness <= high and chroma >= _GOLD_CHROMA:
        return "gold"
    if name in ("orange", "yellow") and chroma < _CREAM_CHROMA:
        return "cream" if lightness > _CREAM_LIGHTNESS and hue >= _CREAM_HUE else _shaded("brown", lightness)
    if name in ("orange", "yellow") and lightness < _BROWN_LIGHTNESS and chroma < _BROWN_CHROMA:
        name = "brown"
    if name == "red" and lightness > _PINK_LIGHTNESS and chroma < _PINK_CHROMA:
        name = "pink"
    if name == "purple" and lightness > _PALE:
        name = "pink"
    if name == "pink" and lightness < _DARK:
        name = "purple" if hue > 180 else "red"
    return _shaded(name, lightness)


def _shaded(name: str, lightness: float) -> str:
    if lightness < _DARK:
        return f"dark {name}"
    return f"pale {name}" if lightness > _PALE and name not in ("yellow", "gold") else name
