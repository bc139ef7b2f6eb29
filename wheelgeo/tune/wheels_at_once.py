"""Many wheels at once that differ from one design in some of its numbers.

A *case* is one such wheel. ``Cases`` holds, for each number that varies, its values in all cases
under the number's full key (see ``parameters``); every other number is the design's own. Besides
the keys of parameters there are two that a design does not hold: ``band:NAME.wear``, the fraction
by which the cord has become thinner, and ``band:NAME.cut_length``, the fraction by which the cord
was cut too long.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from wheelgeo.built.pulley import loose_pulley
from wheelgeo.design.model import Band, Design, Pulley, Shaft
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.geometry.path_array import solve_paths
from wheelgeo.immutable import dataclass
from wheelgeo.tune.remakes import power_path

Array = NDArray[np.float64]
Number = Any
"""A float, or an array with one value a case."""
Triple = tuple[Number, Number, Number]


@dataclass(frozen=True)
class Cases:
    """The numbers that vary, by full key; each an array with one value a case."""

    values: Mapping[str, Array]

    def get(self, key: str, otherwise: float) -> Number:
        """Return the values of a number, or the design's own where it does not vary."""
        return self.values.get(key, otherwise)


# --- ratio ---------------------------------------------------------------------------------------

_Of = Callable[[Cases], Number]


def ratio_of(solution: Solution) -> _Of:
    """Return a function of cases that gives their ratio; the train is built once, here."""
    design = solution.design
    links = [
        _link_of(design, link.band, link.driving, link.driven) for link in power_path(solution)
    ]

    # A flyer that the yarn draws after its bobbin turns at a share that twist and bobbin set.
    drawn = abs(solution.drawn_share)

    def ratio(cases: Cases) -> Number:
        product: Number = drawn
        for link in links:
            product = product * link(cases)
        return product

    return ratio


def turns_of(solution: Solution, shaft: str) -> _Of:
    """Return a function of cases that gives the turns of a driven shaft per turn of the drive.

    Slip is left out; the sign is the design's.
    """
    design, way = solution.design, math.copysign(1.0, solution.shaft(shaft).turns_without_slip or 1)
    pairs = [
        tuple(radius_of(design, design.pulley(p), design.band(link.band))
              for p in (link.driving, link.driven))
        for link in power_path(solution, shaft)
    ]  # fmt: skip

    def turns(cases: Cases) -> Number:
        product: Number = way
        for driving, driven in pairs:
            product = product * driving(cases) / driven(cases)
        return product

    return turns


def ratio_keys(solution: Solution) -> set[str]:
    """Return the full keys of all numbers that have a part in the ratio."""
    design, keys = solution.design, set[str]()
    for link in power_path(solution):
        for name in (link.driving, link.driven):
            keys |= seat_keys(design, design.pulley(name))
        keys |= {f"band:{link.band}.{field}" for field in ("diameter", "wear", "slip")}
    return keys


def seat_keys(design: Design, pulley: Pulley) -> set[str]:
    """Return the full keys of the sizes of a pulley that a cord's seat hangs on."""
    groove = loose_pulley(pulley, design.cord_on(pulley.name)).runs_in
    return {f"pulley:{pulley.name}.{size}" for size in groove.seat_sizes()}


def _link_of(design: Design, band_name: str, driving: str, driven: str) -> _Of:
    band = design.band(band_name)
    first, second = (radius_of(design, design.pulley(p), band) for p in (driving, driven))
    slip = band.slip or 0.0
    key = f"band:{band.name}.slip"
    return lambda cases: first(cases) / second(cases) * (1.0 - cases.get(key, slip))


def radius_of(design: Design, pulley: Pulley, band: Band) -> _Of:
    """Return a function of cases that gives the pitch radius of a band on a pulley, mm."""
    groove = loose_pulley(pulley, design.cord_on(pulley.name)).runs_in
    keys = {name: f"pulley:{pulley.name}.{name}" for name in groove.seat_sizes()}
    cord = cord_of(band)

    def radius(cases: Cases) -> Number:
        varied = {n: cases.values[key] for n, key in keys.items() if key in cases.values}
        return groove.put(**varied).pitch_radius_mm(cord(cases))

    return radius


