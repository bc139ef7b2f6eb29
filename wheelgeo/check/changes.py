"""Changes that a remedy may name: each a *way*, from an amount to a changed wheel and its words.

Amounts are in millimetres unless a way says otherwise. The numbers that a way puts into words are
the numbers that it puts into the design, rounded alike, so that the printed remedy is the one that
was tried.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from wheelgeo.check.finding import plain
from wheelgeo.design.model import (
    Band,
    Case,
    Design,
    FlatRim,
    GivenPitch,
    Groove,
    Pulley,
    Relative,
    RoundGroove,
    Shaft,
    VeeGroove,
)
from wheelgeo.geometry.vectors import Vector, add, cross, dot, norm, scale, sub, unit

_PARALLEL = 1e-9
_DIGITS = 3


@dataclass(frozen=True, slots=True)
class Change:
    """A changed wheel, and the words that tell a person to change it so."""

    says: str
    design: Design


@dataclass(frozen=True, slots=True)
class Way:
    """One kind of change, by any amount.

    Attributes:
        make: returns the change of an amount; None where the amount makes no sense.
        most: largest amount worth trying.
        step: amounts are whole multiples of it.
    """

    make: Callable[[float], Change | None]
    most: float
    step: float = 0.1


def only(says: str, design: Design) -> Way:
    """Return the way that has but one amount."""
    return Way(lambda _: Change(says, design), 1.0, 1.0)


def with_pulley(design: Design, name: str, **fields: Any) -> Design:
    """Return a wheel with other fields in one pulley."""
    pulleys = (replace(p, **fields) if p.name == name else p for p in design.pulleys)
    return replace(design, pulleys=tuple(pulleys))


def with_band(design: Design, changed: Band) -> Design:
    """Return a wheel with another band in place of the one of that name."""
    bands = tuple(changed if b.name == changed.name else b for b in design.bands)
    return replace(design, bands=bands)


def coaxial(a: Shaft, b: Shaft) -> bool:
    """Tell whether two shafts share one axis (a bobbin that runs on a flyer)."""
    parallel = norm(cross(a.axis, b.axis)) < _PARALLEL
    return parallel and norm(cross(sub(b.at_mm, a.at_mm), a.axis)) < 1e-6


def shift_pulley(design: Design, name: str, sign: float, most: float = 60.0) -> Way:
    """Shift a pulley along its shaft, along the axis (+1) or against it (-1)."""
    pulley = design.pulley(name)

    def make(amount: float) -> Change:
        offset = round(pulley.offset_mm + sign * amount, _DIGITS)
        shift = f"{'+' if sign > 0 else '-'}{plain(amount)}"
        says = f'shift "{name}" by {shift} mm along its shaft (offset {plain(offset, _DIGITS)} mm)'
        return Change(says, with_pulley(design, name, offset_mm=offset))

    return Way(make, most)


def shift_either_way(design: Design, *names: str, most: float = 60.0) -> Iterator[Way]:
    """Yield the shifts of pulleys along their shafts, both ways."""
    for name in names:
        yield shift_pulley(design, name, 1.0, most)
        yield shift_pulley(design, name, -1.0, most)


def shift_band(design: Design, name: str, sign: float) -> Way:
    """Shift every pulley of a band along its shaft; for a band on parallel shafts."""
    stops = dict.fromkeys(s.pulley for s in design.band(name).route)

    def make(amount: float) -> Change:
        changed = design
        for stop in stops:
            offset = round(design.pulley(stop).offset_mm + sign * amount, _DIGITS)
            changed = with_pulley(changed, stop, offset_mm=offset)
        shift = f"{'+' if sign > 0 else '-'}{plain(amount)}"
        listed = " and ".join(f'"{stop}"' for stop in stops)
        return Change(f"shift {listed} by {shift} mm along their shafts", changed)

    return Way(make, 60.0)


def move_apart(design: Design, moving: str, fixed: str) -> Iterator[Way]:
    """Yield the way to move one shaft away from another; none where they share one axis."""
    a, b = design.shaft(fixed), design.shaft(moving)
    direction = _apart(a, b)
    if direction is None:
        return
    most = 2.0 * (200.0 + norm(sub(b.at_mm, a.at_mm)))
    yield _move_shaft(design, moving, direction, most, f'away from "{fixed}" ')


def move_along(design: Design, moving: str, direction: Vector, most: float) -> Way:
    """Move a shaft along a unit vector."""
    return _move_shaft(design, moving, direction, most, "")


def _move_shaft(design: Design, moving: str, direction: Vector, most: float, whither: str) -> Way:
    carried = [s.name for s in design.shafts if coaxial(s, design.shaft(moving))]

    def make(amount: float) -> Change:
        x, y, z = (round(amount * d, _DIGITS) for d in direction)
        shafts = tuple(
            replace(s, at_mm=add(s.at_mm, (x, y, z))) if s.name in carried else s
            for s in design.shafts
        )
        named = " and ".join(f'"{n}"' for n in carried)
        by = ", ".join(plain(c, _DIGITS) for c in (x, y, z))
        word = "shaft" if len(carried) == 1 else "shafts"
        says = f"move {word} {named} {plain(amount)} mm {whither}(by [{by}] mm)"
        return Change(says, replace(design, shafts=shafts))

    return Way(make, most)


def _apart(a: Shaft, b: Shaft) -> Vector | None:
    """Return the unit vector away from a to b, across both axes; None for one common axis."""
    between = sub(b.at_mm, a.at_mm)
    normal = cross(a.axis, b.axis)
    if norm(normal) > _PARALLEL:
        direction = unit(normal)
        return direction if dot(direction, between) >= 0.0 else scale(direction, -1.0)
    planar = sub(between, scale(a.axis, dot(between, a.axis)))
    return unit(planar) if norm(planar) > 1e-9 else None


def tilt_shaft(design: Design, name: str, axis: Vector, tilt_deg: float) -> Change:
    """Give a shaft another axis."""
    x, y, z = (round(c, 4) for c in axis)
    shafts = tuple(replace(s, axis=unit((x, y, z))) if s.name == name else s for s in design.shafts)
    listed = ", ".join(plain(c, 4) for c in (x, y, z))
    says = f'tilt shaft "{name}" by {tilt_deg:.1f}° (axis = [{listed}])'
    return Change(says, replace(design, shafts=shafts))


def _regroove(
    design: Design, pulley: Pulley, make: Callable[[float], tuple[str, Groove] | None]
) -> Callable[[float], Change | None]:
    def change(amount: float) -> Change | None:
        made = make(amount)
        if made is None:
            return None
        return Change(made[0], with_pulley(design, pulley.name, groove=made[1]))

    return change


def open_mouth(design: Design, name: str) -> Iterator[Way]:
    """Yield the way to open a groove's mouth: the angle of a vee, the radius of a round one."""
    pulley = design.pulley(name)
    groove = pulley.groove
    if pulley.build == "layers":
        return
    if isinstance(groove, VeeGroove):

        def wider(amount: float) -> tuple[str, Groove] | None:
            angle = round(groove.angle_deg + amount, 1)
            says = f'open the groove of "{name}" to angle {plain(angle)}°'
            return (says, replace(groove, angle_deg=angle)) if angle <= 90.0 else None

        yield Way(_regroove(design, pulley, wider), 60.0, 1.0)
    if isinstance(groove, RoundGroove):

        def rounder(amount: float) -> tuple[str, Groove]:
            radius = round(groove.radius_mm + amount, 2)
            says = f'open the groove of "{name}" to radius {plain(radius)} mm'
            return says, replace(groove, radius_mm=radius)

        yield Way(_regroove(design, pulley, rounder), groove.depth_mm, 0.1)


