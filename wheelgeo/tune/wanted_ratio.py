"""What a spinner wants of a wheel that exists, and the ratio that this takes.

Twist per metre is what the spindle turns while the hand drafts a metre. A spinner has a rhythm: so
many seconds a draw, so many turns of the hand in them. What is kept, unless it is asked for, is
that rhythm: the time of a draw. So

    ratio needed = ratio today × (twist × draw / hand speed) new / the same of today.

A new count with nothing else keeps the yarn's character, which is its twist factor: twist grows
with the square root of the metric count.

A ratio that is asked for is what is wanted, and the rhythm is kept with it: the twist is then what
comes of it, of whatever count, and each way to the ratio has a twist of its own. A twist that is
asked for with it stays as it is asked; then the draft alone can follow.
"""

from __future__ import annotations

import math
from dataclasses import replace

from wheelgeo.design.counts import checked_positive, metric_count
from wheelgeo.design.model import Count, Design, Drive, Twist, Yarn
from wheelgeo.design.twist import factor_from_turns, wanted_turns_per_metre
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.errors import QuantityError, SearchError, UntoldError
from wheelgeo.immutable import dataclass
from wheelgeo.units.keys import keys_of
from wheelgeo.units.written import grouped


@dataclass(frozen=True)
class Wish:
    """What shall be different; None stays as it is.

    Attributes:
        count: a new count.
        twist: S or Z.
        turns_per_metre: a new twist.
        draw_mm: a new length of draw.
        hand_rpm: a new speed of the hand.
        ratio: a new ratio, whatever else is asked for.
    """

    count: Count | None = None
    twist: Twist | None = None
    turns_per_metre: float | None = None
    draw_mm: float | None = None
    hand_rpm: float | None = None
    ratio: float | None = None


@dataclass(frozen=True)
class Need:
    """What a wish takes.

    Attributes:
        ratio_now: spindle turns per turn of the hand today.
        ratio_needed: what they must become.
        ratio_in_time: what would bring the wanted twist in the time of a draw; that needed, unless
            both a ratio and a twist are asked for.
        ratio_unchanged: what the wheel as it is gives with the wanted yarn: another twist turns a
            braked flyer, which the yarn draws after its bobbin, by another share.
        yarn: the yarn that is wanted; None where the design has none.
        drive: the drive, with the hand speed that is wanted.
        turns_per_metre: the twist that is wanted at ``ratio_needed``; None where none is known.
        ratio_asked: the ratio was asked for as such.
        twist_follows: nobody asked for a twist: it is what comes of a ratio that is asked for.
    """

    ratio_now: float
    ratio_needed: float
    ratio_in_time: float
    ratio_unchanged: float
    yarn: Yarn | None
    drive: Drive
    turns_per_metre: float | None
    ratio_asked: bool = False
    twist_follows: bool = False

    def twist_at(self, ratio: float) -> float | None:
        """Return the turns per metre that another ratio gives, drafted as fast."""
        return (
            None
            if self.turns_per_metre is None
            else self.turns_per_metre * ratio / self.ratio_needed
        )

    def error_of(self, ratio: float) -> float:
        """Return by what fraction twist and ratio would be off, without sign."""
        return abs(ratio / self.ratio_needed - 1.0)


HAND_TRUE = 0.025
"""A hand keeps a speed no truer than to this fraction, which is half of what the twist may be off;
common practice, no source."""


def as_turned(speed_rpm: float) -> float:
    """Return a speed as a hand is told to turn: whole turns a minute, or as fine as it can be kept.

    What is written of it and reckoned with is this speed, and not the one it was rounded from.
    """
    tries = (round(speed_rpm, digits) for digits in range(_FINEST))
    return next((one for one in tries if abs(one / speed_rpm - 1.0) <= HAND_TRUE), speed_rpm)


_FINEST = 9


