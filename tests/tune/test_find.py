"""Hide each number of a wheel in turn, solve for it, get it back."""

import math
from dataclasses import replace as with_changes
from pathlib import Path

import pytest

from wheelgeo.design.model import (
    Band,
    Design,
    Drive,
    GivenPitch,
    Pulley,
    Shaft,
    Slide,
    Spindle,
    Stop,
)
from wheelgeo.design.reader import read_design
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import DesignError, SearchError
from wheelgeo.numbers.inputs import get, inputs, put
from wheelgeo.numbers.results import find_result, number_of, results
from wheelgeo.tune.find import EXACT, NoAnswer, find, given
from wheelgeo.yarn.head_at_work import flyer_at_work
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on

DESIGNS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))
AIMS = ("ratio", ".speed", ".turns_per_draw", ".cut_length", ".length", ".arriving", ".wrap")
"""What each unknown is solved for, in this order of preference, where it has a part in it."""


def _moved(parameter, share=0.02):
    """Another value of a parameter, a little off; None where it has nowhere to go."""
    value = parameter.value
    if parameter.low == parameter.high:
        return None
    wide = parameter.high - parameter.low
    step = share * (abs(value) if wide > 1e5 else wide)
    for candidate in (value + (step or 1.0), value - (step or 1.0)):
        if parameter.low < candidate < parameter.high:
            return candidate
    return None


def _aims(design, parameter, moved):
    """Up to two targets in which a parameter has a part."""
    here, there = solve_drive(design), solve_drive(put(design, {parameter.key: moved}))
    found = []
    for ending in AIMS:
        for target in results(design):
            if target.key.endswith(ending):
                one, other = number_of(target, here), number_of(target, there)
                if abs(one - other) > 1e-6 * max(1.0, abs(one)):
                    found.append((target, one))
                    break
        if len(found) == 2:
            break
    return found


