"""Lengths as makers write them, and dimensions that know where they come from."""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from pixel2make.errors import QuantityError

__all__ = [
    "LONGEST_MM",
    "MM_PER_UNIT",
    "ORIGINS",
    "SHORTEST_MM",
    "UNITS",
    "UNITS_THAT_WOULD_DO",
    "UNIT_WORDS",
    "Dimension",
    "compared",
    "format_change",
    "format_length",
    "format_mm",
    "in_units",
    "length_digits",
    "parse_length",
    "rounded_down",
    "rounded_up",
]

ORIGINS = ("sprite", "rule", "stock", "maker")

MM_PER_UNIT: Mapping[str, Fraction] = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction(254, 10),
    "ft": Fraction(3048, 10),
}
"""Exact. The inch is 25.4 mm and the foot twelve of them: international yard and pound agreement
of 1959, in NIST SP 811 (appendix B)."""

SHORTEST_MM = 10.0
"""Below this no object with parts of its own can be cut by hand or on a hobby machine."""
LONGEST_MM = 3000.0
"""Above this no sheet stock is long enough; a longer number is a slip of the unit."""

UNITS = ("mm", "in")
"""Units that lengths are shown in."""

UNIT_WORDS: Mapping[str, str] = {"mm": "mm", "in": "inches"}
"""How a heading names the unit."""

UNITS_THAT_WOULD_DO = "300mm, 30cm, 0.3m or 11.75in"


@dataclass(frozen=True)
class Dimension:
    """A length on the real object with its interval and its origin.

    Attributes
    ----------
    name : str
        Lower-case words joined by underscores, such as "cover_width".
    value_mm, low_mm, high_mm : float
        ``low_mm <= value_mm <= high_mm``; equal where the value is chosen, not measured.
    origin : {"sprite", "rule", "stock", "maker"}
        Measured in the sprite, a rule of the trade, a stock size, or the maker's own word.
    rule : str
        How the value was made, such as "board height less two squares".
    source : str
        Where the rule or the value stands, with its label, such as "common practice".
    is_seen : bool
        True where it can be measured on the finished object; such dimensions stand on its drawing.
    """

    name: str
    value_mm: float
    low_mm: float
    high_mm: float
    origin: str
    rule: str = ""
    source: str = ""
    is_seen: bool = True

    def __post_init__(self) -> None:
        if self.origin not in ORIGINS:
            raise QuantityError(f"{self.name}: origin is one of {', '.join(ORIGINS)}, got {self.origin!r}")
        if not self.low_mm <= self.value_mm <= self.high_mm:
            raise QuantityError(
                f"{self.name}: {self.value_mm} mm lies outside {self.low_mm} to {self.high_mm} mm"
            )


_WORDS: Mapping[str, str] = {
    "mm": "mm millimetre millimetres millimeter millimeters",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "m": "m metre metres meter meters",
    "in": 'in inch inches " \u2033 \u201d',
    "ft": "ft foot feet",
}
_UNIT_OF: Mapping[str, str] = {word: unit for unit, words in _WORDS.items() for word in words.split()}
_LONGEST_TEXT = 64
"""A length needs no more characters; keeps a pasted page out of the message and out of the arithmetic."""

_FRACTION = r"(?:(?P<whole>[0-9]+)(?: ?- ?| ))?(?P<fraction>[0-9]+ ?/ ?[0-9]+)"
_DECIMAL = r"(?P<decimal>[0-9]+(?:[.,][0-9]*)?|[.,][0-9]+)"
_LENGTH = re.compile(rf"(?:{_FRACTION}|{_DECIMAL}) ?(?P<unit>[^0-9\s.,/-]*)")
_FEET_AND_INCHES = re.compile(r"(?P<feet>[0-9]+) ?(?:ft|foot|feet) ?(?P<rest>[0-9].*)")


