"""Old wheels from a tape, against the textbooks' open and crossed belts and against chance."""

import json
import math
import re

import pytest

import wheelgeo
from wheelgeo.old_wheels import as_file, measurement_faults
from wheelgeo.shop.old_wheel_words import not_used
from wheelgeo.tune.old_wheel_file import not_in_file, old_wheel_text

IN = 25.4
WHEEL = {
    "wheel": "21 1/2 in", "groove": "1/4 in", "whorl": "1 3/8 in", "whorl_groove": "3/16 in",
    "apart": "17 3/4 in", "cord": "3 mm cotton cord",
}  # fmt: skip


def in_vee_mm(rim, depth, cord):
    """Pitch radius of a cord in a sharp vee of 60 degrees: r / sin 30 above its bottom."""
    return rim / 2 - depth + cord / 2 / math.sin(math.radians(30))


def belt_mm(r1, r2, apart, crossed=False):
    """Exact length of an open or crossed belt (Encyclopaedia Britannica, 11th ed., vol. 17)."""
    reach = r1 + r2 if crossed else r1 - r2
    lean = math.asin(reach / apart)
    straight = math.sqrt(apart**2 - reach**2)
    arcs = (math.pi + 2 * lean) * (r1 + r2) if crossed else (
        math.pi * (r1 + r2) + 2 * lean * (r1 - r2)
    )  # fmt: skip
    return 2 * straight + arcs


@pytest.mark.parametrize("crossed", [False, True])
def test_four_measurements_by_hand(crossed):
    found = wheelgeo.old_wheel(**WHEEL, crossed=crossed)
    (band,) = found.answer.bands
    r1 = in_vee_mm(21.5 * IN, 0.25 * IN, 3.0)
    r2 = in_vee_mm(1.375 * IN, 3 / 16 * IN, 3.0)
    length = belt_mm(r1, r2, 17.75 * IN, crossed)
    assert band.length_mm == pytest.approx(length, abs=1e-7)
    assert band.cut_length_mm == pytest.approx(length / 1.02, abs=1e-7)
    assert band.cut_with_joint_mm == pytest.approx(length / 1.02 + band.joint_mm, abs=1e-7)
    assert found.answer.ratio == pytest.approx(r1 / r2)


def test_a_girth_is_of_the_thread_half_a_cord_below_the_centre():
    found = wheelgeo.old_wheel(
        girth="1700 mm", whorl_girth="90 mm", apart="450 mm", cord="3 mm hemp cord"
    )
    r1, r2 = (g / math.tau + 1.5 for g in (1700, 90))
    assert found.answer.bands[0].length_mm == pytest.approx(belt_mm(r1, r2, 450), abs=1e-7)


def test_without_a_depth_the_cord_lies_on_the_rim():
    found = wheelgeo.old_wheel(
        wheel="500 mm", whorl="40 mm", apart="450 mm", cord="4 mm leather cord"
    )
    assert found.answer.bands[0].length_mm == pytest.approx(belt_mm(252, 22, 450), abs=1e-7)


@pytest.mark.parametrize(
    "distance",
    [
        {"edge_to_edge": "180 mm"},
        {"over_axles": "461 mm", "axle": "14 mm", "rod": "8 mm"},
    ],
)
def test_other_ways_to_the_distance(distance):
    found = wheelgeo.old_wheel(
        wheel="500 mm", whorl="40 mm", cord="4 mm cotton cord", **distance
    )
    assert found.answer.bands[0].length_mm == pytest.approx(belt_mm(252, 22, 450), abs=1e-7)


def test_the_parts_of_the_uncertainty_by_hand():
    """A slim case that is all but linear: only the distance is unsure, and the stretch."""
    found = wheelgeo.old_wheel(
        wheel="200 +- 0.001 mm", whorl="200 +- 0.001 mm", apart="1000 +- 5 mm",
        cord="4 +- 0.001 mm cotton cord",
    )  # fmt: skip
    (band,) = found.answer.bands
    assert band.length_uncertainty_mm == pytest.approx(10.0, abs=0.02)
    assert found.measuring_mm == pytest.approx(10.0 / 1.02, abs=0.02)
    length = band.length_mm
    assert found.stretch_mm == pytest.approx((length / 1.01 - length / 1.03) / 2)
    assert band.cut_length_uncertainty_mm == pytest.approx(
        math.hypot(found.measuring_mm, found.stretch_mm)
    )


def test_an_edge_distance_counts_the_rim_twice():
    """A larger rim is further round and further off: both grow the band."""
    sure = {"whorl": "40 +- 0.001 mm", "cord": "4 +- 0.001 mm cotton cord"}
    edge = wheelgeo.old_wheel(wheel="500 +- 4 mm", edge_to_edge="180 +- 0.001 mm", **sure)
    axle = wheelgeo.old_wheel(wheel="500 +- 4 mm", apart="450 +- 0.001 mm", **sure)

    def slope(of):
        return (of(254) - of(250)) / 2

    by_edge = slope(lambda r: belt_mm(r, 22, 180 + r - 2 + 20))
    by_axle = slope(lambda r: belt_mm(r, 22, 450))
    assert edge.answer.bands[0].length_uncertainty_mm == pytest.approx(by_edge, rel=1e-3)
    assert axle.answer.bands[0].length_uncertainty_mm == pytest.approx(by_axle, rel=1e-2)
    assert by_edge > 1.3 * by_axle


