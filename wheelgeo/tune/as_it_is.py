"""What can be done with the wheel as it is, for another yarn, and the words for what is set."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON
from wheelgeo.check.finding import Finding, pull_in_words
from wheelgeo.design.drive_parts import COUNTED
from wheelgeo.design.model import Design
from wheelgeo.design.twist import draw_seconds
from wheelgeo.immutable import dataclass
from wheelgeo.tune.option import Change
from wheelgeo.tune.retune import WayAsItIs, WithoutChange
from wheelgeo.units.in_full import figures
from wheelgeo.units.written import grouped_as_set


@dataclass(frozen=True)
class ChangeAnswer:
    """One thing that is not as it was; numbers have a unit, words have none."""

    what: str
    from_: float | str
    to: float | str
    unit: str


@dataclass(frozen=True)
class AsItIsAnswer:
    """One way to work with the wheel as it is.

    Attributes:
        says: what to do, as "turn the crank at 114 rpm".
        draw_seconds: how long a draw then takes; None where no draw is known.
        faults: rules of the faults that the wheel has then.
        warnings: rules of the warnings that it has then, and not today.
        settings: brakes and bands eased or tightened for it.
        findings: faults and warnings in full, and the notes that come with them.
        design: the wheel with the wanted yarn, at that speed, so set.
        as_wheel: makes the wheel of a design.
    """

    says: str
    draw_seconds: float | None
    faults: tuple[str, ...]
    warnings: tuple[str, ...]
    settings: tuple[ChangeAnswer, ...]
    findings: tuple[Finding, ...] = field(repr=False, compare=False)
    design: Design = field(repr=False, compare=False)
    as_wheel: Callable[[Design], Any] = field(repr=False, compare=False)

    @property
    def wheel(self) -> Any:
        """The wheel so worked with."""
        return self.as_wheel(self.design)


@dataclass(frozen=True)
class WithoutChangeAnswer:
    """What the spinner can do with the wheel as it is.

    Attributes:
        enough: that is all that is needed.
        turn_the_other_way: the drive must be turned the other way, for the direction of twist.
        hand_speed_rpm: speed of the hand that keeps the time of a draw, as finely as a hand turns.
        drive_turns_per_metre: turns of the hand for a metre.
        drive_turns_per_draw: the same for a draw.
        draw_seconds: how long a draw takes at the wished hand speed.
        draw_times_longer: how many times longer that is than the rhythm allows.
        faults: rules of the faults that the wheel has at ``hand_speed_rpm``.
        warnings: rules of the warnings that it has there, and not today.
        hand_speed_kept_up_rpm: the speed that a person keeps up; None of a motor.
        same_speed_faults: rules of the faults with the wanted yarn at the wished speed, where the
            draft alone is another.
        same_speed_warnings: rules of the warnings there, that the wheel has not today.
        settings: brakes and bands eased or tightened for the yarn at ``hand_speed_rpm``.
        same_speed_settings: the same at the wished speed.
        findings: those of both in full, and the notes that come with them.
        way: both ways as they were found.
        as_wheel: makes the wheel of a design.
    """

    enough: bool
    turn_the_other_way: bool
    hand_speed_rpm: float
    drive_turns_per_metre: float | None
    drive_turns_per_draw: float | None
    draw_seconds: float | None
    draw_times_longer: float
    faults: tuple[str, ...]
    warnings: tuple[str, ...]
    hand_speed_kept_up_rpm: float | None
    same_speed_faults: tuple[str, ...]
    same_speed_warnings: tuple[str, ...]
    settings: tuple[ChangeAnswer, ...]
    same_speed_settings: tuple[ChangeAnswer, ...]
    findings: tuple[Finding, ...] = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    way: WithoutChange = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    as_wheel: Callable[[Design], Any] = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    @property
    def kept_up(self) -> bool:
        """Whether a person keeps up the speed that keeps the time of a draw: else it is no way."""
        most = self.hand_speed_kept_up_rpm
        return most is None or self.hand_speed_rpm <= most

    @property
    def as_now(self) -> bool:
        """Whether speed and draft stay what they are."""
        return abs(self.draw_times_longer - 1.0) < AS_NOW

    @property
    def turning_seconds(self) -> float | None:
        """How long a draw takes at ``hand_speed_rpm``; None where no draw is known."""
        per_draw = self.drive_turns_per_draw
        return None if per_draw is None else 60.0 * per_draw / self.hand_speed_rpm

    def hand_speed_in_words(self) -> str:
        """Return the speed of the hand that keeps the time of a draw, as it is written too."""
        return f"{grouped_as_set(self.hand_speed_rpm)} rpm"

    def ways(self) -> tuple[AsItIsAnswer, ...]:
        """Return what to do with the wheel as it is, the sound way first: one thing or another."""
        times, turning, drafting = self.draw_times_longer, self.way.turning, self.way.drafting
        if self.as_now:
            return (self._way("turn and draft as now", drafting, self.draw_seconds),)
        turned = COUNTED[self.way.design.drive.by]
        turn = f"turn the {turned} at {self.hand_speed_in_words()}"
        draft = f"draft {times:.2f} times slower at the same speed"
        if times < 1.0:
            draft = f"draft {1.0 / times:.2f} times faster at the same speed"
        drafted = self._way(draft, drafting, self.draw_seconds)
        if not self.kept_up:
            return (drafted,)
        in_time = self._way(turn, turning, self.turning_seconds)
        first = times < 1.0 and drafting.sound and not turning.sound
        return (drafted, in_time) if first else (in_time, drafted)

    def _way(self, says: str, way: WayAsItIs, seconds: float | None) -> AsItIsAnswer:
        settings = tuple(change_answer(c) for c in way.settings)
        told = (way.faults, way.warnings, settings, way.findings, way.design)
        return AsItIsAnswer(says, seconds, *told, self.as_wheel)

    def ways_in_words(self) -> str:
        """Return what to do with the wheel as it is, the sound way first, as "a, or b"."""
        says = ", or ".join(way.says for way in self.ways())
        return f"{says} ({self.not_kept_up_in_words()})" if self.not_kept_up_in_words() else says

    def not_kept_up_in_words(self) -> str:
        """Return the speed that is no way, as nobody keeps it up; empty where it is one."""
        if self.as_now or self.kept_up:
            return ""
        return (
            f"the time of a draw would take {self.hand_speed_in_words()}; "
            f"{self.hand_speed_kept_up_rpm:.0f} rpm can be kept up"
        )

    def settings_in_words(self) -> str:
        """Return what is set by hand for the yarn; empty where nothing is.

        At another speed it is the same but for what the band's own mass takes, which no hand feels.
        """
        return ", ".join(map(set_in_words, self.same_speed_settings or self.settings))


def set_in_words(one: ChangeAnswer) -> str:
    """Return what a spinner does: slides a shaft, eases or tightens a brake or a band."""
    part, _, field = one.what.rpartition(".")
    before, after = float(one.from_), float(one.to)  # whatever is set is a number
    tighter = after > before
    from_to = f"from {before:g} to {after:g} {one.unit}".rstrip()
    if field == "travel":
        return f'slide "{part}" along its slide {from_to}'
    if field == "empty":
        return f"pad the core of the empty bobbin {from_to}"
    how = "tightening" if tighter else "slackening"
    if field == "stretch":
        ends = " to ".join(figures(100.0 * one, 3) for one in (before, after))
        return f'{how} "{part}", stretch from {ends} %'
    from_to = f"from {before:g} to {pull_in_words(after)}"
    if part.startswith("drag "):
        return f'{"tighten" if tighter else "ease"} the brake "{part}" {from_to}'
    return f'{how} "{part}" {from_to} in a strand'


AS_NOW = 0.005
"""A rhythm within this fraction of today's is today's: nobody treads or drafts truer."""


def without_change_answer(
    way: WithoutChange, as_wheel: Callable[[Design], Any]
) -> WithoutChangeAnswer:
    """Return what is to be told of the wheel as it is."""
    return WithoutChangeAnswer(
        enough=way.enough,
        turn_the_other_way=way.turn_the_other_way,
        hand_speed_rpm=way.turning.hand_rpm,
        drive_turns_per_metre=way.drive_turns_per_metre,
        drive_turns_per_draw=way.drive_turns_per_draw,
        draw_seconds=_draw_seconds(way),
        draw_times_longer=way.slower_by,
        faults=way.turning.faults,
        warnings=way.turning.warnings,
        hand_speed_kept_up_rpm=way.most_rpm,
        same_speed_faults=way.drafting.faults,
        same_speed_warnings=way.drafting.warnings,
        settings=tuple(change_answer(c) for c in way.turning.settings),
        same_speed_settings=tuple(change_answer(c) for c in way.drafting.settings),
        findings=(*way.turning.findings, *way.drafting.findings),
        way=way,
        as_wheel=as_wheel,
    )


def _draw_seconds(way: WithoutChange) -> float | None:
    """Return how long a draw takes at the wished hand speed, or None where no draw is known."""
    per_metre, yarn = way.drive_turns_per_metre, way.design.yarn
    if per_metre is None or yarn is None or yarn.draw_mm is None:
        return None
    return draw_seconds(per_metre, 1.0, yarn.draw_mm, way.drafting.hand_rpm)


def change_answer(change: Change) -> ChangeAnswer:
    """Return a change as it is told."""
    return ChangeAnswer(change.what, change.before, change.after, change.unit)
