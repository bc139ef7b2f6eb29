"""What of an old wheel's answer hangs on something that nobody measured: never a fault."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from wheelgeo.check.finding import Finding, advice
from wheelgeo.design.joints import joint_of
from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError, Fault
from wheelgeo.tune.bands_at_hand import loop_or_cord
from wheelgeo.tune.old_wheel_design import BAND, CALLED, MEASURED, WAYS, OldWheelMeasured
from wheelgeo.tune.old_wheel_grooves import MOUTH_OF, mouth_to_catch_mm
from wheelgeo.tune.old_wheel_reading import OldWheelReading, said
from wheelgeo.tune.staying_on import StayingOn
from wheelgeo.units.in_full import full
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import LengthUnit, in_both, with_lengths

_MEASURED_AS = {"wheel": "wheel", "second groove": "wheel", "whorl": "whorl",
                "bobbin whorl": "whorl"}  # fmt: skip
"""Whose groove was measured for a pulley's."""


_DEPTH = re.compile(r'pulley \d+ "(.+)": depth')


def as_measured(fault: Fault, design: Design) -> Fault:
    """Return what is wrong with the depth of a groove as a fault of what was measured.

    Who measured knows no number of a pulley; lengths are told in the unit of the rule as well.
    """
    found = _DEPTH.fullmatch(fault.place)
    if found is None:
        return fault
    unit: LengthUnit = "in" if design.unit in INCHES else "mm"
    says, remedy = (
        with_lengths(words, lambda mm: in_both(mm, unit)) for words in (fault.says, fault.remedy)
    )
    which = _MEASURED_AS[found[1]]
    return Fault("groove" if which == "wheel" else "whorl-groove", says, remedy)


def readings_of(measured: OldWheelMeasured) -> tuple[OldWheelReading, ...]:
    """Return the measurements read, once by each way to the distance of the axes that was told.

    Raises:
        DesignError: something is missing or cannot be read; holds every fault.
    """
    ways = measured.ways or ("",)
    found: list[OldWheelReading] = []
    wrong: list[Fault] = []
    for way in ways:
        others: dict[str, Any] = dict.fromkeys((w for w in WAYS if w != way), "")
        try:
            found.append(OldWheelReading(replace(measured, **others)))
        except DesignError as error:
            wrong += error.faults
    if wrong:
        raise DesignError(tuple(dict.fromkeys(wrong)), MEASURED)
    return tuple(found)


def off_the_reel(reading: OldWheelReading, design: Design) -> Finding | None:
    """Return the warning that a cord measured before it was tied would tell another distance."""
    kind, here = reading.kind, design.shafts[1].at_mm[0]
    tails_mm = joint_of(kind.material, kind.joined).tails_mm
    if "fits" not in reading.values or kind.fits_as != "cord" or not tails_mm:
        return None
    try:
        other = reading.design(reading.values, "", replace(kind, fits_as="reel")).shafts[1].at_mm[0]
    except DesignError:  # too short for that: it can only have been trimmed
        return None
    say = f'--fits "{loop_or_cord(reading.measured.fits)[0]} off the reel"'
    return Finding(
        "fits-off-the-reel", "warning", BAND, here, other, "mm",
        f"the cord that fits is taken as untied, its ends trimmed, which puts the axes "
        f"{full(here, 1)} mm apart; if it was measured off the reel, with the {tails_mm:g} mm that "
        f"it was tied by, they are {full(other, 1)} mm apart: then say {say}",
        "length of the band = length of the cord - its joint - what it was tied by",
        advice(f"if it was measured before it was tied, say {say}"),
    )  # fmt: skip


def by_what_is_known(reading: OldWheelReading, found: StayingOn | None) -> StayingOn | None:
    """Return how a band stays on: no mouth that nobody measured throws it, or it is not known."""
    if found is None:
        return None
    pulleys = (
        replace(p, catches_deg=None)
        if p.holds is False and _MEASURED_AS[p.pulley] in reading.unknown_mouths else p
        for p in found.pulleys
    )  # fmt: skip
    return replace(found, pulleys=tuple(pulleys))


def by_mouth(reading: OldWheelReading, finding: Finding) -> Finding:
    """Return a finding, as a note where it hangs on a groove's mouth that nobody measured."""
    if not finding.rule.startswith("mouth-") or finding.value is None:
        return finding
    pulley = next(name for name in _MEASURED_AS if finding.where.endswith(f'"{name}"'))
    which = _MEASURED_AS[pulley]
    if which not in reading.unknown_mouths:
        return finding
    wheel = which == "wheel"
    depth, shape = (("groove", reading.kind.wheel_shape) if wheel
                    else ("whorl_groove", reading.kind.whorl_shape))  # fmt: skip
    rim = "double" if pulley == "bobbin whorl" else which
    wide = mouth_to_catch_mm(reading.values, rim, depth, shape, finding.value)
    when = finding.says.partition(",")[0]
    arrives = f'{when}, the band arrives at "{pulley}" {finding.value:.1f}° off its mid-plane'
    then = "which no such groove catches, however wide its mouth: look where the pulleys stand"
    if wide is not None:
        then = f"if the groove's mouth is narrower than {full(wide, 1)} mm, it will be thrown"
    option = f"--{said(MOUTH_OF[depth])}"
    return replace(
        finding, level="note", limit=None, says=f"{arrives}; {then} (measure it: {option})",
        mend=advice(f"measure the groove's width at the rim, from lip to lip, and say {option}"),
    )  # fmt: skip


Half = Callable[[OldWheelReading], float | None]


def ways_together(
    readings: tuple[OldWheelReading, ...], half_of: Half
) -> Iterator[Finding]:
    """Yield how far the ways to the distance of the axes differ from the one that was taken.

    Args:
        readings: by each way, the one that was taken first.
        half_of: the half width of the distance by a reading, mm.
    """
    if len(readings) < 2:
        return
    (first, name, here), *others = (
        (r, CALLED[r.measured.ways[0]],
         r.design(r.values, "").shafts[1].at_mm[0]) for r in readings
    )  # fmt: skip
    own = half_of(first)
    for reading, other, there in others:
        half = half_of(reading)
        miss = abs(here - there)
        sure = None if own is None or half is None else math.hypot(own, half)
        agree = sure is not None and miss <= sure
        within = ", and how sure that is cannot be told"
        if sure is not None:
            within = f", {'within' if agree else 'more than'} their ± of {full(sure, 1)} mm"
        yield Finding(
            "distances-agree" if agree else "distances-disagree", "note" if agree else "warning",
            BAND, miss, sure, "mm",
            f"the axes are {full(here, 1)} mm apart by {name}, and {full(there, 1)} mm by {other}: "
            f"they differ by {full(miss, 1)} mm{within}. The band here goes by {name}",
            "half widths at 95 % of two measurements add by their squares",
            advice("both hold" if agree else "measure both again: one of them is wrong"),
        )  # fmt: skip
