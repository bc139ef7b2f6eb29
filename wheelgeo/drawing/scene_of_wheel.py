"""The scene of a solved wheel: bodies from its parts, cords from its paths, senses from its speeds.

A round groove becomes chords with their corners on it, and a spindle's tip a plain taper, since
the file does not say how it is ground.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from itertools import pairwise

from wheelgeo.built.as_built import build
from wheelgeo.built.bodies import bodies
from wheelgeo.built.body import BuiltBody, TurnedShape
from wheelgeo.built.crank_arm import crank_plane_mm
from wheelgeo.built.flyer import (
    BRAKE_CORD_MM,
    BRAKE_MM,
    HOOK_MM,
    HOOK_WIRE_MM,
    ORIFICE_SHARE,
)
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.design.model import Design, Pulley, Shaft
from wheelgeo.drawing.scene import (
    TURN,
    Crank,
    Curve,
    FlatBody,
    Kind,
    Profile,
    RunningCord,
    Scene,
    Spacing,
    TurnedBody,
    TurningArrow,
)
from wheelgeo.drive.train import BandMotion, Solution
from wheelgeo.geometry.boxes import Box
from wheelgeo.geometry.path import Path, PitchCircle
from wheelgeo.geometry.vectors import Vector, across, along, cross, dot, norm, scale, sub

TIP_LENGTH = 3.0
"""Length of a drawn tip over the diameter of the rod."""
TIP_BLUNT = 0.2
"""Radius at the end of a drawn tip over that of the rod."""
NOT_AROUND = frozenset({
    "pulley", "rod", "washer", "cop", "hand", "wall", "lid", "floor", "foot", "table", "leg",
    "trestle foot", "hinge rail", "treadle", "footman",
})  # fmt: skip
"""Kinds that are of the drive itself, or of the case and the stand, which other drawings show."""
_KINDS: dict[str, Kind] = {"pulley": "pulley", "rod": "shaft", "washer": "washer", "cop": "cop"}
ROUND_STEPS = 8
"""Straight pieces that stand for a round groove where bodies hide one another."""


def scene_of(solution: Solution) -> Scene:
    """Return all that there is to draw of a solved wheel.

    Args:
        solution: the solved wheel; bands without a path are left out, and nothing turns with
            one of them.
    """
    design = solution.design
    pulleys = tuple(_pulley_body(design, p) for p in design.pulleys)
    rods = tuple(_rod(design, s) for s in design.shafts)
    whole = bodies(build(design))
    runs = not solution.pathless  # with one band off, nothing of the wheel turns
    drawn = (*pulleys, *rods, *(_on_spindle(b) for b in whole if b.kind in ("washer", "cop")))
    return Scene(
        design.title,
        drawn,
        tuple(_cord(m, m.path, runs) for m in solution.bands if m.path is not None),
        tuple(_turnings(solution, pulleys, rods)) if runs else (),
        tuple(_spacings(design)),
        design.case,
        _crank(design),
        (*(drawn_body(b) for b in whole if b.kind not in NOT_AROUND), *flyer_fittings(design)),
    )


def flyer_fittings(design: Design) -> tuple[TurnedBody, ...]:
    """Return what is drawn of a flyer besides its bodies: hooks, orifice, and the brakes' cords.

    The hooks stand on both arms, evenly along the yarn's room; the orifice is in the rod's front
    end; a brake lies in its groove behind the bobbin, or on the flyer before its bar.
    """
    made = build(design).spindle
    plan, shaft = made.flyer_plan, made.shaft
    if plan is None:
        return ()
    u, v = across(shaft.axis)
    wire = ((0.0, HOOK_WIRE_MM / 2.0), (HOOK_MM, HOOK_WIRE_MM / 2.0))
    fittings = []
    for side, sign in enumerate((1.0, -1.0)):
        for n, place in enumerate(plan.hooks, start=1 + side * len(plan.hooks)):
            foot = along(along(shaft.at_mm, shaft.axis, place), u, sign * plan.arm_radius)
            fittings.append(TurnedBody(f"hook {n}", "other", foot, scale(v, sign), wire))
    end, hole = made.ends_mm[1], ORIFICE_SHARE * 0.5 * shaft.diameter_mm
    mouth = ((end, hole), (end + 0.1, hole))
    fittings.append(TurnedBody("orifice", "other", shaft.at_mm, shaft.axis, mouth))
    for n, drag in enumerate(design.drags, start=1):
        at = 0.5 * BRAKE_MM + (plan.bobbin_from if drag.shaft == plan.bobbin else plan.bar_to)
        radius, half = 0.5 * drag.diameter_mm + 0.5 * BRAKE_CORD_MM, 0.5 * BRAKE_CORD_MM
        cord = ((at - half, radius), (at + half, radius))
        fittings.append(TurnedBody(f"brake {n}", "other", shaft.at_mm, shaft.axis, cord))
    return tuple(fittings)


def drawn_body(body: BuiltBody) -> TurnedBody | FlatBody:
    """Return a body of the wheel as built as it is drawn."""
    shape = body.shape
    if isinstance(shape, TurnedShape):
        # its outline goes round by the bore, the last two corners
        kind, profile = _KINDS.get(body.kind, "other"), shape.outline[:-2]
        spoked = any(name.startswith("spoke ") for name in body.fits_in)
        wide = shape.outline[-1][1] if spoked and body.kind == "pulley" else 0.0
        return TurnedBody(body.name, kind, shape.origin, shape.axis, profile, open_mm=wide)
    outline = shape.outline
    if body.whole is not None:  # half of a split board, drawn without the half of its hole
        sides = {min(x for x, _ in outline), max(x for x, _ in outline)}
        outline = tuple(p for p in outline if p[0] in sides)
    low, high = (tuple(shape.point(x, y, z) for x, y in outline) for z in (shape.low, shape.high))
    boxes = tuple(piece for piece in body.pieces if isinstance(piece, Box))
    return FlatBody(body.name, low, high, boxes)


def _on_spindle(body: BuiltBody) -> TurnedBody:
    """Return a washer or the full cop, by the name of the shaft that it is on."""
    drawn = drawn_body(body)
    assert isinstance(drawn, TurnedBody)
    return replace(drawn, name=body.part)


def _crank(design: Design) -> Crank | None:
    """Return the circle of the crank: in the file's plane, or at the end of the rod."""
    drive = design.drive
    if drive.radius_mm is None or drive.by == "motor":
        return None
    shaft = design.shaft(drive.shaft)
    plane = crank_plane_mm(build(design))
    place = build(design).shafts[shaft.name].ends_mm[1] if plane is None else plane
    u, v = across(shaft.axis)
    centre = along(shaft.at_mm, shaft.axis, place)
    r = drive.radius_mm
    circle = Curve(centre, u=scale(u, r), v=scale(v, r), end=TURN)
    return Crank(drive.by, shaft.name, circle)


