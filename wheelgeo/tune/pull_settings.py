"""A brake eased or a band slackened for another yarn: what a flyer's spinner sets without tools."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.check.finding import Finding
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Band, Design, Tensioner
from wheelgeo.drive.running import load_wheel
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune.bandfit import STRETCH_DIGITS, BandFate, lengths_of, slid, slide_for, travels
from wheelgeo.tune.option import Change, merged, soundness
from wheelgeo.yarn.fibre import FIBRES, FibreName, singles_strength_n
from wheelgeo.yarn.head_at_work import flyer_at_work
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on

PULL_RULES = frozenset({"yarn-breaks", "slips-too-hard", "draws-in-weakly"})
"""What another pull of brake or band mends."""
LOAD_RULES = frozenset({"start", "start-slow", "brake-locks", "foot-force", "hand-force"})
"""What a brake mends that holds less, where it is what makes the wheel heavy."""
_STEP_N = 0.01
_ROUNDS = 4
_INSIDE = 0.02
"""How far within its bounds the yarn's pull is set, as a fraction."""


def set_anew(
    design: Design, found: Iterable[Finding], check: Callable[[Design], Iterable[Finding]]
) -> tuple[Design, tuple[Change, ...], list[Finding]] | None:
    """Return a wheel with brake or band set for its yarn, what was set, and what is found then.

    A brake is first set for its yarn; where the wheel is then too heavy, to the least that draws
    in.

    Args:
        design: the wheel.
        found: what was found of it.
        check: finds what is wrong with a wheel.

    Returns:
        None where its yarn's pull is right, or no setting makes the wheel sounder.
    """
    settings: tuple[Change, ...] = ()
    best, then = design, list(found)
    for setting in (pulls_set, least_pull_set):
        made = setting(best, then)
        found_so = [] if made is None else list(check(made[0]))
        if made is not None and soundness(found_so) < soundness(then):
            best, settings, then = made[0], merged((*settings, *made[1])), found_so
    return (best, settings, then) if settings else None


