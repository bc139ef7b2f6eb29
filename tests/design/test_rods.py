"""Rods are named in the sizes in which they are sold, on the good side of what is asked for."""

from dataclasses import replace
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.design.rods import rod_within_mm, thicker_rods_mm

BOX = wheelgeo.load(Path(__file__).resolve().parents[2] / "designs" / "box-wheel.toml")
IN = 25.4


def test_by_halves_to_six_millimetres_and_whole_above():
    assert thicker_rods_mm(2.6, 9.0, "mm") == (3.0, 3.5, 4.0, 4.5, 5.0, 5.5, 6.0, 7.0, 8.0, 9.0)
    assert thicker_rods_mm(6.5, 8.9, "mm") == (7.0, 8.0)
    assert thicker_rods_mm(3.0, 3.4, "mm") == ()
    assert [rod_within_mm(mm, "mm") for mm in (0.9, 1.0, 3.2, 6.0 - 1e-9, 6.9)] == [
        None, 1.0, 3.0, 6.0, 6.0,
    ]  # fmt: skip


def test_by_sixty_fourths_to_a_quarter_of_an_inch_and_sixteenths_above():
    found = thicker_rods_mm(0.22 * IN, 0.4 * IN, "in")
    assert [size / IN for size in found] == pytest.approx([15 / 64, 1 / 4, 5 / 16, 3 / 8])
    assert rod_within_mm(0.22 * IN, "in") == pytest.approx(7 / 32 * IN)
    assert rod_within_mm(0.374 * IN, "in") == pytest.approx(5 / 16 * IN)
    assert rod_within_mm(0.03 * IN, "in") is None


@pytest.mark.parametrize(("unit", "rod"), [("mm", "5.5 mm"), ("in", "7/32 in")])
def test_a_thinner_rod_is_one_that_is_sold(unit, rod):
    """The wood wants 1.2 mm round the rod: 5.6 mm at most, which nobody sells."""
    wheel = wheelgeo.Wheel(replace(BOX.put("hub.rim", 15.0).design, unit=unit))
    (thin,) = [f for f in wheel.check().findings if f.rule == "thin-wall"]
    assert thin.remedy.ways[0].says == f'take a rod of {rod} for shaft "middle"'
    assert [f for f in thin.remedy.apply().check().findings if f.rule == "thin-wall"] == []


def test_a_thicker_spindle_is_one_that_is_sold():
    wheel = BOX.put({"spindle.diameter": 2.6, "drive.speed": 110.0})
    rods = [
        one.after for f in wheel.check().findings for way in f.remedy.ways for one in way.edits
        if one.key == "spindle.diameter"
    ]  # fmt: skip
    assert rods
    assert all(2.0 * rod == round(2.0 * rod) for rod in rods)
