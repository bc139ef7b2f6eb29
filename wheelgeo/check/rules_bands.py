"""Rules on bands and grooves: seats, mouths, lead angles, wraps and the bending of cords."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.check.adjustments import (
    Adjustment,
    larger_rim,
    move_apart,
    open_mouth,
    other_run,
    parallel_band,
    room_for_cord,
    shift_either_way,
    smaller_rim,
    thinner_cord,
)
from wheelgeo.check.finding import Finding, Level, advice
from wheelgeo.check.into_line import into_line
from wheelgeo.check.remedies import mend
from wheelgeo.check.wheel_under_check import Find, WheelUnderCheck
from wheelgeo.design.limits import LIMITS, PRACTICE
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Pulley
from wheelgeo.drive.train import BandMotion
from wheelgeo.geometry.groove import Seat
from wheelgeo.immutable import dataclass
from wheelgeo.units.in_full import full, plain

THINS_AT = 0.005
"""Change of a speed from which a cord's thinning is told."""
BELTING_LAW = (
    "law of belting: a band stays on when it arrives in the mid-plane of the pulley "
    "(Encyclopaedia Britannica, 11th ed., vol. 17, section 59)"
)
MOUTH = "where the cord crosses the rim on its way in, it must lie within the groove's mouth"
FLANKS = "contact of a round cord with the groove's flanks"
_TOLERANCE_MM = 1e-9
_TOLERANCE_DEG = 1e-9
BESIDE_MM = 0.5
"""A pulley is set on its rod to within this; common practice, no source."""


@dataclass(frozen=True)
class _Meeting:
    """One band at one pulley."""

    motion: BandMotion
    index: int
    pulley: Pulley
    seat: Seat

    @property
    def where(self) -> str:
        return f'band "{self.motion.band.name}" at "{self.pulley.name}"'

    @property
    def flat(self) -> bool:
        return self.pulley.groove.can_be_cut and not self.pulley.groove.has_mouth

    @property
    def wrap_deg(self) -> float:
        """Arc of contact."""
        path = self.motion.path
        assert path is not None
        return path.wraps_deg[self.index]

    def lead_deg(self, backing_off: bool) -> float:
        """Angle at which the band arrives; backing off, it comes in where it left."""
        path = self.motion.path
        assert path is not None
        return path.leaving_deg(self.index) if backing_off else path.arriving_deg(self.index)

    def neighbour(self, backing_off: bool) -> str:
        """Name of the pulley that the band comes from; backing off, of the one it goes to."""
        route = self.motion.band.route
        return route[(self.index + (1 if backing_off else -1)) % len(route)].pulley


def _meetings(wheel: WheelUnderCheck) -> Iterator[_Meeting]:
    for motion in wheel.paths():
        for index, stop in enumerate(motion.band.route):
            yield _Meeting(motion, index, wheel.design.pulley(stop.pulley), motion.seats[index])


def turned_back(wheel: WheelUnderCheck) -> str:
    """Return for what the drive is turned the other way: a tip at every draw, a flyer to ply."""
    design = wheel.design
    if design.spindle.kind == "tip":
        return "backing off"
    return "plying" if design.yarn is not None and design.yarn.count.plies > 1 else ""


