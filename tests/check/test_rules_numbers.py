"""The numbers of findings, held against closed forms."""

import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.check.answering import answer_of
from wheelgeo.check.edits import Edit
from wheelgeo.check.report import built_findings, check_design, put_under_check
from wheelgeo.design.model import (
    Band,
    Case,
    Count,
    Design,
    Drive,
    FlatRim,
    GivenPitch,
    Pulley,
    RoundGroove,
    Shaft,
    Spindle,
    Stop,
    VeeGroove,
    Yarn,
)
from wheelgeo.design.reader import read_design

DESIGNS = Path(__file__).resolve().parents[2] / "designs"
Z_AXIS, Y_AXIS = (0.0, 0.0, 1.0), (0.0, 1.0, 0.0)


def wheel(first, second, apart, second_axis=Z_AXIS, offsets=(0.0, 0.0), turns="with", **fields):
    """Two pulleys; a groove may be a pitch diameter."""
    first, second = (GivenPitch(g) if isinstance(g, float) else g for g in (first, second))
    design = Design(
        "Two", "mm", Drive("a", "crank", 60.0, "counter-clockwise"),
        (Shaft("a", (0.0, 0.0, 0.0), Z_AXIS, 4.0), Shaft("b", (apart, 0.0, 0.0), second_axis, 4.0)),
        (Pulley("one", "a", offsets[0], first), Pulley("two", "b", offsets[1], second)),
        (Band("band", (Stop("one"), Stop("two", turns)), "cotton cord", 2.0),), Spindle("b", "tip"),
    )  # fmt: skip
    return replace(design, **fields)


def values(design, rule):
    findings = check_design(design).findings
    return {f.where: f.value for f in findings if f.rule == rule}


@pytest.mark.parametrize(("apart", "aside"), [(300.0, 100.0), (200.0, 70.0)])
def test_a_band_between_parallel_shafts_arrives_at_the_angle_of_its_sideways_way(apart, aside):
    # The run covers sqrt(C^2 - (r1 - r2)^2) in the plane, and the offset sideways.
    along = math.sqrt(apart**2 - 20.0**2)
    angle = math.degrees(math.atan2(aside, along))
    found = values(wheel(96.0, 56.0, apart, offsets=(0.0, aside)), "arriving-angle")
    assert found['band "band" at "two"'] == pytest.approx(angle, rel=1e-9)
    assert found['band "band" at "one"'] == pytest.approx(angle, rel=1e-9)


def law_of_belting(groove):
    """The quarter turn that arrives in both mid-planes: pitch radii 250 and 25 mm, C = 600 mm."""
    rims = [groove(498.0), groove(48.0)]
    for s, t in product((1.0, -1.0), repeat=2):
        design = wheel(*rims, 600.0, Y_AXIS, offsets=(s * 25.0, t * 250.0))
        if not values(design, "mouth-spinning"):
            yield design


def test_a_true_quarter_turn_spins_and_is_thrown_in_backing_off():
    # The exact form of the quarter-turn belt: the band leaves pulley 1 at 2 atan(r2/C) and pulley 2
    # at 2 atan(r1/C), 4.772 and 45.240 degrees; backing off it comes in there.
    (design,) = law_of_belting(lambda rim: FlatRim(rim, 30.0))
    found = values(design, "mouth-backing-off")
    first, second = (math.degrees(2.0 * math.atan(r / 600.0)) for r in (25.0, 250.0))
    assert (first, second) == pytest.approx((4.772, 45.240), abs=5e-4)
    assert found == pytest.approx({'band "band" at "one"': first, 'band "band" at "two"': second})
    assert values(design, "leaving-angle") == pytest.approx({'band "band" at "two"': second})
    flyer = replace(design, spindle=Spindle("b", "flyer"))
    assert values(flyer, "mouth-backing-off") == {}
    assert values(flyer, "mouth-plying") == {}
    # A flyer wheel is turned back to ply what it has spun: there the same band is thrown.
    plies = replace(flyer, yarn=Yarn(Count(12.0, "Nm", plies=2), "wool", "Z"))
    assert values(plies, "mouth-plying") == found


@pytest.mark.parametrize("apart", [81.0, 90.0, 110.0, 114.0])
def test_wrap_of_the_smaller_pulley(apart):
    wrap = 180.0 - 2.0 * math.degrees(math.asin((100.0 - 20.0) / apart))
    found = values(wheel(200.0, 40.0, apart), "wrap")
    assert found == (pytest.approx({'band "band" at "two"': wrap}) if wrap < 90.0 else {})


def test_no_path_says_how_far_apart_is_missing():
    assert values(wheel(96.0, 56.0, 15.0), "no-path") == pytest.approx({'band "band"': 15.0 - 20.0})
    crossed = wheel(96.0, 56.0, 70.0, turns="against")
    assert values(crossed, "no-path") == pytest.approx({'band "band"': 70.0 - 76.0}, abs=1e-6)


