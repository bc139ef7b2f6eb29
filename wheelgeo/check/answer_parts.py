"""The parts that an answer is made of: its shafts, bands with their runs and slides, and twist."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import field
from functools import cached_property
from typing import ClassVar, Literal

from wheelgeo.as_json import NOT_IN_JSON
from wheelgeo.built.assumed import Assumption
from wheelgeo.built.band import BuiltBand
from wheelgeo.drive.lay import BandLay, OtherLay, last_band, lays_of, other_lay
from wheelgeo.drive.slides import TakeUp, slide_range, take_up
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class ShaftAnswer:
    """How a shaft turns: signed, counter-clockwise positive; None where nothing drives it."""

    name: str
    speed_rpm: float | None
    turns_per_drive_turn: float | None


@dataclass(frozen=True)
class StopAnswer:
    """Where a band meets a pulley; angles are positive where the run heads along the axis."""

    name: str
    pitch_diameter_mm: float
    wrap_deg: float | None
    arriving_deg: float | None
    leaving_deg: float | None


@dataclass(frozen=True)
class RunAnswer:
    """The straight piece of a band between two pulleys."""

    from_: str
    to: str
    length_mm: float


@dataclass(frozen=True)
class SlideAnswer:
    """What the travel of a sliding shaft makes of a band's path; None where it has none there."""

    shaft: str
    from_mm: float
    to_mm: float
    path_at_from_mm: float | None
    path_at_to_mm: float | None


