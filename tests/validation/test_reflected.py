"""What a gear train's hand feels, and what spinning takes from a band's grip: by textbook and hand.

Reflected inertia: W. T. Thomson, Theory of Vibration with Applications, and J. E. Shigley, Theory
of Machines: an inertia J that turns n times as fast as the shaft where it is felt counts as n^2 J,
for its energy is J (n omega)^2 / 2. Centrifugal part of a belt: Budynas & Nisbett, Shigley's
Mechanical Engineering Design ch. 17: F_c = m' v^2, which the pull at rest of a belt of fixed length
has to spare before anything presses on a pulley. Both from memory.
"""

import math
from dataclasses import replace

import pytest

from wheelgeo.built.as_built import build
from wheelgeo.built.crank import crank_mass
from wheelgeo.design.material import Figure, Material
from wheelgeo.design.model import (
    Band,
    Bearing,
    Cop,
    Design,
    Drive,
    FlatRim,
    Pulley,
    Shaft,
    Spindle,
    Stop,
)
from wheelgeo.drive.running import load_wheel, run_wheel
from wheelgeo.drive.start_of_wheel import reflected_inertia
from wheelgeo.drive.startup import Push, Rotating, StartLink, start
from wheelgeo.drive.yarn_hold import yarn_torque_nm

UP = (0.0, 0.0, 1.0)
SOLID = Material("solid", "wheel", Figure(1000.0, 1000.0, 1000.0, "for the test"))
AIRY = Material("airy", "shaft", Figure(1e-6, 1e-6, 1e-6, "for the test"))


def ten_to_one(kind="tip", speed=60.0, stretch=0.02, cop=0.0):
    """A disc of 200 mm drives one of 20 mm by a thread of 0.002 mm: the ratio is 10."""
    return Design(
        title="ten to one", unit="mm", drive=Drive("main", "crank", speed, "clockwise", 60.0),
        shafts=(
            Shaft("main", (0.0, 0.0, 0.0), UP, 8.0, ends_mm=(-20.0, 20.0), material="airy"),
            Shaft("spindle", (200.0, 0.0, 0.0), UP, 6.0, ends_mm=(-20.0, 120.0), material="airy"),
        ),
        pulleys=(
            Pulley("wheel", "main", 0.0, FlatRim(200.0, 10.0), material="solid", bore_mm=8.0),
            Pulley("whorl", "spindle", 0.0, FlatRim(20.0, 10.0), material="solid", bore_mm=6.0),
        ),
        bands=(Band("band", (Stop("wheel"), Stop("whorl")), "cotton cord", 0.002,
                    stretch=stretch),),
        spindle=Spindle("spindle", kind, (Bearing(-15.0, "ball"), Bearing(15.0, "ball")),
                        cop=Cop(40.0, 100.0, 30.0, cop)),
        materials=(SOLID, AIRY),
    )  # fmt: skip


def ring(outer_m, inner_m, length_m):
    """Moment of inertia of a hollow cylinder of 1000 kg/m3, m (R^2 + r^2) / 2, by hand."""
    mass = 1000.0 * math.pi * (outer_m**2 - inner_m**2) * length_m
    return mass * (outer_m**2 + inner_m**2) / 2.0


def test_a_whorl_ten_times_as_fast_counts_a_hundredfold():
    loaded = load_wheel(ten_to_one())
    # the crank counts as it is, since it turns with the hand
    by_hand = ring(0.100, 0.004, 0.010) + 100.0 * ring(0.010, 0.003, 0.010)
    by_hand += crank_mass(loaded.built).polar_kg_m2
    felt = reflected_inertia(loaded.solution, loaded.rotors)
    assert felt == pytest.approx(by_hand, rel=5e-5)


def test_a_start_brings_up_the_reflected_inertia():
    """Without friction a steady torque M gives the hand's shaft M t / (J + n^2 j)."""
    wheel = Rotating("wheel", ring(0.100, 0.004, 0.010), 0.0)
    whorl = Rotating("whorl", ring(0.010, 0.003, 0.010), 0.0)
    link = StartLink("band", 0, 1, 0.1, 0.01, 10.0, None, 10.0)
    push = Push(0.05, 1e-9, 6.0)
    trace = start((wheel, whorl), (link,), push)
    felt = wheel.inertia_kg_m2 + 100.0 * whorl.inertia_kg_m2
    assert trace.time_s == pytest.approx(felt * 6.0 / 0.05, rel=1e-6)


