"""The ways of retune, and what is laid over a wheel, are told as the library has them."""

import re
from dataclasses import replace

import pytest

import wheelgeo
from tests.page.conftest import DESIGNS
from tests.tune.test_whorl_moves import FAST
from wheelgeo.check.edits import edit
from wheelgeo.check.finding import Finding, Remedy, WorkedOut
from wheelgeo.page.desk import Desk
from wheelgeo.page.reading import BadAskError
from wheelgeo.page.told import ways_to_try
from wheelgeo.page.ways import way_told
from wheelgeo.tune.retune_answer import read_limits
from wheelgeo.units.written import thousands_apart

VIEWS = [{"name": name, "capital": 5.0} for name in ("plan", "side", "turned")]


def asking(name, folder, **wish):
    """A desk, what the page was told of a wish, and what the library answered."""
    desk, heard = Desk(folder), []
    desk.lay_file(DESIGNS / f"{name}-wheel.toml")
    with pytest.MonkeyPatch.context() as patch:
        whole = wheelgeo.Wheel.retune
        patch.setattr(
            wheelgeo.Wheel, "retune", lambda *a, **k: heard.append(whole(*a, **k)) or heard[0]
        )
        told = desk.ask("retune", {"wheel": "1", **wish})
    return desk, told, heard[0]


@pytest.fixture(scope="module")
def flyer(tmp_path_factory):
    return asking("flyer", tmp_path_factory.mktemp("flyer"), count="80 Nm")


@pytest.fixture(scope="module")
def travel(tmp_path_factory):
    return asking("travel", tmp_path_factory.mktemp("travel"), count="80 Nm")


def test_a_way_tells_its_work_its_bands_its_lead_and_what_is_set_by_hand(flyer):
    _, told, answer = flyer
    way, option = told["ways"][0], answer.options[0]
    assert way["does"] == ["Flyer whorl, diameter of the rim: 62 mm to 23 mm."]
    says = " ".join(way["tells"])
    assert f"Ratio {option.ratio:.2f}, {option.turns_per_metre:.0f} turns a metre, " in says
    assert "Work: 1 h." in says  # a whorl: labour_h
    assert "Lead: bobbin to flyer: wind the yarn off the bobbin before." in says
    (slid,) = option.settings
    assert f'slide "flyer" along its slide from {slid.from_:g} to {slid.to:g} mm' in says
    assert way["faulty"]
    rules = {thousands_apart(f.says) for f in option.findings if f.level != "note"}
    assert {one["says"] for one in way["see_to"]} == rules


def test_a_way_tells_how_near_it_comes_to_what_is_wanted(travel):
    _, told, answer = travel
    options = {way["number"]: answer.options[way["number"] - 1] for way in told["ways"]}
    assert told["yarn"] == "singles of 80 Nm (12.5 tex)"
    said = 0
    for way in told["ways"]:
        if way["pathless"]:
            continue
        off = 100.0 * (options[way["number"]].ratio / answer.ratio_needed - 1.0)
        side = "less" if off < 0.0 else "more"
        near = "as wanted" if abs(off) < 0.05 else f"{abs(off):.1f}".removesuffix(".0")
        assert near in way["tells"][0]
        assert near == "as wanted" or f"{near} % {side} than wanted" in way["tells"][0]
        said += 1
    assert said


def test_a_way_without_a_path_is_set_apart_and_cannot_be_laid_over(flyer):
    _, told, answer = flyer
    pathless = [answer.pathless(o) for o in answer.options]
    assert [way["pathless"] for way in told["ways"]] == sorted(pathless), "told after the others"
    (none,) = (way for way in told["ways"] if way["pathless"])
    assert none["ghost"] is None
    assert pathless[none["number"] - 1]


def test_a_way_has_the_number_by_which_the_command_writes_it(flyer, tmp_path, monkeypatch):
    """Those without a path are told last, whatever their number."""
    *_, answer = flyer
    turned_round = replace(answer, options=answer.options[::-1])
    monkeypatch.setattr(wheelgeo.Wheel, "retune", lambda *_, **__: turned_round)
    desk = Desk(tmp_path)
    desk.lay_file(DESIGNS / "flyer-wheel.toml")
    told = desk.ask("retune", {"wheel": "1", "count": "80 Nm"})
    numbers = [way["number"] for way in told["ways"]]
    assert numbers != sorted(numbers)
    for way in told["ways"]:
        option = turned_round.option(way["number"])
        assert way["pathless"] == turned_round.pathless(option)
        if way["ghost"] is not None:
            assert desk.wheels["1"].ghosts[way["ghost"]].wheel.design == option.wheel.design


