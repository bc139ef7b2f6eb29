"""What keeps an endless band on the rods that it goes round, and what of that is left.

A band comes off when at each of its shafts one end, beyond its pulley, is free of everything that
holds the rod, and of every other band that goes round it and is still on.
"""

from __future__ import annotations

from collections.abc import Container, Iterator, Mapping, Sequence

from wheelgeo.built.as_built import Built
from wheelgeo.built.drawn_out import Unit, coaxial, open_hole
from wheelgeo.built.kept import KeptOf
from wheelgeo.design.model import Shaft
from wheelgeo.geometry.vectors import dot, sub
from wheelgeo.immutable import dataclass

WIDEST_MM = 60.0
"""A hole of a larger radius holds no rod."""
_HOLES: KeptOf[tuple[tuple[float, bool], ...]] = KeptOf(1024)


Holder = tuple[str, bool, bool, bool]
"""What holds a rod, as a band round it finds it: its unit's name, whether it stands before all of
the band's grooves on the rod or beyond all of them, and whether the rod can be lifted out of it."""


@dataclass(frozen=True)
class RoundRod:
    """A band round one rod.

    Attributes:
        rod: name of the rod's unit; of a sleeve that of the rod under it.
        shaft: the shaft that it goes round.
        holders: what holds the rod, in the order of the units.
        beside: other bands round the rod that lie before all of its grooves (True) or beyond them.
    """

    rod: str
    shaft: str
    holders: tuple[Holder, ...]
    beside: tuple[tuple[str, bool], ...]


@dataclass(frozen=True)
class BandOn:
    """A band as it lies on its wheel.

    Attributes:
        name: its name.
        pulleys: those that it lies on.
        rods: the rods that it goes round.
    """

    name: str
    pulleys: frozenset[str]
    rods: tuple[RoundRod, ...]

    @property
    def shafts(self) -> tuple[str, ...]:
        """The shafts that it goes round."""
        return tuple([rod.shaft for rod in self.rods])

    def kept_by(self, units: Container[str], bands: Container[str]) -> Iterator[str]:
        """Yield what keeps it on: holders, or bands, beyond it at both ends of a rod.

        Args:
            units: names of the units that are left.
            bands: names of the bands that are still on.
        """
        for rod in self.rods:
            held = [h for h in rod.holders if h[0] in units]
            # an open half is no way past either where another keeps its rod from being lifted
            if all(is_open for *_, is_open in held):
                held = []
            below = [unit for unit, before, *_ in held if before]
            above = [unit for unit, before, *_ in held if not before]
            # A band cannot pass another that goes round the same rod and on to a second one. Two
            # whose grooves lie among one another here are left to their order on the other rods.
            for other, before in rod.beside:
                if other in bands:
                    (below if before else above).append(other)
            if below and above:
                yield from dict.fromkeys(above if len(above) <= len(below) else below)

    def lifted(self, units: Container[str]) -> tuple[str, ...]:
        """Return the rods that lie in open holders on both sides of it, which it cannot pass."""
        found = []
        for rod in self.rods:
            are_open = [h for h in rod.holders if h[3] and h[0] in units]
            if any(h[1] for h in are_open) and any(h[2] for h in are_open):
                found.append(rod.rod)
        return tuple(dict.fromkeys(found))


def bands_on(built: Built, units: Sequence[Unit]) -> tuple[BandOn, ...]:
    """Return every band of a wheel as it lies on it, in the order of the file.

    Args:
        built: the wheel.
        units: all its units.
    """
    routes = {b.name: frozenset(stop.pulley for stop in b.route) for b in built.design.bands}
    # a slack band is lifted over a whorl
    with_holes = [u for u in units if u.kind not in ("rod", "wheel", "whorl") and u.may_hold_rods]
    holders: dict[str, list[tuple[str, float, bool]]] = {}
    on_rod: dict[str, list[tuple[str, float]]] = {}
    for name, made in built.pulleys.items():
        for rod in dict.fromkeys((made.shaft.name, made.shaft.runs_on or made.shaft.name)):
            on_rod.setdefault(rod, []).append((name, made.pulley.offset_mm))
    found = []
    for band in built.design.bands:
        rods = []
        for shaft in dict.fromkeys(built.design.pulley(s.pulley).shaft for s in band.route):
            at = built.design.shaft(shaft)
            if shaft not in holders:
                holders[shaft] = [(u.name, *hole) for u in with_holes for hole in _holes(at, u)]
            beside_it = on_rod[at.runs_on or shaft]
            own = _places(beside_it, routes[band.name])
            least, most = min(own), max(own)
            holding = [(name, place < least, place > most, is_open)
                       for name, place, is_open in holders[shaft]]  # fmt: skip
            rods.append(RoundRod(
                f"rod {at.runs_on or shaft}", shaft, tuple(holding),
                tuple(_beside(beside_it, routes, band.name)),
            ))  # fmt: skip
        found.append(BandOn(band.name, routes[band.name], tuple(rods)))
    return tuple(found)


def _beside(
    on_rod: Sequence[tuple[str, float]], routes: Mapping[str, frozenset[str]], band: str
) -> Iterator[tuple[str, bool]]:
    own = _places(on_rod, routes[band])
    for other, pulleys in routes.items():
        there = _places(on_rod, pulleys) if other != band else []
        if there and max(there) < min(own):
            yield other, True
        elif there and min(there) > max(own):
            yield other, False


def _places(on_rod: Sequence[tuple[str, float]], pulleys: frozenset[str]) -> list[float]:
    """Return where a band's grooves lie along a rod, on sleeves that turn on it too, mm.

    From the ``at`` of the rod, which is that of its sleeves.
    """
    return [offset for name, offset in on_rod if name in pulleys]


def _holes(shaft: Shaft, unit: Unit) -> tuple[tuple[float, bool], ...]:
    """Return where a unit holds a rod: the place along it, mm, and whether it is open there."""
    line = shaft.at_mm, shaft.axis

    def on_the_line() -> tuple[tuple[float, bool], ...]:
        halves = [open_hole(body) for body in unit.parts]
        return tuple([
            (dot(sub(point, line[0]), line[1]), hole in halves)
            for hole in (*unit.holes, *(h for h in halves if h is not None))
            for point, along, radius in (hole,)
            if coaxial(line, (point, along)) and radius <= WIDEST_MM
        ])  # fmt: skip

    return _HOLES.get((unit,), on_the_line, *line)