def test_the_start_slips_where_the_centrifugal_part_has_eaten_the_grip():
    """A link of grip 1 holds T - m' v^2: it slips once that is less than the force it carries."""
    friction, net, mass = 0.02, 10.0, 0.02  # N m, N, kg/m
    wheel, whorl = Rotating("wheel", 0.01, 0.0), Rotating("whorl", 1e-6, friction)
    needed = friction / 0.01  # 2 N on a whorl of 10 mm radius
    fastest = math.sqrt((net - needed) / mass)  # 20 m/s, by hand
    assert fastest == pytest.approx(20.0)
    link = StartLink("band", 0, 1, 0.1, 0.01, 10.0, 1.0, net, mass)
    assert link.force_at_slip_n(fastest / 0.1) == pytest.approx(needed, rel=1e-12)
    for share, slips in ((0.95, False), (1.05, True)):
        # torque so small that next to all of the force is the whorl's friction
        push = Push(0.21, 1e-6, share * fastest / 0.1)
        trace = start((wheel, whorl), (link,), push, longest_s=400.0)
        assert (trace.slip_s[0] > 0.0) == slips, share


def test_a_wheels_start_knows_its_bands_mass():
    """Shigley's F_c = m' v^2 taken from the pull at rest, in the start as in the load.

    Cotton of 1000 kg/m3 and 300 MPa at 2 %, 2 mm: F = 18.85 N, m' = 0.00314 kg/m, so that nothing
    presses any more at 77.5 m/s: at 60 m/s the grip is 40 % of what it is at rest.
    """
    wheel = ten_to_one(speed=60.0 / 0.101 * 30.0 / math.pi)
    wheel = replace(wheel, bands=(replace(wheel.bands[0], diameter_mm=2.0),))
    running = run_wheel(wheel)
    section = math.pi * 1e-6
    rest, pull = running.loaded.rest[0], 300e6 * section * 0.02
    assert rest.rest_n == pytest.approx(pull, rel=1e-12)
    assert rest.centrifugal_n == pytest.approx(1000.0 * section * 60.0**2, rel=1e-9)
    holds = running.loaded.load.bands[0].stops[1].capacity_nm
    free = replace(SOLID, name="thread", kind="cord", density_kg_m3=Figure(1e-9, 1e-9, 1e-9, "t"),
                   modulus_mpa=Figure(300.0, 100.0, 800.0, "test"),
                   friction=Figure(0.25, 0.22, 0.3, "test"))  # fmt: skip
    weightless = replace(
        wheel, materials=(*wheel.materials, free),
        bands=(replace(wheel.bands[0], material="thread"),),
    )  # fmt: skip
    other = run_wheel(weightless)
    share = 1.0 - 1000.0 * section * 3600.0 / pull
    assert share == pytest.approx(0.4, rel=1e-12)
    without = other.loaded.load.bands[0].stops[1].capacity_nm
    assert holds / without == pytest.approx(share, rel=1e-6)
    # the start ends at that speed, and its grip is then as much less
    assert running.start.links[0].margin / other.start.links[0].margin < 0.9


@pytest.mark.parametrize(("kind", "radius_mm"), [("tip", 3.0), ("flyer", 15.0)])
def test_the_yarn_pulls_at_a_radius(kind, radius_mm):
    """Torque is force times arm: 0.5 N at the rod's 3 mm or the full cop's 15 mm."""
    wheel = replace(ten_to_one(kind), limits={"yarn_pull_n": 0.5})
    assert yarn_torque_nm(build(wheel)) == pytest.approx(0.5 * radius_mm / 1e3, rel=1e-12)
    taken = load_wheel(wheel).load.shaft("spindle").yarn_nm
    assert taken == pytest.approx(0.5 * radius_mm / 1e3, rel=1e-12)
