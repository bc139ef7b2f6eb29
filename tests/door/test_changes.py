"""Numbers of a wheel by name: got, put, refused, saved."""

import random
from dataclasses import replace

import pytest

import wheelgeo

from .conftest import DESIGNS


def test_put_returns_a_new_wheel_and_leaves_the_old_one(box):
    finer = box.put("whorl.rim", 9)
    assert (box.get("whorl.rim"), finer.get("whorl.rim")) == (9.6, 9.0)
    assert finer.get("ratio") > box.get("ratio")


@pytest.mark.parametrize(
    ("value", "mm"), [("3/8 in", 9.525), ("9 mm", 9.0), ("9", 9.0), (9.25, 9.25)]
)
def test_text_is_read_as_in_the_file(box, value, mm):
    assert box.put("whorl.rim", value).get("whorl.rim") == pytest.approx(mm)


def test_bare_text_is_in_the_unit_of_the_file_and_a_number_in_mm(box):
    other = box.with_design(replace(box.design, unit="in"))
    assert other.put("whorl.rim", "0.4").get("whorl.rim") == pytest.approx(10.16)
    assert other.put("whorl.rim", 10).get("whorl.rim") == 10.0


def test_several_are_put_at_once_though_one_alone_could_not_be(box):
    # a groove as deep as this does not go into the old rim
    changed = box.put({"whorl.depth": 3.0, "whorl.rim": 16.0})
    assert (changed.get("whorl.depth"), changed.get("whorl.rim")) == (3.0, 16.0)


@pytest.mark.parametrize(
    ("name", "value", "says"),
    [
        ("whorl.rmi", 9, 'did you mean "whorl.rim"'),
        ("ratio", 150, "is a result"),
        ("second band.length", 400, "is a result"),
        ("whorl.rim", "nine", "is no length"),
        ("whorl.rim", "9 rpm", "whorl.rim"),
        ("whorl.rim", -1, "must be more than"),
        ("whorl.rim", float("nan"), "whorl.rim"),
        ("whorl.rim", None, "it must be there"),
        ("whorl.rim", 1e9, "out of range"),
        ("whorl.rim", 5.5, "lies inside the shaft"),
        ("second band.route", 5, "is not a list"),
    ],
)
def test_what_cannot_be_put_is_a_design_error_that_says_why(box, name, value, says):
    with pytest.raises(wheelgeo.DesignError) as error:
        box.put(name, value)
    assert says in str(error.value)
    assert error.value.faults


@pytest.mark.parametrize(
    "changes",
    [
        {"whorl.rim": 12, "whorl.pitch": 5.5},
        {"whorl.rim": 9, "pulley:whorl.rim": 12},
        {"spindle.at": [18, 147, 40], "spindle.at.z": 30},
    ],
)
def test_values_that_contradict_each_other_are_refused(box, changes):
    with pytest.raises(wheelgeo.DesignError, match="contradict each other") as error:
        box.put(changes)
    assert all(name in error.value.faults[0].says for name in changes)


def test_values_told_twice_alike_are_put(box):
    pitch = box.put("whorl.rim", 12).get("whorl.pitch")
    changed = box.put({"whorl.rim": 12, "pulley:whorl.rim": "12 mm", "whorl.pitch": pitch})
    assert changed.get("whorl.rim") == pytest.approx(12.0)


def test_components_of_a_direction_do_not_contradict_each_other(box):
    axis = box.put({"main.axis.x": 0.02, "main.axis.y": 0.03}).design.shaft("main").axis
    assert axis == pytest.approx((0.02, 0.03, 1.0), rel=1e-2)


def test_leans_to_two_sides_are_set_together(box):
    leaning = box.put({"main.lean.x": 1.0, "main.lean.y": 2.0})
    assert leaning.get("main.lean.y") == pytest.approx(2.0)
    assert leaning.get("main.lean.x") == pytest.approx(1.0, rel=1e-2)


def test_names_with_values_take_no_value_beside_them(box):
    with pytest.raises(wheelgeo.DesignError, match=r"'whorl.rim': 9.*: 7"):
        box.put({"whorl.rim": 9}, 7)


@pytest.mark.parametrize("name", ["nothing", "whorl.rmi", ""])
def test_a_name_that_is_none_is_a_design_error(box, name):
    for ask in (box.get, box.solve().__getitem__):
        with pytest.raises(wheelgeo.DesignError):
            ask(name)


def test_all_faults_of_a_file_are_held(tmp_path):
    text = (DESIGNS / "box-wheel.toml").read_text("utf-8")
    path = tmp_path / "wheel.toml"
    path.write_text(text.replace("offset = 14\n", "").replace('"60 rpm"', '"60 rmp"'), "utf-8")
    for source in (path, str(path)):
        with pytest.raises(wheelgeo.DesignError) as error:
            wheelgeo.load(source)
        assert len(error.value.faults) == 2
        assert error.value.source == str(path)
    with pytest.raises(wheelgeo.DesignError, match="there is no file"):
        wheelgeo.load(tmp_path / "none.toml")