def test_what_is_saved_is_read_and_knows_its_uncertainty(tmp_path):
    found = wheelgeo.old_wheel(**WHEEL)
    found.wheel.save(tmp_path / "old.toml")
    again = wheelgeo.load(tmp_path / "old.toml").solve()
    assert again.bands[0].length_mm == pytest.approx(found.answer.bands[0].length_mm)
    half = found.answer.bands[0].length_uncertainty_mm
    assert again.bands[0].length_uncertainty_mm == pytest.approx(half, rel=1e-6)
    cut = found.answer.bands[0].cut_length_uncertainty_mm
    assert again.bands[0].cut_length_uncertainty_mm == pytest.approx(cut, rel=1e-6)
    assert again.ratio_uncertainty == pytest.approx(found.answer.ratio_uncertainty, rel=1e-6)


def test_the_document_has_the_keys_of_solve():
    found = wheelgeo.old_wheel(**WHEEL)
    assert found.to_json().keys() == found.wheel.solve().to_json().keys()
    json.dumps(found.to_json(), allow_nan=False)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"apart": ""}, "missing"),
        ({"girth": "60 in"}, "twice"),
        ({"wheel": "21.5"}, "unit"),
        ({"wheel": "-3 in"}, "more than 0"),
        ({"cord": "3 mm coton cord"}, "cotton cord"),
        ({"cord": "cotton cord"}, "its thickness is missing"),
        ({"cord": "3 mm linen cord"}, "hemp cord is the most like it"),
        ({"groove_shape": "square"}, "no shape of a groove"),
        ({"groove": "", "whorl_groove": "", "groove_shape": "round"}, "depth is missing"),
        ({"apart": "", "fits": "60 in loop"}, "too short"),
        ({"apart": "", "fits": "loop"}, "has no length"),
        ({"apart": "", "fits": "1 in cord"}, "too short"),
        ({"fits": "nonsense"}, "nonsense"),
        ({"whorl_groove": "1 7/8 in"}, r"did you mean 3/16 in .*whorl's groove"),
        ({"unit": "ell"}, "no unit of length"),
        ({"wheel": "nonsense"}, "nonsense"),
        ({"groove": "15 in"}, "reaches the middle"),
        ({"groove": "15 in", "apart": "", "fits": "77 in loop"}, "reaches the middle"),
        ({"cord": "string"}, "names no cord"),
        ({"cord": "coton cord 3 mm"}, "did you mean \"cotton cord\""),
        ({"cord": "cotton cord 3"}, "unit"),
        ({"cord": "3 mm cotton cord 4 mm"}, "two lengths"),
        ({"cord": ""}, "thickness and what it is are missing"),
        ({"crossed": True, "double": "2 in"}, "twice round cannot cross"),
    ],
)
def test_what_makes_no_wheel_is_said(change, says):
    with pytest.raises(wheelgeo.DesignError, match=says):
        wheelgeo.old_wheel(**{**WHEEL, **change})


@pytest.mark.parametrize(
    "told",
    ["3mm cotton cord", "cotton cord 3 mm", "cotton cord 3mm", "cotton cord, 3 mm", "3 mm cotton",
     "cotton 3 mm", "Cotton cord (3 mm thick)", "cotton cord of 3 mm", "3 mm thick cotton cord",
     "3 mm cotton string", "cotton cord: ø 3 mm"],
)  # fmt: skip
def test_a_cord_is_read_wherever_its_thickness_stands(told):
    same = wheelgeo.old_wheel(**WHEEL)
    assert wheelgeo.old_wheel(**{**WHEEL, "cord": told}).answer.bands == same.answer.bands


def test_how_sure_a_thickness_is_stands_behind_it_wherever_that_is():
    one, other = (wheelgeo.old_wheel(**{**WHEEL, "cord": cord}).answer.bands[0]
                  for cord in ("3 +- 0.4 mm hemp cord", "hemp cord, 3 +- 0.4 mm"))  # fmt: skip
    assert one == other


# The sizes of WHEEL after a slip of the pen or of the unit; what was meant is WHEEL's own.
@pytest.mark.parametrize(
    ("change", "where", "meant"),
    [
        ({"apart": "177.5 in"}, "drive band", "17 3/4 in"),
        ({"whorl": "13 3/4 in"}, "whorl", "1 3/8 in"),
        ({"groove": "2 1/2 in"}, "wheel", "1/4 in"),
        ({"cord": "3 in cotton cord"}, "drive band", "3 mm"),
        ({"wheel": "1 3/8 in", "groove": "3/16 in", "whorl": "21 1/2 in", "whorl_groove": "1/4 in"},
         "whorl", "wheel and whorl the other way round"),
    ],
)  # fmt: skip
def test_a_size_that_no_wheel_has_is_told_with_what_was_meant(change, where, meant):
    found = [f for f in wheelgeo.old_wheel(**{**WHEEL, **change}).answer.findings
             if f.rule == "unlikely-size"]  # fmt: skip
    assert where in {f.where for f in found}
    assert all(meant in f.remedy.says for f in found)
    assert not [f for f in wheelgeo.old_wheel(**WHEEL).answer.findings if f.rule == "unlikely-size"]


def test_no_wheel_that_comes_with_the_program_has_an_unlikely_size():
    from wheelgeo.design.library import design_text, shipped_designs
    from wheelgeo.tune.old_wheel_likely import unlikely

    for name in shipped_designs():
        assert unlikely(wheelgeo.read(design_text(name)).design) == (), name


@pytest.mark.parametrize(
    ("driven", "by"), [("hand", "hand"), ("foot", "treadle"), ("", "treadle"), ("crank", "crank")]
)
def test_what_turns_the_wheel_is_told_or_assumed(driven, by):
    found = wheelgeo.old_wheel(**WHEEL, driven=driven)
    assert found.wheel.design.drive.by == by
    taken = {a.what: a.taken for a in found.assumed_in_file}["how the wheel is driven"]
    assert ("treadle" in taken) == (driven == "")


