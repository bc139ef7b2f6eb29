"""The house's frozen dataclass against the standard library's, which is the reference."""

import copy
import dataclasses
import inspect
import pickle
from dataclasses import field
from functools import cached_property
from typing import ClassVar

import numpy as np
import pytest

from wheelgeo.immutable import dataclass

REFERENCE = dataclasses.dataclass(frozen=True)
OURS = dataclass(frozen=True)


def a_family(make):
    """Return classes with every kind of field, made by one of the two decorators."""

    class Base:
        """A base."""

        kind: ClassVar[str] = "base"
        first: int
        second: float = 2.0
        notes: tuple = field(default_factory=tuple)

    Base = make(Base)

    class Child(Base):
        """A child with more fields, one of them by name only, one not compared, one not told."""

        third: str = "three"
        named: int = field(default=4, kw_only=True)
        loose: object = field(default=None, compare=False, repr=False)

        @cached_property
        def twice(self):
            return 2 * self.first

    Child = make(Child)

    class Worked:
        """One that works something out."""

        side: float
        area: float = field(init=False)

        def __post_init__(self):
            object.__setattr__(self, "area", self.side**2)

    return Base, Child, make(Worked)


@pytest.fixture(scope="module", params=[REFERENCE, OURS], ids=["reference", "ours"])
def family(request):
    return a_family(request.param)


def test_objects_are_made_compared_and_told_alike(family):
    base, child, worked = family
    one = child(1, second=3.0, named=5, loose=[1])
    assert (one.first, one.second, one.notes, one.third, one.named) == (1, 3.0, (), "three", 5)
    assert one == child(1, 3.0, (), "three", named=5, loose="another")
    assert one != child(2, 3.0, (), "three", named=5)
    assert hash(one) == hash(child(1, 3.0, named=5))
    assert base(1) != child(1)
    assert base(1) != (1, 2.0, ())
    assert repr(one).endswith("Child(first=1, second=3.0, notes=(), third='three', named=5)")
    assert worked(3.0).area == 9.0
    assert (one.twice, one.twice) == (2, 2)
    assert one == child(1, 3.0, named=5)
    assert dataclasses.replace(one, first=7).first == 7
    assert dataclasses.asdict(base(1)) == {"first": 1, "second": 2.0, "notes": ()}
    assert copy.copy(one) == copy.deepcopy(one) == one
    assert child.kind == "base"
    assert list(inspect.signature(base).parameters) == ["first", "second", "notes"]


def test_nothing_can_be_changed(family):
    one = family[1](1)
    for change in (
        lambda: setattr(one, "first", 2),
        lambda: setattr(one, "unknown", 2),
        lambda: delattr(one, "first"),
    ):
        with pytest.raises(dataclasses.FrozenInstanceError):
            change()
    with pytest.raises(ValueError, match="area"):
        dataclasses.replace(family[2](3.0), area=1.0)


@pytest.mark.parametrize(
    "wrong", [lambda c: c(), lambda c: c(1, 2, 3, 4, 5, 6), lambda c: c(1, unknown=2)]
)
def test_a_wrong_call_is_a_type_error(family, wrong):
    with pytest.raises(TypeError):
        wrong(family[1])


def test_one_array_is_equal_to_itself(family):
    """As in a tuple, what is the same object is equal: an array says nothing of itself."""
    array = np.array([1.0, 2.0])
    assert family[0](array, 1.0) == family[0](array, 1.0)


@dataclass(frozen=True)
class Kept:
    """One that is sent to another process."""

    size: int
    unit: str = "mm"


def test_it_is_sent_and_comes_back():
    assert pickle.loads(pickle.dumps(Kept(3))) == Kept(3)


def test_what_can_be_changed_is_not_made_here():
    with pytest.raises(TypeError, match="only frozen"):
        dataclass(frozen=False)


def test_each_is_itself_only_where_equality_is_not_wanted():
    alone = dataclass(frozen=True, eq=False)(type("Alone", (), {"__annotations__": {"a": int}}))
    assert alone(1) != alone(1)


def test_a_class_of_the_standard_library_can_inherit():
    @dataclasses.dataclass(frozen=True, slots=True)
    class Child(Kept):
        """A child made by the reference."""

        more: int = 0

    assert Child(1, more=2) == Child(1, "mm", 2)
    with pytest.raises(TypeError, match="non-frozen"):
        dataclasses.dataclass(type("Loose", (Kept,), {"__annotations__": {"b": int}, "b": 1}))