def parse_length(text: str, *, low_mm: float = SHORTEST_MM, high_mm: float = LONGEST_MM) -> float:
    """Length in mm of what a maker wrote.

    Parameters
    ----------
    text : str
        A number and a unit, with or without a space: ``300mm``, ``30 cm``, ``0.3 m``, ``11.75in``,
        ``11 3/4 in``, ``11-3/4"``, ``21,5 cm`` (decimal comma), ``1 ft 2 in``. Upper case is taken as
        lower case.
    low_mm, high_mm : float
        Shortest and longest length that is taken, both inclusive.

    Returns
    -------
    float
        The double nearest to the exact value; the arithmetic is done in fractions.

    Raises
    ------
    QuantityError
        No unit, an unknown unit, no number, zero, negative, or outside the limits.

    Examples
    --------
    >>> parse_length("30 cm")
    300.0
    >>> parse_length("11 3/4 in")
    298.45
    """
    shown = _shown(text)
    plain = _plain(text)
    if not plain:
        raise QuantityError(f"no length is given; write it with its unit, such as {UNITS_THAT_WOULD_DO}")
    if plain.startswith("-"):
        raise QuantityError(f"{shown} is negative; give a length above zero, such as {UNITS_THAT_WOULD_DO}")
    exact = _exact(plain, shown)
    if exact == 0:
        raise QuantityError(f"{shown} is zero; give a length above zero, such as {UNITS_THAT_WOULD_DO}")
    if not Fraction(low_mm) <= exact <= Fraction(high_mm):
        side = "short" if exact < Fraction(low_mm) else "long"
        raise QuantityError(
            f"{shown} is {format_mm(float(exact))}, too {side}; "
            f"give a length from {format_mm(low_mm)} to {format_mm(high_mm)}"
        )
    return float(exact)


def format_mm(value: float) -> str:
    """A length as `parse_length` reads it back, to a thousandth of a millimetre.

    >>> format_mm(298.45), format_mm(300.0), format_mm(0.12345)
    ('298.45 mm', '300 mm', '0.123 mm')
    """
    if not math.isfinite(value):
        raise QuantityError(f"{value} is not a length")
    digits = f"{value:.3f}".rstrip("0").rstrip(".")
    return f"{'0' if digits == '-0' else digits} mm"


_NOISE = 1e-6
"""Of the last digit: what arithmetic leaves behind a whole number is no reason for the next one."""


def rounded_up(mm: float, places: int = 1) -> str:
    """Digits of what is needed: never less than the length, so that whoever makes it so has enough.

    >>> rounded_up(9.51), rounded_up(2.4999999999999), rounded_up(258.7, 0)
    ('9.6', '2.5', '259')
    """
    return _trimmed(f"{math.ceil(mm * 10**places - _NOISE) / 10**places:.{places}f}")


def rounded_down(mm: float, places: int = 1) -> str:
    """Digits of what there is, or of the most that may be: never more than the length.

    >>> rounded_down(9.59), rounded_down(0.30000000000000004, 2)
    ('9.5', '0.3')
    """
    return _trimmed(f"{math.floor(mm * 10**places + _NOISE) / 10**places:.{places}f}")


def compared(mm: float, limit_mm: float, places: int = 1) -> str:
    """Digits of a length that misses a limit, rounded away from it.

    >>> compared(9.96, 10), compared(10.04, 10)
    ('9.9', '10.1')
    """
    return rounded_down(mm, places) if mm < limit_mm else rounded_up(mm, places)


_SIXTEENTHS = 16
"""Parts of an inch on a workshop's steel rule."""

_DECIMAL_BELOW_IN, _FRACTION_ERROR = Fraction(1, 4), Fraction(5, 100)
"""A length below a quarter inch that no sixteenth meets to a twentieth is given in decimals: sheet, board
and paper are sold by such numbers, and a board of 2.5 mm is no eighth of an inch."""


_TOWARDS: Mapping[str, Callable[[Fraction], int]] = {
    "nearest": round,
    "up": lambda parts: math.ceil(parts - Fraction(_NOISE)),
    "down": lambda parts: math.floor(parts + Fraction(_NOISE)),
}
"""Whole parts of an inch, to either side or to one."""


def length_digits(mm: float, units: str = "mm", *, inches: str = "nearest", parts: int = _SIXTEENTHS) -> str:
    """A length without its unit, as it is read off a rule.

    Parameters
    ----------
    mm : float
    units : {"mm", "in"}
        Millimetres to a tenth, below ten to a hundredth; inches to the nearest sixteenth in lowest terms,
        and in decimals where the length is small and a sixteenth would misstate it.
    inches : {"nearest", "up", "down"}
        Which way inches are rounded: up what is needed, down what there is room for.
    parts : int
        Parts of an inch to round to.

    Raises
    ------
    QuantityError
        Where `mm` is no finite number or the unit is another.

    Examples
    --------
    >>> length_digits(298.45, "in"), length_digits(2.5, "in"), length_digits(27.24)
    ('11 3/4', '0.098', '27.2')
    """
    if not math.isfinite(mm):
        raise QuantityError(f"{mm} is not a length")
    if units not in UNITS:
        raise QuantityError(f"lengths are shown in {' or '.join(UNITS)}, not in {units!r}")
    if units == "mm":
        return _trimmed(f"{mm:.1f}" if abs(mm) >= 10 else f"{mm:.2f}")
    sign, length = "-" if mm < 0 else "", abs(Fraction(mm)) / MM_PER_UNIT["in"]
    if mm < 0:
        inches = {"up": "down", "down": "up"}.get(inches, inches)
    whole_parts = _TOWARDS[inches]
    rounded = Fraction(whole_parts(length * parts), parts)
    if length < _DECIMAL_BELOW_IN and abs(rounded - length) > _FRACTION_ERROR * length:
        digits = _trimmed(f"{whole_parts(length * 1000) / 1000:.3f}")
        return digits if digits == "0" else sign + digits
    whole, part = divmod(rounded, 1)
    return sign + (" ".join(str(n) for n in (whole, part) if n) or "0")


