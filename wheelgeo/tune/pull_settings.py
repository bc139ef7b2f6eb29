"""A brake eased or a band slackened for another yarn: what a flyer's spinner sets without tools."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.check.finding import Finding
from wheelgeo.check.pull_of_yarn import (
    INSIDE,
    brakes_at,
    core_that_bears_mm,
    pull_room,
    wheel_brakes,
    whorl_at,
    with_core,
)
from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Band, Design, Tensioner
from wheelgeo.drive.train import solve_drive
from wheelgeo.tune.bandfit import STRETCH_DIGITS, BandFate, lengths_of, slide_for
from wheelgeo.tune.option import Change, merged, soundness
from wheelgeo.tune.sliding import set_along, travels
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on

PULL_RULES = frozenset({"yarn-breaks", "slips-too-hard", "draws-in-weakly", "hard-to-draft"})
"""What another pull of brake or band mends."""
LOAD_RULES = frozenset({"start", "start-slow", "brake-locks", "foot-force", "hand-force"})
"""What a brake mends that holds less, where it is what makes the wheel heavy."""
OVER_LEAST = 0.1
"""How far above the least that draws in a pull is set that is too weak, as a fraction: a change by
less no hand feels; common practice, no source."""


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
        found_so = None if made is None else _sounder(check(made[0]), _soundness(then))
        if made is not None and found_so is not None:
            best, settings, then = made[0], merged((*settings, *made[1])), found_so
    return (best, settings, then) if settings else None


def _sounder(found: Iterable[Finding], than: tuple[int, int, bool]) -> list[Finding] | None:
    """Return all that is found of a wheel where that makes it sounder; None where it does not.

    More findings never make a wheel sounder: it is asked no further than to where it is not.
    """
    so_far: list[Finding] = []
    for finding in found:
        so_far.append(finding)
        if _soundness(so_far) >= than:
            return None
    return so_far if _soundness(so_far) < than else None


def _soundness(found: Iterable[Finding]) -> tuple[int, int, bool]:
    """Return how sound a wheel is, less so where its yarn is hard to draft."""
    each = list(found)
    return *soundness(each), any(f.rule == "hard-to-draft" for f in each)


def pulls_set(
    design: Design, findings: Iterable[Finding]
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with brake or band set so that its yarn is drawn in and drafts lightly.

    Where the bobbin's core is too thin for any pull to draw in when full and spare the yarn when
    empty, it is made thicker too.

    Args:
        design: the wheel.
        findings: what was found of it.

    Returns:
        The wheel and what was set; None where nothing of it is found, or nothing can be set.
    """
    grave = {f.rule for f in findings} & PULL_RULES
    if not grave:
        return None
    cored = with_core(design, core_that_bears_mm(design))
    room = pull_room(cored)
    if room is None or room.least_nm > room.most_nm:
        return None
    least = min(room.least_nm * (1.0 + OVER_LEAST), room.most_nm)
    # too weak, the least that a hand can feel is enough; too strong, what drafts best
    wanted = room.aim_nm
    if "draws-in-weakly" in grave:
        wanted = max(least, wanted) if "yarn-breaks" in grave else least
    made = (_braked if wheel_brakes(cored) else _banded)(cored, room.least_nm, wanted)
    if made is None or cored is design:
        return made
    was, now = (d.bobbin.empty_mm for d in (design, cored) if d.bobbin is not None)
    return made[0], (Change("bobbin.empty", was, now, "mm"), *made[1])


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
    if not {f.rule for f in findings if f.level != "note"} & LOAD_RULES:
        return None
    wound = wheel_wind_on(solve_drive(design))
    if wound is None or not wound.full.yarn_pull_n:
        return None
    least_nm = limit_value("yarn_pull_n", design.limits) * wound.full.bobbin_diameter_mm / 2e3
    made = _braked(design, least_nm, least_nm * (1.0 + INSIDE))
    return made if made and all(float(c.after) < float(c.before) for c in made[1]) else None


def _braked(
    design: Design, least_nm: float, wanted_nm: float
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with all brakes of one part set alike; None where they are off."""
    drags, told = list(design.drags), []
    for number, pull in brakes_at(design, least_nm, wanted_nm):
        told.append(Change(f"drag {number}.pull", drags[number - 1].pull_n, pull, "N"))
        drags[number - 1] = replace(drags[number - 1], pull_n=pull)
    return (replace(design, drags=tuple(drags)), tuple(told)) if told else None


def _banded(
    design: Design, _: float, wanted_nm: float
) -> tuple[Design, tuple[Change, ...]] | None:
    """Return a wheel with the band of the whorl that slips set, by its slide or its spring.

    None where no whorl slips, or no slide lets the band in or out so far.
    """
    made = whorl_at(design, wanted_nm, _pulled)
    return None if made is None else (made, _told(design, made))


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
    moved = design if found is None else set_along(design, *found)
    for other, length in lengths_of(moved).items():
        before, stretch = made[other].stretch.value, length / rests[other] - 1.0
        if stretch <= 0.0 or (other == name and abs(stretch / wanted - 1.0) > INSIDE):
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
