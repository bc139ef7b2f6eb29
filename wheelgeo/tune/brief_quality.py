"""How good a wheel is for a brief: one number, the weighted sum of five.

Each is 0 where nothing could be better and 1 at the limit of practice:

    ratio   |ln(ratio / wanted)| / ln(1 + allowed twist error), less what general tolerances of
            the rims leave open anyway: ratios that the workshop cannot tell apart are alike
    slip    mean over the bands of limit / slip margin, as ``brief_slip`` reckons it
    lead    largest lead angle of a band over the limit for arriving
    bend    mean over the bands of the least diameter the cord stands over the one it gets
    wood    mean over the discs of (rim / breadth of the case)²

What matters most weighs 8, the next 4, then 2, 1, 1/2; what the brief does not name weighs 1/4.
The closed forms here are for arrays; ``measure`` takes the same five from a solved wheel.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from wheelgeo.design.materials import find_material
from wheelgeo.design.model import Design
from wheelgeo.drive.train import BandMotion, solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.tune.brief import MATTERS, Brief, Choice, Matter
from wheelgeo.tune.brief_slip import SlipFigures, margins
from wheelgeo.tune.iso2768 import linear_tolerance_mm

Array = NDArray[np.float64]

FIRST_WEIGHT = 8.0
UNNAMED_WEIGHT = 0.25
WARNING = 100.0
"""What a warning counts: more than all terms together, for no decimal makes up for one."""
_ROUNDS = 60


@dataclass(frozen=True)
class Quality:
    """The five terms, and what they were made of.

    Attributes:
        terms: the five, each 0 at best and 1 at the limit.
        ratio: spindle turns per turn of the hand, slip included.
        margins: least slip margin of each band, from the hand to the spindle, in closed form.
        least_wrap_deg: least arc of contact of any pulley.
        largest_lead_deg: largest lead angle of any band, without sign.
        alike: by what fraction its ratio is open anyway, by the general tolerances of its rims.
    """

    terms: Mapping[Matter, float]
    ratio: float
    margins: tuple[float, ...]
    least_wrap_deg: float
    largest_lead_deg: float
    alike: float

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


def rim_share(rim_mm: float, pitch_mm: float) -> float:
    """Return the standard uncertainty of a pitch diameter at the general tolerance of its rim.

    As a fraction of it. ISO 2768-1, class m (medium), which ``tolerance`` takes where nothing else
    is asked for; a size anywhere within its tolerance has a standard uncertainty of that over √3
    (JCGM 100:2008, 4.3.7).
    """
    return linear_tolerance_mm(rim_mm, "m") / (math.sqrt(3.0) * pitch_mm)


def ratio_term(brief: Brief, log_ratio: Any, alike: Any) -> Array:
    """Return the first term, infinite beyond the allowed twist error; arrays that fit.

    Args:
        brief: the brief.
        log_ratio: logarithms of ratios.
        alike: by what fraction a ratio may be off for no care of the workshop: the root of the sum
            of the squares of the shares of its rims.
    """
    allowed = math.log1p(brief.limit("twist_error_fraction"))
    off = np.abs(log_ratio - math.log(brief.ratio))
    term: Array = np.where(off > allowed, np.inf, np.maximum(off - alike, 0.0) / allowed)
    return term


def slip_term(brief: Brief, margin: Any) -> Array:
    """Return a band's share of the second term, before the mean over the bands."""
    term: Array = brief.limit("slip_margin") / margin
    return term


def wood_term(brief: Brief, rims: tuple[Any, ...]) -> Any:
    """Return the last term for the rims of the discs, mm."""
    breadth = min(brief.inside_mm[:2])
    return sum((rim / breadth) ** 2 for rim in rims) / len(rims)


def measure(brief: Brief, figures: SlipFigures, choice: Choice, design: Design) -> Quality | None:
    """Return the quality of a wheel; None where it has no ratio or a band has no path.

    Args:
        brief: the brief.
        figures: what the slip of its bands hangs on.
        choice: which combination the wheel is.
        design: the wheel.
    """
    solution = solve_drive(design)
    ratio = solution.ratio
    if ratio is None or any(m.path is None for m in solution.bands):
        return None
    leads = [_largest_lead(m) for m in solution.bands]
    cords = (choice.first,) if choice.second is None else (choice.first, choice.second)
    held = margins(figures, cords, solution)
    shares = [
        rim_share(design.pulley(stop.pulley).groove.size_mm, seat.pitch_diameter_mm)
        for motion in solution.bands
        for stop, seat in zip(motion.band.route, motion.seats, strict=True)
    ]
    discs = (choice.wheel,) if choice.accelerator is None else (choice.wheel, choice.accelerator)
    terms: dict[Matter, float] = {
        "ratio": float(ratio_term(brief, math.log(ratio), math.hypot(*shares))),
        "slip": float(np.mean([slip_term(brief, margin) for margin in held])),
        "lead": max(leads) / brief.limit("arriving_deg"),
        "bend": float(np.mean([_bend(m) for m in solution.bands])),
        "wood": float(wood_term(brief, discs)),
    }
    wraps = [min(m.path.wraps_deg) for m in solution.bands if m.path is not None]
    return Quality(terms, ratio, held, min(wraps), max(leads), math.hypot(*shares))


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
