"""Rules on a wheel under a hand: each is found where it should be, and its remedy mends it."""

import math
import re
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from wheelgeo.built.held import SHEETS_MM
from wheelgeo.check.edits import apply_edits
from wheelgeo.check.every_rule import RULES
from wheelgeo.check.report import check_whole, mechanics_findings, put_under_check
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.model import Bearing, FlatRim, RoundGroove, Tensioner
from wheelgeo.design.reader import read_design
from wheelgeo.drive.running import run_wheel
from wheelgeo.drive.start_of_wheel import reflected_inertia

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
SHIPPED = sorted(path.stem for path in DESIGNS.glob("*-wheel.toml"))
NUMBER = r"(\d+(?:\.\d+)?)"


def shipped(name):
    return read_design(DESIGNS / f"{name}.toml")


def with_band(design, name, **fields):
    bands = tuple(replace(b, **fields) if b.name == name else b for b in design.bands)
    return replace(design, bands=bands)


def with_pulley(design, name, **fields):
    pulleys = tuple(replace(p, **fields) if p.name == name else p for p in design.pulleys)
    return replace(design, pulleys=pulleys)


def with_spindle_rod(design, **fields):
    name = design.spindle.shaft
    shafts = tuple(replace(s, **fields) if s.name == name else s for s in design.shafts)
    return replace(design, shafts=shafts)


def with_throw(design, throw_mm):
    return replace(design, drive=replace(design.drive, radius_mm=throw_mm))


def with_limit(design, **limits):
    return replace(design, limits={**design.limits, **limits})


def rubber_in_round_grooves():
    """A first band as soft as it is round: pulled too little for the small hub."""
    design = with_band(shipped("box-wheel"), "first band", material="rubber cord", diameter_mm=2.5,
                       stretch=0.06)  # fmt: skip
    design = with_pulley(design, "wheel", groove=RoundGroove(182.0, 3.0, 1.5))
    return with_pulley(design, "hub", groove=RoundGroove(16.5, 3.0, 1.5))


def by_weight(newtons):
    design = shipped("parallel-box-wheel")
    return with_band(design, "second band", tension=Tensioner("weight", newtons))


def with_motor():
    """A floor wheel turned far too fast for its wooden rim."""
    design = shipped("floor-wheel")
    return replace(design, drive=replace(design.drive, by="motor", speed_rpm=900.0, radius_mm=None))


def slack():
    return with_band(shipped("box-wheel"), "first band", stretch=0.002)


def doubtful():
    """Enough with the usual cord, too little with the softest."""
    return with_band(shipped("box-wheel"), "first band", stretch=0.008)


def long_tip():
    return with_spindle_rod(shipped("parallel-box-wheel"), ends_mm=(2.0, 155.0))


BAD = {
    "slip, too slack": ("slip", slack),
    "slip, soft cord": ("slip", rubber_in_round_grooves),
    "slip, light weight": ("slip", lambda: by_weight(0.8)),
    "slip, margin": ("slip", lambda: with_limit(shipped("book-wheel"), slip_margin=5.0)),
    "slip, softest cord": ("slip-doubtful", doubtful),
    "start": ("start", rubber_in_round_grooves),
    "start, no force": (
        "start", lambda: with_limit(shipped("floor-wheel"), foot_start_force_n=20.0),
    ),
    "slip in start": (
        "slip-in-start", lambda: with_limit(shipped("parallel-box-wheel"), start_force_n=45.0),
    ),
    "slow start": ("start-slow", lambda: with_limit(shipped("floor-wheel"), start_time_s=2.5)),
    "hand force": ("hand-force", lambda: with_limit(shipped("box-wheel"), hand_force_n=4.5)),
    "hand locks": ("hand-locks", lambda: with_throw(shipped("box-wheel"), 0.6)),
    "hand power": ("hand-power", lambda: with_limit(shipped("box-wheel"), hand_power_w=1.6)),
    "foot force": ("foot-force", lambda: with_limit(shipped("floor-wheel"), foot_force_n=25.0)),
    "foot power": ("foot-power", lambda: with_limit(shipped("flyer-wheel"), foot_power_w=0.7)),
    "whirl": ("whirl", long_tip),
    "whirl, soft": (
        "whirl", lambda: with_spindle_rod(shipped("book-wheel"), ends_mm=(-15.0, 122.0)),
    ),
    "untrue cop": ("cop-unbalance", lambda: shipped("box-wheel")),
    "burst": ("burst", with_motor),
    "stretch": ("stretch", lambda: with_band(shipped("book-wheel"), "first band", stretch=0.06)),
    "cord": ("cord-strength", lambda: with_band(shipped("book-wheel"), "first band", stretch=0.2)),
}  # fmt: skip


