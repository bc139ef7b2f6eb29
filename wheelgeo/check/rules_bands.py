"""Rules on bands and grooves: seats, mouths, lead angles, wraps and the bending of cords."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from wheelgeo.check.finding import Finding
from wheelgeo.check.subject import Subject
from wheelgeo.design.limits import LIMITS, PRACTICE
from wheelgeo.design.materials import find_material
from wheelgeo.design.model import FlatRim, GivenPitch, Pulley
from wheelgeo.drive.train import BandMotion
from wheelgeo.geometry.grooves import Seat

BELTING_LAW = (
    "law of belting: a band stays on when it arrives in the mid-plane of the pulley "
    "(Encyclopaedia Britannica, 11th ed., vol. 17, section 59)"
)
MOUTH = "where the cord crosses the rim on its way in, it must lie within the groove's mouth"


@dataclass(frozen=True, slots=True)
class _Meeting:
    """One band at one pulley."""

    motion: BandMotion
    index: int
    pulley: Pulley
    seat: Seat

    @property
    def where(self) -> str:
        return f'band "{self.motion.band.name}" at "{self.pulley.name}"'

    def lead_deg(self, backing_off: bool) -> float:
        """Angle at which the band arrives; backing off, it comes in where it left."""
        path = self.motion.path
        assert path is not None  # noqa: S101 - meetings are made of paths only
        return path.leaving_deg(self.index) if backing_off else path.arriving_deg(self.index)


def _meetings(subject: Subject) -> Iterator[_Meeting]:
    for motion in subject.paths():
        for index, stop in enumerate(motion.band.route):
            yield _Meeting(motion, index, subject.design.pulley(stop.pulley), motion.seats[index])


def mouth_spinning(subject: Subject) -> Iterator[Finding]:
    """Say where a band arrives, in spinning, outside what the groove's mouth can catch."""
    yield from _mouth(subject, backing_off=False)


def mouth_backing_off(subject: Subject) -> Iterator[Finding]:
    """The same for the drive turned back; a flyer is never backed off, a tip at every draw."""
    if subject.design.spindle.kind == "tip":
        yield from _mouth(subject, backing_off=True)


def _mouth(subject: Subject, backing_off: bool) -> Iterator[Finding]:
    when = "backing off" if backing_off else "spinning"
    for meeting in _meetings(subject):
        limit = _catch_deg(subject, meeting)
        angle = abs(meeting.lead_deg(backing_off))
        if limit is None or angle <= limit:
            continue
        flat = isinstance(meeting.pulley.groove, FlatRim)
        yield Finding(
            f"mouth-{when.replace(' ', '-')}", "fault", meeting.where, angle, limit, "deg",
            f'{when}, band "{meeting.motion.band.name}" arrives at "{meeting.pulley.name}" '
            f"{angle:.1f}° off its mid-plane; "
            + (f"a flat rim holds at most {limit:.1f}°" if flat
               else f"the mouth of its groove catches at most {limit:.1f}°"),
            _remedy_for_mouth(meeting, backing_off, angle),
            BELTING_LAW if flat else MOUTH,
        )


def _catch_deg(subject: Subject, meeting: _Meeting) -> float | None:
    if isinstance(meeting.pulley.groove, FlatRim):
        return subject.limit("flat_arriving_deg")
    return meeting.seat.catch_deg


def _remedy_for_mouth(meeting: _Meeting, backing_off: bool, angle: float) -> str:
    """Name the sideways shift that brings the run into the mid-plane."""
    path = meeting.motion.path
    assert path is not None  # noqa: S101 - meetings are made of paths only
    run = path.runs[meeting.index] if backing_off else path.runs[meeting.index - 1]
    shift = abs(run.length_mm * _sine(angle))
    groove = "" if isinstance(meeting.pulley.groove, FlatRim) else ", or open its groove wider"
    return (
        f'shift "{meeting.pulley.name}" along its shaft, by up to {shift:.1f} mm, towards where '
        f"the run comes from{groove}, or set the shafts further apart"
    )


def _sine(degrees: float) -> float:
    import math

    return math.sin(math.radians(degrees))


