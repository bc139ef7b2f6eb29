"""How careful one must be: what the uncertainties of all dimensions make of ratio, twist and bands.

Each result is given twice: by the law of propagation of uncertainty and by drawing wheels at
random; ``agree`` tells whether the second confirms the first (see ``uncertainty`` and
``montecarlo``). Twist counts as the ratio does: who turns the hand as often per draw as before gets
the twist in proportion to the ratio.
"""

from __future__ import annotations

from wheelgeo.design.limits import limit_value
from wheelgeo.design.model import Design
from wheelgeo.design.twist import wanted_turns_per_metre
from wheelgeo.drive.train import solve_drive
from wheelgeo.errors import SearchError
from wheelgeo.immutable import dataclass
from wheelgeo.tune.band_spread import BandSpread, band_spread
from wheelgeo.tune.result_spread import Drawing, Spread, ratio_spread, scaled
from wheelgeo.tune.size_tolerances import Allowed, Uncertain, uncertain_of
from wheelgeo.tune.tightness import Tightness, tightness
from wheelgeo.tune.wind_on_spread import WindOnSpread, wind_on_spread

USUAL_DRAWING = Drawing()


@dataclass(frozen=True)
class Tolerance:
    """Everything.

    Attributes:
        design: the wheel.
        allowed: what may be off.
        uncertain: every number that is off, with its tolerance.
        ratio: spindle turns per turn of the hand.
        twist: turns per metre, the hand turning as often per draw as before; None where the file
            does not say what twist is wanted.
        bands: every band with a path.
        wind_on: how a flyer wheel takes yarn in; None of others, and where nothing is wound on.
        tightness: how tight the dimensions must be.
        notes: what was taken where the file or the standard is silent.
    """

    design: Design
    allowed: Allowed
    uncertain: tuple[Uncertain, ...]
    ratio: Spread
    twist: Spread | None
    bands: tuple[BandSpread, ...]
    wind_on: WindOnSpread | None
    tightness: Tightness
    notes: tuple[str, ...]


def tolerance(
    design: Design,
    allowed: Allowed,
    wanted_error: float | None = None,
    drawing: Drawing = USUAL_DRAWING,
) -> Tolerance:
    """Work out the uncertainties of a wheel.

    Args:
        design: the wheel.
        allowed: what may be off.
        wanted_error: twist error to be kept, a fraction; None takes the design's limit.
        drawing: how wheels are drawn.

    Raises:
        SearchError: the spindle is not driven, or a tolerance of one's own is none.
        ValueError: too few trials for the coverage.
    """
    solution = solve_drive(design)
    if solution.ratio is None:
        raise SearchError("the spindle is not driven: there is no ratio to be off")
    uncertain, notes = uncertain_of(solution, allowed)
    ratio = ratio_spread(solution, uncertain, drawing)
    moving = [motion for motion in solution.bands if motion.path is not None]
    bands = tuple(band_spread(solution, motion, uncertain, drawing) for motion in moving)
    if wanted_error is None:
        wanted_error = limit_value("twist_error_fraction", design.limits)
    drawn = None if ratio.agree else _drawn_coverage(ratio)
    tight = tightness(solution, allowed, uncertain, ratio.budget, wanted_error, drawn)
    wound = wind_on_spread(solution, uncertain, drawing)
    twist = _twist(design, ratio)
    return Tolerance(design, allowed, uncertain, ratio, twist, bands, wound, tight, notes)


def _drawn_coverage(ratio: Spread) -> float | None:
    """Return the larger part of the simulated interval over the standard uncertainty."""
    low, high = ratio.drawn.symmetric
    value, off = ratio.budget.value, ratio.budget.standard_uncertainty
    return max(value - low, high - value) / off if off > 0.0 else None


def _twist(design: Design, ratio: Spread) -> Spread | None:
    """Return the twist: as much off, in proportion, as the ratio."""
    wanted = None if design.yarn is None else wanted_turns_per_metre(design.yarn)
    if wanted is None:
        return None
    return scaled(ratio, wanted / ratio.budget.value, "twist", "turns per metre")
