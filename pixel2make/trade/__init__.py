"""Every constant of the trade, with its label and its source.

The tables are TOML files under ``tables``, one a subject; an entry is named by the file's name and
the dotted path in it, such as "boards.square.to_250". Code never holds a number of the real world;
it asks here, so that every dimension can say where it comes from.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

__all__ = ["LABELS", "TradeValue", "keys", "step", "value"]

LABELS = ("published", "published (value recalled)", "common practice", "from memory")
"""How sure a value is: in a named source; in a named source that was not opened again; a default of
workshops without an authority; remembered only, so never a matter of safety."""

_FIELDS = {"value", "unit", "label", "source", "note"}


@dataclass(frozen=True)
class TradeValue:
    """One value of the trade.

    Attributes
    ----------
    key : str
        "boards.square.to_250".
    value : number, str, list or mapping
    unit : str
        Of the numbers; "1" for a plain ratio, "" for words.
    label : str
        One of `LABELS`.
    source : str
        Empty only for common practice.
    note : str
    """

    key: str
    value: Any
    unit: str
    label: str
    source: str
    note: str = ""

    @property
    def number(self) -> float:
        """The value where it is one number.

        Raises
        ------
        TypeError
            For a list, a mapping or words.
        """
        if isinstance(self.value, bool) or not isinstance(self.value, int | float):
            raise TypeError(f"trade value {self.key} is no single number but {self.value!r}")
        return float(self.value)

    @property
    def numbers(self) -> tuple[float, ...]:
        """The values where it is a list of numbers.

        Raises
        ------
        TypeError
            For anything else.
        """
        if not isinstance(self.value, tuple):
            raise TypeError(f"trade value {self.key} is no list but {self.value!r}")
        return tuple(float(v) for v in self.value)

    @property
    def cited(self) -> str:
        """Label and source as one phrase, for the source of a dimension.

        >>> value("boards.square.to_350").cited
        'common practice'
        >>> value("boards.square.to_250").cited.split(",")[0]
        'published: Indiana University Libraries'
        """
        return f"{self.label}: {self.source}" if self.source else self.label


def value(key: str) -> TradeValue:
    """The value of that key.

    Parameters
    ----------
    key : str
        Subject and path, joined by dots.

    Raises
    ------
    KeyError
        Naming the nearest keys.

    Examples
    --------
    >>> value("units.inch").number
    25.4
    """
    table = _table()
    try:
        return table[key]
    except KeyError:
        from difflib import get_close_matches

        near = get_close_matches(key, table, n=3, cutoff=0.4)
        hint = f"; near it are {', '.join(near)}" if near else ""
        raise KeyError(f"no trade value {key!r}{hint}") from None


def step(key: str, at: float) -> TradeValue:
    """The value that holds at a size, from a table that steps up with it.

    Parameters
    ----------
    key : str
        An entry whose value is a table, or a group of entries, named "to_150", "to_250" ... and
        "above_350".
    at : float
        A size up to and including 150 takes "to_150".

    Raises
    ------
    KeyError
        Where the key has no steps.

    Examples
    --------
    >>> step("boards.square", 250).number, step("boards.square", 250.1).number
    (3.0, 3.5)
    >>> step("boards.thickness", 1000).number
    3.0
    """
    table = _table()
    if key in table and hasattr(table[key].value, "items"):
        whole = table[key]
        steps = {name: replace(whole, value=number) for name, number in whole.value.items()}
    else:
        steps = {name[len(key) + 1 :]: entry for name, entry in table.items() if name.startswith(f"{key}.")}
    limits = sorted((float(name[3:]), name) for name in steps if name.startswith("to_"))
    if not limits:
        raise KeyError(f"trade value {key!r} does not step with size")
    above = next(name for name in steps if name.startswith("above_"))
    return steps[next((name for limit, name in limits if at <= limit), above)]


def keys() -> tuple[str, ...]:
    """All keys, sorted."""
    return tuple(sorted(_table()))


@cache
def _table() -> Mapping[str, TradeValue]:
    import tomllib
    from importlib.resources import files

    found: dict[str, TradeValue] = {}
    for file in sorted(files("pixel2make.trade").joinpath("tables").iterdir(), key=lambda f: f.name):
        if file.name.endswith(".toml"):
            content = tomllib.loads(file.read_text("utf-8"))
            found.update((entry.key, entry) for entry in _entries(file.name.removesuffix(".toml"), content))
    return found


def _entries(prefix: str, table: Mapping[str, Any]) -> Iterator[TradeValue]:
    """Entries below a table; a table with a value is an entry, any other a group."""
    for name, content in table.items():
        key = f"{prefix}.{name}"
        if not isinstance(content, dict):
            raise ValueError(f"trade table: {key} stands outside of an entry")
        if "value" in content:
            yield _checked(key, content)
        else:
            yield from _entries(key, content)


def _checked(key: str, entry: Mapping[str, Any]) -> TradeValue:
    unknown = set(entry) - _FIELDS
    if unknown:
        raise ValueError(f"trade table: {key} has unknown fields {', '.join(sorted(unknown))}")
    label, source = entry.get("label", ""), entry.get("source", "")
    if label not in LABELS:
        raise ValueError(f"trade table: {key} has the label {label!r}; labels are {', '.join(LABELS)}")
    if not source and label != "common practice":
        raise ValueError(f"trade table: {key} is {label} and so needs a source")
    return TradeValue(
        key, _frozen(entry["value"]), entry.get("unit", ""), label, source, entry.get("note", "")
    )


def _frozen(content: Any) -> Any:
    """The same content that no caller can change: tuples for lists, read-only mappings for tables."""
    from types import MappingProxyType

    if isinstance(content, list):
        return tuple(_frozen(v) for v in content)
    if isinstance(content, dict):
        return MappingProxyType({k: _frozen(v) for k, v in content.items()})
    return content
