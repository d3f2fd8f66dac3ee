"""Fixtures that write a sprite and run the command."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings

from tests.drawings import FRONT_WITH_EDGE, rgba_of

# The same generated cases in every run, so that a red run is the change's own doing. To look further:
# python -m pytest --hypothesis-profile=explore
settings.register_profile("steady", derandomize=True, deadline=None)
settings.register_profile("explore", derandomize=False, deadline=None, max_examples=500)
settings.load_profile("steady")


@pytest.fixture
def write_sprite(tmp_path):
    """Write rgba pixels, or a text drawing, as a PNG and give its path."""

    def write(drawing=FRONT_WITH_EDGE, name: str = "tome.png", enlarge: int = 1) -> Path:
        from PIL import Image

        rgba = rgba_of(drawing) if isinstance(drawing, str) else np.asarray(drawing, np.uint8)
        rgba = rgba.repeat(enlarge, 0).repeat(enlarge, 1)
        path = tmp_path / name
        Image.fromarray(rgba, "RGBA").save(path)
        return path

    return write


@pytest.fixture
def run():
    """Run the command in this process; gives (exit status, standard output, standard error)."""
    import io
    from contextlib import redirect_stderr, redirect_stdout

    from pixel2make.cli import main

    def call(*args: object) -> tuple[int, str, str]:
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err), pytest.raises(SystemExit) as leave:
            main([str(a) for a in args])
        return int(leave.value.code or 0), out.getvalue(), err.getvalue()

    return call
