"""How sure a band's lengths are: what was measured, and a stretch that nobody knows beforehand."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import replace

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.tied import tied_parts_of
from wheelgeo.numbers.uncertain import together


@dataclass(frozen=True)
class BandUncertainty:
    """Half widths at 95 % of a band's lengths; None where they cannot be known.

    Attributes:
        length_mm: of its length in place.
        measuring_mm: part of the cut length's that comes from what was measured.
        stretch_mm: part that comes from the stretch: the file's own uncertainty of it, or the
            range of the usual stretch where that was assumed; 0 where the file gives it as exact.
    """

    length_mm: float | None
    measuring_mm: float | None
    stretch_mm: float | None

    @property
    def cut_length_mm(self) -> float | None:
        """Both parts together: they have nothing to do with one another."""
        if self.measuring_mm is None or self.stretch_mm is None:
            return None
        return math.hypot(self.measuring_mm, self.stretch_mm)


@dataclass(frozen=True)
class WheelUncertainty:
    """Half widths at 95 % of ratio, turns of the hand for a metre, and each band by its name."""

    ratio: float | None
    turns_per_metre: float | None
    bands: Mapping[str, BandUncertainty]


NOTHING_MEASURED = WheelUncertainty(None, None, {})


def uncertainty_of(design: Design, solution: Solution) -> WheelUncertainty:
    """Return the uncertainties of ratio and band lengths, where the file holds any.

    Args:
        design: the wheel.
        solution: the same, solved.
    """
    if not design.uncertainties:
        return NOTHING_MEASURED
    names = [f"{b.name}.{what}" for b in design.bands for what in ("length", "cut_length")]
    twist = [] if design.yarn is None else ["drive.turns_per_metre"]
    parts = tied_parts_of(design, ["ratio", *twist, *names])
    bands = {}
    for band in design.bands:
        own = f"band:{band.name}.stretch"
        cut = dict(parts[f"{band.name}.cut_length"])
        stretch = cut.pop(own) if own in cut else assumed_stretch_mm(solution, band.name)
        bands[band.name] = BandUncertainty(
            together(parts[f"{band.name}.length"]),
            together(cut),
            None if stretch is None else abs(stretch),
        )
    per_metre = together(parts[twist[0]]) if twist else None
    return WheelUncertainty(together(parts["ratio"]), per_metre, bands)


def assumed_stretch_mm(solution: Solution, band: str) -> float | None:
    """Return half of what the range of the usual stretch makes of a cut length, mm.

    0 where the file gives the stretch; None where the band has no path.
    """
    path = solution.band(band).path
    return None if path is None else solution.built.bands[band].cut_spread_mm(path.length_mm)


def with_usual_stretch(design: Design, bands: Collection[str] | None = None) -> Design:
    """Return the wheel with every stretch that its file leaves out, and how unsure that is.

    Args:
        design: the wheel.
        bands: names of the bands that it is wanted for; None: of all.

    Returns:
        The same with the usual stretch written, half of its range as its uncertainty at 95 %.
    """
    put, halves = [], dict(design.uncertainties)
    for band in design.bands:
        made = build(design).bands[band.name]
        if made.stretch.given or (bands is not None and band.name not in bands):
            put.append(band)
            continue
        usual = made.usual_stretch.value
        put.append(replace(band, stretch=made.stretch.value))
        halves[f"band:{band.name}.stretch"] = 0.5 * (usual.high - usual.low)
    return replace(design, bands=tuple(put), uncertainties=halves)
