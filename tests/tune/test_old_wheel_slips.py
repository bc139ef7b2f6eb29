"""What a length is guessed to have been meant as: what a tape shows, or nothing."""

import pytest

import wheelgeo
from wheelgeo.old_wheels import as_file, refuse_without_band
from wheelgeo.shop.old_wheel_told import old_wheel_told
from wheelgeo.tune.old_wheel_slips import (
    digits_exchanged,
    in_another_unit,
    of_ten,
    written_length,
)

INCHES = {"wheel": "22", "groove": "1/4", "whorl": "2", "apart": "19", "cord": "3 mm cotton cord",
          "unit": "in"}  # fmt: skip

MM = {"wheel": "550", "whorl": "50", "apart": "480", "groove": ""}
"""What is in mm, told among inches."""


def _read(text, unit="in"):
    found = written_length(text, unit)
    return None if found is None else (found.figures, found.unit)


@pytest.mark.parametrize(
    ("text", "figures", "unit"),
    [("9", "9", "in"), ("21½ +- ⅛", "21 1/2", "in"), ('17 3/4"', "17 3/4", "in"),
     ("21.5 +- 0.5 mm", "21.5", "mm"), ("9 inches", "9", "in"), ("54.6 cm", "54.6", "cm")],
)  # fmt: skip
def test_a_length_is_taken_apart_into_its_figures_and_its_unit(text, figures, unit):
    assert _read(text) == (figures, unit)


@pytest.mark.parametrize("text", ["1 ft 9 in", "0.5 m", "-3 in", "nonsense", ""])
def test_what_has_not_one_row_of_figures_is_guessed_at_by_nobody(text):
    assert _read(text) is None


@pytest.mark.parametrize(
    ("slip", "text", "units", "meant"),
    [
        # the same figures; an eighth is of inches alone, centimetres are for who writes them
        (in_another_unit, "9 mm", (), {"9 in": 228.6}),
        (in_another_unit, "9.5 mm", (), {"9 1/2 in": 241.3}),
        (in_another_unit, "22 in", (), {"22 mm": 22.0}),
        (in_another_unit, "22 in", ("cm",), {"22 mm": 22.0, "22 cm": 220.0}),
        (in_another_unit, "1 1/8 in", ("cm",), {}),
        (in_another_unit, "5.47 mm", (), {}),
        # a fraction is of inches, whatever stands behind it: nothing else is wrong with it
        (in_another_unit, "18 1/2 mm", ("cm",), {"18 1/2 in": 469.9}),
        (of_ten, "18 1/2 mm", (), {}),
        (digits_exchanged, "18 1/2 mm", (), {}),
        # a slip of ten, where a tape shows what comes of it
        (of_ten, "177 in", (), {"17.7 in": 449.58, "1770 in": 44958.0}),
        (of_ten, "2 1/2 in", (), {"1/4 in": 6.35, "25 in": 635.0}),
        (of_ten, "3 1/2 in", (), {"35 in": 889.0}),
        (of_ten, "3/16 in", (), {"1 7/8 in": 47.625}),
        (of_ten, "1/8 in", (), {"1 1/4 in": 31.75}),
        (of_ten, "35 mm", (), {"3.5 mm": 3.5, "350 mm": 350.0}),
        (of_ten, "546.1 mm", (), {"5461 mm": 5461.0}),
        (of_ten, "28.575 mm", (), {}),
        # neighbours exchanged; none comes to begin with a nought, none in a fraction
        (digits_exchanged, "81 in", (), {"18 in": 457.2}),
        (digits_exchanged, "71 1/4 in", (), {"17 1/4 in": 438.15}),
        (digits_exchanged, "546 mm", (), {"456 mm": 456.0, "564 mm": 564.0}),
        (digits_exchanged, "20 in", (), {}),
        (digits_exchanged, "13/16 in", (), {}),
        (digits_exchanged, "22 in", (), {}),
    ],
)
def test_a_slip_is_undone_to_what_a_tape_shows(slip, text, units, meant):
    assert dict(slip(written_length(text, ""), units)) == pytest.approx(meant)


def _asks(**change):
    """Return what is asked of a wheel; nothing where it is a wheel like any."""
    told = {**INCHES, **change}
    try:
        found = wheelgeo.old_wheel(**told)
        refuse_without_band(found, "{:.1f} mm".format)
    except wheelgeo.DesignError as error:
        return str(error)
    return " ".join(f.remedy.says for f in found.answer.findings if f.rule == "unlikely-size")


