"""Kinds of change that a remedy may try on shape and place, each from an amount to its edits.

Amounts are in millimetres unless an adjustment says otherwise. What it yields are edits rounded as
they are told, so that the remedy that is read is the one that was tried.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial

from wheelgeo.check.edits import Edit, edit
from wheelgeo.design.model import Band, Case, Design, Pulley, Relative, Shaft
from wheelgeo.design.rods import thicker_rods_mm
from wheelgeo.geometry.groove import Growth
from wheelgeo.geometry.vectors import Vector, cross, dot, norm, scale, sub, unit
from wheelgeo.immutable import dataclass
from wheelgeo.units.quantity import INCHES
from wheelgeo.units.written import MM_PER_INCH

Edits = tuple[Edit, ...]

_PARALLEL = 1e-9
_DIGITS = 3
_MARKED_DIGITS = 1
"""Digits of a move, mm, that a pencil can mark."""
_MARKED_IN = 1.0 / 64.0
"""The part of an inch that a pencil can mark along a tape."""
_ROD_STEP_MM = 0.5
"""What the next thicker rod counts as, beside other changes."""
_PART = 1e-6
"""So little of a step is none."""


@dataclass(frozen=True)
class Adjustment:
    """One kind of change, by any amount.

    Attributes:
        edits: returns the edits of an amount; None where the amount makes no sense.
        most: largest amount worth trying.
        step: amounts are whole multiples of it.
        moves: it moves a part by so many millimetres: of several such that mend a finding, nobody
            wants one that is many times as large as another.
        back: the same the other way; None where it goes one way alone.
        spare: so much more of it is named than would just do, where that does as well: set down
            amiss by less it still does.
    """

    edits: Callable[[float], Edits | None]
    most: float
    step: float = 0.1
    moves: bool = False
    back: Adjustment | None = None
    spare: float = 0.0

    @property
    def spare_steps(self) -> int:
        """What is spare in steps, one at least where anything is."""
        return math.ceil(self.spare / self.step - _PART)


def either_way(towards: Callable[[float], Adjustment]) -> Adjustment:
    """Return an adjustment that goes both ways.

    Args:
        towards: returns it for one way, +1.0 or -1.0.
    """
    return replace(towards(1.0), back=towards(-1.0))


def a_move(design: Design, adjustment: Adjustment) -> Adjustment:
    """Return an adjustment as one that moves a part, by half a mark more than would just do."""
    mark = _MARKED_IN * MM_PER_INCH if design.unit in INCHES else 10.0**-_MARKED_DIGITS
    return replace(adjustment, moves=True, spare=0.5 * mark)


def a_size(adjustment: Adjustment) -> Adjustment:
    """Return an adjustment as one of what is cut, by half a step more than would just do."""
    return replace(adjustment, spare=0.5 * adjustment.step)


def only(*edits: Edit, amount: float = 1.0) -> Adjustment:
    """Return the adjustment that has but one amount; the less that is, the sooner it is named."""
    return Adjustment(lambda _: edits, amount, amount)


def coaxial(a: Shaft, b: Shaft) -> bool:
    """Tell whether two shafts share one axis (a bobbin that runs on a flyer)."""
    parallel = norm(cross(a.axis, b.axis)) < _PARALLEL
    return parallel and norm(cross(sub(b.at_mm, a.at_mm), a.axis)) < 1e-6


def by_steps(
    design: Design,
    where: tuple[str, str, str],
    start: float,
    sign: float,
    most: float,
    step: float = 0.1,
    digits: int = 2,
    least: float = -math.inf,
) -> Adjustment:
    """Return the adjustment that makes one number larger or smaller.

    Args:
        design: the wheel.
        where: kind of part, its name, and the number's name.
        start: what the number is.
        sign: +1 for larger, -1 for smaller.
        most: largest amount worth trying.
        step: amounts are whole multiples of it.
        digits: decimals to which the new number is rounded.
        least: the number makes no sense below it.
    """

    def edits(amount: float) -> Edits | None:
        value = round(start + sign * amount, digits)
        return (edit(design, *where, value),) if value >= least else None

    return Adjustment(edits, most, step)


def thicker_rod(design: Design, name: str, most: float) -> Adjustment:
    """Take a thicker rod for a shaft, of those that are sold.

    Args:
        design: the wheel.
        name: the shaft.
        most: how many times as thick it may become.
    """
    rod = design.shaft(name).diameter_mm
    sizes = thicker_rods_mm(rod, most * rod, design.unit)

    def edits(amount: float) -> Edits:
        return (edit(design, "shaft", name, "diameter", sizes[round(amount / _ROD_STEP_MM) - 1]),)

    return Adjustment(edits, _ROD_STEP_MM * len(sizes), _ROD_STEP_MM)


def _shift_pulley(design: Design, name: str, most: float, sign: float) -> Adjustment:
    """Shift a pulley along its shaft, along the axis (+1) or against it (-1)."""
    start = design.pulley(name).offset_mm
    shift = by_steps(design, ("pulley", name, "offset"), start, sign, most, digits=_DIGITS)
    return a_move(design, shift)


def shift_either_way(design: Design, *names: str, most: float = 60.0) -> Iterator[Adjustment]:
    """Yield the shifts of pulleys along their shafts, both ways."""
    for name in names:
        yield either_way(partial(_shift_pulley, design, name, most))


def shift_band(design: Design, name: str) -> Adjustment:
    """Shift every pulley of a band along its shaft, either way; for a band on parallel shafts."""
    return either_way(partial(_shift_band, design, name))


def _shift_band(design: Design, name: str, sign: float) -> Adjustment:
    stops = dict.fromkeys(s.pulley for s in design.band(name).route)

    def edits(amount: float) -> Edits:
        return tuple(
            edit(design, "pulley", stop, "offset",
                 round(design.pulley(stop).offset_mm + sign * amount, _DIGITS))
            for stop in stops
        )  # fmt: skip

    return a_move(design, Adjustment(edits, 60.0))


def move_apart(design: Design, moving: str, fixed: str) -> Iterator[Adjustment]:
    """Yield the way to move one shaft away from another; none where they share one axis."""
    a, b = design.shaft(fixed), design.shaft(moving)
    direction = _apart(a, b)
    if direction is not None:
        most = 2.0 * (200.0 + norm(sub(b.at_mm, a.at_mm)))
        yield move_along(design, moving, direction, most)


def move_along(design: Design, moving: str, direction: Vector, most: float) -> Adjustment:
    """Move a shaft, and those on its axis with it, along a unit vector."""
    carried = [s for s in design.shafts if coaxial(s, design.shaft(moving))]

    def edits(amount: float) -> Edits:
        return tuple(
            edit(design, "shaft", s.name, "at", _moved(s.at_mm, direction, amount)) for s in carried
        )

    # a step askew to the axes may be lost where each is rounded
    askew = 1.0 / max(map(abs, direction))
    move = a_move(design, Adjustment(edits, most))
    return replace(move, spare=askew * move.spare)


def _moved(at_mm: Vector, direction: Vector, amount: float) -> Vector:
    """Return a place moved by so much, along each of the axes by what can be marked on wood."""
    x, y, z = (
        round(a + round(amount * d, _MARKED_DIGITS), _DIGITS)
        for a, d in zip(at_mm, direction, strict=True)
    )
    return (x, y, z)


def _apart(a: Shaft, b: Shaft) -> Vector | None:
    """Return the unit vector away from a to b, across both axes; None for one common axis."""
    between = sub(b.at_mm, a.at_mm)
    normal = cross(a.axis, b.axis)
    if norm(normal) > _PARALLEL:
        direction = unit(normal)
        return direction if dot(direction, between) >= 0.0 else scale(direction, -1.0)
    planar = sub(between, scale(a.axis, dot(between, a.axis)))
    return unit(planar) if norm(planar) > 1e-9 else None


def open_mouth(design: Design, name: str) -> Iterator[Adjustment]:
    """Yield the way to open a groove's mouth: the angle of a vee, the radius of a round one."""
    pulley = design.pulley(name)
    yield from _growing(design, pulley, pulley.groove.opening)


