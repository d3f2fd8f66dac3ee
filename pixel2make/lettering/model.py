"""Faces and what is set in them.

A face is kept in font units, x right, y up from the baseline, as in its font file; set lettering is in
millimetres, x right, y down.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from shapely.geometry import GeometryCollection
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

__all__ = ["Face", "Glyph", "Kerning", "Lettering", "Line", "SetGlyph"]


@dataclass(frozen=True)
class Glyph:
    """One character of a face.

    Attributes
    ----------
    advance : float
        From this glyph's origin to the next one's, font units.
    shape : Polygon, MultiPolygon, LineString or MultiLineString
        The inked area; the path of the tool in a single-stroke face. Empty for a space.
    """

    advance: float
    shape: BaseGeometry


@dataclass(frozen=True)
class Kerning:
    """Changes of distance between two characters, by class.

    Attributes
    ----------
    left, right : mapping of str to int
        Class of a character as the first and as the second of a pair.
    values : mapping of (int, int) to float
        Font units; a pair of classes that is not there is not kerned.
    """

    left: Mapping[str, int] = field(default_factory=dict)
    right: Mapping[str, int] = field(default_factory=dict)
    values: Mapping[tuple[int, int], float] = field(default_factory=dict)

    def between(self, first: str, second: str) -> float:
        """What is added to the advance of `first` where `second` follows."""
        if first not in self.left or second not in self.right:
            return 0.0
        return self.values.get((self.left[first], self.right[second]), 0.0)


@dataclass(frozen=True, eq=False)
class Face:
    """Outlines and metrics of one type face.

    Attributes
    ----------
    key : str
        The word that chooses it, such as "engraved"; for a maker's own font the file's name.
    name : str
        As its makers call it.
    origin : str
        Published package and licence.
    units_per_em, capital_height : float
        Font units; the height of a flat capital is that of the letter H where the face has one.
    is_stroke : bool
        Lines for the middle of a tool instead of areas.
    glyphs : mapping of str to Glyph
    kerning : Kerning
    """

    key: str
    name: str
    origin: str
    units_per_em: float
    capital_height: float
    is_stroke: bool
    glyphs: Mapping[str, Glyph]
    kerning: Kerning = field(default_factory=Kerning)

    def missing(self, text: str) -> tuple[str, ...]:
        """Characters of `text` that the face lacks, each once, in their order."""
        return tuple(dict.fromkeys(char for char in text if char not in self.glyphs))


@dataclass(frozen=True)
class Line:
    """One line to set.

    Attributes
    ----------
    text : str
    size : float
        Against the other lines: a line of size 0.5 has capitals half as high as one of size 1.
    name: str
        What it is part of, such as "byline"; "" where nobody asks.
    """

    text: str
    size: float = 1.0
    name: str = ""


@dataclass(frozen=True)
class SetGlyph:
    """A character where it stands: `shape` in millimetres on the page."""

    char: str
    shape: BaseGeometry


@dataclass(frozen=True, eq=False)
class Lettering:
    """Lines that stand in their box.

    Attributes
    ----------
    face : Face
    lines : tuple of Line
    glyphs : tuple of tuple of SetGlyph
        By line, in reading order, spaces left out.
    box_mm : (x, y, width, height)
        What it was fitted to.
    capital_mm : float
        Height of a capital in a line of size 1.
    pitch_mm : tuple of float
        From each baseline to the next.
    pitch_rule : str
        How the pitch was found, with its source.
    is_mirrored : bool
        Reads from right to left, for work from the back.
    """

    face: Face
    lines: tuple[Line, ...]
    glyphs: tuple[tuple[SetGlyph, ...], ...]
    box_mm: tuple[float, float, float, float]
    capital_mm: float
    pitch_mm: tuple[float, ...]
    pitch_rule: str
    is_mirrored: bool = False

    def __iter__(self) -> Iterator[SetGlyph]:
        for line in self.glyphs:
            yield from line

    @property
    def outline(self) -> BaseGeometry:
        """All glyphs as one geometry: areas joined, strokes collected."""
        shapes = [glyph.shape for glyph in self]
        return unary_union(shapes) if shapes else GeometryCollection()

    @property
    def bounds(self) -> tuple[float, float, float, float]:
        """Measured outline: left, top, right, bottom."""
        boxes = [glyph.shape.bounds for glyph in self]
        lows, highs = [b[:2] for b in boxes], [b[2:] for b in boxes]
        return (
            min(b[0] for b in lows),
            min(b[1] for b in lows),
            max(b[0] for b in highs),
            max(b[1] for b in highs),
        )
