"""Words that a person chooses from: one that is not there is a fault that lists them."""

from __future__ import annotations

from wheelgeo.errors import QuantityError


def one_of(word: str, known: tuple[str, ...], what: str) -> None:
    """Raise QuantityError, naming what there is, unless a word is one of those known."""
    if word not in known:
        raise QuantityError(f'"{word}" is no {what} known here; there are: {", ".join(known)}')
