"""The answer to ``solve`` and ``check``: speeds, bands, twist, yarn, and what is wrong.

Its fields are the keys of the JSON document that the commands print; keys hold their unit. A number
that cannot be computed is None, and a finding says why.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field
from functools import cached_property
from typing import TYPE_CHECKING, ClassVar, Protocol, TypeVar

from wheelgeo.as_html import figure, html_table
from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.built.assumed import Assumption
from wheelgeo.check.answer_parts import BandAnswer, ShaftAnswer, SpindleAnswer, TwistAnswer
from wheelgeo.check.finding import Finding
from wheelgeo.check.report import Report
from wheelgeo.design.model import Design
from wheelgeo.door import door
from wheelgeo.drive.train import Solution
from wheelgeo.errors import DesignError
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.results import is_result, result_of, results
from wheelgeo.yarn.wheel_wind_on import WheelWindOn
from wheelgeo.yarn.whorl_steps import WhorlPair, whorl_pairs
from wheelgeo.yarn.whorl_travel import WhorlStep, whorl_steps

if TYPE_CHECKING:
    from wheelgeo.check.answer_yarn import YarnAnswer

FORMAT = 1
"""Of the JSON document; it grows where a key changes its meaning."""


@dataclass(frozen=True)
class Answer(AsJson):  # noqa: PLW1641 - our dataclass gives the hash
    """What a wheel does, and what was found; ``answer["whorl.wrap"]`` is any result by its name.

    Attributes:
        format: of the JSON document.
        title: the wheel's title.
        ratio: spindle turns per turn of the hand, slip included.
        ratio_without_slip: the same for bands that do not slip.
        ratio_uncertainty: of the ratio, at 95 %; None where the file holds no uncertainty.
        shafts: every shaft, in file order.
        bands: every band, in file order.
        spindle: speed and sense of the spindle.
        twist: what it makes of the yarn.
        findings: faults, then warnings, then notes.
        report: the wheel as it was solved and checked.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "format", "title", "ratio", "ratio_without_slip", "ratio_uncertainty", "shafts", "bands",
        "spindle", "twist", "yarn", "wind_on", "whorl_pairs",
        "whorl_steps", "findings",
    )  # fmt: skip

    format: int
    title: str
    ratio: float | None
    ratio_without_slip: float | None
    ratio_uncertainty: float | None
    shafts: tuple[ShaftAnswer, ...]
    bands: tuple[BandAnswer, ...]
    spindle: SpindleAnswer
    twist: TwistAnswer
    findings: tuple[Finding, ...]
    report: Report = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    def __eq__(self, other: object) -> bool:
        """Return whether two answers tell the same, what is worked out when asked for included."""
        return isinstance(other, Answer) and self.to_json() == other.to_json()

    @cached_property
    def yarn(self) -> YarnAnswer | None:
        """The yarn that is wanted; None where the file names none."""
        if self.design.yarn is None:
            return None
        from wheelgeo.check.answer_yarn import yarn_answer  # which much hangs on

        return yarn_answer(self.solution)

    @property
    def wind_on(self) -> WheelWindOn | None:
        """How a flyer wheel takes yarn in; None for others."""
        return self.report.wheel.wind_on

    @cached_property
    def whorl_pairs(self) -> tuple[WhorlPair, ...]:
        """The steps of flyer's and bobbin's whorls, each with each; empty for others."""
        return whorl_pairs(self.solution)

    @cached_property
    def whorl_steps(self) -> tuple[WhorlStep, ...]:
        """Each step of a flyer wheel's whorls: ratio, slide, and whether today's band serves."""
        return whorl_steps(self.solution)

    @door(DesignError)
    def __getitem__(self, name: str) -> float | None:
        """Return a result by its name; DesignError where there is none of that name."""
        return result_of(self.solution, name)

    def __iter__(self) -> Iterator[str]:
        """Yield the names of its results, as a table yields its keys."""
        return (result.key for result in results(self.design))

    def __contains__(self, name: object) -> bool:
        """Return whether there is a result of that name."""
        return isinstance(name, str) and is_result(self.design, name)

    def __repr__(self) -> str:
        ratio = "no ratio" if self.ratio is None else f"ratio {self.ratio:.2f}"
        twist = "no twist" if self.twist.direction is None else f"{self.twist.direction} twist"
        found = f"{len(self.faults)} of {len(self.findings)} findings are faults"
        return f"<{type(self).__name__} {self.title!r}: {ratio}, {twist}, {found}>"

    def _repr_html_(self) -> str:
        """Return what a notebook shows: results, bands and findings."""
        drive, twist = self.design.drive, self.twist
        rows = [
            *([("cannot run", self.cannot_run)] if self.pathless else []),
            ("ratio", figure(self.ratio, 2)),
            ("spindle", f"{figure(self.spindle.speed_rpm, 0, 'rpm')} {self.spindle.turns or ''}"),
            ("twist", f"{twist.direction or '-'} (wanted: {twist.wanted or '-'})"),
            (f"turns of the {drive.by} per draw", figure(twist.drive_turns_per_draw, 2)),
            *((f"{b.name}, cut with joint", figure(b.cut_with_joint_mm, 1, "mm"))
              for b in self.bands),
            *((f.level, f"{f.rule}: {f.says}") for f in self.findings),
        ]  # fmt: skip
        return html_table(self.title, ("", ""), rows)

    @property
    def design(self) -> Design:
        """The wheel's data."""
        return self.report.design

    @property
    def solution(self) -> Solution:
        """The solved drive, with the path of every band in space."""
        return self.report.solution

    @property
    def faults(self) -> tuple[Finding, ...]:
        """The findings that forbid building it so."""
        return tuple(f for f in self.findings if f.level == "fault")

    @property
    def pathless(self) -> tuple[str, ...]:
        """Names of the bands that have no path: with one of them the wheel cannot run."""
        return self.solution.pathless

    @property
    def cannot_run(self) -> str:
        """Why it cannot run, and what its ratio, speeds and twist are then; empty where it can."""
        return cannot_run_words(self.pathless)

    @property
    def assumed(self) -> tuple[Assumption, ...]:
        """What was assumed, because the file does not say."""
        spinning = None if self.yarn is None else self.yarn.spinning
        habits = () if spinning is None else spinning.assumed
        return (*(a for band in self.bands for a in band.assumed), *habits)

    def band(self, name: str) -> BandAnswer:
        """Return the band of that name; KeyError where there is none."""
        return next_named(self.bands, name)

    def shaft(self, name: str) -> ShaftAnswer:
        """Return the shaft of that name; KeyError where there is none."""
        return next_named(self.shafts, name)


def cannot_run_words(pathless: tuple[str, ...]) -> str:
    """Return why a wheel cannot run, and what its numbers are then; empty where it can.

    Args:
        pathless: names of its bands that have no path.
    """
    names = [f'"{name}"' for name in pathless]
    if not names:
        return ""
    has = "has" if len(names) == 1 else "have"
    return (
        f"{' and '.join(names)} {has} no path, so that the wheel cannot run; ratio, speeds and "
        "twist are what they would be if it could"
    )


@dataclass(frozen=True)
class BandsAnswer(AsJson):
    """Every band of a wheel in full.

    Attributes:
        title: the wheel's title.
        bands: its bands, in file order.
        findings: what is to be said of how they were measured.
    """

    title: str
    bands: tuple[BandAnswer, ...]
    findings: tuple[Finding, ...] = ()


class _Named(Protocol):
    @property
    def name(self) -> str: ...


_Item = TypeVar("_Item", bound=_Named)


def next_named(items: tuple[_Item, ...], name: str) -> _Item:
    """Return the first item of that name; KeyError where there is none."""
    for item in items:
        if item.name == name:
            return item
    raise KeyError(name)
