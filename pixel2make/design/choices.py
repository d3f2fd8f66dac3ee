"""The maker's answers: which word or length was chosen, and what another one would move."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence

from pixel2make.design.kind import A_LENGTH, A_LENGTH_IN, ChoiceKey, Number
from pixel2make.design.model import Choice
from pixel2make.errors import DesignError, QuantityError
from pixel2make.quantity import Dimension, in_units, parse_length
from pixel2make.reading.model import Proportions, Reading

__all__ = ["PROPORTIONS", "choices_with_effects", "proportions_key", "proportions_taken", "settle"]

PROPORTIONS = "proportions"
"""The choice that every kind of object has: which true proportions stand behind the drawing."""

_LEAST_EFFECT_MM = 0.05
"""Half the last digit that a table shows."""

_SHORTEST_MM, _LONGEST_MM = 0.05, 3000.0
"""Lengths that a choice may be given as; what fits the object is checked where it is used."""


def proportions_key(reading: Reading, shows: Sequence[str]) -> ChoiceKey:
    """The question for the true proportions, its options the reading's alternatives, best first."""
    names = tuple(proportions.name for proportions in reading.proportions)
    return ChoiceKey(
        PROPORTIONS, "Which true proportions stand behind the drawing?", names, names[0], shows=tuple(shows)
    )


def proportions_taken(reading: Reading, taken: Mapping[str, str | float]) -> Proportions:
    """The alternative that was chosen."""
    return next(p for p in reading.proportions if p.name == taken[PROPORTIONS])


def settle(keys: Iterable[ChoiceKey], choices: Mapping[str, str | float]) -> dict[str, str | float]:
    """The answer to every question: the maker's where there is one, else the default.

    Parameters
    ----------
    keys : iterable of ChoiceKey
    choices : mapping of str to (str or float)
        A float is a length in mm, or a number in the choice's own unit; a text is an option, or a
        length or number with its unit.

    Raises
    ------
    DesignError
        For an unknown key or option, naming those that would do.
    """
    known = {key.key: key for key in keys}
    for name in choices:
        if name not in known:
            asked = ", ".join(key.key for key in known.values() if key.is_asked)
            raise DesignError(f"there is no choice {name!r}; choices are {asked}")
    return {name: _answer(key, choices.get(name, key.default)) for name, key in known.items()}


def _answer(key: ChoiceKey, given: str | float) -> str | float:
    if isinstance(given, str):
        # "a4" is meant where the word is "A4".
        given = next((option for option in key.options if option.lower() == given.strip().lower()), given)
        if given in key.options:
            return given
    if isinstance(given, str) and given in key.idle:
        return key.default
    options = ", ".join(key.options)
    if key.number is not None:
        return _number(key, key.number, given)
    if key.reads is not None and isinstance(given, str):
        try:
            return key.reads(given)
        except QuantityError as error:
            raise DesignError(
                f"choice {key.key}: {given!r} is none of {options} and no {key.reads_words} ({error})"
            ) from error
    if not key.takes_length:
        raise DesignError(f"choice {key.key}: {given!r} is none of {options}")
    if isinstance(given, str):
        try:
            return parse_length(given, low_mm=_SHORTEST_MM, high_mm=_LONGEST_MM)
        except QuantityError as error:
            raise DesignError(
                f"choice {key.key}: {given!r} is none of {options} "
                f"and no {A_LENGTH.removeprefix('a ')} ({error})"
            ) from error
    length = float(given)
    if not (math.isfinite(length) and _SHORTEST_MM <= length <= _LONGEST_MM):
        raise DesignError(
            f"choice {key.key}: a length lies from {_SHORTEST_MM:g} to {_LONGEST_MM:g} mm, got {length:g} mm"
        )
    return length


def _number(key: ChoiceKey, number: Number, given: str | float) -> float:
    """A number, bare or with the choice's unit, within its limits."""
    text = given.strip().removesuffix(number.unit) if isinstance(given, str) else given
    try:
        value = float(text)
    except ValueError:
        if number.unit == "mm" and isinstance(given, str):
            return _length_within(key, number, given)
        raise DesignError(
            f"choice {key.key}: {given!r} is none of {', '.join(key.options)} "
            f"and no {number.words.removeprefix('a ')}"
        ) from None
    if not (math.isfinite(value) and number.low <= value <= number.high):
        raise DesignError(
            f"choice {key.key}: {number.low:g} to {number.high:g} {number.unit} would do, got {value:g}"
        )
    return value


def _length_within(key: ChoiceKey, number: Number, given: str) -> float:
    """A number of millimetres that was given in another unit of length."""
    try:
        return parse_length(given, low_mm=number.low, high_mm=number.high)
    except QuantityError as error:
        raise DesignError(
            f"choice {key.key}: {given!r} is none of {', '.join(key.options)} "
            f"and no {number.words.removeprefix('a ')} ({error})"
        ) from error


def choices_with_effects(
    keys: Iterable[ChoiceKey],
    taken: Mapping[str, str | float],
    lengths_for: Callable[[Mapping[str, str | float]], Sequence[Dimension]],
) -> tuple[Choice, ...]:
    """Every choice with what each other option would move.

    Parameters
    ----------
    lengths_for : callable
        The dimensions for other answers; an option for which it raises DesignError has no effect to
        show.
    """
    now = {dimension.name: dimension.value_mm for dimension in lengths_for(taken)}
    found = []
    for key in keys:
        is_given = key.is_kept and taken[key.key] != key.default
        if not key.is_asked and not is_given:
            continue
        effects: list[tuple[str, str, float]] = []
        for option in key.options if key.shows else ():
            if option == taken[key.key]:
                continue
            try:
                then = {d.name: d.value_mm for d in lengths_for({**taken, key.key: option})}
            except DesignError:
                continue
            # What an answer does away with, or brings, counts as nothing before or after.
            changes = [(name, then.get(name, 0.0) - now.get(name, 0.0)) for name in key.shows]
            effects += [(option, name, change) for name, change in changes if abs(change) >= _LEAST_EFFECT_MM]
        found.append(
            Choice(
                key.key,
                key.question,
                _options(key, taken.get("units")),
                _words(key, taken[key.key]),
                tuple(effects),
            )
        )
    return tuple(found)


def _options(key: ChoiceKey, units: object) -> tuple[str, ...]:
    """The words that would do, and what would do besides words."""
    if key.number is not None:
        return (*key.options, in_units(key.number.words, str(units)) if units else key.number.words)
    if key.reads is not None:
        return (*key.options, key.reads_words)
    return (*key.options, A_LENGTH_IN if units == "in" else A_LENGTH) if key.takes_length else key.options


def _words(key: ChoiceKey, answer: str | float) -> str:
    """As a plan has it and `settle` reads it back."""
    if isinstance(answer, str):
        return answer
    plain = f"{answer:.3f}".rstrip("0").rstrip(".")
    return f"{plain} {key.number.unit}" if key.number is not None else f"{plain}mm"