def format_length(mm: float, units: str = "mm") -> str:
    """A length with its unit for a person to read; `parse_length` reads it back.

    >>> format_length(298.45, "in"), format_length(300.0), format_length(0.15, "in")
    ('11 3/4 in', '300 mm', '0.006 in')
    """
    return f"{length_digits(mm, units)} {units}"


def format_change(mm: float, units: str = "mm") -> str:
    """A change of a length, with its sign.

    >>> format_change(-6.35, "in"), format_change(2.5)
    ('-1/4 in', '+2.5 mm')
    """
    return f"{'+' if mm >= 0 else ''}{format_length(mm, units)}"


_NUMBER = r"(?<![\w./+-])[+-]?[0-9]+(?:\.[0-9]+)?"
_LENGTHS_IN_TEXT = re.compile(
    rf"{_NUMBER}(?:(?:\s+(?:to|x|and|or)|,\s[xy])\s+{_NUMBER})*\s+(?:mm|m)\b(?!\s+bars?\b)"
)
_AREA_IN_TEXT = re.compile(rf"({_NUMBER})\s+cm(2\b|\u00b2)")
_NUMBER_IN_TEXT = re.compile(_NUMBER)
_LEAST, _MOST = re.compile(r"\bat least\s+$"), re.compile(r"\b(?:at most|up to)\s+$")
_ON = re.compile(r"\s+on\b")
"""Words that make a length the least or the most: "at least 3 mm", "from 3 mm on", "at most 3 mm"."""

_LONGEST_IN_INCHES_MM = 3048
"""Ten feet; a longer thread or tape is told in feet, since nobody measures it to the sixteenth."""

_FINE_PARTS = 64
"""Finest parts of an inch on a steel rule, for lengths that a sixteenth would make equal."""


def in_units(text: str, units: str, *, apart: bool = False) -> str:
    """A sentence whose lengths are in mm or m, with the same lengths in the units asked for.

    Beyond ten feet they are in ft, areas in cm2 become in2. What the words call the least is rounded up, the
    most down. The bars on a print are as long as they are and keep their name.

    Parameters
    ----------
    text : str
    units : {"mm", "in"}
    apart : bool
        Lengths that differ in mm differ in inches as well: the shorter is rounded down, the longer up. For
        sentences that set what there is against what is needed.

    >>> in_units("holes of 1.6 mm in a board of 200 x 298.45 mm", "in")
    'holes of 1/16 in in a board of 7 7/8 x 11 3/4 in'
    >>> in_units("thread 6.096 m in all", "in")
    'thread 20 ft in all'
    >>> in_units("9.4 mm wide; 9.6 mm would do", "in", apart=True)
    '23/64 in wide; 25/64 in would do'
    """
    if units == "mm":
        return text
    found = [_Lengths(text, match) for match in _LENGTHS_IN_TEXT.finditer(text)]
    shown = [each.shown(each.towards, _SIXTEENTHS) for each in found]
    if apart:
        shown = _apart(found, shown)
    for each, words in zip(reversed(found), reversed(shown), strict=True):
        start, end = each.match.span()
        text = text[:start] + words + text[end:]
    return _AREA_IN_TEXT.sub(_square_inches, text)


