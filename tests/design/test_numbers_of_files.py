"""Every number that a file may hold, written in every unit, reads back as the same number."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from wheelgeo.design.file_forms import DESIGN
from wheelgeo.units.keys import Form, TableKind, TablesKind, VariantKind, form_of
from wheelgeo.units.kind import Kind
from wheelgeo.units.kinds import ListKind, VectorKind
from wheelgeo.units.number_kinds import NumberKind
from wheelgeo.units.quantity import LENGTH_UNITS


def numbers_of(form: Form, place: str = "") -> Iterator[tuple[str, NumberKind]]:
    """Yield every number of a table and of those in it, by its place in the file."""
    for key in form.keys:
        yield from numbers_in(key.kind, f"{place}{key.name}")


def numbers_in(kind: Kind, place: str) -> Iterator[tuple[str, NumberKind]]:
    if isinstance(kind, NumberKind):
        yield place, kind
    elif isinstance(kind, VectorKind | ListKind):
        yield from numbers_in(kind.of, place)
    elif isinstance(kind, TableKind | TablesKind):
        yield from numbers_of(kind.form, f"{place}.")
    elif isinstance(kind, VariantKind):
        for word, owner in kind.owners().items():
            yield from numbers_of(form_of(owner), f"{place} {word}.")


NUMBERS = dict(numbers_of(DESIGN))


def test_there_are_many() -> None:
    assert len(NUMBERS) > 80
    assert {"shaft.diameter", "shop.reel_round", "pulley.groove vee.angle"} <= set(NUMBERS)


@pytest.mark.parametrize("place", NUMBERS)
def test_its_bounds_are_written_as_they_are_read(place: str) -> None:
    kind = NUMBERS[place]
    for value, unit in product(kind.bounds.closed, LENGTH_UNITS):
        assert kind.read(kind.written(value, unit), unit) == value


@given(st.data(), st.sampled_from(sorted(NUMBERS)), st.sampled_from(sorted(LENGTH_UNITS)))
def test_any_of_them_is_written_as_it_is_read(data: st.DataObject, place: str, unit: str) -> None:
    kind = NUMBERS[place]
    low, high = kind.bounds.closed
    value = data.draw(st.floats(low, high))
    written = kind.written(value, unit)
    assert kind.read(written, unit) == value
    assert kind.written(kind.read(written, unit), unit) == written