def test_two_ways_to_the_distance_are_compared():
    """The rims' edges are 17 3/4 in less both radii apart: 17 3/4 - (21 1/2 + 1 3/8)/2 = 6 5/16."""
    for edge, rule, miss_in in (("6 5/16 in", "distances-agree", 0.0),
                                ("8 in", "distances-disagree", 8 - 6 - 5 / 16)):  # fmt: skip
        found = wheelgeo.old_wheel(**WHEEL, edge_to_edge=edge)
        (told,) = (f for f in found.answer.findings if f.rule.startswith("distances-"))
        assert told.rule == rule
        assert told.value == pytest.approx(25.4 * miss_in, abs=1e-6)
        assert found.wheel.design == wheelgeo.old_wheel(**WHEEL).wheel.design


@pytest.mark.parametrize(
    ("fits", "what"), [("70 in loop", "cut_length"), ("72 in cord", "cut_with_joint")]
)
def test_a_band_that_fits_beside_the_distance_is_kept_and_contradicts_it_in_the_file(fits, what):
    found = wheelgeo.old_wheel(**WHEEL, fits=fits)
    assert found.answer.bands == wheelgeo.old_wheel(**WHEEL).answer.bands
    assert not {f.rule for f in found.answer.findings} & {"measurements-disagree"}  # told once
    assert "reading of fits" in {a.what for a in found.assumed}
    filed = as_file(found)
    (kept,) = filed.design.measured
    assert kept.what == f"drive band.{what}"
    assert "measurements-disagree" in {f.rule for f in filed.check().findings}
    assert "drive band." + what in filed.measure().disagree


def test_a_distance_told_in_a_way_that_no_file_has_stands_in_its_comments():
    found = wheelgeo.old_wheel(**WHEEL, edge_to_edge="8", over_axles="18 in", unit="in")
    said = "rim to rim (8 in) and over both axles (18 in) are not kept in it but in a comment"
    assert said in not_in_file(found.measured)
    assert f"# {not_in_file(found.measured)}\n" in old_wheel_text(found)
    for more in ({}, {"fits": "76 in loop"}):
        assert not not_in_file(wheelgeo.old_wheel(**WHEEL, **more).measured)


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [("21 1/2", "", 546.1), ("21 1/2", "mm", 546.1), ("546.1", "mm", 546.1), ("54.61", "cm", 546.1),
     ("21.5", "in", 546.1), ("21½ +- ⅛", "cm", 546.1), ("1 ft 9 1/2 in", "mm", 546.1)],
)  # fmt: skip
def test_a_length_without_a_unit_is_in_that_of_the_others_and_eighths_are_of_inches(text, unit, mm):
    found = wheelgeo.old_wheel(**{**WHEEL, "wheel": text, "unit": unit})
    assert found.wheel.get("wheel.rim") == pytest.approx(mm, rel=1e-12)
    assert ("unit of wheel" in {a.what for a in found.assumed}) == ("ft" not in text)


def test_a_whorl_inside_the_wheel_has_no_band():
    found = wheelgeo.old_wheel(**{**WHEEL, "apart": "5 in"})
    assert found.answer.bands[0].length_mm is None
    assert "no-path" in {f.rule for f in found.answer.findings}


@pytest.mark.parametrize(
    ("groove", "cord"), [("1/4 in", "3 mm"), ("14 mm", "3 mm"), ("6 mm", "6 mm")]
)
def test_a_double_band_goes_twice_round_by_hand(groove, cord):
    """Two open belts in one: over flyer and bobbin, each of half the wheel's turn and its own."""
    found = wheelgeo.old_wheel(
        wheel="500 mm", groove=groove, whorl="70 mm", whorl_groove=groove, double="62 mm",
        apart="450 mm", cord=f"{cord} cotton cord",
    )  # fmt: skip
    assert not found.answer.faults
    depth = 0.25 * IN if "in" in groove else float(groove.split()[0])
    thick = float(cord.split()[0])
    big, flyer, bobbin = (in_vee_mm(d, depth, thick) for d in (500, 70, 62))
    (band,) = found.answer.bands
    flat = 0.5 * sum(belt_mm(big, small, 450) * 2 for small in (flyer, bobbin))
    # A run that goes s aside is longer by s^2 / 2L, to first order: two go half the sum of both
    # distances aside, two half their difference.
    at = {name: found.wheel.get(f"{name}.offset")
          for name in ("wheel", "second groove", "whorl", "bobbin whorl")}  # fmt: skip
    apart, between = at["second groove"] - at["wheel"], at["bobbin whorl"] - at["whorl"]
    straight = math.sqrt(450**2 - (big - flyer) ** 2)
    longer = 0.5 * (apart**2 + between**2) / straight
    assert band.length_mm == pytest.approx(flat + longer, abs=0.05)
    assert found.answer.ratio == pytest.approx(big / flyer)


def test_a_double_band_over_two_whorls_alike_winds_nothing():
    alike, less = (
        wheelgeo.old_wheel(wheel="500 mm", whorl="50 mm", double=double, apart="450 mm",
                           cord="2 mm cotton cord").answer.findings
        for double in ("50 mm", "49 mm")
    )  # fmt: skip
    assert [f.level for f in alike if f.rule == "winds-nothing"] == ["fault"]
    assert "winds-nothing" not in {f.rule for f in less}


