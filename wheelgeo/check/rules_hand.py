"""Rules on the hand: the crank and the knuckles need room, and no point may stand in their way."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.built.as_built import build
from wheelgeo.built.crank_arm import crank_plane_mm, out_of_crank
from wheelgeo.built.kept import KeptOf
from wheelgeo.check.adjustments import Adjustment, larger_case, only, other_crank, shorter_crank
from wheelgeo.check.adjustments_running import slower_hand
from wheelgeo.check.edits import edit
from wheelgeo.check.finding import Finding
from wheelgeo.check.remedies import mend
from wheelgeo.check.things import Thing
from wheelgeo.check.wheel_under_check import WheelUnderCheck, gap_mm
from wheelgeo.design.limits import CADENCE, LIMITS, cadence_limit_rpm
from wheelgeo.design.model import Case
from wheelgeo.geometry.convex import SIDES, Capsule, Cylinder, half_width_mm
from wheelgeo.geometry.vectors import Vector, along, scale
from wheelgeo.units.in_full import full, plain

_TOLERANCE_MM = 1e-6
_SWEEPS: KeptOf[Cylinder] = KeptOf(256)


def cadence(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Warn of a speed that no hand or foot keeps up, whatever the force."""
    drive, limit = wheel.design.drive, cadence_limit_rpm(wheel.design.drive.by, wheel.design.limits)
    if limit is None or drive.speed_rpm <= limit:
        return
    limb, at = {"treadle": ("foot", "treadle"), "hand": ("hand", "rim")}.get(
        drive.by, ("hand", "crank")
    )
    yield Finding(
        "cadence", "warning", "drive", drive.speed_rpm, limit, "rpm",
        f"the {at} is turned at {plain(drive.speed_rpm, 0)} rpm; a {limb} keeps up "
        f"{plain(limit, 0)} rpm",
        LIMITS[CADENCE[drive.by]].source,
        mend(wheel, cadence, [slower_hand(wheel.design)], "turn it slower"),
    )  # fmt: skip


def hand_room(wheel: WheelUnderCheck) -> Iterator[Finding]:
    """Say where the crank, or the knuckles of the hand that turns it, have no room."""
    drive = wheel.design.drive
    if drive.by != "crank" or drive.radius_mm is None:
        return
    yield from _within_case(wheel, drive.radius_mm)
    if drive.offset_mm is not None:
        yield from _against_parts(wheel, drive.radius_mm)


def _plane(wheel: WheelUnderCheck) -> float:
    """Return where the crank turns along its shaft, as it is built."""
    plane = crank_plane_mm(build(wheel.design))
    assert plane is not None, "asked only where there is a crank with a radius"
    return plane


def _outward(wheel: WheelUnderCheck) -> float:
    """Return which way the knob stands off the crank: away from the pulleys, +1 or -1."""
    return out_of_crank(build(wheel.design))


def _centre(wheel: WheelUnderCheck) -> Vector:
    shaft = wheel.design.shaft(wheel.design.drive.shaft)
    return along(shaft.at_mm, shaft.axis, _plane(wheel))


def _within_case(wheel: WheelUnderCheck, radius: float) -> Iterator[Finding]:
    """Hold the circle of the hand against the walls, where the crank turns inside the case."""
    case = wheel.design.case
    if case is None or not _inside(_centre(wheel), case):
        return
    room = wheel.limit("knuckle_room_mm")
    reaches = _reaches(wheel, case)
    low = [radius + room - reach for _, reach, _ in reaches]
    worst = max(range(6), key=lambda i: low[i])
    if low[worst] <= _TOLERANCE_MM:
        return
    _, left, side = reaches[worst]
    yield _no_room(
        wheel, f"the {side} of the case", left - radius,
        [*shorter_crank(wheel.design), *_over_the_rim(wheel, case),
         _wider_case(wheel, case, low)],
    )  # fmt: skip


def _reaches(wheel: WheelUnderCheck, case: Case) -> list[tuple[float, float, str]]:
    """Return for each side of the case how far across the crank it faces, the room, its name.

    A side that the crank's axis pierces squarely is no wall to the circle: its room is infinite.
    """
    axis = wheel.design.shaft(wheel.design.drive.shaft).axis
    centre = _centre(wheel)
    found = []
    for i, (low, high) in enumerate(SIDES):
        normal: Vector = (float(i == 0), float(i == 1), float(i == 2))
        facing = half_width_mm(Cylinder((0.0, 0.0, 0.0), axis, 1.0, 0.0), normal)
        for room, side in (
            (centre[i] - case.corner_mm[i], low),
            (case.corner_mm[i] + case.inside_mm[i] - centre[i], high),
        ):
            found.append((facing, room / facing if facing > 1e-6 else float("inf"), side))
    return found


