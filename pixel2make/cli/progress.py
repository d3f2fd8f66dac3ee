"""What a command is doing, in one line that is rewritten in place, and only for someone who watches."""

from __future__ import annotations

import sys
from types import TracebackType
from typing import TextIO

__all__ = ["Progress"]

_CLEAR = "\r\x1b[K"
"""Back to the first column and erase to the end of the line (ECMA-48: CR and EL)."""


class Progress:
    """A line on a terminal that says the stage of the work; nothing where no one watches.

    Parameters
    ----------
    is_wanted : bool
    stream : text file, optional
        Standard error where left out, so that standard output holds results alone.

    Examples
    --------
    >>> import io
    >>> out = io.StringIO()
    >>> with Progress(stream=out) as progress:
    ...     progress("cut sheets")
    >>> out.getvalue()
    ''
    """

    def __init__(self, *, is_wanted: bool = True, stream: TextIO | None = None) -> None:
        self._stream = sys.stderr if stream is None else stream
        self.is_shown = is_wanted and self._stream.isatty()

    def __call__(self, stage: str) -> None:
        """Say what is being done now."""
        if self.is_shown:
            self._stream.write(f"{_CLEAR}{stage} ...")
            self._stream.flush()

    def __enter__(self) -> Progress:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Take the line away, so that what follows begins on a clean one."""
        if self.is_shown:
            self._stream.write(_CLEAR)
            self._stream.flush()