def test_turning_faster_warns_as_the_library_does_and_can_be_taken(travel):
    desk, told, answer = travel
    turned, drafted = told["as_it_is"]
    without = answer.without_change
    assert turned["does"] == [f"Turn the crank at {without.hand_speed_rpm:.0f} rpm."]
    assert turned["tells"] == [
        f"A draw takes {without.drive_turns_per_draw:.2f} turns of the crank, "
        f"{60 * without.drive_turns_per_draw / without.hand_speed_rpm:.1f} s, drafting alone."
    ]
    assert without.warnings == ("whirl",)
    assert [one["level"] for one in turned["see_to"]] == ["warning"]
    assert "may shake" in turned["see_to"][0]["says"]
    assert drafted["see_to"] == []
    seen = desk.ask("ghost", {"wheel": "1", "ghost": turned["ghost"], "views": VIEWS})
    assert "1 225 turns per metre" in seen["twist"]
    assert not seen["whole"]
    rest = desk.ask("whole", {"wheel": "1", "ghost": turned["ghost"]})
    wheel = without.ways()[0].wheel
    rows = {row["key"]: row for row in rest["mechanics"]}
    assert rows["run.effort"]["value"] == wheel.run().load.force_n
    assert rows["run.effort"]["was"] == desk.wheels["1"].now.run().load.force_n
    assert [f["rule"] for f in rest["findings"]] == [f.rule for f in wheel.check().findings]
    desk.ask("take", {"wheel": "1", "ghost": turned["ghost"]})
    taken = desk.wheels["1"].now
    assert taken.get("drive.speed") == pytest.approx(without.hand_speed_rpm)
    assert taken.get("yarn.count") == wheel.get("yarn.count")
    # the other ways were asked of another wheel
    gone = desk.ask("take", {"wheel": "1", "ghost": told["ways"][0]["ghost"]})
    assert "ask once more" in gone["refused"][0]["says"]
    assert desk.wheels["1"].now is taken


def test_the_step_that_comes_nearest_is_a_way_without_a_change(tmp_path):
    desk = Desk(tmp_path)
    desk.ask("open", {"text": (DESIGNS / "braked-bobbin-wheel.toml").read_text() + FAST})
    told = desk.ask("retune", {"wheel": "1", "count": "9 Nm"})["as_it_is"][-1]
    (does,) = told["does"]
    assert does.startswith('With "drive band" over from "flyer whorl" to "fast whorl"')
    assert does.endswith("draft 1.16 times faster at the same speed.")
    assert told["tells"] == ["Drive band stays."]
    did = desk.ask("take", {"wheel": "1", "ghost": told["ghost"]})["did"]
    assert did.startswith("drive band, "), "what it sets is told before what followed"
    assert '"rim" to "fast whorl", was "rim" to "flyer whorl"' in did
    route = desk.wheels["1"].now.design.band("drive band").route
    assert [stop.pulley for stop in route] == ["rim", "fast whorl"]


def test_a_whole_wheel_is_compared_spindle_on_spindle_and_never_taken(tmp_path):
    desk = Desk(tmp_path)
    for name in ("floor", "travel"):
        desk.lay_file(DESIGNS / f"{name}-wheel.toml")
    laid = desk.ask("over", {"wheel": "1", "other": "2"})["ghost"]
    desk.ask("over", {"wheel": "1", "other": "1"})  # another ghost leaves this one what it was
    seen = desk.ask("ghost", {"wheel": "1", "ghost": laid, "views": VIEWS, "fit": True})
    assert seen["whole"]
    with pytest.raises(BadAskError):
        desk.ask("take", {"wheel": "1", "ghost": laid})
    floor, travel = (desk.wheels[n].now for n in "12")
    ends = [
        [at + end * along for at, along in zip(shaft.at_mm, shaft.axis, strict=True)]
        for wheel in (floor, travel)
        for shaft in [wheel.design.shaft(wheel.design.spindle.shaft)]
        for end in [wheel.solve().solution.built.spindle.ends_mm[1]]
    ]
    x, y, z = (a - b for a, b in zip(*ends, strict=True))
    assert seen["views"]["plan"]["shift"] == pytest.approx([x, -y], abs=1e-2)
    across, down = seen["views"]["side"]["shift"]
    assert (abs(across), down) == pytest.approx((abs(x), -z), abs=1e-2)
    rows = {row["key"]: row for row in seen["numbers"]}
    assert rows["drive band.cut_with_joint"]["was"] == floor.get("drive band.cut_with_joint")
    assert rows["drive band.cut_with_joint"]["text"] == "–"
    assert rows["first band.cut_with_joint"]["value"] == travel.get("first band.cut_with_joint")
    turns = "turns of the crank a metre / turns of the wheel a metre"
    assert rows["drive.turns_per_metre"]["name"] == turns


def test_a_band_that_is_true_already_is_not_moved_by_nothing(tmp_path):
    desk = Desk(tmp_path)
    desk.lay_file(DESIGNS / "travel-wheel.toml")
    told = desk.ask("place", {"wheel": "1", "band": "second band", "move": "whorl.offset"})
    assert (told["true_already"], told["rows"]) == (True, [])
    desk.ask("open", {"design": "box-wheel"})
    told = desk.ask("place", {"wheel": "2", "band": "second band"})  # what helps most
    assert told["moved"] == ["whorl, place of the groove along the shaft"]
    assert any(not row["moves"] and row["ghost"] is None for row in told["rows"])