def mouth_spinning(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a band arrives, in spinning, outside what the groove's mouth can catch."""
    yield from _mouth(wheel, mouth_spinning, "spinning")


def mouth_backing_off(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """The same for the drive turned back: to back off, or to ply what a flyer has spun."""
    when = turned_back(wheel)
    if when:
        yield from _mouth(wheel, mouth_backing_off, when)


def _mouth(wheel: WheelUnderCheck, find: Find, when: str) -> Iterator[Finding]:
    backing_off = when != "spinning"
    rule = f"mouth-{when.replace(' ', '-')}"
    for meeting in _meetings(wheel):
        limit = _catch_deg(wheel, meeting)
        angle = abs(meeting.lead_deg(backing_off))
        if limit is not None and angle <= limit + _TOLERANCE_DEG:
            yield from _barely(wheel, find, when, meeting, limit)
            continue
        if limit is None:
            continue
        holds = "a flat rim holds" if meeting.flat else "the mouth of its groove catches"
        yield Finding(
            rule, "fault", meeting.where, angle, limit, "deg",
            f'{when}, band "{meeting.motion.band.name}" arrives at "{meeting.pulley.name}" '
            f"{angle:.1f}° off its mid-plane; {holds} at most {limit:.1f}°, so the band will be "
            "thrown",
            BELTING_LAW if meeting.flat else MOUTH,
            mend(
                wheel, find, _caught(wheel, meeting, backing_off),
                _shift_in_words(meeting, backing_off), (mouth_spinning,),
            ),
        )  # fmt: skip


def _barely(
    wheel: WheelUnderCheck, find: Find, when: str, meeting: _Meeting, limit: float
) -> Iterator[Finding]:
    """Warn where a band is caught, but would not be were the pulley a little beside its place."""
    backing_off = when != "spinning"
    angle, known = abs(meeting.lead_deg(backing_off)), abs(meeting.lead_deg(False))
    path = meeting.motion.path
    assert path is not None
    beside = math.degrees(math.atan2(BESIDE_MM, min(run.length_mm for run in path.runs)))
    told = backing_off and known + beside > limit  # of spinning, caught or not
    if meeting.flat or told or angle + beside <= limit:
        return
    name = meeting.pulley.name
    yield Finding(
        "mouth-barely", "warning", meeting.where, angle, limit, "deg",
        f'{when}, band "{meeting.motion.band.name}" arrives at "{name}" {angle:.1f}° off its '
        f"mid-plane; the mouth of its groove catches at most {limit:.1f}°, and a pulley set "
        f"{BESIDE_MM:g} mm beside its place would throw it",
        MOUTH,
        mend(
            wheel, find, _caught(wheel, meeting, backing_off),
            _shift_in_words(meeting, backing_off),
        ),
    )  # fmt: skip


def _catch_deg(wheel: WheelUnderCheck, meeting: _Meeting) -> float | None:
    if meeting.flat:
        return wheel.limit("flat_arriving_deg")
    return meeting.seat.catch_deg


def _caught(
    wheel: WheelUnderCheck, meeting: _Meeting, backing_off: bool
) -> Iterator[Adjustment]:
    """Yield what lets a groove catch its band: the true place of a pulley before the nearest."""
    design, band = wheel.design, meeting.motion.band.name
    for each in (meeting.pulley.name, meeting.neighbour(backing_off)):
        yield from into_line(design, each, band, meeting.index, backing_off)
    yield from _straighter(wheel, meeting, backing_off)


def _straighter(
    wheel: WheelUnderCheck, meeting: _Meeting, backing_off: bool
) -> Iterator[Adjustment]:
    """Yield what makes a run meet its pulley straighter, or the pulley catch more."""
    design, name, other = wheel.design, meeting.pulley.name, meeting.neighbour(backing_off)
    yield from shift_either_way(design, name, other)
    yield from open_mouth(design, name)
    yield from move_apart(design, meeting.pulley.shaft, design.pulley(other).shaft)
    yield from smaller_rim(design, other)


def _shift_in_words(meeting: _Meeting, backing_off: bool) -> str:
    """Say which way along its shaft a pulley has to go for the run to come in straight.

    A run that arrives heading along the axis comes from below: the pulley must go down towards
    it. Backing off, the run comes in along where it left, from the other end.
    """
    towards_plus = (meeting.lead_deg(backing_off) > 0.0) == backing_off
    way = "+" if towards_plus else "-"
    return (
        f'shift "{meeting.pulley.name}" along its shaft, towards {way} (a '
        f"{'larger' if towards_plus else 'smaller'} offset), or set the shafts further apart"
    )


def arriving_practice(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where a band is caught, but arrives further off the mid-plane than practice does.

    Where the groove does not even catch it, the fault of its mouth says enough.
    """
    limit = wheel.limit("arriving_deg")
    ways = (False, True) if turned_back(wheel) else (False,)
    for meeting in _meetings(wheel):
        for backing_off in () if meeting.flat else ways:
            angle = abs(meeting.lead_deg(backing_off))
            catch = meeting.seat.catch_deg
            if limit + _TOLERANCE_DEG < angle and (catch is None or angle <= catch):
                yield _off_practice(
                    wheel, arriving_practice, "arriving", meeting, backing_off, angle
                )


def leaving_practice(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where a band leaves at more than practice holds good."""
    limit = wheel.limit("leaving_deg")
    for meeting in _meetings(wheel):
        angle = abs(meeting.lead_deg(backing_off=True))
        if angle > limit + _TOLERANCE_DEG:
            yield _off_practice(wheel, leaving_practice, "leaving", meeting, True, angle)


def _off_practice(
    wheel: WheelUnderCheck, find: Find, what: str, meeting: _Meeting, out: bool, angle: float
) -> Finding:
    """Return the warning of a steep angle; ``out``: at the run that leaves in spinning."""
    limit = wheel.limit(f"{what}_deg")
    name = f'band "{meeting.motion.band.name}"'
    verb = "leaves" if what == "leaving" else "arrives at"
    when = turned_back(wheel) if out and what == "arriving" else "spinning"
    return Finding(
        f"{what}-angle", "warning", meeting.where, angle, limit, "deg",
        f'{when}, {name} {verb} "{meeting.pulley.name}" {angle:.1f}° off its mid-plane; practice '
        f"stays within {plain(limit)}°",
        LIMITS[f"{what}_deg"].source,
        mend(
            wheel, find, _straighter(wheel, meeting, out),
            "set the shafts further apart, or make the other pulley smaller",
        ),
    )  # fmt: skip


def wrap_small(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a band touches too little of a pulley to drive it; idlers need not be driven."""
    limit, least = wheel.limit("wrap_deg"), wheel.limit("least_wrap_deg")
    for meeting in _meetings(wheel):
        wrap = meeting.wrap_deg
        if wrap >= max(limit, least) - _TOLERANCE_DEG or not _does_work(wheel, meeting.pulley):
            continue
        level: Level = "fault" if wrap < least else "warning"
        name = meeting.pulley.name
        held = (
            f"less than {plain(least)}° will not drive it" if wrap < least
            else f"practice asks for {plain(limit)}° or more"
        )  # fmt: skip
        yield Finding(
            "wrap", level, meeting.where, wrap, least if wrap < least else limit, "deg",
            f'band "{meeting.motion.band.name}" touches only {plain(wrap, 1)}° of "{name}"; {held}',
            LIMITS["least_wrap_deg" if wrap < least else "wrap_deg"].source,
            mend(
                wheel, wrap_small, _more_wrap(wheel, meeting),
                "set the shafts further apart, or make the two pulleys more alike in size",
            ),
        )  # fmt: skip


def _does_work(wheel: WheelUnderCheck, pulley: Pulley) -> bool:
    """Tell whether a pulley must carry a pull: not an idler that only guides the band."""
    design, shaft = wheel.design, pulley.shaft
    if shaft == design.drive.shaft or wheel.coaxial(shaft, design.spindle.shaft):
        return True
    bands = {b.name for p in design.pulleys_on(shaft) for b in design.bands
             if any(s.pulley == p.name for s in b.route)}  # fmt: skip
    return len(bands) > 1


def _more_wrap(wheel: WheelUnderCheck, meeting: _Meeting) -> Iterator[Adjustment]:
    design, band = wheel.design, meeting.motion.band
    for backing_off in (False, True):
        other = design.pulley(meeting.neighbour(backing_off))
        yield from move_apart(design, meeting.pulley.shaft, other.shaft)
        yield from move_apart(design, other.shaft, meeting.pulley.shaft)
        if len(band.route) == 2:
            break
    if len(band.route) == 2 and parallel_band(design, band):
        yield from other_run(design, band)
    yield from larger_rim(design, meeting.pulley.name)


def cord_seats(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where a cord does not get into its groove, and the pitch diameter it rides at."""
    for motion in wheel.solution.bands:
        for name, seat in _stops(motion):
            if seat.seated:
                continue
            cord, where = motion.band.diameter_mm, f'band "{motion.band.name}" at "{name}"'
            flat = not wheel.design.pulley(name).groove.has_mouth
            riding = "" if flat else (
                f"; riding on the edges its pitch diameter is {full(seat.pitch_diameter_mm, 3)} mm"
            )  # fmt: skip
            part = "onto the rim" if flat else "into the groove"
            yield Finding(
                "cord-not-seated", "fault", where, cord, seat.mouth_mm, "mm",
                f'the {full(cord)} mm cord of "{motion.band.name}" does not get {part} of '
                f'"{name}": {seat.trouble}{riding}',
                FLANKS,
                mend(
                    wheel, cord_seats, _better_seat(wheel, motion, name),
                    "make the groove wider, or take a thinner cord",
                ),
            )  # fmt: skip


def _stops(motion: BandMotion) -> Iterator[tuple[str, Seat]]:
    """Yield each pulley of a route once, with the seat of the cord on it."""
    seats = {s.pulley: seat for s, seat in zip(motion.band.route, motion.seats, strict=True)}
    yield from seats.items()


def _better_seat(wheel: WheelUnderCheck, motion: BandMotion, name: str) -> Iterator[Adjustment]:
    yield from room_for_cord(wheel.design, name)
    yield thinner_cord(wheel.design, motion.band.name)


def cord_bends(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where a pulley bends a cord more sharply than its material stands."""
    for motion in wheel.solution.bands:
        material = find_material(motion.band.material, wheel.design.materials)
        if material is None or material.bend_ratio is None:
            continue
        cord = motion.band.diameter_mm
        for name, seat in _stops(motion):
            bottom, least = seat.pitch_diameter_mm - cord, material.bend_ratio.value * cord
            if bottom >= least - _TOLERANCE_MM:
                continue
            where = f'band "{motion.band.name}" at "{name}"'
            thinner = thinner_cord(wheel.design, motion.band.name)
            ways = [thinner, *larger_rim(wheel.design, name)]
            yield Finding(
                "cord-too-thick", "warning", where, bottom, least, "mm",
                f'"{name}" bends the {full(cord)} mm {material.name} round {full(bottom)} mm; it '
                f"lasts round {full(least)} mm or more",
                material.bend_ratio.source,
                mend(
                    wheel, cord_bends, ways,
                    "take a thinner cord, or a larger pulley",
                ),
            )  # fmt: skip


def cord_thins(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where a rubber-like cord thins so much that its slack diameter would mislead."""
    for motion in wheel.solution.bands:
        made, source = wheel.solution.built.bands[motion.band.name], motion.driver
        lies, bought = motion.band.diameter_mm, made.bought_diameter_mm
        if bought == lies or source is None:
            continue
        thin = lies * lies / bought
        stops = [wheel.solution.built.pulleys[s.pulley] for s in motion.band.route]
        now = [seat.pitch_radius_mm for seat in motion.seats]
        then = [stop.runs_in.seat(thin).pitch_radius_mm for stop in stops]
        as_now = [now[source] / n for n in now]
        changes = [then[source] / t / r - 1.0 for t, r in zip(then, as_now, strict=True)]
        most = max(changes, key=abs)
        if abs(most) < THINS_AT:
            continue
        where = f'band "{motion.band.name}"'
        yield Finding(
            "cord-thins", "note", where, 100 * most, 100 * THINS_AT, "%",
            f"the {full(lies)} mm of {where} count as it lies: stretched on by "
            f"{plain(100 * made.stretch.value, 1)} %, {motion.band.material} of {full(bought)} mm "
            f"thins to them. If the cord to hand is {full(lies)} mm thick slack, it lies "
            f"{full(thin)} mm thick, and turns what it drives {plain(abs(100 * most), 1)} % "
            f"{'faster' if most > 0.0 else 'slower'}",
            "rubber keeps its volume, Poisson's ratio 0.5; the limit is common practice, no source",
            advice("buy the thicker cord, or write under its diameter how thick the other lies"),
            "possible", "the cord's diameter on the wheel, stretched, with a caliper",
        )  # fmt: skip


def groove_unknown(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Note where a groove is not known, so that its mouth cannot be checked."""
    for pulley in wheel.design.pulleys:
        if not pulley.groove.can_be_cut and wheel.design.cord_on(pulley.name):
            yield Finding(
                "groove-not-given", "note", f'pulley "{pulley.name}"', None, None, "",
                f'only the pitch diameter of "{pulley.name}" is given: whether its groove catches '
                "the band cannot be said",
                PRACTICE, advice("give the groove's shape, rim and depth"),
            )  # fmt: skip
