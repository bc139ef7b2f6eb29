"""How sure the numbers of an old wheel are, and the band that fits it, as its file has them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from wheelgeo.design.joints import joint_of
from wheelgeo.design.model import Design, Measurement
from wheelgeo.geometry.groove import VeeGroove
from wheelgeo.numbers.tied import written_reading
from wheelgeo.tune.old_wheel_design import BAND
from wheelgeo.tune.old_wheel_grooves import MOUTH_OF, over_thread
from wheelgeo.tune.old_wheel_reading import OldWheelReading
from wheelgeo.units import LENGTH_MM


def with_uncertainties(design: Design, reading: OldWheelReading, apart_mm: float | None) -> Design:
    """Return the wheel with the half widths of what stands in its file.

    A file takes its numbers as measured apart; where one measurement stands in two of them (a rim
    in a distance from its edge) its part is told a little too small or too large. A band that fits
    stays what it is, a measured result: it ties the distance, which nobody measured, to the rest.
    """
    halves, values = reading.halves, reading.values
    found: dict[str, float] = {f"band:{BAND}.diameter": halves["cord"]}
    if "stretch" in halves:
        found[f"band:{BAND}.stretch"] = halves["stretch"]
    rims = (("wheel", "girth", "groove", ("wheel", "second groove")),
            ("whorl", "whorl_girth", "whorl_groove", ("whorl",)),
            ("double", "", "whorl_groove", ("bobbin whorl",)))  # fmt: skip
    known = {p.name for p in design.pulleys}
    for rim, girth, depth, pulleys in rims:
        for pulley in (name for name in pulleys if name in known):
            if girth in values:
                shape = reading.kind.wheel_shape if rim == "wheel" else reading.kind.whorl_shape
                half = math.hypot(halves[girth] / math.pi, over_thread(shape) * halves["cord"])
                found[f"pulley:{pulley}.pitch"] = half
                continue
            half = halves[rim]
            if rim == "wheel" and "least" in halves:
                half = 0.5 * math.hypot(half, halves["least"])
            found[f"pulley:{pulley}.rim"] = half
            if depth in halves:
                found[f"pulley:{pulley}.depth"] = halves[depth]
            if (mouth := MOUTH_OF[depth]) in halves and isinstance(
                design.pulley(pulley).groove, VeeGroove
            ):  # half the mouth over the depth is the tangent of half the angle
                steep = 0.5 * values[mouth] / values[depth]
                half_rad = halves[mouth] / values[depth] / (1.0 + steep * steep)
                found[f"pulley:{pulley}.angle"] = math.degrees(half_rad)
    fits = _band_that_fits(reading) if "fits" in values else ()
    for shaft in (s for s in design.shafts if s.name != "axle"):
        if fits:
            found[f"shaft:{shaft.name}.at.x"] = math.ceil(shaft.at_mm[0])
        elif apart_mm is not None:
            found[f"shaft:{shaft.name}.at.x"] = apart_mm
    rounded = {key: float(f"{half:.5g}") for key, half in found.items()}
    return replace(design, uncertainties=rounded, measured=fits)


def with_bands_that_fit(design: Design, others: Iterable[OldWheelReading]) -> Design:
    """Return the wheel with a band that fits as measured, its distance coming from elsewhere.

    Args:
        design: the wheel.
        others: the readings by other ways to the distance than the one that was gone by.
    """
    fits = (m for r in others if "fits" in r.values for m in _band_that_fits(r))
    return replace(design, measured=(*design.measured, *fits))


def _band_that_fits(reading: OldWheelReading) -> tuple[Measurement, ...]:
    """Return the band that fits as a file has it: a cord with its joint, its tails trimmed."""
    kind, value, half = reading.kind, reading.values["fits"], reading.halves["fits"]
    what = f"{BAND}.cut_length"
    if kind.fits_as != "loop":
        what = f"{BAND}.cut_with_joint"
        if kind.fits_as == "reel":
            value -= joint_of(kind.material, kind.joined).tails_mm
        half = math.hypot(half, reading.halves.get("joint", 0.0))
    return (Measurement(what, written_reading(value, half, LENGTH_MM, kind.unit)),)