def test_discs_in_one_plane_run_as_deep_into_each_other_as_their_radii_say():
    grooves = (FlatRim(100.0, 60.0), FlatRim(60.0, 60.0))
    found = values(wheel(*grooves, 70.0), "parts-collide")
    assert found['pulley "one", pulley "two"'] == pytest.approx(70.0 - 80.0)


def test_runs_of_a_crossed_band_meet_and_turn_past_each_other_when_tilted():
    flat = wheel(96.0, 56.0, 300.0, turns="against")
    assert values(flat, "crossed-runs-rub") == pytest.approx({'band "band"': 0.0}, abs=1e-6)
    findings = check_design(flat).findings
    (says,) = (f.says for f in findings if f.rule == "crossed-runs-rub")
    assert "they should pass 2 mm further apart" in says  # as thick as the cord
    lean = math.radians(12.0)
    leaning = wheel(96.0, 56.0, 300.0, (0.0, math.sin(lean), math.cos(lean)), turns="against")
    assert values(leaning, "crossed-runs-rub") == {}


def three(route, third=(150.0, 260.0, 0.0)):
    shafts = (
        Shaft("a", (0.0, 0.0, 0.0), Z_AXIS, 4.0), Shaft("b", (300.0, 0.0, 0.0), Z_AXIS, 4.0),
        Shaft("c", third, Z_AXIS, 4.0),
    )  # fmt: skip
    pulleys = tuple(Pulley(n, n, 0.0, GivenPitch(56.0)) for n in "abc")
    stops = tuple(Stop(s[0], "against" if s.endswith("!") else "with") for s in route)
    band = Band("band", stops, "cotton cord", 2.0)
    return wheel(96.0, 56.0, 300.0, shafts=shafts, pulleys=pulleys, bands=(band,))


def test_runs_on_both_sides_of_one_pulley_may_cross_too():
    assert values(three(("a", "b", "c")), "crossed-runs-rub") == {}
    assert values(three(("a", "b!", "c")), "crossed-runs-rub")


def test_an_idler_that_only_guides_may_touch_lightly_and_one_that_drives_may_not():
    guided = three(("a", "b", "c"), third=(150.0, 30.0, 0.0))
    assert values(guided, "wrap") == {}
    driving = replace(guided, spindle=Spindle("c", "tip"))
    (wrap,) = values(driving, "wrap").values()
    assert wrap < 45.0


def test_what_sticks_out_of_the_case_is_measured_on_every_side():
    grooves = (RoundGroove(100.0, 3.0, 2.0), RoundGroove(60.0, 3.0, 2.0))
    case = Case((330.0, 90.0, 40.0), (-50.0, -48.0, -20.0))
    design = wheel(*grooves, 260.0, case=case)
    (wheel_out, whorl_out) = (f for f in check_design(design).findings if f.rule == "outside-case")
    assert wheel_out.value == pytest.approx(-8.0)
    assert "by 2 mm at the front and by 8 mm at the back" in wheel_out.says
    assert whorl_out.value == pytest.approx(-10.0)
    assert "by 10 mm at the right" in whorl_out.says


def test_what_is_left_beside_the_crank_is_measured():
    case = Case((330.0, 200.0, 40.0), (-62.0, -100.0, -20.0))
    drive = Drive("a", "crank", 60.0, "counter-clockwise", 50.0)
    found = values(wheel(96.0, 56.0, 200.0, case=case, drive=drive), "hand-room")
    assert found == pytest.approx({"drive, the left of the case": 12.0})
    tall = replace(drive, radius_mm=75.0)
    found = values(wheel(96.0, 56.0, 200.0, case=case, drive=tall), "hand-room")
    assert found == pytest.approx({"drive, the left of the case": -13.0})


def test_a_cord_bent_round_a_flat_rim_lies_on_it():
    found = values(wheel(FlatRim(5.0, 4.0), FlatRim(60.0, 4.0), 200.0), "cord-too-thick")
    assert found == pytest.approx({'band "band" at "one"': 5.0})


def test_hand_is_on_the_outer_side_of_the_crank():
    # The crank turns below the wheel: the fist hangs down from it, and a post above is no matter.
    drive = Drive("a", "crank", 60.0, "counter-clockwise", 50.0, -30.0)
    design = wheel(96.0, 56.0, 300.0, drive=drive)

    def with_post(*ends):
        post = Shaft("post", (60.0, 0.0, 0.0), Z_AXIS, 4.0, ends_mm=ends)
        return values(replace(design, shafts=(*design.shafts, post)), "hand-room")

    assert with_post(-80.0, -40.0)
    assert with_post(-20.0, 60.0) == {}