def found(design):
    return mechanics_findings(put_under_check(design))


@pytest.mark.parametrize("name", sorted(BAD))
def test_it_is_found_and_every_remedy_mends_it(name):
    rule, make = BAD[name]
    design = make()
    before = {(f.rule, f.where) for f in check_whole(design).faults}
    findings = [f for f in found(design) if f.rule == rule]
    assert findings, f"{rule} is not found"
    for finding in findings:
        ways = [way for way in (finding.remedy, *finding.remedy.others) if way.sound]
        assert ways, finding.remedy.says
        for way in ways:
            assert not any(one.key.startswith("limits") for one in way.edits), way.says
            after = check_whole(way.apply())
            assert (finding.rule, finding.where) not in {(f.rule, f.where) for f in after.findings}
            new = {(f.rule, f.where) for f in after.faults} - before
            assert {f for f in new if f[0] not in ("start", "whirl")} == set(), way.says


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_designs_run(name):
    report = check_whole(shipped(name))
    assert [f.says for f in report.faults] == []
    crossed = any(b.crossed for b in report.design.bands)
    warned = {f.rule for f in report.findings if f.level == "warning"}
    assert warned == ({"crossed-runs-rub"} if crossed else set())


def only(design, rule, where=""):
    findings = [f for f in found(design) if f.rule == rule and where in f.where]
    assert len(findings) == 1
    return findings[0]


def test_levels_of_slip():
    slips = only(slack(), "slip")
    assert slips.level == "fault"
    assert slips.value < slips.limit == 1.0
    near = only(with_limit(shipped("book-wheel"), slip_margin=5.0), "slip")
    assert near.level == "warning"
    assert 1.0 < near.value < near.limit == 5.0


def test_levels_of_whirl():
    design = shipped("parallel-box-wheel")
    near = only(with_limit(design, whirl_margin=0.4), "whirl")
    assert near.level == "warning"
    shakes = only(with_limit(design, whirl_margin=0.4, least_whirl_margin=0.4), "whirl")
    assert shakes.level == "fault"


def test_pull_that_cannot_be_had():
    design = with_band(shipped("floor-wheel"), "drive band", tension=Tensioner("weight", 5.0))
    design = replace(design, shafts=tuple(replace(s, slide=None) for s in design.shafts))
    rules = {f.rule: f for f in found(design)}
    assert rules["pull-unknown"].level == "fault"
    assert {"load-unknown", "start-unknown"} <= set(rules)


def test_one_bearing_is_not_enough():
    design = shipped("box-wheel")
    spindle = replace(design.spindle, bearings=(Bearing(0.0, "brass"),))
    finding = only(replace(design, spindle=spindle), "spindle-bearings")
    assert "two bearings" in finding.remedy.says


def test_a_wood_of_unknown_strength_is_said_to_be():
    finding = only(with_pulley(shipped("box-wheel"), "wheel", material="teak"), "strength-unknown")
    assert finding.level == "note"
    assert finding.value is None
    own = Material("pear", "wheel", Figure(700.0, 650.0, 750.0, "scale"))
    design = replace(shipped("box-wheel"), materials=(own,))
    assert only(with_pulley(design, "wheel", material="pear"), "strength-unknown")


@pytest.mark.parametrize(("off_mm", "level"), [(None, "note"), (60.0, "warning")])
def test_an_untrue_bore_is_told_in_words_alone(off_mm, level):
    """A bore is no number of the file: to allow less of it would only silence the finding."""
    box = shipped("box-wheel")
    finding = only(
        box if off_mm is None else with_limit(box, bore_eccentricity_mm=off_mm),
        "unbalance", "whorl",
    )  # fmt: skip
    assert finding.level == level
    assert not finding.remedy.edits
    # a small lathe keeps 0.02 mm (common practice, no source), and 0.017 mm are allowed
    assert "no bore alone is true within 0.017 mm" in finding.remedy.says
    coarse = only(with_limit(box, bore_eccentricity_mm=0.3, balance_grade_mm_s=40.0), "unbalance",
                  "whorl")  # fmt: skip
    assert coarse.remedy.says.startswith("bore it true within 0.043 mm, or turn its groove")


