"""The whole result: start, spindle, balance and rims of one wheel, held against each other."""

import math
from dataclasses import replace

import pytest
from scipy.special import ellipe

from wheelgeo.built.as_built import build
from wheelgeo.built.inertia import cylinder
from wheelgeo.design.model import Bearing, Cop, Lightening, Section, Washer
from wheelgeo.drive.beam import Beam, Disc, Stretch, Support
from wheelgeo.drive.beam_speeds import critical_speeds_rad_s
from wheelgeo.drive.running import load_wheel, part_balances, part_rims, run_wheel
from wheelgeo.drive.whirl import (
    ELEMENTS,
    CopPoint,
    Whirl,
    spindle_beams,
    spindle_whirl,
)


def spindle_of(design, **fields):
    return replace(design, spindle=replace(design.spindle, **fields))


def whirl(design):
    return spindle_whirl(build(design).spindle, 9000.0)


def test_the_hand_bears_on_the_main_bearings(two_stage):
    loaded = load_wheel(two_stage)
    main, band = loaded.load.shaft("main"), loaded.load.bands[0]
    free = replace(two_stage, drive=replace(two_stage.drive, by="motor", radius_mm=None))
    without = load_wheel(free).load.shaft("main")
    # The handle's force goes round: its mean with what a bearing carries besides is a complete
    # elliptic integral, 2/pi (a + b) E(4ab/(a + b)^2).
    made = build(two_stage).shafts["main"]
    (low, _), (high, _) = main.bearings_n
    crank = made.ends_mm[1] - 4.0
    for (at, mean), (_, steady) in zip(main.bearings_n, without.bearings_n, strict=True):
        lever = (crank - low if at == high else high - crank) / (high - low)
        push = loaded.effort.force_n * abs(lever)
        both = steady + push
        expected = 2 / math.pi * both * float(ellipe(4 * steady * push / both**2))
        assert mean == pytest.approx(expected, rel=2e-3)
    assert band.force_n == pytest.approx(load_wheel(free).load.bands[0].force_n, rel=1e-12)


def test_a_second_band_to_a_shaft_carries_nothing(two_stage):
    twin = replace(two_stage.bands[0], name="twin")
    double = replace(two_stage, bands=(*two_stage.bands, twin))
    bands = {b.rest.band.name: b for b in load_wheel(double).load.bands}
    assert bands["twin"].force_n == pytest.approx(0.0, abs=1e-12)
    assert bands["first"].force_n > 1.0


def test_the_start_ends_at_speed_with_creep_taken_off(two_stage):
    running = run_wheel(two_stage)
    last = running.start.trace.instants[-1]
    reached = dict(zip(running.start.shafts, last.omega_rad_s, strict=True))
    assert reached["spindle"] * 30 / math.pi == pytest.approx(running.spindle_rpm, rel=1e-9)
    assert reached["main"] == pytest.approx(2 * math.pi, rel=1e-12)
    assert running.loaded.load.bands[0].creep[1] > 1e-4
    # the hand then gives what the load asks, but for the creep that is left out there
    assert last.hand_nm == pytest.approx(running.loaded.effort.torque_nm, rel=2e-3)


@pytest.mark.parametrize("share", [0.05, 0.1, 0.2, 0.3, 0.5, 1.0])
def test_a_band_slips_in_the_start_just_where_its_margin_is_below_1(two_stage, share):
    slack = replace(
        two_stage,
        bands=tuple(replace(b, stretch=share * b.stretch) for b in two_stage.bands),
    )
    links = run_wheel(slack).start.links
    # a band that is not asked what it could carry, since one before it slips, does not slip
    for link in links[: 1 + next((i for i, k in enumerate(links) if k.margin < 1.0), 1)]:
        assert (link.slip_s > 0.0) == (link.margin < 1.0), link


def test_inertia_of_the_start_is_that_of_the_solids(two_stage):
    loaded = load_wheel(two_stage)
    rotor = next(r for r in loaded.rotors if r.shaft.name == "spindle")
    rod = cylinder(4.0, 150.0, 7850.0)
    cop_mass = 0.006
    cop = cop_mass * (0.010**2 + 0.002**2) / 2
    whorl = next(b for b in run_wheel(two_stage).balance if b.pulley == "whorl")
    assert rotor.inertia.mass_kg == pytest.approx(rod.mass_kg + cop_mass + whorl.mass_kg, rel=1e-12)
    assert rotor.inertia.polar_kg_m2 > rod.polar_kg_m2 + cop


def test_effort_of_every_shaft_adds_to_the_power(two_stage):
    loaded = load_wheel(two_stage)
    assert loaded.effort.power_w == pytest.approx(loaded.effort.torque_nm * 2 * math.pi, rel=1e-12)


def test_spindle_is_the_beam_that_it_looks_like(two_stage):
    """The whole model against a beam put together by hand; a cop so fat that its spin counts."""
    fat = spindle_of(two_stage, cop=Cop(60.0, 110.0, 60.0, 6.0))
    shaken = whirl(fat)
    e, rho, d = 205e9, 7850.0, 0.004
    area, second = math.pi * d**2 / 4, math.pi * d**4 / 64
    rod = Stretch(0.0, 0.150, e * second, rho * area, rho * second, 2 * rho * second)
    squares = 0.030**2 + 0.002**2
    cop = Stretch(0.080, 0.130, 0.0, 0.12, 0.12 * squares / 4, 0.12 * squares / 2)
    supports = (Support(0.025, 5e6), Support(0.067, 5e6))
    solid = build(two_stage).pulleys["whorl"].inertia
    disc = Disc(0.046, solid.mass_kg, solid.diametral_kg_m2, solid.polar_kg_m2)
    by_hand = critical_speeds_rad_s(Beam((rod, cop), supports, (disc,)), 2, 60)
    full = shaken.points[-1].critical_rpm
    assert [w * 30 / math.pi for w in by_hand] == pytest.approx(full[:2], rel=2e-4)
    unspun = Stretch(0.080, 0.130, 0.0, 0.12, 0.12 * squares / 4)
    other = critical_speeds_rad_s(Beam((rod, unspun), supports, (disc,)), 1, 60)[0]
    assert other < 0.99 * by_hand[0]


