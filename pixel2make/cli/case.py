"""pixel2make case SPRITE_OR_PLAN --height 300mm -o DIR"""

from __future__ import annotations

from typing import Any

import click

from pixel2make.cli.options import pack_command

__all__ = ["command"]


@click.command("case", short_help="Write the display case and its light.")
@pack_command
def command(**values: Any) -> None:
    """Write only the display case: drawings, cut sheets, wiring and the light's program."""
    from pixel2make.cli.packing import write

    write("case", **values)