def test_the_wheels_uncertainties_stand_in_one_order_on_every_run():
    wheel = wheelgeo.old_wheel(**_DOUBLE, cord="3 mm cotton cord").wheel
    told = [key.split(":")[1].partition(".")[0] for key in wheel.design.uncertainties
            if key.startswith("pulley:")]  # fmt: skip
    pulleys = list(dict.fromkeys(told))
    assert pulleys == ["wheel", "second groove", "whorl", "bobbin whorl"]


_DOUBLE = {"wheel": "20 1/4 in", "groove": "3/8 in", "whorl": "2 in", "whorl_groove": "1/4 in",
           "double": "1 1/2 in", "apart": "16 1/2 in"}  # fmt: skip


@pytest.mark.parametrize("shape", ["vee", "round", "worn"])
@pytest.mark.parametrize("cord", ["3/32 in", "1/8 in"])
def test_a_double_band_is_not_at_fault_by_a_distance_that_nobody_measured(shape, cord):
    found = wheelgeo.old_wheel(**_DOUBLE, groove_shape=shape, cord=f"{cord} cotton cord")
    assert [f.says for f in found.answer.findings if f.level != "note"] == []
    assert {a.what for a in found.assumed} >= {
        "the wheel's two grooves apart", "the whorls of flyer and bobbin apart",
    }  # fmt: skip
    saved = wheelgeo.read(found.wheel.to_toml()).check()
    assert [f.says for f in saved.findings if f.level == "fault"] == []


def test_a_saved_double_wheel_keeps_which_distances_were_only_assumed():
    """Its file tells what to measure; a whorl pushed into the other is a fault all the same."""
    asked = {"wheel": "22 in", "groove": "1/4 in", "whorl": "2 1/2 in", "whorl_groove": "1/4 in",
             "double": "2 1/8 in", "apart": "19 1/2 in", "groove_shape": "round",
             "cord": "1/8 in cotton cord", "unit": "in"}  # fmt: skip
    saved = wheelgeo.read(as_file(wheelgeo.old_wheel(**asked)).to_toml())
    (rub,) = (f for f in saved.check().findings if f.rule == "crossed-runs-rub")
    assert rub.level == "note"
    assert rub.remedy.says.startswith("measure these two: the distance between the wheel's two")
    onto = saved.put("whorl.offset", saved.get("bobbin whorl.offset") - 5.0).check().findings
    assert {"pulleys-overlap"} <= {f.rule for f in onto if f.level == "fault"}
    apart = {key: f"{saved.get(b) - saved.get(a):.3f} mm" for key, a, b in (
        ("grooves_apart", "wheel.offset", "second groove.offset"),
        ("whorls_apart", "whorl.offset", "bobbin whorl.offset"))}  # fmt: skip
    measured = as_file(wheelgeo.old_wheel(**asked, **apart)).check().findings
    assert [f.level for f in measured if f.rule == "crossed-runs-rub"] == ["warning"]


def test_flyer_and_bobbin_slide_as_one():
    wheel = wheelgeo.old_wheel(
        **_DOUBLE, groove_shape="round", cord="1/8 in cotton cord", slide="1 in"
    ).wheel
    (short,) = (f for f in wheel.check().findings if f.rule == "no-take-up")
    assert short.remedy.says.count(" slide ") == 1
    assert [one.key for one in short.remedy.edits] == ["flyer.slide"]
    assert not [f for f in short.remedy.apply().check().findings if f.rule == "no-take-up"]


def test_the_measured_distance_of_a_double_bands_grooves_counts():
    """Runs go over by half the sum of both distances: in a narrow groove 30 mm are too far."""
    near, far = (
        wheelgeo.old_wheel(**_DOUBLE, groove_shape="round", cord="3/32 in cotton cord",
                           mouth="3/16 in", whorl_mouth="3/16 in", grooves_apart=wide,
                           whorls_apart=wide)
        for wide in ("1/4 in", "30 mm")
    )  # fmt: skip
    assert near.wheel.get("second groove.offset") == pytest.approx(IN / 8)
    assert near.wheel.get("whorl.offset") == pytest.approx(-IN / 8)
    assert not any("apart" in a.what for a in near.assumed if a.what != "reading of apart")
    assert {f.rule for f in near.answer.findings if f.level == "fault"} == set()
    assert "mouth-spinning" in {f.rule for f in far.answer.findings if f.level == "fault"}


NEAR = ("1/8 in", "3/16 in", "7/32 in", "5.4993 mm", "1/4 in")
DEEP = ("3/16 in", "0.25 in", "6.35 mm", "5 mm")
SHAPES = ("", "vee", "round", "worn")


@pytest.mark.parametrize(
    ("apart", "deep", "shape"),  # each two of them meet
    [(a, d, SHAPES[(i + k) % 4]) for i, a in enumerate(NEAR) for k, d in enumerate(DEEP)],
)
def test_no_pulley_comes_out_narrower_than_its_own_groove(apart, deep, shape):
    """Whorls so near one another share what their mouths leave, and that may be nothing."""
    wheel = wheelgeo.old_wheel(
        wheel="22 in", groove=deep, whorl="2 in", whorl_groove=deep, apart="19 in", double="1.9 in",
        cord="3 mm cotton cord", whorls_apart=apart, grooves_apart=apart, groove_shape=shape,
    ).wheel  # fmt: skip
    for pulley in wheel.design.pulleys:
        assert pulley.width_mm >= pulley.groove.least_width_mm


