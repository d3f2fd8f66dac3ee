"""Kinds of objects. A new kind is a new folder here; nothing else names it."""

from __future__ import annotations

import difflib
import importlib
import pkgutil
from typing import TYPE_CHECKING

from pixel2make.errors import ReadingError

if TYPE_CHECKING:
    from pixel2make.kinds.protocol import Kind

__all__ = ["find", "names"]


def names() -> tuple[str, ...]:
    """Names of all kinds, in order of the alphabet.

    >>> "book" in names()
    True
    """
    return tuple(sorted(found.name for found in pkgutil.iter_modules(__path__) if found.ispkg))


def find(name: str) -> Kind:
    """The kind of that name: the value ``KIND`` of its folder.

    Parameters
    ----------
    name : str
        One of `names`.

    Raises
    ------
    ReadingError
        Naming the kinds that there are.
    """
    known = names()
    if name not in known:
        near = difflib.get_close_matches(name, known, n=1)
        hint = f"did you mean {near[0]!r}? " if near else ""
        raise ReadingError(f"there is no kind {name!r}; {hint}words that would do: {', '.join(known)}")
    return importlib.import_module(f"{__name__}.{name}").KIND