def test_a_cop_that_no_hand_winds_so_true_is_turned_slower_or_wound_thinner():
    """Near its critical speed a spindle shakes many times as hard as its cop is untrue."""
    near = only(long_tip(), "cop-unbalance")
    assert near.limit < 0.3
    assert "true within" not in near.remedy.says.split(";")[0]
    assert near.remedy.edits


def test_crank_without_a_throw():
    design = shipped("box-wheel")
    design = replace(design, drive=replace(design.drive, radius_mm=None))
    assert only(design, "throw-unknown").level == "note"


def test_uneven_treadle_that_no_rim_evens_is_told_what_it_lacks_in_numbers():
    design = with_limit(shipped("floor-wheel"), speed_swing=0.01)
    finding = only(design, "treadle-uneven")
    assert finding.value > finding.limit == 0.01
    assert not finding.remedy.edits
    # swing times inertia is the same for the same push: as it is, and as it should be
    said = re.search(rf"by {NUMBER} kg in a ring {NUMBER} mm.* of {NUMBER} kg.*, {NUMBER} times",
                     finding.remedy.says)  # fmt: skip
    kg, across, needed, times = (float(x) for x in said.groups())
    loaded = put_under_check(design).loaded
    has = reflected_inertia(loaded.solution, loaded.rotors)
    assert needed == pytest.approx(has * finding.value / 0.01, rel=5e-3)
    assert times == pytest.approx(finding.value / 0.01, abs=0.05)
    # a thin ring has all its mass at its radius
    assert kg * (across / 2e3) ** 2 == pytest.approx(needed - has, rel=0.05)


@pytest.mark.parametrize("name", ["farm-wheel", "flyer-wheel"])
@pytest.mark.parametrize("rule", ["dead-point", "treadle-uneven"])
def test_a_wheel_too_light_is_given_the_least_rim_that_carries_it(name, rule):
    """The rim of the farm wheel has one groove, that of the flyer wheel two side by side."""
    made = shipped(name)
    slow = 25.0 if (name, rule) != ("flyer-wheel", "treadle-uneven") else 24.0
    made = replace(made, drive=replace(made.drive, speed_rpm=slow))
    (wider,) = (w for w in only(made, rule).remedy.ways if w.edits[0].key.endswith("width"))
    assert re.search(r"\d mm wide", wider.says)
    assert rule not in {f.rule for f in found(wider.apply())}
    # a millimetre less does not
    less = tuple(replace(e, after=e.after - 1.0) for e in wider.edits if e.key.endswith("width"))
    assert rule in {f.rule for f in found(apply_edits(made, less))}


@pytest.mark.parametrize("rule", ["dead-point", "treadle-uneven"])
def test_a_layered_wheel_too_light_is_glued_up_of_the_next_sheet_that_carries_it(rule):
    sheets = with_pulley(shipped("farm-wheel"), "rim", build="layers", width_mm=None,
                         material="plywood")  # fmt: skip
    made = replace(sheets, drive=replace(sheets.drive, speed_rpm=40.0))
    (thicker,) = (w for w in only(made, rule).remedy.ways if w.edits[0].key == "rim.cheek")
    assert rule not in {f.rule for f in found(thicker.apply())}
    at = SHEETS_MM.index(thicker.edits[0].after)
    less = with_pulley(made, "rim", cheek_mm=SHEETS_MM[at - 1])
    assert rule in {f.rule for f in found(less)}


def test_a_wheel_of_inches_is_made_wider_by_sixteenths():
    made = replace(shipped("farm-wheel"), unit="in")
    made = replace(made, drive=replace(made.drive, speed_rpm=30.0))
    ways = only(made, "treadle-uneven").remedy.ways
    (after,) = (e.after for w in ways for e in w.edits if e.key == "rim.width")
    steps = (after - made.pulley("rim").width_mm) * 16.0 / 25.4
    assert steps == pytest.approx(round(steps), abs=1e-3)


