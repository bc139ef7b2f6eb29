"""Keys name one number each; a number put in comes out; nothing else moves."""

import math
import re
from dataclasses import replace as with_changes

import pytest

from wheelgeo.design.model import GivenPitch
from wheelgeo.errors import DesignError, SearchError
from wheelgeo.numbers.inputs import find_input, get, inputs, put
from wheelgeo.numbers.nearest import nearest_keys


def test_no_field_is_the_tail_of_another(box_wheel):
    """What lets a part's own name hold dots and spaces."""
    listed = [n for n in inputs(box_wheel) if n.kind in ("shaft", "pulley", "band")]
    names = {n.field for n in listed}
    assert len(names) > 20
    assert not [(a, b) for a in names for b in names if a.endswith(f".{b}")]


@pytest.mark.parametrize("wheel", ["box_wheel", "odd_names"])
def test_every_key_is_its_own(wheel, request):
    design = request.getfixturevalue(wheel)
    listed = inputs(design)
    keys = [p.key for p in listed] + [p.full_key for p in listed if p.full_key != p.key]
    assert len(set(keys)) == len(keys)
    for parameter in listed:
        assert find_input(design, parameter.key) == parameter
        assert find_input(design, parameter.full_key) == parameter


@pytest.mark.parametrize(
    ("key", "value"),
    [
        ("wheel.rim", 180.0), ("wheel.depth", 4.0), ("wheel.angle", 40.0), ("wheel.bottom", 0.5),
        ("hub no. 2.radius", 2.0), ("accelerator.face", 8.0), ("accelerator.pitch", 121.2),
        ("whorl.pitch", 9.0), ("hub no. 2.offset", 12.0), ("second shaft.at.y", 5.0),
        ("second shaft.travel", 2.0), ("spindle.lean.x", 90.0), ("spindle.lean.z", 0.0),
        ("main.diameter", 8.0), ("first band.slip", 0.01), ("first band.pull", 4.0),
        ("second band.diameter", 1.2), ("drive.speed", 60.0), ("drive.radius", 65.0),
        ("yarn.count", 40.0), ("yarn.draw", 650.0), ("case.inside.z", 80.0),
        ("bearing 2.at", 20.0), ("section 2.diameter", 3.0), ("washer 1.thickness", 2.0),
        ("cop.mass", 25.0), ("pulley:whorl.pitch", 9.0), ("drive:speed", 60.0),
    ],
)  # fmt: skip
def test_reads_what_the_design_says(box_wheel, key, value):
    assert get(box_wheel, key) == pytest.approx(value, abs=1e-12)


def _other_value(parameter):
    """A number near the present one, as a wheel a little different would have it."""
    value = parameter.value + 0.013 * max(abs(parameter.value), 0.5)
    return value if value <= parameter.high else parameter.value - 0.013 * abs(parameter.value)


@pytest.mark.parametrize("wheel", ["box_wheel", "odd_names"])
def test_put_in_and_read_back_and_put_back(wheel, request):
    design = request.getfixturevalue(wheel)
    tried = 0
    for parameter in inputs(design):
        if parameter.value is None or parameter.low == parameter.high:
            continue
        value = _other_value(parameter)
        changed = put(design, {parameter.key: value})
        assert changed != design
        assert get(changed, parameter.key) == pytest.approx(value, rel=1e-12, abs=1e-12)
        back = put(changed, {parameter.key: parameter.value})
        for other in inputs(design):
            if other.value is not None:
                assert get(back, other.key) == pytest.approx(other.value, rel=1e-12, abs=1e-12)
        tried += 1
    assert tried > 15


def test_only_that_number_changes(box_wheel):
    changed = put(box_wheel, {"hub no. 2.depth": 3.5})
    hub = box_wheel.pulley("hub no. 2")
    expected = with_changes(hub, groove=with_changes(hub.groove, depth_mm=3.5))
    assert changed == with_changes(
        box_wheel, pulleys=tuple(expected if p is hub else p for p in box_wheel.pulleys)
    )


@pytest.mark.parametrize("name", ["wheel", "hub no. 2", "accelerator", "whorl"])
def test_pitch_is_where_the_cord_then_seats(box_wheel, name):
    changed = put(box_wheel, {f"{name}.pitch": 33.3})
    groove = changed.pulley(name).groove
    assert groove.seat(changed.cord_on(name)).pitch_diameter_mm == pytest.approx(33.3, abs=1e-12)
    if not isinstance(groove, GivenPitch):
        old = box_wheel.pulley(name).groove
        assert with_changes(groove, rim_mm=old.rim_mm) == old


def test_travel_moves_the_shaft_and_leaves_the_slide_in_space(box_wheel):
    moved = put(box_wheel, {"second shaft.travel": 8.0}).shaft("second shaft")
    assert moved.at_mm == pytest.approx((156.0, 5.0, 0.0))
    assert (moved.slide.from_mm, moved.slide.to_mm) == pytest.approx((-8.0, 0.0))


@pytest.mark.parametrize("value", [-0.001, 8.001])
def test_travel_ends_where_the_slide_ends(box_wheel, value):
    with pytest.raises(DesignError, match="must lie between 0 and 8 mm"):
        put(box_wheel, {"second shaft.travel": value})


