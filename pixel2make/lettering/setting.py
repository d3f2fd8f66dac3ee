"""Lines of text as outlines, as large as their box allows, by measure.

The lines are set once in font units with the face's advances and kerning; the bounds of what is inked, not
the advances, give the one scale that fits the lettering into its box. So nothing is guessed, nothing reaches
out of the box, and a box twice as large gives outlines twice as large.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate, pairwise, product

from shapely.affinity import affine_transform

from pixel2make import trade
from pixel2make.errors import DesignError
from pixel2make.lettering.faces import faces_with
from pixel2make.lettering.model import Face, Lettering, Line, SetGlyph

__all__ = ["ALIGNMENTS", "break_words", "clean_text", "fit_lines", "mirrored", "set_lines"]

ALIGNMENTS = ("left", "centre", "right")
Box = tuple[float, float, float, float]
MOST_LATER_LINES = 3
"""Subtitle and byline are broken into no more lines than this: more would outweigh the title."""
_PITCH = "drawing.lettering_type_b"


@dataclass(frozen=True)
class _SetLine:
    """A line in font units times its size: glyphs at x, bounds of what is inked (y up)."""

    line: Line
    places: tuple[tuple[str, float], ...]
    bounds: Box


def clean_text(text: str) -> str:
    """Text with accents joined to their letters (Unicode NFC) and single spaces.

    >>> clean_text("  The  A\u0308rmel ")
    'The Ärmel'
    """
    return " ".join(unicodedata.normalize("NFC", text).split())


def set_lines(
    lines: Sequence[str | Line],
    face: Face,
    *,
    box_mm: Sequence[float],
    align: str = "centre",
    pitch: float | None = None,
    letter_gap: float = 0.0,
    largest_mm: float | None = None,
) -> Lettering:
    """Set lines of text as large as fits.

    Parameters
    ----------
    lines : sequence of str or Line
        At least one, none empty.
    face : Face
    box_mm : (width, height) or (x, y, width, height)
        Box on the page, y down; the origin is (0, 0) where only two numbers are given.
    align : {"left", "centre", "right"}
        How the lines stand above one another, by their inked ends. The block stands in the middle of its box.
    pitch : float, optional
        From baseline to baseline in capital heights of the larger of two lines. Without it that of ISO 3098,
        type B: 1.3 for capitals, 1.5 with small letters, 1.9 with accents; and never so little that less than
        the standard's gap of 0.2 stays between what is inked in two lines.
    letter_gap : float
        Added between neighbouring characters, in capital heights.
    largest_mm : float, optional
        Capitals of a line of size 1 become no higher than this.

    Returns
    -------
    Lettering

    Raises
    ------
    DesignError
        No line, an empty line, a character that the face lacks, an unknown alignment, a box without area.

    Examples
    --------
    >>> from pixel2make.lettering.faces import face
    >>> ledger = set_lines(["LEDGER"], face("engraved"), box_mm=(120, 40))
    >>> tuple(round(v, 6) for v in ledger.bounds[::2])
    (0.0, 120.0)
    """
    box = _box(box_mm)
    if align not in ALIGNMENTS:
        raise DesignError(f"lettering is aligned {', '.join(ALIGNMENTS)}, not {align!r}")
    clean = [
        Line(clean_text(s)) if isinstance(s, str) else replace(s, text=clean_text(s.text)) for s in lines
    ]
    _check(clean, face)
    fitted = _fitted(clean, face, box, pitch, letter_gap, largest_mm)
    return _placed(fitted, face, box, align)


@dataclass(frozen=True)
class _Fitted:
    """Lines with the scale that fits them into their box, not yet drawn.

    Attributes
    ----------
    baselines, steps : tuple of float
        From the first baseline down, and from each to the next, font units.
    top, bottom : float
        Of what is inked, from the first baseline.
    scale : float
        Millimetres per font unit.
    """

    rows: tuple[_SetLine, ...]
    baselines: tuple[float, ...]
    steps: tuple[float, ...]
    rule: str
    top: float
    bottom: float
    scale: float


def _fitted(
    lines: Sequence[Line],
    face: Face,
    box: Box,
    pitch: float | None,
    letter_gap: float,
    largest_mm: float | None,
) -> _Fitted:
    rows = tuple(_set(line, face, letter_gap) for line in lines)
    steps, rule = _pitches(rows, face, pitch)
    baselines = tuple(accumulate(steps, initial=0.0))
    width = max(row.bounds[2] - row.bounds[0] for row in rows)
    top = min(base - row.bounds[3] for row, base in zip(rows, baselines, strict=True))
    bottom = max(base - row.bounds[1] for row, base in zip(rows, baselines, strict=True))
    sizes = [box[2] / width if width > 0 else None, box[3] / (bottom - top) if bottom > top else None]
    sizes.append(largest_mm / face.capital_height if largest_mm is not None else None)
    scale = min(s for s in sizes if s is not None)
    return _Fitted(rows, baselines, tuple(steps), rule, top, bottom, scale)


def _placed(fitted: _Fitted, face: Face, box: Box, align: str) -> Lettering:
    scale = fitted.scale
    y0 = box[1] + (box[3] - scale * (fitted.bottom - fitted.top)) / 2 - scale * fitted.top
    glyphs = tuple(
        _place(row, face, scale, (_left(row, box, scale, align), y0 + scale * base))
        for row, base in zip(fitted.rows, fitted.baselines, strict=True)
    )
    pitches = tuple(scale * step for step in fitted.steps)
    lines = tuple(row.line for row in fitted.rows)
    return Lettering(face, lines, glyphs, box, scale * face.capital_height, pitches, fitted.rule)


def mirrored(lettering: Lettering) -> Lettering:
    """The same, mirrored about the upright middle line of its box; twice mirrored is itself."""
    middle = 2 * lettering.box_mm[0] + lettering.box_mm[2]
    flip = (-1.0, 0.0, 0.0, 1.0, middle, 0.0)
    glyphs = tuple(
        tuple(SetGlyph(glyph.char, affine_transform(glyph.shape, flip)) for glyph in line)
        for line in lettering.glyphs
    )
    return Lettering(
        lettering.face,
        lettering.lines,
        glyphs,
        lettering.box_mm,
        lettering.capital_mm,
        lettering.pitch_mm,
        lettering.pitch_rule,
        not lettering.is_mirrored,
    )


def fit_lines(
    blocks: Sequence[Line],
    face: Face,
    *,
    box_mm: Sequence[float],
    align: str = "centre",
    letter_gap: float = 0.0,
) -> Lettering:
    """Set blocks of text, each broken between words where that makes the lettering larger.

    Every number of lines of the first block is tried, and up to three lines of each other block; what gives
    the highest capitals is taken, fewer lines where two are equal.

    Raises
    ------
    DesignError
        As `set_lines`.
    """
    clean = [replace(block, text=clean_text(block.text)) for block in blocks]
    _check(clean, face)
    broken = [_ways(block, face, None if i == 0 else MOST_LATER_LINES) for i, block in enumerate(clean)]
    box = _box(box_mm)
    best: _Fitted | None = None
    for choice in sorted(product(*broken), key=lambda blocks: sum(map(len, blocks))):
        lines = [line for block in choice for line in block]
        found = _fitted(lines, face, box, None, letter_gap, None)
        # A rounding error is no reason for one more line.
        if best is None or found.scale > best.scale * (1 + 1e-9):
            best = found
    if best is None:
        raise DesignError("there is no text to set; give a title of one character at least")
    return _placed(best, face, box, align)


def _ways(block: Line, face: Face, most: int | None) -> list[list[Line]]:
    """The block in one line, in two and so on."""
    count = len(block.text.split())
    return [
        [replace(block, text=text) for text in break_words(block.text, n, face)]
        for n in range(1, min(count, most or count) + 1)
    ]


def break_words(text: str, count: int, face: Face) -> list[str]:
    """Text in `count` lines, broken between words so that the widest line is as narrow as can be.

    Ties: the earlier lines get fewer words.

    Raises
    ------
    DesignError
        There are fewer words than lines.

    >>> from pixel2make.lettering.faces import face
    >>> break_words("tides of the salt coast", 2, face("engraved"))
    ['tides of the', 'salt coast']
    """
    return list(_broken(text, count, face))


@lru_cache(maxsize=512)
def _broken(text: str, count: int, face: Face) -> tuple[str, ...]:
    words = text.split()
    if not 1 <= count <= len(words):
        raise DesignError(f"{len(words)} words cannot stand in {count} lines; ask for 1 to {len(words)}")
    joined = {(i, j): " ".join(words[i:j]) for i in range(len(words)) for j in range(i + 1, len(words) + 1)}
    widths = {span: _width(Line(part), face) for span, part in joined.items()}
    best: dict[int, tuple[float, list[int]]] = {0: (0.0, [0])}
    for _ in range(count):
        best = {
            j: min((max(reach, widths[i, j]), [*breaks, j]) for i, (reach, breaks) in best.items() if i < j)
            for j in range(1, len(words) + 1)
            if any(i < j for i in best)
        }
    return tuple(joined[span] for span in pairwise(best[len(words)][1]))


def _box(box_mm: Sequence[float]) -> Box:
    x, y, width, height = box_mm if len(box_mm) == 4 else (0.0, 0.0, *box_mm)
    if not (width > 0 and height > 0):
        raise DesignError(f"a box of {width:g} x {height:g} mm holds no lettering; both sides are above zero")
    return (float(x), float(y), float(width), float(height))


def _check(lines: Sequence[Line], face: Face) -> None:
    if not lines:
        raise DesignError("there is no text to set; give a title of one character at least")
    for number, line in enumerate(lines, 1):
        if not line.text:
            raise DesignError(f"line {number} of the lettering is empty; leave it out or give it text")
        if not line.size > 0:
            raise DesignError(f"line {number} has the size {line.size:g}; a size is above zero")
    text = "".join(line.text for line in lines)
    missing = face.missing(text)
    if missing:
        others = [key for key in faces_with(text) if key != face.key]
        what = " ".join(missing)
        help_ = (
            f"faces that have all: {', '.join(others)}"
            if others
            else "no face shipped has all; name a font file"
        )
        raise DesignError(f"the face {face.key} has no {what} (needed for {text[:40]!r}); {help_}")
    if all(face.glyphs[char].shape.is_empty for char in text):
        raise DesignError(f"{text[:40]!r} leaves nothing to see; give a title of one character at least")


def _advances(text: str, face: Face, letter_gap: float) -> Iterable[tuple[str, float]]:
    x, gap = 0.0, letter_gap * face.capital_height
    for i, char in enumerate(text):
        yield char, x
        following = text[i + 1 : i + 2]
        x += face.glyphs[char].advance + gap + (face.kerning.between(char, following) if following else 0.0)


@lru_cache(maxsize=1024)
def _set(line: Line, face: Face, letter_gap: float = 0.0) -> _SetLine:
    spaced = _advances(line.text, face, letter_gap)
    places = tuple((char, x) for char, x in spaced if not face.glyphs[char].shape.is_empty)
    boxes = [(x, face.glyphs[char].shape.bounds) for char, x in places]
    if not boxes:
        return _SetLine(line, (), (0.0, 0.0, 0.0, 0.0))
    s = line.size
    bounds = (
        s * min(x + b[0] for x, b in boxes),
        s * min(b[1] for _, b in boxes),
        s * max(x + b[2] for x, b in boxes),
        s * max(b[3] for _, b in boxes),
    )
    return _SetLine(line, places, bounds)


def _width(line: Line, face: Face) -> float:
    x0, _, x1, _ = _set(line, face).bounds
    return x1 - x0


def _pitches(rows: Sequence[_SetLine], face: Face, pitch: float | None) -> tuple[list[float], str]:
    """Distances of baselines in font units, and the rule they follow."""
    entry = trade.value(_PITCH)
    text = "".join(row.line.text for row in rows)
    if any(unicodedata.decomposition(char).count(" ") == 1 and char.isalpha() for char in text):
        kind, words = "pitch", "with accents"
    elif text.upper() == text:
        kind, words = "pitch_capitals", "capitals"
    else:
        kind, words = "pitch_no_accents", "without accents"
    share = float(entry.value[kind]) if pitch is None else pitch
    gap = float(entry.value["letter_gap"])
    steps = []
    for above, below in pairwise(rows):
        capital = face.capital_height * max(above.line.size, below.line.size)
        least = below.bounds[3] - above.bounds[1] + gap * capital
        steps.append(max(share * capital, least) if pitch is None else share * capital)
    if pitch is not None:
        return steps, f"line pitch {pitch:g} capital heights, as asked for"
    return steps, f"line pitch {share:g} capital heights ({words}), {entry.cited}"


def _left(row: _SetLine, box: Box, scale: float, align: str) -> float:
    """Where the line's origin stands on the page."""
    x0, _, x1, _ = row.bounds
    room = box[2] - scale * (x1 - x0)
    return box[0] + {"left": 0.0, "centre": room / 2, "right": room}[align] - scale * x0


def _place(row: _SetLine, face: Face, scale: float, at: tuple[float, float]) -> tuple[SetGlyph, ...]:
    s = scale * row.line.size
    return tuple(
        SetGlyph(char, affine_transform(face.glyphs[char].shape, (s, 0.0, 0.0, -s, at[0] + s * x, at[1])))
        for char, x in row.places
    )
