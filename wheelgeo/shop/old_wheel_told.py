"""All that is said of an old wheel's band, in order: on the terminal and on the page alike."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from wheelgeo.built.assumed import Assumption
from wheelgeo.check.finding import Level
from wheelgeo.design.joints import CLOSED_RING
from wheelgeo.immutable import dataclass
from wheelgeo.shop import band_words
from wheelgeo.shop import old_wheel_words as words
from wheelgeo.shop.old_wheel_oddities import mind
from wheelgeo.shop.old_wheel_true_words import staying_on_words
from wheelgeo.shop.old_wheel_words import Said
from wheelgeo.tune.old_wheel import OldWheelAnswer
from wheelgeo.tune.old_wheel_likely import UNLIKELY
from wheelgeo.tune.old_wheel_meant import asks_what_was_meant
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import grouped, with_lengths

_DOUBTED = (UNLIKELY, "distances-disagree", "parts-collide", "pulleys-overlap")
"""Rules that what was measured breaks where it was measured, or written down, wrongly."""


@dataclass(frozen=True)
class OldWheelTold:
    """What is said of an old wheel's band.

    Attributes:
        mind: what is so odd that somebody should look again before anything is cut.
        doubted: whether what was measured makes no wheel in use, or contradicts itself: it is to
            be answered before a length is gone by.
        take: what to cut of the cord, or which ring to take.
        cut: what that comes from, and how sure it is.
        then: ratio, how to lay, tie and join it, how tight, how it grows, whether it stays on.
        wrong: what is wrong with the wheel as it was measured, each with its level.
        last: how fast it turns, and what to keep away from it.
        assumed: what was taken because it was not measured.
        in_file: what the wheel's file holds besides that nobody measured.
    """

    mind: tuple[str, ...]
    doubted: bool
    take: str
    cut: tuple[str, ...]
    then: tuple[str, ...]
    wrong: tuple[tuple[Level, str], ...]
    last: str
    assumed: tuple[Assumption, ...]
    in_file: tuple[Assumption, ...]


def old_wheel_told(found: OldWheelAnswer, said: Said) -> OldWheelTold:
    """Return all that is said of an old wheel's band.

    Args:
        found: the wheel; a band goes round it.
        said: writes a length in mm for who reads it.
    """
    answer, (band,) = found.answer, found.answer.bands
    assert answer.ratio is not None
    spindle = answer.design.shafts[1].name
    turns = grouped(answer.ratio * 60.0)
    assumed, in_file = (*found.assumed, *band.assumed), found.assumed_in_file
    if answer.design.unit in INCHES:  # who measures in inches is told in inches
        assumed, in_file = (
            tuple(replace(a, taken=with_lengths(a.taken, said)) for a in group)
            for group in (assumed, in_file)
        )
    return OldWheelTold(
        tuple(mind(found, said)),
        any(f.rule in _DOUBTED and f.level != "note" for f in answer.findings),
        _to_take(found, said), tuple(_cut(found, said)), tuple(_then(found, said)),
        tuple(_wrong(found, said)),
        f"At 60 turns of the wheel a minute the {spindle} makes {turns}. Keep fingers, hair and "
        "sleeves away from band and spindle.",
        tuple(dict.fromkeys(assumed)), tuple(dict.fromkeys(in_file)),
    )  # fmt: skip


def _to_take(found: OldWheelAnswer, said: Said) -> str:
    (band,) = found.answer.bands
    if band.joint == CLOSED_RING:
        take = words.to_take(band, found.answer.design, said)
        return f"{take[0].upper()}{take[1:]}."
    assert band.cut_with_joint_mm is not None
    return f"Cut the cord {said(band.cut_with_joint_mm)} long{band.to_tie_by(said)}."


def _cut(found: OldWheelAnswer, said: Said) -> Iterator[str]:
    """Say what that comes from which is cut or taken, and how sure it is."""
    design, (band,) = found.answer.design, found.answer.bands
    assert band.cut_length_mm is not None
    assert band.length_mm is not None
    marks, joint = "", "along its centre-line; "
    if band.joint == CLOSED_RING:
        yield words.RINGS_KNOWN
    else:
        takes = said(band.joint_mm) if band.joint_mm else "nothing"
        joint = f"and {takes} for the joint; "
        marks = words.marking(band, words.joint_in(design, band.name), said)
    yield (
        f"That is {said(band.cut_length_mm)} {joint}"
        f"in place the band is {said(band.length_mm)} long. {marks}".rstrip()
    )
    if (thins := band_words.thinning(band, design.unit)) is not None:
        yield f"The cord counts as {thins}."
    if not found.too_unsure:  # else it is told what to measure again
        sure = band_words.how_sure(band, design.unit) or "how sure this is cannot be told"
        yield f"{sure[0].upper()}{sure[1:]}"


def _then(found: OldWheelAnswer, said: Said) -> Iterator[str]:
    design, (band,) = found.answer.design, found.answer.bands
    assert band.length_mm is not None
    unsure = band.from_stretch_mm is not None and not band_words.stretch_known(band)
    if unsure and not found.too_unsure:
        yield words.what_endangers_the_fit(design)
    yield from words.of_the_wheel(found, said)
    yield from band_words.joint_and_growth(band, design, said)
    if found.staying_on is not None:
        yield from staying_on_words(found.staying_on, band.length_mm, said, design.unit)


def _wrong(found: OldWheelAnswer, said: Said) -> Iterator[tuple[Level, str]]:
    """Yield what is wrong with the wheel as it was measured, and what a mouth may be."""
    for finding in found.answer.findings:
        if asks_what_was_meant(finding):  # it is minded already
            continue
        if finding.level != "note" or finding.rule.startswith(("mouth-", "distances-")):
            yield finding.level, f"{with_lengths(finding.says, said)}."
