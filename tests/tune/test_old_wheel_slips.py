"""What a length is guessed to have been meant as: what a tape shows, or nothing."""

import pytest

import wheelgeo
from wheelgeo.old_wheels import as_file, refuse_without_band
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
        {"apart": "9"},  # 22 cm for the wheel is nothing that somebody with inches has read
        {"cord": "1 1/8 cotton cord"},
        {"apart": "", "over_axles": "7 1/4"},  # axle and rod were never written
    ],
)
def test_where_no_slip_makes_sense_none_is_guessed(change):
    said = _asks(**change)
    assert said
    assert "did you mean" not in said


def test_a_measured_wheel_of_a_file_is_guessed_at_in_readings_of_a_tape_too():
    wheel = as_file(wheelgeo.old_wheel(**INCHES)).put("spindle.at.x", "91 +- 1/8 in")
    (told,) = (n for n in wheel.measure().notes if "hardly any wheel" in n)
    assert told.endswith("; did you mean 19 in for spindle.at.x?")
