"""A maker's own font file (TrueType or OpenType) as a face.

Read through the package fontTools, which only this needs: ``pip install "pixel2make[fonts]"``. Taken are
outlines, advances and pair kerning; ligatures and other exchanges of glyphs are not made.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from shapely.geometry.base import BaseGeometry

from pixel2make.errors import DesignError
from pixel2make.lettering.model import Face, Glyph, Kerning
from pixel2make.lettering.outlines import Point, cubic, quadratic, winding_area

__all__ = ["EMS_PER_TOLERANCE", "read_font_file"]

EMS_PER_TOLERANCE = 2000
"""Chords leave a curve by no more than this part of the em: 0.05 mm where the em is 100 mm, well below what
a hand or a hobby machine cuts."""


def read_font_file(
    path: str | Path, characters: Iterable[str], *, key: str = "", weight: float | None = None
) -> Face:
    """Read the given characters of a font file.

    Parameters
    ----------
    path : str or Path
        ``.ttf``, ``.otf`` or ``.woff``.
    characters : iterable of str
        Those that the font lacks are left out.
    key : str
        What the face is called in messages; the file's name without it.
    weight : float, optional
        Of a variable font: 400 is regular, 700 bold. Without it the font's default.

    Raises
    ------
    DesignError
        fontTools is not installed, the file is missing or is no font with outlines.
    """
    path = Path(path)
    font = _open(path)
    if weight is not None and "fvar" in font:
        from fontTools.varLib.instancer import instantiateVariableFont

        font = instantiateVariableFont(font, {"wght": weight})
    units = float(font["head"].unitsPerEm)
    cmap: Mapping[int, str] = font.getBestCmap() or {}
    wanted = [char for char in dict.fromkeys(characters) if ord(char) in cmap]
    outlines = font.getGlyphSet()
    glyphs = {
        char: Glyph(float(outlines[cmap[ord(char)]].width), _shape(outlines, cmap[ord(char)], units))
        for char in wanted
    }
    if glyphs and all(glyph.shape.is_empty for char, glyph in glyphs.items() if not char.isspace()):
        raise DesignError(f"{path.name}: the font has no outlines; take a font in outlines, not in pictures")
    name = font["name"].getDebugName(4) or path.stem
    return Face(
        key or path.name,
        name,
        f"the maker's own font file {path.name}",
        units,
        _capital_height(font, glyphs, units),
        False,
        glyphs,
        kerning_by_class(_pairs(font, {char: cmap[ord(char)] for char in wanted})),
    )


def _open(path: Path) -> Any:
    try:
        from fontTools.ttLib import TTFont, TTLibError
    except ImportError as error:
        raise DesignError(
            f"{path.name}: reading a font file needs the package fonttools; "
            'install it by pip install "pixel2make[fonts]", or take one of the faces shipped'
        ) from error
    if not path.is_file():
        raise DesignError(f"{path}: there is no such font file; name a .ttf or .otf file")
    try:
        font = TTFont(path)
        if not ("glyf" in font or "CFF " in font or "CFF2" in font):
            raise DesignError(f"{path.name}: the font has no outlines; take a .ttf or .otf file that has")
    except (TTLibError, OSError, ImportError) as error:
        raise DesignError(
            f"{path.name}: cannot be read as a font; take a .ttf or .otf file that other programs open"
        ) from error
    return font


def _capital_height(font: Any, glyphs: Mapping[str, Glyph], units: float) -> float:
    if "H" in glyphs:
        return float(glyphs["H"].shape.bounds[3])
    stated = getattr(font["OS/2"], "sCapHeight", 0) if "OS/2" in font else 0
    return float(stated) or max((g.shape.bounds[3] for g in glyphs.values() if g.shape), default=units)


def _shape(outlines: Any, name: str, units: float) -> BaseGeometry:
    from fontTools.pens.basePen import BasePen

    tolerance = units / EMS_PER_TOLERANCE
    contours: list[list[Point]] = []

    class Collector(BasePen):  # type: ignore[misc]
        """Keeps every contour as a ring of chords; parts of composed glyphs arrive placed."""

        def _moveTo(self, pt: Point) -> None:
            contours.append([pt])

        def _lineTo(self, pt: Point) -> None:
            contours[-1].append(pt)

        def _curveToOne(self, pt1: Point, pt2: Point, pt3: Point) -> None:
            contours[-1].extend(cubic(contours[-1][-1], pt1, pt2, pt3, tolerance))

        def _qCurveToOne(self, pt1: Point, pt2: Point) -> None:
            contours[-1].extend(quadratic(contours[-1][-1], pt1, pt2, tolerance))

    outlines[name].draw(Collector(outlines))
    return winding_area(contours)


def kerning_by_class(pairs: Mapping[tuple[str, str], float]) -> Kerning:
    """Kerning with one class for all characters whose pairs are the same.

    >>> kerning = kerning_by_class({("A", "V"): -80.0, ("\u00c4", "V"): -80.0, ("V", "A"): -70.0})
    >>> len(kerning.values), kerning.between("\u00c4", "V"), kerning.between("V", "V")
    (2, -80.0, 0.0)
    """
    rows: dict[str, list[tuple[str, float]]] = {}
    columns: dict[str, list[tuple[str, float]]] = {}
    for (a, b), value in sorted(pairs.items()):
        rows.setdefault(a, []).append((b, value))
        columns.setdefault(b, []).append((a, value))
    left, right = _classes(rows), _classes(columns)
    values = {(left[a], right[b]): value for (a, b), value in sorted(pairs.items())}
    return Kerning(left, right, values)


def _classes(rows: Mapping[str, list[tuple[str, float]]]) -> dict[str, int]:
    numbers: dict[tuple[tuple[str, float], ...], int] = {}
    return {char: numbers.setdefault(tuple(rows[char]), len(numbers)) for char in sorted(rows)}


def _pairs(font: Any, names: Mapping[str, str]) -> dict[tuple[str, str], float]:
    """Non-zero kerning between the characters, from the table GPOS, else from the older table kern."""
    chars: dict[str, list[str]] = {}
    for char, name in names.items():
        chars.setdefault(name, []).append(char)
    found: dict[tuple[str, str], float] = {}
    by_name = _gpos_pairs(font, set(chars)) or _kern_table_pairs(font, set(chars))
    for (first, second), value in by_name.items():
        for a in chars[first]:
            for b in chars[second]:
                if value:
                    found[a, b] = value
    return found


def _kern_table_pairs(font: Any, names: set[str]) -> dict[tuple[str, str], float]:
    if "kern" not in font:
        return {}
    tables = [t for t in font["kern"].kernTables if getattr(t, "format", None) == 0]
    return {
        (a, b): float(value)
        for table in reversed(tables)
        for (a, b), value in table.kernTable.items()
        if a in names and b in names
    }


def _gpos_pairs(font: Any, names: set[str]) -> dict[tuple[str, str], float]:
    """Sum over the lookups of Latin kerning; in a lookup the first subtable that knows the pair counts."""
    total: dict[tuple[str, str], float] = {}
    for lookup in _kern_lookups(font):
        known: dict[tuple[str, str], float] = {}
        for subtable in lookup.SubTable:
            subtable = getattr(subtable, "ExtSubTable", subtable)
            if subtable.LookupType == 2:
                for pair, value in _subtable_pairs(subtable, names).items():
                    known.setdefault(pair, value)
        for pair, value in known.items():
            total[pair] = total.get(pair, 0.0) + value
    return total


def _kern_lookups(font: Any) -> list[Any]:
    table = font["GPOS"].table if "GPOS" in font else None
    if table is None or not (table.ScriptList and table.FeatureList and table.LookupList):
        return []
    scripts = {record.ScriptTag: record.Script for record in table.ScriptList.ScriptRecord}
    script = scripts.get("latn") or scripts.get("DFLT")
    if script is None or script.DefaultLangSys is None:
        return []
    features = [table.FeatureList.FeatureRecord[i] for i in script.DefaultLangSys.FeatureIndex]
    numbers = sorted({n for f in features if f.FeatureTag == "kern" for n in f.Feature.LookupListIndex})
    return [table.LookupList.Lookup[n] for n in numbers]


def _subtable_pairs(subtable: Any, names: set[str]) -> dict[tuple[str, str], float]:
    """Pairs of one subtable; a pair of classes counts with a value of 0 too, and so hides later ones."""
    found: dict[tuple[str, str], float] = {}
    covered = subtable.Coverage.glyphs
    if subtable.Format == 1:
        for first, pair_set in zip(covered, subtable.PairSet, strict=True):
            if first in names:
                for record in pair_set.PairValueRecord:
                    if record.SecondGlyph in names:
                        found[first, record.SecondGlyph] = _advance(record.Value1)
        return found
    first_class, second_class = subtable.ClassDef1.classDefs, subtable.ClassDef2.classDefs
    for first in names.intersection(covered):
        row = subtable.Class1Record[first_class.get(first, 0)].Class2Record
        for second in names:
            found[first, second] = _advance(row[second_class.get(second, 0)].Value1)
    return found


def _advance(value: Any) -> float:
    return float(getattr(value, "XAdvance", 0) or 0)