@pytest.mark.parametrize("every", [10, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("path", DESIGNS, ids=lambda p: p.stem)
def test_every_hidden_number_of_a_shipped_design_comes_back(path, every):
    """The short form hides every tenth, another tenth of each design."""
    design = read_design(path)
    solved = 0
    for parameter in inputs(design)[DESIGNS.index(path) % every :: every]:
        moved = None if parameter.value is None else _moved(parameter)
        if moved is None:
            continue
        try:
            hidden = put(design, {parameter.key: moved})
        except DesignError:
            continue  # such a wheel cannot exist: a crossed band on shafts that lean apart
        for target, wanted in _aims(design, parameter, moved):
            found = find(hidden, parameter.key, target.key, wanted)
            assert found.reached == pytest.approx(wanted, rel=EXACT, abs=EXACT), parameter.key
            assert number_of(target, solve_drive(found.design)) == found.reached
            scale = max(1.0, abs(parameter.value))
            answers = (found.value, *found.others)
            off = min(abs(a - parameter.value) for a in answers) / scale
            assert off < _uncertain(design, parameter, target), (parameter.key, target.key, answers)
            solved += 1
    assert solved >= 20 // every


def _uncertain(design, parameter, target):
    """How far off an answer may be (a fraction) when the result is met to its last digits."""
    scale = max(1.0, abs(parameter.value))
    here = number_of(target, solve_drive(design))
    step = 1e-4 * scale
    ahead, behind = (
        number_of(target, solve_drive(_put(design, parameter, parameter.value + s)))
        for s in (step, -step)
    )
    slope = abs(ahead - behind) / (2 * step)
    bend = abs(ahead + behind - 2 * here) / step**2
    error = 1e-11 * max(1.0, abs(here))
    return max(1e-9, min(error / max(slope, 1e-300), math.sqrt(error / max(bend, 1e-300))) / scale)


def _put(design, parameter, value):
    low, high = parameter.low, parameter.high
    return put(design, {parameter.key: min(max(value, low), high)})


def test_there_are_shipped_designs_to_hide_numbers_of():
    assert len(DESIGNS) >= 6


def test_ratio_by_a_pulley_in_closed_form(box_wheel):
    # ratio = (pitch of the wheel / pitch of the hub) 0.99 (121.2 / 9)
    wheel = find(box_wheel, "wheel.pitch", "ratio", 150.0)
    hub = get(box_wheel, "hub no. 2.pitch")
    assert wheel.value == pytest.approx(150.0 * hub / 0.99 * 9.0 / 121.2, rel=1e-9)
    assert find(box_wheel, "wheel.rim", "ratio", 150.0).value - get(box_wheel, "wheel.rim") == (
        pytest.approx(wheel.value - get(box_wheel, "wheel.pitch"), rel=1e-9)
    )


def test_a_groove_for_a_pitch_diameter_in_closed_form(box_wheel):
    # centre above the bottom: r / sin 20 - 0.25 / tan 20, r = 1.5; bottom = 180 - 2 depth
    half = math.radians(20.0)
    seat = 1.5 / math.sin(half) - 0.25 / math.tan(half)
    found = find(box_wheel, "wheel.depth", "wheel.pitch", 178.0)
    assert found.value == pytest.approx((180.0 + 2.0 * seat - 178.0) / 2.0, rel=1e-9)


def test_hand_speed_for_a_spindle_speed(box_wheel):
    now = solve_drive(box_wheel)
    found = find(box_wheel, "drive.speed", "spindle.speed", 9000.0)
    assert found.value == pytest.approx(9000.0 / now.ratio, rel=1e-9)
    assert found.before == pytest.approx(abs(now.spindle.speed_rpm))


def test_turns_of_the_hand_per_draw(box_wheel):
    ratio = solve_drive(box_wheel).ratio
    found = find(box_wheel, "yarn.draw", "drive.turns_per_draw", 4.0)
    assert found.value == pytest.approx(4.0 * ratio / 850.0 * 1000.0, rel=1e-9)


def _two_pulleys(distance, large, small):
    """An open belt in one plane."""
    slide = Slide((0.6, 0.8, 0.0), -5.0, 5.0)
    return Design(
        "Two pulleys", "mm", Drive("a", "crank", 60.0, "clockwise"),
        (
            Shaft("a", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), 8.0),
            Shaft("b", (distance, 0.0, 0.0), (0.0, 0.0, 1.0), 6.0, slide),
        ),
        (
            Pulley("one", "a", 0.0, GivenPitch(large)),
            Pulley("other", "b", 0.0, GivenPitch(small)),
        ),
        (Band("belt", (Stop("one"), Stop("other")), "leather cord", 3.0, stretch=0.02),),
        Spindle("b", "tip"),
    )  # fmt: skip


def test_place_of_a_shaft_for_a_belt_that_exists():
    # Budynas and Nisbett, Shigley's Mechanical Engineering Design, solutions to chapter 17: an open
    # belt on 18 and 6 in pulleys at 96 in is 230.074 in long. From that length, the distance.
    large, small, apart, inch = 18.0, 6.0, 96.0, 25.4
    design = _two_pulleys(80.0 * inch, large * inch, small * inch)
    assert find(design, "b.at.x", "belt.length", 230.074 * inch).value / inch == pytest.approx(
        96.0, abs=5e-4
    )
    lean = math.asin((large - small) / (2.0 * apart))
    arcs = (large * (math.pi + 2.0 * lean) + small * (math.pi - 2.0 * lean)) / 2.0
    exact = 2.0 * apart * math.cos(lean) + arcs
    found = find(design, "b.at.x", "belt.length", exact * inch)
    assert found.value / inch == pytest.approx(96.0, rel=1e-9)
    assert found.others[0] / inch == pytest.approx(-96.0, rel=1e-9)


def test_cut_length_allows_for_the_stretch():
    design = _two_pulleys(500.0, 100.0, 20.0)
    length = number_of(find_result(design, "belt.length"), solve_drive(design))
    found = find(design, "belt.stretch", "belt.cut_length", length / 1.035)
    assert found.value == pytest.approx(0.035, rel=1e-9)


def test_a_belt_that_only_just_lies_flat_touches_its_answer():
    # Out of plane either way the belt grows longer: its length at offset 0 is a least length, met
    # without a change of sign.
    design = _two_pulleys(500.0, 100.0, 20.0)
    least = number_of(find_result(design, "belt.length"), solve_drive(design))
    found = find(put(design, {"other.offset": 3.0}), "other.offset", "belt.length", least)
    assert found.value == pytest.approx(0.0, abs=1e-3)
    assert found.reached == pytest.approx(least, rel=1e-9)


def test_arriving_in_the_mid_plane(box_wheel):
    found = find(box_wheel, "whorl.offset", "whorl.arriving", 0.0)
    band = solve_drive(found.design).band("second band")
    assert band.path.arriving_deg(1) == pytest.approx(0.0, abs=1e-9)


def test_backing_off_arrives_where_spinning_left(box_wheel):
    path = solve_drive(box_wheel).band("second band").path
    found = number_of(find_result(box_wheel, "whorl.arriving_back"), solve_drive(box_wheel))
    assert found == pytest.approx(-path.leaving_deg(1))
    turned = with_changes(box_wheel, drive=with_changes(box_wheel.drive, turns="counter-clockwise"))
    backwards = number_of(find_result(turned, "whorl.arriving"), solve_drive(turned))
    assert found == pytest.approx(backwards, abs=1e-9)


def test_slide_travel_stays_within_the_slide():
    design = _two_pulleys(500.0, 100.0, 20.0)
    here = number_of(find_result(design, "belt.length"), solve_drive(design))
    assert 0.0 < find(design, "b.travel", "belt.length", here + 3.0).value < 10.0
    with pytest.raises(NoAnswer, match="cannot be more than 10 mm") as caught:
        find(design, "b.travel", "belt.length", here + 100.0)
    assert caught.value.nearest == pytest.approx(10.0, abs=1e-6)
    assert here < caught.value.reached < here + 100.0


def test_shafts_that_share_a_slide_move_together():
    flyer = read_design(next(p for p in DESIGNS if p.stem == "flyer-wheel"))
    length = number_of(find_result(flyer, "double band.length"), solve_drive(flyer))
    both = find(
        flyer, "flyer.travel", "double band.length", length + 20.0, together=["bobbin.travel"]
    )
    assert both.design.shaft("flyer").at_mm == pytest.approx(both.design.shaft("bobbin").at_mm)
    assert both.reached == pytest.approx(length + 20.0, rel=1e-9)
    alone = find(flyer, "flyer.travel", "double band.length", length + 20.0)
    assert alone.value == pytest.approx(both.value)  # one slide: the bobbin goes with the flyer
    assert alone.design == both.design


def test_why_there_is_no_answer(box_wheel):
    with pytest.raises(NoAnswer, match=r'"whorl.offset" has no part in it; it stays 14') as caught:
        find(box_wheel, "whorl.offset", "ratio", 150.0)
    assert caught.value.reached == pytest.approx(solve_drive(box_wheel).ratio)


def test_what_cancels_only_together_names_what_it_is_changed_with():
    box = read_design(next(p for p in DESIGNS if p.stem == "box-wheel"))
    says = 'changed together with "hub.rim", "wheel.rim" has no part in it; it stays 10.8'
    with pytest.raises(NoAnswer, match=says):
        find(box, "wheel.rim", "ratio", 140.0, ["hub.rim"])


def test_only_wheels_that_can_exist_are_tried():
    """As small as the whorl is today the hub would lie inside its rod: that is no way to begin."""
    box = read_design(next(p for p in DESIGNS if p.stem == "box-wheel"))
    with pytest.raises(NoAnswer, match="the nearest is 122") as caught:
        find(box, "whorl.rim", "ratio", 140.0, ["hub.rim"])
    nearest = caught.value.nearest
    put(box, {"hub.rim": nearest, "whorl.rim": nearest})
    with pytest.raises(DesignError):
        put(box, {"hub.rim": nearest - 0.01, "whorl.rim": nearest - 0.01})
    found = find(box, "whorl.rim", "ratio", 100.0, ["hub.rim"])
    both = [p.groove.size_mm for p in found.design.pulleys if p.name in ("hub", "whorl")]
    assert both == [found.value, found.value]
    assert found.reached == pytest.approx(100.0, rel=1e-9)


def test_the_nearest_there_is(box_wheel):
    with pytest.raises(NoAnswer, match="the nearest is") as caught:
        find(box_wheel, "spindle.at.y", "second band.length", 100.0)
    nearest = find(box_wheel, "spindle.at.y", "second band.length", caught.value.reached + 1e-4)
    assert nearest.value == pytest.approx(caught.value.nearest, abs=2.0)


def test_what_is_so_already_stays(box_wheel):
    ratio = solve_drive(box_wheel).ratio
    assert find(box_wheel, "whorl.offset", "ratio", ratio).value == 2.0
    assert find(box_wheel, "whorl.pitch", "ratio", ratio).value == pytest.approx(9.0, rel=1e-9)


def test_a_number_the_file_leaves_out_can_be_found(box_wheel):
    ratio = solve_drive(box_wheel).ratio
    found = find(box_wheel, "second band.slip", "ratio", 0.97 * ratio)
    assert found.value == pytest.approx(0.03, rel=1e-9)
    assert found.unknown.value is None


@pytest.mark.parametrize(
    ("unknown", "target", "wanted", "says"),
    [
        ("whorl.pich", "ratio", 150.0, "did you mean"),
        ("whorl.pitch", "ration", 150.0, 'did you mean "ratio"'),
        ("whorl.pitch", "ratio", math.nan, "cannot come to nan"),
        ("whorl.pitch", "ratio", math.inf, "cannot come to inf"),
        ("whorl.pitch", "qqq", 1.0, 'did you mean "ratio" or'),
    ],
)
def test_what_cannot_be_asked(box_wheel, unknown, target, wanted, says):
    with pytest.raises(SearchError, match=says):
        find(box_wheel, unknown, target, wanted)


def test_a_spindle_that_nothing_drives(box_wheel):
    alone = with_changes(box_wheel, bands=box_wheel.bands[:1])
    with pytest.raises(NoAnswer, match="none gives any") as caught:
        find(alone, "whorl.pitch", "ratio", 150.0)
    assert caught.value.nearest is None


def test_same_names_keep_their_targets_apart(odd_names):
    keys = [t.key for t in results(odd_names)]
    assert len(set(keys)) == len(keys)
    assert {"shaft:spindle.speed", "band:spindle.speed", "spindle.length"} <= set(keys)
    assert find(odd_names, "pulley:drive.rim", "shaft:spindle.at.speed", 320.0).reached == (
        pytest.approx(320.0)
    )


@pytest.mark.parametrize("wanted", [172.0, 176.0, 179.0])
def test_depth_for_a_pitch(box_wheel, wanted):
    found = find(box_wheel, "wheel.depth", "wheel.pitch", wanted)
    assert get(found.design, "wheel.pitch") == pytest.approx(wanted, abs=1e-9)


def test_a_band_for_a_position(box_wheel):
    found = given(box_wheel, "spindle.at.y", 180.0, "second band.length")
    moved = solve_drive(put(box_wheel, {"spindle.at.y": 180.0}))
    assert found.reached == moved.band("second band").path.length_mm
    assert found.before == solve_drive(box_wheel).band("second band").path.length_mm
    back = find(box_wheel, "spindle.at.y", "second band.length", found.reached)
    assert back.value == pytest.approx(180.0, rel=1e-9)


def test_no_band_for_a_position_where_none_runs(box_wheel):
    with pytest.raises(NoAnswer, match="there is no second band"):
        given(box_wheel, "spindle.at.y", 5.0, "second band.length")


def test_an_axis_that_lies_there_already_cannot_lean_further(box_wheel):
    with pytest.raises(SearchError, match="has no way to go from 90 deg"):
        find(box_wheel, "main.lean.z", "first band.length", 600.0)


def test_a_brake_for_a_pull_of_the_yarn():
    # A cord pulls with p at a groove of 50 mm; the full bobbin of 75 mm then pulls with p 50/75.
    braked = next(read_design(path) for path in DESIGNS if path.stem == "braked-bobbin-wheel")
    assert find(braked, "drag 1.pull", "yarn.pull_full", 0.4).value == pytest.approx(0.6)


def test_a_bands_pull_for_that_of_the_yarn():
    driven = next(read_design(path) for path in DESIGNS if path.stem == "flyer-wheel")
    made = find(driven, "double band.pull", "yarn.pull_empty", 3.0).design
    loaded = load_wheel(made)
    work = flyer_at_work(loaded, wheel_wind_on(loaded.solution))
    assert work.empty.yarn_pull_n == pytest.approx(3.0, rel=1e-9)
