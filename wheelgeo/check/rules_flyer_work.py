"""Rules on a flyer wheel at work: a brake that locks, and whorls that hold harder than the yarn."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Literal

from wheelgeo.check.adjustments import Adjustment
from wheelgeo.check.adjustments_running import (
    eased_brakes,
    slacker,
    tightened_brakes,
    tighter,
)
from wheelgeo.check.finding import Finding, advice, pull_in_words
from wheelgeo.check.pull_of_yarn import aimed_pull, core_that_bears_mm, rounder_whorl
from wheelgeo.check.remedies import mend
from wheelgeo.check.rules_bands import turned_back
from wheelgeo.check.rules_flyer import (
    TENACITY,
    bears_in_words,
    other_bobbin_whorl,
    yarn_bears_n,
)
from wheelgeo.check.rules_running import how_sure, settle, slip, whorl_that_slips
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.limits import LIMITS
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Design
from wheelgeo.drive.brake import band_brake, spring_for_n
from wheelgeo.drive.tension import RestBand
from wheelgeo.units.in_full import plain
from wheelgeo.yarn.head_at_work import drawn_backwards, flyer_at_work

SLIP_OF_WHORL = (
    "belt equation (Euler and Eytelwein): at the edge of slip T1/T2 is the greatest tension ratio; "
    "the yarn's pull is the whorl's torque, less its friction, over the bobbin's radius"
)

SCREW = (
    "a right-hand thread tightens clockwise as seen from where it is screwed on; common practice, "
    "no source"
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
    held, driven = design.spindle.bobbin, design.spindle.shaft
    if found.by == "flyer brake":
        held, driven = driven, held
    brakes = [(n, d) for n, d in enumerate(design.drags, start=1) if d.shaft == held]
    torque = sum(d.pull_n * d.diameter_mm / 2e3 for _, d in brakes)
    grip = _grip_nm(wheel, driven or "")
    if torque < grip:
        return
    yield Finding(
        "brake-locks", "fault", f"drag {brakes[0][0]}", 1e3 * torque, 1e3 * grip, "mN m",
        f"the brake holds with {plain(1e3 * torque)} mN m, the band can turn \"{driven}\" with no "
        f"more than {plain(1e3 * grip)} mN m: both stand still and the band slips",
        SLIP_OF_WHORL,
        mend(
            wheel, brake_locks, eased_brakes(design), "ease the brake until it just winds on"
        ),
    )  # fmt: skip


def _grip_nm(wheel: WheelUnderCheck, shaft: str) -> float:
    """Return the torque at which the band slips on a shaft's whorl, N m.

    At the edge of slip the pulls of the two runs are in the tension ratio and their sum is twice
    that at rest: T1 - T2 = 2 T0 (ratio - 1) / (ratio + 1).
    """
    by, design = wheel.solution.shaft(shaft).driven_by, wheel.design
    return math.fsum(
        2.0 * (rest.net_n or 0.0) * (c.ratio - 1.0) / (c.ratio + 1.0) * c.radius_mm / 1e3
        for rest in wheel.loaded.rest if rest.band.name == by
        for c in rest.contacts if design.pulley(c.pulley).shaft == shaft
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


def screws_turned_back(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note which whorl of a flyer comes loose in plying where it is screwed on, as old ones are.

    A band that drives a whorl turns it on its rod the way that it goes; one that holds back a
    flyer which the yarn draws on, the other way. What tightens a thread in spinning loosens it
    when the wheel is turned back.
    """
    design, solution = wheel.design, wheel.solution
    speed = solution.spindle.speed_rpm
    if design.spindle.kind != "flyer" or turned_back(wheel) != "plying" or not speed:
        return
    low, high = solution.built.spindle.ends_mm
    for stop in (stop for band in wheel.loaded.load.bands for stop in band.stops):
        pulley = design.pulley(stop.pulley)
        if pulley.shaft != design.spindle.shaft or stop.torque_nm == 0.0:
            continue
        front = high - pulley.offset_mm < pulley.offset_mm - low
        # Counter-clockwise about the axis is so as seen from the front, whence the axis points.
        hand, other = ("left", "right") if (speed > 0.0) is front else ("right", "left")
        comes_loose = (
            f"in spinning its band tightens a {hand}-hand thread; plying turns the wheel back, and "
            "unscrews it"
        )
        if stop.torque_nm < 0.0:
            comes_loose = (
                f"in starting its band tightens a {hand}-hand thread, but holds the whorl back "
                "once the yarn draws the flyer on, and plying turns the wheel back: no thread "
                "stays tight by itself"
            )
        yield Finding(
            "screws-plying", "note", f'pulley "{pulley.name}"', None, None, "",
            f'if "{pulley.name}" is screwed on its rod from the {"orifice" if front else "tail"}: '
            f"{comes_loose}",
            SCREW,
            advice(
                f"pin the whorl or lock its thread before you ply; a {other}-hand thread would "
                "come loose in starting"
            ),
        )  # fmt: skip


