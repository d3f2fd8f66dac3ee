"""pixel2make masks SPRITE_OR_PLAN --height 300mm -o DIR"""

from __future__ import annotations

from typing import Any

import click

from pixel2make.cli.options import pack_command

__all__ = ["command"]


@click.command("masks", short_help="Write the masks for painted and gilded areas.")
@pack_command
def command(**values: Any) -> None:
    """Write only the cut sheets for painted and gilded areas."""
    from pixel2make.cli.packing import write

    write("masks", **values)
