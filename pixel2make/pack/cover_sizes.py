"""Lines of lettering that come out too low to be made by hand, each with what would make them high enough."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pixel2make import trade
from pixel2make.design.model import Finding
from pixel2make.lettering.model import Lettering
from pixel2make.quantity import rounded_down, rounded_up

__all__ = ["capital_mm", "least_capital_mm", "line_names", "low_lines"]


def least_capital_mm() -> float:
    """Height of the lowest capitals that are tooled or painted by hand."""
    return trade.value("lettering.least_capital").number


def line_names(lettering: Lettering) -> tuple[str, ...]:
    """Title, subtitle and byline, those that are there, in their order."""
    return tuple(dict.fromkeys(line.name for line in lettering.lines))


def capital_mm(lettering: Lettering, name: str) -> float:
    """Height of the capitals in the lines of that name."""
    return lettering.capital_mm * max(line.size for line in lettering.lines if line.name == name)


def low_lines(lettering: Lettering, *, on: str, book_mm: float, then: str = "") -> Iterator[Finding]:
    """One finding for each of title, subtitle and byline whose capitals are too low.

    Parameters
    ----------
    lettering : Lettering
    on : str
        What it stands on, such as "cover".
    book_mm : float
        Height of the book; lettering grows with it.
    then : str
        What follows from it for the pack, as the end of a sentence.
    """
    least = trade.value("lettering.least_capital")
    for name in line_names(lettering):
        capital = capital_mm(lettering, name)
        if capital >= least.number:
            continue
        larger = least.number / capital
        fewer = _fewer(lettering, larger, name)
        yield Finding(
            "lettering-too-low",
            name if on == "cover" else f"{on}_{name}",
            f"The {name} on the {on} has capitals of {rounded_down(capital, 2)} mm, made by hand they have "
            f"at least {least.number:g} mm{then}: a book at least {rounded_up(book_mm * larger, 0)} mm high "
            f"would do{f', or {fewer}' if fewer else ''}.",
            math.floor(capital * 1000) / 1000,
            least.number,
            least.cited,
        )


@dataclass(frozen=True)
class _Room:
    """How many letters of a text a line takes at some size, and how many its longest line has."""

    name: str
    takes: int
    has: int

    @property
    def words(self) -> str:
        return f"about {self.takes} letter{'s' * (self.takes != 1)} a line in the {self.name}"


def _fewer(lettering: Lettering, larger: float, name: str) -> str:
    """What text the same place takes when all letters are so many times larger; "" where it takes none."""
    _, _, width, height = lettering.box_mm
    count = len(lettering.lines)
    top, bottom = lettering.bounds[1::2]
    if count > 1:
        step = larger * sum(lettering.pitch_mm) / (count - 1)
        one = larger * (bottom - top) - step * (count - 1)
        lines = min(count, 1 + math.floor((height - one) / step)) if one <= height else 0
    else:
        lines = 1 if larger * (bottom - top) <= height else 0
    names = line_names(lettering)
    kept = names if lines >= len(names) else names[: max(lines, 0)]
    if name not in kept:
        return ""
    rooms = [_room(lettering, each, width / larger) for each in kept]
    if any(room.takes < 1 for room in rooms):
        return ""
    words = [room.words for room in rooms if room.takes < room.has]
    if lines < count:
        words.insert(0, f"{lines} line{'s' * (lines != 1)} in all")
    if len(kept) < len(names):
        words.append(f"no {' and no '.join(names[len(kept) :])}")
    return ", ".join(words)


def _room(lettering: Lettering, name: str, width: float) -> _Room:
    """Letters of mean width, spaces among them, that a line as wide as that takes."""
    takes, has = [], []
    for line, glyphs in zip(lettering.lines, lettering.glyphs, strict=True):
        if line.name == name and glyphs:
            boxes = [glyph.shape.bounds for glyph in glyphs]
            inked = max(b[2] for b in boxes) - min(b[0] for b in boxes)
            takes.append(width * len(line.text) / inked)
            has.append(len(line.text))
    return _Room(name, math.floor(min(takes, default=0.0)), max(has, default=0))
