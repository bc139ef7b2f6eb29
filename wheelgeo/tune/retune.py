"""The smallest change that gives a wheel another twist.

In this order: what the spinner can do without touching the wheel; then bands laid on other steps
that it has; then one part made anew; then two. A part's sizes are those that can be made; every
combination whose twist comes within the allowed error is looked at by arrays, and the best of each
set of parts are then built, put together with the bands there are, and checked by every rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import combinations

from wheelgeo.check.finding import Finding, worst_first
from wheelgeo.design.limits import cadence_limit_rpm, limit_value
from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults as can_not_exist
from wheelgeo.design.twist import drive_turns_per_draw, drive_turns_per_metre
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.bandfit import Fit, Reach, fit, reaches
from wheelgeo.tune.directions import Direction, directions
from wheelgeo.tune.labour import labour_h
from wheelgeo.tune.largest_size import room_mm
from wheelgeo.tune.makeable import Makeable
from wheelgeo.tune.option import Change, Option, Rank, alike, merged, spares_a_part
from wheelgeo.tune.pull_settings import as_set, by_hand, set_anew
from wheelgeo.tune.remakes import MadePart, exponents, made_parts, with_sizes
from wheelgeo.tune.retune_arrays import Batch, one_part, promising, two_parts
from wheelgeo.tune.rule_check import USUAL, Checks, fault_rules, warning_rules
from wheelgeo.tune.wanted_ratio import Need, Wish, as_offered, as_turned, needed, with_its_twist
from wheelgeo.tune.whorl_moves import whorl_moves
from wheelgeo.yarn.wheel_wind_on import lead_change, wheel_wind_on

TRIES = 8
"""Combinations of one set of parts that are built and checked before it is given up as faulty."""


@dataclass(frozen=True)
class WayAsItIs:
    """One way to work with the wheel as it is, and what that brings.

    Attributes:
        hand_rpm: speed of the hand.
        findings: every fault and warning with the wanted yarn at that speed, and the notes that
            come with them.
        faults: rules of those that forbid it.
        warnings: rules of those that warn, and that the wheel of today does not have.
        settings: brakes and bands eased or tightened for it.
        design: the wheel with the wanted yarn, at that speed, so set.
    """

    hand_rpm: float
    findings: tuple[Finding, ...]
    faults: tuple[str, ...]
    warnings: tuple[str, ...]
    settings: tuple[Change, ...]
    design: Design

    @property
    def sound(self) -> bool:
        """Whether nothing speaks against it."""
        return not self.faults and not self.warnings


@dataclass(frozen=True)
class WithoutChange:
    """What the spinner can do with the wheel as it is.

    Attributes:
        enough: working otherwise is all that is needed: at the hand's speed that keeps the time of
            a draw, or with a faster draft at today's, the wheel has no fault and warns of nothing
            new. Never where a ratio is asked for as such.
        turn_the_other_way: the drive must be turned the other way, for the direction of twist.
        turning: turning at the speed that keeps the time of a draw.
        most_rpm: speed of the hand that a person keeps up; None of a motor.
        drafting: turning at the wished speed, and drafting as the twist then asks.
        drive_turns_per_metre: turns of the hand for a metre, or None where no twist is known.
        drive_turns_per_draw: turns of the hand for a draw, or None where no draw is known.
        slower_by: at the wished hand speed, how many times longer a draw takes than the rhythm
            allows; below 1 it is shorter.
        design: the wheel with the speed of ``turning`` and the wanted yarn.
    """

    enough: bool
    turn_the_other_way: bool
    turning: WayAsItIs
    most_rpm: float | None
    drafting: WayAsItIs
    drive_turns_per_metre: float | None
    drive_turns_per_draw: float | None
    slower_by: float
    design: Design


@dataclass(frozen=True)
class Retuning:
    """All that was found.

    Attributes:
        need: what the wish takes.
        without_change: what the spinner can do without changing the wheel.
        options: ways to change it, ranked.
        looked_at: combinations of sizes within the allowed twist error that were compared.
        nearest_step: bands on other steps, without a fault and nearer than today, where no step is
            near enough: the draft makes up the rest.
    """

    need: Need
    without_change: WithoutChange
    options: tuple[Option, ...]
    looked_at: int
    nearest_step: Option | None = None


@dataclass(frozen=True)
class Limits:
    """What the user lets the search do.

    Attributes:
        makeable: sizes that can be made.
        only: names of the pulleys that may change; empty: all.
        keep: names of the pulleys that must stay.
        most: how many options to return at most.
        each: how many options of one set of parts to return at most.
        bought: the parts are had ready, and take no hours of making.
    """

    makeable: Makeable
    only: tuple[str, ...] = ()
    keep: tuple[str, ...] = ()
    most: int = 20
    each: int = 2
    bought: bool = False


def retune(design: Design, wish: Wish, limits: Limits, checks: Checks = USUAL) -> Retuning:
    """Find every way to give a wheel another twist by changing one part, then two.

    Args:
        design: the wheel of today.
        wish: what shall be different.
        limits: what may change, and to which sizes.
        checks: how to check a wheel; what the quick way finds sound is checked in full.

    Returns:
        The options: sound ones first, then those with warnings, then those with faults; within
        these by hours of making, parts made, bands remade and twist error. Of each set of parts the
        best without a fault are offered; where none is without, the best with one, which names it.
        A second part is offered only where it makes the wheel sounder, spares a band or brings the
        twist nearer. Brake and band are set for the yarn where that makes a way sounder.

    Raises:
        SearchError: the wish makes no sense for this wheel, or no part that may change can help.
        QuantityError: a number of the wish is not above 0.
    """
    solution = solve_drive(design)
    need = needed(solution, wish)
    wanted = replace(design, yarn=as_offered(need.yarn, design.yarn, wish), drive=need.drive)
    search = _RetuneSearch(solution, need, wanted, limits, checks)
    options = search.options()
    without = _without_change(design, wanted, need, wish, checks)
    step = search.nearest_step() if wish.ratio is None else None
    return Retuning(need, without, options, search.looked_at, step)


def _without_change(
    today: Design, wanted: Design, need: Need, wish: Wish, checks: Checks
) -> WithoutChange:
    slower = need.ratio_in_time / need.ratio_unchanged
    turned = directions(wanted)[0].design
    hand = as_turned(turned.drive.speed_rpm * slower)
    working = replace(turned, drive=replace(turned.drive, speed_rpm=hand))
    turning, drafting = (_as_it_is(way, today, checks) for way in (working, turned))
    draw = None if need.yarn is None else need.yarn.draw_mm
    per_metre = per_draw = None
    if need.turns_per_metre is not None:
        wound = (need.turns_per_metre, need.ratio_unchanged)
        per_metre = drive_turns_per_metre(*wound)
        per_draw = None if draw is None else drive_turns_per_draw(*wound, draw)
    # To draft faster costs nothing; to draft slower is always a way, and takes longer.
    does = turning.sound or (slower < 1.0 and drafting.sound)
    return WithoutChange(
        wish.ratio is None and does, turned.drive.turns != wanted.drive.turns, turning,
        cadence_limit_rpm(wanted.drive.by, wanted.limits), drafting, per_metre, per_draw, slower,
        working,
    )  # fmt: skip


def _as_it_is(design: Design, today: Design, checks: Checks) -> WayAsItIs:
    """Return what a way to work with the wheel as it is brings; today's warnings are none of it."""
    found = list(checks.full(design))
    made = set_anew(design, found, checks.full)
    settings: tuple[Change, ...] = ()
    if made is not None:
        design, settings, found = made
    findings = worst_first(found)
    warns = warning_rules(findings)
    known = {f.rule for f in checks.full(today)} if warns else set()
    told = fault_rules(findings), tuple(w for w in warns if w not in known), settings
    return WayAsItIs(design.drive.speed_rpm, findings, *told, design)