def slips_too_hard(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the whorl that must slip pulls the yarn harder than it bears.

    The pull is greatest on the empty bobbin. A fault only where the yarn breaks with the softest
    cord too: a screw that tightens the band lets it go again.
    """
    work, bears = flyer_at_work(wheel.loaded, wheel.wind_on), yarn_bears_n(wheel)
    pull = None if work is None else work.empty.slips_at_pull_n
    if work is None or pull is None or bears is None or pull <= bears[0]:
        return
    breaks = pull > bears[1]
    certainty = how_sure(_least_pull_n(wheel, pull) > bears[breaks])
    band, ways = _band_that_slips(wheel, slacker)
    ways = list(_aimed(wheel, band)) or ways
    yield Finding(
        "slips-too-hard", "fault" if breaks and certainty == "sure" else "warning",
        f'band "{band}"', pull, bears[breaks], "N",
        f"with the band as tight as the file has it, the {work.empty.slips}'s whorl slips only "
        f"when the yarn pulls with {pull_in_words(pull)} on the empty bobbin; "
        f"{bears_in_words(wheel, *bears)}",
        f"{SLIP_OF_WHORL}; {TENACITY}",
        mend(wheel, slips_too_hard, ways, "slacken the band until the whorl slips as you hold"),
        certainty, settle(certainty, band),
    )  # fmt: skip


def _least_pull_n(wheel: WheelUnderCheck, usual_n: float) -> float:
    """Return the yarn's pull with the softest cord and the easiest bearings."""
    bobbin = wheel.design.spindle.bobbin or ""
    usual, least = (at.shaft(bobbin) for at in (wheel.loaded.load, wheel.ranges.loads[0]))
    if usual is None or least is None or usual.yarn_nm == 0.0:
        return usual_n
    return usual_n * least.yarn_nm / usual.yarn_nm


def _band_that_slips(
    wheel: WheelUnderCheck, way: Callable[[Design, RestBand], Iterator[Adjustment]]
) -> tuple[str, list[Adjustment]]:
    """Return the band of the whorl that slips, or the bobbin's, and ways to pull it otherwise."""
    shaft = wheel.loaded.load.whorl_slips or wheel.design.spindle.bobbin or ""
    band = wheel.solution.shaft(shaft).driven_by or ""
    rests = [rest for rest in wheel.loaded.rest if rest.band.name == band]
    return band, [each for rest in rests for each in way(wheel.design, rest)]


def _aimed(wheel: WheelUnderCheck, band: str) -> Iterator[Adjustment]:
    """Yield the pull that is best for the yarn, of a band that carries the whorl that slips.

    Where the band slips on another pulley too, that whorl holds too hard whatever the pull: its
    groove is then cut round.
    """
    whorl = whorl_that_slips(wheel, wheel.design.band(band)) if band else None
    slips = whorl is not None and any(f.where == f'band "{band}"' for f in slip(wheel))
    return aimed_pull(wheel.design, rounder_whorl(wheel.design, whorl) if whorl and slips else ())


def flyer_slips(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Find where it is the flyer's whorl that slips: it turns slower than its ratio, and twists so.

    With the larger whorl on the bobbin the flyer's grips less. What the ratio promises then takes
    more turns of the drive.
    """
    work = flyer_at_work(wheel.loaded, wheel.wind_on)
    whorl = wheel.loaded.load.shaft(wheel.design.spindle.shaft)
    if wheel.wind_on is not None and drawn_backwards(wheel.loaded, wheel.wind_on):
        yield Finding(
            "flyer-slips", "fault", "flyer and bobbin", None, None, "",
            "the bobbin's band turns it against the flyer and grips harder than the flyer's: the "
            "yarn draws the flyer round backwards",
            SLIP_OF_WHORL,
            advice("lay the bobbin's band so that it turns the bobbin as the flyer turns"),
        )  # fmt: skip
    if work is None or whorl is None or work.full.slips != "flyer":
        return
    promised = whorl.omega_rad_s * 30.0 / math.pi
    slowest = min(work.empty.flyer_rpm, work.full.flyer_rpm)
    if 1.0 - slowest / promised <= wheel.limit("twist_error_fraction"):
        return
    yield Finding(
        "flyer-slips", "fault", "flyer and bobbin", slowest, promised, "rpm",
        "the flyer's whorl grips less than the bobbin's and slips in its place: the flyer turns at "
        f"{plain(slowest, 0)} rpm, where its ratio promises {plain(promised, 0)} rpm, and a metre "
        f"takes {plain(100.0 * (promised / slowest - 1.0), 0)} % more turns of the drive",
        SLIP_OF_WHORL,
        mend(
            wheel, flyer_slips, other_bobbin_whorl(wheel),
            "give the bobbin the smaller whorl, so that it leads and slips, or a slacker band",
        ),
    )  # fmt: skip


def draws_in_weakly(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where the yarn is hardly drawn in, least of all on the full bobbin."""
    work, limit = flyer_at_work(wheel.loaded, wheel.wind_on), wheel.limit("yarn_pull_n")
    if work is None or work.full.yarn_pull_n >= limit:
        return
    empty, full = work.empty.yarn_pull_n, work.full.yarn_pull_n
    if work.full.slips is None:
        where, how, ways = "drag", "the brake pulls", list(tightened_brakes(wheel.design))
    else:
        band, ways = _band_that_slips(wheel, tighter)
        where, how = f'band "{band}"', f"the {work.full.slips}'s whorl lets the yarn be pulled"
    if core_that_bears_mm(wheel.design) is not None:
        # The empty bobbin would then break the yarn: no pull is right on so thin a core.
        ways = list(aimed_pull(wheel.design))
    yield Finding(
        "draws-in-weakly", "warning", where, full, limit, "N",
        f"{how} with {pull_in_words(full)} on the full bobbin ({plain(empty)} N on the empty one); "
        f"{plain(limit)} N is what hooks, orifice and the spinner's hold usually take",
        LIMITS["yarn_pull_n"].source,
        mend(
            wheel, draws_in_weakly, ways,
            "tighten it until the yarn is drawn in as you let it go",
        ),
    )  # fmt: skip


def hard_to_draft(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where the yarn bears its pull, but fibre is hard to draft against it."""
    found, bears = wheel.wind_on, yarn_bears_n(wheel)
    pull, where = None if found is None else found.empty.yarn_pull_n, "drag"
    if found is not None and pull is None and (work := flyer_at_work(wheel.loaded, found)):
        pull, where = work.empty.slips_at_pull_n, f'band "{_band_that_slips(wheel, slacker)[0]}"'
    if pull is None or bears is None:
        return
    limit = wheel.limit("draft_pull_fraction") * bears[0]
    if not limit < pull <= bears[0]:
        return
    yield Finding(
        "hard-to-draft", "note", where, pull, limit, "N",
        f"the yarn is pulled with {pull_in_words(pull)} on the empty bobbin, which is hard to "
        f"draft against; {bears_in_words(wheel, *bears)}",
        f"{LIMITS['draft_pull_fraction'].source}; {TENACITY}",
        mend(
            wheel, hard_to_draft, aimed_pull(wheel.design),
            "ease it until it just draws in; if the full bobbin then takes no yarn, pad the core "
            "of the empty one, or fill it less",
        ),
    )  # fmt: skip


def lead_wasted(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where most of the work goes into the slip of a whorl that leads by too much."""
    found, limit = wheel.wind_on, wheel.limit("slip_power_fraction")
    work = flyer_at_work(wheel.loaded, found)
    if work is None or found is None or work.slip_w <= limit * work.power_w:
        return
    shares = [100.0 * (at.slip_share or 0.0) for at in (found.empty, found.full)]
    slips, other = ("flyer", "bobbin") if work.full.slips == "flyer" else ("bobbin", "flyer")
    yield Finding(
        "lead-wasted", "note", "flyer and bobbin", work.slip_w, limit * work.power_w, "W",
        f"of {plain(work.power_w, 1)} W that the wheel takes {plain(work.slip_w, 1)} W are lost in "
        f"slip: the {slips}'s whorl holds the band, and {plain(shares[0], 0)} (empty bobbin) to "
        f"{plain(shares[1], 0)} % (full) of its lead over the {other} must slip",
        SLIP_OF_WHORL,
        mend(
            wheel, lead_wasted,
            list(_aimed(wheel, _band_that_slips(wheel, slacker)[0]))
            or other_bobbin_whorl(wheel),
            f"slacken the band, or make the {slips}'s whorl nearer to the {other}'s in size",
        ),
    )  # fmt: skip