def test_find_offers_nothing_that_cannot_exist(box):
    with pytest.raises(wheelgeo.SearchError, match="such a wheel cannot exist"):
        box.find("whorl.rim", "ratio", 500)


# --- saved ----------------------------------------------------------------------------------------


def test_what_is_saved_is_loaded_and_keeps_its_comments(path, tmp_path):
    wheel = wheelgeo.load(path)
    changed = wheel.put("drive.speed", "48 rpm")
    target = tmp_path / "changed.toml"
    assert changed.save(target) == target
    assert wheelgeo.load(target).solve().to_json() == changed.solve().to_json()
    comments = [line for line in wheel.text.splitlines() if line.startswith("#")]
    assert comments
    assert all(line in target.read_text("utf-8") for line in comments)


def test_save_writes_over_a_file_of_that_name_and_leaves_nothing_else(box, tmp_path):
    target = tmp_path / "wheel.toml"
    target.write_text("old", "utf-8")
    box.save(str(target))
    assert [p.name for p in tmp_path.iterdir()] == ["wheel.toml"]
    assert target.read_text("utf-8") == box.text
    with pytest.raises(wheelgeo.OutputError, match="cannot be written"):
        box.save(tmp_path / "no folder" / "wheel.toml")
    assert not (tmp_path / "no folder").exists()


def test_a_wheel_of_no_file_needs_a_folder_for_its_set(box):
    bare = wheelgeo.Wheel(box.design)
    with pytest.raises(wheelgeo.OutputError, match="folder"):
        bare.make()
    with pytest.raises(wheelgeo.OutputError, match="names no folder"):
        box.make("")


# --- remedies -------------------------------------------------------------------------------------


def test_a_remedy_gives_a_wheel_without_the_finding(box):
    wrong = wheelgeo.read(box.text.replace('twist = "Z"', 'twist = "S"'))
    (finding,) = wrong.solve().faults
    mended = finding.remedy.apply()
    assert isinstance(mended, wheelgeo.Wheel)
    assert not mended.solve().faults
    assert mended.text == wrong.text  # so that its comments survive


# --- whatever is put ------------------------------------------------------------------------------


@pytest.mark.parametrize("edits", [8, pytest.param(400, marks=pytest.mark.long)])
def test_no_edit_raises_anything_but_a_design_error(path, edits, tmp_path):
    wheel = wheelgeo.load(path)
    rng = random.Random(path.stem)
    inputs = [n for n in wheel.inputs() if n.value is not None]
    taken = 0
    for _ in range(edits):
        one = rng.choice(inputs)
        value = one.value * rng.choice([0.1, 0.5, 0.8, 1.25, 2.0, 5.0]) + rng.choice([0.0, 1.0])
        try:
            changed = wheel.put(one.key, value)
        except wheelgeo.DesignError:
            continue
        taken += 1
        changed.solve()
        changed.run()
        changed.check()
        changed.save(tmp_path / "w.toml")
        saved = wheelgeo.load(tmp_path / "w.toml")
        assert saved.get(one.key) == pytest.approx(changed.get(one.key))
    assert taken > edits // 4


@pytest.mark.parametrize(
    ("written", "other"), [('"60 rpm"', '"1e-320 rpm"'), ('"9 g"', '"1e-320 g"')]
)
def test_what_is_next_to_nothing_is_refused_at_the_door(written, other):
    text = (DESIGNS / "box-wheel.toml").read_text(encoding="utf-8")
    assert written in text
    with pytest.raises(wheelgeo.DesignError, match="more than 0"):
        wheelgeo.read(text.replace(written, other))
    for least in ("0.000001 rpm", "1000000 rpm"):
        wheel = wheelgeo.read(text.replace('"60 rpm"', f'"{least}"'))
        assert wheel.check().ratio == pytest.approx(wheelgeo.read(text).solve().ratio)
        wheel.run()


def test_an_uncertainty_that_reaches_beyond_what_can_exist_raises_nothing():
    """A rim that may be smaller than its groove is deep: its other side alone is taken."""
    text = (DESIGNS / "box-wheel.toml").read_text(encoding="utf-8")
    assert "rim = 9.6," in text
    answer = wheelgeo.read(text.replace("rim = 9.6,", 'rim = "9.6 +- 7 mm",')).solve()
    up = wheelgeo.read(text.replace("rim = 9.6,", "rim = 16.6,")).solve()
    assert answer.ratio_uncertainty == pytest.approx(abs(up.ratio - answer.ratio))
