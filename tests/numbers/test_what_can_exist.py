"""A wheel that can exist is one thing: put, the reader and the searches never disagree on it."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from wheelgeo.check.report import check_whole
from wheelgeo.design.possible import faults
from wheelgeo.design.reader import parse_design, read_design
from wheelgeo.design.writer import design_to_toml, rewrite_as
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import DesignError, SearchError
from wheelgeo.numbers.inputs import changer, inputs, put

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))
FACTORS = (0.5, 0.8, 1.25, 2.0)


def tried(make, *given):
    """Return what is made, or None where a DesignError refuses it."""
    try:
        return make(*given)
    except DesignError:
        return None


def accepted(design, changes):
    """Return the wheel that put gives, or None; its faults and the reader's must say the same."""
    changed = tried(put, design, changes)
    forced = design
    try:
        for key, value in changes.items():
            forced = changer(forced, key)(forced, value)
    except SearchError:
        assert changed is None or len(changes) > 1, changes
        return changed
    wrong = faults(forced)
    if len(changes) == 1:
        assert (changed is None) == bool(wrong), changes
        assert changed is None or changed == forced
    read = tried(parse_design, design_to_toml(forced))
    assert (read is None) == bool(wrong), f"{changes}: reader and faults disagree: {wrong}"
    assert read is None or read == forced
    return changed


def nothing_raises(design):
    """Solve and check a wheel by every rule there is."""
    solve_drive(design)
    check_whole(design)


def scaled(path, factors):
    """Yield every number of a wheel times so many of the factors, which take turns."""
    design = read_design(path)
    start = DESIGNS.index(path)
    for index, number in enumerate(inputs(design), start):
        for step in range(factors if number.value is not None else 0):
            factor = FACTORS[(index + step) % len(FACTORS)]
            yield design, {number.key: number.value * factor}


def random_changes(rng, design):
    """Return new values for one to four numbers, near today's or anywhere within their bounds."""
    listed = [n for n in inputs(design) if n.low < n.high]
    changes = {}
    for number in rng.sample(listed, rng.randint(1, 4)):
        value = number.value if number.value is not None else 1.0
        if rng.random() < 0.7:
            changes[number.key] = value * rng.choice((0.3, 0.9, 1.1, 3.0)) + rng.gauss(0.0, 1.0)
        else:
            high = min(number.high, max(number.low, 0.0) + 10.0 ** rng.uniform(-3.0, 3.0))
            changes[number.key] = rng.uniform(max(number.low, -200.0), high)
    return changes


def sweep(path, factors, every):
    count = 0
    text = path.read_text(encoding="utf-8")
    for index, (design, changes) in enumerate(scaled(path, factors)):
        changed = accepted(design, changes)
        if changed is not None and index % every == 0:
            nothing_raises(changed)
            assert parse_design(rewrite_as(text, changed)) == changed
            count += 1
    assert count > 3


def random_edits(path, count, every, seed):
    rng = random.Random(seed)
    design = read_design(path)
    kept = 0
    for index in range(count):
        changed = accepted(design, random_changes(rng, design))
        if changed is not None:
            kept += 1
            if index % every == 0:
                nothing_raises(changed)
    assert kept > count // 20


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_every_number_half_to_double(path):
    """Of half to double one on each wheel, another on the next; all is a long form."""
    sweep(path, 1, 9)


@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_random_edits(path):
    random_edits(path, 30, 6, 1)


@pytest.mark.long
@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_every_number_half_to_double_checked_by_every_rule(path):
    sweep(path, len(FACTORS), 1)


@pytest.mark.long
@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_twenty_thousand_random_edits(path):
    random_edits(path, 20_000 // len(DESIGNS) + 1, 1, 2)