def test_resonance_passed_is_a_note_and_not_said_where_it_shakes():
    told = only(shipped("box-wheel"), "whirl-passed")
    assert told.level == "note"
    # the drive turns as many times slower than the spindle there as it does at work
    assert "rpm of the crank)" in told.remedy.says
    shaking = with_limit(shipped("box-wheel"), whirl_margin=0.5)
    assert "whirl-passed" not in {f.rule for f in found(shaking)}


def test_wheel_on_a_flat_rim_too():
    design = with_pulley(shipped("parallel-box-wheel"), "wheel", groove=FlatRim(176.5, 8.0))
    assert all(math.isfinite(f.value) for f in found(design) if f.value is not None)


def test_every_rule_asks_a_question():
    asked = [rule.asks for rule in RULES]
    assert all(a.endswith("?") for a in asked)
    assert len(set(asked)) == len(asked)


def test_no_remedy_cuts_a_groove_into_its_shaft():
    """A thick cord on a small hub: a vee sharp enough to hold it would reach across the axis."""
    design = with_pulley(shipped("box-wheel"), "hub", groove=RoundGroove(20.0, 6.0, 3.1))
    bands = tuple(replace(b, material="rubber cord", diameter_mm=6.0) for b in design.bands[:1])
    design = replace(design, bands=(*bands, *design.bands[1:]))
    slips = [f for f in check_whole(design).findings if f.rule == "slip"]
    assert slips
    for way in (slips[0].remedy, *slips[0].remedy.others):
        groove = way.apply().pulley("hub").groove
        assert groove.rim_mm - 2.0 * groove.depth_mm > design.shaft("middle").diameter_mm


def test_a_finding_says_how_sure_it_is_and_what_would_settle_it():
    """A crank heavy as usual may not be with a softer cord; a measured pull settles it."""
    box = shipped("box-wheel")
    doubtful = only(box, "effort-doubtful")
    assert doubtful.certainty == "possible"
    assert doubtful.value > doubtful.limit
    assert '"second band"' in doubtful.settled_by
    near = only(replace(box, limits={"hand_force_n": 2.3}), "hand-force")
    assert near.certainty == "likely"
    assert "measured" in near.settled_by
    far = only(replace(box, limits={"hand_force_n": 1.0}), "hand-force")
    assert (far.certainty, far.settled_by) == ("sure", "")
    pulled = [replace(b, stretch=None, tension=Tensioner("measured", 4.0)) for b in box.bands]
    assert "effort-doubtful" not in {f.rule for f in found(replace(box, bands=tuple(pulled)))}


def measured(design, **pulls_n):
    """Return a wheel whose bands are pulled as a spring balance says, by their first words."""
    bands = tuple(
        replace(b, stretch=None, tension=Tensioner("measured", pulls_n[b.name.split()[0]]))
        if b.name.split()[0] in pulls_n else b
        for b in design.bands
    )  # fmt: skip
    return replace(design, bands=bands)


@pytest.mark.parametrize("known", [{}, {"first": 9.4}, {"first": 14.0}], ids=str)
def test_the_pull_that_settles_a_doubtful_effort_is_named_and_settles_it(known):
    """The second band's shaft turns fast: its pull costs most; the first one's hardly anything."""
    box = measured(shipped("box-wheel"), **known)
    doubtful = only(box, "effort-doubtful")
    assert '"second band"' in doubtful.settled_by
    assert '"first band"' not in doubtful.remedy.says
    assert not doubtful.remedy.edits  # it is drawn as was reckoned with: nothing changes
    usual = float(doubtful.remedy.says.partition(" and pull it to ")[2].partition(" N")[0])
    settled = measured(box, second=usual)
    assert "effort-doubtful" not in {f.rule for f in found(settled)}
    # How tight is too tight is asked of a wheel that is pulled so.
    told = float(doubtful.remedy.says.partition("; with ")[2].partition(" N")[0])
    drawn = [measured(box, second=told + n) for n in (-1.0, 1.0)]
    low, high = (run_wheel(wheel).loaded.effort.force_n for wheel in drawn)
    assert low < doubtful.limit < high


