"""Flyer wheels through the front door: wind-on worked by hand for each of the four kinds.

With both driven, take-in is |bobbin/flyer - 1| pi d for a turn of the flyer; with a brake it is
what the wanted twist makes, 1000 mm over the turns per metre.
"""

import math
from pathlib import Path

import pytest

import wheelgeo

DESIGNS = Path(__file__).resolve().parents[2] / "designs"


def load(name):
    return wheelgeo.load(DESIGNS / f"{name}.toml")


def pitch(wheel, pulley):
    return wheel.get(f"{pulley}.pitch")


@pytest.mark.parametrize(
    ("name", "by", "leads"),
    [
        ("flyer-wheel", "double band", "bobbin"),
        ("two-band-wheel", "two bands", "bobbin"),
        ("braked-bobbin-wheel", "bobbin brake", "flyer"),
        ("braked-flyer-wheel", "flyer brake", "bobbin"),
    ],
)
def test_each_kind_is_known_by_its_file(name, by, leads):
    wind_on = load(name).solve().wind_on
    assert (wind_on.by, wind_on.leads) == (by, leads)


@pytest.mark.parametrize("name", ["flyer-wheel", "two-band-wheel"])
def test_both_driven_by_hand(name):
    wheel = load(name)
    wind_on = wheel.solve().wind_on
    rim = pitch(wheel, "back groove")
    flyer, bobbin = rim / pitch(wheel, "flyer whorl"), rim / pitch(wheel, "bobbin whorl")
    for at, diameter in ((wind_on.empty, 28.0), (wind_on.full, 75.0)):
        assert at.bobbin_diameter_mm == diameter
        assert at.flyer_turns_per_drive_turn == pytest.approx(flyer, rel=1e-12)
        assert at.bobbin_turns_per_drive_turn == pytest.approx(bobbin, rel=1e-12)
        take_in = abs(bobbin / flyer - 1) * math.pi * diameter
        assert at.take_in_mm_per_flyer_turn == pytest.approx(take_in, rel=1e-12)
        assert at.least_turns_per_metre == pytest.approx(1000 / take_in, rel=1e-12)
        assert at.slip_share == pytest.approx(1 - (1000 / 220) / take_in, rel=1e-12)
        assert at.yarn_pull_n is None


def test_braked_bobbin_by_hand():
    wheel = load("braked-bobbin-wheel")
    answer = wheel.solve()
    flyer = pitch(wheel, "rim") / pitch(wheel, "flyer whorl")
    for at, diameter in ((answer.wind_on.empty, 28.0), (answer.wind_on.full, 75.0)):
        assert at.flyer_turns_per_drive_turn == pytest.approx(flyer, rel=1e-12)
        behind = (1000 / 220) / (math.pi * diameter)
        assert at.bobbin_turns_per_drive_turn == pytest.approx(flyer * (1 - behind), rel=1e-12)
        assert at.take_in_mm_per_flyer_turn == pytest.approx(1000 / 220)
        assert at.yarn_pull_n == pytest.approx(0.8 * 25 / (diameter / 2))
        assert (at.slip_share, at.least_turns_per_metre) == (None, None)
    assert answer.ratio_without_slip == pytest.approx(flyer)


def test_braked_flyer_by_hand():
    wheel = load("braked-flyer-wheel")
    answer = wheel.solve()
    bobbin = pitch(wheel, "rim") / pitch(wheel, "bobbin whorl")
    for at, diameter in ((answer.wind_on.empty, 40.0), (answer.wind_on.full, 110.0)):
        part = (1000 / 110) / (math.pi * diameter)
        assert at.bobbin_turns_per_drive_turn == pytest.approx(bobbin, rel=1e-12)
        assert at.flyer_turns_per_drive_turn == pytest.approx(bobbin / (1 + part), rel=1e-12)
        assert at.yarn_pull_n == pytest.approx(3 * 15 / (diameter / 2))
    empty = answer.wind_on.empty.flyer_turns_per_drive_turn
    assert answer.ratio_without_slip == pytest.approx(empty, rel=1e-12)
    assert answer.ratio == pytest.approx(0.98 * empty, rel=1e-12)  # the band slips 2 %


def test_the_brake_loads_the_driven_one():
    """Work of a turn: what the driven shaft gives goes into yarn and brake, whatever the bobbin."""
    for name, driven, brake_nm in (
        ("braked-bobbin-wheel", "flyer", 0.8 * 0.025),
        ("braked-flyer-wheel", "bobbin", 3 * 0.015),
    ):
        wheel = load(name)
        shafts = {s.name: s for s in wheel.run().load.shafts}
        assert shafts[driven].yarn_nm == pytest.approx(brake_nm)
        at = wheel.solve().wind_on.empty
        turn = math.tau * at.flyer_turns_per_drive_turn, math.tau * at.bobbin_turns_per_drive_turn
        given = brake_nm * (turn[0] if driven == "flyer" else turn[1])
        braked = brake_nm * (turn[1] if driven == "flyer" else turn[0])
        yarn_in = at.take_in_mm_per_flyer_turn / 1000 * at.flyer_turns_per_drive_turn
        assert given == pytest.approx(braked + at.yarn_pull_n * yarn_in, rel=1e-9)


def test_equal_speeds_are_a_fault_and_the_remedy_parts_them():
    wheel = load("flyer-wheel").put("bobbin whorl.rim", 62)
    (fault,) = [f for f in wheel.solve().findings if f.rule == "equal-speeds"]
    assert fault.level == "fault"
    mended = fault.remedy.apply()
    assert "equal-speeds" not in {f.rule for f in mended.solve().findings}
    assert mended.solve().wind_on.leads != "neither"