@dataclass(frozen=True)
class BandAnswer:
    """A band, in place and to be cut.

    Attributes:
        name: its name.
        length_mm: length of its centre-line in place; None where it has no path.
        cut_length_mm: the same slack, without the joint: ``length_mm / (1 + stretch)``.
        stretch: installed stretch, a fraction.
        stretch_assumed: the file does not say it: it is the material's usual one.
        bought_diameter_mm: diameter of the cord to buy: more than the file's, which is that of the
            cord as it lies, where it is rubber-like and thins as it is stretched.
        joint_mm: length of cord that the joint takes.
        joint_assumed: the file does not say it.
        joint: how its ends are joined.
        joint_strength: strength of that joint against plain cord, a fraction.
        growth: how much it grows in its first months and over the seasons, a fraction.
        cut_with_joint_mm: what to cut: ``cut_length_mm + joint_mm``.
        off_reel_mm: the same with the ends that a knot is tied by, which are trimmed off after.
        length_uncertainty_mm: of the length, at 95 %; None where the file holds no uncertainty.
        cut_length_uncertainty_mm: of the cut length likewise: both following parts together.
        from_measuring_mm: the part of that which comes from what was measured.
        from_stretch_mm: the part which comes from the stretch: of the file, or the usual range
            where it was assumed.
        speed_m_s: speed of the cord; None where nothing drives it.
        pulleys: the pulleys, in route order.
        runs: the straight pieces, in route order.
        assumed: what was assumed of it, and why.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "name", "length_mm", "cut_length_mm", "stretch", "stretch_assumed", "joint_mm",
        "joint_assumed", "joint", "joint_strength", "growth", "cut_with_joint_mm", "off_reel_mm",
        "length_uncertainty_mm", "cut_length_uncertainty_mm", "from_measuring_mm",
        "from_stretch_mm", "speed_m_s", "slide", "pulleys", "runs",
        "lies", "bought_diameter_mm",
    )  # fmt: skip

    name: str
    length_mm: float | None
    cut_length_mm: float | None
    stretch: float
    stretch_assumed: bool
    joint_mm: float
    joint_assumed: bool
    joint: str
    joint_strength: float
    growth: float
    cut_with_joint_mm: float | None
    length_uncertainty_mm: float | None
    cut_length_uncertainty_mm: float | None
    from_measuring_mm: float | None
    from_stretch_mm: float | None
    speed_m_s: float | None
    pulleys: tuple[StopAnswer, ...]
    runs: tuple[RunAnswer, ...]
    bought_diameter_mm: float
    assumed: tuple[Assumption, ...] = field(
        default=(), repr=False, compare=False, metadata=NOT_IN_JSON
    )
    solution: Solution | None = field(
        default=None, repr=False, compare=False, metadata=NOT_IN_JSON
    )

    @property
    def off_reel_mm(self) -> float | None:
        """Length of cord to take off the reel for it."""
        known = self.solution is not None and self.cut_with_joint_mm is not None
        return self._made.joint_kind.tails_mm + (self.cut_with_joint_mm or 0.0) if known else None

    def cut_over_mm(self, path_mm: float) -> float:
        """Return what to cut of the same cord, joint included, where its path is another, mm.

        Args:
            path_mm: length of its centre-line in place then, mm.
        """
        return self._made.cut_with_joint_mm(path_mm)

    def to_tie_by(self, said: Callable[[float], str]) -> str:
        """Say what it is tied by beyond the length to cut; empty where that is nothing.

        Args:
            said: writes a length in mm.
        """
        return self._made.joint_kind.to_tie_by(self.cut_with_joint_mm, said)

    @property
    def _made(self) -> BuiltBand:
        assert self.solution is not None, "a band without a solution has no cord"
        return self.solution.built.bands[self.name]

    @cached_property
    def slide(self) -> SlideAnswer | None:
        """What the travel of the first sliding shaft that it meets makes of its path."""
        return None if self.solution is None else _slide(self.solution, self.name)

    @cached_property
    def take_up(self) -> TakeUp | None:
        """What takes it up as it grows; None where it has no path."""
        return None if self.solution is None else take_up(self.solution, self.name)

    @cached_property
    def lies(self) -> tuple[BandLay, ...]:
        """How it lies on each pulley that it drives."""
        return () if self.solution is None else lays_of(self.solution, self.name)


@dataclass(frozen=True)
class SpindleAnswer:
    """Speed of the spindle, without sign, and its sense as seen from the yarn."""

    speed_rpm: float | None
    turns: Literal["clockwise", "counter-clockwise"] | None


@dataclass(frozen=True)
class TwistAnswer:
    """The twist.

    Attributes:
        direction: S or Z, as it comes out; None where the spindle is not driven.
        wanted: S or Z, as the file wants it.
        turns_per_metre: the twist that the file wants.
        drive_turns_per_metre: turns of the hand that it takes for a metre.
        drive_turns_per_draw: the same for a draw.
        drive_turns_per_metre_uncertainty: of the turns for a metre, at 95 %; None where the file
            holds no uncertainty.
        solution: the solved drive that makes it; None of a twist alone.
    """

    json_keys: ClassVar[tuple[str, ...]] = (
        "direction", "wanted", "turns_per_metre", "drive_turns_per_metre", "drive_turns_per_draw",
        "drive_turns_per_metre_uncertainty", "at_the_band", "laid_other_way",
    )  # fmt: skip

    direction: Literal["S", "Z"] | None
    wanted: Literal["S", "Z"] | None
    turns_per_metre: float | None
    drive_turns_per_metre: float | None
    drive_turns_per_draw: float | None
    drive_turns_per_metre_uncertainty: float | None = None
    solution: Solution | None = field(
        default=None, repr=False, compare=False, metadata=NOT_IN_JSON
    )

    @cached_property
    def at_the_band(self) -> str | None:
        """How the last band lies on what it drives, in a sentence; None where it has no path."""
        return "; ".join(lay.says for lay in self._lays) or None

    @cached_property
    def laid_other_way(self) -> OtherLay | None:
        """What comes of laying that band on the other way; None where it has no path."""
        if self.solution is None or not self._lays:
            return None
        return other_lay(self.solution, self._lays[0].band)

    @cached_property
    def _lays(self) -> tuple[BandLay, ...]:
        band = None if self.solution is None else last_band(self.solution)
        return () if self.solution is None or band is None else lays_of(self.solution, band)


def _slide(solution: Solution, name: str) -> SlideAnswer | None:
    slides = slide_range(solution, name)
    if slides is None:
        return None
    ends = slides.path_at_from_mm, slides.path_at_to_mm
    return SlideAnswer(slides.shaft, slides.from_mm, slides.to_mm, *ends)
