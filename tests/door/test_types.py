"""What the doors of the library make of other numbers, and of what is no value at all."""

import copy
import pickle
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest

import wheelgeo
from wheelgeo.door import door, plain_value
from wheelgeo.errors import DesignError, OutputError, SearchError, WheelError

BOX = Path("designs/box-wheel.toml")
OLD = {"whorl": "40 mm", "apart": "450 mm", "cord": "3 mm cotton cord"}


@pytest.fixture(scope="module")
def box():
    return wheelgeo.load("designs/box-wheel.toml")


@pytest.mark.parametrize(
    "value", [np.int32(9), np.float32(9.0), np.array(9.0), Fraction(18, 2), Decimal("9")], ids=repr
)
def test_a_number_of_any_library_is_a_number(box, value):
    assert box.put("whorl.rim", value) == box.put({"whorl.rim": value}) == box.put("whorl.rim", 9)
    assert wheelgeo.old_wheel(wheel=500 + value, **OLD) == wheelgeo.old_wheel(wheel="509 mm", **OLD)


def test_an_array_is_a_vector(box):
    (x, y, z) = at = box.get("spindle.at")
    assert box.put("spindle.at", np.array(at)).get("spindle.at") == (x, y, z)


@pytest.mark.parametrize(
    "value",
    [True, np.bool_(True), 1j, b"9", object(), float("nan"), Decimal("sNaN"), Fraction(10**400)],
    ids=lambda v: type(v).__name__,
)
def test_what_is_no_number_is_a_fault_that_says_so(box, value):
    with pytest.raises(DesignError, match=r"is no length|out of range"):
        box.put("whorl.rim", value)


WRONG = {
    "put": (DesignError, lambda w: w.put(3, 4)),
    "put a table": (DesignError, lambda w: w.put({3: 4})),
    "get": (DesignError, lambda w: w.get(3)),
    "an answer's result": (DesignError, lambda w: w.solve()[None]),
    "find": (SearchError, lambda w: w.find(None, "ratio", 140)),
    "find a value": (SearchError, lambda w: w.find("whorl.rim", "ratio", None)),
    "find together": (SearchError, lambda w: w.find("whorl.rim", "ratio", 140, together=3)),
    "place": (SearchError, lambda w: w.place(None, None)),
    "place a move": (SearchError, lambda w: w.place("first band", [3])),
    "bands to have": (SearchError, lambda w: w.bands_to_have("first band", None)),
    "retune": (SearchError, lambda w: w.retune(count=3)),
    "retune a pulley": (SearchError, lambda w: w.retune(ratio=140, only=3)),
    "tolerance": (SearchError, lambda w: w.tolerance(own={"whorl.rim": None})),
    "make": (OutputError, lambda w: w.make("x", only=3)),
    "make a release": (OutputError, lambda w: w.make("x", dxf=12)),
    "make lengths": (OutputError, lambda w: w.make("x", lengths="ell")),
    "save": (OutputError, lambda w: w.save(None)),
    "load": (DesignError, lambda _: wheelgeo.load(None)),
    "read": (DesignError, lambda _: wheelgeo.read(None)),
    "size": (DesignError, lambda _: wheelgeo.size(3)),
    "hand spindle": (DesignError, lambda _: wheelgeo.hand_spindle(None)),
    "old wheel": (DesignError, lambda _: wheelgeo.old_wheel(wheel=[3], **OLD)),
    "old wheel, true": (DesignError, lambda _: wheelgeo.old_wheel(wheel=True, **OLD)),
    "old wheel, crossed": (DesignError, lambda _: wheelgeo.old_wheel(crossed="yes", **OLD)),
    "old wheel, a word": (DesignError, lambda _: wheelgeo.old_wheel(whel=500, **OLD)),
    "yarn": (WheelError, lambda _: wheelgeo.yarn_facts("40 Nm", turns_per_metre="x")),
    "hank": (WheelError, lambda _: wheelgeo.hank("40 Nm", wheel=3)),
    "cloth": (WheelError, lambda _: wheelgeo.cloth("40 Nm", ends_per_cm=None)),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_wrong_type_is_an_error_of_ours(box, name, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    error, ask = WRONG[name]
    with pytest.raises(error):
        ask(box)
    assert list(tmp_path.iterdir()) == []


def test_what_was_not_measured_may_be_none():
    told = wheelgeo.old_wheel(wheel=500, girth=None, slide=None, **OLD)
    assert told == wheelgeo.old_wheel(wheel="500 mm", **OLD)


def test_a_mistake_of_ours_stays_what_it_is():
    @door(SearchError)
    def broken(number: float) -> float:
        return number * "1"

    with pytest.raises(TypeError, match="multiply"):
        broken(1.0)
    with pytest.raises(SearchError, match=r"number: 'x' is not a number"):
        broken("x")
    assert plain_value((np.int8(1), [Fraction(1, 2)], {"a": Decimal(2)})) == (1, [0.5], {"a": 2.0})


def test_a_wheel_and_its_answers_go_to_another_process(box):
    answers = [box.check(), box.run(), box.find("whorl.rim", "ratio", 140)]
    for each in (box, *answers):
        again = pickle.loads(pickle.dumps(each))
        assert again == each == copy.deepcopy(each)
    sent, kept = pickle.loads(pickle.dumps(answers[0])).findings, box.check().findings
    assert [f.remedy.says for f in sent] == [f.remedy.says for f in kept]
    assert sent[1].remedy.apply() == kept[1].remedy.apply()


def test_an_answer_goes_to_another_process_whatever_was_asked_of_its_wheel_since():
    wheel = wheelgeo.load(BOX)
    first = wheel.solve()
    wheel.check()
    assert pickle.loads(pickle.dumps(first)) == first == copy.deepcopy(first)


def test_an_answer_is_a_table_of_its_results(box):
    answer = box.solve()
    assert "ratio" in answer
    assert "whorl.rim" not in answer, "an input is no result"
    assert "band:second band.length" in answer, "by its full name too, as it can be asked"
    assert {name: answer[name] for name in answer} == {r.key: r.value for r in box.results()}


@pytest.mark.parametrize("ask", [
    lambda box, big: box.find("whorl.rim", "ratio", big),
    lambda box, big: box.retune(draw=big),
    lambda box, big: box.tolerance(own={"whorl.rim": big}),
    lambda _, big: wheelgeo.old_wheel(wheel=big),
    lambda _, big: wheelgeo.hank("40 Nm", round_mm=big),
    lambda _, big: wheelgeo.cloth("40 Nm", length_m=big, ends_per_cm=10),
])  # fmt: skip
def test_a_whole_number_beyond_every_float_is_out_of_range(box, ask):
    with pytest.raises(wheelgeo.WheelError, match="out of range"):
        ask(box, 10**400)


def test_a_class_is_no_number(box):
    with pytest.raises(DesignError, match="is no length"):
        box.put("whorl.rim", int)


def test_random_numbers_start_from_0_on(box):
    with pytest.raises(SearchError, match="seed"):
        box.tolerance(seed=-1)


def test_half_a_character_is_refused_as_no_file_can_hold_it():
    with pytest.raises(DesignError, match="half a character"):
        wheelgeo.read(f"# \ud800\n{BOX.read_text()}")


def test_facts_of_a_yarn_are_told_as_the_command_tells_them():
    assert wheelgeo.yarn_facts("80 Nm").to_json()["counts"][0] == {"system": "Nm", "value": 80.0}
