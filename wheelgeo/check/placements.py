"""Every body and run of a wheel, where the file has its slides and at both ends of their travel."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import field, replace
from functools import cached_property, partial

from wheelgeo.built.as_built import Built, build
from wheelgeo.built.bodies import at_share, bodies
from wheelgeo.built.body import BuiltBody
from wheelgeo.built.crank_arm import ARM_HALF_MM, crank_plane_mm, out_of_crank
from wheelgeo.built.held import CRANK_MM
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.geometry.boxes import Solid
from wheelgeo.geometry.convex import Capsule, Cylinder
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass

STILL = frozenset(
    {"floor", "wall", "lid", "foot", "block", "bridge", "support", "slide", "post", "maiden",
     "mother-of-all", "bed", "table", "leg", "trestle foot", "hinge rail",
     "bearing"}
)  # fmt: skip
"""Kinds of body that do not turn or swing."""


@dataclass(frozen=True)
class Placement:
    """A wheel's bodies and the runs of its bands at one place of its slides.

    Attributes:
        says: where the slides stand, in words; empty: where the file has them.
        bodies: the bodies; a crank is the disc that it sweeps.
        solved: returns the solved drive with its shafts there.
    """

    says: str
    bodies: tuple[BuiltBody, ...]
    solved: Callable[[], Solution] = field(repr=False, compare=False)

    @cached_property
    def runs(self) -> tuple[tuple[str, Solid, frozenset[str]], ...]:
        """Each run: what to call it, its body, the shafts of the two pulleys that it serves."""
        return tuple(_runs(self.solved()))


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
            self._ways += [(0.0, ", slid to its from"), (1.0, ", slid to its to")]
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
        if share is None:
            built, solved = self._solution.built, lambda: self._solution
        else:
            built = build(at_share(self._solution.design, share))
            solved = partial(solve_drive, built)
        whole = tuple(_swept(built, body) for body in bodies(built))
        return Placement(says, (*whole, *_hand(built, whole, self._hand)), solved)


def packed(solution: Solution) -> Placement:
    """Return a wheel's bodies with the lid on."""
    return Placement("packed", bodies(solution.built, packed=True), lambda: solution)


def _swept(built: Built, body: BuiltBody) -> BuiltBody:
    """Return a crank as the disc that it sweeps; everything else as it is."""
    plane, radius = crank_plane_mm(built), built.design.drive.radius_mm
    if body.kind != "crank" or plane is None or radius is None:
        return body
    shaft = built.design.shaft(built.design.drive.shaft)
    centre = along(shaft.at_mm, shaft.axis, plane)
    disc = Cylinder(centre, shaft.axis, radius + ARM_HALF_MM, 0.5 * CRANK_MM)
    return replace(body, pieces=(disc,))


def _hand(
    built: Built, whole: tuple[BuiltBody, ...], limits: tuple[float, float]
) -> Iterator[BuiltBody]:
    """Yield the room that the hand on a crank sweeps, outward of the arm."""
    plane, drive = crank_plane_mm(built), built.design.drive
    if drive.by != "crank" or plane is None or drive.radius_mm is None:
        return
    room, height = limits
    out = out_of_crank(built)
    shaft = built.design.shaft(drive.shaft)
    middle = along(shaft.at_mm, shaft.axis, plane + out * (0.5 * CRANK_MM + 0.5 * height))
    sweep = Cylinder(middle, shaft.axis, drive.radius_mm + room, 0.5 * height)
    crank = next(b for b in whole if b.kind == "crank")
    yield replace(crank, name="hand", kind="hand", pieces=(sweep,))


def _runs(solution: Solution) -> Iterator[tuple[str, Solid, frozenset[str]]]:
    for motion in solution.bands:
        if motion.path is None:
            continue
        names = [s.pulley for s in motion.band.route]
        for run in motion.path.runs:
            ends = names[run.first], names[run.second]
            shafts = frozenset(solution.design.pulley(name).shaft for name in ends)
            says = f'run of "{motion.band.name}" from "{ends[0]}" to "{ends[1]}"'
            yield says, Capsule(run.start_mm, run.end_mm, 0.5 * motion.band.diameter_mm), shafts
