"""How faults of an input are worded: values as written, and the nearest known word."""

from __future__ import annotations

import difflib
import unicodedata
from collections.abc import Iterable, Mapping

_JOINERS = "\u200c\u200d"
"""Zero-width joiners, which several scripts and emoji need inside a word."""
_SHOWN_AT_MOST = 60
_LISTED = 8
"""With a suggestion, longer lists of what is known are left out."""


def shown(value: object) -> str:
    """Return a value as its owner wrote it, shortened where it is long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        text = "".join(c if printable(c) else repr(c)[1:-1] for c in value[: _SHOWN_AT_MOST + 1])
        return f'"{short(text)}"'
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, list):
        return short(f"[{', '.join(shown(item) for item in value[:8])}]")
    return short(_number_text(value))


def _number_text(value: object) -> str:
    if isinstance(value, int) and abs(value) >= 10**_SHOWN_AT_MOST:
        return "a number with very many digits"
    return str(value)


def short(text: str) -> str:
    """Return a text, cut where it is long."""
    return text if len(text) <= _SHOWN_AT_MOST else f"{text[:_SHOWN_AT_MOST]}…"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known word that looks most like this one, or None where none does."""
    by_lower = {k.casefold(): k for k in known}
    found = difflib.get_close_matches(word[:200].casefold(), by_lower, n=1, cutoff=0.55)
    return by_lower[found[0]] if found else None


def suggestion(word: str, known: Iterable[str], what: str = "known") -> str:
    """Return a remedy for an unknown word: the nearest known one, and what is known."""
    words = [w for w in dict.fromkeys(known) if w.strip() and all(map(printable, w))]
    near = nearest(word, words)
    listed = f"{what}: {', '.join(short(w) for w in words) or 'none'}"
    if near is None:
        return listed
    return f'did you mean "{short(near)}"?' + (f" ({listed})" if len(words) <= _LISTED else "")


def printable(character: str) -> bool:
    """Return whether a character shows: no control, line break, bidi override or zero width."""
    return unicodedata.category(character) not in ("Cc", "Cf", "Zl", "Zp", "Cs")


def hidden_in(text: str) -> str | None:
    """Return the first character of a name that does not show, or None.

    A joiner beside a letter that is no ASCII belongs to the writing of that script.
    """
    if text.isprintable():
        return None
    for index, character in enumerate(text):
        if printable(character):
            continue
        beside = text[max(index - 1, 0) : index] + text[index + 1 : index + 2]
        if character not in _JOINERS or len(beside) < 2 or beside.isascii():
            return character
    return None
