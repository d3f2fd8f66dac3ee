"""On which line of a TOML text does a key stand?

The parsers of the standard library and of the registries give a line for a syntax error only; a
maker who mistypes a word wants the line of that word as well.
"""

from __future__ import annotations

import re

__all__ = ["key_lines"]

_KEY_PART = r"""(?:"[^"]*"|'[^']*'|[A-Za-z0-9_-]+)"""
_KEY = rf"{_KEY_PART}(?:\s*\.\s*{_KEY_PART})*"
_TABLE = re.compile(rf"^\s*(\[\[?)\s*({_KEY})\s*\]\]?")
_ASSIGNMENT = re.compile(rf"^\s*({_KEY})\s*=")


def key_lines(text: str) -> dict[str, int]:
    """Line numbers, from 1, of every table and key of a valid TOML text.

    Keys inside inline tables, and lines inside arrays that run over several lines, have no
    entry of their own. A dot inside a quoted key is kept as it is.

    >>> key_lines('a = 1\\n[regions]\\n"r7.cover" = "cover"\\n[[box]]\\nat = [1, 2, 3, 4]\\n')
    {'a': 1, 'regions': 2, 'regions.r7.cover': 3, 'box[0]': 4, 'box[0].at': 5}
    """
    lines: dict[str, int] = {}
    table = ""
    counts: dict[str, int] = {}
    depth = 0
    for number, line in enumerate(text.splitlines(), 1):
        if depth > 0:
            depth += _bracket_balance(line)
            continue
        header = _TABLE.match(line)
        if header:
            name = _dotted(header.group(2))
            if header.group(1) == "[[":
                index = counts.get(name, 0)
                counts[name] = index + 1
                name = f"{name}[{index}]"
            table = name
            lines.setdefault(table, number)
            continue
        assignment = _ASSIGNMENT.match(line)
        if assignment:
            key = _dotted(assignment.group(1))
            lines.setdefault(f"{table}.{key}" if table else key, number)
            depth = max(0, _bracket_balance(line[assignment.end() :]))
    return lines


def _dotted(key: str) -> str:
    return ".".join(part.strip("\"'") for part in re.findall(_KEY_PART, key))


def _bracket_balance(line: str) -> int:
    """Opening less closing brackets outside strings and comments."""
    bare = re.sub(r"""("(?:\\.|[^"\\])*"|'[^']*')""", "", line).split("#", 1)[0]
    return bare.count("[") + bare.count("{") - bare.count("]") - bare.count("}")