def room_for_cord(design: Design, name: str) -> Iterator[Way]:
    """Yield the ways to make a groove larger for its cord."""
    pulley = design.pulley(name)
    groove = pulley.groove
    if isinstance(groove, VeeGroove) and pulley.build != "layers":

        def deeper(amount: float) -> tuple[str, Groove] | None:
            depth = round(groove.depth_mm + amount, 2)
            says = f'cut the groove of "{name}" {plain(depth)} mm deep'
            return (says, replace(groove, depth_mm=depth)) if 2 * depth < groove.rim_mm else None

        yield Way(_regroove(design, pulley, deeper), groove.rim_mm, 0.1)
    if isinstance(groove, FlatRim) and pulley.build != "layers":

        def wider(amount: float) -> tuple[str, Groove]:
            width = round(groove.width_mm + amount, 2)
            says = f'make the rim of "{name}" {plain(width)} mm wide'
            return says, replace(groove, width_mm=width)

        yield Way(_regroove(design, pulley, wider), 20.0, 0.1)
    if isinstance(groove, RoundGroove) and pulley.build != "layers":

        def rounder(amount: float) -> tuple[str, Groove]:
            radius = round(groove.radius_mm + amount, 2)
            says = f'cut the groove of "{name}" to radius {plain(radius)} mm'
            return says, replace(groove, radius_mm=radius)

        yield Way(_regroove(design, pulley, rounder), 20.0, 0.05)


