"""The command ``pixel2make``: parses, calls the api, prints. Exit 0 done, 2 input, 1 a defect."""

from __future__ import annotations

import importlib
import signal
import sys
from collections.abc import Sequence
from types import FrameType
from typing import NoReturn

import click

from pixel2make import __version__
from pixel2make.errors import Pixel2MakeError

__all__ = ["commands", "main"]

INPUT_STATUS = 2
DEFECT_STATUS = 1

_COMMANDS = ("plan", "measure", "build", "masks", "clasp", "case")


class _Commands(click.Group):
    """One module a command, imported when it is asked for."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in _COMMANDS:
            return None
        command: click.Command = importlib.import_module(f"pixel2make.cli.{cmd_name}").command
        return command


@click.group(
    cls=_Commands,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
    epilog="A length is a number with a unit: 300mm, 30 cm, 11.75in, '11 3/4 in'.",
)
@click.version_option(__version__, message="%(prog)s %(version)s")
def commands() -> None:
    """From the sprite of a game's item to a build pack for the real object."""


def main(args: Sequence[str] | None = None) -> NoReturn:
    """Run the command and leave with its exit status; bad input is one line on standard error."""
    signal.signal(signal.SIGTERM, _stop)
    try:
        commands.main(
            args=None if args is None else list(args), prog_name="pixel2make", standalone_mode=False
        )
    except Pixel2MakeError as error:
        _fail(str(error))
    except click.exceptions.NoArgsIsHelpError as error:
        click.echo(error.format_message())
        sys.exit(0)
    except click.ClickException as error:
        _fail(_usage_words(error))
    except click.exceptions.Exit as leave:
        sys.exit(leave.exit_code)
    except (click.Abort, KeyboardInterrupt):
        click.echo("Stopped; nothing was changed.", err=True)
        sys.exit(DEFECT_STATUS)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
    sys.exit(0)


def _usage_words(error: click.ClickException) -> str:
    message = " ".join(error.format_message().split()).rstrip(".")
    context = getattr(error, "ctx", None)
    return f"{message}; see {context.command_path} --help" if context is not None else message


def _fail(message: str) -> NoReturn:
    click.echo(f"Error: {' '.join(message.split())}", err=True)
    sys.exit(INPUT_STATUS)


def _stop(signum: int, frame: FrameType | None) -> None:
    """Treat a request to end like Ctrl-C, so that half-written files beside the pack are taken away."""
    raise KeyboardInterrupt