def pulls_set(
    design: Design, findings: Iterable[Finding]
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with brake or band set so that its yarn is drawn in and bears it.

    Args:
        design: the wheel.
        findings: what was found of it.

    Returns:
        The wheel and what was set; None where nothing of it is found, or no pull does both: the
        core of the bobbin is then too thin for its full diameter.
    """
    grave = {f.rule for f in findings if f.level != "note"} & PULL_RULES
    between = _bounds_n(design)
    if not grave or between is None:
        return None
    empty_most, full_least = between
    wound = wheel_wind_on(solve_drive(design))
    if wound is None:
        return None
    sizes = wound.empty.bobbin_diameter_mm / 2e3, wound.full.bobbin_diameter_mm / 2e3
    # The torque is the same from empty to full: what the yarn bears on the bare core, and what
    # draws it in on the full bobbin.
    most, least = empty_most * sizes[0], full_least * sizes[1]
    if least > most:
        return None
    eased = "draws-in-weakly" not in grave
    wanted = max(most * (1.0 - _INSIDE), least) if eased else min(least * (1.0 + _INSIDE), most)
    if wound.empty.yarn_pull_n is not None:
        return _braked(design, wound.empty.yarn_pull_n * sizes[0], wanted)
    return _banded(design, sizes[0], wanted)


def least_pull_set(
    design: Design, findings: Iterable[Finding]
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with its brakes eased to the least that draws its yarn in on a full bobbin.

    Args:
        design: the wheel.
        findings: what was found of it.

    Returns:
        The wheel and what was set; None where it runs easily enough, or no brake can be eased.
    """
    wound = wheel_wind_on(solve_drive(design))
    heavy = {f.rule for f in findings if f.level != "note"} & LOAD_RULES
    if not heavy or wound is None or not wound.full.yarn_pull_n:
        return None
    least_n = limit_value("yarn_pull_n", design.limits) * (1.0 + _INSIDE)
    arm_m = wound.full.bobbin_diameter_mm / 2e3
    made = _braked(design, wound.full.yarn_pull_n * arm_m, least_n * arm_m, at_least=True)
    return made if made and all(float(c.after) < float(c.before) for c in made[1]) else None


def _bounds_n(design: Design) -> tuple[float, float] | None:
    """Return the most that the weakest such yarn bears, and the least that draws it in, N."""
    yarn = design.yarn
    if yarn is None or yarn.fibre not in FIBRES:
        return None
    fibre: FibreName = yarn.fibre  # type: ignore[assignment]
    return singles_strength_n(yarn.count, fibre)[0], limit_value("yarn_pull_n", design.limits)


def _braked(
    design: Design, torque_nm: float, wanted_nm: float, at_least: bool = False
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with all brakes of one part set alike; None where they are off."""
    if torque_nm <= 0.0:
        return None
    times, down = wanted_nm / torque_nm, wanted_nm < torque_nm and not at_least
    drags, told = [], []
    solution = solve_drive(design)
    for number, drag in enumerate(design.drags, start=1):
        if solution.shaft(drag.shaft).driven_by is not None:
            drags.append(drag)
            continue
        # Rounded away from what it must not pass.
        steps = drag.pull_n * times / _STEP_N
        pull = round(_STEP_N * (math.floor(steps) if down else math.ceil(steps)), 2)
        drags.append(replace(drag, pull_n=pull))
        told.append(Change(f"drag {number}.pull", drag.pull_n, pull, "N"))
    return replace(design, drags=tuple(drags)), tuple(told)


def _banded(
    design: Design, arm_m: float, wanted_nm: float
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with the band of the whorl that slips set, by its slide or its spring.

    None where no whorl slips, or no slide lets the band in or out so far.
    """
    now = design
    for _ in range(_ROUNDS):
        solution = solve_drive(now)
        loaded = load_wheel(now, solution)
        work = flyer_at_work(loaded, wheel_wind_on(solution))
        slips = loaded.load.whorl_slips
        if work is None or slips is None or not work.empty.yarn_pull_n:
            return None
        # What the whorl holds is nearly in proportion to the band's pull: bearings take a little.
        times = wanted_nm / (work.empty.yarn_pull_n * arm_m)
        set_anew = _pulled(now, solution.shaft(slips).driven_by or "", times)
        if set_anew is None:
            return None
        now = set_anew
    return now, _told(design, now)


def _pulled(design: Design, name: str, times: float) -> Design | None:
    """Return a wheel with a band that pulls so many times as hard; None where it cannot be set."""
    band = design.band(name)
    if band.tension is not None and band.tension.kind in ("weight", "spring"):
        return _with(design, replace(band, tension=_scaled(band.tension, times)))
    made, lengths = build(design).bands, lengths_of(design)
    if name not in lengths:
        return None
    # The cords are the same: what they measure off the wheel stays, the slide gives them stretch.
    rests = {n: made[n].cut_length_mm(length) for n, length in lengths.items()}
    wanted = made[name].stretch.value * times
    found = slide_for(design, name, rests[name] * (1.0 + wanted))
    moved = design if found is None else slid(design, *found)
    for other, length in lengths_of(moved).items():
        before, stretch = made[other].stretch.value, length / rests[other] - 1.0
        if stretch <= 0.0 or (other == name and abs(stretch / wanted - 1.0) > _INSIDE):
            return None
        if abs(length - lengths[other]) > 1e-9:
            each = moved.band(other)
            tension = each.tension
            if tension is not None and tension.kind == "measured":
                tension = _scaled(tension, stretch / before)
            stretch = round(stretch, STRETCH_DIGITS)
            moved = _with(moved, replace(each, stretch=stretch, tension=tension))
    return moved


def _scaled(tension: Tensioner, times: float) -> Tensioner:
    return replace(tension, pull_n=round(tension.pull_n * times, 2))


def _with(design: Design, band: Band) -> Design:
    bands = tuple(band if b.name == band.name else b for b in design.bands)
    return replace(design, bands=bands)


def _told(before: Design, after: Design) -> tuple[Change, ...]:
    """Return what was set, each once: slides, and pulls or stretches of bands."""
    told = [
        Change(f"{t.shaft}.travel", -t.from_mm, round(-u.from_mm, 9), "mm")
        for t, u in zip(travels(before), travels(after), strict=True) if t != u
    ]  # fmt: skip
    for one, other in zip(before.bands, after.bands, strict=True):
        if one.tension is not None and other.tension is not None and one != other:
            told.append(Change(f"{one.name}.pull", one.tension.pull_n, other.tension.pull_n, "N"))
        elif one != other:
            was, now = (build(d).bands[one.name].stretch.value for d in (before, after))
            told.append(Change(f"{one.name}.stretch", was, now, ""))
    return tuple(told)


def by_hand(design: Design, settings: Iterable[Change]) -> tuple[Change, ...]:
    """Return what of it is set by hand: not the pulls of bands that a slide gives them."""
    given = {
        f"{b.name}.{what}" for b in design.bands for what in ("pull", "stretch")
        if b.tension is None or b.tension.kind == "measured"
    }  # fmt: skip
    return tuple(one for one in settings if one.what not in given)


def as_set(bands: Iterable[BandFate], design: Design) -> tuple[BandFate, ...]:
    """Return what becomes of bands once they are set: each keeps what it measures off the wheel."""
    lengths, made = lengths_of(design), build(design).bands
    return tuple(
        replace(b, length_mm=lengths.get(b.name), stretch=made[b.name].stretch.value)
        for b in bands
    )