def _pulley_body(design: Design, pulley: Pulley) -> TurnedBody:
    made = build(design).pulleys[pulley.name]
    wide = 0.0 if made.spoked is None else 0.5 * made.spoked.rim.inner_mm
    line, profile = (made.centre_mm, made.shaft.axis), pulley_profile(made)
    return TurnedBody(made.name, "pulley", *line, profile, open_mm=wide)


def pulley_profile(pulley: BuiltPulley) -> Profile:
    """Return the outer profile of a pulley, z from its mid-plane, mm.

    Args:
        pulley: the pulley as it is cut.

    Returns:
        Corners from the lower face to the upper; a round groove as chords with corners on it.
    """
    outside = pulley.groove.profile(0.5 * pulley.width_mm)
    corners = [point for piece in outside for point in piece.split(ROUND_STEPS)]
    return (*reversed((*corners, outside[-1].end)),)


def _plain(profile: Profile) -> Profile:
    """Return a profile without corners that stand where the one before stands."""
    kept = [profile[0]]
    kept += [b for a, b in pairwise(profile) if math.dist(a, b) > 1e-9]
    return tuple(kept)


def _rod(design: Design, shaft: Shaft) -> TurnedBody:
    low, high = build(design).shafts[shaft.name].ends_mm
    spindle = design.spindle
    stepped = spindle.sections if spindle.shaft == shaft.name else ()
    radius = 0.5 * shaft.diameter_mm
    seams = tuple(_seams(design, shaft))
    if not stepped:
        profile = _tipped(design, shaft, ((low, radius), (high, radius)))
        return TurnedBody(shaft.name, "shaft", shaft.at_mm, shaft.axis, profile, seams)
    steps: list[tuple[float, float]] = []
    for section in sorted(stepped, key=lambda s: s.from_mm):
        steps += [(section.from_mm, 0.5 * section.diameter_mm)]
        steps += [(section.to_mm, 0.5 * section.diameter_mm)]
    before = ((low, radius), (steps[0][0], radius)) if low < steps[0][0] else ()
    after = ((steps[-1][0], radius), (high, radius)) if high > steps[-1][0] else ()
    profile = _tipped(design, shaft, _plain((*before, *steps, *after)))
    return TurnedBody(shaft.name, "shaft", shaft.at_mm, shaft.axis, profile, seams)