def needed(solution: Solution, wish: Wish) -> Need:
    """Return what a wish takes of a wheel.

    Args:
        solution: the wheel of today, solved.
        wish: what shall be different.

    Returns:
        The need.

    Raises:
        SearchError: the wheel has no ratio, nothing is wished, or the file is silent about what
            the wish must be compared with.
        QuantityError: a number of the wish is not above 0.
    """
    design, now = solution.design, solution.ratio
    if now is None:
        raise SearchError("the spindle is not driven: there is no ratio to change")
    if wish == Wish():
        raise SearchError(
            "say what shall be different: count, twist, turns per metre, draw, hand speed or ratio"
        )
    _check(wish)
    yarn, follows = _new_yarn(design, wish), wish.ratio is not None and not wish.turns_per_metre
    if follows:
        yarn = _twisted_by_ratio(design, wish, yarn, now)
    drive = (
        design.drive if wish.hand_rpm is None else replace(design.drive, speed_rpm=wish.hand_rpm)
    )
    rhythm = design.drive.speed_rpm / drive.speed_rpm
    unchanged = now if solution.drawn_by is None else solve_drive(replace(design, yarn=yarn)).ratio
    if unchanged is None:
        raise SearchError("with the wanted twist nothing turns the spindle any more")
    twist = None if yarn is None else wanted_turns_per_metre(yarn)
    if follows and wish.ratio is not None:
        told = twist is not None
        return Need(now, wish.ratio, wish.ratio, unchanged, yarn, drive, twist, True, told)
    if wish.ratio is not None and (design.yarn is None or not wanted_turns_per_metre(design.yarn)):
        # the rhythm of today is not known: that of the ratio is taken for it
        return Need(now, wish.ratio, wish.ratio, unchanged, yarn, drive, twist, True)
    in_time = now * _twist_factor(design, yarn, wish) * _draw_factor(design, wish) * rhythm
    asked = wish.ratio is not None
    return Need(now, wish.ratio or in_time, in_time, unchanged, yarn, drive, twist, asked)


def with_its_twist(design: Design, need: Need) -> Solution:
    """Return the wheel of a way, solved, with the twist that follows from its ratio, if one does.

    The twist turns a braked flyer by another share in its turn, so that it is looked for until it
    stays: to four figures, which is soon.
    """
    solution = solve_drive(design)
    for _ in range(_TWIST_STAYS):
        yarn, ratio = solution.design.yarn, solution.ratio
        if not need.twist_follows or yarn is None or ratio is None:
            break
        spun = replace(yarn, turns_per_metre=_four_figures(need.twist_at(ratio)))
        if spun == yarn:
            break
        solution = solve_drive(replace(solution.design, yarn=spun))
    return solution


_TWIST_STAYS = 8
"""Rounds after which a twist has stayed: a braked flyer turns by a tenth of its change at most."""


def _check(wish: Wish) -> None:
    """Raise QuantityError for a wish no wheel could meet; beyond these floats run over or out."""
    numbers = (
        ("the twist in turns per metre", wish.turns_per_metre, 1e-3, 1e6),
        ("the draw in mm", wish.draw_mm, 1e-3, 1e6),
        ("the hand's speed in rpm", wish.hand_rpm, 1e-3, 1e6),
        ("the ratio", wish.ratio, 1e-3, 1e6),
    )
    for what, value, low, high in numbers:
        if value is not None and not low <= checked_positive(value, what) <= high:
            told = f"{value:g}; it must be from {low:g} to {grouped(high)}"
            raise QuantityError(f"{what} is {told}")


