"""The decorator of the house's immutable classes: a frozen dataclass that is cheap to make.

``dataclasses.dataclass`` writes and compiles six methods for every class while its module loads.
That takes 0.6 ms a class, and a command loads some 160 classes, of most of which it makes nothing.
Here a class is a dataclass as well (``fields``, ``replace``, ``asdict`` and type checkers know it),
but equality, hash, representation and the refusal to be changed are functions that all classes
share, and ``__init__`` is compiled when the first object is made.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from operator import attrgetter
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from dataclasses import dataclass  # type checkers know what this one makes
else:

    def dataclass(*, frozen, eq=True):
        """Return the decorator that makes a class a frozen dataclass.

        Args:
            frozen: True; said where the class is, for the reader and the type checker.
            eq: whether objects with equal fields are equal; else each is equal to itself only.

        Raises:
            TypeError: ``frozen`` is not True.
        """
        if frozen is not True:
            raise TypeError("only frozen classes are made here; dataclasses has the other kind")
        return lambda owner: _frozen(owner, eq)


__all__ = ["dataclass"]

_DEFAULT = object()
"""What stands for a default that a factory makes."""


def _frozen(owner: Any, eq: bool) -> Any:
    inherits = dataclasses.is_dataclass(owner)
    own = dict(vars(owner))
    owner = dataclasses.dataclass(init=False, repr=False, eq=False, frozen=inherits)(owner)
    if not inherits:
        owner.__setattr__ = _refuse_to_set
        owner.__delattr__ = _refuse_to_delete
        # So a child that the standard library's decorator makes knows what it inherits.
        owner.__dataclass_params__.frozen = True
    owner.__init__ = _InitOnFirstUse(owner)
    if "__repr__" not in own:
        owner.__repr__ = _repr
    if "__getstate__" not in own:
        owner.__getstate__ = _state
    if eq:
        owner.__compared__ = _Compared()
        if "__eq__" not in own:
            owner.__eq__ = _equal
        if own.get("__hash__") is None:
            owner.__hash__ = _hash
    return owner


class _InitOnFirstUse:
    """Stands in for a class's ``__init__`` until somebody asks for it."""

    def __init__(self, owner: Any) -> None:
        self.owner = owner

    def __get__(self, instance: Any, owner: Any) -> Any:
        made = _init(self.owner)
        self.owner.__init__ = made
        return made if instance is None else made.__get__(instance, owner)


class _Compared:
    """Stands in for the function that reads what is compared until somebody compares."""

    def __get__(self, instance: Any, owner: Any) -> Any:
        names = [each.name for each in dataclasses.fields(owner) if each.compare]
        read = _read_all(names)
        owner.__compared__ = staticmethod(read)
        return read


def _read_all(names: list[str]) -> Callable[[Any], tuple[Any, ...]]:
    """Return what reads attributes as a tuple, of any number of them."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda each: tuple(getattr(each, name) for name in names)


def _init(owner: Any) -> Any:
    """Return the ``__init__`` of a class, compiled as ``dataclasses`` does."""
    known: dict[str, Any] = {"_set": object.__setattr__, "_DEFAULT": _DEFAULT}
    places: list[str] = []
    names_only: list[str] = []
    values: list[tuple[str, str]] = []
    body: list[str] = []
    for each in dataclasses.fields(owner):
        name, value = each.name, each.name
        default = ""
        if each.default_factory is not dataclasses.MISSING:
            known[f"_new_{name}"] = each.default_factory
            value = f"_new_{name}() if {name} is _DEFAULT else {name}"
            default = "=_DEFAULT"
        elif each.default is not dataclasses.MISSING:
            known[f"_of_{name}"] = each.default
            default = f"=_of_{name}"
        if not each.init:  # set by __post_init__, which the class has
            continue
        (names_only if each.kw_only else places).append(name + default)
        values.append((name, value))
    # Set at once in the object's own dictionary: for many fields half the price of as many calls.
    if len(values) > 2:
        body.append(f"self.__dict__.update({', '.join(f'{n}={v}' for n, v in values)})")
    else:
        body += [f"_set(self, {n!r}, {v})" for n, v in values]
    if hasattr(owner, "__post_init__"):
        body.append("self.__post_init__()")
    if names_only:
        places += ["*", *names_only]
    lines = "\n    ".join(body or ["pass"])
    exec(f"def __init__(self, {', '.join(places)}):\n    {lines}", known)
    made = known["__init__"]
    made.__qualname__ = f"{owner.__qualname__}.__init__"
    made.__annotations__ = {
        each.name: each.type for each in dataclasses.fields(owner) if each.init
    } | {"return": None}
    return made


def _equal(self: Any, other: Any) -> Any:
    if other.__class__ is not self.__class__:
        return NotImplemented
    read = self.__compared__
    return read(self) == read(other)


def _hash(self: Any) -> int:
    return hash((self.__class__, self.__compared__(self)))


def _state(self: Any) -> dict[str, Any]:
    """Return what is pickled and copied: what it is, and nothing that was worked out of it."""
    return {each.name: getattr(self, each.name) for each in dataclasses.fields(self)}


def _repr(self: Any) -> str:
    told = [each.name for each in dataclasses.fields(self) if each.repr]
    said = ", ".join(f"{name}={getattr(self, name)!r}" for name in told)
    return f"{self.__class__.__qualname__}({said})"


def _refuse_to_set(_self: object, name: str, _value: object) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(_self: object, name: str) -> None:
    raise dataclasses.FrozenInstanceError(f"cannot delete field {name!r}")