@pytest.mark.parametrize(
    ("change", "meant"),
    [
        ({"apart": "19 mm"}, "19 in (axle to spindle)"),
        ({"apart": "91"}, "19 in (axle to spindle)"),
        ({"apart": "190"}, "19 in (axle to spindle)"),
        ({"cord": "3 in cotton cord"}, "3 mm (the cord)"),
        ({"unit": "mm", "groove": ""}, "22 in, 2 in, 19 in"),
        (MM, "550 mm, 50 mm, 480 mm"),
        ({**MM, "groove": "1/4"}, "550 mm, 50 mm, 480 mm"),
        ({**MM, "cord": "3 cotton cord"}, "550 mm, 50 mm, 480 mm, 3 mm"),
        ({"wheel": "18 1/2 mm"}, "18 1/2 in (the wheel's diameter)"),
        ({"apart": "16 1/4 mm"}, "16 1/4 in (axle to spindle)"),
    ],
)  # fmt: skip
def test_what_was_meant_is_guessed_where_a_slip_makes_a_wheel_in_use(change, meant):
    assert f"did you mean {meant}?" in _asks(**change)


@pytest.mark.parametrize(
    "change",
    [
        {"cord": "1 1/8 cotton cord"},
        {"apart": "", "over_axles": "7 1/4"},  # axle and rod were never written
    ],
)
def test_where_no_slip_makes_sense_none_is_guessed(change):
    said = _asks(**change)
    assert said
    assert "did you mean" not in said


ROUND = "for the girth round the wheel (it is then 21 1/64 in across)"


@pytest.mark.parametrize(
    ("change", "at", "meant"),
    [
        # 66 in round are 21.0 in across; whorls of 4.3 in round are 1.37 in across
        ({"wheel": "66", "apart": "17"}, "wheel", f"66 in {ROUND}"),
        ({"wheel": "5 ft 6 in", "apart": "17"}, "wheel", f"5 ft 6 in {ROUND}"),
        ({"wheel": "66", "whorl": "4.3", "apart": "17"}, "wheel",
         f"66 in {ROUND} or 66 in and 4.3 in for the girths round the wheel and the whorl "
         "(21 1/64 in and 1 3/8 in across)"),
        ({"wheel": "66", "double": "1 3/4", "apart": "17"}, "wheel", f"66 in {ROUND}"),
        ({"wheel": "1696 mm", "whorl": "50 mm", "apart": "450 mm", "groove": ""}, "wheel",
         "1696 mm for the girth round the wheel (it is then 540 mm across)"),
        # the gap of the rims: 7 + (22 + 2) / 2
        ({"apart": "7"}, "apart", "7 in from rim to rim (19 in from axle to spindle)"),
        # 22 cm for the wheel is nothing that somebody with inches has read
        ({"apart": "9"}, "apart",
         "9 in from rim to rim (21 in from axle to spindle) or the wheel and the distance the "
         "other way round (the wheel 9 in, the distance 22 in)"),
        ({"whorl": "19", "apart": "1"}, "whorl",
         "the whorl and the distance the other way round (the whorl 1 in, the distance 19 in)"),
        ({"wheel": "24", "apart": "10"}, "apart",
         "10 in from rim to rim (23 in from axle to spindle) or the wheel and the distance the "
         "other way round (the wheel 10 in, the distance 24 in)"),
    ],
)  # fmt: skip
def test_what_else_may_have_been_measured_is_asked_at_its_blank(change, at, meant):
    with pytest.raises(wheelgeo.DesignError) as error:
        refuse_without_band(wheelgeo.old_wheel(**{**INCHES, **change}), "{:.1f} mm".format)
    (fault,) = error.value.faults
    assert fault.place == at
    assert fault.remedy == f"did you mean {meant}?"
    assert "further apart" not in fault.says


