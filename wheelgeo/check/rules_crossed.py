"""The rule on two runs of one band that rub where they cross, and what parts them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from wheelgeo.check.adjustments import (
    Adjustment,
    Edits,
    only,
    parallel_band,
    shift_either_way,
)
from wheelgeo.check.edits import edit
from wheelgeo.check.finding import Finding
from wheelgeo.check.remedies import mend
from wheelgeo.check.rules_space import GEOMETRY, TOUCH_MM, thin_mm
from wheelgeo.check.wheel_under_check import WheelUnderCheck, gap_mm
from wheelgeo.design.model import Band, Design
from wheelgeo.drive.train import BandMotion
from wheelgeo.geometry.clearance import parting_tilt_deg, turned
from wheelgeo.geometry.vectors import sub, unit
from wheelgeo.units.in_full import full


def crossed_runs_rub(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn where two runs of one band rub, with the tilt that parts them."""
    for motion in wheel.paths():
        bodies = wheel.run_bodies(motion)
        for i, j in _runs_apart(motion):
            gap = gap_mm(bodies[i][1], bodies[j][1], enough=1.0)
            if gap < -TOUCH_MM:
                yield _rub(wheel, motion, (bodies[i][0], bodies[j][0]), gap)


def _runs_apart(motion: BandMotion) -> Iterator[tuple[int, int]]:
    """Yield the pairs of runs that may cross.

    Two runs that meet one pulley between them are always near each other there; they can cross
    only where the band wraps that pulley by more than half a turn.
    """
    assert motion.path is not None
    wraps = motion.path.wraps_deg
    count = len(wraps)
    for i, j in combinations(range(count), 2):
        shared = [k for k in range(count) if {(k - 1) % count, k} == {i, j}]
        if all(wraps[k] > 180.0 for k in shared) or count == 2:
            yield i, j


def _rub(wheel: WheelUnderCheck, motion: BandMotion, names: tuple[str, str], gap: float) -> Finding:
    cord = motion.band.diameter_mm
    between = max(cord + gap, 0.0)
    where = f'band "{motion.band.name}"'
    rule = "crossed-runs-rub"
    flat = len(motion.band.route) == 2 and parallel_band(wheel.design, motion.band)
    passing = (
        "meet" if between < TOUCH_MM else f"pass {thin_mm(between)} apart"
    )  # fmt: skip
    return Finding(
        rule, "warning", where, round(between, 6), cord, "mm",
        f"{names[0]} and {names[1]} rub where they cross: their centre-lines {passing}, and the "
        f"cord is {full(cord)} mm thick: they should pass {thin_mm(-gap)} further apart"
        + ("; on parallel shafts no place of a pulley on its rod does that" if flat else ""),
        GEOMETRY,
        mend(
            wheel, crossed_runs_rub, _ways_not_to_rub(wheel, motion, flat),
            "wax the cord and accept that it wears sooner",
        ),
    )  # fmt: skip


def _ways_not_to_rub(
    wheel: WheelUnderCheck, motion: BandMotion, flat: bool
) -> Iterator[Adjustment]:
    """Yield what parts two runs; on parallel shafts they mirror each other wherever pulleys are."""
    design, band = wheel.design, motion.band
    yield from _tilts(wheel, motion)
    if not flat:
        yield from shift_either_way(design, *dict.fromkeys(s.pulley for s in band.route), most=10.0)
    elif band.crossed:
        turns = "clockwise" if design.drive.turns == "counter-clockwise" else "counter-clockwise"
        yield only(
            edit(design, "band", band.name, "crossed", False),
            edit(design, "drive", "", "turns", turns),
        )


def _tilts(wheel: WheelUnderCheck, motion: BandMotion) -> Iterator[Adjustment]:
    """Yield the tilts of the second pulley's shaft that part the two runs of a crossed band."""
    if len(motion.band.route) != 2 or motion.path is None:
        return
    tilt = parting_tilt_deg(motion.path, motion.band.diameter_mm)
    if tilt is None:
        return
    first, second = motion.path.circles
    line = unit(sub(second.centre_mm, first.centre_mm))
    shaft = wheel.design.pulley(motion.band.route[1].pulley).shaft

    def tilted(amount: float) -> Edits:
        axis = turned(second.axis, line, math.radians(round(tilt + amount, 1)))
        x, y, z = (round(c, 4) for c in axis)
        tilt_it = edit(wheel.design, "shaft", shaft, "axis", (x, y, z))
        return (tilt_it, *_without_crossed(wheel.design, motion.band))

    yield Adjustment(tilted, 3.0)


def _without_crossed(design: Design, band: Band) -> Edits:
    """Write a crossed band by its route: ``crossed`` is for parallel shafts only."""
    if not band.crossed:
        return ()
    return (
        edit(design, "band", band.name, "crossed", False),
        edit(design, "band", band.name, "route", band.route),
    )
