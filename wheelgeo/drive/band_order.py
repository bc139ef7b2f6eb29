"""The order in which the motion goes from the hand through the bands to the last shaft."""

from __future__ import annotations

from collections.abc import Sequence

from wheelgeo.drive.tension import RestBand
from wheelgeo.drive.train import Solution


def order_of_bands(solution: Solution, bands: Sequence[RestBand]) -> tuple[RestBand, ...]:
    """Return the bands that are driven, from the hand outwards."""
    depths = shaft_depths(solution)
    driven = [b for b in bands if b.motion.driver is not None]
    return tuple(sorted(driven, key=lambda b: depths.get(driving_shaft(solution, b), 0)))


def driving_shaft(solution: Solution, band: RestBand) -> str:
    """Return the shaft that drives a band."""
    driver = band.motion.driver
    assert driver is not None
    return solution.design.pulley(band.band.route[driver].pulley).shaft


def shaft_depths(solution: Solution) -> dict[str, int]:
    """Return how many bands lie between the hand and each shaft that turns."""
    depths = {solution.design.drive.shaft: 0}
    for motion in solution.shafts:
        # Back towards the hand to the first shaft that is known, then out again.
        chain, name = [], motion.name
        while name not in depths and (band := solution.shaft(name).driven_by) is not None:
            chain.append(name)
            name = _driver_of(solution, band)
        for further in reversed(chain):
            depths[further], name = depths[name] + 1, further
    return depths


def _driver_of(solution: Solution, band: str) -> str:
    motion = solution.band(band)
    assert motion.driver is not None
    return solution.design.pulley(motion.band.route[motion.driver].pulley).shaft
