"""The Tab key: what a word may become, and the lines that a shell needs to ask for it.

A shell calls the program with ``_WHEELGEO_COMPLETE`` set and the words that stand on the line so
far, the last one being the one to complete; each answer is a line. Without an answer the shell
completes names of files.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from enum import StrEnum
from pathlib import Path
from typing import Any

from wheelgeo.errors import OutputError
from wheelgeo_cli.arguments import Option, Parameter, parameters

SCRIPTS = {
    "bash": """_wheelgeo() {
    local IFS=$'\\n'
    COMPREPLY=( $(_WHEELGEO_COMPLETE=1 wheelgeo "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null) )
}
complete -o default -F _wheelgeo wheelgeo
""",
    "zsh": """autoload -Uz compinit && compinit -u
_wheelgeo() {
    local -a found
    found=(${(f)"$(_WHEELGEO_COMPLETE=1 wheelgeo "${(@)words[2,$CURRENT]}" 2>/dev/null)"})
    if (( $#found )); then compadd -- $found; else _files; fi
}
compdef _wheelgeo wheelgeo
""",
    "fish": """complete -c wheelgeo -a '(begin
    set -lx _WHEELGEO_COMPLETE 1
    wheelgeo (commandline -opc)[2..] (commandline -ct) 2>/dev/null
end)'
""",
}
"""What each shell must read."""


def answers(
    words: list[str], names: Iterable[str], command: Callable[[str], Callable[..., Any]]
) -> list[str]:
    """Return what the last of the words may become; ``command`` gives a command by its name."""
    names = tuple(names)
    *before, last = words or [""]
    if not before:
        general = ("--version", "--install-completion", "--show-completion", "--help")
        return [n for n in (general if last.startswith("-") else names) if n.startswith(last)]
    if before[0] not in names:
        return []
    every = parameters(command(before[0]))
    waiting = next((p for p in every if before[-1] in p.flags and p.kinds), None)
    if waiting is not None:
        return _values(waiting, last)
    if not last.startswith("-"):
        return []
    return [f for f in (*(f for p in every for f in p.flags), "--help") if f.startswith(last)]


def _values(p: Parameter, last: str) -> list[str]:
    if isinstance(p.said, Option) and p.said.complete is not None:
        return p.said.complete(last)
    if issubclass(p.kinds[0], StrEnum):
        return [k.value for k in p.kinds[0] if k.value.startswith(last)]
    return []


def shell() -> str:
    """Return the shell that is in use.

    Raises:
        OutputError: it is none that we know how to serve.
    """
    name = Path(os.environ.get("SHELL", "")).name
    if name not in SCRIPTS:
        raise OutputError(
            f'completion is for {", ".join(SCRIPTS)}; SHELL says "{name}", which is none of them'
        )
    return name


def install(name: str, home: Path) -> Path:
    """Put in place what makes a shell complete; return the file that was written.

    bash and zsh read it from a line at the end of their own file, added once.

    Raises:
        OutputError: a file cannot be written.
        OSError: a folder for it cannot be made.
    """
    from wheelgeo.design.whole_file import write_over

    if name == "fish":
        script = home / ".config" / "fish" / "completions" / "wheelgeo.fish"
    else:
        script = home / ".local" / "share" / "wheelgeo" / f"completion.{name}"
    script.parent.mkdir(parents=True, exist_ok=True)
    write_over(script, SCRIPTS[name])
    if name != "fish":
        start = home / f".{name}rc"
        # Bytes, as somebody's own file need not be UTF-8.
        line = os.fsencode(f'. "{script}"\n')
        there = start.read_bytes() if start.is_file() else b""
        if line not in there:
            gap = b"\n" if there and not there.endswith(b"\n") else b""
            write_over(start, there + gap + line)
    return script
