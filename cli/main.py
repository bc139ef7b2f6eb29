"""The program ``wheelgeo``: registers the commands and turns errors into exit status 2."""

from __future__ import annotations

import signal
import threading

# While the program loads, Ctrl-C ends it at once: there is nothing yet to leave half done, and a
# traceback of ours would tell nobody anything. Python's own handler comes back below.
_before = None
if threading.current_thread() is threading.main_thread():
    _before = signal.signal(signal.SIGINT, signal.SIG_DFL)

import gc  # noqa: E402
import os  # noqa: E402
import sys  # noqa: E402
from collections.abc import Iterable, Mapping, Sequence  # noqa: E402
from importlib import import_module  # noqa: E402
from io import TextIOWrapper  # noqa: E402

import typer  # noqa: E402

from wheelgeo.errors import DesignError, WheelError  # noqa: E402
from wheelgeo_cli.terminal import told  # noqa: E402

SHORT = {
    "new": "Start a design file from a shipped design.",
    "open": "The bench page: see, drag, ask, make.",
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
    "measure": "What the measurements of a wheel say together.",
    "yarn": "What is to be known of a yarn, and what spinning it takes.",
    "hank": "A hank, the reel for it, the count from its weight.",
    "cloth": "Yarn, weight and hours for a piece of cloth.",
    "spindle": "How a drop or support spindle spins.",
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
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def _say(words: str) -> None:
    """Say on standard error what went wrong; where that is closed, nobody can be told."""
    if sys.stderr is not None:
        print(words, file=sys.stderr)  # noqa: T201 - this is the program's voice


def run() -> None:
    """Run the program.

    Exit status: 2 and one message for every error that is the input's, 130 where it was
    interrupted, otherwise the command's own.
    """
    if sys.stdout is None:
        _say("wheelgeo: standard output is closed: there is nowhere to print to")
        sys.exit(2)
    _print_what_we_can()
    gc.set_threshold(ALLOCATIONS)
    try:
        try:
            program(wanted(sys.argv[1:], os.environ))()
        finally:
            with told(sys.stdout):  # all is handed over while errors can still be said
                sys.stdout.flush()
    except WheelError as error:
        _say(say_errors(error))
        sys.exit(2)
    except OSError as error:  # a disk that is full, a folder that may not be read
        named = f"{error.filename}: " if error.filename else ""
        _say(f"wheelgeo: {named}{error.strerror}")
        sys.exit(2)
    except KeyboardInterrupt:
        sys.exit(130)


if _before is not None:
    signal.signal(signal.SIGINT, _before)