def test_lean_turns_the_axis_in_its_own_plane(box_wheel, skew_axis):
    shaft = with_changes(box_wheel.shaft("main"), axis=skew_axis)
    design = with_changes(box_wheel, shafts=(shaft, *box_wheel.shafts[1:]))
    leaning = put(design, {"main.lean.x": 30.0}).shaft("main").axis
    assert math.hypot(*leaning) == pytest.approx(1.0, abs=1e-15)
    assert leaning[0] == pytest.approx(0.5)
    assert leaning[1] / leaning[2] == pytest.approx(skew_axis[1] / skew_axis[2])


def test_no_way_to_lean_from_the_direction_itself(box_wheel):
    with pytest.raises(DesignError, match="lie between 90 and 90 deg"):
        put(box_wheel, {"spindle.lean.x": 80.0})


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("wheel.rim", 8.0, "4 mm reaches the middle of a rim of 8 mm"),
        ("wheel.rim", 0.0, "it must be more than 0"),
        ("wheel.rim", math.nan, "it must be more than 0"),
        ("wheel.depth", 90.0, "it must be less than 90 mm"),
        ("wheel.angle", 180.0, "less than 180 degrees"),
        ("wheel.bottom", -0.1, "it must be 0 or more"),
        ("whorl.pitch", 0.0, "more than 0"),
        ("whorl.pitch", 3.0, "lies inside the shaft of 4 mm"),
        ("hub no. 2.pitch", 2.9, "3 mm reaches the middle of a rim of 5.9 mm"),
        ("first band.slip", 1.0, "its sign"),
        ("first band.slip", "100 %", "less than 100 %"),
        ("drive.speed", -60.0, "more than 0"),
        ("spindle.at.x", math.inf, "within 1 km"),
        ("case.inside.x", 0.0, "more than 0"),
    ],
)
def test_a_value_that_makes_no_sense_is_refused(box_wheel, key, value, says):
    with pytest.raises(DesignError, match=re.escape(says)) as caught:
        put(box_wheel, {key: value})
    assert all(fault.key for fault in caught.value.faults)


def test_nought_is_allowed_where_it_makes_sense(box_wheel):
    for key in ("wheel.bottom", "first band.slip", "first band.stretch", "first band.joint"):
        assert get(put(box_wheel, {key: 0.0}), key) == 0.0


def test_a_groove_has_only_its_own_numbers(box_wheel):
    keys = {p.key for p in inputs(box_wheel)}
    assert {"wheel.bottom", "hub no. 2.radius", "accelerator.face"} <= keys
    assert keys.isdisjoint(
        {"wheel.radius", "hub no. 2.angle", "accelerator.depth", "whorl.rim", "main.travel",
         "second band.pull"}
    )  # fmt: skip


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("whorl.pich", "whorl.pitch"), ("wheel.rimm", "wheel.rim"), ("Wheel.Rim", "wheel.rim"),
        ("secondband.diameter", "second band.diameter"), ("drive.sped", "drive.speed"),
        ("pully:wheel.rim", "pulley:wheel.rim"),
    ],
)  # fmt: skip
def test_a_misspelt_key_gets_the_nearest(box_wheel, typed, offered):
    with pytest.raises(SearchError, match=f'did you mean .*"{offered}"'):
        get(box_wheel, typed)


def test_a_wrong_number_of_a_known_part_lists_what_it_has(box_wheel):
    with pytest.raises(SearchError, match=r'"hub no. 2" has: .*depth.*offset.*pitch.*radius'):
        get(box_wheel, "hub no. 2.colour")


def test_nothing_like_it_says_so(box_wheel):
    with pytest.raises(SearchError, match=r'no number "qqqq"$'):
        get(box_wheel, "qqqq")


def test_what_the_file_leaves_out_can_be_set_but_not_read(box_wheel):
    with pytest.raises(SearchError, match="says nothing about"):
        get(box_wheel, "second band.slip")
    assert get(put(box_wheel, {"second band.slip": 0.02}), "second band.slip") == 0.02


def test_same_names_need_the_kind(odd_names):
    with pytest.raises(SearchError, match=r'"shaft:spindle.diameter" or "band:spindle.diameter"'):
        get(odd_names, "spindle.diameter")
    assert get(odd_names, "shaft:spindle.diameter") == 8.0
    assert get(odd_names, "band:spindle.diameter") == 2.0


def test_a_part_named_like_a_key_does_not_hide_it(odd_names):
    assert get(odd_names, "spindle.at.x") == 0.0
    assert get(odd_names, "spindle.at.at.x") == 200.0
    assert get(odd_names, "pulley:drive.rim") == 100.0
    assert get(odd_names, "pulley:pulley:drive.rim") == 20.0
    with pytest.raises(SearchError, match=r'"pulley:drive.radius" or "drive:radius"'):
        get(odd_names, "drive.radius")
    assert get(odd_names, "drive:radius") == 65.0


def test_twist_is_said_once(box_wheel):
    factor = put(box_wheel, {"yarn.twist_factor": 134.0})
    assert (factor.yarn.twist_factor, factor.yarn.turns_per_metre) == (134.0, None)
    turns = put(factor, {"yarn.turns_per_metre": 900.0})
    assert (turns.yarn.twist_factor, turns.yarn.turns_per_metre) == (None, 900.0)


def test_nearest_keys_come_best_first():
    assert nearest_keys("whorl.rim", ["wheel.rim", "whorl.rim", "case"])[0] == "whorl.rim"
    assert nearest_keys("zzz", ["wheel.rim"]) == []