def _new_yarn(design: Design, wish: Wish) -> Yarn | None:
    """Return the yarn with the wish put in; None where the design has none and none is wished."""
    yarn = design.yarn
    if yarn is None:
        asked = (wish.count, wish.twist, wish.turns_per_metre, wish.draw_mm)
        if any(value is not None for value in asked):
            raise UntoldError(
                "the file has no [yarn] to compare with; add one, or ask for a ratio alone",
                _of_yarn(wish),
            )
        return None
    if wish.draw_mm is not None:
        yarn = replace(yarn, draw_mm=wish.draw_mm)
    if wish.twist is not None:
        yarn = replace(yarn, twist=wish.twist)
    if wish.count is not None:
        yarn = _recounted(yarn, wish.count)
    if wish.turns_per_metre is not None:
        yarn = replace(yarn, turns_per_metre=wish.turns_per_metre, twist_factor=None)
    return yarn


def _of_yarn(wish: Wish) -> tuple[str, ...]:
    """Return the names of what a file must tell of its yarn for a wish to be compared with it."""
    wished = {"turns_per_metre": wish.turns_per_metre, "draw": wish.draw_mm}
    return tuple(
        f"yarn.{key.name}" for key in keys_of(Yarn)
        if key.required or wished.get(key.name) is not None
    )  # fmt: skip


def _recounted(yarn: Yarn, count: Count) -> Yarn:
    """Return the yarn in another count with its twist factor kept."""
    turns = wanted_turns_per_metre(yarn)
    if turns is None:
        return replace(yarn, count=count)
    turns *= math.sqrt(metric_count(count) / metric_count(yarn.count))
    if yarn.twist_factor is None:
        return replace(yarn, count=count, turns_per_metre=turns)
    if yarn.count.system == count.system:
        return replace(yarn, count=count)
    return replace(yarn, count=count, twist_factor=factor_from_turns(turns, count))


def as_offered(yarn: Yarn | None, today: Yarn | None, wish: Wish) -> Yarn | None:
    """Return the wanted yarn as a wheel's file is to hold it.

    A twist that was reckoned, from a count or a ratio, is rounded to four figures: nobody counts
    turns as finely, and a file with seventeen would tell its reader that somebody did. What is
    needed of the wheel is reckoned with the exact one.
    """
    if yarn is None or today is None:
        return yarn
    kept = (None, today.turns_per_metre, today.twist_factor, wish.turns_per_metre)
    turns, factor = (
        value if value in kept else _four_figures(value)
        for value in (yarn.turns_per_metre, yarn.twist_factor)
    )
    return replace(yarn, turns_per_metre=turns, twist_factor=factor)


def _four_figures(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.4g}")


def _twist_factor(design: Design, yarn: Yarn | None, wish: Wish) -> float:
    """Return how many times more twist a metre shall have."""
    if yarn is None or design.yarn is None:
        return 1.0
    old, new = wanted_turns_per_metre(design.yarn), wanted_turns_per_metre(yarn)
    if old is not None and new is not None:
        return new / old
    if wish.turns_per_metre is not None:
        raise UntoldError(
            "the file does not say what twist the wheel gives today (turns_per_metre under "
            "[yarn]); ask for a ratio",
            ("yarn.turns_per_metre",),
        )
    if wish.count is not None:
        return math.sqrt(metric_count(yarn.count) / metric_count(design.yarn.count))
    return 1.0


def _draw_factor(design: Design, wish: Wish) -> float:
    """Return how many times longer a draw shall be in the same time."""
    if wish.draw_mm is None:
        return 1.0
    if design.yarn is None or design.yarn.draw_mm is None:
        raise UntoldError(
            "the file does not say how long a draw is today (draw under [yarn])", ("yarn.draw",)
        )
    return wish.draw_mm / design.yarn.draw_mm


def _twisted_by_ratio(design: Design, wish: Wish, yarn: Yarn | None, now: float) -> Yarn | None:
    """Return a yarn with the twist that a ratio asked for gives today's, with the rhythm kept."""
    turns = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    if yarn is None or turns is None or wish.ratio is None:
        return yarn
    hand = 1.0 if wish.hand_rpm is None else wish.hand_rpm / design.drive.speed_rpm
    turns *= wish.ratio / now * hand / _draw_factor(design, wish)
    return replace(yarn, turns_per_metre=turns, twist_factor=None)
