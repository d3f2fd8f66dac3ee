"""pixel2make measure SPRITE_OR_PLAN --height 300mm"""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Any

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
from pixel2make.errors import DesignError, located

if TYPE_CHECKING:
    from pixel2make.api import Source
    from pixel2make.design.model import Design

__all__ = ["command"]

SHOWN_ONLY = frozenset({"units", "print_paper", "maker_height", "turntable"})
"""Choices that change how the object is shown and nothing of the object."""


@click.command("measure", short_help="Print the real dimensions.")
@click.argument("sprite_or_plan")
@size_options
@choice_options
@part_options
@click.option("--json", "as_json", is_flag=True, help="Print spec.json instead of the table.")
@click.option("--moved", is_flag=True, help="Print only what the answers given here move, before and after.")
@show_option
def command(sprite_or_plan: str, as_json: bool, moved: bool, show: str | None, **values: Any) -> None:
    """Print the real dimensions with what the pixels allow and where each comes from.

    With --set and the like, also what those answers move against the plan or the usual.
    """
    from pixel2make import api
    from pixel2make.pack.sections import part_files
    from pixel2make.pack.spec import spec_bytes
    from pixel2make.pack.table import dimension_table

    size, choices = pick_size(values), pick_choices(values)
    if moved and not choices:
        raise click.UsageError("--moved compares with other answers; give some, such as --set square=bold")
    source = api.open_source(sprite_or_plan, **part_values(values))
    design = api.measure(source, size=size, choices=choices)
    if show:
        from pixel2make.pack.writer import write_file
        from pixel2make.reading import show_png

        with located(show):
            write_file(show_png(source.reading), Path(show))
    if moved:
        click.echo(_moved(source, design, size, choices, as_json=as_json))
    elif as_json:
        click.echo(spec_bytes(design, part_files=part_files(design)).decode(), nl=False)
    else:
        click.echo(dimension_table(design))
        if choices.keys() - SHOWN_ONLY:
            click.echo("\n" + _moved(source, design, size, choices, as_json=False))


def _moved(
    source: Source, design: Design, size: tuple[str, str] | None, choices: dict[str, str], *, as_json: bool
) -> str:
    """What the answers given here move, as a table or as JSON."""
    from pixel2make import api
    from pixel2make.design.moved import moves
    from pixel2make.pack.rows import move_row
    from pixel2make.pack.table import moved_table

    shown = {key: answer for key, answer in choices.items() if key in SHOWN_ONLY}
    given = {key: answer for key, answer in choices.items() if key not in SHOWN_ONLY}
    try:
        before = api.measure(source, size=size, choices=shown)
    except DesignError as error:
        raise DesignError(f"without these answers there is nothing to compare with: {error}") from error
    found = moves(before, design)
    if as_json:
        return json.dumps({"set": given, "moved": [move_row(m) for m in found]}, ensure_ascii=False, indent=1)
    words = ", ".join(f"{key}={answer}" for key, answer in given.items())
    if not found:
        return f"Nothing moves with {words}."
    return f"What moves with {words}:\n{moved_table(found, design.units)}"