def room_for_cord(design: Design, name: str) -> Iterator[Adjustment]:
    """Yield the ways to make a groove larger for its cord."""
    pulley = design.pulley(name)
    yield from _growing(design, pulley, pulley.groove.room)


def _growing(design: Design, pulley: Pulley, growth: Growth | None) -> Iterator[Adjustment]:
    """Yield the way to let a size of a groove grow; that of a layered pulley is its sheets'."""
    if growth is not None and pulley.build != "layers":
        place = ("pulley", pulley.name, growth.number)
        yield a_size(by_steps(
            design, place, growth.start, 1.0, growth.most, step=growth.step, digits=growth.digits
        ))  # fmt: skip


def larger_rim(design: Design, name: str) -> Iterator[Adjustment]:
    """Yield the way to make a pulley larger, its groove unchanged; the ratio changes with it."""
    groove = design.pulley(name).groove
    place = ("pulley", name, groove.size_name)
    yield a_size(by_steps(design, place, groove.size_mm, 1.0, 200.0))


def smaller_rim(design: Design, name: str) -> Iterator[Adjustment]:
    """Yield the way to make a pulley smaller, its groove unchanged; the ratio changes with it."""
    groove = design.pulley(name).groove
    if groove.can_be_cut:
        least, rim = 2.0 * groove.deep_mm + 2.0, groove.size_mm
        yield a_size(by_steps(design, ("pulley", name, "rim"), rim, -1.0, rim, least=least))