class _RetuneSearch:
    """One search: what is compared, built and checked."""

    def __init__(
        self, solution: Solution, need: Need, wanted: Design, limits: Limits, checks: Checks
    ) -> None:
        self.need = need
        self.wanted = wanted
        self.winds_on = wheel_wind_on(solution)
        self.limits = limits
        self.checks = checks
        self.looked_at = 0
        self.offered: list[Option] = []
        self.reach: dict[str, Reach] = reaches(solution)
        self.as_tight = {name: reach.as_tight() for name, reach in self.reach.items()}
        self.powers = exponents(solution)
        self.parts = made_parts(solution, limits.makeable, limits.only, limits.keep)
        self.allowed = limit_value("twist_error_fraction", wanted.limits)
        self.now_error = need.error_of(need.ratio_unchanged)
        self.room = {part.name: room_mm(solution.design, part) for part in self.parts}

    def options(self) -> tuple[Option, ...]:
        """Return the options of every direction, ranked."""
        found = [o for way in directions(self.wanted) for o in self._options_of(way)]
        worth = [o for o in found if not any(spares_a_part(other, o) for other in found)]
        ranked: list[Option] = []
        for option in sorted(worth, key=_rank):
            if not any(alike(other, option) for other in ranked):
                ranked.append(option)
        return tuple(ranked[: self.limits.most])

    def _options_of(self, way: Direction) -> Iterator[Option]:
        if way.changes and self.now_error <= self.allowed:
            yield self._checked(self._built(way, ()))
        yield from self._offers(self._laid_elsewhere(way))
        for batch in self._batches():
            self.looked_at += len(batch)
            yield from self._offers(self._made_so(way, batch))

    def nearest_step(self) -> Option | None:
        """Return the wheel with bands on the step that comes nearest, where that is not enough."""
        moved = self._moved(directions(self.wanted)[0], lambda error: error < self.now_error)
        for option in sorted(moved, key=lambda o: o.error)[:TRIES]:
            if option.error <= self.allowed:
                break
            if not (checked := self._checked(option)).faults:
                return checked
        return None

    def _laid_elsewhere(self, way: Direction) -> Iterator[Option]:
        """Yield the wheel with its bands on other steps that it has, the nearest twist first."""
        allowed = min(self.allowed, self.now_error)
        moved = self._moved(way, lambda error: error <= allowed)
        self.looked_at += len(moved)
        yield from sorted(moved, key=_rank)[:TRIES]

    def _moved(self, way: Direction, wanted: Callable[[float], bool]) -> list[Option]:
        """Return the wheel with its bands on other steps, where such a twist error is wanted."""
        def near(times: float) -> bool:
            return wanted(self.need.error_of(self.need.ratio_unchanged * times))

        moves = whorl_moves(way, near)
        return [self._built(m, ()) for m in moves if not can_not_exist(m.design)]

    def _made_so(self, way: Direction, batch: Batch) -> Iterator[Option]:
        """Yield the wheel with the most promising sizes of a set of parts, quickly checked."""
        for index in promising(way.design, batch, self.reach, self.room, TRIES):
            sizes = [
                (p, p.sizes_mm[i]) for p, i in zip(batch.parts, batch.picks[index], strict=True)
            ]
            if not can_not_exist(with_sizes(way.design, sizes)):
                yield self._built(way, sizes)

    def _batches(self) -> Iterator[Batch]:
        goal = self.need.ratio_needed / self.need.ratio_unchanged
        allowed = min(self.allowed, self.now_error)
        sets: list[tuple[MadePart, ...]] = [(p,) for p in self.parts]
        sets += [pair for pair in combinations(self.parts, 2) if _apart(*pair)]
        for parts in sets:
            make = one_part if len(parts) == 1 else two_parts
            yield make(parts, self.powers, goal, allowed)

    def _offers(self, built: Iterator[Option]) -> list[Option]:
        """Check ways of one set of parts, those of a quick fault quickly, and return the best."""
        sound: list[Option] = []
        faulty: list[Option] = []
        spared = 0
        for quickly in built:
            option = quickly
            if not (quickly.faults or self._spared(quickly)):
                option = self._checked(quickly, for_use=True)
            if option.faults:
                faulty.append(option)
            elif self._spared(option):
                spared += 1
            else:
                sound.append(option)
            if len(sound) + spared == self.limits.each:
                break
        # Those with a fault are not known whole yet: the nearest of them is checked, not the one
        # with the fewest faults so far.
        nearest = sorted(faulty, key=lambda o: o.rank[3:])[:1]
        offered = sound or ([] if spared else [self._checked(option) for option in nearest])
        self.offered += offered
        return offered

    def _spared(self, option: Option) -> bool:
        """Tell whether fewer parts do as well in a way that is offered already.

        All findings are never fewer than some of them: what fewer parts do as well as by some,
        they do by all, and the check of running, which takes long, is spared.
        """
        return any(spares_a_part(other, option) for other in self.offered)

    def _checked(self, option: Option, for_use: bool = False) -> Option:
        """Return an option with all its findings; for use no further than to where it has none.

        That is the first fault, or where fewer parts do as well. On a bobbin another pull may still
        mend what was found, so that there only faults count.
        """
        found: list[Finding] = []
        mended = self.wanted.spindle.bobbin is not None
        for finding in self.checks.full(option.design):
            found.append(finding)
            if not for_use or finding.level == "note":
                continue
            so_far = replace(option, findings=worst_first(found))
            if finding.level == "fault" or (not mended and self._spared(so_far)):
                break
        made = set_anew(option.design, found, self.checks.full)
        if made is None:
            return replace(option, findings=worst_first(found))
        design, settings, found = made
        return replace(
            option, findings=worst_first(found), design=design,
            settings=merged((*option.settings, *by_hand(design, settings))),
            bands=as_set(option.bands, design),
        )  # fmt: skip

    def _built(self, way: Direction, sizes: Sequence[tuple[MadePart, float]]) -> Option:
        # a band that is only led elsewhere is set as tight as it was, where its slide can
        made = fit(with_sizes(way.design, sizes), self.reach if sizes else self.as_tight)
        if made.remade and not sizes:
            made = fit(way.design, self.reach)
        solution = with_its_twist(made.design, self.need)
        ratio = solution.ratio
        if ratio is None:
            raise SearchError("the changed wheel does not drive its spindle")
        return Option(
            changes=(*way.changes_as(Change), *_size_changes(sizes)),
            settings=_settings(way.design, made),
            parts=sum(part.count for part, _ in sizes),
            labour_h=0.0 if self.limits.bought else sum(_labour_h(p, size) for p, size in sizes),
            ratio=ratio,
            turns_per_metre=self.need.twist_at(ratio),
            error=self.need.error_of(ratio),
            bands=made.bands,
            findings=tuple(self.checks.quick(solution.design)),
            design=solution.design,
            lead=lead_change(self.winds_on, wheel_wind_on(solution)),
        )


def _rank(option: Option) -> Rank:
    return option.rank


def _apart(one: MadePart, other: MadePart) -> bool:
    """Tell whether two parts have no pulley in common."""
    return not set(one.every_pulley) & set(other.every_pulley)


def _labour_h(part: MadePart, size_mm: float) -> float:
    """Return the hours of making a part; grooves of one wheel are made together."""
    rims = {name: then for name, _, _, then in part.made_in(size_mm)}
    return sum(labour_h(rim) for name, rim in rims.items() if name not in part.pulleys[1:])


def _size_changes(sizes: Sequence[tuple[MadePart, float]]) -> list[Change]:
    return [
        Change(f"{name}.{field}", before, after, "mm")
        for part, size in sizes
        for name, field, before, after in part.made_in(size)
    ]


def _settings(before: Design, made: Fit) -> tuple[Change, ...]:
    settings = []
    for shaft, amount in made.slid.items():
        slide = before.shaft(shaft).slide
        start = 0.0 if slide is None else -slide.from_mm
        settings.append(Change(f"{shaft}.travel", start, round(start + amount, 9), "mm"))
    return tuple(settings)