QUICK = ("sheet-wheel",)


@pytest.mark.parametrize(
    "name", [n if n in QUICK else pytest.param(n, marks=pytest.mark.long) for n in SHIPPED]
)
def test_no_remedy_of_a_shipped_wheel_brings_a_warning(name):
    """The pull that settles the sheet wheel's slip at work must hold in starting too."""
    before = check_whole(shipped(name)).findings
    grave = {(f.rule, f.where) for f in before if f.level != "note"}
    for finding in before:
        for way in (finding.remedy, *finding.remedy.others):
            if not way.sound or finding.level == "fault":
                continue
            after = check_whole(way.apply()).findings
            brought = {(f.rule, f.where) for f in after if f.level != "note"}
            assert brought <= grave, (finding.rule, way.says)
            assert (finding.rule, finding.where) not in {(f.rule, f.where) for f in after}


def test_rules_that_no_change_can_break_yield_notes_alone():
    bound = {rule.find: rule.asks for rule in RULES if rule.notes_only}
    assert len(bound) == 9
    for make in (long_tip, doubtful, *(partial(shipped, name) for name in SHIPPED)):
        wheel = put_under_check(make())
        for find in bound:
            assert {f.level for f in wheel.found(find)} <= {"note"}, find


def test_of_a_pull_that_is_measured_no_measuring_is_asked_again():
    floor = shipped("floor-wheel")
    before = only(floor, "effort-doubtful")
    after = only(measured(floor, drive=37.0), "effort-doubtful")
    assert after.value < before.value  # the pull's own range is gone
    for one in (before, after):
        assert one.settled_by.startswith("the force at the treadle")  # the bearings' is not
        assert "a strand" not in one.settled_by
        assert "bearings" in one.remedy.says
    assert "N in" not in after.remedy.says
    both = measured(shipped("box-wheel"), first=30.0, second=10.0)
    assert not [f for f in found(both) if "hang" in f.remedy.says and "strand" in f.remedy.says]


def test_a_spindle_that_soft_bearings_might_shake_is_noted():
    box = shipped("box-wheel")
    running = run_wheel(box)
    high, working = max(running.ranges.empty_rpm), running.whirl.working_rpm
    usual = max(p.critical_rpm[0] for p in running.whirl.points)
    # as fast as stiffer bearings would shake, and just beyond what is near as usual
    speed = box.drive.speed_rpm * high / working
    limits = {"whirl_margin": 0.02, "least_whirl_margin": 0.02}
    assert high > 1.02 * usual
    faster = replace(box, drive=replace(box.drive, speed_rpm=speed), limits=limits)
    note = only(faster, "whirl-doubtful")
    assert note.certainty == "possible"
    assert "tap" in note.settled_by
    assert "whirl-doubtful" not in {f.rule for f in found(box)}


def test_a_stronger_joint_makes_a_cord_safer_by_as_much():
    # common practice, no source: a splice keeps 85 % of the cord, a knot 50 %
    safe = {}
    for joined in ("splice", "knot"):
        wheel = with_band(shipped("book-wheel"), "first band", stretch=0.4, joined=joined)
        found = [f for f in check_whole(wheel).findings if f.rule == "cord-strength"]
        safe[joined] = found[0].value
        assert f"({joined})" in found[0].says
    assert safe["splice"] / safe["knot"] == pytest.approx(0.85 / 0.50)


def test_a_cord_that_breaks_at_its_joint_is_a_fault():
    box = shipped("box-wheel")
    torn = only(with_band(box, "second band", stretch=0.99), "cord-strength", '"second band"')
    near = only(with_band(box, "first band", stretch=0.12), "cord-strength", '"first band"')
    assert (torn.level, torn.limit, near.level) == ("fault", 1.0, "warning")
    assert torn.value < 1.0 < near.value < near.limit
    assert "it breaks" in torn.says
    assert "cord-strength" not in {
        f.rule for f in found(torn.remedy.apply()) if f.level == "fault"
    }
    allowed = with_limit(with_band(box, "second band", stretch=0.99), cord_strength_factor=0.1)
    assert only(allowed, "cord-strength", '"second band"').level == "fault"
