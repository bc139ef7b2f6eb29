"""The program ``wheelgeo``: registers the commands and turns errors into exit status 2."""

from __future__ import annotations

import gc
import os
import sys
from collections.abc import Iterable, Mapping, Sequence
from importlib import import_module
from io import TextIOWrapper

import typer

from wheelgeo.errors import DesignError, WheelError

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


ALLOCATIONS = 200_000
"""Allocations between two collections of garbage: loading makes many objects and hardly any."""


def _version(asked: bool) -> None:
    if asked:
        from importlib.metadata import version

        typer.echo(f"wheelgeo {version('wheelgeo')}")
        raise typer.Exit


def _options(
    version: bool = typer.Option(
        False, "--version", callback=_version, is_eager=True, help="Print the version and stop."
    ),
) -> None:
    """Design a hand-spinning wheel: from a file to ratio, twist, bands and parts to cut."""


def program(names: Iterable[str] = tuple(SHORT)) -> typer.Typer:
    """Return the program with these commands; each command's module is loaded here."""
    app = typer.Typer(
        name="wheelgeo",
        help="Design a hand-spinning wheel: from a file to ratio, twist, bands and parts to cut.",
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback()(_options)
    for name in names:
        command = getattr(import_module(f"wheelgeo_cli.{name}"), name)
        app.command(name, short_help=SHORT[name])(command)
    return app


def wanted(arguments: Sequence[str], environment: Mapping[str, str]) -> tuple[str, ...]:
    """Return the commands to load: the one that is asked for, or all where that is not plain.

    Help, a misspelt command and completion (which the shell asks for through the environment)
    need them all.
    """
    completing = any(key.startswith("_WHEELGEO") for key in environment)
    if arguments and arguments[0] in SHORT and not completing:
        return (arguments[0],)
    return tuple(SHORT)


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
    gc.set_threshold(ALLOCATIONS)
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")  # looking for them takes long
    try:
        program(wanted(sys.argv[1:], os.environ))()
    except WheelError as error:
        print(say_errors(error), file=sys.stderr)  # noqa: T201 - this is the program's voice
        sys.exit(2)
    except BrokenPipeError:  # the reader of our output closed it: nothing is left to say
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    except OSError as error:  # a disk that is full, a folder that may not be read
        print(f"wheelgeo: {error.filename or ''} {error.strerror}", file=sys.stderr)  # noqa: T201
        sys.exit(2)
