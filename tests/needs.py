"""What tests need beside Python packages: skipped where it is missing, failed where it should be there."""

import os

import pytest

__all__ = ["needs"]


def needs(found: object, what: str) -> None:
    """Skip a test whose system package is missing; under CI, where all are installed, fail it.

    Parameters
    ----------
    found : object
        True in a boolean test where it is there.
    what : str
        "Debian package micropython" ...
    """
    if found:
        return
    if os.environ.get("CI"):
        pytest.fail(f"needs {what}, which .ci/run installs")
    pytest.skip(f"needs {what}")
