"""What comes of a change: the changed wheel, and what rules find of it that they did not before."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from wheelgeo.check.adjustments import Edits
from wheelgeo.check.finding import Finding
from wheelgeo.check.stood_before import stood_before
from wheelgeo.check.told_singly import THE_REST
from wheelgeo.check.wheel_under_check import Find, Named, WheelUnderCheck
from wheelgeo.immutable import dataclass

SAME = 1e-6
"""By less than this, of its unit, nothing is further beyond its limit than it was."""


@dataclass(frozen=True)
class Outcome:
    """A change that makes the finding go.

    Attributes:
        changed: the changed wheel.
        edits: the change.
        amount: how large it is.
        ratio: the ratio then; None where the spindle is not driven.
        loses: the ratio does not stay.
        brings: what makes it unsound; empty where it is sound.
        tells: what else it brings about, in words.
        room: how much larger it is than would just do, as far as that is known.
        added: how much larger it was made so that there is room.
        faults: what was no fault, or a smaller one, and is one then; looked for at the end.
        warnings: what was neither warning nor fault and is a warning then; likewise.
        more: how many faults more there are than before; likewise.
        past: what a groove leaps over that it shifts; likewise.
        cures: faults and warnings that it takes away besides the finding; likewise.
    """

    changed: WheelUnderCheck
    edits: Edits
    amount: float
    ratio: float | None
    loses: bool
    brings: str
    tells: str
    room: float = 0.0
    added: float = 0.0
    faults: tuple[Finding, ...] = ()
    warnings: tuple[Finding, ...] = ()
    more: int = 0
    past: tuple[str, ...] = ()
    cures: tuple[Finding, ...] = ()


def new_faults(wheel: WheelUnderCheck, changed: WheelUnderCheck, find: Find) -> Iterator[Finding]:
    """Yield the faults that a rule finds of a changed wheel, and that were none or smaller ones.

    Args:
        wheel: the wheel as it is.
        changed: the changed wheel.
        find: the rule.
    """
    for fault in changed.faults_by(find).values():
        # The wheel as it is is asked only now: most changes bring no fault by most rules.
        before = _beyond_before(wheel.faults_by(find), fault)
        if fault.beyond > before + SAME and not _not_told(wheel, find, fault):
            yield fault


def _beyond_before(before: Mapping[Named, Finding], fault: Finding) -> float:
    """Return how far beyond its limit a fault was; -1 where it was none."""
    if (same := before.get(fault.named)) is not None:
        return same.beyond
    return max((f.beyond for f in before.values() if stood_before(fault, f)), default=-1.0)


def _not_told(wheel: WheelUnderCheck, find: Find, fault: Finding) -> bool:
    """Tell whether a fault may be one of many that were not told of the wheel as it is."""
    told = {f.named for f in wheel.grave_by(find)}
    return (fault.rule, THE_REST) in told and fault.named not in told


def new_grave(
    wheel: WheelUnderCheck, changed: WheelUnderCheck, find: Find, also: Collection[Finding] = ()
) -> Iterator[Finding]:
    """Yield the warnings and faults that a rule finds of a changed wheel, and that were neither.

    Args:
        wheel: the wheel as it is.
        changed: the changed wheel.
        find: the rule.
        also: what is known of the wheel as it is beside what the rule finds.
    """
    then = changed.grave_by(find)
    if not then:
        return  # as it is by most rules
    known = (*also, *wheel.grave_by(find))
    named = {k.named for k in known}
    for grave in then:
        if grave.named not in named and not any(stood_before(grave, k) for k in known):
            yield grave


def cured(wheel: WheelUnderCheck, changed: WheelUnderCheck, find: Find) -> Iterator[Finding]:
    """Yield the warnings and faults that a rule finds of the wheel as it is, and no more then.

    Where not all is told, none is known to be cured.

    Args:
        wheel: the wheel as it is.
        changed: the changed wheel.
        find: the rule.
    """
    before = wheel.grave_by(find)
    left = changed.found(find) if before else ()
    if any(f.about == THE_REST for f in left):
        return
    named = {f.named for f in left}
    for grave in before:
        stays = grave.named in named or any(stood_before(f, grave) for f in left)
        if not stays and grave.about != THE_REST:
            yield grave
