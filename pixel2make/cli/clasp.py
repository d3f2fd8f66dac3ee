"""pixel2make clasp SPRITE_OR_PLAN --height 300mm -o DIR"""

from __future__ import annotations

from typing import Any

import click

from pixel2make.cli.options import pack_command

__all__ = ["command"]


@click.command("clasp", short_help="Write the clasp alone.")
@pack_command
def command(**values: Any) -> None:
    """Write only the clasp: print-ready mesh, sheet-metal flat pattern, drawing."""
    from pixel2make.cli.packing import write

    write("clasp", **values)