def arriving_practice(subject: Subject) -> Iterator[Finding]:
    """Warn where a band arrives further off the mid-plane than practice holds good."""
    limit = subject.limit("arriving_deg")
    for meeting in _meetings(subject):
        ways = ("spinning", "backing off") if subject.design.spindle.kind == "tip" else ("spinning",)
        for way in ways:
            angle = abs(meeting.lead_deg(way == "backing off"))
            if angle > limit:
                yield Finding(
                    "arriving-angle", "warning", meeting.where, angle, limit, "deg",
                    f"{way}, the band arrives {angle:.1f}° off the mid-plane; practice stays "
                    f"within {limit:g}°",
                    "set the shafts further apart, or make the other pulley smaller",
                    LIMITS["arriving_deg"].source,
                )


def leaving_practice(subject: Subject) -> Iterator[Finding]:
    """Warn where a band leaves at more than practice holds good."""
    limit = subject.limit("leaving_deg")
    for meeting in _meetings(subject):
        angle = abs(meeting.lead_deg(backing_off=True))
        if angle > limit:
            yield Finding(
                "leaving-angle", "warning", meeting.where, angle, limit, "deg",
                f"the band leaves {angle:.1f}° off the mid-plane; practice stays within {limit:g}°",
                "set the shafts further apart, or make the other pulley smaller",
                LIMITS["leaving_deg"].source,
            )


def wrap_small(subject: Subject) -> Iterator[Finding]:
    """Say where a band touches too little of a pulley to drive it."""
    limit, least = subject.limit("wrap_deg"), subject.limit("least_wrap_deg")
    for meeting in _meetings(subject):
        path = meeting.motion.path
        assert path is not None  # noqa: S101 - meetings are made of paths only
        wrap = path.wraps_deg[meeting.index]
        if wrap < limit:
            level, held = ("fault", least) if wrap < least else ("warning", limit)
            yield Finding(
                "wrap", level, meeting.where, wrap, held, "deg",  # type: ignore[arg-type]
                f"the band touches {wrap:.0f}° of the pulley; "
                f"{'less than ' if wrap < least else 'practice asks for '}{held:.0f}°"
                f"{' will not drive it' if wrap < least else ''}",
                "set the shafts further apart, or cross the band, or make the two pulleys more "
                "alike in size",
                LIMITS["wrap_deg"].source,
            )


def cord_seats(subject: Subject) -> Iterator[Finding]:
    """Say where a cord does not get into its groove, and the pitch diameter it rides at."""
    for motion in subject.solution.bands:
        for stop, seat in zip(motion.band.route, motion.seats, strict=True):
            if not seat.seated:
                yield Finding(
                    "cord-not-seated", "fault", f'band "{motion.band.name}" at "{stop.pulley}"',
                    motion.band.diameter_mm, seat.mouth_mm, "mm",
                    f'the {motion.band.diameter_mm:g} mm cord of "{motion.band.name}" does not get '
                    f'into the groove of "{stop.pulley}": {seat.trouble}; riding on the edges its '
                    f"pitch diameter is {seat.pitch_diameter_mm:.3f} mm",
                    "cut the groove deeper or wider, or take a thinner cord",
                    "contact of a round cord with the groove's flanks",
                )


def cord_bends(subject: Subject) -> Iterator[Finding]:
    """Warn where a pulley bends a cord more sharply than its material stands."""
    for motion in subject.solution.bands:
        material = find_material(motion.band.material, subject.design.materials)
        figure = material.bend_ratio if material else None
        if figure is None:
            continue
        for stop, seat in zip(motion.band.route, motion.seats, strict=True):
            bottom = seat.pitch_diameter_mm - motion.band.diameter_mm
            least = figure.value * motion.band.diameter_mm
            if bottom < least - 1e-9:
                yield Finding(
                    "cord-too-thick", "warning", f'band "{motion.band.name}" at "{stop.pulley}"',
                    bottom, least, "mm",
                    f'"{stop.pulley}" bends the {motion.band.diameter_mm:g} mm {material.name} '  # type: ignore[union-attr]
                    f"round {bottom:.2f} mm; it wants {least:.2f} mm or more",
                    f"take a cord of {bottom / figure.value:.2f} mm or less, or a larger pulley",
                    figure.source,
                )


def groove_unknown(subject: Subject) -> Iterator[Finding]:
    """Note where a groove is not known, so that its mouth cannot be checked."""
    for pulley in subject.design.pulleys:
        if isinstance(pulley.groove, GivenPitch) and subject.design.cord_on(pulley.name):
            yield Finding(
                "groove-not-given", "note", f'pulley "{pulley.name}"', None, None, "",
                f'only the pitch diameter of "{pulley.name}" is given: whether its groove catches '
                "the band cannot be said",
                "give the groove's shape, rim and depth", PRACTICE,
            )
