"""Options that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

__all__ = [
    "choice_options",
    "pack_command",
    "part_options",
    "part_values",
    "pick_choices",
    "pick_size",
    "show_option",
    "size_options",
    "units_option",
]

Command = TypeVar("Command", bound=Callable[..., Any])

_EDGES = ("height", "width", "thickness")

_ANSWERS = {
    "structure": ("structure", "STRUCTURE", "How the boards hang on the pages: case or laced."),
    "units": ("units", "UNITS", "Show lengths in mm or in (inches); files for machines stay in mm."),
    "maker-height": ("maker_height", "LENGTH", "Your own height, for the picture beside the sprite."),
    "turntable": ("turntable", "WORD", "Also write a turning picture: none or webp."),
    "paper": ("print_paper", "PAPER", "Paper of your printer: A4, A3, Letter, Tabloid or Legal."),
    "stock": ("stock", "SIZES", "Your sheets, such as 600x400mm or greyboard=A1, grain along the height."),
    "bed": ("bed", "SIZES", "Build volume of your printer, such as 180x180x180mm; larger pieces are split."),
    "kerf": ("kerf", "LENGTH", "Width of your cut, such as 0.2mm; cut lines then lie half of it outside."),
}
"""Short options for choices of the plan: option to choice, metavar and help."""


def size_options(command: Command) -> Command:
    """--height, --width, --thickness: the one real size of the closed object."""
    for edge, words in reversed(
        (
            ("height", "Real height of the closed object, along its spine."),
            ("width", "Real width of the closed object, across its cover."),
            ("thickness", "Real thickness of the closed object."),
        )
    ):
        command = click.option(f"--{edge}", metavar="LENGTH", help=words)(command)
    return command


def part_options(command: Command) -> Command:
    """--frame, --region, --cell: which part of the picture file is the sprite."""
    command = click.option(
        "--cell",
        metavar="W,H,COLUMN,ROW",
        help="One cell of a sheet: its size in file pixels, column and row from 0.",
    )(command)
    command = click.option(
        "--region", metavar="X,Y,W,H", help="The part of the picture that holds the sprite, in file pixels."
    )(command)
    return click.option("--frame", type=click.IntRange(min=0), help="Frame of an animated picture, from 0.")(
        command
    )


def choice_options(command: Command) -> Command:
    """--structure, --paper and the like, and --set: answers to the plan's choices."""
    command = click.option(
        "--set",
        "settings",
        metavar="CHOICE=ANSWER",
        multiple=True,
        help="Answer a choice of the plan, such as corner_radius=8mm; may be given several times.",
    )(command)
    for name, (_, metavar, words) in reversed(_ANSWERS.items()):
        command = click.option(f"--{name}", metavar=metavar, help=words)(command)
    return command


def units_option(command: Command) -> Command:
    """--units: in which units lengths are shown."""
    _, metavar, words = _ANSWERS["units"]
    return click.option("--units", metavar=metavar, help=words)(command)


def pick_choices(values: dict[str, Any]) -> dict[str, str]:
    """Answers by key, taken out of the values of `choice_options`.

    Raises
    ------
    click.UsageError
        Where an answer has no "=".
    """
    settings = values.pop("settings")
    choices = {}
    for name, (key, _, _) in _ANSWERS.items():
        answer = values.pop(name.replace("-", "_"))
        if answer is not None:
            choices[key] = answer
    for text in settings:
        key, sign, answer = text.partition("=")
        if not sign or not key.strip():
            raise click.UsageError(f"--set {text!r} is no CHOICE=ANSWER, such as corner_radius=8mm")
        # A dotted key says which part the choice is about; the choice is its last word.
        choices[key.strip().rpartition(".")[2]] = answer.strip()
    return choices


def show_option(command: Command) -> Command:
    """--show FILE.png: a picture of the reading."""
    return click.option(
        "--show",
        metavar="FILE.png",
        help="Also write a picture: sprite, found box, feature map and face-on cover side by side.",
    )(command)


def pick_size(values: dict[str, str | None]) -> tuple[str, str] | None:
    """The edge and the text that were given, or None.

    Raises
    ------
    click.UsageError
        Where more than one was given.
    """
    given = [(edge, text) for edge in _EDGES if (text := values[edge]) is not None]
    if len(given) > 1:
        names = " and ".join(f"--{edge}" for edge, _ in given)
        raise click.UsageError(f"The size was given twice, by {names}; keep one of them")
    return given[0] if given else None


def part_values(values: dict[str, Any]) -> dict[str, Any]:
    """Arguments of `api.open_source` from the values of `part_options`."""
    from pixel2make.sprite import parse_cell, parse_region

    region, cell = values["region"], values["cell"]
    return {
        "frame": values["frame"],
        "region": None if region is None else parse_region(region),
        "cell": None if cell is None else parse_cell(cell),
    }


def pack_command(command: Command) -> Command:
    """SPRITE_OR_PLAN, -o DIR and the options of every command that writes a pack."""
    command = part_options(choice_options(size_options(command)))
    command = click.option("--json", "as_json", is_flag=True, help="Print the summary as JSON.")(command)
    command = click.option("-q", "--quiet", is_flag=True, help="Print nothing but errors.")(command)
    command = click.option(
        "-o", "--output", metavar="DIR", required=True, help="Folder to write: new, empty or an earlier pack."
    )(command)
    return click.argument("sprite_or_plan")(command)
