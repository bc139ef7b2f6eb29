"""What can be of an old wheel, but is so odd that somebody should look, or measure, again."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.shop.old_wheel_words import Said
from wheelgeo.tune.old_wheel import OldWheelAnswer
from wheelgeo.tune.old_wheel_meant import asks_what_was_meant
from wheelgeo.units.written import with_lengths

LONG_JOINT = 0.2
"""A joint that takes more than this part of its band is a slip of the pen; common practice, no
source."""


def mind(found: OldWheelAnswer, said: Said) -> Iterator[str]:
    """Say what can be, but is so odd that somebody should look again."""
    answer = found.answer
    odd: dict[str, list[str]] = {}
    for finding in answer.findings:
        if asks_what_was_meant(finding):
            # what to write instead stands as it is to be written
            odd.setdefault(finding.remedy.says, []).append(with_lengths(finding.says, said))
    for asks, says in odd.items():
        yield f"Mind: {'; '.join(says)}: {asks}"
    (band,) = answer.bands
    if found.too_unsure and band.length_mm is not None:
        names = ", ".join(found.too_unsure)
        other = " Or save it: wheelgeo measure simulates it." if found.measured.apart_by_fit else ""
        yield (
            f"Mind: how sure this is cannot be told: within the ± of {names} there may be no band "
            f"at all. Measure that more closely.{other}"
        )
    apart = math.dist(answer.design.shafts[0].at_mm, answer.design.shafts[1].at_mm)
    slide = answer.design.shafts[1].slide
    others = [p.pitch_diameter_mm for p in band.pulleys if p.pitch_diameter_mm is not None]
    if slide is not None and apart + slide.from_mm < 0.5 * (max(others) + min(others)):
        yield (
            f"Mind: at the near end of a slide of {said(slide.to_mm - slide.from_mm)} the whorl "
            "would run into the wheel. Measure how far the spindle can slide, in all."
        )
    if band.cut_length_mm is not None and band.joint_mm > LONG_JOINT * band.cut_length_mm:
        yield f"Mind: the joint takes {said(band.joint_mm)}, a great part of the band."
