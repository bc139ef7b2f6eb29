"""A command's annotated parameters, read from the words that a person types.

A command is a function: ``file: Annotated[Path, Argument(metavar="FILE", help=...)]`` is told by
its place, ``to: Annotated[str | None, Option(metavar="FOLDER", help=...)] = None`` by its name,
``--to FOLDER`` or ``--to=FOLDER``. The kinds: str, Path, int, float, a StrEnum; bool, which is told
by the name alone; ``list[...]``, which may be repeated; a tuple, which takes several words.
"""

from __future__ import annotations

import inspect
import math
from collections.abc import Callable, Iterator
from enum import StrEnum
from typing import Any, get_args, get_origin, get_type_hints

from wheelgeo.immutable import dataclass


class MisusedError(Exception):
    """What was typed is no use of the command; the message says why."""


class HelpAskedError(Exception):
    """Help was asked for among the words of a command."""


@dataclass(frozen=True)
class Argument:
    """A word that is told by its place.

    Attributes:
        metavar: its name in help.
        help: what it means.
    """

    metavar: str
    help: str


@dataclass(frozen=True)
class Option:
    """A word that is told by a name before it.

    Attributes:
        names: the name, "--to", or for yes and no "--browser/--no-browser"; if left out, made of
            the parameter's name.
        metavar: what its value is called in help; if left out, named by its kind.
        help: what it means.
        min: the least number that it takes.
        max: the greatest number that it takes.
        complete: gives what a shell may complete a beginning to.
    """

    names: str = ""
    metavar: str = ""
    help: str = ""
    min: float | None = None
    max: float | None = None
    complete: Callable[[str], list[str]] | None = None


@dataclass(frozen=True)
class Parameter:
    """A parameter of a command, taken apart.

    Attributes:
        name: the name in the function.
        said: how it is told.
        kinds: the kind of each word that it takes; none for what is told by its name alone.
        many: it may be repeated, or be several words.
        required: it has no default.
        default: what holds without it.
    """

    name: str
    said: Argument | Option
    kinds: tuple[type, ...]
    many: bool
    required: bool
    default: Any

    @property
    def flags(self) -> tuple[str, ...]:
        """The names by which it is told; the second one, if any, says no."""
        if isinstance(self.said, Argument):
            return ()
        return tuple((self.said.names or "--" + self.name.replace("_", "-")).split("/"))

    @property
    def label(self) -> str:
        """What a message calls it."""
        return self.said.metavar if isinstance(self.said, Argument) else self.flags[0]


def parameters(command: Callable[..., Any]) -> tuple[Parameter, ...]:
    """Return the parameters of a command, in their order."""
    hints = get_type_hints(command, include_extras=True)
    found = []
    for name, given in inspect.signature(command).parameters.items():
        hint, said = get_args(hints[name])[:2]
        among = [k for k in get_args(hint) if k is not type(None)]
        kind = among[0] if type(None) in get_args(hint) else hint
        many, several = get_origin(kind) is list, get_origin(kind) is tuple
        kinds = get_args(kind) if many or several else () if kind is bool else (kind,)
        needed = given.default is inspect.Parameter.empty
        found.append(Parameter(name, said, kinds, many, needed, given.default))
    return tuple(found)


def read(command: Callable[..., Any], words: list[str]) -> dict[str, Any]:
    """Return what to call a command with.

    Raises:
        MisusedError: a word is none of the command's, or a value is missing or cannot be read.
        HelpAskedError: ``--help`` is among the words.
    """
    every = parameters(command)
    by_flag = {flag: p for p in every for flag in p.flags}
    given: dict[str, Any] = {}
    loose: list[str] = []
    coming = iter(words)
    for word in coming:
        if word == "--":
            loose += coming
        elif word == "--help":
            raise HelpAskedError
        elif len(word) > 1 and word.startswith("-"):
            _take_option(word, coming, by_flag, given)
        else:
            loose.append(word)
    _take_places([p for p in every if isinstance(p.said, Argument)], loose, given)
    for p in every:
        if p.name not in given and p.required:
            raise MisusedError(f"{p.label} is missing")
    return given


def _take_option(
    word: str, coming: Iterator[str], by_flag: dict[str, Parameter], given: dict[str, Any]
) -> None:
    flag, equals, first = word.partition("=")
    if flag not in by_flag:
        from wheelgeo.units.wording import shown, suggestion

        raise MisusedError(
            f"there is no option {shown(flag)}; {suggestion(flag, [*by_flag, '--help'])}"
        )
    p = by_flag[flag]
    if not p.kinds:
        if equals:
            raise MisusedError(f"{flag} takes no value")
        given[p.name] = flag == p.flags[0]
        return
    values = [first] if equals else []
    for value in coming if len(values) < len(p.kinds) else ():
        if value.partition("=")[0] in by_flag:  # the value was forgotten, and is not this
            break
        values.append(value)
        if len(values) == len(p.kinds):
            break
    if len(values) < len(p.kinds):
        raise MisusedError(f"{flag} needs {value_name(p)} after it")
    _keep(p, values, given)


def _take_places(places: list[Parameter], loose: list[str], given: dict[str, Any]) -> None:
    """Give each argument its word; the last one takes all that is left if it may be several."""
    for i, word in enumerate(loose):
        last = places[min(i, len(places) - 1)] if places else None
        if last is None or (i >= len(places) and not last.many):
            from wheelgeo.units.wording import shown

            raise MisusedError(f"{shown(word)} is one word too many")
        _keep(last, [word], given)


def _keep(p: Parameter, words: list[str], given: dict[str, Any]) -> None:
    values = [_value(p, kind, word) for kind, word in zip(p.kinds, words, strict=True)]
    if p.many:
        given.setdefault(p.name, []).extend(values)
    else:
        given[p.name] = tuple(values) if len(p.kinds) > 1 else values[0]


def _value(p: Parameter, kind: type, word: str) -> Any:
    """Return a word as the kind that is asked for."""
    try:
        value = kind(word)
        fits = kind not in (int, float) or _within(value, p.said)
    except ValueError:
        fits = False
    if not fits:
        from wheelgeo.units.wording import shown

        if issubclass(kind, StrEnum):
            what = "none of " + ", ".join(k.value for k in kind)
        else:
            what = f"not {'a whole number' if kind is int else 'a number'}{bounds(p.said)}"
        raise MisusedError(f"{p.label}: {shown(word)} is {what}")
    return value


def _within(number: float, said: Argument | Option) -> bool:
    if isinstance(said, Argument) or (said.min is None and said.max is None):
        return True  # what NaN and infinity mean, if anything, the command knows
    least = -math.inf if said.min is None else said.min
    return least <= number <= (math.inf if said.max is None else said.max)


def value_name(p: Parameter) -> str:
    """Return what the value of a parameter is called in help and messages."""
    if p.said.metavar:
        return p.said.metavar
    return "|".join(k.value for k in p.kinds[0]) if issubclass(p.kinds[0], StrEnum) else "NUMBER"


def bounds(said: Argument | Option) -> str:
    """Return between which numbers a value must lie, in words; nothing where it may be any."""
    if isinstance(said, Argument):
        return ""
    least = "" if said.min is None else f" from {said.min:,}".replace(",", " ")
    most = "" if said.max is None else f" to {said.max:,}".replace(",", " ")
    return least + (most or " on") if least else most
