"""Read a number that a person typed beside a name."""

from __future__ import annotations

from wheelgeo.errors import SearchError
from wheelgeo.units import LENGTH_MM, Dimension, parse_quantity


def read_number(value: str, quantity: Dimension | None, length_unit: str, what: str) -> float:
    """Return a number that a person typed; a bare length is in the file's unit.

    Args:
        value: what was typed.
        quantity: the units in which it may be written; None: a bare number.
        length_unit: the file's unit of length.
        what: the number's name, for messages.

    Raises:
        SearchError: no number where a bare number is wanted.
        QuantityError: no quantity of that kind.
    """
    if quantity is not None:
        bare = length_unit if quantity is LENGTH_MM else quantity.unit
        return parse_quantity(bare_or_text(value), quantity, bare)
    try:
        return float(value)
    except ValueError:
        raise SearchError(f'"{value}" is no number for {what}') from None


def bare_or_text(value: str) -> float | str:
    """Return a bare number as one, anything else as it is."""
    try:
        return float(value) if len(value) < 60 else value
    except ValueError:
        return value
