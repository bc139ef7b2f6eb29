"""What is kept of parts: the answers of a changed wheel are those of one that is seen first."""

import pickle
import random
from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.built.as_built import build
from wheelgeo.built.assembly import assembly
from wheelgeo.built.bodies import bodies
from wheelgeo.built.kept import KeptOf, kept_with
from wheelgeo.check.placements import Placements
from wheelgeo.check.report import put_under_check
from wheelgeo.check.rules_bodies import bodies_collide
from wheelgeo.drive import running
from wheelgeo.drive.running import load_wheel
from wheelgeo.numbers.fields_of_parts import fields_of
from wheelgeo.numbers.inputs import inputs as inputs_of

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def test_no_more_is_kept_than_said_and_the_oldest_goes():
    kept, made = KeptOf(3), []
    parts = [[n] for n in range(5)]
    for part in (*parts, parts[4], parts[0]):
        kept.get((part,), lambda p=part: made.append(p) or p[0])
    assert made == [*parts, parts[0]]
    assert len(kept._store) == 3


def test_equal_parts_are_not_the_same_part():
    kept, one, other = KeptOf(9), [1.0, 2.0], [1.0, 2.0]
    assert one == other
    assert [kept.get((part,), lambda p=part: id(p), 3.0) for part in (one, other)] == [
        id(one), id(other),
    ]  # fmt: skip


def test_what_another_made_meanwhile_stays():
    kept, part, first, second = KeptOf(1), [1.0], [2.0], [3.0]

    def made_late():
        assert kept.get((part,), lambda: first) is first  # as another thread would
        return second

    assert kept.get((part,), made_late) is first
    assert kept.get((part,), lambda: second) is first

    class Wheel:
        pass

    wheel = Wheel()

    def made_late_too():
        assert kept_with(wheel, "name", lambda: first) is first
        return second

    assert kept_with(wheel, "name", made_late_too) is first


def changed(wheel, chance):
    """The wheel with one size of it another, as far as it can exist."""
    sizes = [p for p in wheel.inputs() if p.unit == "mm" and p.value is not None]
    while True:
        size = chance.choice(sizes)
        try:
            return wheel.put(size.key, round(size.value + chance.gauss(0.0, 4.0), 2))
        except wheelgeo.DesignError:
            continue


def answers(design):
    """What hangs on whatever is kept: bodies in their places, collisions, order of work, load."""
    built = build(design)
    placements = list(Placements(put_under_check(design).solution, (25.0, 80.0)))
    found = [(f.rule, f.level, f.where, f.value) for f in bodies_collide(put_under_check(design))]
    runs = [placement.runs for placement in placements]
    load = load_wheel(design).load
    pulls = [band.pulls_n for band in load.bands]
    return bodies(built), [p.bodies for p in placements], runs, found, assembly(built), (
        pulls, load.hand_nm)  # fmt: skip


@pytest.mark.parametrize("name", ["box-wheel", "farm-wheel", "flyer-wheel", "sheet-wheel"])
def test_a_wheel_changed_step_by_step_answers_as_one_that_is_new(name):
    chance, wheel = random.Random(11), wheelgeo.load(DESIGNS / f"{name}.toml")
    for _ in range(6):
        wheel = changed(wheel, chance)
        # the same wheel of parts that nothing is known of
        assert answers(wheel.design) == answers(pickle.loads(pickle.dumps(wheel)).design)


def numbers(wheel):
    """Every number by its name; a range may be any two."""
    inputs = [(p.key, p.full_key, p.value, p.means, p.low, p.high) for p in inputs_of(wheel.design)]
    return inputs, [(r.key, r.value, r.means) for r in wheel.results()]


@pytest.mark.parametrize("name", ["box-wheel", "book-wheel", "two-band-wheel"])
def test_the_numbers_of_a_wheel_changed_step_by_step_are_those_of_one_that_is_new(name):
    chance, wheel = random.Random(12), wheelgeo.load(DESIGNS / f"{name}.toml")
    for _ in range(6):
        wheel = changed(wheel, chance)
        assert numbers(wheel) == numbers(pickle.loads(pickle.dumps(wheel)))


def test_only_a_part_that_is_another_tells_its_fields_anew():
    wheel = wheelgeo.load(DESIGNS / "box-wheel.toml")
    other = wheel.put("whorl.offset", wheel.get("whorl.offset") + 0.1)
    told = [
        [next(iter(fields_of(pulley))) for pulley in one.design.pulleys] for one in (wheel, other)
    ]
    new = [p.name for p, a, b in zip(wheel.design.pulleys, *told, strict=True) if a is not b]
    assert new == ["whorl"]


def test_a_wheel_is_loaded_once_for_all_that_hangs_on_its_load(monkeypatch):
    wheel, loads = wheelgeo.load(DESIGNS / "two-band-wheel.toml"), []
    whole = running.solve_load
    monkeypatch.setattr(running, "solve_load", lambda *a: loads.append(a) or whole(*a))
    pulls = [result.value for result in wheel.results() if result.key.startswith("yarn.pull")]
    assert len(pulls) == 2
    assert pulls[0] > 0.0
    wheel.run()
    assert len(loads) == 1


def test_another_whorl_leaves_all_other_bodies_what_they_are():
    design = wheelgeo.load(DESIGNS / "box-wheel.toml").design
    whorl = design.pulley("whorl")
    moved = replace(whorl, offset_mm=whorl.offset_mm + 0.1)
    pulleys = tuple(moved if p is whorl else p for p in design.pulleys)
    before = {body.name: body for body in bodies(build(design))}
    after = bodies(build(replace(design, pulleys=pulleys)))
    assert [b.name for b in after if b is not before[b.name]] == ["pulley whorl"]
