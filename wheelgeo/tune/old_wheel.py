"""An old wheel from a few measurements: its band, and how sure that is.

Every measurement is a text as written on the rule, ``"21 1/2 in"``, with its uncertainty at 95 %
where it is known, ``"21 1/2 +- 1/8 in"``. What was not measured takes usual values, each told. The
uncertainty of a result is of first order: each measurement is moved by its half width both ways
through the whole reckoning, so that a rim which enters twice (its own path, and a distance measured
from its edge) counts twice; the parts add by their squares.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field, replace
from itertools import combinations
from typing import Any

from wheelgeo.built.assumed import Assumption
from wheelgeo.check.answer import Answer
from wheelgeo.check.band_uncertainty import BandUncertainty, assumed_stretch_mm
from wheelgeo.check.finding import Finding, advice
from wheelgeo.check.only_assumed import of_spacing
from wheelgeo.check.things import Thing
from wheelgeo.design.materials import PRACTICE
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults
from wheelgeo.design.side_words import drive_seen_from
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import DesignError, Fault
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.results import result_of
from wheelgeo.numbers.uncertain import Parts, together
from wheelgeo.tune.old_wheel_design import BAND, MEASURED, OldWheelKind, OldWheelMeasured
from wheelgeo.tune.old_wheel_doubts import (
    as_measured,
    by_mouth,
    by_what_is_known,
    off_the_reel,
    readings_of,
    ways_together,
)
from wheelgeo.tune.old_wheel_grooves import OLD_VEE_DEG, Shape, Values
from wheelgeo.tune.old_wheel_meant import looked_at, what_was_meant
from wheelgeo.tune.old_wheel_reading import OldWheelReading, said
from wheelgeo.tune.old_wheel_sure import with_bands_that_fit, with_uncertainties
from wheelgeo.tune.staying_on import StayingOn, staying_on
from wheelgeo.units.in_full import full

_APART = "distance of the axes"
_LENGTH, _CUT_LENGTH = f"{BAND}.length", f"{BAND}.cut_length"
_NAMES = ("ratio", _LENGTH, _CUT_LENGTH, _APART)

ALIKE = 1e-6
"""Flyer and bobbin that differ by less than this part of their speed turn alike."""

_OF_THE_DISTANCE = frozenset(
    {"apart", "edge_to_edge", "over_axles", "axle", "rod", "fits", "stretch"}
)


@dataclass(frozen=True)
class IfRound:
    """What comes out if grooves that nobody looked into are not what they are taken for.

    One of which the depth is known is taken as a vee, and may be round; one known by a girth is
    taken as one with the cord where the thread lay, and may be a vee with the thread in its point.
    A cord between the sides of a vee of 60 degrees lies as deep as its own diameter higher than one
    on a round bottom: nobody can tell without looking into the groove.

    Attributes:
        grooves: which nobody has looked into: of "wheel" and "whorl".
        vees: of these, which may be vees, their girth being known; the others may be round.
        length_mm: length of the band in place, all such grooves being round.
        cut_with_joint_mm: what to cut, likewise.
        ratio: turns of the spindle per turn of the wheel, likewise.
        ratio_low: least that the ratio may be, whatever shape each groove has, at 95 %.
        ratio_high: greatest.
    """

    grooves: tuple[str, ...]
    vees: tuple[str, ...]
    length_mm: float | None
    cut_with_joint_mm: float | None
    ratio: float | None
    ratio_low: float | None
    ratio_high: float | None


@dataclass(frozen=True)
class OldWheelAnswer:
    """The band of an old wheel.

    Attributes:
        answer: what ``solve`` says of the wheel, with the uncertainties filled in.
        measuring_mm: part of the cut length's uncertainty that measuring makes, at 95 %.
        stretch_mm: part that the cord's stretch makes, which nobody knows beforehand.
        assumed: what was taken because it was not measured.
        assumed_in_file: what the wheel's file holds besides that nobody was asked for, of which
            this answer does not hang, but every other command's does.
        wheel: the wheel; a band that fits, beside another way to the distance of its axes, is
            measured of it, so that ``check`` and ``measure`` hold it against that.
        staying_on: what an untrue rim does to the band over a turn; None where none was measured.
        measured: what was measured, as written.
        apart_mm: distance of the two axes, and how sure that is at 95 %.
        too_unsure: what was measured so badly that within that there may be no band, as typed.
        if_round: what comes out if grooves are of another shape than was taken; None where their
            shape was told, or there are none.
    """

    answer: Answer
    measuring_mm: float | None
    stretch_mm: float | None
    assumed: tuple[Assumption, ...]
    assumed_in_file: tuple[Assumption, ...]
    wheel: Any = field(repr=False)
    staying_on: StayingOn | None
    measured: OldWheelMeasured = field(repr=False)
    apart_mm: tuple[float, float | None]
    too_unsure: tuple[str, ...]
    if_round: IfRound | None = None

    def to_json(self) -> dict[str, Any]:
        """Return what the command prints with ``--json``: the same keys as ``solve``."""
        return self.answer.to_json()


def old_wheel(
    measured: OldWheelMeasured, as_wheel: Callable[[Design], Any], title: str = "Old wheel"
) -> OldWheelAnswer:
    """Return the band of an old wheel from what was measured of it.

    Args:
        measured: the measurements, as written.
        as_wheel: makes the front door's wheel of a design.
        title: title of the wheel.

    Raises:
        DesignError: something is missing, cannot be read, or makes no wheel; holds every fault.
    """
    readings = readings_of(measured)
    reading, *others = readings
    values = reading.values
    try:
        plain = reading.design(values, title)
    except DesignError as error:  # the band that fits goes round no such wheel
        meant = what_was_meant(reading)
        raise DesignError(tuple(meant.asked_of(f) for f in error.faults), MEASURED) from error
    if impossible := tuple(dict.fromkeys(as_measured(f, plain) for f in faults(plain))):
        if (meant := what_was_meant(reading)).words:
            says = "some size is not what was meant"
            impossible = (*impossible, Fault(said(meant.key), says, meant.words))
        raise DesignError(impossible, MEASURED)
    halves_of = _halves(reading, reading.kind, values, tuple(reading.halves))
    design = with_uncertainties(plain, reading, halves_of[_APART])
    stretch = assumed_stretch_mm(solve_drive(design), BAND)
    half = BandUncertainty(halves_of[_LENGTH], halves_of[_CUT_LENGTH], stretch)
    answer: Answer = as_wheel(design).solve()
    band = replace(
        answer.bands[0], length_uncertainty_mm=half.length_mm,
        cut_length_uncertainty_mm=half.cut_length_mm,
        from_measuring_mm=half.measuring_mm, from_stretch_mm=half.stretch_mm,
        stretch_assumed=True,
    )  # fmt: skip
    told = replace(answer, ratio_uncertainty=halves_of["ratio"], bands=(band,))
    if_round = _if_round(reading, told)
    if if_round is not None:
        told = replace(told, findings=(*told.findings, _look_into(if_round, told)))
    beside = tuple(_spacing_assumed(design, measured))
    if beside:
        # What hangs on a distance that nobody measured is no finding of this wheel.
        told = replace(told, findings=tuple(f for f in told.findings if not of_spacing(f)))
    told = replace(told, findings=tuple(by_mouth(reading, f) for f in told.findings))
    if nothing := _winds_nothing(told):
        told = replace(told, findings=(nothing, *told.findings))
    if unlike := off_the_reel(reading, design):
        told = replace(told, findings=(*told.findings, unlike))

    def distance_half(by: OldWheelReading) -> float | None:
        return _halves(by, by.kind, by.values, tuple(by.halves))[_APART]

    collide = tuple(f for f in told.findings if f.rule == "parts-collide" and f.level == "fault")
    sound = tuple(f for f in told.findings if f not in collide)
    odd = (*looked_at(reading, design, collide), *ways_together(readings, distance_half))
    told = replace(told, findings=(*sound, *odd))
    return OldWheelAnswer(
        told, half.measuring_mm, half.stretch_mm,
        tuple(dict.fromkeys((*(a for r in readings for a in r.assumed), *beside))),
        tuple(_not_asked(design, values, measured)), as_wheel(with_bands_that_fit(design, others)),
        by_what_is_known(reading, staying_on(design, values)), measured,
        (design.shafts[1].at_mm[0], halves_of[_APART]),
        tuple(_too_unsure(reading, halves_of)), if_round,
    )  # fmt: skip


def _spacing_assumed(design: Design, measured: OldWheelMeasured) -> Iterator[Assumption]:
    """Yield which distances of a double band's grooves were taken, because nobody measured them."""
    if not measured.double:
        return
    at = {p.name: p.offset_mm for p in design.pulleys}
    for told, one, other, what in (
        (measured.grooves_apart, "wheel", "second groove", "the wheel's two grooves apart"),
        (measured.whorls_apart, "whorl", "bobbin whorl", "the whorls of flyer and bobbin apart"),
    ):
        if not told:
            taken = f"{full(at[other] - at[one], 1)} mm, as close as they can be cut"
            yield Assumption(what, taken, PRACTICE)


