"""A finding stood before where it is of the same kind and parts, whatever its piece is called."""

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.finding import Finding
from wheelgeo.check.outcome import new_faults, new_grave
from wheelgeo.check.report import put_under_check
from wheelgeo.check.rules_bodies import bodies_collide, still_near
from wheelgeo.check.things import Thing

DESIGNS = Path(__file__).resolve().parents[2] / "designs"

BACK, FRONT, WHORL = ((name,) for name in ("back groove", "front groove", "whorl"))
BOTH = (*BACK, *FRONT)


def found(rule, *things):
    """A finding of things: pieces by their grooves, all else by what it is called."""
    about = tuple(
        Thing(thing) if isinstance(thing, str)
        else Thing(f'pulley "{", ".join(thing)}"', frozenset(thing))
        for thing in things
    )  # fmt: skip
    return Finding(rule, "warning", about, None, None, "", "", "")


class Wheel:
    """So much of a wheel under check as tells what a rule finds."""

    def __init__(self, rule, things):
        self._found = [found(rule, *things)]

    def grave_by(self, _):
        return self._found


@pytest.mark.parametrize(
    ("before", "then", "new"),
    [
        ((BOTH,), (BACK,), False),
        ((BOTH,), (FRONT,), False),
        ((BACK,), (BOTH,), False),
        ((BOTH, "bearing main 1"), (BACK, "bearing main 1"), False),
        ((BACK, "bearing main 1"), (BOTH, "bearing main 1"), False),
        ((BOTH, "bearing main 1"), (BACK, "bearing main 2"), True),
        ((BOTH, "bearing main 1"), (BACK, FRONT), True),
        ((BACK, "bearing main 1"), (WHORL, "bearing main 1"), True),
        ((BACK, "bearing main 1"), (FRONT, "bearing main 1"), True),
        (('run of "band" from "a" to "b"',), ('run of "band" from "b" to "a"',), True),
    ],
)
def test_a_warning_is_new_by_its_parts_and_not_by_its_words(before, then, new):
    known = [found("another-rule", "")]
    wheel, changed = Wheel("a-rule", before), Wheel("a-rule", then)
    assert bool(list(new_grave(wheel, changed, None, known))) is new
    assert list(new_grave(wheel, Wheel("third-rule", before), None, known))


@pytest.fixture(scope="module")
def against_bearing():
    """A wheel of two grooves that runs into a bearing: whole, and with its grooves set apart."""
    text = (DESIGNS / "flyer-wheel.toml").read_text(encoding="utf-8")
    bearings = 'bearings = [{ at = 20, kind = "brass" }, { at = -27, kind = "brass" }]'
    whole = wheelgeo.read(text.replace('name = "axle"\n', f'name = "axle"\n{bearings}\n', 1))
    apart = whole.put("front groove.offset", 7.5)
    return put_under_check(whole.design), put_under_check(apart.design)


def of_the_bearing(wheel):
    (one,) = (f for f in wheel.faults_by(bodies_collide).values() if "bearing axle 1" in f.where)
    return one


def test_a_fault_of_a_groove_is_no_new_one_of_the_piece_that_it_becomes(against_bearing):
    whole, apart = against_bearing
    assert of_the_bearing(whole).where == 'pulley "back groove, front groove", bearing axle 1'
    assert of_the_bearing(apart).where == 'pulley "front groove", bearing axle 1'
    assert not list(new_faults(apart, whole, bodies_collide))
    (deeper,) = new_faults(whole, apart, bodies_collide)  # 0.5 mm deeper: told by how far
    assert deeper.beyond == pytest.approx(of_the_bearing(whole).beyond + 0.5)


def test_a_piece_that_falls_in_two_has_not_parted_from_what_it_runs_into(against_bearing):
    whole, apart = against_bearing
    for before, then in ((whole, apart), (apart, whole)):
        two = [body for body in before.placements.as_in_file.bodies
               if body.name == "bearing axle 1" or "front groove" in body.grooves]  # fmt: skip
        assert list(still_near(*two)(then)) == [of_the_bearing(then)]


def test_what_find_names_as_a_new_fault_is_none_of_a_piece_that_grew(against_bearing):
    whole, apart = (wheelgeo.Wheel(wheel.design) for wheel in against_bearing)
    found = apart.find("front groove.offset", "double band.length", whole.get("double band.length"))
    assert found.value == pytest.approx(7.0)
    assert "bearing axle 1" in "".join(f.where for f in apart.check().faults)
    assert not found.faults