def _inside(point: Vector, case: Case) -> bool:
    return all(
        c <= p <= c + s for p, c, s in zip(point, case.corner_mm, case.inside_mm, strict=True)
    )


def _wider_case(wheel: WheelUnderCheck, case: Case, short: list[float]) -> Adjustment:
    grow = [max(0.0, s) if s != float("-inf") else 0.0 for s in short]
    rounded = [-(-g // 0.1) * 0.1 for g in grow]
    return larger_case(
        wheel.design, case, (rounded[0], rounded[2], rounded[4]),
        (rounded[1], rounded[3], rounded[5]),
    )  # fmt: skip


def _over_the_rim(wheel: WheelUnderCheck, case: Case) -> Iterator[Adjustment]:
    """Yield the way to let the crank turn outside the case, the open lid or the floor side."""
    drive = wheel.design.drive
    shaft = wheel.design.shaft(drive.shaft)
    steps = (5.0 * n for n in range(1, 200))
    for step in steps:
        offset = _plane(wheel) + _outward(wheel) * step
        if not _inside(along(shaft.at_mm, shaft.axis, offset), case):
            yield only(edit(wheel.design, "drive", "", "offset", round(offset, 3)))
            return


def _against_parts(wheel: WheelUnderCheck, radius: float) -> Iterator[Finding]:
    """Hold the room that crank and hand sweep against every part that is not on their shaft."""
    room = wheel.limit("knuckle_room_mm")
    own, sweep = wheel.design.drive.shaft, _sweep(wheel, radius + room)
    for name, shaft, body in _obstacles(wheel):
        if shaft is not None and wheel.coaxial(shaft, own):
            continue
        gap = gap_mm(sweep, body, enough=1.0)
        if gap < -_TOLERANCE_MM:
            left = _largest_radius(wheel, body, radius + room) - radius
            ways = [
                *shorter_crank(wheel.design),
                other_crank(wheel.design),
            ]
            yield _no_room(wheel, name, left, ways)


def _obstacles(wheel: WheelUnderCheck) -> Iterator[tuple[str, str | None, Cylinder | Capsule]]:
    for p in wheel.design.pulleys:
        yield f'pulley "{p.name}"', p.shaft, wheel.pulley_bodies[p.name]
    for s in wheel.design.shafts:
        point = s.name == wheel.design.spindle.shaft and wheel.design.spindle.kind == "tip"
        name = f'the spindle "{s.name}", whose point wounds' if point else f'shaft "{s.name}"'
        yield name, s.name, wheel.shaft_bodies[s.name]
    for motion in wheel.paths():
        for name, body in wheel.run_bodies(motion):
            yield f"the {name}", None, body


def _sweep(wheel: WheelUnderCheck, radius: float) -> Cylinder:
    """Return what crank and hand sweep: from the crank's plane outward, as high as a fist."""
    half = 0.5 * wheel.limit("hand_height_mm")
    axis = wheel.design.shaft(wheel.design.drive.shaft).axis
    centre = along(_centre(wheel), scale(axis, _outward(wheel)), half)
    # the same one whenever it is asked for, by which its gaps are known
    place = (centre, axis, radius, half)
    return _SWEEPS.get((), lambda: Cylinder(*place), *place)


def _largest_radius(wheel: WheelUnderCheck, body: Cylinder | Capsule, high: float) -> float:
    """Return the largest circle about the crank's axis that keeps clear of a body, mm."""
    low = 0.0
    while high - low > 1e-3:
        middle = 0.5 * (low + high)
        clear = gap_mm(_sweep(wheel, middle), body, enough=1.0) >= 0.0
        low, high = (middle, high) if clear else (low, middle)
    return low


def _no_room(wheel: WheelUnderCheck, what: str, left: float, ways: list[Adjustment]) -> Finding:
    """Return the finding: ``left`` is the room outside the crank circle, negative inside it."""
    room = wheel.limit("knuckle_room_mm")
    about = (Thing("drive"), Thing(what.partition(", whose")[0]))
    says = (
        f"the crank would hit {what}: it reaches {full(-left, 1)} mm past it" if left < 0.0
        else f"the knuckles would hit {what}: outside the crank circle there are "
        f"{full(left, 1)} mm, a hand needs {full(room)} mm"
    )  # fmt: skip
    return Finding(
        "hand-room", "fault", about, round(left, 3), room, "mm", says,
        LIMITS["knuckle_room_mm"].source,
        mend(
            wheel, hand_room, ways,
            "shorten the crank, or say in which plane it turns (drive.offset)",
        ),
    )  # fmt: skip


__all__ = ["hand_room"]
