"""The answer to ``retune``: what to change for another yarn, and what can be done without."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import field
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.built.as_built import build
from wheelgeo.check.answer import cannot_run_words
from wheelgeo.check.finding import Finding
from wheelgeo.design.counts import yarn_in_words
from wheelgeo.design.file_kinds import read_count
from wheelgeo.design.model import Count, Design, Yarn
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.as_it_is import (
    ChangeAnswer,
    WithoutChangeAnswer,
    change_answer,
    set_in_words,
    without_change_answer,
)
from wheelgeo.tune.makeable import parse_makeable, usual_step
from wheelgeo.tune.option import Option
from wheelgeo.tune.retune import Limits, Retuning, retune
from wheelgeo.tune.rule_check import USUAL, followed_by
from wheelgeo.tune.wanted_ratio import Wish
from wheelgeo.units import LENGTH_MM, SPEED_RPM, TWIST_PER_M, Dimension, parse_quantity
from wheelgeo.units.in_full import plain
from wheelgeo.units.written import grouped


@dataclass(frozen=True)
class NewBandAnswer:
    """What becomes of a band.

    Attributes:
        name: the band.
        length_mm: length of its path; None where there is none.
        remade: it is made anew.
        cut_length_mm: the cord to cut, without its joint; None where there is no path.
        cut_with_joint_mm: the same with its joint, which is what is cut off; None likewise.
        off_reel_mm: the same with the ends that a knot is tied by; None likewise.
        stretch: its stretch then, a fraction.
        pull_n: its pull at rest then; None where a weight or a spring gives it.
        pull_was_n: what it was; None likewise.
    """

    name: str
    length_mm: float | None
    remade: bool
    cut_length_mm: float | None
    cut_with_joint_mm: float | None
    off_reel_mm: float | None
    stretch: float
    pull_n: float | None
    pull_was_n: float | None

    def pull_in_words(self) -> str:
        """Return what its pull was and becomes; empty where no hand feels the difference."""
        now, was = self.pull_n, self.pull_was_n
        if now is None or not was or abs(now / was - 1.0) <= PULL_TOLD:
            return ""
        return f"{was:.1f} to {now:.1f} N"


PULL_TOLD = 0.2
"""A kept band whose pull changes by more than this fraction is told."""


@dataclass(frozen=True)
class OptionAnswer:
    """One way to get the twist.

    Attributes:
        changes: what is made or led otherwise.
        settings: what is only set otherwise: shafts slid along their slides, brakes and bands
            eased or tightened.
        parts_made: how many parts must be made.
        labour_hours: of making them (common practice, no source); 0 of whorls that can be had.
        bands_remade: how many bands.
        ratio: spindle turns per turn of the hand.
        twist_error: by what fraction twist and ratio are off.
        turns_per_metre: the twist that comes out; None where none is known.
        bands: what becomes of each band.
        lead: which of flyer and bobbin is faster before and after, where that changes.
        faults: rules of the findings that forbid building it.
        warnings: rules of the findings that warn.
        findings: these in full, and the notes that come with them; ``wheel.check()`` has all.
    """

    changes: tuple[ChangeAnswer, ...]
    settings: tuple[ChangeAnswer, ...]
    parts_made: int
    labour_hours: float
    bands_remade: int
    ratio: float
    twist_error: float
    turns_per_metre: float | None
    bands: tuple[NewBandAnswer, ...]
    lead: ChangeAnswer | None
    faults: tuple[str, ...]
    warnings: tuple[str, ...]
    findings: tuple[Finding, ...] = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    design: Design = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    as_wheel: Callable[[Design], Any] = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    @property
    def wheel(self) -> Any:
        """The wheel so changed; DesignError where such a wheel cannot exist."""
        return self.as_wheel(self.design)


@dataclass(frozen=True)
class RetuneAnswer(AsJson):
    """What to change for another yarn.

    Attributes:
        ratio_now: ratio today.
        ratio_needed: what it must become.
        ratio_asked: the ratio was asked for as such.
        turns_per_metre_wanted: the twist that is wanted.
        twist_follows: nobody asked for that twist: it comes of the ratio that was asked for, with a
            draw in the same time, and each way has its own.
        twist_wanted: its direction.
        yarn_wanted: the yarn that a new count was read as; empty where the count stays.
        without_change: what can be done without touching the wheel.
        options: ways to change it, ranked.
        combinations: how many combinations of sizes were compared.
        nearest_step: the wheel with its bands on other steps that it has, where that is nearer to
            the twist but not near enough: the draft makes up the rest. None where there is none.
        cannot_run: why the wheel of today cannot run, so that what it does is what it would do if
            it ran; empty where it can.
    """

    ratio_now: float
    ratio_needed: float
    ratio_asked: bool
    turns_per_metre_wanted: float | None
    twist_follows: bool
    twist_wanted: str | None
    yarn_wanted: str
    without_change: WithoutChangeAnswer
    options: tuple[OptionAnswer, ...]
    combinations: int
    nearest_step: OptionAnswer | None
    cannot_run: str

    def step_in_words(self) -> str:
        """Return what to do on the nearest step, as what is led and how to draft; else nothing."""
        step = self.nearest_step
        if step is None:
            return ""
        led = ", ".join(
            f'"{c.what.rpartition(".")[0]}" over from "{c.from_}" to "{c.to}"'
            for c in step.changes if c.what.endswith(".route")
        )  # fmt: skip
        set_so = ", ".join(map(set_in_words, step.settings))
        times = self.ratio_needed / step.ratio
        draft = f"{times:.2f} times slower" if times > 1.0 else f"{1.0 / times:.2f} times faster"
        and_set = f", {set_so}" if set_so else ""
        return f"with {led}{and_set}: draft {draft} at the same speed"

    def twist_in_words(self, per: str) -> str:
        """Return what twist comes of a ratio that was asked for, as a sentence; else nothing.

        Args:
            per: what the turns are told per, as "a metre".
        """
        if not self.twist_follows:
            return ""
        drawn = self.without_change.drive_turns_per_draw is not None
        as_now = "With a draw in the same time" if drawn else "Drafted as fast as now"
        return f"{as_now} it gives {turns_in_words(self.turns_per_metre_wanted)} turns {per}."

    @property
    def keeps_twist(self) -> bool:
        """Whether a wheel of a way keeps a twist that was asked for, and only comes near it."""
        twists = {o.turns_per_metre for o in self.options} - {None, self.turns_per_metre_wanted}
        return bool(twists) and not self.twist_follows

    def nearness_in_words(self, option: OptionAnswer) -> str:
        """Return by how much less or more than wanted a ratio and its twist are; empty: by none."""
        off = 100.0 * (option.ratio / self.ratio_needed - 1.0)
        told = plain(abs(off), 1)
        return "" if told == "0" else f"{told} % {'less' if off < 0.0 else 'more'}"

    def pathless(self, option: OptionAnswer) -> bool:
        """Tell whether a band has no path in an option, where others have one: it is no way."""
        some = any("no-path" not in o.faults for o in self.options)
        return some and "no-path" in option.faults

    def option(self, number: int) -> OptionAnswer:
        """Return an option, counted from 1; SearchError where there is none of that number."""
        if not 1 <= number <= len(self.options):
            last = len(self.options)
            have = f"there are options 1 to {last}" if last else "there are none"
            raise SearchError(f"there is no option {number}: {have}")
        return self.options[number - 1]


def turns_in_words(turns_per_metre: float | None) -> str:
    """Return turns per metre, or nothing: whole ones, where they are not few."""
    if turns_per_metre is None:
        return ""
    return grouped(turns_per_metre, 0 if turns_per_metre >= 10.0 else 2)


def read_wish(
    design: Design,
    count: Count | str | None,
    twist: str | None,
    turns_per_metre: float | str | None,
    draw: float | str | None,
    hand_speed: float | str | None,
    ratio: float | None,
) -> Wish:
    """Return what is asked for, in mm and rpm; bare text is in the file's unit, or rpm.

    Raises:
        SearchError: the direction of twist is none.
        QuantityError: a text cannot be read.
    """
    if twist not in (None, "S", "Z"):
        raise SearchError(f'"{twist}" is no direction of twist; it is S or Z')
    return Wish(
        count=read_count(count) if isinstance(count, str) else count,
        twist=twist,  # type: ignore[arg-type]
        turns_per_metre=_read(turns_per_metre, TWIST_PER_M, TWIST_PER_M.unit),
        draw_mm=_read(draw, LENGTH_MM, design.unit),
        hand_rpm=_read(hand_speed, SPEED_RPM, "rpm"),
        ratio=ratio,
    )


def read_limits(
    design: Design,
    step: str | None,
    only: Sequence[str],
    keep: Sequence[str],
    whorls: str | None,
    most: int,
) -> Limits:
    """Return what the search may do; with whorls to be had, only the spindle's pulleys change.

    Raises:
        QuantityError: a size cannot be read.
    """
    if whorls is not None:
        step, only = whorls, only or [p.name for p in design.pulleys_on(design.spindle.shaft)]
    sizes = parse_makeable(step or usual_step(design.unit), design.unit)
    return Limits(sizes, tuple(only), tuple(keep), most, bought=whorls is not None)


def _read(value: float | str | None, quantity: Dimension, unit: str) -> float | None:
    return parse_quantity(value, quantity, unit) if isinstance(value, str) else value


def retuned(
    design: Design, wish: Wish, limits: Limits, as_wheel: Callable[[Design], Any],
    progress: Callable[[], object] | None = None,
) -> RetuneAnswer:  # fmt: skip
    """Find every way to give a wheel another twist, and return what is to be told of it.

    Args:
        design: the wheel of today.
        wish: what shall be different.
        limits: what may change, and to which sizes.
        as_wheel: makes the wheel of a design.
        progress: called again and again while it works; what it raises ends the search.

    Raises:
        SearchError: the wish makes no sense for this wheel, or no part that may change can help.
        QuantityError: a number of the wish is not above 0.
    """
    checks = USUAL if progress is None else followed_by(progress, USUAL)
    return retune_answer(retune(design, wish, limits, checks), design, as_wheel)


def retune_answer(
    found: Retuning, before: Design, as_wheel: Callable[[Design], Any]
) -> RetuneAnswer:
    """Return what is to be told of a retuning.

    Args:
        found: the retuning.
        before: the wheel of today.
        as_wheel: makes the wheel of a design.
    """
    need = found.need
    return RetuneAnswer(
        ratio_now=need.ratio_now,
        ratio_needed=need.ratio_needed,
        ratio_asked=need.ratio_asked,
        turns_per_metre_wanted=need.turns_per_metre,
        twist_follows=need.twist_follows,
        twist_wanted=None if need.yarn is None else need.yarn.twist,
        yarn_wanted=_yarn_wanted(need.yarn, before.yarn),
        without_change=without_change_answer(found.without_change, as_wheel),
        options=tuple(_option(option, before, as_wheel) for option in found.options),
        combinations=found.looked_at,
        nearest_step=None
        if found.nearest_step is None
        else _option(found.nearest_step, before, as_wheel),
        cannot_run=cannot_run_words(solve_drive(before).pathless),
    )


def _yarn_wanted(wanted: Yarn | None, today: Yarn | None) -> str:
    if wanted is None or today is None or wanted.count == today.count:
        return ""
    return yarn_in_words(wanted.count)


def _option(
    option: Option, before: Design, as_wheel: Callable[[Design], Any]
) -> OptionAnswer:
    return OptionAnswer(
        changes=tuple(change_answer(c) for c in option.changes),
        settings=tuple(change_answer(c) for c in option.settings),
        parts_made=option.parts,
        labour_hours=option.labour_h,
        bands_remade=option.remade,
        ratio=option.ratio,
        twist_error=option.error,
        turns_per_metre=option.turns_per_metre,
        bands=tuple(
            NewBandAnswer(
                b.name, b.length_mm, b.remade, b.rest_mm,
                *_with_joint_mm(option.design, b.name, b.rest_mm), b.stretch,
                _pull_n(option.design, b.name), _pull_n(before, b.name),
            )
            for b in option.bands
        ),
        lead=None if option.lead is None else ChangeAnswer("lead", *option.lead, ""),
        faults=tuple(option.faults),
        warnings=option.warnings,
        findings=option.findings,
        design=option.design,
        as_wheel=as_wheel,
    )


def _with_joint_mm(
    design: Design, band: str, cut_mm: float | None
) -> tuple[float | None, float | None]:
    """Return what to cut with its joint, and with the ends that this is tied by."""
    if cut_mm is None:
        return None, None
    made = build(design).bands[band]
    cut_mm += made.joint.value
    return cut_mm, cut_mm + made.joint_kind.tails_mm


def _pull_n(design: Design, band: str) -> float | None:
    """Return a band's pull at rest, where its stretch gives it or it was measured."""
    made = build(design).bands[band]
    if made.band.tension is None:
        return made.stiffness_n * made.stretch.value
    return made.band.tension.pull_n if made.band.tension.kind == "measured" else None
