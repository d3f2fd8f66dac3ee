"""pixel2make build SPRITE_OR_PLAN --height 300mm -o DIR"""

from __future__ import annotations

from typing import Any

import click

from pixel2make.cli.options import pack_command

__all__ = ["command"]


@click.command("build", short_help="Write the whole pack.")
@pack_command
@click.option("--title", metavar="TEXT", help="Letter this on the cover.")
@click.option("--subtitle", metavar="TEXT", help="Second line of the cover's lettering.")
@click.option("--byline", metavar="TEXT", help="Author's line of the cover's lettering.")
@click.option(
    "--face",
    metavar="FACE",
    default="engraved",
    help="Lettering: engraved, stencil, single-stroke, or a font file.",
)
@click.option(
    "--case", "has_case", is_flag=True, help="Also a display case; short for --set display_case=acrylic."
)
@click.option("--prices", metavar="FILE", help="Your prices, a table with the columns item,price_each.")
def command(
    title: str | None,
    subtitle: str | None,
    byline: str | None,
    face: str,
    has_case: bool,
    **values: Any,
) -> None:
    """Write the whole pack: spec, drawing, cut sheets, masks, clasp, plan."""
    from pixel2make.api import CoverText
    from pixel2make.cli.packing import write

    if title is None and (subtitle is not None or byline is not None):
        raise click.UsageError("--subtitle and --byline go with --title; give the title too")
    cover = None if title is None else CoverText(title, subtitle, byline, face)
    if has_case:
        values["settings"] = ("display_case=acrylic", *values["settings"])
    write("build", cover=cover, **values)
