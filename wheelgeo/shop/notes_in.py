"""Notes of parts and steps in a sheet's unit: what is bought or bored by its own size keeps it."""

from __future__ import annotations

import re
from collections.abc import Callable

from wheelgeo.shop.fastenings import screw_size
from wheelgeo.units.in_full import Told, unrounded
from wheelgeo.units.written import LengthUnit, bought_length, told_in

_SIZE = r"(\d+(?:\.\d+)?)"
_SCREW = re.compile(rf"(wood screws?) {_SIZE} x {_SIZE} mm")
_BOLT = re.compile(rf"(\bM\d+ x ){_SIZE} mm")
_BORED = (
    re.compile(rf"(\b(?:[Hh]oles?:? (?:of )?|Bolts of )){_SIZE} mm"),
    re.compile(rf"(\bdrill (?:up the middle of its end )?){_SIZE} mm"),
    re.compile(rf"((?:: |, ))?{_SIZE} mm(?= at \d)"),
)


def note_in(text: str, unit: LengthUnit) -> str:
    """Return a note whose lengths are in millimetres with its lengths in a sheet's unit.

    A wood screw goes by its number in inches, a bolt by its thread; holes and pins keep the size of
    their drill, with inches beside it: nobody is sold a drill of 0.217 in.

    Args:
        text: the note, or several; their lengths in full where they are known so.
        unit: of the sheet.
    """
    if unit == "mm":
        return Told(text)
    bought = bought_length(unit)

    def kept(found: re.Match[str]) -> str:
        return f"{found[1] or ''}{bought(float(found[2]))}"

    def screw(found: re.Match[str]) -> str:
        return f"{found[1]} {screw_size(float(found[2]), float(found[3]), unit)}"

    said = _each(_SCREW, screw, unrounded(text))
    for pattern in (_BOLT, *_BORED):
        said = _each(pattern, kept, said)
    return told_in(said, unit, fits=True)


def _each(pattern: re.Pattern[str], write: Callable[[re.Match[str]], str], text: str) -> str:
    """Return a text with what a pattern finds outside quotation marks written anew."""
    pieces = re.split(r'("[^"]*")', text)
    return "".join(p if i % 2 else pattern.sub(write, p) for i, p in enumerate(pieces))