def test_a_limit_is_no_remedy_to_try(tmp_path):
    design = wheelgeo.load(DESIGNS / "travel-wheel.toml").design
    hand = Remedy("wind it truer", (edit(design, "limits", "", "cop_eccentricity_mm", 0.5),),
                  design=design)  # fmt: skip
    wheel = Remedy("turn slower; or wind it truer", (edit(design, "drive", "", "speed", 50.0),),
                   others=(hand,), design=design, alone="turn slower")  # fmt: skip
    found = Finding("r", "note", "", None, None, "", "s", "", WorkedOut(wheel))
    assert [way.says for way in ways_to_try(found)] == ["turn slower"]
    assert [way.says for way in wheel.ways] == ["turn slower", "wind it truer"]
    assert not ways_to_try(Finding("r", "note", "", None, None, "", "s", "", WorkedOut(hand)))


def test_a_flyer_wheel_tells_how_it_winds_on_and_a_treadle_counts_its_wheel(flyer):
    desk, *_ = flyer
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    first, whole = (desk.ask(q, {"wheel": "1"}) for q in ("show", "whole"))
    assert first["winding_on"] == f"Winding on: {wheel.solve().wind_on.says}"
    rows = {row["key"]: row for row in whole["mechanics"]}
    for size in ("empty", "full"):
        assert rows[f"run.yarn.{size}"]["value"] == wheel.get(f"yarn.pull_{size}")
    assert rows["run.double band.margin"]["text"] == "must slip"
    assert "slips on the bobbin's whorl" in rows["run.double band.margin"]["means"]
    means = {row["key"]: row["means"] for row in whole["results"]}
    assert means["ratio"] == "spindle turns per turn of the wheel"


def test_another_yarn_for_a_wheel_that_cannot_run_says_so_with_its_ratio(tmp_path):
    desk = Desk(tmp_path)
    desk.lay_file(DESIGNS / "box-wheel.toml")
    assert desk.ask("retune", {"wheel": "1", "count": "60 Nm"})["cannot_run"] == ""
    desk.ask("change", {"wheel": "1", "put": {"middle.at.x": 293.0, "middle.at.y": 100.0}})
    told = desk.ask("retune", {"wheel": "1", "count": "60 Nm"})
    assert told["cannot_run"].startswith('"first band" has no path, so that the wheel cannot run')


def test_what_is_made_is_told_in_inches_so_that_typed_again_it_is_the_same_wheel(travel):
    """12 mm are no 15/32 in, which is 0.8 % less ratio."""
    _, _, answer = travel
    wheel = wheelgeo.load(DESIGNS / "travel-wheel.toml")
    made = [(o, c) for o in answer.options for c in o.changes if c.unit == "mm"]
    assert made
    for option, change in made:
        does = way_told(answer, option, wheel.design, "in/64")["does"]
        part = change.what.partition(".")[0].capitalize()
        told = next(line for line in does if line.startswith(part))
        typed = told.removesuffix(".").rpartition(" to ")[2]
        again = wheel.put(change.what, typed).solve().ratio
        assert again == pytest.approx(wheel.put(change.what, change.to).solve().ratio, rel=2e-3)


def test_what_is_set_by_hand_for_a_way_is_told_laid_over_and_taken(tmp_path):
    desk, told, answer = asking("travel", tmp_path, ratio="90")
    options = {way["number"]: answer.options[way["number"] - 1] for way in told["ways"]}
    way = max(told["ways"], key=lambda way: len(options[way["number"]].settings))
    option = options[way["number"]]
    slid = [one.what.removesuffix(".travel") for one in option.settings]
    assert len(slid) == 2
    (by_hand,) = way["by_hand"]
    assert all(f'slide "{shaft}" along its slide' in by_hand for shaft in slid)
    for question, of in (("take", {"ghost": way["ghost"]}), ("undo", {}), ("redo", {})):
        did = desk.ask(question, {"wheel": "1", **of})["did"].split("; ")
        named = [change.what.partition(".")[0] for change in option.changes]
        assert [part.partition(",")[0] for part in did[:-1]] == [*named, *slid]
        assert all("place along its slide" in part for part in did[-3:-1])
        assert did[-1].endswith("more")


def test_who_works_in_inches_is_offered_thirty_seconds(tmp_path):
    """On the page by its unit, with the command by that of the file."""
    desk = Desk(tmp_path)
    desk.lay_file(DESIGNS / "sheet-wheel.toml")
    told = desk.ask("retune", {"wheel": "1", "turns_per_metre": "1100", "unit": "in/64"})
    ends = [one.rstrip(".").rpartition(" to ")[2] for way in told["ways"] for one in way["does"]]
    assert ends
    assert all(re.fullmatch(r"(\d+ )?(\d+/(2|4|8|16|32) )?in|\d+ in", end) for end in ends), ends
    design = desk.wheels["1"].now.design
    sizes = [read_limits(replace(design, unit=unit), None, (), (), None, 1).makeable.step_mm
             for unit in ("mm", "in")]  # fmt: skip
    assert sizes == [0.5, 25.4 / 32]
