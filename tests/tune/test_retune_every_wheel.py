"""Every way that ``retune`` advises, on every shipped wheel: written, it is what was printed."""

from __future__ import annotations

import math
import re
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.errors import SearchError

LADDER = (10, 16, 24, 40, 60, 80, 120, 160)
"""Counts, Nm."""
WHEELS = sorted((Path(__file__).parents[2] / "designs").glob("*.toml"))


def ways(path, count, most):
    wheel = wheelgeo.load(path)
    try:
        return wheel, wheel.retune(count=f"{count} Nm", most=most).options
    except SearchError as told:
        pytest.skip(str(told))


def holds_what_was_printed(path, count, folder, most=6):
    wheel, options = ways(path, count, most)
    before = wheel.solve().wind_on
    for number, option in enumerate(options, start=1):
        file = folder / f"{number}.toml"
        option.wheel.save(file)
        written = wheelgeo.load(file)
        answer = written.check()
        assert answer.ratio == pytest.approx(option.ratio, rel=1e-12)
        levels = {
            level: tuple(dict.fromkeys(f.rule for f in answer.findings if f.level == level))
            for level in ("fault", "warning")
        }
        assert levels == {"fault": option.faults, "warning": option.warnings}
        for band in option.bands:
            length = answer[f"{band.name}.length"] if band.length_mm is not None else None
            assert length == (None if length is None else pytest.approx(band.length_mm, abs=1e-6))
        after = answer.wind_on
        if before is not None and after is not None:
            assert after.leads != "neither" or option.faults
            told = None if option.lead is None else (option.lead.from_, option.lead.to)
            changed = before.leads != after.leads
            assert told == ((before.leads, after.leads) if changed else None)
    soundness = [2 if o.faults else 1 if o.warnings else 0 for o in options]
    assert soundness == sorted(soundness)


ONE_OF_A_KIND = ("parallel-box-wheel", "flyer-wheel", "braked-bobbin-wheel", "braked-flyer-wheel")
"""A wheel with a tip and three kinds of flyer; all wheels and counts are a long form."""


@pytest.mark.parametrize(
    "path", [w for w in WHEELS if w.stem in ONE_OF_A_KIND], ids=lambda p: p.stem
)
def test_one_count(path, tmp_path):
    holds_what_was_printed(path, LADDER[WHEELS.index(path) % len(LADDER)], tmp_path, most=3)


@pytest.mark.long
@pytest.mark.parametrize("count", LADDER)
@pytest.mark.parametrize("path", WHEELS, ids=lambda p: p.stem)
def test_the_whole_ladder(path, count, tmp_path):
    holds_what_was_printed(path, count, tmp_path)


@pytest.mark.parametrize(
    "name", ["flyer-wheel", pytest.param("two-band-wheel", marks=pytest.mark.long)]
)
def test_both_whorls_are_made_in_proportion(name):
    # The bobbin runs ahead by the ratio of the two whorls; made alone, the flyer's would pass it.
    path = next(p for p in WHEELS if p.stem == name)
    wheel = wheelgeo.load(path)
    options = wheel.retune(count="12 Nm").options
    pair = next(o for o in options if {c.what for c in o.changes} == {
        "flyer whorl.rim", "bobbin whorl.rim"
    })  # fmt: skip
    assert pair.lead is None
    assert pair.parts_made == 2
    states = [w.solve().wind_on.empty for w in (wheel, pair.wheel)]
    ahead = [s.bobbin_turns_per_drive_turn / s.flyer_turns_per_drive_turn for s in states]
    assert ahead[1] - 1.0 == pytest.approx(ahead[0] - 1.0, rel=0.25)
    # One slide carries both shafts: it is told once, by the one that the other turns on.
    assert [s.what for s in pair.settings] == ["flyer.travel"]
    alone = [o for o in options if [c.what for c in o.changes] == ["flyer whorl.rim"]]
    assert all(o.lead is not None or o.faults for o in alone)
    assert options.index(pair) < options.index(alone[0])