def _not_asked(
    design: Design, values: Values, measured: OldWheelMeasured
) -> Iterator[Assumption]:
    """Yield what a design file must say and no band hangs on: who drives it, how thick rods are."""
    drive = design.drive
    by = "" if measured.driven.strip() else f"by a {drive.by}, "
    taken = f"{by}{drive.turns}, {drive_seen_from(design)}, at {drive.speed_rpm:g} rpm"
    yield Assumption("how the wheel is driven", taken, PRACTICE)
    for shaft, told in zip(design.shafts, ("axle", "rod"), strict=False):  # a sleeve tells its own
        if values.get(told) != shaft.diameter_mm:
            taken = f"{shaft.diameter_mm:g} mm: measure it"
            yield Assumption(f'diameter of shaft "{shaft.name}"', taken, PRACTICE)


def _winds_nothing(told: Answer) -> Finding | None:
    """Return the fault of a double band over two whorls alike: flyer and bobbin turn as one."""
    turns = {s.name: s.turns_per_drive_turn for s in told.shafts}
    flyer, bobbin = turns.get("flyer"), turns.get("bobbin")
    if not flyer or bobbin is None or abs(bobbin / flyer - 1.0) > ALIKE:
        return None
    return Finding(
        "winds-nothing", "fault", (Thing("whorl"), Thing("bobbin whorl")), bobbin / flyer, 1.0, "",
        "flyer and bobbin turn alike, the band lying equally high on both whorls: no yarn is drawn "
        "in or wound on",
        "yarn taken in = difference of bobbin and flyer x girth of the bobbin",
        advice("measure both whorls again, in their grooves; one must be smaller"),
    )  # fmt: skip


