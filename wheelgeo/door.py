"""What every public function does with its arguments before and after anything else.

Numbers of other libraries (``numpy.int32``, ``Fraction``, ``Decimal``) become plain ones, their
arrays lists. Where the work then fails because an argument is of a wrong type, the error is one of
ours and names the argument; nothing is asked of types as long as nothing goes wrong.
"""

from __future__ import annotations

import contextlib
import functools
import sys
from collections.abc import Callable, Iterator, Mapping
from typing import Any, ParamSpec, TypeVar

from wheelgeo.errors import DesignError, Fault, WheelError

_P = ParamSpec("_P")
_R = TypeVar("_R")

_MISTAKES = (TypeError, AttributeError, ValueError, LookupError, OverflowError)
"""What Python raises where a value is not what the code takes it to be."""


def door(error: type[WheelError]) -> Callable[[Callable[_P, _R]], Callable[_P, _R]]:
    """Return the decorator of a public function.

    Args:
        error: what a wrong type raises.
    """

    def of(function: Callable[_P, _R]) -> Callable[_P, _R]:
        @functools.wraps(function)
        def asked(*args: _P.args, **words: _P.kwargs) -> _R:
            given = tuple(plain_value(value) for value in args)
            named = {key: plain_value(value) for key, value in words.items()}
            try:
                return function(*given, **named)
            except _MISTAKES as mistake:
                if isinstance(mistake, WheelError):
                    raise
                wrong = tuple(_wrong_types(function, given, named))
                if not wrong:
                    raise  # a mistake of ours
                if issubclass(error, DesignError):
                    raise error(wrong) from mistake
                raise error("; ".join(map(str, wrong))) from mistake

        return asked

    return of


def plain_value(value: Any) -> Any:
    """Return a value as the house reads it; what it does not know stays as it is.

    Args:
        value: a number of any library, an array, a list or table of such, or anything else.
    """
    kind = type(value)
    if value is None or kind in (str, bool, int, float) or isinstance(value, type):
        return value
    if kind in (tuple, list):
        value = kind(plain_value(item) for item in value)
    elif kind is dict:
        value = {key: plain_value(item) for key, item in value.items()}
    elif hasattr(value, "tolist"):  # an array, or a number out of one
        value = value.tolist()
    elif hasattr(value, "as_integer_ratio") and not isinstance(value, int | float):
        # Fraction, Decimal; beyond all floats, or no number at all, it is refused where it is read
        with contextlib.suppress(OverflowError, ValueError):
            value = float(value)
    return value


def _wrong_types(
    function: Callable[..., Any], args: tuple[Any, ...], words: dict[str, Any]
) -> Iterator[Fault]:
    """Yield a fault for each argument that is not of the type that the function declares."""
    import inspect
    import reprlib

    signature = inspect.signature(function)
    try:
        bound = signature.bind(*args, **words).arguments
    except TypeError:
        return  # one too many, or too few: Python says so best
    names = _Names(vars(inspect.getmodule(function)))
    for name, parameter in signature.parameters.items():
        hint = parameter.annotation
        if name not in bound or hint is inspect.Parameter.empty:
            continue
        if isinstance(hint, str):
            hint = eval(hint, {}, names)
        many = parameter.kind is inspect.Parameter.VAR_KEYWORD
        for key, value in (bound[name] if many else {name: bound[name]}).items():
            if _beyond_floats(value):
                yield Fault(key, f"{reprlib.repr(value)} is out of range")
            elif not _fits(value, hint):
                yield Fault(key, f"{reprlib.repr(value)} is not {_said(hint)}")


def _beyond_floats(value: Any) -> bool:
    """Return whether a whole number, or one in a list or table, is larger than any float."""
    if isinstance(value, Mapping):
        return any(_beyond_floats(item) for item in value.values())
    if isinstance(value, list | tuple):
        return any(_beyond_floats(item) for item in value)
    return isinstance(value, int) and abs(value) > sys.float_info.max


class _Names(dict[str, Any]):
    """Names of a module; one that is known to type checkers alone stands for a class so called."""

    def __missing__(self, name: str) -> Any:
        import builtins

        return getattr(builtins, name, None) or type(name, (), {"known_by_name": True})


def _fits(value: Any, hint: Any) -> bool:
    """Return whether a value is of a type."""
    import types
    import typing

    origin, parts = typing.get_origin(hint), typing.get_args(hint)
    if origin in (typing.Union, types.UnionType):
        return any(_fits(value, part) for part in parts)
    if hint is Any or hint is type(value):
        return True
    if getattr(hint, "known_by_name", False):
        return hint.__name__ in {kind.__name__ for kind in type(value).__mro__}
    if origin is typing.Literal:
        return any(type(value) is type(part) for part in parts)
    wide: Any = {None: type(None), float: (int, float)}.get(hint, origin or hint)
    alike = isinstance(value, wide) and not isinstance(value, bool)  # True is no number here
    return alike and (not parts or _parts_fit(value, parts))


def _parts_fit(value: Any, parts: tuple[Any, ...]) -> bool:
    """Return whether what a list or table holds is of its types; a text is no list of texts."""
    if isinstance(value, Mapping):
        return all(_fits(k, parts[0]) and _fits(v, parts[1]) for k, v in value.items())
    if isinstance(value, list | tuple):
        return all(_fits(item, parts[0]) for item in value)
    return not isinstance(value, str)


_WORDS = {
    "str": "text", "float": "a number", "int": "a whole number", "bool": "True or False",
    "NoneType": "None", "PathLike": "a path", "Path": "a path", "Mapping": "a table of values",
    "Sequence": "a list", "Callable": "a function",
}  # fmt: skip


def _said(hint: Any) -> str:
    """Return a type in words."""
    import types
    import typing

    origin = typing.get_origin(hint)
    if origin in (typing.Union, types.UnionType):
        return " or ".join(dict.fromkeys(_said(part) for part in typing.get_args(hint)))
    if origin is typing.Literal:
        return " or ".join(repr(part) for part in typing.get_args(hint))
    name = (origin or hint).__name__
    return _WORDS.get(name, f"a {name}")