@pytest.mark.parametrize("shape", ["vee", "round", "worn"])
def test_a_mouth_that_nobody_measured_throws_no_band(shape):
    """It says how narrow the mouth must be for that: there the fault begins."""
    aslant = {"wheel": "20 in", "groove": "1/8 in", "whorl": "2 3/8 in", "whorl_groove": "1/4 in",
              "apart": "17 in", "cord": "2.5 mm cotton", "aside": "3 in",
              "groove_shape": shape}  # fmt: skip
    found = wheelgeo.old_wheel(**aslant)
    told = [f for f in found.answer.findings if f.rule == "mouth-spinning"]
    assert [(f.level, f.where) for f in told] == [("note", 'band "drive band" at "wheel"')]
    assert found.staying_on.pulleys[0].holds is None
    mouth_mm = float(re.search(r"narrower than ([0-9.]+) mm", told[0].says)[1])
    for mouth, levels in ((mouth_mm + 0.1, []), (mouth_mm - 0.1, ["fault"])):
        known = wheelgeo.old_wheel(**aslant, mouth=mouth)
        found = [f.level for f in known.answer.findings if f.rule == "mouth-spinning"]
        assert found == levels
        assert known.staying_on.pulleys[0].holds == (not levels)


@pytest.mark.parametrize(
    ("shape", "depth", "mouth"),
    [("vee", 5.0, 4.0), ("round", 2.0, 7.0), ("round", 6.0, 4.0), ("worn", 5.0, 8.0),
     ("worn", 1.0, 9.0), ("worn", 6.0, 3.2)],
)  # fmt: skip
def test_a_groove_is_as_wide_at_the_rim_as_it_was_measured(shape, depth, mouth):
    found = wheelgeo.old_wheel(wheel=500, groove=depth, groove_shape=shape, mouth=mouth, whorl=60,
                               apart=450, cord="3 mm cotton")  # fmt: skip
    groove = found.wheel.design.pulley("wheel").groove
    assert groove.mouth_mm == pytest.approx(mouth, abs=1e-5)
    assert groove.depth_mm == depth
    if shape != "vee":
        pitch = found.answer.bands[0].pulleys[0].pitch_diameter_mm
        assert pitch == pytest.approx(500 - 2 * depth + 3)
    again = wheelgeo.read(found.wheel.to_toml()).solve()
    assert again.ratio_uncertainty == pytest.approx(found.answer.ratio_uncertainty, rel=0.3)


@pytest.mark.parametrize(
    ("more", "says"),
    [({"groove": "", "mouth": "8 mm"}, "whose depth is not told"),
     ({"mouth": "2 mm"}, "narrower than the cord")],
)  # fmt: skip
def test_a_mouth_that_says_nothing_is_refused(more, says):
    with pytest.raises(wheelgeo.DesignError, match=says):
        wheelgeo.old_wheel(**WHEEL | more)


def test_that_nothing_slides_is_told_as_assumed():
    told, silent = ({a.what for a in wheelgeo.old_wheel(**WHEEL | more).assumed}
                    for more in ({"slide": "1 in"}, {}))  # fmt: skip
    assert silent - told == {"slide of the spindle"}
    assert told <= silent


@pytest.mark.parametrize(
    "measured",
    [
        {"girth": "1700 mm", "whorl_girth": "90 mm", "apart": "450 mm"},
        {"wheel": "500 mm", "whorl": "40 mm", "edge_to_edge": "180 mm"},
        {"wheel": "500 mm", "whorl": "40 mm", "over_axles": "461 mm"},
        {"wheel": "500 mm", "groove": "6 mm", "whorl": "70 mm", "whorl_groove": "6 mm",
         "double": "62 mm", "apart": "450 mm"},
    ],
)  # fmt: skip
def test_a_saved_wheel_claims_no_more_certainty(measured):
    """What enters twice (a rim in a distance from its edge) may be told too small in a file."""
    found = wheelgeo.old_wheel(**measured, cord="3 mm cotton cord")
    again = wheelgeo.read(found.wheel.to_toml()).solve()
    for mine, saved in (
        (found.answer.ratio_uncertainty, again.ratio_uncertainty),
        (found.answer.bands[0].length_uncertainty_mm, again.bands[0].length_uncertainty_mm),
    ):
        assert mine / 1.5 <= saved <= 1.5 * mine


@pytest.mark.parametrize("wheel", ["21 1/2 +- 30 in", "21 1/2 +- 21 in"])
def test_a_wild_uncertainty_is_named(wheel):
    with pytest.raises(wheelgeo.DesignError, match="wheel: "):
        wheelgeo.old_wheel(**{**WHEEL, "wheel": wheel})


def test_a_joint_is_chosen_by_name_or_by_the_cord_that_it_takes():
    # common practice, no source: a splice takes twenty diameters of the cord
    plain, splice, length = (wheelgeo.old_wheel(**WHEEL, **more).answer.bands[0]
                             for more in ({}, {"joint": "splice"}, {"joint": "1 in"}))  # fmt: skip
    assert (splice.joint, splice.joint_mm, splice.joint_assumed) == ("splice", 60.0, True)
    assert (length.joint, length.joint_mm, length.joint_assumed) == (plain.joint, 25.4, False)
    assert splice.cut_length_mm == length.cut_length_mm == plain.cut_length_mm
    assert splice.cut_with_joint_mm == pytest.approx(plain.cut_length_mm + 60.0)


@pytest.mark.parametrize(
    ("joint", "says"),
    [("welded butt", "cannot be joined by"), ("splize", 'did you mean "splice"'),
     ("-3 mm", "is no joint"), ("0 mm", "not more than 0"), ("many", "is no joint")],
)  # fmt: skip
def test_a_joint_that_the_cord_does_not_take_is_refused(joint, says):
    with pytest.raises(wheelgeo.DesignError, match=says):
        wheelgeo.old_wheel(**WHEEL, joint=joint)


