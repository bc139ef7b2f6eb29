"""Bands laid on other steps that the wheel has already: what changes twist without any making.

A whorl of several steps is several pulleys of one shaft. A band may be laid on another of them that
no band lies on; where one band or two drive flyer and bobbin both, each of the two may change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import product

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Band
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.tune.directions import Direction
from wheelgeo.tune.remakes import bobbins_own_band, exponents, power_path
from wheelgeo.yarn.whorl_travel import free_steps

_MOVES = 1e-9
"""A ratio that changes by a smaller fraction is the same."""


def whorl_moves(way: Direction, near: Callable[[float], bool]) -> Iterator[Direction]:
    """Yield the wheel with its bands on other steps, those whose ratio is wanted.

    Args:
        way: the wheel, turned as it shall be.
        near: tells whether a ratio, as a multiple of today's, is wanted.

    Yields:
        Each as a way of its own, which names the band, the step that it lies on and the one that
        it comes to.
    """
    design = way.design
    solution = solve_drive(design)
    powers, built = exponents(solution), build(design)
    for bands in _moved_together(solution):
        stops = [(band, s.pulley) for band in bands for s in band.route]
        steps = [(name, *free_steps(design, name)) for _, name in stops]
        if all(len(each) == 1 for each in steps):
            continue
        for laid in product(*steps):
            times = 1.0
            for (band, old), new in zip(stops, laid, strict=True):
                power = powers.get((old, band.name), 0)
                if power and new != old:
                    seat = [
                        built.pulleys[name].runs_in.seat(band.diameter_mm).pitch_radius_mm
                        for name in (new, old)
                    ]
                    times *= (seat[0] / seat[1]) ** power
            if len(set(laid)) == len(laid) and abs(times - 1.0) > _MOVES and near(times):
                yield _laid(way, [(b.name, old) for b, old in stops], laid)


def _moved_together(solution: Solution) -> Iterator[tuple[Band, ...]]:
    """Yield the bands of the power path, the last together with a band of the bobbin's own."""
    path = [link.band for link in power_path(solution)]
    for name in path:
        names = [name, bobbins_own_band(solution)] if name == path[-1] else [name]
        yield tuple(b for b in solution.design.bands if b.name in names)


def _laid(way: Direction, stops: list[tuple[str, str]], laid: tuple[str, ...]) -> Direction:
    """Return the wheel with the pulleys of some stops, by band and pulley, changed for others."""
    to = dict(zip(stops, laid, strict=True))
    bands = tuple(
        replace(
            band,
            route=tuple(replace(s, pulley=to.get((band.name, s.pulley), s.pulley))
                        for s in band.route),
        )
        for band in way.design.bands
    )  # fmt: skip
    told = [(f"{band}.route", old, new) for (band, old), new in to.items() if new != old]
    return Direction(replace(way.design, bands=bands), (*way.changes, *told))
