"""Kinds of change that a remedy may try on a treadle: its lever, footman, foot and throw."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from wheelgeo.built.treadle import level_footman_mm, treadle_lengths
from wheelgeo.check.adjustments import Adjustment, Edits, only
from wheelgeo.check.adjustments_running import shorter_throw
from wheelgeo.check.edits import edit
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.model import Treadle

_STEP_MM = 5.0
"""Step in which a lever, a footman or the place of a foot is changed."""


def _length(
    wheel: WheelUnderCheck, name: str, sign: float, most: float | None = None
) -> Iterator[Adjustment]:
    """Yield the way to make one length of a treadle larger or smaller, from what is built.

    With a longer lever its pivot goes aside and the foot outwards where the file gives them, so
    that the footman hangs and the foot presses as they did.
    """
    given = wheel.design.drive.treadle or Treadle()
    lengths = treadle_lengths(wheel.solution.built)
    if lengths is None:
        return
    start: float = getattr(lengths, name)
    across, foot = (given.pivot_across_mm, given.foot_mm) if name == "lever_mm" else (None, None)

    def edits(amount: float) -> Edits | None:
        shall = round(start + sign * amount, 1)
        if shall <= 0.0:
            return None
        changed: dict[str, Any] = {name: shall}
        if across is not None:
            changed["pivot_across_mm"] = round(across + math.copysign(amount, across), 1)
        if foot is not None:
            changed["foot_mm"] = round(foot * shall / start, 1)
        return (edit(wheel.design, "drive", "", "treadle", replace(given, **changed)),)

    yield Adjustment(edits, start if most is None else most, _STEP_MM)


def longer_lever(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield the ways to rock a treadle less: a longer lever, a shorter throw."""
    yield from _length(wheel, "lever_mm", 1.0, 500.0)
    yield from shorter_throw(wheel.design)


def longer_footman(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield the ways to let a crank turn fully: a longer footman, a longer lever, less throw."""
    given, lengths = wheel.design.drive.treadle, treadle_lengths(wheel.solution.built)
    if lengths is not None and given is not None and given.footman_mm is not None:
        level = round(level_footman_mm(lengths.lever_mm, lengths.pivot_mm), 1)
        yield only(edit(wheel.design, "drive", "", "treadle", replace(given, footman_mm=level)))
    if lengths is not None:
        # longer than from the crank's pin to the pivot and over the lever it never needs to be
        far = math.hypot(*lengths.pivot_mm) + lengths.throw_mm + lengths.lever_mm
        yield from _length(wheel, "footman_mm", 1.0, far)
    yield from longer_lever(wheel)


def lower_lift(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield the ways to lift a foot less: nearer to the pivot, a shorter throw."""
    yield from _length(wheel, "foot_mm", -1.0)
    yield from shorter_throw(wheel.design)