def test_a_near_miss_of_equal_speeds_takes_in_too_slowly():
    wheel = load("flyer-wheel").put("bobbin whorl.rim", 61.5)
    rules = {f.rule for f in wheel.solve().findings if f.level == "fault"}
    assert "takes-in-too-slowly" in rules
    assert "equal-speeds" not in rules
    (fault,) = [f for f in wheel.solve().findings if f.rule == "takes-in-too-slowly"]
    assert "takes-in-too-slowly" not in {f.rule for f in fault.remedy.apply().solve().findings}
    # What is wanted is what the file says, whatever comes out at the least.
    assert fault.value == 220.0
    assert fault.limit == pytest.approx(wheel.solve().wind_on.empty.least_turns_per_metre)
    assert "220 are wanted" in fault.says


@pytest.mark.parametrize(("slip", "sides"), [(0.1, None), (0.14, 1), (0.2, -1)])
def test_bands_that_slip_differently_take_the_lead(slip, sides):
    # By hand: a bobbin that leads by b/f runs, with 2 % of slip and s of its own, at
    # (b/f)(1 - s)/0.98 of the flyer; what it is ahead goes round a core of 28 mm, and 1000/220 mm
    # a turn are made.
    wheel = load("two-band-wheel").put("bobbin band.slip", slip)
    found = [f for f in wheel.check().findings if f.rule == "slip-takes-lead"]
    at = wheel.solve().wind_on.empty
    lead = at.bobbin_turns_per_drive_turn / at.flyer_turns_per_drive_turn
    left = (lead * (1.0 - slip) / 0.98 - 1.0) * math.pi * 28.0
    assert (left > 1000.0 / 220.0) is (sides is None)
    assert (wheel.run().flyer is None) is (sides is not None)
    if sides is None:
        assert found == []
        return
    (fault,) = found
    assert fault.level == "fault"
    assert fault.value == pytest.approx(left, rel=1e-9)
    assert fault.limit == pytest.approx(1000.0 / 220.0)
    assert ("the flyer lead" in fault.says) is (sides < 0)
    assert "slip-takes-lead" not in {f.rule for f in fault.remedy.apply().check().findings}


@pytest.mark.parametrize(
    # 166.7 tex of wool: 11 to 14 cN/tex, of which singles bear a third to a half: 6.1 to 11.7 N.
    ("pull", "level"), [("0.8 N", None), ("4.5 N", "warning"), ("8 N", "fault")]
)
def test_a_brake_that_breaks_the_yarn_is_told(pull, level):
    text = (DESIGNS / "braked-bobbin-wheel.toml").read_text().replace('"0.8 N"', f'"{pull}"')
    found = {f.rule: f.level for f in wheelgeo.read(text).solve().findings}
    assert found.get("yarn-breaks") == level


def test_without_a_bobbin_it_is_null_with_a_note():
    text = (DESIGNS / "flyer-wheel.toml").read_text()
    cut = text[: text.index("[bobbin]")] + text[text.index("[yarn]") :]
    answer = wheelgeo.read(cut).solve()
    assert answer.to_json()["wind_on"] is None
    assert [f.level for f in answer.findings if f.rule == "wind-on-unknown"] == ["note"]


def test_a_tip_spindle_has_none():
    answer = load("box-wheel").solve()
    assert answer.to_json()["wind_on"] is None
    assert "wind-on-unknown" not in {f.rule for f in answer.findings}


def test_turned_the_other_way_it_winds_on_alike():
    wheel = load("flyer-wheel")
    text = wheel.to_toml().replace('turns = "clockwise"', 'turns = "counter-clockwise"')
    one, other = wheel.solve().wind_on, wheelgeo.read(text).solve().wind_on
    assert one.empty == other.empty
    assert one.full == other.full


@pytest.mark.parametrize(("turns_per_metre", "told"), [(12, False), (11, True)])
def test_a_twist_that_would_turn_the_bobbin_backwards_is_a_fault(turns_per_metre, told):
    # The bare core's girth is pi 28 mm = 87.96 mm: less than 11.37 turns to the metre make more.
    text = (DESIGNS / "braked-bobbin-wheel.toml").read_text()
    text = text.replace("turns_per_metre = 220", f"turns_per_metre = {turns_per_metre}")
    answer = wheelgeo.read(text).solve()
    faults = {f.rule for f in answer.findings if f.level == "fault"}
    assert ("bobbin-backwards" in faults) is told
    assert (answer.wind_on.empty.bobbin_turns_per_drive_turn < 0) is told


def test_a_bobbin_without_band_or_brake_is_null_with_a_note_that_says_so():
    text = (DESIGNS / "braked-bobbin-wheel.toml").read_text()
    answer = wheelgeo.read(text[: text.index("[[drag]]")] + text[text.index("[yarn]") :]).solve()
    assert answer.to_json()["wind_on"] is None
    (note,) = [f for f in answer.findings if f.rule == "wind-on-unknown"]
    assert note.level == "note"
    assert "[[drag]]" in note.remedy.says


def test_a_sleeve_has_no_place_of_its_own():
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    with pytest.raises(wheelgeo.DesignError, match='runs on "flyer"'):
        wheel.put("bobbin.at.x", -400.0)
    moved = wheel.put("flyer.at.x", -425.0)
    assert moved.get("bobbin.at.x") == -425.0
    assert moved.put("bobbin.at.x", -425.0).design == moved.design


def test_a_hand_spindle_is_told_from_a_wheel():
    with pytest.raises(wheelgeo.DesignError, match=r"this is a hand spindle.*wheelgeo spindle"):
        wheelgeo.load(DESIGNS / "spindles" / "drop-spindle.toml")
