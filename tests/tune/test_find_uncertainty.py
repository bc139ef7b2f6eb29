"""The found value with its uncertainty, against the open belt's own formula."""

import math

import pytest

import wheelgeo

FILE = """
title = "Old wheel"
drive = { shaft = "axle", by = "treadle", speed = "60 rpm", turns = "clockwise" }
spindle = { shaft = "spindle", kind = "tip" }
shaft = [
  { name = "axle", at = [0, 0, 0], axis = [0, 1, 0], diameter = 10 },
  { name = "spindle", at = [AT, 0, 0], axis = [0, 1, 0], diameter = 8 },
]
pulley = [
  { name = "wheel", shaft = "axle", offset = 0, groove = { shape = "flat", rim = RIM, width = 8 } },
  { name = "whorl", shaft = "spindle", offset = 0, groove = { shape = "flat", rim = 40, width = 8 } },
]
band = [{ name = "drive band", route = ["wheel", "whorl"], material = "cotton cord", diameter = 4, stretch = 0.02 }]
"""  # noqa: E501 - a file as it is written


def wheel(at='"450 +- 5 mm"', rim="500"):
    return wheelgeo.read(FILE.replace("AT", at).replace("RIM", rim))


def belt_mm(r1, r2, apart):
    lean = math.asin((r1 - r2) / apart)
    return 2 * apart * math.cos(lean) + math.pi * (r1 + r2) + 2 * lean * (r1 - r2)


def test_a_rim_for_a_ratio_is_as_unsure_as_the_ratio_that_is_wanted():
    found = wheel().find("wheel.rim", "ratio", "12 +- 0.5")
    assert found.value == pytest.approx(12 * 44 - 4)
    assert found.uncertainty == pytest.approx(0.5 * 44)  # the distance has no part in it


def test_a_distance_for_a_band_by_the_belt_and_the_rim():
    found = wheel(rim='"500 +- 3 mm"').find("spindle.at.x", "drive band.length", "1900 +- 4 mm")
    low, high = 300.0, 900.0
    for _ in range(80):
        middle = (low + high) / 2
        low, high = (middle, high) if belt_mm(252, 22, middle) < 1900 else (low, middle)
    assert found.value == pytest.approx(low)
    by_rim = (belt_mm(253.5, 22, low) - belt_mm(250.5, 22, low)) / 2
    slope = (belt_mm(252, 22, low + 1) - belt_mm(252, 22, low - 1)) / 2
    assert found.uncertainty == pytest.approx(math.hypot(4, by_rim) / slope, rel=5e-3)


def test_a_band_for_a_distance_is_as_unsure_as_the_distance():
    found = wheel().find("drive band.length", "spindle.at.x", "460 +- 2 mm")
    slope = (belt_mm(252, 22, 462) - belt_mm(252, 22, 458)) / 4
    assert found.uncertainty == pytest.approx(2 * slope, rel=1e-4)


def test_nothing_unsure_has_no_uncertainty():
    assert wheel(at="450").find("wheel.rim", "ratio", "12").uncertainty is None


@pytest.mark.parametrize("written", ["", ', stretch = "2 +- 1 %"'])
def test_a_stretch_that_the_file_leaves_out_is_as_unsure_as_its_usual_range(written):
    """Cotton cord is put on with 1 to 3 %; the belt's formula turned back at both ends of that."""
    text = FILE.replace("AT", '"450 +- 5 mm"').replace("RIM", "500")
    own = wheelgeo.read(text.replace(", stretch = 0.02", written))
    slope = (belt_mm(252, 22, 451) - belt_mm(252, 22, 449)) / 2
    found = own.find("spindle.at.x", "drive band.cut_length", belt_mm(252, 22, 450) / 1.02)
    assert found.value == pytest.approx(450)
    assert found.uncertainty == pytest.approx(0.01 / 1.02 * belt_mm(252, 22, 450) / slope, rel=5e-3)
    cut = own.find("drive band.cut_length", "spindle.at.x", "450 +- 2 mm")
    parts = 2 * slope / 1.02, belt_mm(252, 22, 450) * 0.5 * (1 / 1.01 - 1 / 1.03)
    assert cut.uncertainty == pytest.approx(math.hypot(*parts), rel=1e-4)
