"""pixel2make build SPRITE_OR_PLAN --height 300mm -o DIR"""

from __future__ import annotations

from typing import Any

import click

from pixel2make.cli.options import pack_command

__all__ = ["command"]


@click.command("build", short_help="Write the whole pack.")
@pack_command
def command(**values: Any) -> None:
    """Write the whole pack: spec, drawing, cut sheets, masks, clasp, plan."""
    from pixel2make.cli.packing import write

    write("build", **values)
