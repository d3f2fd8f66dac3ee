"""pixel2make plan SPRITE -o PLAN.toml"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from pixel2make.cli.options import (
    part_options,
    part_values,
    pick_size,
    show_option,
    size_options,
    units_option,
)
from pixel2make.errors import PlanError, located

__all__ = ["command"]


@click.command("plan", short_help="Write an editable plan of what was read.")
@click.argument("sprite")
@click.option(
    "-o", "--output", metavar="PLAN.toml", required=True, help="The plan to write or to merge into."
)
@size_options
@units_option
@part_options
@show_option
def command(sprite: str, output: str, units: str | None, show: str | None, **values: Any) -> None:
    """Read a sprite and write an editable plan: what each region was taken for, and why.

    Where the plan is there already, what stands in it stays; only what is missing is added.
    """
    from pixel2make import api
    from pixel2make.pack.writer import write_file

    size = pick_size(values)
    out = Path(output)
    with located(output):
        if out.suffix.lower() != api.PLAN_SUFFIX:
            raise PlanError(f"a plan's name ends in {api.PLAN_SUFFIX}; name it {out.name}{api.PLAN_SUFFIX}")
    with located(sprite):
        if Path(sprite).suffix.lower() == api.PLAN_SUFFIX:
            raise PlanError("is a plan already; name the sprite that it is for")
    source = api.open_source(sprite, **part_values(values))
    text, kept = api.make_plan(
        source, out=out, size=size, choices=None if units is None else {"units": units}
    )
    if show:
        from pixel2make.reading import show_png

        with located(show):
            write_file(show_png(source.reading), Path(show))
    with located(output):
        write_file(text.encode(), out)
    for sentence in kept:
        click.echo(f"kept: {sentence}")
    reading = source.reading
    click.echo(
        f"{output}: {reading.view.kind} view, {round(100 * reading.view.confidence)} % sure; "
        f"{len(reading.features)} features; {len(reading.questions)} open questions"
    )
