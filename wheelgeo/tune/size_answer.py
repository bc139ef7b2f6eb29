"""The answer to ``size``: the wheel that suits a brief best, and others good otherwise."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import field
from typing import Any

from wheelgeo.as_json import NOT_IN_JSON, AsJson
from wheelgeo.check.finding import Finding
from wheelgeo.design.model import Design, Vector
from wheelgeo.design.twist import direction
from wheelgeo.drive.running import load_wheel, whirl_of
from wheelgeo.drive.train import solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.tune.sized_wheels import Sized, Sizing

EXCLUDES = (
    "other layouts than this one (the wheel at the left end, the spindle beyond the other shafts), "
    "other grooves, rods and spindles than the brief's, sizes and places between its steps, and "
    "whatever wheelgeo check does not ask"
)
"""What the claim that a wheel is the best one leaves out."""


@dataclass(frozen=True)
class SizedPulleyAnswer:
    """A pulley of a wheel that was found: rim, and place along its shaft."""

    name: str
    rim_mm: float
    offset_mm: float


@dataclass(frozen=True)
class SizedShaftAnswer:
    """A shaft of a wheel that was found, and where it stands."""

    name: str
    at_mm: Vector


@dataclass(frozen=True)
class SizedBandAnswer:
    """A band of a wheel that was found."""

    name: str
    material: str
    diameter_mm: float
    length_mm: float | None


@dataclass(frozen=True)
class SizedWheelAnswer:
    """One wheel that was found.

    Attributes:
        ratio: spindle turns per turn of the hand.
        ratio_error: by what fraction it is off the wanted one, signed.
        matters: what mattered in the search that found it, most first.
        proven: no combination that was allowed has fewer warnings, or as many and suits better.
        cost: the weighted sum that was made as small as it could be.
        gap: how much less another combination could cost, as far as was looked; 0 where proven,
            None where the time was up before any bound was known.
        terms: its terms.
        least_wrap_deg: smallest arc of contact.
        largest_lead_deg: largest lead angle.
        slip_margin: the smallest of its bands; None where none is known.
        slip_margin_worst: the same with the softest and smoothest cords.
        hand_force_n: what the crank needs.
        whirl_margin: working speed to nearest critical speed.
        parts: pulleys and shafts.
        twist: S or Z.
        turns: how the hand turns.
        pulleys: its pulleys.
        shafts: its shafts.
        bands: its bands.
        faults: rules of its faults: of one that came nearest when the time was up, else none.
        warnings: rules of its warnings.
        findings: rules of all its findings.
        found: the findings in full.
        wheel: the wheel.
    """

    ratio: float
    ratio_error: float
    matters: tuple[str, ...]
    proven: bool
    cost: float
    gap: float | None
    terms: Mapping[str, float]
    least_wrap_deg: float
    largest_lead_deg: float
    slip_margin: float | None
    slip_margin_worst: float | None
    hand_force_n: float | None
    whirl_margin: float | None
    parts: int
    twist: str | None
    turns: str
    pulleys: tuple[SizedPulleyAnswer, ...]
    shafts: tuple[SizedShaftAnswer, ...]
    bands: tuple[SizedBandAnswer, ...]
    faults: tuple[str, ...]
    warnings: tuple[str, ...]
    findings: tuple[str, ...]
    found: tuple[Finding, ...] = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    design: Design = field(repr=False, compare=False, metadata=NOT_IN_JSON)
    as_wheel: Callable[[Design], Any] = field(repr=False, compare=False, metadata=NOT_IN_JSON)

    @property
    def wheel(self) -> Any:
        """The wheel, to be asked and changed."""
        return self.as_wheel(self.design)


@dataclass(frozen=True)
class SizeAnswer(AsJson):
    """What was found for a brief.

    Attributes:
        title: the brief's title.
        proven: every search ran to its end.
        combinations: how many combinations there are.
        ruled_out: how many were ruled out by bounds.
        checked: how many wheels were laid out and checked.
        refused: how often each rule found a fault in one of them.
        ratio_wanted: ratio that the brief asks for.
        excludes: what no claim of proof speaks of.
        wheels: the best first.
        sizing: the whole result.
    """

    title: str
    proven: bool
    combinations: int
    ruled_out: int
    checked: int
    refused: Mapping[str, int]
    ratio_wanted: float
    excludes: str
    wheels: tuple[SizedWheelAnswer, ...]
    sizing: Sizing = field(repr=False, compare=False, metadata=NOT_IN_JSON)


def size_answer(found: Sizing, as_wheel: Callable[[Design], Any]) -> SizeAnswer:
    """Return what is to be told of a search; ``as_wheel`` makes the wheel of a design."""
    return SizeAnswer(
        title=found.brief.title,
        proven=found.proven,
        combinations=found.combinations,
        ruled_out=found.ruled_out,
        checked=found.checked,
        refused=dict(sorted(found.refused.items())),
        ratio_wanted=found.brief.ratio,
        excludes=EXCLUDES,
        wheels=tuple(_wheel(wheel, found.brief.ratio, as_wheel) for wheel in found.wheels),
        sizing=found,
    )


def _gap(wheel: Sized) -> float | None:
    if wheel.proven:
        return 0.0
    gap = max(wheel.total - wheel.bound, 0.0)
    return gap if math.isfinite(gap) else None


def _wheel(wheel: Sized, wanted: float, as_wheel: Callable[[Design], Any]) -> SizedWheelAnswer:
    design, quality = wheel.design, wheel.quality
    solution = solve_drive(design)
    loaded = load_wheel(design, solution)
    margins = [b.margin for b in loaded.load.bands if b.margin is not None]
    worst = [b.least_margin for b in loaded.load.bands if b.least_margin is not None]
    speed = solution.spindle.speed_rpm
    return SizedWheelAnswer(
        ratio=quality.ratio,
        ratio_error=quality.ratio / wanted - 1.0,
        matters=tuple(wheel.matters),
        proven=wheel.proven,
        cost=wheel.cost,
        gap=_gap(wheel),
        terms={str(name): term for name, term in quality.terms.items()},
        least_wrap_deg=quality.least_wrap_deg,
        largest_lead_deg=quality.largest_lead_deg,
        slip_margin=min(margins, default=None),
        slip_margin_worst=min(worst, default=None),
        hand_force_n=loaded.effort.force_n,
        whirl_margin=whirl_of(loaded).margin,
        parts=len(design.pulleys) + len(design.shafts),
        twist=None if speed is None else direction(speed),
        turns=design.drive.turns,
        pulleys=tuple(
            SizedPulleyAnswer(p.name, p.groove.size_mm, p.offset_mm) for p in design.pulleys
        ),
        shafts=tuple(SizedShaftAnswer(s.name, s.at_mm) for s in design.shafts),
        bands=tuple(
            SizedBandAnswer(
                m.band.name, m.band.material, m.band.diameter_mm,
                None if m.path is None else m.path.length_mm,
            )
            for m in solution.bands
        ),
        faults=wheel.faults,
        warnings=tuple(dict.fromkeys(wheel.warnings)),
        findings=tuple(dict.fromkeys(f.rule for f in wheel.findings)),
        found=wheel.findings,
        design=design,
        as_wheel=as_wheel,
    )  # fmt: skip
