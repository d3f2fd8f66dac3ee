"""What the commands that write a pack have in common."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from pixel2make.cli.options import part_values, pick_choices, pick_size

if TYPE_CHECKING:
    from pixel2make.api import CoverText

__all__ = ["write"]


def write(
    pack: str,
    *,
    sprite_or_plan: str,
    output: str,
    cover: CoverText | None = None,
    prices: str | None = None,
    quiet: bool = False,
    as_json: bool = False,
    **values: Any,
) -> None:
    """Build `pack` from a sprite or a plan into `output` and say what the maker should know."""
    from pixel2make import api
    from pixel2make.cli.progress import Progress
    from pixel2make.cli.summary import summary_json, summary_lines

    size, choices = pick_size(values), pick_choices(values)
    with Progress(is_wanted=not quiet) as tell:
        tell("reading the sprite")
        source = api.open_source(sprite_or_plan, **part_values(values))
        made = api.build_pack(
            source, out=output, size=size, pack=pack, choices=choices, cover=cover, prices=prices, tell=tell
        )
    if as_json:
        click.echo(summary_json(made))
    elif not quiet:
        for line in summary_lines(made):
            click.echo(line)
