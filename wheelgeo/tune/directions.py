"""The ways to make a wheel spin in the wanted direction.

A spindle that turns clockwise as seen from the yarn makes Z. Where it turns the other way, the
hand may turn the other way, or one band of the power path may be crossed (uncrossed), or led the
other way over its second pulley where the shafts stand at an angle.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import TypeVar

from wheelgeo.design.model import Band, Design, Relative, Turning
from wheelgeo.design.twist import direction
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.vectors import cross, norm
from wheelgeo.immutable import dataclass
from wheelgeo.tune.remakes import bobbins_own_band, power_path

_Made = TypeVar("_Made")


@dataclass(frozen=True)
class Direction:
    """One way to spin in the wanted direction.

    Attributes:
        design: the wheel that does.
        changes: what is not as it was: what, before, after.
    """

    design: Design
    changes: tuple[tuple[str, str, str], ...] = ()

    def changes_as(self, make: Callable[[str, str, str, str], _Made]) -> list[_Made]:
        """Return each change as ``make(what, before, after, unit)``; words have no unit."""
        return [make(what, before, after, "") for what, before, after in self.changes]


def directions(design: Design) -> tuple[Direction, ...]:
    """Return the ways to get the yarn's direction of twist: the wheel itself where it has it."""
    speed = solve_drive(design).spindle.speed_rpm
    if design.yarn is None or speed is None or direction(speed) == design.yarn.twist:
        return (Direction(design),)
    return (_hand(design), *_bands(design))


def _hand(design: Design) -> Direction:
    before = design.drive.turns
    after: Turning = "clockwise" if before == "counter-clockwise" else "counter-clockwise"
    changed = replace(design, drive=replace(design.drive, turns=after))
    return Direction(changed, (("drive.turns", before, after),))


def _bands(design: Design) -> Iterator[Direction]:
    solution = solve_drive(design)
    path, beside = power_path(solution), bobbins_own_band(solution)
    for link in path:
        band = design.band(link.band)
        if len(band.route) != 2:
            continue
        way = _led_otherwise(design, band)
        if link == path[-1] and beside is not None:
            # A bobbin with a band of its own is turned with the flyer, or winds nothing on.
            other = _led_otherwise(way.design, design.band(beside))
            way = Direction(other.design, (*way.changes, *other.changes))
        yield way


def _led_otherwise(design: Design, band: Band) -> Direction:
    first, last = band.route
    before = last.turns
    after: Relative = "with" if before == "against" else "against"
    crossed = after == "against" and _parallel(design, band)
    changed = replace(band, route=(first, replace(last, turns=after)), crossed=crossed)
    bands = tuple(changed if b.name == band.name else b for b in design.bands)
    change: tuple[str, str, str] = (f"{band.name}.{last.pulley}.turns", before, after)
    if _parallel(design, band):
        words = {"against": "crossed", "with": "open"}
        change = (f"{band.name}.crossed", words[before], words[after])
    return Direction(replace(design, bands=bands), (change,))


def _parallel(design: Design, band: Band) -> bool:
    one, other = (design.shaft(design.pulley(s.pulley).shaft) for s in band.route)
    return norm(cross(one.axis, other.axis)) < 1e-9
