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
    **values: Any,
) -> None:
    """Build `pack` from a sprite or a plan into `output` and say what the maker should know."""
    from pixel2make import api
    from pixel2make.quantity import in_units

    size, choices = pick_size(values), pick_choices(values)
    source = api.open_source(sprite_or_plan, **part_values(values))
    made = api.build_pack(
        source, out=output, size=size, pack=pack, choices=choices, cover=cover, prices=prices
    )
    view = source.reading.view
    click.echo(f"{output}: {len(made.files)} files; {view.kind} view, {round(100 * view.confidence)} % sure")
    for warning in (*made.design.warnings, *made.notes):
        click.echo(f"note: {in_units(warning, made.design.units)}")
    for question in source.reading.questions:
        click.echo(f"open: {question.question} Taken: {question.taken}.")