def test_a_remedy_names_the_smallest_change_that_does():
    def remedies(design):
        return {f.rule: f.remedy for f in check_design(design).findings}

    # r1 - r2 = 20 mm must lie between the shafts, and 15 do; to a tenth, and not just touching.
    close = replace(wheel(96.0, 56.0, 15.0), limits={"wrap_deg": 0.0, "least_wrap_deg": 0.0})
    assert remedies(close)["no-path"].edits == (Edit("b.at", (15.0, 0.0, 0.0), (20.1, 0.0, 0.0)),)
    # 30 mm of lead over a run of 300 mm are 5.7 degrees; 3 degrees are 15.7 mm.
    aside = wheel(80.0, 80.0, 300.0, offsets=(0.0, 30.0), limits={"arriving_deg": 3.0})
    needed = 30.0 - 300.0 * math.tan(math.radians(3.0))
    assert needed == pytest.approx(14.278, abs=1e-3)
    # 14.3 mm would leave it 0.02 mm to spare, which nobody marks: a tenth more
    assert remedies(aside)["arriving-angle"].edits == (Edit("two.offset", 30.0, 15.6),)


def test_a_run_may_pass_close_by_the_next_groove_of_the_same_wheel():
    # Two grooves turned in one wheel, half a millimetre of wood between cord and the next groove.
    thin = {"width_mm": 3.0}
    grooves = [RoundGroove(96.0, 2.0, 1.0), RoundGroove(60.0, 2.0, 1.0)]
    design = wheel(*grooves, 300.0)
    pulleys = tuple(replace(p, **thin) for p in design.pulleys)
    second = tuple(
        replace(p, name=f"{p.name} 2", offset_mm=3.0, groove=g)
        for p, g in zip(pulleys, grooves, strict=True)
    )
    bands = (*design.bands, Band("band 2", (Stop("one 2"), Stop("two 2")), "cotton cord", 2.0))
    double = replace(design, pulleys=(*pulleys, *second), bands=bands)
    assert values(double, "run-hits-pulley") == {}
    apart = tuple(
        replace(p, offset_mm=p.offset_mm + 0.4) if p in second else p for p in double.pulleys
    )
    assert values(replace(double, pulleys=apart), "run-hits-pulley") == {}


def test_where_the_mouth_does_not_catch_the_band_practice_adds_nothing():
    vee = VeeGroove(60.0, 4.0, 40.0, 1.0)
    design = wheel(vee, vee, 300.0, offsets=(0.0, 100.0))
    assert values(design, "mouth-spinning")
    assert values(design, "arriving-angle") == {}


def test_turns_of_the_hand_per_metre_and_per_draw_and_the_cord_to_cut():
    yarn = Yarn(Count(40.0, "Nm"), "cotton", "S", turns_per_metre=840.0, draw_mm=650.0)
    design = wheel(96.0, 24.0, 300.0, yarn=yarn)
    stretched = replace(design, bands=(replace(design.bands[0], stretch=0.05),))
    document = answer_of(check_design(stretched)).to_json()
    assert document["twist"]["drive_turns_per_metre"] == pytest.approx(840.0 / 4.0)
    assert document["twist"]["drive_turns_per_draw"] == pytest.approx(840.0 / 4.0 * 0.65)
    # Open belt: 2 sqrt(C^2 - (R - r)^2) + (R + r) pi + 2 (R - r) asin((R - r)/C).
    c, big, small = 300.0, 48.0, 12.0
    length = (
        2 * math.sqrt(c**2 - (big - small) ** 2)
        + math.pi * (big + small)
        + 2 * (big - small) * math.asin((big - small) / c)
    )
    (band,) = document["bands"]
    assert band["length_mm"] == pytest.approx(length, rel=1e-12)
    assert band["cut_length_mm"] == pytest.approx(length / 1.05, rel=1e-12)
    assert band["speed_m_s"] == pytest.approx(math.pi * 0.096, rel=1e-12)


def test_a_flyer_takes_its_bobbin_along_and_the_bobbin_must_be_driven_too():
    flyer = read_design(DESIGNS / "flyer-wheel.toml")
    strict = replace(flyer, limits={"wrap_deg": 135.0})
    findings = {f.where: f for f in check_design(strict).findings if f.rule == "wrap"}
    assert set(findings) == {
        'band "double band" at "flyer whorl"', 'band "double band" at "bobbin whorl"',
    }  # fmt: skip
    for finding in findings.values():
        assert [e.key for e in finding.remedy.edits] == ["flyer.at", "bobbin.at"]


def test_what_touches_cannot_turn():
    # The accelerator stands at y = 147 mm in a case whose back wall is at 190 mm: a rim of 86 mm
    # touches it. A tenth less is near, which is only a warning.
    wheel = wheelgeo.load(DESIGNS / "box-wheel.toml")

    def levels(rim_mm):
        design = wheel.put("accelerator.rim", rim_mm).design
        found = (*check_design(design).findings, *built_findings(put_under_check(design)))
        return {f.rule: (f.level, f.says) for f in found if '"accelerator"' in f.where}

    near, there = levels(85.8), levels(86.0)
    for rule in ("outside-case", "bodies-collide"):
        assert near[rule][0] == "warning"
        assert there[rule][0] == "fault"
        assert "touches" in there[rule][1]