class _Lengths:
    """Lengths that stand together in a text, with the unit behind the last."""

    def __init__(self, text: str, match: re.Match[str]) -> None:
        self.match = match
        self.unit = "mm" if match[0].endswith("mm") else "m"
        self.mm = [Fraction(number) * MM_PER_UNIT[self.unit] for number in _NUMBER_IN_TEXT.findall(match[0])]
        self.is_long = max(abs(mm) for mm in self.mm) > _LONGEST_IN_INCHES_MM
        before, after = text[: match.start()], text[match.end() :]
        is_from = before.endswith("from ") and _ON.match(after) is not None
        self.towards = (
            "up" if is_from or _LEAST.search(before) else "down" if _MOST.search(before) else "nearest"
        )

    def shown(self, towards: str, parts: int) -> str:
        def number(found: re.Match[str]) -> str:
            mm = Fraction(found[0]) * MM_PER_UNIT[self.unit]
            feet = _trimmed(f"{float(mm / MM_PER_UNIT['ft']):.1f}")
            digits = length_digits(float(mm), "in", inches=towards, parts=parts)
            return ("+" if found[0][0] == "+" else "") + (feet if self.is_long else digits)

        numbers = _NUMBER_IN_TEXT.sub(number, self.match[0])
        return numbers.removesuffix(self.unit) + ("ft" if self.is_long else "in")


def _apart(found: Sequence[_Lengths], shown: Sequence[str]) -> list[str]:
    """Lengths that read alike and are not: the shorter down, the longer up, in fine parts of an inch."""
    words = list(shown)
    single = [i for i, each in enumerate(found) if len(each.mm) == 1 and not each.is_long]
    for i in single:
        others = [found[k].mm[0] for k in single if shown[k] == shown[i] and found[k].mm != found[i].mm]
        if others:
            towards = "up" if found[i].mm[0] > min(others) else "down"
            words[i] = found[i].shown(towards, _FINE_PARTS)
    return words


def _square_inches(match: re.Match[str]) -> str:
    area = float(Fraction(match[1]) * 100 / MM_PER_UNIT["in"] ** 2)
    sign = "+" if match[1][0] == "+" else ""
    return f"{sign}{_trimmed(f'{area:.1f}' if abs(area) >= 10 else f'{area:.2f}')} in{match[2]}"


def _trimmed(digits: str) -> str:
    plain = digits.rstrip("0").rstrip(".") if "." in digits else digits
    return "0" if plain == "-0" else plain


def _shown(text: str) -> str:
    return repr(text if len(text) <= _LONGEST_TEXT else text[:_LONGEST_TEXT] + "...")


def _plain(text: str) -> str:
    """Lower case, single spaces, and the typographer's minus and fractions written out."""
    if len(text) > _LONGEST_TEXT:
        raise QuantityError(f"{_shown(text)} is not a length; write one such as {UNITS_THAT_WOULD_DO}")
    spread = "".join(
        f" {unicodedata.normalize('NFKC', c)}" if unicodedata.decomposition(c).startswith("<fraction>") else c
        for c in text
    )
    spread = spread.replace("\u2044", "/").replace("\u2212", "-").replace("\u2013", "-")
    return " ".join(spread.lower().split())


def _exact(plain: str, shown: str) -> Fraction:
    """Millimetres as a fraction, without a look at the limits."""
    two = _FEET_AND_INCHES.fullmatch(plain)
    if two:
        return int(two["feet"]) * MM_PER_UNIT["ft"] + _exact(two["rest"], shown)
    match = _LENGTH.fullmatch(plain)
    if match is None:
        raise QuantityError(
            f"{shown} is not a length; write a number and a unit, such as {UNITS_THAT_WOULD_DO}"
        )
    if not match["unit"]:
        raise QuantityError(f"{shown} has no unit; write one, such as {UNITS_THAT_WOULD_DO}")
    if match["unit"] not in _UNIT_OF:
        raise QuantityError(
            f"{shown}: there is no unit {match['unit']!r} here; use mm, cm, m or in, "
            f"such as {UNITS_THAT_WOULD_DO}"
        )
    return _number(match, shown) * MM_PER_UNIT[_UNIT_OF[match["unit"]]]


def _number(match: re.Match[str], shown: str) -> Fraction:
    if match["decimal"]:
        return _decimal(match["decimal"], shown)
    over, under = (int(part) for part in match["fraction"].split("/"))
    if under == 0:
        raise QuantityError(f"{shown} divides by zero; write a fraction such as 11 3/4 in")
    return int(match["whole"] or 0) + Fraction(over, under)


def _decimal(digits: str, shown: str) -> Fraction:
    """A comma before exactly three digits could part thousands, so it is asked about."""
    whole, comma, part = digits.partition(",")
    if comma and len(part) == 3 and whole.strip("0"):
        raise QuantityError(f"{shown} could mean {whole}{part} or {whole}.{part}; write it without the comma")
    return Fraction(digits.replace(",", ".").rstrip(".") or "0")
