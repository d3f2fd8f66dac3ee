"""The face that PDF files are lettered in, embedded so that every printer has it."""

from __future__ import annotations

import io
from functools import lru_cache
from importlib import resources
from typing import Any

__all__ = ["FONT", "capital_per_em", "fitting", "lines_of", "shown"]

FONT = "Barlow-Regular"
_FONT_FILE = "Barlow-Regular.ttf"
_UNITS_PER_EM = 1000

_UNLISTED = str.maketrans({"⌀": "Ø", "→": "-", "≤": "<", "≥": ">"})
"""Signs that the face has not, and what stands for them."""


@lru_cache(maxsize=1)
def capital_per_em() -> float:
    """Make the face known to the PDF library; height of a capital letter in font sizes."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    data = resources.files(__package__).joinpath("fonts", _FONT_FILE).read_bytes()
    font = TTFont(FONT, io.BytesIO(data))
    pdfmetrics.registerFont(font)
    return float(font.face.capHeight) / _UNITS_PER_EM


def shown(text: str) -> str:
    """The text in letters that the face has."""
    return text.translate(_UNLISTED)


def fitting(canvas: Any, text: str, size: float, width: float) -> str:
    """The text, shortened where it is wider than its place."""
    text = shown(text)
    if canvas.stringWidth(text, FONT, size) <= width:
        return text
    while text and canvas.stringWidth(f"{text}…", FONT, size) > width:
        text = text[:-1]
    return f"{text.rstrip()}…"


def lines_of(canvas: Any, text: str, size: float, width: float) -> list[str]:
    """The text broken into lines no wider than `width`."""
    lines = [""]
    for word in shown(text).split():
        longer = f"{lines[-1]} {word}".strip()
        if canvas.stringWidth(longer, FONT, size) > width and lines[-1]:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
