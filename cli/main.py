"""The program ``wheelgeo``: registers the commands and turns errors into exit status 2."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from io import TextIOWrapper

import typer

from wheelgeo.errors import DesignError, WheelError
from wheelgeo_cli.bands import bands
from wheelgeo_cli.check import check
from wheelgeo_cli.find import find
from wheelgeo_cli.make import make
from wheelgeo_cli.new import new
from wheelgeo_cli.place import place
from wheelgeo_cli.retune import retune
from wheelgeo_cli.run import run as run_sheet
from wheelgeo_cli.schema import schema
from wheelgeo_cli.size import size
from wheelgeo_cli.solve import solve
from wheelgeo_cli.tolerance import tolerance

SHORT = {
    "new": "Start a design file from a shipped design.",
    "solve": "Ratio, twist, bands to cut, and what is wrong.",
    "check": "Every finding, with limit, remedy and source.",
    "bands": "Band lengths, runs, wraps and angles.",
    "run": "Whether it runs: pulls, slip, effort, start.",
    "make": "Cut files, drawings and tables for the bench.",
    "find": "The one number that gives a wanted result.",
    "place": "Where to set shafts so that a band runs true.",
    "retune": "What to change for another yarn or ratio.",
    "size": "The wheel that suits a brief best.",
    "tolerance": "How far ratio, twist and bands may be off.",
    "schema": "JSON schema of the design file, for editors.",
}
"""What each command is for, in the few words that a list has room for, in the order of a job."""

app = typer.Typer(
    name="wheelgeo",
    help="Design a hand-spinning wheel: from a file to ratio, twist, bands and parts to cut.",
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

COMMANDS: tuple[Callable[..., None], ...] = (
    new, solve, check, bands, run_sheet, make, find, place, retune, size, tolerance, schema,
)  # fmt: skip
for name, command in zip(SHORT, COMMANDS, strict=True):
    app.command(name, short_help=SHORT[name])(command)


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        typer.echo(f"wheelgeo {version('wheelgeo')}")
        raise typer.Exit


@app.callback()
def options(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version and stop."
    ),
) -> None:
    """Design a hand-spinning wheel: from a file to ratio, twist, bands and parts to cut."""


def say_errors(error: WheelError) -> str:
    """Return what to print for an error: every fault of a file on a line of its own."""
    if not isinstance(error, DesignError):
        return f"wheelgeo: {error}"
    count = len(error.faults)
    if count == 1 and error.faults[0].place in ("", "file"):
        return f"wheelgeo: {error.source}: " + str(error.faults[0]).removeprefix("file: ")
    head = f"wheelgeo: {error.source or 'the file'} has {count} fault{'' if count == 1 else 's'}:"
    return "\n".join([head, *(f"  {fault}" for fault in error.faults)])


def _print_what_we_can() -> None:
    """Print a ? for a character that the terminal does not know, rather than fail."""
    if isinstance(sys.stdout, TextIOWrapper):
        sys.stdout.reconfigure(errors="replace")


def run() -> None:
    """Run the program: exit status 2 and one message for every error that is the input's."""
    _print_what_we_can()
    try:
        app()
    except WheelError as error:
        print(say_errors(error), file=sys.stderr)  # noqa: T201 - this is the program's voice
        sys.exit(2)
    except BrokenPipeError:  # the reader of our output closed it: nothing is left to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except OSError as error:  # a disk that is full, a folder that may not be read
        print(f"wheelgeo: {error.filename or ''} {error.strerror}", file=sys.stderr)  # noqa: T201
        sys.exit(2)
