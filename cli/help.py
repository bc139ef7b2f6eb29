"""The pages of help: of the program, and of one command."""

from __future__ import annotations

import inspect
import textwrap
from collections.abc import Callable, Mapping
from enum import StrEnum
from os import get_terminal_size
from typing import Any

from wheelgeo_cli.arguments import Argument, Option, Parameter, bounds, parameters, value_name

WIDTH = 80
"""Columns of help at most: longer lines are hard to read."""
NAMES = 28
"""Columns for names at most; a longer name has a line of its own."""
ABOUT = "Design a hand-spinning wheel: from a file to ratio, twist, bands and parts to cut."
GENERAL = (
    ("--version", "Print the version and stop."),
    ("--install-completion", "Make the Tab key of this shell complete commands and options."),
    ("--show-completion", "Print what does that, to put in place yourself."),
    ("--help", "Print this page; after a command, that command's."),
)
"""Options of the program itself."""


def program_page(short: Mapping[str, str]) -> str:
    """Return the help of the program; ``short`` says what each command is for."""
    width = _width()
    lines = [
        "Usage: wheelgeo COMMAND ...".replace("...", "[WORDS]"), "", *_indented(ABOUT, width), "",
        "Commands:", *_list(short.items(), width), "", "Options:", *_list(GENERAL, width),
    ]  # fmt: skip
    return "\n".join(lines) + "\n"


def usage(name: str, command: Callable[..., Any]) -> str:
    """Return the one line that says how a command is typed."""
    places = [p for p in parameters(command) if isinstance(p.said, Argument)]
    words = [p.said.metavar if p.required else f"[{p.said.metavar.strip('[]')}]" for p in places]
    return " ".join([f"Usage: wheelgeo {name}", *words, "[OPTIONS]"])


def command_page(name: str, command: Callable[..., Any]) -> str:
    """Return the help of a command: its docstring, then what it takes."""
    width, every = _width(), parameters(command)
    lines = [*textwrap.wrap(usage(name, command), width, subsequent_indent="  "), ""]
    for part in (inspect.getdoc(command) or "").split("\n\n"):
        lines += [*_indented(" ".join(part.split()), width), ""]
    places = [(p.said.metavar, _means(p)) for p in every if isinstance(p.said, Argument)]
    if places:
        lines += ["Words:", *_list(places, width), ""]
    options = [(_named(p), _means(p)) for p in every if isinstance(p.said, Option)]
    lines += ["Options:", *_list([*options, ("--help", "Print this page.")], width)]
    return "\n".join(lines) + "\n"


def _named(p: Parameter) -> str:
    return ", ".join(p.flags) + (f" {value_name(p)}" if p.kinds else "")


def _means(p: Parameter) -> str:
    """Return what a parameter means, with what holds without it."""
    said, notes = p.said, []
    if p.required:
        notes.append("needed")
    elif isinstance(said, Option) and p.kinds and p.default not in (None, ""):
        value = p.default.value if isinstance(p.default, StrEnum) else p.default
        shown = f"{value:,}".replace(",", " ") if isinstance(value, int) else str(value)
        notes.append(f"if left out: {'here' if shown == '.' else shown}")
    if isinstance(said, Option) and bounds(said):
        notes.append(bounds(said).strip())
    return said.help + (f" [{'; '.join(notes)}]" if notes else "")


def _indented(text: str, width: int) -> list[str]:
    return textwrap.wrap(text, width, initial_indent="  ", subsequent_indent="  ")


def _list(rows: Any, width: int) -> list[str]:
    """Return names and what they mean, side by side where there is room."""
    pairs = list(rows)
    room = min(max(len(name) for name, _ in pairs) + 4, NAMES if width >= 60 else 6)
    lines = []
    for name, means in pairs:
        told = textwrap.wrap(means, width - room, break_on_hyphens=False)
        if len(name) + 4 > room:
            lines += textwrap.wrap("  " + name, width, subsequent_indent="    ")
        else:
            lines.append(f"  {name:<{room - 2}}{told.pop(0)}")
        lines += [" " * room + line for line in told]
    return lines


def _width() -> int:
    """Return the columns of help: those of the terminal, as far as lines stay readable."""
    import os

    try:
        told = int(os.environ.get("COLUMNS", "") or get_terminal_size(1).columns)
    except (ValueError, OSError):  # no terminal, or COLUMNS says nothing
        return WIDTH
    return max(min(told, WIDTH), 20) if told > 0 else WIDTH