def _tipped(design: Design, shaft: Shaft, profile: Profile) -> Profile:
    """Return the profile of a rod, brought to a point where it is a spindle with a tip.

    How the tip is ground is not in the file; it is drawn three diameters long.
    """
    spindle = design.spindle
    (z0, _), (z1, radius) = profile[-2:]
    if spindle.kind != "tip" or spindle.shaft != shaft.name or radius <= 0.0:
        return profile
    taper = min(TIP_LENGTH * 2.0 * radius, 0.9 * (z1 - z0))
    return (*profile[:-1], (z1 - taper, radius), (z1, TIP_BLUNT * radius))


def _seams(design: Design, shaft: Shaft) -> Iterable[float]:
    for pulley in build(design).shafts[shaft.name].carries:
        yield from pulley.faces_mm


def _cord(motion: BandMotion, path: Path, runs: bool) -> RunningCord:
    curves: list[Curve] = []
    for run in path.runs:
        curves.append(Curve(run.start_mm, sub(run.end_mm, run.start_mm)))
        curves.append(wrap_arc(path.circles[run.second], run.end_mm, path.wraps_deg[run.second]))
    travels = runs and motion.speed_m_s is not None
    return RunningCord(motion.band.name, motion.band.diameter_mm, tuple(curves), travels)


def wrap_arc(circle: PitchCircle, arriving: Vector, wrap_deg: float) -> Curve:
    """Return the arc of contact on a pulley, in the direction of travel.

    Args:
        circle: its pitch circle.
        arriving: the point where the band arrives, mm.
        wrap_deg: arc of contact, degrees.
    """
    u = sub(arriving, circle.centre_mm)
    v = scale(cross(circle.axis, u), float(circle.sense))
    return Curve(circle.centre_mm, u=u, v=v, end=math.radians(wrap_deg))


def _turnings(
    solution: Solution, pulleys: tuple[TurnedBody, ...], rods: tuple[TurnedBody, ...]
) -> Iterable[TurningArrow]:
    design = solution.design
    for motion, rod in zip(solution.shafts, rods, strict=True):
        if motion.speed_rpm is None:
            continue
        names = {p.name for p in design.pulleys_on(motion.name)}
        on_it = [b for b in pulleys if b.name in names]
        body = max(on_it, key=lambda b: b.radius_mm, default=rod)
        yield TurningArrow(motion.name, body, 1 if motion.speed_rpm > 0.0 else -1)


def _spacings(design: Design) -> Iterable[Spacing]:
    """Yield the distance of each pair of shafts that a band joins, once."""
    seen: set[frozenset[str]] = set()
    for band in design.bands:
        pulleys = [design.pulley(stop.pulley) for stop in band.route]
        for a, b in zip(pulleys, [*pulleys[1:], pulleys[0]], strict=True):
            pair = frozenset((a.shaft, b.shaft))
            if len(pair) == 2 and pair not in seen:
                seen.add(pair)
                spacing = _spacing(design, a, b)
                if spacing.length_mm > 1e-6:
                    yield spacing


def _spacing(design: Design, a: Pulley, b: Pulley) -> Spacing:
    """Return the common perpendicular of two shafts; of parallel ones that at pulley a."""
    first, second = design.shaft(a.shaft), design.shaft(b.shaft)
    at_a = along(first.at_mm, first.axis, a.offset_mm)
    normal = cross(first.axis, second.axis)
    if norm(normal) < 1e-9:
        start = at_a
    else:
        to_b = sub(second.at_mm, first.at_mm)
        reach = dot(cross(to_b, second.axis), normal) / dot(normal, normal)
        start = along(first.at_mm, first.axis, reach)
    to_start = dot(sub(start, second.at_mm), second.axis)
    return Spacing(a.shaft, b.shaft, start, along(second.at_mm, second.axis, to_start))
