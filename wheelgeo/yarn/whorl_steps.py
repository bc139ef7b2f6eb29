"""Flyer's and bobbin's whorls side by side: what every pair of steps would wind on.

A whorl of several steps is several pulleys of one shaft; a band lies on one of them. Where one band
drives flyer and bobbin both, or each has its own, any pair of steps may be used together.
"""

from __future__ import annotations

from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.yarn.wheel_wind_on import wheel_wind_on
from wheelgeo.yarn.wind_on import Leads, both_driven


@dataclass(frozen=True)
class WhorlPair:
    """One step of the flyer's whorl with one of the bobbin's; turns are without slip.

    Attributes:
        flyer_whorl: the flyer's pulley.
        bobbin_whorl: the bobbin's.
        in_use: the bands lie on these two.
        flyer_turns_per_drive_turn: turns of the flyer per turn of the drive.
        bobbin_turns_per_drive_turn: turns of the bobbin, positive as the flyer turns.
        leads: the faster one.
        least_turns_per_metre_empty: least twist that can come out with the empty bobbin; None
            where nothing is wound on.
        least_turns_per_metre_full: the same with the full one.
    """

    flyer_whorl: str
    bobbin_whorl: str
    in_use: bool
    flyer_turns_per_drive_turn: float
    bobbin_turns_per_drive_turn: float
    leads: Leads
    least_turns_per_metre_empty: float | None
    least_turns_per_metre_full: float | None


def whorl_pairs(solution: Solution) -> tuple[WhorlPair, ...]:
    """Return every pair of steps of a wheel whose bands drive flyer and bobbin both.

    Args:
        solution: the solved wheel.

    Returns:
        The pairs, the flyer's steps in file order, each with the bobbin's; empty for others.
    """
    design, found = solution.design, wheel_wind_on(solution)
    if found is None or found.by not in ("double band", "two bands") or design.bobbin is None:
        return ()
    twist = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    by = "double band" if found.by == "double band" else "two bands"
    flyers = _steps(solution, design.spindle.shaft)
    bobbins = _steps(solution, design.spindle.bobbin or "")
    pairs = []
    for flyer, flyer_turns, flyer_used in flyers:
        for bobbin, bobbin_turns, bobbin_used in bobbins:
            at = [
                both_driven(by, flyer_turns, bobbin_turns, diameter, twist)  # type: ignore[arg-type]
                for diameter in (design.bobbin.empty_mm, design.bobbin.full_mm)
            ]
            pairs.append(
                WhorlPair(
                    flyer, bobbin, flyer_used and bobbin_used,
                    at[0].flyer_turns_per_drive_turn, at[0].bobbin_turns_per_drive_turn or 0.0,
                    at[0].leads, at[0].least_turns_per_metre, at[1].least_turns_per_metre,
                )
            )  # fmt: skip
    return tuple(pairs)


def _steps(solution: Solution, shaft: str) -> list[tuple[str, float, bool]]:
    """Return each step of a shaft, its turns per drive turn, and whether its band lies on it."""
    design, motion = solution.design, solution.shaft(shaft)
    turns = motion.turns_without_slip
    if motion.driven_by is None or turns is None:
        return []
    band = solution.band(motion.driven_by)
    cord = band.band.diameter_mm
    used = next(
        (i for i, s in enumerate(band.band.route) if design.pulley(s.pulley).shaft == shaft), 0
    )
    name, pitch = band.band.route[used].pulley, band.seats[used].pitch_diameter_mm
    others = [
        (p.name, solution.built.pulleys[p.name].runs_in.seat(cord).pitch_diameter_mm)
        for p in design.pulleys_on(shaft)
    ]
    return [(step, turns * pitch / its, step == name) for step, its in others]