def test_more_elements_change_the_spindle_by_less_than_its_data(two_stage):
    (beam,) = spindle_beams(build(two_stage).spindle, (1.0,))
    coarse, fine = (critical_speeds_rad_s(beam, 2, n) for n in (ELEMENTS, 8 * ELEMENTS))
    assert coarse == pytest.approx(fine, rel=1e-4)


def test_softer_bearings_lower_the_critical_speed(two_stage):
    speeds = []
    for kind in ("cord", "leather", "brass"):
        bearings = (Bearing(5.0, kind), Bearing(47.0, kind))
        shaken = whirl(spindle_of(two_stage, bearings=bearings))
        speeds.append(shaken.points[0].critical_rpm[0])
    assert speeds == sorted(speeds)
    stiff = (Bearing(5.0, "cord", 5000.0), Bearing(47.0, "cord", 5000.0))
    own = whirl(spindle_of(two_stage, bearings=stiff))
    assert own.points[0].critical_rpm[0] == pytest.approx(speeds[-1], rel=1e-12)


def test_a_thinner_neck_and_a_washer_lower_it(two_stage):
    plain = whirl(two_stage).points[-1].critical_rpm[0]
    neck = spindle_of(two_stage, sections=(Section(47.0, 60.0, 3.0),))
    assert whirl(neck).points[-1].critical_rpm[0] < plain
    washer = spindle_of(two_stage, washers=(Washer(112.0, 25.0, 1.0),))
    assert whirl(washer).points[-1].critical_rpm[0] < plain


def test_sections_fill_the_rod_end_to_end(two_stage):
    stepped = spindle_of(two_stage, sections=(Section(60.0, 100.0, 5.0), Section(10.0, 30.0, 6.0)))
    sections = build(stepped).spindle.sections
    assert [(s.from_mm, s.to_mm, s.diameter_mm) for s in sections] == [
        (-20.0, 10.0, 4.0), (10.0, 30.0, 6.0), (30.0, 60.0, 4.0), (60.0, 100.0, 5.0),
        (100.0, 130.0, 4.0),
    ]  # fmt: skip


def a_whirl(two_stage, working, *first):
    points = tuple(CopPoint(0.0, 0.0, 0.0, (rpm, 10.0 * rpm)) for rpm in first)
    return Whirl(build(two_stage).spindle, working, points, "")


def test_margin(two_stage):
    assert a_whirl(two_stage, 5000.0, 8000.0, 6000.0).margin == pytest.approx(0.2)
    assert a_whirl(two_stage, 7000.0, 8000.0, 6000.0).margin == 0.0  # it passes as the cop grows
    assert a_whirl(two_stage, 10000.0, 8000.0, 6000.0).margin == pytest.approx(0.2)
    assert a_whirl(two_stage, 65000.0, 8000.0, 6000.0).margin == 0.0  # the second does
    assert a_whirl(two_stage, None, 8000.0).margin is None
    assert a_whirl(two_stage, 10000.0, 8000.0, 6000.0).passed == (6000.0, 8000.0)
    assert a_whirl(two_stage, 5000.0, 8000.0, 6000.0).passed is None


def test_balance_of_the_parts(two_stage):
    for part in part_balances(load_wheel(two_stage)):
        omega = part.speed_rpm * math.pi / 30
        assert part.permissible_mm * omega == pytest.approx(part.grade_mm_s, rel=1e-12)
        assert part.force_n == pytest.approx(part.mass_kg * part.expected_mm / 1e3 * omega**2)
        assert part.rattles_at_mm / part.expected_mm == pytest.approx(part.bearing_n / part.force_n)


def test_rims(two_stage):
    for part in part_rims(load_wheel(two_stage)):
        assert part.stress_mpa == pytest.approx(705.6 * part.speed_m_s**2 / 1e6, rel=1e-12)
        assert part.stress_at_twice_mpa == pytest.approx(4 * part.stress_mpa, rel=1e-15)
        assert part.factor_at_twice == pytest.approx(4.6 / part.stress_at_twice_mpa, rel=1e-12)
        assert 705.6 * part.bursts_at_m_s**2 / 1e6 == pytest.approx(4.6, rel=1e-12)


def test_holes_treble_the_stress(two_stage):
    holed = replace(
        two_stage,
        pulleys=tuple(
            replace(p, lightening=Lightening(5, 20.0, 90.0)) if p.name == "wheel" else p
            for p in two_stage.pulleys
        ),
    )
    plain, cut = (
        next(r.stress_mpa for r in part_rims(load_wheel(d)) if r.pulley == "wheel")
        for d in (two_stage, holed)
    )
    assert cut == pytest.approx(3 * plain, rel=1e-12)
    wheel = next(r for r in part_rims(load_wheel(holed)) if r.pulley == "wheel")
    assert 3 * 705.6 * wheel.bursts_at_m_s**2 / 1e6 == pytest.approx(4.6, rel=1e-12)
