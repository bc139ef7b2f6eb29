"""Counts of plied yarns, read as plies: "2/28 Nm" is two strands of 28 Nm, never 1/14 Nm.

The customs of the systems differ, and are told apart by the system:

    Ne, cotton      singles / plies: 30/2 Ne is two of 30 (so are 8/2 and 10/4)
    worsted         plies / singles: 2/28 worsted is two of 28
    Nm              both are in use (2/28 Nm, 80/2 Nm): read where only one of them can be a
                    number of plies, asked about where both can
    linen lea, woollen run, French, yards per pound: no custom is known here, so a stroke is
                    asked about
    tex             ISO 1139: "25 tex x 2" (singles) or "R 50 tex / 2" (resulting); a bare
                    stroke is asked about
    denier          as tex; the stroke belongs to the filaments there, so it is asked about

Unmistakable in any system: "2 x 28 Nm". Customs: common practice, no source; ISO 1139 from memory.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Literal

from wheelgeo.design.counts import checked_positive
from wheelgeo.design.model import Count, CountSystem
from wheelgeo.errors import QuantityError
from wheelgeo.immutable import dataclass

MOST_PLIES = 12
"""More strands than this are taken for a count, not for plies. Common practice, no source."""

WORSTED_TO_NE = 560.0 / 840.0
"""Cotton count of one worsted count: hanks of 560 yd against 840 yd, exact (ASTM D2260)."""
LEA_TO_NE, RUN_TO_NE = 300.0 / 840.0, 1600.0 / 840.0
"""The same of the linen lea of 300 yd and the woollen run of 1 600 yd (ASTM D2260)."""
YARD_PER_POUND_TO_NE = 1.0 / 840.0
"""The same of one yard to the pound."""
FRENCH_TO_NM = 2.0
"""Metric count of one French count, kilometres to 500 g (ASTM D2260)."""

PlyCustom = Literal["singles first", "plies first", "either", "asks"]


@dataclass(frozen=True)
class PlySystem:
    """How a system of counts writes plies.

    Attributes:
        system: the system of the file that holds it.
        factor: count in that system of one count as written.
        custom: which number of a/b is the plies.
        name: as it is printed.
    """

    system: CountSystem
    factor: float
    custom: PlyCustom
    name: str


@dataclass(frozen=True)
class PliedCount:
    """A yarn of one or more equal strands.

    Attributes:
        plies: number of strands; 1 is a single.
        single: count of one strand.
        written_in: the system that was written, for example ``worsted`` (held as Ne).
        factor: count in the held system of one count as written.
    """

    plies: int
    single: Count
    written_in: str
    factor: float = 1.0


_METRIC = PlySystem("Nm", 1.0, "either", "Nm")
_COTTON = PlySystem("Ne", 1.0, "singles first", "Ne")
_WORSTED = PlySystem("Ne", WORSTED_TO_NE, "plies first", "worsted")
_TEX = PlySystem("tex", 1.0, "asks", "tex")
_DENIER = PlySystem("denier", 1.0, "asks", "denier")
_LEA = PlySystem("Ne", LEA_TO_NE, "asks", "linen lea")
_RUN = PlySystem("Ne", RUN_TO_NE, "asks", "woollen run")
_FRENCH = PlySystem("Nm", FRENCH_TO_NM, "asks", "French")
_YARDS = PlySystem("Ne", YARD_PER_POUND_TO_NE, "asks", "yards per pound")
_SYSTEMS: Mapping[str, PlySystem] = {
    "nm": _METRIC,
    "ne": _COTTON,
    "nec": _COTTON,
    "cotton": _COTTON,
    "worsted": _WORSTED,
    "new": _WORSTED,
    "tex": _TEX,
    "denier": _DENIER,
    "den": _DENIER,
    "linen lea": _LEA,
    "lea": _LEA,
    "woollen run": _RUN,
    "run": _RUN,
    "french": _FRENCH,
    "yards per pound": _YARDS,
    "ypp": _YARDS,
}

_NUMBER = r"(\d+(?:\.\d+)?)"
_WORDS = "|".join(sorted(_SYSTEMS, key=len, reverse=True))
_UNIT_FIRST = re.compile(rf"(?P<resulting>r\s*)?(?P<unit>{_WORDS})\b\.?\s*(?P<rest>.*)")
_UNIT_WITHIN = re.compile(
    rf"(?P<resulting>r\s*)?(?P<head>[^a-wyz]*?)\s*(?P<unit>{_WORDS})(?P<tail>\W.*|)"
)
_SINGLE = re.compile(_NUMBER)
_TIMES = re.compile(rf"{_NUMBER}\s*x\s*{_NUMBER}")
_STROKE = re.compile(rf"{_NUMBER}\s*/\s*{_NUMBER}")
_AFTER = re.compile(rf"{_NUMBER}\s*\|\s*([x/])\s*{_NUMBER}")


def read_plies(text: str) -> PliedCount:
    """Return a yarn as its strands.

    Args:
        text: for example ``"28 Nm"``, ``"2/28 Nm"``, ``"30/2 Ne"``, ``"2/28 worsted"``,
            ``"25 tex x 2"``, ``"R 50 tex / 2"``, ``"2 x 28 Nm"``.

    Returns:
        The plies and the count of one of them.

    Raises:
        QuantityError: it is no count, or it may mean two things; the message asks which.
    """
    plain = " ".join(text.replace("×", "x").replace("*", "x").lower().split())
    found = _UNIT_FIRST.fullmatch(plain)
    if found:
        body = found["rest"].strip()
    else:
        found = _UNIT_WITHIN.fullmatch(plain)
        if not found:
            raise QuantityError(f'"{text}" is no count: write "28 Nm", "2 x 28 Nm" or "25 tex x 2"')
        # A bar stands where the unit stood, so that "25 tex x 2" and "25 x 2 tex" stay apart.
        tail = found["tail"].strip()
        body = f"{found['head'].strip()} | {tail}" if tail else found["head"].strip()
    how = _SYSTEMS[found["unit"]]
    if found["resulting"]:
        return _resulting(body, how, text)
    return _strands(body, how, text)


def _strands(body: str, how: PlySystem, text: str) -> PliedCount:
    """Return the strands of a count without R."""
    if single := _SINGLE.fullmatch(body):
        return _plied(1, float(single[1]), how, text)
    if times := _TIMES.fullmatch(body):
        return _plied(_whole(times[1], text), float(times[2]), how, text)
    after = _AFTER.fullmatch(body)
    if after and after[2] == "x":
        return _plied(_whole(after[3], text), float(after[1]), how, text)
    if stroke := (_STROKE.fullmatch(body.replace("| ", ""))):
        return _by_custom(stroke[1], stroke[2], how, text)
    if not any(letter.isdigit() for letter in body):
        raise QuantityError(f'"{text}" is no count: write "28 {how.name}"')
    raise QuantityError(
        f'"{text}" is no count of a plied yarn that can be read: write its last plying only, '
        f'as "2 x 28 {how.name}"'
    )


def _resulting(body: str, how: PlySystem, text: str) -> PliedCount:
    """Return the strands of a resulting count of ISO 1139, "R 50 tex / 2"."""
    found = _STROKE.fullmatch(body.replace("| ", ""))
    if not found:
        raise QuantityError(f'"{text}": a resulting count is written "R 50 tex / 2"')
    plies, whole = _whole(found[2], text), float(found[1])
    # A direct count is the sum of its strands; an indirect one their share.
    single = whole / plies if how.system in ("tex", "denier") else whole * plies
    # What the whole is off by is shared like the whole itself.
    made = _plied(plies, single, how, text)
    return replace(made, factor=made.factor * single / whole)


def _by_custom(first: str, second: str, how: PlySystem, text: str) -> PliedCount:
    """Return the strands of a/b by the custom of the system."""
    singles_first = (_may_be_plies(second), second, first)
    plies_first = (_may_be_plies(first), first, second)
    # The system's own custom is tried first, the other only where that one cannot be meant.
    order = (plies_first, singles_first)
    if how.custom == "singles first":
        order = (singles_first, plies_first)
    open_ways = [way for way in order if way[0]]
    clear = how.custom in ("singles first", "plies first") or len(open_ways) == 1
    if how.custom == "asks" or not open_ways or not (clear or first == second):
        raise QuantityError(_question(first, second, how, text))
    _, plies, single = open_ways[0]
    return _plied(int(float(plies)), float(single), how, text)


def _question(first: str, second: str, how: PlySystem, text: str) -> str:
    """Return the fault that asks which of two readings is meant."""
    if not (_may_be_plies(first) or _may_be_plies(second)):
        largest = max(first, second, key=float)
        return (
            f'"{text}": neither {first} nor {second} is a number of plies (whole, from 1 to '
            f'{MOST_PLIES}): write a single yarn as "{largest} {how.name}", two of it plied as '
            f'"2 x {largest} {how.name}"'
        )
    if how.custom == "asks":
        few = min(first, second, key=float)
        many = max(first, second, key=float)
        return (
            f'"{text}" may be {few} plies of {many} {how.name} or {many} {how.name} altogether: '
            f'write "{many} {how.name} x {few}" or "R {many} {how.name} / {few}"'
        )
    ways = [(n, of) for n, of in ((first, second), (second, first)) if _may_be_plies(n)]
    may = " or ".join(f"{n} plies of {of}" if n != "1" else f"a single of {of}" for n, of in ways)
    write = " or ".join(
        f'"{n} x {of} {how.name}"' if n != "1" else f'"{of} {how.name}"' for n, of in ways
    )
    return f'"{text}" may be {may}: write {write}'


def _may_be_plies(number: str) -> bool:
    value = float(number)
    return value == int(value) and 1 <= value <= MOST_PLIES


def _whole(number: str, text: str) -> int:
    """Return a number of plies; QuantityError where it cannot be one."""
    if not _may_be_plies(number):
        raise QuantityError(
            f'"{text}": {number} is no number of plies; it must be whole, from 1 to {MOST_PLIES}'
        )
    return int(float(number))


def _plied(plies: int, single: float, how: PlySystem, text: str) -> PliedCount:
    value = checked_positive(single, f'the count in "{text}"') * how.factor
    return PliedCount(plies, Count(value, how.system, plies), how.name, how.factor)
