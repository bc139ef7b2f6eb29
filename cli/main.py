"""The program ``wheelgeo``: its commands, and errors turned into exit status 2."""

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
from _thread import interrupt_main  # noqa: E402
from collections.abc import Callable  # noqa: E402
from importlib import import_module  # noqa: E402
from io import TextIOWrapper  # noqa: E402

from wheelgeo.errors import DesignError, WheelError  # noqa: E402
from wheelgeo_cli.terminal import say, told, write  # noqa: E402

# Our matrices are small: on a busy machine the threads of a linear algebra library wait for one
# another ten times longer than one of them would compute. It reads this when numpy is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

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


ALLOCATIONS = 1_000_000
"""Allocations between two collections of garbage: loading makes many objects and hardly any."""

AGAIN = 0.01
"""Seconds after which an interrupt that was lost comes again: the callback has ended by then."""


def command(name: str) -> Callable[..., None]:
    """Return the function of a command; its module is loaded here, and no other one's."""
    found: Callable[..., None] = getattr(import_module(f"wheelgeo_cli.{name}"), name)
    return found


def obey(words: list[str]) -> None:
    """Do what was typed.

    Raises:
        SystemExit: status 2 where no command is typed, or not as it must be.
    """
    first = words[0] if words else ""
    if first in SHORT:
        _obey_command(first, words[1:])
    elif first in ("", "--help"):
        from wheelgeo_cli.help import program_page

        write(sys.stdout, program_page(SHORT))
        sys.exit(0 if first else 2)
    elif first == "--version":
        from importlib.metadata import version

        write(sys.stdout, f"wheelgeo {version('wheelgeo')}\n")
    elif first in ("--install-completion", "--show-completion"):
        _completion(first)
    else:
        from wheelgeo.units.wording import nearest, shown

        near = nearest(first, [*SHORT, "--help", "--version"])
        hint = f'; did you mean "{near}"?' if near else ""
        say("Usage: wheelgeo COMMAND [WORDS]; `wheelgeo --help` lists the commands.")
        kind = "option" if first.startswith("-") else "command"
        say(f"wheelgeo: there is no {kind} {shown(first)}{hint}")
        sys.exit(2)


def _obey_command(name: str, words: list[str]) -> None:
    from wheelgeo_cli.arguments import HelpAskedError, MisusedError, read

    asked = command(name)
    try:
        asked(**read(asked, words))
    except HelpAskedError:
        from wheelgeo_cli.help import command_page

        write(sys.stdout, command_page(name, asked))
    except MisusedError as error:
        from wheelgeo_cli.help import usage

        say(f"{usage(name, asked)}; `wheelgeo {name} --help` tells them.")
        say(f"wheelgeo: {error}")
        sys.exit(2)


def _completion(asked: str) -> None:
    """Install or print what makes the Tab key of the shell in use complete."""
    from pathlib import Path

    from wheelgeo_cli.completion import SCRIPTS, install, shell

    name = shell()
    if asked == "--show-completion":
        write(sys.stdout, SCRIPTS[name])
        return
    written = install(name, Path.home())
    write(sys.stdout, f"{written} written; it works in every {name} that is started from now on.\n")


def say_errors(error: WheelError) -> str:
    """Return what to print for an error: every fault of a file on a line of its own."""
    if not isinstance(error, DesignError):
        return f"wheelgeo: {error}"
    count = len(error.faults)
    if count == 1 and error.faults[0].place in ("", "file"):
        says = str(error.faults[0]).removeprefix("file: ")
        named = error.source and error.source in says  # then it is not said twice
        return f"wheelgeo: {says}" if named else f"wheelgeo: {error.source}: {says}"
    head = f"wheelgeo: {error.source or 'the file'} has {count} fault{'' if count == 1 else 's'}:"
    return "\n".join([head, *(f"  {fault}" for fault in error.faults)])


def _print_what_we_can() -> None:
    """Print a ? for a character that the terminal does not know, rather than fail."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def _interrupt_again(lost: sys.UnraisableHookArgs) -> None:
    """Interrupt once more where an interrupt came while Python was tidying up.

    What is raised in a callback of the interpreter (a module's lock let go after an import, an
    object's end) goes no further: Python prints it and goes on as if nobody had asked.
    """
    if issubclass(lost.exc_type, KeyboardInterrupt):
        threading.Timer(AGAIN, interrupt_main).start()
    else:
        sys.__unraisablehook__(lost)


def run() -> None:
    """Run the program.

    Exit status: 2 and one message for every error that is the input's, 130 where it was
    interrupted, otherwise the command's own.
    """
    if sys.stdout is None:
        say("wheelgeo: standard output is closed: there is nowhere to print to")
        sys.exit(2)
    _print_what_we_can()
    sys.unraisablehook = _interrupt_again
    gc.set_threshold(ALLOCATIONS)
    try:
        try:
            if "_WHEELGEO_COMPLETE" in os.environ:
                from wheelgeo_cli.completion import answers

                found = answers(sys.argv[1:], SHORT, command)
                write(sys.stdout, "".join(f"{word}\n" for word in found))
            else:
                obey(sys.argv[1:])
            sys.exit(0)
        finally:
            with told(sys.stdout):  # all is handed over while errors can still be said
                sys.stdout.flush()
            gc.freeze()  # what stands at the end goes with the process, unsearched
    except WheelError as error:
        say(say_errors(error))
        sys.exit(2)
    except OSError as error:  # a disk that is full, a folder that may not be read
        named = f"{error.filename}: " if error.filename else ""
        say(f"wheelgeo: {named}{error.strerror}")
        sys.exit(2)
    except KeyboardInterrupt:
        sys.exit(130)
    except RuntimeError as error:  # so Python 3.11 wraps what is raised while a class is made
        if not isinstance(error.__cause__, KeyboardInterrupt):
            raise
        sys.exit(130)


if _before is not None:
    signal.signal(signal.SIGINT, _before)