def _look_into(found: IfRound, told: Answer) -> Finding:
    """Return the note that nobody has looked into the grooves."""
    ratio = "none" if found.ratio is None else f"{found.ratio:.2f}"
    length = "no" if found.length_mm is None else f"a {full(found.length_mm, 1)} mm"
    taken = f"grooves known by their depth are taken as vees of {OLD_VEE_DEG:g}°"
    other = "if they are round, the cord on the bottom"
    if found.vees:
        taken = "grooves known by a girth are taken with the cord where the thread lay"
        other = "if they are vees, the thread in the point"
    if 0 < len(found.vees) < len(found.grooves):
        taken += f", the one known by its depth as a vee of {OLD_VEE_DEG:g}°"
        other += ", and that one is round"
    return Finding(
        "groove-shape-unknown", "note", tuple(map(Thing, found.grooves)),
        found.ratio, told.ratio, "",
        f"{taken}; {other}, the ratio is {ratio}, with {length} band in place",
        "a cord of radius r lies r/sin(a/2) above the bottom of a vee of angle a, r above a round "
        "one",
        advice("look into the grooves and say --groove-shape vee, round or worn"),
    )  # fmt: skip


def _if_round(reading: OldWheelReading, told: Answer) -> IfRound | None:
    """Return what comes out with the other shape of the grooves that nobody has looked into."""
    vees = reading.girths_of_unknown_shape
    unknown = tuple(w for w in ("wheel", "whorl") if w in (*reading.unknown_shapes, *vees))
    other: dict[str, Shape] = {w: "vee" if w in vees else "round" for w in unknown}
    if not unknown:
        return None
    ratios, ends = [told.ratio], [told.ratio_uncertainty]
    # The ratio hangs on the pulleys alone: any one distance does for its uncertainty.
    pulleys = {k: v for k, v in reading.values.items() if k not in _OF_THE_DISTANCE}
    pulleys["apart"] = told.design.shafts[1].at_mm[0]
    unsure = tuple(key for key in reading.halves if key in pulleys and key != "apart")
    for count in range(1, len(unknown) + 1):
        for which in combinations(unknown, count):
            kind = replace(
                reading.kind,
                wheel_shape=other["wheel"] if "wheel" in which else reading.kind.wheel_shape,
                whorl_shape=other["whorl"] if "whorl" in which else reading.kind.whorl_shape,
            )
            try:
                design = reading.design(reading.values, "", kind)
            except DesignError:  # the band that fits goes round no such wheel: that is told
                return IfRound(unknown, vees, None, None, None, None, None)
            solution = solve_drive(design)
            ratios.append(result_of(solution, "ratio"))
            ends.append(_halves(reading, kind, pulleys, unsure)["ratio"])
    motion = solution.bands[0]
    length = None if motion.path is None else motion.path.length_mm
    made = solution.built.bands[BAND]
    known = [(r, h) for r, h in zip(ratios, ends, strict=True) if r is not None and h is not None]
    cut = None if length is None else made.cut_with_joint_mm(length)
    return IfRound(
        unknown, vees, length, cut, ratios[-1],
        min((r - h for r, h in known), default=None), max((r + h for r, h in known), default=None),
    )  # fmt: skip