@pytest.mark.parametrize("text", ["21½", "21 1/2", "21-1/2", "21 1/2 +- 1/8"])
def test_a_fraction_without_a_unit_is_inches_and_that_is_told(text):
    found = wheelgeo.old_wheel(**WHEEL | {"wheel": text})
    whole = wheelgeo.old_wheel(**WHEEL)
    assert found.answer.bands[0].length_mm == whole.answer.bands[0].length_mm
    assert [a.taken for a in found.assumed if a.what == "unit of wheel"] == [f"{text} in"]
    assert found.answer.design.unit == "in"


@pytest.mark.parametrize(
    "text", ["21 1/2 in.", "21 1/2 inches.", "21 1/2 in. +- 1/8 in.", "1 ft 9 1/2 in.", '21½"']
)
def test_a_length_may_be_written_as_people_write_it(text):
    assert wheelgeo.old_wheel(**WHEEL | {"wheel": text}).wheel.get("wheel.rim") == 546.1


def test_a_decimal_comma_is_not_guessed_at():
    with pytest.raises(wheelgeo.DesignError, match=r'"54\.61 cm", with a point, or "5461 cm"'):
        wheelgeo.old_wheel(**WHEEL | {"wheel": "54,61 cm"})


@pytest.mark.parametrize("text", ["21", "21.5", "500"])
def test_a_plain_number_without_a_unit_is_refused(text):
    with pytest.raises(wheelgeo.DesignError, match="needs its unit"):
        wheelgeo.old_wheel(**WHEEL | {"wheel": text})


@pytest.mark.parametrize(
    ("name", "text", "wrong"),
    [("wheel", "21 1/2", False), ("wheel", "ten in", True), ("cord", "3 mm coton cord", True),
     ("cord", "3 mm cotton cord", False), ("groove_shape", "r", False), ("whorl_shape", "w", False),
     ("whorl_shape", "square", True), ("fits", "75 in loop", False), ("fits", "75 loop", True),
     ("slide", "0 mm", True), ("over_axles", "19 in", False),
     ("whorls_apart", "1 in", False), ("grooves_apart", "1", True), ("least", "21 in", False)],
)  # fmt: skip
def test_one_measurement_is_read_before_the_others_are_known(name, text, wrong):
    assert bool(measurement_faults(name, text)) == wrong


@pytest.mark.parametrize(
    "more",
    [
        {},
        {"crossed": True},
        {"slide": "1 in", "aside": "1/16 in"},
        {"double": "1 1/8 in", "slide": "1 in"},
        {"double": "1 5/8 in", "cord": "2 mm cotton cord", "whorl": "2 1/8 in"},
        {"wheel": "", "girth": "64 in", "whorl": "", "whorl_girth": "4 in"},
    ],
)
def test_a_saved_wheel_is_not_at_fault_by_itself(more):
    saved = wheelgeo.read(wheelgeo.old_wheel(**WHEEL | more).wheel.to_toml())
    assert [f.says for f in saved.check().findings if f.level == "fault"] == []


# --- the shape of a groove ------------------------------------------------------------------------


def on_bottom_mm(rim, depth, cord):
    """Pitch radius of a cord on the bottom of a groove."""
    return rim / 2 - depth + cord / 2


@pytest.mark.parametrize("shape", ["round", "worn", "r"])
def test_in_a_round_or_worn_groove_the_cord_lies_on_the_bottom(shape):
    found = wheelgeo.old_wheel(**WHEEL, groove_shape=shape)
    r1, r2 = on_bottom_mm(21.5 * IN, 0.25 * IN, 3), on_bottom_mm(1.375 * IN, 3 / 16 * IN, 3)
    assert found.answer.ratio == pytest.approx(r1 / r2)
    assert found.answer.bands[0].length_mm == pytest.approx(belt_mm(r1, r2, 17.75 * IN), abs=1e-7)
    assert found.if_round is None
    assert not found.answer.faults


def test_the_whorl_may_have_a_shape_of_its_own():
    found = wheelgeo.old_wheel(**WHEEL, groove_shape="vee", whorl_shape="round")
    r1, r2 = in_vee_mm(21.5 * IN, 0.25 * IN, 3), on_bottom_mm(1.375 * IN, 3 / 16 * IN, 3)
    assert found.answer.ratio == pytest.approx(r1 / r2)
    assert found.if_round is None


def test_what_round_grooves_would_make_of_it_is_told_where_nobody_looked():
    unknown, vee, round_ = (
        wheelgeo.old_wheel(**WHEEL, groove_shape=shape) for shape in ("", "vee", "round")
    )
    assert unknown.answer.ratio == vee.answer.ratio
    assert [a.taken for a in unknown.assumed if a.what == "shape of the grooves"]
    told = unknown.if_round
    assert told.ratio == pytest.approx(round_.answer.ratio)
    assert told.length_mm == pytest.approx(round_.answer.bands[0].length_mm)
    assert told.cut_with_joint_mm == pytest.approx(round_.answer.bands[0].cut_with_joint_mm)
    # both kinds of groove lie within what is told, each with its own uncertainty
    for known in (vee.answer, round_.answer):
        assert told.ratio_low <= known.ratio - known.ratio_uncertainty
        assert told.ratio_high >= known.ratio + known.ratio_uncertainty
    assert told.grooves == ("wheel", "whorl")
    alone = wheelgeo.old_wheel(**WHEEL, whorl_shape="round").if_round
    assert (alone.grooves, alone.ratio) == (("wheel",), told.ratio)
    assert "groove-shape-unknown" in {f.rule for f in unknown.answer.findings}
    assert "groove-shape-unknown" not in {f.rule for f in vee.answer.findings}


