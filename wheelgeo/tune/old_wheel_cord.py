"""The cord of an old wheel as somebody tells it: "3 mm cotton cord", "cotton cord, 3 mm"."""

from __future__ import annotations

import re

from wheelgeo.design.materials import CORDS, MOST_LIKE
from wheelgeo.errors import Fault
from wheelgeo.immutable import dataclass
from wheelgeo.units.wording import nearest

_NAMES = {cord.name: cord.name for cord in CORDS}
_SHORT = {name.split()[0]: name for name in _NAMES}
"""A cord's first word says as much as its name: "cotton", "cotton string"."""
_NOUN = r"(?:\s+(?:cord|string|twine|line)s?)?"
_BESIDE = re.compile(r"^[\s,;:(]*(?:of\b|ø)?|(?:\bthick|\bacross|\bin diameter)?[\s,;:)]*$",
                     re.IGNORECASE)  # fmt: skip
"""What stands round a thickness and says nothing: "cotton cord of 3 mm", "(3 mm thick)"."""


@dataclass(frozen=True)
class ToldCord:
    """A cord as it was told.

    Attributes:
        material: what it is; empty: not known.
        thickness: its thickness as written; empty: not told.
        faults: what is wrong with it.
    """

    material: str
    thickness: str
    faults: tuple[Fault, ...] = ()


def told_cord(text: str) -> ToldCord:
    """Return what a cord is and how thick, wherever in the words its thickness stands."""
    found = _found(text)
    if found is None:
        says = f'"{text}" names no cord' if text else "its thickness and what it is are missing"
        known = f'write "3 mm cotton cord"; known: {", ".join(_NAMES)}'
        return ToldCord("", "", (Fault("cord", says, _meant(text) + known),))
    material, before, after = found
    thickness = " ".join(part for part in (_alone(before), _alone(after)) if part)
    if not thickness:
        how = f'write "3 mm {material}"'
        return ToldCord(material, "", (Fault("cord", "its thickness is missing", how),))
    return ToldCord(material, thickness)


def _found(text: str) -> tuple[str, str, str] | None:
    """Return the cord that is named, and what stands before and after its name."""
    for names, noun in ((_NAMES, ""), (_SHORT, _NOUN)):
        for word, name in names.items():
            if found := re.search(rf"{word}{noun}(?![a-z])", text, re.IGNORECASE):
                return name, text[: found.start()], text[found.end() :]
    return None


def _alone(text: str) -> str:
    return _BESIDE.sub("", text).strip()


def _meant(text: str) -> str:
    """Return a hint at what was meant; by its first word: "cord" is in nearly every name."""
    word = text.lstrip("0123456789./ -+±mincft\"½¼¾").casefold()
    kind, _, rest = word.partition(" ")
    if other := MOST_LIKE.get(kind):
        return f"{kind} is not known here; {other} is the most like it; "
    near = nearest(kind, _SHORT) if rest else None  # plain "string" is no misspelling
    return f'did you mean "{_SHORT[near]}"? ' if near else ""
