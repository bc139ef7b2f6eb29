"""No rod and no sleeve can shift endways, and nothing is in the way of putting it together."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.endways import END_PLAY_MM, sinks_mm, stops
from wheelgeo.check.report import check_whole
from wheelgeo.design.model import Bearing
from wheelgeo.design.reader import read_design

DESIGNS = Path(__file__).parents[2] / "designs"
BOX = read_design(DESIGNS / "box-wheel.toml")


def spans(design, shaft, *kinds):
    """Where bodies of a shaft stand along its axis, from their outlines alone."""
    found = []
    for body in bodies(build(design)):
        if body.part == shaft and body.kind in kinds and hasattr(body.shape, "outline"):
            if hasattr(body.shape, "low"):
                found.append((body.shape.low, body.shape.high))
            else:
                places = [z for z, _ in body.shape.outline]
                found.append((min(places), max(places)))
    return found


def plays(design, shaft, without=()):
    """How far a rod may shift along its axis and against it, before something meets a bearing."""
    sleeves = [s.name for s in design.shafts if s.runs_on == shaft]
    kinds = {"pulley", "collar", "flyer", "washer"} - set(without)
    on = spans(design, shaft, *kinds)
    for sleeve in sleeves:
        on += spans(design, sleeve, "pulley", "rod", "bobbin", *({"collar"} - set(without)))
    held = spans(design, shaft, "bearing")
    ahead = [low - high for _, high in on for low, _ in held if low - high > -1e-6]
    back = [low - high for low, _ in on for _, high in held if low - high > -1e-6]
    return min(ahead, default=99.0), min(back, default=99.0)


@pytest.mark.parametrize("path", sorted(DESIGNS.glob("*.toml")), ids=lambda p: p.stem)
def test_no_rod_of_a_shipped_wheel_shifts_endways(path):
    design = read_design(path)
    for shaft in design.shafts:
        if shaft.runs_on is None and not shaft.fixed and abs(shaft.axis[2]) < 0.1:
            assert max(plays(design, shaft.name)) <= END_PLAY_MM, shaft.name


def test_the_level_spindle_of_the_box_is_held_by_two_collars():
    """Without them it slides 7.8 mm back and 17.8 forward, and its band leaves the whorl."""
    assert plays(BOX, "spindle", without=("collar",)) == pytest.approx((17.8, 7.8), abs=0.05)
    assert plays(BOX, "spindle") == pytest.approx((0.3, 0.3))
    assert [s.fixed for s in stops(build(BOX), None) if s.shaft == "spindle"] == [True, True]


def spindle_at(*places):
    bearings = tuple(Bearing(at, "brass") for at in places)
    return replace(BOX, spindle=replace(BOX.spindle, bearings=bearings))


def test_bearings_close_to_the_whorl_need_no_collar_and_a_narrow_gap_has_a_ring():
    """The whorl reaches from -3.7 to 3.7, a bearing is 5 mm long: faces at 1.5, and at 4 mm."""
    assert not [s for s in stops(build(spindle_at(-7.7, 7.7)), None) if s.shaft == "spindle"]
    (ring,) = [s for s in stops(build(spindle_at(-7.7, 10.2)), None) if s.shaft == "spindle"]
    assert not ring.fixed
    assert ring.span == pytest.approx((3.7 + 0.3, 7.7 - 0.3), abs=0.05)


def test_an_upright_rod_that_stands_on_the_floor_needs_no_stop_and_one_in_an_open_bush_does():
    """The wheel's lower face is 10.43 mm above the floor, its lower bearing ends 4.43 mm below."""
    assert not [s for s in stops(build(BOX), None) if s.shaft == "main"]

    def main(*ends):
        bearings = (Bearing(1.5, "brass"), Bearing(24.0, "brass"))
        return replace(BOX, shafts=tuple(
            replace(s, ends_mm=ends, bearings=bearings) if s.name == "main" else s
            for s in BOX.shafts
        ))

    assert not [s for s in stops(build(main(0.0, 50.0)), None) if s.shaft == "main"]
    (stop,) = [s for s in stops(build(main(-6.0, 50.0)), None) if s.shaft == "main"]
    lower = build(main(-6.0, 50.0)).shafts["main"].bearings[0]
    assert stop.span[0] == pytest.approx(lower.at_mm + 0.5 * lower.length_mm + 0.3)


