"""What of an old wheel's answer hangs on something that nobody measured: never a fault."""

from __future__ import annotations

from dataclasses import replace

from wheelgeo.check.finding import Finding, advice
from wheelgeo.design.joints import joint_of
from wheelgeo.design.model import Design
from wheelgeo.errors import DesignError
from wheelgeo.tune.bands_at_hand import loop_or_cord
from wheelgeo.tune.old_wheel_design import BAND
from wheelgeo.tune.old_wheel_grooves import MOUTH_OF, mouth_to_catch_mm
from wheelgeo.tune.old_wheel_reading import OldWheelReading, said
from wheelgeo.tune.staying_on import StayingOn

_MEASURED_AS = {"wheel": "wheel", "second groove": "wheel", "whorl": "whorl",
                "bobbin whorl": "whorl"}  # fmt: skip
"""Whose groove was measured for a pulley's."""


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
        f"the cord that fits is taken as untied, its ends trimmed, which puts the axes {here:.1f} "
        f"mm apart; if it was measured off the reel, with the {tails_mm:g} mm that it was tied by, "
        f"they are {other:.1f} mm apart: then say {say}",
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
        then = f"if the groove's mouth is narrower than {wide:.1f} mm, it will be thrown"
    option = f"--{said(MOUTH_OF[depth])}"
    return replace(
        finding, level="note", limit=None, says=f"{arrives}; {then} (measure it: {option})",
        mend=advice(f"measure the groove's width at the rim, from lip to lip, and say {option}"),
    )  # fmt: skip