def grown(design: Design, name: str, by_mm: float) -> Adjustment:
    """Give a pulley another size, larger by so much on the diameter, or by up to 2 mm more."""
    groove = design.pulley(name).groove

    def edits(amount: float) -> Edits:
        grown_mm = round(groove.size_mm + by_mm + 0.1 * (amount - 1.0), _DIGITS)
        return (edit(design, "pulley", name, groove.size_name, grown_mm),)

    return a_size(Adjustment(edits, 21.0, 1.0))


def thinner_cord(design: Design, name: str) -> Adjustment:
    """Take a thinner cord for a band."""
    cord = design.band(name).diameter_mm
    return by_steps(design, ("band", name, "diameter"), cord, -1.0, cord, step=0.05, least=0.3)


def other_run(design: Design, band: Band) -> Iterator[Adjustment]:
    """Yield the way to cross or uncross a band of two, or lead its other run over the second."""
    if len(band.route) != 2:
        return
    last = band.route[1]
    turns: Relative = "with" if last.turns == "against" else "against"
    if parallel_band(design, band) and band.crossed == (last.turns == "against"):
        yield only(edit(design, "band", band.name, "crossed", turns == "against"))
    else:
        route = (band.route[0], replace(last, turns=turns))
        yield only(edit(design, "band", band.name, "route", route))


def parallel_band(design: Design, band: Band) -> bool:
    """Tell whether a band of two pulleys runs between parallel shafts."""
    a, b = (design.shaft(design.pulley(s.pulley).shaft) for s in band.route[:2])
    return norm(cross(a.axis, b.axis)) < _PARALLEL


def larger_case(design: Design, case: Case, low: Vector, high: Vector) -> Adjustment:
    """Make the case larger by so much at its low and at its high sides, or by up to 12 mm more."""

    def edits(amount: float) -> Edits:
        lower, higher = ([by and by + amount - 1.0 for by in side] for side in (low, high))
        corner = tuple(round(c - by, 1) for c, by in zip(case.corner_mm, lower, strict=True))
        inside = tuple(
            round(size + by + more, 1)
            for size, by, more in zip(case.inside_mm, lower, higher, strict=True)
        )
        size = edit(design, "case", "", "inside", inside)
        return (size, edit(design, "case", "", "corner", corner)) if any(low) else (size,)

    return Adjustment(edits, 13.0, 1.0)


def other_crank(design: Design) -> Adjustment:
    """Set the plane of the crank higher or lower along its shaft."""
    return either_way(partial(_other_crank, design))


def _other_crank(design: Design, sign: float) -> Adjustment:
    start, place = design.drive.offset_mm or 0.0, ("drive", "", "offset")
    return a_move(design, by_steps(design, place, start, sign, 200.0, step=0.5, digits=_DIGITS))


def shorter_crank(design: Design) -> Iterator[Adjustment]:
    """Yield the way to shorten the crank."""
    radius = design.drive.radius_mm
    if radius is not None:
        place = ("drive", "", "radius")
        yield a_size(by_steps(design, place, radius, -1.0, radius, digits=1, least=15.0))
