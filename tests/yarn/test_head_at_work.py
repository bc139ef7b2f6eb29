"""Flyer wheels at work: the whole wheel's energy, the whorl that slips, a brake that locks."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

import wheelgeo
from wheelgeo.drive.air import AIR_DENSITY_KG_M3, ROD_DRAG, SweptRods, swept_torque_nm
from wheelgeo.yarn.head_at_work import FlyerAtWork

DESIGNS = Path(__file__).parents[2] / "designs"
FLYERS = ("flyer-wheel", "two-band-wheel", "braked-bobbin-wheel", "braked-flyer-wheel")


def at_work(wheel: wheelgeo.Wheel) -> FlyerAtWork:
    work = wheel.run().flyer
    assert work is not None
    return work


@pytest.fixture(scope="module")
def works() -> dict[str, tuple[wheelgeo.Wheel, FlyerAtWork]]:
    wheels = {name: wheelgeo.load(DESIGNS / f"{name}.toml") for name in FLYERS}
    return {name: (wheel, at_work(wheel)) for name, wheel in wheels.items()}


@pytest.mark.parametrize("name", FLYERS)
def test_energy_in_is_energy_out(works, name):
    # The load is carried back from the yarn to the treadle by torques; the sum here is by powers.
    work = works[name][1]
    gone = work.yarn_w + work.brake_w + work.bearing_w + work.bending_w
    gone += work.air_w + work.slip_w
    assert gone == pytest.approx(work.power_w, rel=1e-9)
    assert work.energy_error < 1e-9
    assert min(work.yarn_w, work.bearing_w, work.bending_w, work.air_w, work.slip_w) > 0.0


@pytest.mark.parametrize("name", FLYERS)
def test_yarn_taken_in_is_the_twist_asked(works, name):
    wheel, work = works[name]
    for head in (work.empty, work.full):
        behind = abs(head.bobbin_rpm - head.flyer_rpm)
        taken_m_min = behind * math.pi * head.bobbin_diameter_mm / 1e3
        assert head.flyer_rpm / taken_m_min == pytest.approx(
            wheel.design.yarn.turns_per_metre, rel=1e-9
        )


def test_slip_of_the_double_band_by_hand(works):
    # Full bobbin of 75 mm, 0.3 N: 11.25 mN m besides the bobbin's own friction, at the difference
    # of the whorl's speed and the bobbin's; the whorl's speed is the rim's times the ratio.
    wheel, work = works["flyer-wheel"]
    run = wheel.run()
    bobbin = next(s for s in run.load.shafts if s.name == "bobbin")
    torque = bobbin.bearing_nm + bobbin.bending_nm + bobbin.air_nm + 0.3 * 0.0375
    whorl = next(s for s in run.solved.shafts if s.name == "bobbin").speed_rpm
    lost = torque * (abs(whorl) - work.full.bobbin_rpm) * math.pi / 30.0
    assert work.full.slips == "bobbin"
    assert work.full.slip_w == pytest.approx(lost, rel=1e-9)
    assert run.load.power_w > work.full.slip_w


def test_a_brake_that_locks_is_found_and_eased():
    wheel = wheelgeo.load(DESIGNS / "braked-bobbin-wheel.toml")
    assert "brake-locks" not in {f.rule for f in wheel.check().findings}
    locked = wheel.put("drag 1.pull", 40.0)
    found = next(f for f in locked.check().findings if f.rule == "brake-locks")
    assert found.level == "fault"
    assert found.value == pytest.approx(1000.0)  # 40 N at 25 mm
    # Just under what the band can turn nothing is locked.
    under = wheel.put("drag 1.pull", 40.0 * found.limit / found.value * 0.999)
    assert "brake-locks" not in {f.rule for f in under.check().findings}
    eased = found.remedy.apply()
    assert "brake-locks" not in {f.rule for f in eased.check().findings}


def test_a_brake_that_is_off_winds_nothing_on():
    wheel = wheelgeo.load(DESIGNS / "braked-bobbin-wheel.toml").put("drag 1.pull", 0.0)
    assert wheel.run().flyer is None


def test_a_whorl_that_holds_harder_than_the_yarn_is_found_and_slackened():
    wheel = wheelgeo.load(DESIGNS / "flyer-wheel.toml")
    found = next(f for f in wheel.check().findings if f.rule == "slips-too-hard")
    assert found.value == pytest.approx(at_work(wheel).full.slips_at_pull_n)
    assert found.value > found.limit
    slack = found.remedy.apply()
    assert "slips-too-hard" not in {f.rule for f in slack.check().findings}
    assert at_work(slack).full.slips_at_pull_n <= found.limit


def test_air_on_arms_and_bar_against_a_sum_over_pieces():
    omega, pieces = 60.0, 4000
    arms = swept_torque_nm(SweptRods(5.0, 90.0, 46.0, 2), omega)
    speed = omega * 0.046
    force = 0.5 * AIR_DENSITY_KG_M3 * ROD_DRAG * 0.005 * 0.09 * speed**2
    assert arms == pytest.approx(2.0 * force * 0.046, rel=1e-12)
    bar = swept_torque_nm(SweptRods(14.0, 46.0, 0.0, 2), omega)
    dr = 0.046 / pieces
    radii = [(i + 0.5) * dr for i in range(pieces)]
    summed = math.fsum(
        0.5 * AIR_DENSITY_KG_M3 * ROD_DRAG * 0.014 * (omega * r) ** 2 * r * dr for r in radii
    )
    assert bar == pytest.approx(2.0 * summed, rel=1e-6)


def plying(**drag):
    text = (DESIGNS / "braked-bobbin-wheel.toml").read_text(encoding="utf-8")
    text = text.replace('count = "6 Nm"', 'count = "2 x 12 Nm"')
    lines = "".join(f'{key} = "{value}"\n' for key, value in drag.items())
    return wheelgeo.read(text.replace("[[drag]]\n", f"[[drag]]\n{lines}"))


@pytest.mark.parametrize("spring", ["slack", "tight"])
def test_a_brake_turned_back_pulls_otherwise(spring):
    # Cotton on wood 0.25 over half a turn: exp(0.25 pi) = 2.193 between the ends of the cord. With
    # the spring on the slack end it is helped in spinning, not in plying; the other way likewise.
    wheel = plying(spring=spring, wrap="180 deg")
    (found,) = (f for f in wheel.check().findings if f.rule == "brake-plying")
    ratio = math.exp(0.25 * math.pi)
    assert found.limit == 0.8
    assert found.value == pytest.approx(0.8 / ratio if spring == "slack" else 0.8 * ratio)
    assert found.remedy.says.startswith("tighten" if spring == "slack" else "ease")


def test_a_brake_that_is_not_turned_back_is_not_told():
    assert "brake-plying" not in {f.rule for f in plying().check().findings}
    single = wheelgeo.load(DESIGNS / "braked-bobbin-wheel.toml").put("drag 1.spring", "slack")
    assert "brake-plying" not in {f.rule for f in single.check().findings}
