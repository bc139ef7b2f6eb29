"""Every body and run of a wheel, where the file has its slides and at both ends of their travel."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import field, replace
from functools import cached_property
from typing import TYPE_CHECKING

from wheelgeo.built.as_built import Built, build
from wheelgeo.built.bodies import ARM_HALF_MM, at_share, bodies, crank_plane_mm, out_of_crank
from wheelgeo.built.body import BuiltBody
from wheelgeo.built.held import CRANK_MM
from wheelgeo.drive.train import solve_drive
from wheelgeo.geometry.boxes import Solid
from wheelgeo.geometry.convex import Capsule, Cylinder
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass

if TYPE_CHECKING:
    from wheelgeo.design.model import Design

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
        design: the wheel with its shafts there.
        bodies: the bodies; a crank is the disc that it sweeps.
    """

    says: str
    design: Design = field(repr=False)
    bodies: tuple[BuiltBody, ...]

    @cached_property
    def runs(self) -> tuple[tuple[str, Solid, frozenset[str]], ...]:
        """Each run: what to call it, its body, the shafts of the two pulleys that it serves."""
        return tuple(_runs(self.design))


class Placements:
    """The placements of a wheel: as the file has it and, where it slides, at both ends.

    Each is worked out when somebody comes to it: who looks for the first collision alone need not
    wait for the others.

    Args:
        design: the wheel.
        limit_of_hand: room outside the crank's circle and height of the hand, mm.
    """

    def __init__(self, design: Design, limit_of_hand: tuple[float, float]) -> None:
        self._design, self._hand = design, limit_of_hand
        self._ways: list[tuple[float | None, str]] = [(None, "")]
        if any(s.slide is not None for s in design.shafts):
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
                here = self._design if share is None else at_share(self._design, share)
                self._found.append(_placed(here, says, self._hand))
            yield self._found[number]


def packed(design: Design) -> Placement:
    """Return a wheel's bodies with the lid on."""
    return Placement("packed", design, bodies(build(design), packed=True))


def _placed(design: Design, says: str, hand: tuple[float, float]) -> Placement:
    built = build(design)
    whole = tuple(_swept(built, body) for body in bodies(built))
    swept = tuple(_hand(built, whole, hand))
    return Placement(says, design, (*whole, *swept))


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


def _runs(design: Design) -> Iterator[tuple[str, Solid, frozenset[str]]]:
    for motion in solve_drive(design).bands:
        if motion.path is None:
            continue
        names = [s.pulley for s in motion.band.route]
        for run in motion.path.runs:
            ends = names[run.first], names[run.second]
            shafts = frozenset(design.pulley(name).shaft for name in ends)
            says = f'run of "{motion.band.name}" from "{ends[0]}" to "{ends[1]}"'
            yield says, Capsule(run.start_mm, run.end_mm, 0.5 * motion.band.diameter_mm), shafts