def test_a_braked_flyer_is_retuned_at_the_share_that_the_new_twist_gives_it():
    # The bobbin draws the flyer: it turns 1/(1 + (1000/twist)/(pi d)) as often, which is another
    # share at 110 than at 170 turns to the metre. By hand, from the pitch circles of the file:
    wheel = wheelgeo.load(next(p for p in WHEELS if p.stem == "braked-flyer-wheel"))
    answer = wheel.retune(count="6 Nm", step="0.1 mm")
    twist, empty = 110.0 * math.sqrt(6.0 / 2.5), math.pi * wheel.design.bobbin.empty_mm

    def ratio(whorl_pitch, turns):
        share = 1.0 / (1.0 + 1000.0 / turns / empty)
        return 0.98 * wheel.get("rim.pitch") / whorl_pitch * share

    pitch = wheel.get("bobbin whorl.pitch")
    wanted = ratio(pitch, 110.0) * math.sqrt(6.0 / 2.5)
    assert answer.ratio_needed == pytest.approx(wanted, rel=1e-9)
    first = next(o for o in answer.options if [c.what for c in o.changes] == ["bobbin whorl.rim"])
    rim = first.changes[0].to
    best = ratio(pitch, twist) / wanted * pitch + wheel.get("bobbin whorl.rim") - pitch
    assert rim == pytest.approx(best, abs=0.05 + 1e-9)
    # A draw of the wheel as it is takes the turns that its file says with the new yarn in it.
    turns = twist * wheel.design.yarn.draw_mm / 1000.0 / ratio(pitch, twist)
    assert answer.without_change.drive_turns_per_draw == pytest.approx(turns, rel=1e-9)
    now = wheel.design.drive.speed_rpm
    assert answer.without_change.hand_speed_rpm == round(now * wanted / ratio(pitch, twist))


@pytest.mark.parametrize(
    ("name", "wish", "words"),
    [
        # A coarser yarn at the same speed takes a faster draft: 4 Nm for 6 takes sqrt(4/6) of the
        # twist, 1.22 times the yarn in the same turns.
        (
            "flyer-wheel", {"count": "4 Nm"},
            "turn the wheel at 49 rpm, or draft 1.22 times faster at the same speed",
        ),
        # At 31 rpm this wheel stands still at its dead points: the faster draft comes first.
        (
            "floor-wheel", {"twist": "S", "turns_per_metre": 156.0},
            "draft 1.79 times faster at the same speed, or turn the wheel at 31 rpm",
        ),
        # sqrt(12/6) of the twist over twice the draw: no foot keeps up 2.83 times 60 rpm.
        (
            "flyer-wheel", {"count": "12 Nm", "draw": "600 mm"},
            "draft 2.83 times slower at the same speed (the time of a draw would take 170 rpm; "
            "100 rpm can be kept up)",
        ),
        ("flyer-wheel", {"twist": "S"}, "turn and draft as now"),
        # sqrt(0.1/44) of the twist: so slow a hand is not told as 3 rpm, nor a slower one as 0
        (
            "box-wheel", {"count": "0.1 Nm"},
            "turn the crank at 2.9 rpm, or draft 20.98 times faster at the same speed",
        ),
    ],
)  # fmt: skip
def test_what_can_be_done_without_a_change_is_told(name, wish, words):
    wheel = wheelgeo.load(next(p for p in WHEELS if p.stem == name))
    whorl = [p.name for p in wheel.design.pulleys if "whorl" in p.name][:1]
    answer = wheel.retune(**wish, most=1, only=whorl, step="10 mm")
    way = answer.without_change
    assert way.ways_in_words() == words
    assert way.enough is ("slower" not in words)
    assert ("cadence" in way.warnings) is ("kept up" in words)
    assert "cadence" not in way.same_speed_warnings