def larger_rim(design: Design, name: str) -> Iterator[Way]:
    """Yield the way to make a pulley larger, its groove unchanged; the ratio changes with it."""
    pulley = design.pulley(name)
    groove = pulley.groove

    def larger(amount: float) -> tuple[str, Groove]:
        if isinstance(groove, GivenPitch):
            pitch = round(groove.pitch_mm + amount, 2)
            return f'make "{name}" larger, pitch {plain(pitch)} mm', GivenPitch(pitch)
        rim = round(groove.rim_mm + amount, 2)
        return f'make "{name}" larger, rim {plain(rim)} mm', replace(groove, rim_mm=rim)

    yield Way(_regroove(design, pulley, larger), 200.0, 0.1)


def smaller_rim(design: Design, name: str) -> Iterator[Way]:
    """Yield the way to make a pulley smaller, its groove unchanged; the ratio changes with it."""
    pulley = design.pulley(name)
    groove = pulley.groove
    if isinstance(groove, GivenPitch):
        return
    depth = 0.0 if not isinstance(groove, VeeGroove | RoundGroove) else groove.depth_mm

    def smaller(amount: float) -> tuple[str, Groove] | None:
        rim = round(groove.rim_mm - amount, 2)
        if rim <= 2.0 * depth + 2.0:
            return None
        return f'make "{name}" smaller, rim {plain(rim)} mm', replace(groove, rim_mm=rim)

    yield Way(_regroove(design, pulley, smaller), groove.rim_mm, 0.1)


def thinner_cord(design: Design, name: str) -> Way:
    """Take a thinner cord for a band."""
    band = design.band(name)

    def make(amount: float) -> Change | None:
        cord = round(band.diameter_mm - amount, 2)
        if cord < 0.3:
            return None
        says = f'take a cord of {plain(cord)} mm for "{name}"'
        return Change(says, with_band(design, replace(band, diameter_mm=cord)))

    return Way(make, band.diameter_mm, 0.05)


def other_run(design: Design, band: Band) -> Iterator[Way]:
    """Yield the way to cross or uncross a band of two, or lead its other run over the second."""
    if len(band.route) != 2:
        return
    last = band.route[1]
    turns: Relative = "with" if last.turns == "against" else "against"
    parallel = parallel_band(design, band)
    route = (band.route[0], replace(last, turns=turns))
    changed = replace(band, route=route, crossed=parallel and turns == "against")
    if parallel:
        says = f'{"cross" if turns == "against" else "uncross"} band "{band.name}"'
    else:
        says = (
            f'lead the other run of "{band.name}" over "{last.pulley}" '
            f'({{ pulley = "{last.pulley}", turns = "{turns}" }})'
        )
    yield only(says, with_band(design, changed))


def parallel_band(design: Design, band: Band) -> bool:
    """Tell whether a band of two pulleys runs between parallel shafts."""
    a, b = (design.shaft(design.pulley(s.pulley).shaft) for s in band.route[:2])
    return norm(cross(a.axis, b.axis)) < _PARALLEL


def larger_case(design: Design, case: Case, low: Vector, high: Vector) -> Way:
    """Make the case larger by so much at its low and at its high sides."""
    corner = tuple(round(c - grow, 1) for c, grow in zip(case.corner_mm, low, strict=True))
    inside = tuple(
        round(size + grow + more, 1)
        for size, grow, more in zip(case.inside_mm, low, high, strict=True)
    )
    x, y, z = inside
    changed = Case((x, y, z), (corner[0], corner[1], corner[2]))
    says = f"make the case larger, inside = [{', '.join(plain(c) for c in inside)}] mm"
    if any(low):
        says += f" from corner = [{', '.join(plain(c) for c in corner)}] mm"
    return only(says, replace(design, case=changed))


def other_crank(design: Design, sign: float) -> Way:
    """Set the plane of the crank higher (+1) or lower (-1) along its shaft."""
    drive = design.drive
    start = drive.offset_mm or 0.0

    def make(amount: float) -> Change:
        offset = round(start + sign * amount, _DIGITS)
        says = f"let the crank turn at offset {plain(offset, _DIGITS)} mm (under [drive])"
        return Change(says, replace(design, drive=replace(drive, offset_mm=offset)))

    return Way(make, 200.0, 0.5)


def shorter_crank(design: Design) -> Iterator[Way]:
    """Yield the way to shorten the crank."""
    drive = design.drive
    radius = drive.radius_mm
    if radius is None:
        return

    def make(amount: float) -> Change | None:
        short = round(radius - amount, 1)
        if short < 15.0:
            return None
        says = f"shorten the crank to {plain(short)} mm"
        return Change(says, replace(design, drive=replace(drive, radius_mm=short)))

    yield Way(make, radius, 0.1)
