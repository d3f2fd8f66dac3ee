"""The date of issue: none, unless whoever builds the pack says one.

A pack holds no date of its own, so that the same sprite and answers give the same bytes on every day.
``SOURCE_DATE_EPOCH``, the convention of reproducible builds, is a number of seconds since 1970-01-01 UTC;
where it is set, drawings, PDF files and the report bear that day.
"""

from __future__ import annotations

import os
from datetime import UTC, datetime

from pixel2make.errors import PackError

__all__ = ["VARIABLE", "date_of_issue"]

VARIABLE = "SOURCE_DATE_EPOCH"
_LAST = 253402300799
"""The last second of the year 9999, the last that four digits of ISO 8601 can write."""


def date_of_issue() -> str:
    """The day as ISO 8601 has it, such as 2026-03-01; empty where none was asked for.

    Raises
    ------
    PackError
        Where the variable holds something else than whole seconds.
    """
    text = os.environ.get(VARIABLE, "").strip()
    if not text:
        return ""
    if not (text.isascii() and text.isdigit()) or int(text) > _LAST:
        raise PackError(f"{VARIABLE} is {text[:40]!r}; give seconds since 1970-01-01 UTC, or unset it")
    return datetime.fromtimestamp(int(text), UTC).date().isoformat()
