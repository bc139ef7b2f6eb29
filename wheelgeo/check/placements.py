"""Every body and run of a wheel, where the file has its slides and at both ends of their travel."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator
from dataclasses import field, replace
from functools import cached_property, partial

from wheelgeo.built.as_built import Built, build
from wheelgeo.built.bodies import at_share, bodies, bodies_named
from wheelgeo.built.body import BuiltBody
from wheelgeo.built.crank_arm import ARM_HALF_MM, crank_plane_mm, out_of_crank
from wheelgeo.built.held import CRANK_MM
from wheelgeo.built.kept import KeptOf
from wheelgeo.check.run_bodies import run_bodies
from wheelgeo.design.model import Design
from wheelgeo.drive.train import Solution, pitch_circles, try_path
from wheelgeo.geometry.convex import Capsule, Cylinder
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass

STILL = frozenset(
    {"floor", "wall", "lid", "foot", "block", "bridge", "support", "slide", "post", "maiden",
     "mother-of-all", "bed", "table", "leg", "trestle foot", "hinge rail",
     "bearing"}
)  # fmt: skip
"""Kinds of body that do not turn or swing."""
Run = tuple[str, Capsule, frozenset[str]]
"""What to call a run, its body, the shafts of the two pulleys that it serves."""
_SWEEPS = frozenset({"crank", "hand"})
"""Bodies that stand here for what they sweep."""
_SWEPT: KeptOf[tuple[BuiltBody, ...]] = KeptOf(64)


@dataclass(frozen=True)
class Placement:
    """A wheel's bodies and the runs of its bands at one place of its slides.

    Attributes:
        says: where the slides stand, in words; empty: where the file has them.
        built: the wheel there.
        whole: returns its bodies.
        led: returns the runs of its bands there.
    """

    says: str
    built: Built = field(repr=False, compare=False)
    whole: Callable[[], tuple[BuiltBody, ...]] = field(repr=False, compare=False)
    led: Callable[[], Iterable[Run]] = field(repr=False, compare=False)

    @cached_property
    def bodies(self) -> tuple[BuiltBody, ...]:
        """The bodies; a crank is the disc that it sweeps."""
        return self.whole()

    def named(self, names: Collection[str]) -> tuple[BuiltBody, ...]:
        """Return the bodies of some names, of which most are known before all of them are."""
        if "bodies" not in vars(self) and not _SWEEPS.intersection(names):
            return bodies_named(self.built, names)
        return tuple(body for body in self.bodies if body.name in names)

    @cached_property
    def runs(self) -> tuple[Run, ...]:
        """Each run: what to call it, its body, the shafts of the two pulleys that it serves."""
        return tuple(self.led())


class Placements:
    """The placements of a wheel: as the file has it and, where it slides, at both ends.

    Each is worked out when somebody comes to it: who looks for the first collision alone need not
    wait for the others.

    Args:
        solution: the solved wheel.
        limit_of_hand: room outside the crank's circle and height of the hand, mm.
    """

    def __init__(self, solution: Solution, limit_of_hand: tuple[float, float]) -> None:
        self._solution, self._hand = solution, limit_of_hand
        self._ways: list[tuple[float | None, str]] = [(None, "")]
        if any(s.slide is not None for s in solution.design.shafts):
            self._ways += [(0.0, ", slid to its start"), (1.0, ", slid to its end")]
        self._found: list[Placement] = []

    @property
    def as_in_file(self) -> Placement:
        """Where the file has its slides."""
        return next(iter(self))

    def __iter__(self) -> Iterator[Placement]:
        """Yield the placements in order."""
        for number, (share, says) in enumerate(self._ways):
            if number == len(self._found):
                self._found.append(self._placed(share, says))
            yield self._found[number]

    def _placed(self, share: float | None, says: str) -> Placement:
        built = self._solution.built
        if share is not None:
            built = build(at_share(built.design, share))
        led = partial(_runs, self._solution, built.design)
        return Placement(says, built, partial(self._sweeping, built), led)

    def _sweeping(self, built: Built) -> tuple[BuiltBody, ...]:
        """Return the bodies of a wheel, of its crank and the hand on it what they sweep."""
        whole = bodies(built)
        place = next((i for i, body in enumerate(whole) if body.kind == "crank"), None)
        plane, radius = crank_plane_mm(built), built.design.drive.radius_mm
        if place is not None and plane is not None and radius is not None:
            # a crank is the disc that it sweeps
            swept, *hand = _SWEPT.get(
                (whole[place], built.shafts[built.design.drive.shaft]),
                lambda: _swept(built, whole[place], plane, radius, self._hand),
                plane, radius, *self._hand,
            )  # fmt: skip
            whole = (*whole[:place], swept, *whole[place + 1 :], *hand)
        return whole


def packed(solution: Solution) -> Placement:
    """Return a wheel's bodies with the lid on."""
    built = solution.built
    return Placement("packed", built, lambda: bodies(built, packed=True), lambda: ())


def _swept(
    built: Built, crank: BuiltBody, plane: float, radius: float, hand: tuple[float, float]
) -> tuple[BuiltBody, ...]:
    """Return a crank as the disc that it sweeps, and what a hand on it sweeps, outward of the arm.

    Args:
        built: the wheel.
        crank: its crank.
        plane: where the crank turns along its shaft, mm.
        radius: its throw, mm.
        hand: room outside the crank's circle, and height of the hand, mm.
    """
    drive = built.design.drive
    shaft = built.design.shaft(drive.shaft)
    centre = along(shaft.at_mm, shaft.axis, plane)
    disc = Cylinder(centre, shaft.axis, radius + ARM_HALF_MM, 0.5 * CRANK_MM)
    swept = replace(crank, pieces=(disc,))
    if drive.by != "crank":
        return (swept,)
    room, height = hand
    beyond = out_of_crank(built) * (0.5 * CRANK_MM + 0.5 * height)
    middle = along(shaft.at_mm, shaft.axis, plane + beyond)
    round_it = Cylinder(middle, shaft.axis, radius + room, 0.5 * height)
    return swept, replace(swept, name="hand", kind="hand", pieces=(round_it,))


def _runs(solution: Solution, design: Design) -> Iterator[Run]:
    """Yield the runs of a wheel's bands with its shafts where a design of it has them."""
    for motion in solution.bands:
        path, band = motion.path, motion.band
        if design is not solution.design:
            first = motion.senses[0] * (1 if band.route[0].turns == "with" else -1)
            path, _ = try_path(pitch_circles(design, band, motion.seats, first))
        if path is not None:
            shafts = [design.pulley(stop.pulley).shaft for stop in band.route]
            for run, (says, body) in zip(path.runs, run_bodies(path, band), strict=True):
                yield says, body, frozenset((shafts[run.first], shafts[run.second]))
