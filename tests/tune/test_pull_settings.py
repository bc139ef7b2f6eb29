"""What is set by hand for another yarn, and what the work of making a part counts for."""

from __future__ import annotations

from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.tune.labour import labour_h
from wheelgeo.tune.pull_settings import least_pull_set

DESIGNS = Path(__file__).parents[2] / "designs"


def rules(findings):
    return {f.rule for f in findings if f.level != "note"}


def test_a_brake_is_eased_for_a_finer_yarn():
    # Singles of wool bear force in proportion to their mass per length: 6.1 N at 6 Nm, 0.92 N at
    # 40 Nm, and a third of that draws in no more on the full bobbin, where 0.3 N at 75 mm are
    # 11.25 mN m: 0.45 N at a groove of 50 mm, and 2 % more.
    wheel = wheelgeo.load(DESIGNS / "braked-bobbin-wheel.toml")
    assert "yarn-breaks" in rules(wheel.put("yarn.count", "40 Nm").check().findings)
    answer = wheel.retune(count="40 Nm", only=["flyer whorl"], most=2)
    for told in (answer.without_change.same_speed_settings, answer.options[0].settings):
        (eased,) = (s for s in told if s.what == "drag 1.pull")
        assert (eased.from_, eased.unit) == (0.8, "N")
        assert 0.45 <= eased.to <= 0.47
    assert "yarn-breaks" not in answer.without_change.same_speed_warnings
    option = answer.options[0]
    assert option.wheel.get("drag 1.pull") == pytest.approx(eased.to)
    assert "yarn-breaks" not in rules(option.wheel.check().findings)


def test_a_band_is_slackened_by_letting_its_slide_in():
    # The cord stays as it was cut: it is the shaft that moves.
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    way = wheel.retune(count="20 Nm", only=["bobbin whorl", "flyer whorl"], most=2).without_change
    told = {s.what: (s.from_, s.to) for s in way.same_speed_settings}
    assert set(told) == {"flyer.travel", "double band.pull"}
    slackened = wheel.put({"yarn.count": "20 Nm", "yarn.turns_per_metre": 402})
    tight = slackened.check()
    assert "slips-too-hard" in rules(tight.findings)
    assert told["double band.pull"][1] < told["double band.pull"][0] == 2.0
    assert told["flyer.travel"][1] < told["flyer.travel"][0] == 10.0
    # By hand: so much of the stretch as of the pull is left (Hooke), and the path is shorter by it.
    set_so = slackened.put("flyer.travel", told["flyer.travel"][1])
    path, was = (w.solve()["double band.length"] for w in (set_so, wheel))
    left = told["double band.pull"][1] / 2.0
    # A pull is told to 0.01 N, which is 0.1 mm of this path.
    assert (was / 1.005) * (1.0 + 0.005 * left) == pytest.approx(path, abs=0.15)
    eased = set_so.put("double band.pull", told["double band.pull"][1])
    assert "slips-too-hard" not in rules(eased.check().findings)


def test_a_brake_is_eased_to_a_third_of_what_the_yarn_bears():
    # 20 Nm of wool bears 11 cN/tex x 50 tex / 3 = 1.83 N; a third of it on the core of 28 mm is
    # 8.56 mN m, but a full bobbin of 40 mm is drawn in by 6 mN m: 0.34 N at a groove of 50 mm.
    wheel = wheelgeo.load(DESIGNS / "braked-bobbin-wheel.toml").put("bobbin.full", 40.0)
    way = wheel.retune(count="20 Nm", only=["flyer whorl"], most=1).without_change
    (eased,) = way.same_speed_settings
    assert eased.to == pytest.approx(1.8333 / 3.0 * 28.0 / 50.0, abs=0.006)
    assert "N (35 g)" in way.settings_in_words() or "N (34 g)" in way.settings_in_words()


@pytest.mark.parametrize(("name", "pull"), [("braked-bobbin", "drag 1"), ("flyer", "double band")])
def test_a_yarn_that_no_pull_suits_asks_for_a_thicker_core(name, pull):
    # 60 Nm bears 0.61 N on the core of 28 mm; 0.3 N on 75 mm asks 0.80 N there: 37 mm at least.
    wheel = wheelgeo.load(DESIGNS / f"{name}-wheel.toml")
    way = wheel.retune(count="60 Nm", only=["flyer whorl"], most=1).without_change
    told = {s.what: s.to for s in way.same_speed_settings}
    assert 75.0 * 0.3 / 0.611 <= told["bobbin.empty"] <= 40.0
    assert f"{pull}.pull" in told
    assert "pad the core of the empty bobbin from 28 to" in way.settings_in_words()
    pulls = {"yarn-breaks", "slips-too-hard", "draws-in-weakly"}
    assert not pulls & {*way.same_speed_warnings, *way.same_speed_faults}


def test_a_larger_whorl_does_not_pull_its_band_tighter():
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    option = wheel.retune(count="4 Nm", only=["flyer whorl"], most=1).options[0]
    assert [s.what for s in option.settings] == ["flyer.travel"]
    (band,) = option.bands
    assert not band.remade
    assert band.pull_n == pytest.approx(band.pull_was_n, rel=0.05)


def test_a_whorl_comes_before_a_wheel_and_a_disc_between():
    # An hour, half a day, two days: common practice, no source.
    assert [labour_h(rim) for rim in (12.0, 100.0, 180.0, 250.5, 1100.0)] == [1, 1, 4, 16, 16]
    options = wheelgeo.load(DESIGNS / "flyer-wheel.toml").retune(count="4 Nm").options
    sound = [o for o in options if not o.faults and not o.warnings]
    hours = {tuple(c.what for c in o.changes): o.labour_hours for o in sound}
    assert hours["flyer whorl.rim",] == 1.0
    assert hours["back groove.rim", "front groove.rim"] == 16.0
    assert [o.labour_hours for o in sound] == sorted(o.labour_hours for o in sound)
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    bought = wheel.retune(count="4 Nm", whorls="70, 74, 78 mm").options
    assert {o.labour_hours for o in bought} == {0.0}


def test_a_brake_is_eased_to_the_least_that_draws_in_where_it_makes_the_wheel_heavy():
    # The same torque: 0.3 N at the full bobbin, and what the groove of the brake then holds.
    wheel = wheelgeo.load(DESIGNS / "braked-flyer-wheel.toml").put("yarn.count", "8 Nm")
    found = wheel.put("bobbin whorl.rim", "34.5 mm").check().findings
    eased = least_pull_set(wheel.design, found)
    assert eased is not None
    (told,) = eased[1]
    groove, full = wheel.get("drag 1.diameter"), wheel.get("bobbin.full")
    assert told.what == "drag 1.pull"
    assert told.after == pytest.approx(0.3 * full / groove, rel=0.03)
    assert told.after * groove / full >= 0.3
    assert least_pull_set(eased[0], found) is None
    assert least_pull_set(wheel.design, ()) is None
