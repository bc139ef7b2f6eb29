"""What a finding speaks of: bodies and places of a wheel, each by all the names that it goes by."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.built.body import BuiltBody


@dataclass(frozen=True)
class Thing:
    """One thing that a finding speaks of.

    Attributes:
        says: what it is called there, parts of the file by their names in quotes.
        grooves: of a piece with grooves, which is called by all of them, their names; else none.
    """

    says: str
    grooves: frozenset[str] = frozenset()

    def is_same_as(self, other: Thing) -> bool:
        """Tell whether two things are one: a piece is, that has lost grooves or has more now."""
        if self.grooves and other.grooves:
            return self.grooves <= other.grooves or self.grooves >= other.grooves
        return self.says == other.says


def said_of(things: Iterable[Thing]) -> str:
    """Return what several things are called together."""
    return ", ".join(thing.says for thing in things)


def thing_of(body: BuiltBody) -> Thing:
    """Return a body of the wheel as built as what a finding speaks of."""
    word, _, name = body.name.partition(" ")
    word = "shaft" if word == "rod" else word
    says = f'{word} "{name}"' if word in {"pulley", "shaft"} else body.name
    return Thing(says, frozenset(body.grooves))
