"""Any value in any place: a design file is read, or refused with faults; nothing else happens."""

from __future__ import annotations

import copy
import datetime
import math
import tomllib
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from typing import Any

import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from wheelgeo.design.model import Design
from wheelgeo.design.reader import parse_design
from wheelgeo.design.writer import design_to_toml
from wheelgeo.errors import DesignError

ODD = st.sampled_from([
    0, -1, 1, 1.5, -0.0, math.nan, math.inf, 1e308, 5e-324, 10**30, True, False, "", " ", "x",
    "1 mm", "nan", "-1/2 in", "1/0", "%", "5 %", [], [1], [[]], ["a", "b"], [0, 0, 0], [{}], {},
    {"a": 1}, {"pulley": 3}, {"shape": "vee"}, {"pitch": True}, datetime.date(2000, 1, 1),
    datetime.time(1, 2), "main", "wheel", "clockwise", "cotton", "with", "against", "round",
    {"value": []}, {"low": "x", "value": 1, "high": 2},
])  # fmt: skip
STEPS = st.lists(st.integers(0, 30), min_size=1, max_size=5)


def place(tables: dict[str, Any], steps: list[int]) -> tuple[Any, Any]:
    """Return the table or list at the end of some steps, and a key or index in it."""
    node: Any = tables
    for step in steps:
        keys = list(node) if isinstance(node, dict) else list(range(len(node)))
        key = keys[step % len(keys)]
        child = node[key]
        if step is steps[-1] or not isinstance(child, dict | list) or not child:
            break
        node = child
    return node, key


def numbers(value: Any) -> Iterator[float]:
    """Yield every number of a design."""
    if isinstance(value, float):
        yield value
    if is_dataclass(value):
        for field in fields(value):
            yield from numbers(getattr(value, field.name))
    if isinstance(value, tuple):
        for item in value:
            yield from numbers(item)


def read(text: str) -> Design | DesignError:
    """Return the design, or the error that refuses it; any other error is one of ours to mend."""
    try:
        return parse_design(text)
    except DesignError as error:
        return error


@given(changes=st.lists(st.tuples(STEPS, ODD | st.none()), min_size=1, max_size=3))
@settings(
    max_examples=80,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
def test_odd_values_are_read_or_refused(good_text: str, changes: list[tuple[Any, Any]]) -> None:
    tables = tomllib.loads(good_text)
    for steps, odd in changes:
        node, key = place(tables, steps)
        if odd is None:
            del node[key]
        else:
            node[key] = copy.deepcopy(odd)
        if not tables:
            return
    found = read(tomlkit.dumps(tables))
    if isinstance(found, Design):
        assert all(math.isfinite(number) for number in numbers(found))
        assert parse_design(design_to_toml(found)) == found
        return
    assert found.faults
    for fault in found.faults:
        assert fault.place
        assert fault.says
        assert "Input should" not in str(fault)
