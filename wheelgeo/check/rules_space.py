"""Rules on room: parts that collide, runs that hit something, and what must fit the case."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from wheelgeo.check.finding import Finding, Level
from wheelgeo.check.subject import Subject
from wheelgeo.design.limits import LIMITS
from wheelgeo.drive.train import BandMotion
from wheelgeo.geometry.bodies import Capsule, Cylinder, beyond_box_mm, gap_mm
from wheelgeo.geometry.clearance import parting_tilt_deg
from wheelgeo.geometry.vectors import along

GEOMETRY = "distance between the two bodies"

Body = Cylinder | Capsule
Named = tuple[str, Body]


def _too_near(
    rule: str, subject: Subject, first: Named, second: Named, remedy: str
) -> Iterator[Finding]:
    """Yield a fault where two bodies overlap, a warning where they all but touch."""
    limit = subject.limit("clearance_mm")
    gap = gap_mm(first[1], second[1], enough=limit)
    if gap >= limit:
        return
    level: Level = "fault" if gap < 0.0 else "warning"
    says = (
        f"{first[0]} runs {-gap:.2f} mm into {second[0]}" if gap < 0.0
        else f"only {gap:.2f} mm lie between {first[0]} and {second[0]}"
    )
    apart = limit - gap
    yield Finding(
        rule, level, f"{first[0]}, {second[0]}", gap, limit, "mm", says,
        f"{remedy} by {apart:.2f} mm or more", f"{GEOMETRY}; least gap: {LIMITS['clearance_mm'].source}",
    )


def parts_collide(subject: Subject) -> Iterator[Finding]:
    """Say which pulleys and shafts run into each other, and how deep."""
    pulleys = [
        (f'pulley "{p.name}"', p.shaft, subject.pulley_bodies[p.name]) for p in subject.design.pulleys
    ]
    shafts = [(f'shaft "{s.name}"', s.name, subject.shaft_bodies[s.name]) for s in subject.design.shafts]
    for (name, shaft, body), (other, shaft2, body2) in combinations([*pulleys, *shafts], 2):
        if not subject.coaxial(shaft, shaft2):
            yield from _too_near(
                "parts-collide", subject, (name, body), (other, body2), "move the two apart"
            )


def grooves_overlap(subject: Subject) -> Iterator[Finding]:
    """Say which pulleys on one axis stand in each other's place."""
    for one, other in combinations(subject.design.pulleys, 2):
        if not subject.coaxial(one.shaft, other.shaft):
            continue
        gap = gap_mm(subject.pulley_bodies[one.name], subject.pulley_bodies[other.name])
        if gap < -1e-6:
            yield Finding(
                "pulleys-overlap", "fault", f'pulley "{one.name}", pulley "{other.name}"', gap, 0.0,
                "mm", f'"{one.name}" and "{other.name}" overlap by {-gap:.2f} mm on their shaft',
                f"set their offsets {-gap:.2f} mm further apart, or give them less width", GEOMETRY,
            )


def runs_hit_parts(subject: Subject) -> Iterator[Finding]:
    """Say which run hits a pulley or a shaft that it does not serve."""
    for motion in subject.paths():
        names = [s.pulley for s in motion.band.route]
        assert motion.path is not None  # noqa: S101 - paths() yields no other
        for run, (run_name, body) in zip(motion.path.runs, subject.run_bodies(motion), strict=True):
            served = {names[run.first], names[run.second]}
            yield from _run_against_pulleys(subject, (run_name, body), served)
            yield from _run_against_shafts(subject, (run_name, body), served)


def _run_against_pulleys(subject: Subject, run: Named, served: set[str]) -> Iterator[Finding]:
    for name, body in subject.pulley_bodies.items():
        if name not in served:
            yield from _too_near(
                "run-hits-pulley", subject, run, (f'pulley "{name}"', body), "move the pulley away"
            )


def _run_against_shafts(subject: Subject, run: Named, served: set[str]) -> Iterator[Finding]:
    own = {subject.design.pulley(name).shaft for name in served}
    for name, body in subject.shaft_bodies.items():
        if not any(subject.coaxial(name, shaft) for shaft in own):
            yield from _too_near(
                "run-hits-shaft", subject, run, (f'shaft "{name}"', body), "move the shaft away"
            )


def runs_touch(subject: Subject) -> Iterator[Finding]:
    """Say which runs of different bands touch."""
    for one, other in combinations(list(subject.paths()), 2):
        for first in subject.run_bodies(one):
            for second in subject.run_bodies(other):
                yield from _too_near(
                    "runs-touch", subject, first, second, "set one band's grooves aside"
                )


def crossed_runs_rub(subject: Subject) -> Iterator[Finding]:
    """Warn where two runs of one band rub, with the offset that parts them."""
    for motion in subject.paths():
        bodies = subject.run_bodies(motion)
        for i, j in _runs_apart(motion):
            gap = gap_mm(bodies[i][1], bodies[j][1], enough=0.0)
            if gap < -1e-9:
                yield _rub(motion, bodies[i][0], bodies[j][0], gap)


def _runs_apart(motion: BandMotion) -> Iterator[tuple[int, int]]:
    """Yield pairs of runs that share no pulley; the two runs of a two-pulley band share both."""
    count = len(motion.band.route)
    if count == 2:
        yield 0, 1
        return
    for i, j in combinations(range(count), 2):
        if (j - i) % count not in (1, count - 1):
            yield i, j