def _halves(
    reading: OldWheelReading, kind: OldWheelKind, values: Values, keys: tuple[str, ...]
) -> dict[str, float | None]:
    """Return the half widths at 95 % of what is told, from some of what was measured."""
    parts: dict[str, dict[str, float | None]] = {name: {} for name in _NAMES}
    for key in keys:
        for name, part in _part(reading, kind, values, key).items():
            parts[name][key] = part
    return {name: together(part) for name, part in parts.items()}


def _too_unsure(
    reading: OldWheelReading, halves_of: dict[str, float | None]
) -> Iterator[str]:
    """Yield what was measured so badly that at one of its ends no band goes round the wheel."""
    if halves_of[_LENGTH] is not None:
        return
    for key in reading.halves:
        if _part(reading, reading.kind, reading.values, key)[_LENGTH] is None:
            yield said(key)


def _part(reading: OldWheelReading, kind: OldWheelKind, values: Values, key: str) -> Parts:
    """Return half the change of each result between a measurement's two ends."""
    ends, half = [], reading.halves[key]
    for sign in (1.0, -1.0):
        try:
            moved = reading.design({**values, key: values[key] + sign * half}, "", kind)
        except DesignError:  # there the band that fits goes round no such wheel: see _too_unsure
            return dict.fromkeys(_NAMES)
        if impossible := faults(moved):
            says = f"± {half:g} mm is so wide that there may be no such wheel: {impossible[0].says}"
            raise DesignError((Fault(said(key), says, "measure it more closely"),), MEASURED)
        solution = solve_drive(moved)
        results = {name: result_of(solution, name) for name in _NAMES if name != _APART}
        ends.append({**results, _APART: moved.shafts[1].at_mm[0]})
    return {
        name: None if up is None or down is None else 0.5 * (up - down)
        for name, up, down in ((n, ends[0][n], ends[1][n]) for n in _NAMES)
    }