def cord_of(band: Band) -> _Of:
    """Return a function of cases that gives the diameter of a band's cord, mm."""
    diameter, wear = f"band:{band.name}.diameter", f"band:{band.name}.wear"

    def cord(cases: Cases) -> Number:
        new = cases.get(diameter, band.diameter_mm)
        return new * (1.0 - cases.get(wear, 0.0)) if wear in cases.values else new

    return cord


# --- lengths of bands ----------------------------------------------------------------------------


def length_of(solution: Solution, motion: BandMotion) -> Callable[[Cases], Array]:
    """Return a function of cases that gives the length of a band's path, mm.

    A case without a path gives NaN.
    """
    design, band = solution.design, motion.band
    pulleys = [design.pulley(stop.pulley) for stop in band.route]
    radii = [radius_of(design, pulley, band) for pulley in pulleys]

    def length(cases: Cases) -> Array:
        circles = [
            (*_place(design, pulley, cases), radius(cases))
            for pulley, radius in zip(pulleys, radii, strict=True)
        ]
        count = max((len(column) for column in cases.values.values()), default=1)
        rows = [np.array([np.broadcast_to(n, (count,)) for n in circle]).T for circle in circles]
        numbers = np.stack(rows, axis=1)
        centres, axes, radius = numbers[..., :3], numbers[..., 3:6], numbers[..., 6]
        return solve_paths(centres, axes, radius, np.array(motion.senses)).length_mm

    return length


def length_keys(solution: Solution, motion: BandMotion) -> set[str]:
    """Return the full keys of all numbers that have a part in the length of a band's path."""
    design, keys = solution.design, {f"band:{motion.band.name}.{f}" for f in ("diameter", "wear")}
    for stop in motion.band.route:
        pulley = design.pulley(stop.pulley)
        keys |= seat_keys(design, pulley) | {f"pulley:{pulley.name}.offset"}
        keys |= {
            f"shaft:{datum_shaft(design, pulley.shaft).name}.{field}.{axis}"
            for field in ("at", "lean") for axis in "xyz"
        }  # fmt: skip
    return keys


def datum_shaft(design: Design, name: str) -> Shaft:
    """Return the shaft itself, or the first that shares its axis: they are off together."""
    shaft = design.shaft(name)
    return next(s for s in design.shafts if s.at_mm == shaft.at_mm and s.axis == shaft.axis)


def _place(design: Design, pulley: Pulley, cases: Cases) -> tuple[Number, ...]:
    """Return centre and axis of a pulley in every case, six numbers."""
    shaft = datum_shaft(design, pulley.shaft)
    axis = _axis(shaft, cases)
    offset = cases.get(f"pulley:{pulley.name}.offset", pulley.offset_mm)
    places = (
        cases.get(f"shaft:{shaft.name}.at.{name}", at)
        for name, at in zip("xyz", shaft.at_mm, strict=True)
    )
    centre = tuple(at + offset * d for at, d in zip(places, axis, strict=True))
    return (*centre, *axis)


def _axis(shaft: Shaft, cases: Cases) -> Triple:
    """Return a shaft's axis in every case, leaning as ``parameters`` has it."""
    axis: list[Number] = list(shaft.axis)
    for i, name in enumerate("xyz"):
        lean = cases.values.get(f"shaft:{shaft.name}.lean.{name}")
        if lean is not None:
            angle = np.radians(lean)
            across = np.sqrt(sum(c * c for k, c in enumerate(axis) if k != i))
            axis = [
                np.sin(angle) if k == i else c * np.cos(angle) / across for k, c in enumerate(axis)
            ]
    x, y, z = axis
    return (x, y, z)
