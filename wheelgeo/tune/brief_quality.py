"""How good a wheel is for a brief: one number, the weighted sum of five.

Each is 0 where nothing could be better and 1 at the limit of practice:

    ratio   |ln(ratio / wanted)| / ln(1 + allowed twist error)
    slip    mean over the bands of (180° - least wrap) / 90°, where that is below 180°
    lead    largest lead angle of a band over the limit for arriving
    bend    mean over the bands of the least diameter the cord stands over the one it gets
    wood    mean over the discs of (rim / breadth of the case)²

What matters most weighs 8, the next 4, then 2, 1, 1/2; what the brief does not name weighs 1/4.
The closed forms here are for arrays; ``measure`` takes the same five from a solved wheel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Design
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.tune.brief import MATTERS, Brief, Matter

Array = NDArray[np.float64]

FIRST_WEIGHT = 8.0
UNNAMED_WEIGHT = 0.25
_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class Quality:
    """The five terms, and what they were made of.

    Attributes:
        terms: the five, each 0 at best and 1 at the limit.
        ratio: spindle turns per turn of the hand, slip included.
        least_wrap_deg: least arc of contact of any pulley.
        largest_lead_deg: largest lead angle of any band, without sign.
    """

    terms: Mapping[Matter, float]
    ratio: float
    least_wrap_deg: float
    largest_lead_deg: float

    def total(self, weights: Mapping[Matter, float]) -> float:
        """Return the weighted sum: what a search makes as small as it can."""
        return math.fsum(weights[matter] * term for matter, term in self.terms.items())


def weights_of(matters: tuple[Matter, ...]) -> dict[Matter, float]:
    """Return what each term weighs where these matter, the first most."""
    named = {matter: FIRST_WEIGHT / 2.0**place for place, matter in enumerate(matters)}
    return {matter: named.get(matter, UNNAMED_WEIGHT) for matter in MATTERS}


class Quarter(NamedTuple):
    """A quarter-turn band, its whorl level with the disc and square to its shaft; degrees.

    Attributes:
        lead_disc: lead angle at the disc, arriving as leaving.
        lead_whorl: lead angle at the whorl, arriving as leaving.
        wrap_disc: arc of contact on the disc.
        wrap_whorl: arc of contact on the whorl.
    """

    lead_disc: Array
    lead_whorl: Array
    wrap_disc: Array
    wrap_whorl: Array


def flat_wrap_deg(first: Any, second: Any, distance: Any) -> Array:
    """Return the smaller arc of contact of an open band on parallel shafts, degrees.

    Args:
        first: pitch radius of one pulley, mm; arrays that fit each other.
        second: pitch radius of the other, mm.
        distance: between the shafts, mm.

    Returns:
        180° - 2 asin(|difference| / distance); NaN where one stands inside the other.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        wrap: Array = 180.0 - 2.0 * np.degrees(np.arcsin(np.abs(first - second) / distance))
    return wrap


def quarter_turn(disc: Any, whorl: Any, distance: Any) -> Quarter:
    """Return the angles of a quarter-turn band whose two runs are mirror images.

    With the disc's touching point at the angle a from the line of centres and the whorl's at b,
    the run stands across both radii when cos a = R / (C + r cos b) and cos b = -r / (C - R cos a);
    the two are settled in turn, which converges as r R / C² to the power of the rounds.

    Args:
        disc: pitch radius of the disc, mm; arrays that fit each other.
        whorl: pitch radius of the whorl, mm.
        distance: from the disc's axis to the whorl's centre, mm.

    Returns:
        The angles; NaN where the distance is too small for a band.
    """
    with np.errstate(invalid="ignore", divide="ignore"):
        cos_b = np.zeros(np.broadcast_shapes(np.shape(disc), np.shape(whorl), np.shape(distance)))
        for _ in range(_ROUNDS):
            cos_a = disc / (distance + whorl * cos_b)
            before, cos_b = cos_b, -whorl / (distance - disc * cos_a)
            if not (np.abs(cos_b - before) >= 1e-15).any():
                break
        a, b = np.arccos(cos_a), np.arccos(cos_b)
        x = distance + whorl * cos_b - disc * cos_a
        y, z = disc * np.sin(a), whorl * np.sin(b)
        run = np.sqrt(x * x + y * y + z * z)
        return Quarter(
            np.degrees(np.arcsin(z / run)),
            np.degrees(np.arcsin(y / run)),
            360.0 - 2.0 * np.degrees(a),
            2.0 * np.degrees(b),
        )


def ratio_term(brief: Brief, log_ratio: Any) -> Array:
    """Return the first term for logarithms of ratios."""
    allowed = math.log1p(brief.limit("twist_error_fraction"))
    term: Array = np.abs(log_ratio - math.log(brief.ratio)) / allowed
    return term


def slip_term(wrap_deg: Any) -> Array:
    """Return a band's share of the second term, before the mean over the bands."""
    term: Array = np.maximum(180.0 - wrap_deg, 0.0) / 90.0
    return term


def wood_term(brief: Brief, rims: tuple[Any, ...]) -> Any:
    """Return the last term for the rims of the discs, mm."""
    breadth = min(brief.inside_mm[:2])
    return sum((rim / breadth) ** 2 for rim in rims) / len(rims)


def measure(brief: Brief, design: Design, solution: Solution) -> Quality | None:
    """Return the quality of a solved wheel; None where it has no ratio or a band has no path."""
    ratio = solution.ratio
    if ratio is None or any(m.path is None for m in solution.bands):
        return None
    wraps = [_least_wrap(m) for m in solution.bands]
    leads = [_largest_lead(m) for m in solution.bands]
    discs = [p for p in design.pulleys if p.name in ("wheel", "accelerator")]
    rims = tuple(p.groove.rim_mm for p in discs if hasattr(p.groove, "rim_mm"))
    terms: dict[Matter, float] = {
        "ratio": float(ratio_term(brief, math.log(ratio))),
        "slip": float(np.mean([slip_term(w) for w in wraps])),
        "lead": max(leads) / brief.limit("arriving_deg"),
        "bend": float(np.mean([_bend(m) for m in solution.bands])),
        "wood": float(wood_term(brief, rims)),
    }
    return Quality(terms, ratio, min(wraps), max(leads))


def _least_wrap(motion: BandMotion) -> float:
    assert motion.path is not None
    return min(motion.path.wraps_deg)


def _largest_lead(motion: BandMotion) -> float:
    assert motion.path is not None
    leads = [
        abs(angle) for run in motion.path.runs for angle in (run.arriving_deg, run.leaving_deg)
    ]
    return max(leads)


def _bend(motion: BandMotion) -> float:
    least = bend_mm(motion.band.material, motion.band.diameter_mm)
    return max(least / (s.pitch_diameter_mm - motion.band.diameter_mm) for s in motion.seats)


def bend_mm(material: str, cord_mm: float) -> float:
    """Return the least diameter that a cord is bent round, mm; its own where nothing is known."""
    found = find_material(material)
    figure = found.bend_ratio if found else None
    return cord_mm * (1.0 if figure is None else figure.value)
