"""The crank of a wheel as bodies: where its arm turns, which way it is drawn, its knob."""

from __future__ import annotations

from collections.abc import Iterator

from wheelgeo.built.as_built import Built
from wheelgeo.built.body import BuiltBody, board, turned
from wheelgeo.built.held import CRANK_MM, all_of_sheet
from wheelgeo.built.wall import PLYWOOD
from wheelgeo.geometry.vectors import Vector, along, cross, dot, scale, sub, unit

ARM_HALF_MM = 8.0
"""Half the width of the crank's arm; this and the rest: common practice, no source."""
ARM_WOOD_MM = 8.0
"""Least wood of the arm on either side of the rod, or the rod's own radius where that is more."""
KNOB_MM = 20.0
"""Diameter of the knob."""
KNOB_LONG_MM = 30.0
KNOB_PLAY_MM = 0.2
"""How much thinner a knob's spigot is than its hole: common practice, no source. A washer on its
end, screwed on in a recess, keeps it in; END_PLAY_MM of it stands out there, so that it turns."""
RECESS_MM, END_PLAY_MM = 3.0, 0.3


def crank_plane_mm(built: Built) -> float | None:
    """Return where the middle of the crank's arm turns along the driven shaft; None: no crank.

    The file's plane, or at the end of the rod that is farther from the pulleys.
    """
    drive = built.design.drive
    if drive.radius_mm is None or drive.by not in ("crank", "treadle"):
        return None
    if drive.offset_mm is not None:
        return drive.offset_mm
    made = built.shafts[drive.shaft]
    (low, high), faces = made.ends_mm, made.faces_mm or (0.0, 0.0)
    at_high = high - faces[1] >= faces[0] - low
    return high - 0.5 * CRANK_MM if at_high else low + 0.5 * CRANK_MM


def crank_bodies(built: Built) -> Iterator[BuiltBody]:
    """Yield the arm of the crank, drawn away from the middle of the wheel, and its knob."""
    plane, drive = crank_plane_mm(built), built.design.drive
    if plane is None or drive.radius_mm is None:
        return
    made = built.shafts[drive.shaft]
    shaft, radius = made.shaft, drive.radius_mm
    u, v = arm_axes(built)
    half, rod = 0.5 * CRANK_MM, 0.5 * made.diameter_at_mm(plane)
    pin = 0.5 * min(built.design.shop.knob_hole_mm, ARM_HALF_MM)
    end = max(radius + ARM_HALF_MM, ARM_HALF_MM + 1.0)
    width = max(ARM_HALF_MM, rod + max(ARM_WOOD_MM, rod))
    outline = ((-width, -width), (end, -width), (end, width), (-width, width))
    origin = along(shaft.at_mm, shaft.axis, plane)
    yield board(
        "crank", "crank", origin, u, v, outline, -half, half,
        PLYWOOD if all_of_sheet(built.design) else "maple",
        holes=(((0.0, 0.0), rod), ((radius, 0.0), pin)), part=shaft.name, turns=True,
        fits_in=(f"rod {shaft.name}", "knob"), key="drive.offset",
    )  # fmt: skip
    outward = out_of_crank(built)
    if drive.by == "treadle":
        outer: tuple[tuple[float, float], ...] = ((-half, pin), (half + 20.0, pin))
    else:
        spigot = max(pin - 0.5 * KNOB_PLAY_MM, 0.5 * pin)  # of a hole under 0.4 mm half is left
        end = RECESS_MM - END_PLAY_MM - half
        outer = ((end, spigot), (half, spigot), (half, 0.5 * KNOB_MM),
                 (half + KNOB_LONG_MM, 0.5 * KNOB_MM))  # fmt: skip
    axis = scale(shaft.axis, outward)
    yield turned(
        "knob", "knob", along(origin, u, radius), axis, outer,
        "steel" if drive.by == "treadle" else "maple", part=shaft.name, turns=True,
        fits_in=("crank", "footman"), key="drive.offset",
    )  # fmt: skip


def out_of_crank(built: Built) -> float:
    """Return which way the knob stands off the arm, +1 or -1 along the axis: from the pulleys."""
    plane, made = crank_plane_mm(built), built.shafts[built.design.drive.shaft]
    faces = made.faces_mm or (0.0, 0.0)
    return 1.0 if plane is None or plane >= 0.5 * (faces[0] + faces[1]) else -1.0


def arm_axes(built: Built) -> tuple[Vector, Vector]:
    """Return the arm's direction and the one square to it; (arm, square, axis) right-handed.

    The arm of a level shaft hangs at its lowest; of an upright one it is drawn towards the
    spinner's right.
    """
    axis = built.design.shaft(built.design.drive.shaft).axis
    wanted: Vector = (0.0, 0.0, -1.0) if abs(axis[2]) < 0.9 else (1.0, 0.0, 0.0)
    arm = unit(sub(wanted, scale(axis, dot(wanted, axis))))
    return arm, cross(axis, arm)