def main_rod(ends, places, up=0.0):
    """The box with its main rod in bushes of these places, its wheel moved up."""
    bearings = tuple(Bearing(at, "brass") for at in places)
    return replace(
        BOX,
        shafts=tuple(replace(s, ends_mm=ends, bearings=bearings) if s.name == "main" else s
                     for s in BOX.shafts),
        pulleys=tuple(replace(p, offset_mm=p.offset_mm + up) if p.name == "wheel" else p
                      for p in BOX.pulleys),
    )  # fmt: skip


def test_an_upright_rod_is_carried_even_where_little_room_is_left():
    """A wheel 2 mm above an open bush: a level rod may shift so far, an upright one falls."""
    bush = build(main_rod((-6.0, 50.0), (-3.0, 24.0))).shafts["main"].bearings[0]
    face = bush.at_mm + 0.5 * bush.length_mm
    wheel = next(p for p in build(BOX).shafts["main"].carries).faces_mm[0]
    close = main_rod((-6.0, 50.0), (-3.0, 24.0), face + 2.0 - wheel)
    (ring,) = [s for s in stops(build(close), None) if s.shaft == "main"]
    assert (ring.span, ring.fixed) == (pytest.approx((face + 0.3, face + 1.7)), False)
    assert sinks_mm(build(close), build(close).shafts["main"], None) == pytest.approx(0.6)
    assert "rod-sinks" not in {f.rule for f in check_whole(close).findings}


def test_an_upright_rod_that_nothing_carries_is_a_fault_until_it_stands_on_the_floor():
    """One bush, above the wheel, and the rod's end in the air: it drops until the crank lands."""
    hung = main_rod((2.0, 50.0), (40.0,))
    (found,) = [f for f in check_whole(hung).findings if f.rule == "rod-sinks"]
    assert found.where == 'shaft "main"'
    stood = main_rod((0.0, 50.0), (40.0,))
    assert "rod-sinks" not in {f.rule for f in check_whole(stood).findings}


def test_a_sleeve_is_kept_between_whorl_and_bar():
    farm = read_design(DESIGNS / "farm-wheel.toml")
    (ring,) = [s for s in stops(build(farm), None) if s.shaft == "bobbin"]
    assert (ring.on, ring.fixed) == ("flyer", False)
    assert ring.span == pytest.approx((0.3, 13.7))  # whorl's face at 0, sleeve's end at 14
    longer = replace(farm, shafts=tuple(
        replace(s, ends_mm=(1.5, 110.0)) if s.name == "bobbin" else s for s in farm.shafts
    ))
    assert not [s for s in stops(build(longer), None) if s.shaft == "bobbin"]


def test_a_collar_stands_on_the_floor_where_the_bush_is_sunk_into_it():
    """The wheel's lower face is 10.43 mm up, its bush ends 1 mm below the floor's upper side."""
    wheel = replace(BOX, shafts=tuple(
        replace(s, ends_mm=(-6.0, 50.0), bearings=(Bearing(-5.0, "brass"), Bearing(24.0, "brass")))
        if s.name == "main" else s for s in BOX.shafts
    ))
    (stop,) = [s for s in stops(build(wheel), None) if s.shaft == "main"]
    assert stop.span[0] == pytest.approx(0.3)
    assert not [f for f in check_whole(wheel).findings
                if f.rule == "bodies-collide" and "collar main 1" in f.where]  # fmt: skip
