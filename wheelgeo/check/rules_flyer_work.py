"""Rules on a flyer wheel at work: a brake that locks, and whorls that hold harder than the yarn."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from wheelgeo.check.adjustments import by_steps
from wheelgeo.check.adjustments_running import slacker
from wheelgeo.check.finding import Finding, advice, plain
from wheelgeo.check.remedies import mend
from wheelgeo.check.rules_bands import turned_back
from wheelgeo.check.rules_flyer import TENACITY
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.materials import find_material
from wheelgeo.drive.brake import band_brake, spring_for_n
from wheelgeo.yarn.fibre import FIBRES, FibreName, singles_strength_n
from wheelgeo.yarn.head_at_work import flyer_at_work, grips_nm

SLIP_OF_WHORL = (
    "belt equation (Euler and Eytelwein): at the edge of slip T1/T2 is the greatest tension ratio "
    "and T1 + T2 twice the pull at rest; the yarn's pull is the whorl's torque over the radius"
)

ROPE_ON_A_POST = (
    "law of the rope on a post (Euler and Eytelwein): the tight end pulls exp(friction x wrap) "
    "times the slack end; simple band brake, Khurmi & Gupta, Theory of Machines"
)


def brake_locks(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a brake holds harder than the band can turn: flyer and bobbin stand still."""
    found, design = wheel.wind_on, wheel.design
    if found is None or found.by not in ("bobbin brake", "flyer brake"):
        return
    held, driven = (
        (design.spindle.bobbin, "flyer") if found.by == "bobbin brake"
        else (design.spindle.shaft, "bobbin")
    )  # fmt: skip
    brakes = [(n, d) for n, d in enumerate(design.drags, start=1) if d.shaft == held]
    torque = sum(d.pull_n * d.diameter_mm / 2e3 for _, d in brakes)
    grip = grips_nm(wheel.loaded).get(driven)
    if grip is None or torque < grip:
        return
    ease = [
        by_steps(design, ("drag", str(n), "pull"), d.pull_n, -1.0, d.pull_n, 0.1, least=0.1)
        for n, d in brakes
    ]
    yield Finding(
        "brake-locks", "fault", f"drag {brakes[0][0]}", 1e3 * torque, 1e3 * grip, "mN m",
        f"the brake holds with {plain(1e3 * torque)} mN m, the band can turn the {driven} with no "
        f"more than {plain(1e3 * grip)} mN m: both stand still and the band slips",
        SLIP_OF_WHORL, mend(wheel, brake_locks, ease, "ease the brake until it just winds on"),
    )  # fmt: skip


def brake_turned_back(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note what a brake pulls when the wheel is turned back to ply: its spring is on the other end.

    A spring on the slack end is helped by the turning; on the tight end it gives way.
    """
    if turned_back(wheel) != "plying":
        return
    for number, drag in enumerate(wheel.design.drags, start=1):
        cord = find_material(drag.material, wheel.design.materials)
        if drag.spring is None or drag.pull_n == 0.0 or cord is None or cord.friction is None:
            continue
        friction = cord.friction.value
        other: Literal["slack", "tight"] = "tight" if drag.spring == "slack" else "slack"
        spring = spring_for_n(drag.pull_n, drag.spring, friction, drag.wrap_deg)
        back = band_brake(spring, other, drag.diameter_mm, friction, drag.wrap_deg).net_n
        yield Finding(
            "brake-plying", "note", f"drag {number}", back, drag.pull_n, "N",
            f"plying turns the wheel back: the spring of the brake on \"{drag.shaft}\" is then at "
            f"the {other} end and it pulls with {plain(back)} N in place of {plain(drag.pull_n)} N",
            ROPE_ON_A_POST,
            advice(
                f"{'tighten' if back < drag.pull_n else 'ease'} the brake for plying until it "
                f"pulls as before: {plain(spring * drag.pull_n / back)} N at the spring in place "
                f"of {plain(spring)} N"
            ),
        )  # fmt: skip


def slips_too_hard(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where the yarn would break before the whorl that must slip begins to.

    The pull at which it slips is least with the full bobbin; what is told is that one.
    """
    yarn = wheel.design.yarn
    work = flyer_at_work(wheel.loaded, wheel.wind_on)
    if work is None or work.full.slips_at_pull_n is None or yarn is None:
        return
    if yarn.fibre not in FIBRES:
        return
    fibre: FibreName = yarn.fibre  # type: ignore[assignment]
    most, pull = singles_strength_n(yarn.count, fibre)[1], work.full.slips_at_pull_n
    if pull <= most:
        return
    part = work.full.slips
    shaft = wheel.design.spindle.bobbin if part == "bobbin" else wheel.design.spindle.shaft
    band = wheel.solution.shaft(shaft or "").driven_by
    ways = [
        way for rest in wheel.loaded.rest if rest.band.name == band
        for way in slacker(wheel.design, rest)
    ]  # fmt: skip
    yield Finding(
        "slips-too-hard", "note", f'band "{band}"', pull, most, "N",
        f"with the band as tight as the file has it, the {part}'s whorl slips only when the yarn "
        f"pulls with {plain(pull)} N on the full bobbin; the yarn bears {plain(most)} N at most",
        f"{SLIP_OF_WHORL}; {TENACITY}",
        mend(wheel, slips_too_hard, ways, "slacken the band until the whorl slips as you hold"),
        "possible",
        f'the pull of a strand of "{band}" as you spin (tension.measured)',
    )  # fmt: skip