@pytest.mark.parametrize("name", ["braked-flyer-wheel", "two-band-wheel", "parallel-box-wheel"])
def test_what_a_way_sets_is_what_a_hand_can_set_and_what_is_told(name, tmp_path):
    """No number of a written way has more figures than anybody measures; its file says the same."""
    path = next(p for p in WHEELS if p.stem == name)
    wheel = wheelgeo.load(path)
    answer = wheel.retune(turns_per_metre=1.3 * wheel.solve().twist.turns_per_metre)
    turned = next(w for w in answer.without_change.ways() if w.says.startswith("turn"))
    told = [(turned.wheel, turned.says.split(" at ")[1])]
    told += [(one.wheel, one) for one in answer.options]
    for made, said in told:
        made.save(tmp_path / "way.toml")
        text = (tmp_path / "way.toml").read_text()
        places = [line for line in text.splitlines() if re.match("at|slide|speed", line)]
        assert not re.search(r"\d\.\d{3,}", "\n".join(places)), places
        read = wheelgeo.load(tmp_path / "way.toml").solve()
        if isinstance(said, str):
            assert f'speed = "{said}"' in text
            continue
        assert read.ratio == pytest.approx(said.ratio, rel=1e-12)
        for band in said.bands:
            assert read[f"{band.name}.length"] == pytest.approx(band.length_mm, abs=1e-9)


@pytest.mark.parametrize(
    ("name", "times", "wish"),
    [
        ("travel", 1.2, {}), ("travel", 1.2, {"count": "60 Nm"}),
        ("travel", 1.2, {"turns_per_metre": 1000.0}), ("travel", None, {"count": "60 Nm"}),
        ("travel", 1.2, {"draw": "700 mm", "hand_speed": "60 rpm"}),
        ("braked-flyer", 1.1, {}), ("flyer", 0.9, {"count": "8 Nm"}),
    ],
)  # fmt: skip
def test_twist_turns_and_time_of_each_way_are_those_that_its_wheel_has(name, times, wish):
    wheel = wheelgeo.load(WHEELS[0].with_name(f"{name}-wheel.toml"))
    now = wheel.solve()
    asked = None if times is None else times * now.ratio
    found = wheel.retune(**wish, ratio=asked, most=4)
    without, wanted = found.without_change, found.turns_per_metre_wanted
    assert found.options
    if times is not None:
        assert (found.ratio_asked, found.ratio_needed) == (True, asked)
    rhythm = now.twist.drive_turns_per_draw / wheel.design.drive.speed_rpm
    if times is not None and "turns_per_metre" not in wish:
        # the yarn is as asked, and its twist what the ratio brings in the time of a draw
        longer = float(wish.get("draw", "1").split()[0]) / (500.0 if "draw" in wish else 1.0)
        faster = 60.0 / wheel.design.drive.speed_rpm if "hand_speed" in wish else 1.0
        assert wanted == pytest.approx(now.twist.turns_per_metre * times * faster / longer)
        assert found.twist_follows
    for option in found.options:
        solved = option.wheel.solve()
        own = option.turns_per_metre if found.twist_follows else wanted
        assert solved.ratio == option.ratio
        assert solved.twist.turns_per_metre == pytest.approx(own, rel=1e-3)
        if found.twist_follows and option.wheel.design.spindle.kind == "tip":
            took = solved.twist.drive_turns_per_draw / option.wheel.design.drive.speed_rpm
            assert took == pytest.approx(rhythm, rel=1e-3)
    for way in without.ways():
        solved, speed = way.wheel.solve().twist, way.wheel.design.drive.speed_rpm
        assert solved.turns_per_metre == pytest.approx(wanted, rel=1e-3)
        assert without.drive_turns_per_draw == pytest.approx(solved.drive_turns_per_draw, rel=1e-3)
        seconds = 60.0 * solved.drive_turns_per_draw / speed
        assert way.draw_seconds == pytest.approx(seconds, rel=1e-3)
        if way.says.startswith("draft"):
            told = float(way.says.split()[1])
            longer = seconds / (60.0 * rhythm)
            assert told == pytest.approx(max(longer, 1.0 / longer), abs=0.006)
