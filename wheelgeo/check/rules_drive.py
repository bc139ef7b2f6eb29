"""Rules on the train and on twist: what turns what, and which way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from wheelgeo.check.finding import Finding
from wheelgeo.check.subject import Subject, subject_of
from wheelgeo.design.limits import PRACTICE
from wheelgeo.design.model import Band, Design
from wheelgeo.geometry.vectors import cross, norm
from wheelgeo.yarn.twist import direction, wanted_turns_per_metre

MECHANICS = "kinematics of belt drives"
ISO_TWIST = "ISO 2: direction of twist"


def undriven_shafts(subject: Subject) -> Iterator[Finding]:
    """Name every shaft that no band drives, the spindle apart."""
    for shaft in subject.solution.shafts:
        if shaft.speed_rpm is None and shaft.name != subject.design.spindle.shaft:
            yield Finding(
                "shaft-not-driven", "fault", f'shaft "{shaft.name}"', None, None, "",
                f'nothing drives shaft "{shaft.name}": no band leads to it from '
                f'"{subject.design.drive.shaft}"',
                "lead a band to one of its pulleys, or leave the shaft out", MECHANICS,
            )


def spindle_reached(subject: Subject) -> Iterator[Finding]:
    """Say that the spindle does not turn, and where the chain of bands ends."""
    if subject.solution.ratio is not None:
        return
    turning = ", ".join(
        f'"{s.name}"' for s in subject.solution.shafts if s.speed_rpm is not None
    )
    yield Finding(
        "spindle-not-reached", "fault", f'shaft "{subject.design.spindle.shaft}"', None, None, "",
        f'the spindle is not driven: from "{subject.design.drive.shaft}" the bands reach only '
        f"{turning}; ratio, spindle speed and twist cannot be had",
        "lead a band from one of these shafts to a pulley on the spindle", MECHANICS,
    )


def bands_fight(subject: Subject) -> Iterator[Finding]:
    """Say which two bands ask different speeds of one shaft."""
    for fight in subject.solution.fights:
        known, asked = fight.speeds_rpm
        one, other = fight.bands
        who = (
            f'band "{one}" asks two speeds of' if one == other
            else f'bands "{one}" and "{other}" fight over'
        )
        yield Finding(
            "bands-fight", "fault", f'shaft "{fight.shaft}"', asked, known, "rpm",
            f'{who} shaft "{fight.shaft}": {known:.1f} rpm and {asked:.1f} rpm',
            "take one of the two off, or give both the same ratio", MECHANICS,
        )


def no_path(subject: Subject) -> Iterator[Finding]:
    """Say between which two pulleys no run is possible, and by how much."""
    for motion in subject.solution.bands:
        error = motion.no_path
        if error is not None:
            yield Finding(
                "no-path", "fault", f'band "{motion.band.name}"', -error.shortfall_mm, 0.0, "mm",
                f'band "{motion.band.name}" has no path: {error}',
                f'move "{error.first}" and "{error.second}" at least {error.shortfall_mm:.3f} mm '
                "further apart, or make one of them smaller",
                "a run must touch both pitch circles",
            )


def route_backwards(subject: Subject) -> Iterator[Finding]:
    """Say that a route looks written against the travel of its band."""
    for motion in subject.solution.bands:
        if motion.shorter_backwards_mm > 0.0:
            names = ", ".join(f'"{s.pulley}"' for s in motion.band.route[::-1])
            yield Finding(
                "route-backwards", "warning", f'band "{motion.band.name}"',
                motion.shorter_backwards_mm, 0.0, "mm",
                f'the route of "{motion.band.name}" looks written backwards: solved as written, '
                f"the band winds round its pulleys from inside and is "
                f"{motion.shorter_backwards_mm:.1f} mm longer than the other way round",
                f"write the route as [{names}], in the order in which the moving band meets them",
                MECHANICS,
            )


def several_runs(subject: Subject) -> Iterator[Finding]:
    """Say where two pulleys allow more than one run, so that the shortest was taken."""
    for motion in subject.paths():
        assert motion.path is not None  # noqa: S101 - paths() yields no other
        for run in motion.path.runs:
            if run.choices > 1:
                names = [motion.band.route[i].pulley for i in (run.first, run.second)]
                yield Finding(
                    "several-runs", "note", f'band "{motion.band.name}"', run.choices, 1.0, "runs",
                    f'between "{names[0]}" and "{names[1]}" {run.choices} runs are possible; the '
                    "shortest was taken",
                    "move the two pulleys further apart, so that only one run is possible",
                    "count of the roots of the tangency equations",
                )


def no_yarn(subject: Subject) -> Iterator[Finding]:
    """Say which twist numbers cannot be had because the file is silent."""
    yarn = subject.design.yarn
    if yarn is None:
        yield Finding(
            "yarn-not-given", "note", "yarn", None, None, "",
            "the file says nothing of the yarn: whether the twist is the wanted one, and how much "
            "of it, cannot be said",
            "add a [yarn] table with count, fibre, twist and turns_per_metre", "",
        )
    elif wanted_turns_per_metre(yarn) is None:
        yield Finding(
            "twist-not-given", "note", "yarn", None, None, "",
            "the file gives neither turns_per_metre nor twist_factor: turns of the hand per metre "
            "cannot be said",
            "give one of the two under [yarn]", "",
        )
    if yarn is not None and yarn.draw_mm is None:
        yield Finding(
            "draw-not-given", "note", "yarn", None, None, "",
            "the file does not say how long a draw is: turns of the hand per draw cannot be said",
            "give draw under [yarn]", "",
        )


def wrong_twist(subject: Subject) -> Iterator[Finding]:
    """Say that the twist comes out the other way, and the smallest change that turns it."""
    yarn, speed = subject.design.yarn, subject.solution.spindle.speed_rpm
    if yarn is None or speed is None or direction(speed) == yarn.twist:
        return
    got = direction(speed)
    yield Finding(
        "wrong-twist", "fault", "twist", None, None, "",
        f"the yarn comes out {got}, and {yarn.twist} is wanted: the spindle turns "
        f"{subject.solution.spindle_turns} as seen from the yarn",
        _ways_to_turn_it(subject), ISO_TWIST,
    )


def _ways_to_turn_it(subject: Subject) -> str:
    """Return the changes that turn the twist, each tried on the wheel: no other fault may come."""
    ways = [_turn_hand(subject.design), *_lead_otherwise(subject)]
    sound = [says for says, changed in ways if _turns_it(subject, changed)]
    if sound:
        return "; or ".join(sound)
    return f"{ways[0][0]} (this brings other faults of its own: check the wheel again)"


def _turn_hand(design: Design) -> tuple[str, Design]:
    drive = design.drive
    other = "clockwise" if drive.turns == "counter-clockwise" else "counter-clockwise"
    what = "hand" if drive.by == "crank" else drive.by
    changed = replace(design, drive=replace(drive, turns=other))
    return f'turn the {what} {other} (drive: turns = "{other}")', changed


def _lead_otherwise(subject: Subject) -> Iterator[tuple[str, Design]]:
    """Yield each way to cross or uncross a band, or to lead its other run over the pulley."""
    for motion in subject.solution.bands:
        band = motion.band
        if len(band.route) != 2 or not _carries_spindle(subject, band):
            continue
        last = band.route[1]
        turns = "with" if last.turns == "against" else "against"
        route = (band.route[0], replace(last, turns=turns))
        crossed = _parallel(subject.design, band) and turns == "against"
        changed = replace(band, route=route, crossed=crossed)
        yield _in_words(subject.design, band, turns), _with_band(subject.design, changed)


def _in_words(design: Design, band: Band, turns: str) -> str:
    if _parallel(design, band):
        return f'{"cross" if turns == "against" else "uncross"} band "{band.name}"'
    last = band.route[1].pulley
    return (
        f'lead the other run of "{band.name}" over "{last}" '
        f'({{ pulley = "{last}", turns = "{turns}" }})'
    )


def _parallel(design: Design, band: Band) -> bool:
    a, b = (design.shaft(design.pulley(s.pulley).shaft) for s in band.route)
    return norm(cross(a.axis, b.axis)) < 1e-9


def _carries_spindle(subject: Subject, band: Band) -> bool:
    """Tell whether a band stands in the chain from the driving shaft to the spindle."""
    shaft: str | None = subject.design.spindle.shaft
    while shaft is not None:
        by = subject.solution.shaft(shaft).driven_by
        if by == band.name:
            return True
        shaft = _driving_shaft(subject, by)
    return False


def _driving_shaft(subject: Subject, band_name: str | None) -> str | None:
    if band_name is None:
        return None
    motion = subject.solution.band(band_name)
    if motion.driver is None:
        return None
    return subject.design.pulley(motion.band.route[motion.driver].pulley).shaft


def _with_band(design: Design, changed: Band) -> Design:
    bands = tuple(changed if b.name == changed.name else b for b in design.bands)
    return replace(design, bands=bands)


def _turns_it(subject: Subject, changed: Design) -> bool:
    """Tell whether a change turns the twist and brings no fault that was not there before."""
    other = subject_of(changed)
    speed, yarn = other.solution.spindle.speed_rpm, changed.yarn
    if speed is None or yarn is None or direction(speed) != yarn.twist:
        return False
    before = _other_faults(subject)
    return all(fault in before for fault in _other_faults(other))


def _other_faults(subject: Subject) -> set[tuple[str, str]]:
    from wheelgeo.check.table import RULES  # the table holds this rule too

    others: list[Callable[[Subject], Iterator[Finding]]] = [
        r.find for r in RULES if r.find is not wrong_twist
    ]
    return {(f.rule, f.where) for find in others for f in find(subject) if f.level == "fault"}


__all__ = [
    "PRACTICE", "bands_fight", "no_path", "no_yarn", "route_backwards", "several_runs",
    "spindle_reached", "undriven_shafts", "wrong_twist",
]