@pytest.mark.parametrize(
    ("change", "at", "meant"),
    [
        ({"groove": "19", "apart": "1/4"}, "groove",
         "the depth of the wheel's groove and the distance the other way round (the depth of the "
         "wheel's groove 1/4 in, the distance 19 in)"),
        ({"whorl": "1/4", "whorl_groove": "2"}, "whorl",
         "the whorl and the depth of the whorl's groove the other way round (the whorl 2 in, the "
         "depth of the whorl's groove 1/4 in)"),
        ({"groove": "2", "whorl": "1/4", "whorl_groove": "3/16"}, "whorl",
         "the whorl and the depth of the wheel's groove the other way round (the whorl 2 in, the "
         "depth of the wheel's groove 1/4 in)"),
    ],
)  # fmt: skip
def test_a_depth_that_stands_in_another_blank_is_asked_for(change, at, meant):
    with pytest.raises(wheelgeo.DesignError) as error:
        wheelgeo.old_wheel(**{**INCHES, **change})
    fault = error.value.faults[-1]
    assert fault.place == at
    assert meant in fault.remedy


@pytest.mark.parametrize(
    ("change", "at", "meant"),
    [
        ({"wheel": "66", "fits": "77 in loop"}, "wheel", f"did you mean 66 in {ROUND}?"),
        ({"fits": "8 in loop"}, "fits", "did you mean 80 in (a band that fits)?"),
        ({"fits": "40 in loop"}, "fits",
         "did you mean 40 in from fold to fold, laid flat (80 in once round)?"),
        ({"fits": "5/8 in loop"}, "fits", "measure the band, wheel and whorl again"),
    ],
)  # fmt: skip
def test_a_band_that_is_too_short_asks_what_it_may_have_been(change, at, meant):
    with pytest.raises(wheelgeo.DesignError) as error:
        wheelgeo.old_wheel(**{**INCHES, "apart": "", **change})
    (fault,) = error.value.faults
    assert (fault.place, fault.remedy) == (at, meant)


@pytest.mark.parametrize(
    ("change", "meant"),
    [
        ({"whorl": "4.3", "apart": "12"}, "4.3 in for the girth round the whorl"),
        ({"wheel": "80", "apart": "45"}, "80 in for the girth round the wheel"),
        ({"wheel": "", "girth": "22", "apart": "36"}, "22 in for the width across the wheel"),
        ({"wheel": "4", "whorl": "2 1/2", "apart": "17"}, "4 in for half the wheel (it is then 8"),
    ],
)  # fmt: skip
def test_what_can_be_but_hardly_is_asks_likewise_before_anything_is_cut(change, meant):
    found = wheelgeo.old_wheel(**{**INCHES, **change})
    told = old_wheel_told(found, "{:.1f} mm".format)
    (mind,) = told.mind
    assert f"did you mean {meant}" in mind
    assert told.doubted


@pytest.mark.parametrize(
    "change",
    [
        {}, {"whorl": "4.3"}, {"wheel": "50", "apart": "40"}, {"wheel": "60", "apart": "40"},
        {"wheel": "10", "apart": "24"}, {"apart": "13"}, {"wheel": "", "girth": "66"},
        {"wheel": "5", "whorl": "1/2", "apart": "9"}, {"double": "1 3/4"}, {"apart": "48"},
    ],
)  # fmt: skip
def test_nothing_is_asked_of_a_wheel_as_there_are(change):
    found = wheelgeo.old_wheel(**{**INCHES, **change})
    assert old_wheel_told(found, "{:.1f} mm".format).mind == ()


def test_a_measured_wheel_of_a_file_is_guessed_at_in_readings_of_a_tape_too():
    wheel = as_file(wheelgeo.old_wheel(**INCHES)).put("spindle.at.x", "91 +- 1/8 in")
    (told,) = (n for n in wheel.measure().notes if "hardly any wheel" in n)
    assert told.endswith("; did you mean 19 in for spindle.at.x?")


@pytest.mark.parametrize(
    ("change", "key", "notes"),
    [
        ({"apart": "17"}, "wheel.rim",
         [f'no band "drive band" goes round what was measured; did you mean 66 in {ROUND}?']),
        ({"apart": "36", "whorl": "4"}, "wheel.rim", []),
    ],
)  # fmt: skip
def test_a_girth_for_a_diameter_in_a_file_is_asked_about_where_no_band_goes_round(
    change, key, notes
):
    wheel = as_file(wheelgeo.old_wheel(**{**INCHES, **change})).put(key, "66 +- 1/8 in")
    assert [note for note in wheel.measure().notes if "stretch" not in note] == notes
