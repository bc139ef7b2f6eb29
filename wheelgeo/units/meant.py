"""What a muddled quantity was meant as: what is wrong with it in plain words, and how to write it.

Only asked of what could not be read. A guess is made of the writer's own figures and told as a
question; whoever asks reads each guess first, so that nothing is proposed that would be refused.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator

_END = r"(?P<unit>\s*[^\d\s/.,].*|\s*)"
_POINT = re.compile(rf"(\d+)\s*[.,]\s*(\d+/\d+){_END}")
_STROKES = re.compile(rf"(?:(\d+)[ -]+)?(\d+)/(\d+)/(\d+){_END}")
_GROUPS = re.compile(rf"(\d{{1,3}}(?:[ ']\d{{3}})+(?:\.\d+)?){_END}")
_APART = re.compile(rf"(\d+)\s+(\d+){_END}")
_UNITS = re.compile(r"([\d\s./-]*\d)\s*([^\d\s]+)\s+([^\d\s]+)")
_LENGTHS = re.compile(r"[\d./ -]*\d\s*([^\d\s,]+)\s*[,;]?\s*[\d./ -]*\d\s*([^\d\s,]+)")
_LOOSE = (
    (re.compile(r"\s*/\s*"), "/"), (re.compile(r"(?<=\d)\s+(?:and|&|\+)\s+(?=\d)"), " "),
    (re.compile(r"^(?:about|circa|ca\.?|approx\.?|~)\s*"), ""), (re.compile(r"\s*\(.*\)$"), ""),
    (re.compile(r"(?<=\d)_(?=\d)"), ""), (re.compile(r"\.{2,}"), "."),
)  # fmt: skip
"""What is written too much or too loosely, and what it is without that."""


def meant(
    text: str, units: Collection[str], reads: Callable[[str], bool], told: Callable[[str], str]
) -> tuple[str, str]:
    """Return what is wrong with a quantity, and asks what it was meant as; both may be empty.

    Args:
        text: as written, its signs as a keyboard has them.
        units: names of the units that it may have.
        reads: tells whether a text can be read.
        told: returns a text that can be read as it is proposed, with its unit.
    """
    for says, guesses in _found(text, units):
        good = dict.fromkeys(told(guess.strip()) for guess in guesses if reads(guess.strip()))
        if good or says:
            quoted = " or ".join(f'"{guess}"' for guess in good)
            return says, f"did you mean {quoted}?" if good else ""
    return "", ""


def _found(text: str, units: Collection[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Yield what may be wrong, the surest first, with what was meant then."""
    if found := _POINT.fullmatch(text):
        yield "a point or comma stands before its fraction", (
            f"{found[1]} {found[2]}{found['unit']}",
        )
    if found := _STROKES.fullmatch(text):
        whole, first, second, third = (found[i] for i in range(1, 5))
        mixed = f"{whole} {first}/{second}" if whole else f"{first} {second}/{third}"
        likely = bool(whole) or int(second) < int(third)
        yield "a fraction has one stroke", (f"{mixed}{found['unit']}",) if likely else ()
    if (found := _UNITS.fullmatch(text)) and {found[2], found[3]} <= {*units}:
        one, other = found[2], found[3]
        twice = "the same unit twice" if one == other else f"two units, {one} and {other}"
        yield f"it has {twice}", (f"{found[1]} {one}", f"{found[1]} {other}")
    if found := _GROUPS.fullmatch(text):
        joined = re.sub(r"[ ']", "", found[1])
        yield "its thousands are set apart", (f"{joined}{found['unit']}",)
    if found := _APART.fullmatch(text):
        yield "two numbers stand side by side", (f"{found[1]}.{found[2]}{found['unit']}",)
    tidy = text
    for loose, without in _LOOSE:
        tidy = loose.sub(without, tidy)
    yield "", (tidy.strip(), _unit_in_small(tidy.strip(), units))
    if (found := _LENGTHS.fullmatch(text)) and {found[1], found[2]} <= {*units}:
        yield "two lengths stand there, and one is asked for", ()


def _unit_in_small(text: str, units: Collection[str]) -> str:
    """Return a text with its unit as it is written: in small letters, without a full stop."""
    figures = text.rstrip("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ.")
    unit = text[len(figures) :].rstrip(".").casefold()
    small = {known.casefold(): known for known in units}
    return f"{figures.rstrip()} {small[unit]}" if unit and unit in small else text
