"""pixel2make measure SPRITE_OR_PLAN --height 300mm"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pixel2make.cli.options import (
    choice_options,
    part_options,
    part_values,
    pick_choices,
    pick_size,
    show_option,
    size_options,
)
from pixel2make.errors import located

__all__ = ["command"]


@click.command("measure", short_help="Print the real dimensions.")
@click.argument("sprite_or_plan")
@size_options
@choice_options
@part_options
@click.option("--json", "as_json", is_flag=True, help="Print spec.json instead of the table.")
@show_option
def command(sprite_or_plan: str, as_json: bool, show: str | None, **values: Any) -> None:
    """Print the real dimensions with what the pixels allow and where each comes from."""
    from pixel2make import api
    from pixel2make.pack.sections import part_files
    from pixel2make.pack.spec import spec_bytes
    from pixel2make.pack.table import dimension_table

    size, choices = pick_size(values), pick_choices(values)
    source = api.open_source(sprite_or_plan, **part_values(values))
    design = api.measure(source, size=size, choices=choices)
    if show:
        from pixel2make.pack.writer import write_file
        from pixel2make.reading import show_png

        with located(show):
            write_file(show_png(source.reading), Path(show))
    if as_json:
        click.echo(spec_bytes(design, part_files=part_files(design)).decode(), nl=False)
    else:
        click.echo(dimension_table(design))
