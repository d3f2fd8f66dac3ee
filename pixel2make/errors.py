"""Every error the package raises on purpose, on one screen.

Pixel2MakeError            something the maker can put right; one line, with a place
├── SpriteError            the picture cannot be used            (also a ValueError)
├── ReadingError           the drawing cannot be told            (also a ValueError)
├── PlanError              the plan file cannot be used          (also a ValueError)
├── QuantityError          a length cannot be used               (also a ValueError)
├── DesignError            no object can be made of this         (also a ValueError)
└── PackError              the folder cannot be written          (also an OSError)

The command line turns each of them into ``Error: ...`` and exit status 2. Anything else that
escapes is a defect of the program and ends in exit status 1.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

__all__ = [
    "DesignError",
    "PackError",
    "Pixel2MakeError",
    "PlanError",
    "QuantityError",
    "ReadingError",
    "SpriteError",
    "located",
]


class Pixel2MakeError(Exception):
    """Something the maker can put right. The message is one line: where, what, what to do."""


class SpriteError(Pixel2MakeError, ValueError):
    """The picture cannot be used."""


class ReadingError(Pixel2MakeError, ValueError):
    """The drawing cannot be told."""


class PlanError(Pixel2MakeError, ValueError):
    """The plan file cannot be used."""


class QuantityError(Pixel2MakeError, ValueError):
    """A length cannot be used."""


class DesignError(Pixel2MakeError, ValueError):
    """No object can be made of this."""


class PackError(Pixel2MakeError, OSError):
    """The folder cannot be written."""


@contextmanager
def located(place: str) -> Iterator[None]:
    """Put `place` in front of the message of any Pixel2MakeError on its way up.

    >>> with located("tome.png"), located("frame 2"):
    ...     raise SpriteError("is fully transparent")
    Traceback (most recent call last):
    pixel2make.errors.SpriteError: tome.png: frame 2: is fully transparent
    """
    try:
        yield
    except Pixel2MakeError as error:
        raise type(error)(f"{place}: {error}") from error