def test_no_shape_is_asked_of_a_plain_rim():
    assert wheelgeo.old_wheel(**WHEEL | {"groove": "", "whorl_groove": ""}).if_round is None


_GIRTHS = {"girth": "65 31/32 in", "whorl_girth": "3 9/64 in", "apart": "17 3/4 in",
           "cord": "1/8 in cotton cord"}  # fmt: skip


def test_a_thread_in_the_point_of_a_vee_lies_deeper_than_the_cord():
    """One wheel measured twice: by a thread in its vees, and by callipers and depth gauge."""
    vee = wheelgeo.old_wheel(**_GIRTHS, groove_shape="vee")
    big, small = ((g / math.pi + 2 * 0.125) * IN for g in (65 + 31 / 32, 3 + 9 / 64))
    assert vee.answer.ratio == pytest.approx(big / small)
    callipers = wheelgeo.old_wheel(wheel="21 1/2 in", groove="1/4 in", whorl="1 3/8 in",
                                   whorl_groove="3/16 in", groove_shape="vee", apart="17 3/4 in",
                                   cord=_GIRTHS["cord"])  # fmt: skip
    assert vee.answer.ratio == pytest.approx(callipers.answer.ratio, rel=1e-3)
    assert vee.if_round is None
    assert "angle of the vee" in {a.what for a in vee.assumed}


def test_beside_a_girth_a_depth_tells_where_the_rim_is_and_nothing_else():
    """The rim stands as much farther out all round as the thread lies below it."""
    girths = {"girth": "1700 mm", "groove": "6 mm", "whorl_girth": "90 mm", "whorl_groove": "4 mm",
              "groove_shape": "round", "cord": "3 mm cotton cord"}  # fmt: skip
    rims = 1700 / math.pi + 12, 90 / math.pi + 8
    found = wheelgeo.old_wheel(**girths, edge_to_edge="200 mm")
    assert found.apart_mm[0] == pytest.approx(200 + sum(rims) / 2)
    deep, plain = (wheelgeo.old_wheel(**girths | more, apart="500 mm").answer
                   for more in ({}, {"groove": "", "whorl_groove": ""}))  # fmt: skip
    assert deep.ratio == plain.ratio
    assert len(list(not_used(found))) == 2
    with pytest.raises(wheelgeo.DesignError, match="the groove's depth"):
        wheelgeo.old_wheel(**girths | {"groove": ""}, edge_to_edge="200 mm")


def test_what_vees_would_make_of_girths_is_told_where_nobody_looked():
    unknown, vee, bottom = (wheelgeo.old_wheel(**_GIRTHS, groove_shape=shape)
                            for shape in ("", "vee", "round"))  # fmt: skip
    told = unknown.if_round
    assert (told.grooves, told.vees) == (("wheel", "whorl"), ("wheel", "whorl"))
    assert told.ratio == pytest.approx(vee.answer.ratio)
    assert told.cut_with_joint_mm == pytest.approx(vee.answer.bands[0].cut_with_joint_mm)
    assert told.ratio_low < vee.answer.ratio < unknown.answer.ratio < told.ratio_high
    assert unknown.answer.ratio == bottom.answer.ratio
    assert bottom.if_round is None
    assert "where the thread of a girth lay" in {a.what for a in unknown.assumed}


# --- a band that fits -----------------------------------------------------------------------------


@pytest.mark.parametrize(
    "more", [{}, {"crossed": True}, {"double": "1 in"}, {"aside": "1 in"},
             {"joint": "2 in"}, {"joint": "knot"}, {"cord": "3.53 mm nitrile ring"}]
)  # fmt: skip
def test_the_distance_is_found_back_from_a_band_that_fits(more):
    measured = WHEEL | {"groove_shape": "vee"} | more
    (band,) = wheelgeo.old_wheel(**measured).answer.bands
    texts = [f"{band.cut_length_mm!r} mm loop"]
    if "joint" in more:
        texts += [f"{band.cut_with_joint_mm!r} mm", f"{band.cut_with_joint_mm!r} mm cord"]
        tails = 8.0 * IN if more["joint"] == "knot" else 0.0  # as the program says to leave them
        texts.append(f"{band.cut_with_joint_mm + tails!r} mm cord, cut off the reel")
    for text in texts:
        found = wheelgeo.old_wheel(**measured | {"apart": "", "fits": text})
        assert found.wheel.design.shafts[1].at_mm[0] == pytest.approx(450.85, abs=1e-5)
        assert found.answer.bands[0].length_mm == pytest.approx(band.length_mm, abs=1e-5)


@pytest.mark.parametrize(
    ("fits", "joint", "warned", "assumed"),
    [("92 in cord", "knot", True, True), ("92 in off the reel", "knot", False, False),
     ("92 in cord", "splice", False, True), ("92 in", "splice", False, True),
     ("92 in loop", "knot", False, False)],
)  # fmt: skip
def test_how_a_cord_that_fits_was_measured_is_assumed_and_doubted(fits, joint, warned, assumed):
    found = wheelgeo.old_wheel(**WHEEL | {"apart": ""}, fits=fits, joint=joint)
    doubt = [f for f in found.answer.findings if f.rule == "fits-off-the-reel"]
    assert bool(doubt) == warned
    assert any("how the band that fits" in a.what for a in found.assumed) == assumed
    if doubt:
        reel = wheelgeo.old_wheel(**WHEEL | {"apart": ""}, fits="92 in off the reel", joint=joint)
        assert doubt[0].limit == pytest.approx(reel.apart_mm[0])
        assert doubt[0].value == pytest.approx(found.apart_mm[0])