def _rub(motion: BandMotion, first: str, second: str, gap: float) -> Finding:
    cord = motion.band.diameter_mm
    between = max(cord + gap, 0.0)
    remedy = f"lead the two runs {-gap:.2f} mm further apart where they cross"
    if len(motion.band.route) == 2 and motion.path is not None:
        tilt = parting_tilt_deg(motion.path, cord)
        if tilt is not None:
            remedy += (
                f': tilting the shaft of "{motion.band.route[1].pulley}" by {tilt:.1f}° about the '
                "line that joins the two pulleys does it"
            )
    return Finding(
        "crossed-runs-rub", "warning", f'band "{motion.band.name}"', between, cord, "mm",
        f"{first} and {second} rub where they cross: their centre-lines pass {between:.2f} mm "
        f"apart, the cord is {cord:g} mm thick",
        remedy, GEOMETRY,
    )


def outside_case(subject: Subject) -> Iterator[Finding]:
    """Say which pulley or run does not fit inside the case, on which side and by how much."""
    if subject.design.case is None:
        return
    for name, body in subject.pulley_bodies.items():
        yield from _beyond(subject, "outside-case", (f'pulley "{name}"', body))
    for motion in subject.paths():
        for run in subject.run_bodies(motion):
            yield from _beyond(subject, "run-hits-case", run)


def _beyond(subject: Subject, rule: str, part: Named) -> Iterator[Finding]:
    case = subject.design.case
    assert case is not None  # noqa: S101 - the caller looked
    room = subject.limit("clearance_mm")
    beyond, side = beyond_box_mm(part[1], case.corner_mm, case.inside_mm)
    if beyond <= -room:
        return
    level: Level = "fault" if beyond > 0.0 else "warning"
    says = (
        f"{part[0]} sticks out of the case at the {side} by {beyond:.2f} mm" if beyond > 0.0
        else f"{part[0]} clears the case at the {side} by only {-beyond:.2f} mm"
    )
    yield Finding(
        rule, level, part[0], -beyond, room, "mm", says,
        f"move it in by {beyond + room:.2f} mm, or make it smaller or the case larger",
        f"{GEOMETRY}; least gap: {LIMITS['clearance_mm'].source}",
    )


def hand_room(subject: Subject) -> Iterator[Finding]:
    """Say where the crank, or the knuckles of the hand that turns it, have no room."""
    design = subject.design
    if design.drive.by != "crank" or design.drive.radius_mm is None:
        return
    room = subject.limit("knuckle_room_mm")
    sweep = _hand_sweep(subject, design.drive.radius_mm + room)
    if design.case is not None and _inside(sweep.centre, design.case.corner_mm, design.case.inside_mm):
        beyond, side = beyond_box_mm(sweep, design.case.corner_mm, design.case.inside_mm)
        if beyond > 1e-9:
            yield _no_room(subject, f"the {side} of the case", -beyond, room)
    if design.drive.offset_mm is not None:
        yield from _hand_against_parts(subject, sweep, room)


def _hand_sweep(subject: Subject, radius: float) -> Cylinder:
    """Return the disc that crank and hand sweep; level with the wheel where the file is silent."""
    drive = subject.design.drive
    shaft = subject.design.shaft(drive.shaft)
    offset = drive.offset_mm
    if offset is None:
        offsets = [p.offset_mm for p in subject.design.pulleys_on(drive.shaft)] or [0.0]
        offset = sum(offsets) / len(offsets)
    return Cylinder(along(shaft.at_mm, shaft.axis, offset), shaft.axis, radius, 0.0)


def _inside(point: tuple[float, float, float], corner: tuple[float, ...], size: tuple[float, ...]) -> bool:
    return all(c <= p <= c + s for p, c, s in zip(point, corner, size, strict=True))


def _no_room(subject: Subject, what: str, gap: float, room: float) -> Finding:
    radius = subject.design.drive.radius_mm or 0.0
    part = "the crank" if -gap > room else "the knuckles"
    above = (
        "" if subject.design.drive.offset_mm is not None
        else " (or, if the crank turns above the case, say in which plane: offset under [drive])"
    )
    return Finding(
        "hand-room", "fault", "drive", room + gap, room, "mm",
        f"{part} would hit {what}: outside the crank circle there are {room + gap:.1f} mm, a hand "
        f"needs {room:g} mm",
        f"shorten the crank to {max(radius + gap, 0.0):.1f} mm or less, or make the case "
        f"larger{above}",
        LIMITS["knuckle_room_mm"].source,
    )


def _hand_against_parts(subject: Subject, sweep: Cylinder, room: float) -> Iterator[Finding]:
    own = subject.design.drive.shaft
    parts = [
        (f'pulley "{p.name}"', p.shaft, subject.pulley_bodies[p.name]) for p in subject.design.pulleys
    ] + [(f'shaft "{s.name}"', s.name, subject.shaft_bodies[s.name]) for s in subject.design.shafts]
    for name, shaft, body in parts:
        if subject.coaxial(shaft, own):
            continue
        gap = gap_mm(sweep, body, enough=0.0)
        if gap < -1e-9:
            yield _no_room(subject, name, gap, room)