def test_a_band_like_one_that_fits_is_as_sure_as_that_was_measured():
    """Cut as the old one was, whatever its stretch; the distance hangs on that, by 1 %."""
    fits = wheelgeo.old_wheel(**WHEEL | {"apart": "", "fits": "75 1/8 +- 1/8 in loop"})
    (band,) = fits.answer.bands
    assert band.cut_length_mm == pytest.approx(75.125 * IN)
    assert band.cut_length_uncertainty_mm == pytest.approx(IN / 8, rel=1e-6)
    assert band.length_uncertainty_mm == pytest.approx(
        math.hypot(0.01 * 75.125 * IN, 1.02 * IN / 8), rel=1e-3
    )
    assert band.stretch_assumed


@pytest.mark.parametrize(
    "more",
    [{"fits": "75 1/8 in loop"}, {"fits": "92 in cord", "joint": "knot", "crossed": True},
     {"fits": "172 in cord", "wheel": "44 in", "least": "43 1/4 in", "groove": ""},
     {"fits": "160 in loop", "double": "1 in", "groove_shape": "worn"}],
)  # fmt: skip
def test_a_saved_band_that_fits_ties_the_distance_to_its_stretch(more):
    """As one sentence tells it, so do the file's commands: two ways to one covariance."""
    fits = wheelgeo.old_wheel(**WHEEL | {"apart": ""} | more)
    saved = wheelgeo.read(fits.wheel.to_toml())
    (band,), (again,), known = fits.answer.bands, saved.solve().bands, saved.measure()
    for mine in (again, known.bands[0]):
        assert mine.cut_with_joint_mm == pytest.approx(band.cut_with_joint_mm, abs=1e-4)
        assert mine.cut_length_uncertainty_mm == pytest.approx(
            band.cut_length_uncertainty_mm, rel=2e-3
        )
        assert mine.length_uncertainty_mm == pytest.approx(band.length_uncertainty_mm, rel=2e-3)
    assert known.ratio_uncertainty == pytest.approx(fits.answer.ratio_uncertainty, rel=0.01)
    (helps,) = (name for of, name, _ in known.helps if of == "drive band.length")
    assert helps.endswith(".at.x")  # with a tape, as it would be
    assert known.spare == 0  # the distance itself was not measured: nothing checks anything
    apart = next(v for v in known.values if v.name.endswith(".at.x"))
    assert apart.uncertainty == pytest.approx(fits.apart_mm[1], rel=0.02)


def test_a_band_that_just_fits_is_told_though_one_stretched_less_would_not():
    """Crossed, with the rims all but touching: within 1 % of its stretch there is no distance."""
    near = wheelgeo.old_wheel(
        **WHEEL | {"apart": "", "groove_shape": "vee", "fits": "69.6 in loop"}, crossed=True
    )
    assert near.answer.bands[0].cut_length_mm == pytest.approx(69.6 * IN)
    assert near.too_unsure == ("stretch",)
    assert near.answer.bands[0].length_uncertainty_mm is None
    assert wheelgeo.read(near.wheel.to_toml()).design.measured == near.wheel.design.measured


def test_another_whorl_keeps_what_a_band_that_fits_told_of_the_distance():
    fits = wheelgeo.old_wheel(**WHEEL | {"apart": "", "fits": "75 1/8 in loop"})
    other = fits.wheel.put("whorl.rim", "1 in")
    assert other.design.measured == ()
    assert other.design.uncertainties["shaft:spindle.at.x"] == pytest.approx(
        fits.apart_mm[1], rel=0.02
    )
    for put in ({"drive.speed": 70}, {"whorl.rim": "1.4 +- 0.02 in"}):
        assert fits.wheel.put(put).design.measured == fits.wheel.design.measured


def test_a_ring_that_fits_stands_in_for_the_distance():
    ring = {"wheel": "150 mm", "whorl": "30 mm", "cord": "3.53 mm nitrile ring"}
    apart = wheelgeo.old_wheel(**ring, fits="ring -264").wheel.get("spindle.at.x")
    again = wheelgeo.old_wheel(**ring, apart=f"{apart} mm")
    slack = math.pi * (7.484 + 0.139) * 25.4  # AS568 -264, from memory
    assert again.answer.bands[0].cut_length_mm == pytest.approx(slack, abs=0.1)
    with pytest.raises(wheelgeo.DesignError, match="a ring is no cotton cord"):
        wheelgeo.old_wheel(**ring | {"cord": "3 mm cotton cord"}, fits="ring -264")


def test_of_an_old_wheel_nothing_is_judged_or_made_that_nobody_measured(tmp_path):
    """One that is to be built of the same sizes is judged by all rules, and made whole."""
    wheel = wheelgeo.old_wheel(**WHEEL).wheel
    (note,) = (f for f in wheel.check().findings if f.rule == "old-wheel")
    built = note.remedy.apply()
    assert built.design == wheel.put("shop.old_wheel", False).design
    old, new = ({f.rule for f in w.check().findings} for w in (wheel, built))
    assert "old-wheel" in old
    assert "treadle-uneven" in new - old
    assert new - old <= {"treadle-uneven", "throw-unknown", "not-held"}
    files = wheel.make(tmp_path / "old").files
    assert {file.group for file in files} == {"cards", "jigs", "tables", "facts"}
    assert (tmp_path / "old" / "band_cards.pdf").read_bytes().startswith(b"%PDF")


def test_none_is_nothing_told_of_whatever_kind_it_is():
    told = wheelgeo.old_wheel(**WHEEL)
    none = wheelgeo.old_wheel(**WHEEL, crossed=None, joint=None, mouth=None)
    assert none.to_json() == told.to_json()
