"""Every flat part of a wheel: layers of pulleys, crank arm, floor, supports, reel.

Turned pulleys are not among them: they are turned from the solid, see ``faces`` and ``section``.
Every default is stated in the notes of the part that it shapes; all are common practice, no
source.
"""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.built.pulley import WOOD_GAP_MM
from wheelgeo.design.model import Design, Drive, Pulley
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.segments import arc_between
from wheelgeo.shop.drafting import text_width_mm
from wheelgeo.shop.faces import bottom_radius_mm, disc_label, lightening_holes
from wheelgeo.shop.floor import Footing, floor_of, footings, slot
from wheelgeo.shop.outlines import Circle, Label, Line, Outline, Part, Point
from wheelgeo.shop.plan import floor_part
from wheelgeo.shop.section import PulleyPiece, wheels
from wheelgeo.yarn.winders import REEL_ROUND_MM, reel_radius_mm

DOWEL_MM = 4.0
"""Diameter of the dowels that hold a layered pulley together, mm."""
DOWEL_WALL_MM = 3.0
"""Least wood round a dowel, mm."""
ARM_MM = 9.0
"""Thickness of the crank arm, mm, where no sheet decides."""
ARM_WIDTH_MM = 24.0
"""Least width of the crank arm and of the arms of the reel, mm."""
SUPPORT_MM = 9.0
"""Thickness of a support, mm, where no sheet decides."""
REEL_PEG_MM = 8.0
"""Diameter of the reel's pegs and of its axle, mm."""
REEL_ARMS = 4


def parts_of(design: Design) -> tuple[Part, ...]:
    """Return every flat part, each once, with how many of it are needed.

    Args:
        design: the wheel.

    Raises:
        ShapeError: a part cannot be made as asked.
    """
    parts = [part for wheel in wheels(design) if wheel.layered for part in layers(design, wheel)]
    if design.drive.by == "crank" and design.drive.radius_mm is not None:
        parts.append(crank_arm(design, design.drive, design.drive.radius_mm))
    parts.append(floor_part(design))
    parts += supports(design)
    if design.shop.reel:
        parts.append(reel_arm(design))
    return tuple(parts)


def sheet_thickness_mm(design: Design, wanted_mm: float) -> float:
    """Return the thickness of the sheet at hand that comes next above what is wanted.

    The thickest at hand where none is thick enough; what is wanted where the file names no sheets.
    """
    at_hand = sorted(stock.thickness_mm for stock in design.shop.sheets)
    if not at_hand:
        return wanted_mm
    return next((t for t in at_hand if t >= wanted_mm), at_hand[-1])


def layers(design: Design, wheel: PulleyPiece) -> list[Part]:
    """Return core and cheeks of a layered pulley, with dowel holes where there is room.

    Args:
        design: the wheel's design.
        wheel: a layered piece.
    """
    pulley = wheel.pulleys[0]
    made = build(design).pulleys[pulley.name]
    _check_layers(design, wheel, pulley)
    bore = Circle((0.0, 0.0), 0.5 * wheel.bore_mm)
    light = lightening_holes(design, wheel)
    dowels = _dowels(bottom_radius_mm(design, wheel), bore, light)
    glue = _dowel_note(dowels)
    discs = [("core", bottom_radius_mm(design, wheel), made.core_mm, 1)]
    if made.groove.has_mouth:
        discs.append(("cheek", 0.5 * made.rim_mm, made.cheek_mm, 2))
    return [
        Part(
            name=f"{wheel.name} {role}",
            role=role,
            outside=Circle((0.0, 0.0), radius),
            holes=(bore, *light),
            drills=dowels,
            marks=((0.0, 0.0),),
            labels=disc_label(
                f"{wheel.name} {role}", discs[0][1], bore.radius_mm, (*light, *dowels)
            ),
            thickness_mm=thickness,
            quantity=count,
            material=pulley.material,
            notes=(*wheel.notes, glue) if role == "core" else (f"Bored as the core. {glue}",),
        )
        for role, radius, thickness, count in discs
    ]


def _check_layers(design: Design, wheel: PulleyPiece, pulley: Pulley) -> None:
    if bottom_radius_mm(design, wheel) <= 0.5 * wheel.bore_mm:
        raise ShapeError(
            f'pulley "{pulley.name}": its core is no larger than its bore of {wheel.bore_mm:g} mm'
        )


def _dowels(bottom: float, bore: Circle, light: tuple[Circle, ...]) -> tuple[Circle, ...]:
    """Return two dowel holes across from each other, clear of everything; none without room."""
    radius = 0.5 * DOWEL_MM
    on = 0.5 * (bottom + bore.radius_mm)
    if bottom - on < radius + DOWEL_WALL_MM:
        return ()
    for degrees in range(0, 180, 5):
        angle = math.radians(degrees)
        x, y = on * math.cos(angle), on * math.sin(angle)
        pair = (Circle((x, y), radius), Circle((-x, -y), radius))
        if all(
            math.dist(d.centre, h.centre) >= radius + h.radius_mm + DOWEL_WALL_MM
            for d in pair
            for h in light
        ):
            return pair
    return ()


def _dowel_note(dowels: tuple[Circle, ...]) -> str:
    if dowels:
        return f"Glue core and cheeks on two {DOWEL_MM:g} mm dowels; drill all layers together."
    return "No room for dowels: glue core and cheeks on a rod of the shaft's diameter."


def crank_arm(design: Design, drive: Drive, radius_mm: float) -> Part:
    """Return the crank arm: a bar with round ends, shaft hole and knob hole.

    Args:
        design: the wheel.
        drive: its drive.
        radius_mm: from the shaft to the knob.
    """
    shaft, knob = design.shaft(drive.shaft), design.shop.knob_hole_mm
    hole = shaft.diameter_mm + WOOD_GAP_MM
    width = max(ARM_WIDTH_MM, 2.0 * hole, knob + 12.0)
    if radius_mm <= 0.5 * (hole + knob) + DOWEL_WALL_MM:
        raise ShapeError(f"the crank is too short, {radius_mm:g} mm, for its two holes")
    notes = (
        f"Shaft hole {hole:.4g} mm: the {shaft.diameter_mm:g} mm shaft and {WOOD_GAP_MM:g} mm "
        "working clearance; pin the arm to the shaft.",
        f"Knob hole {knob:g} mm.",
    )
    middle = (0.5 * radius_mm, 0.0)
    room = radius_mm - 0.5 * (hole + knob) > 24.0
    return Part(
        name="crank arm",
        role="crank arm",
        outside=slot((0.0, 0.0), (radius_mm, 0.0), width),
        drills=(Circle((0.0, 0.0), 0.5 * hole), Circle((radius_mm, 0.0), 0.5 * knob)),
        labels=(Label("crank", middle, 3.0),) if room else (),
        thickness_mm=sheet_thickness_mm(design, ARM_MM),
        grain="along",
        notes=notes,
    )


def supports(design: Design) -> list[Part]:
    """Return the uprights that carry every shaft that lies along the floor."""
    floor = floor_of(design)
    found = []
    for foot in footings(design, floor):
        if foot.supports:
            height = foot.shaft.at_mm[2] - floor.corner_mm[2]
            part = _support(design, foot, foot.shaft.diameter_mm, height)
            if part is not None:
                found.append(part)
    return found


def _support(design: Design, foot: Footing, diameter: float, height: float) -> Part | None:
    """Return an upright for a shaft at a height above the floor; None where it lies too low."""
    hole = diameter + WOOD_GAP_MM
    round_mm = min(max(10.0, 2.0 * diameter), height)
    if round_mm < 0.5 * hole + DOWEL_WALL_MM:
        return None
    foot_mm = max(2.0 * round_mm, height / 3.0)
    name = f"{foot.shafts} support"
    notes = (
        f"Hole {hole:.4g} mm for the {diameter:g} mm rod and {WOOD_GAP_MM:g} mm working "
        "clearance; open it to the bearing that is used.",
        f"{foot.note[:1].upper()}{foot.note[1:]}.",
    )
    return Part(
        name=name,
        role="support",
        outside=upright(foot_mm, height, round_mm),
        drills=(Circle((0.0, height), 0.5 * hole),),
        marks=((0.0, height),),
        labels=_upright_label(name, height - 0.5 * hole),
        thickness_mm=sheet_thickness_mm(design, SUPPORT_MM),
        quantity=len(foot.supports),
        notes=notes,
    )


def _upright_label(name: str, room_mm: float) -> tuple[Label, ...]:
    """Return the name of an upright, written upward below its hole, where there is room."""
    long = text_width_mm(name, 3.0)
    return () if long + 8.0 > room_mm else (Label(name, (0.0, 0.5 * room_mm), 3.0, 90.0),)


def upright(foot_mm: float, height_mm: float, round_mm: float) -> Outline:
    """Return an upright: a foot on the floor, straight flanks tangent to a round head.

    Args:
        foot_mm: width at the floor.
        height_mm: from the floor to the middle of the head.
        round_mm: radius of the head.
    """
    top, half = (0.0, height_mm), 0.5 * foot_mm
    away = math.hypot(half, height_mm)
    angle = math.atan2(-height_mm, half) + math.acos(min(1.0, round_mm / away))
    x, y = round_mm * math.cos(angle), height_mm + round_mm * math.sin(angle)
    right: Point = (x, y)
    left: Point = (-x, y)
    head = arc_between(top, right, left, counter_clockwise=True)
    return Outline(
        (
            Line((-half, 0.0), (half, 0.0)),
            Line((half, 0.0), right),
            head,
            Line(left, (-half, 0.0)),
        )
    )


def reel_arm(design: Design) -> Part:
    """Return the arm of a reel that takes 1 000 mm of yarn a turn; two of them cross."""
    on = reel_radius_mm(REEL_ARMS, REEL_PEG_MM)
    hole = REEL_PEG_MM + WOOD_GAP_MM
    drills = tuple(Circle((x, 0.0), 0.5 * hole) for x in (-on, 0.0, on))
    return Part(
        name="reel arm",
        role="reel arm",
        outside=slot((-on, 0.0), (on, 0.0), ARM_WIDTH_MM),
        drills=drills,
        labels=(Label(f"reel {REEL_ROUND_MM:g} mm a turn", (0.5 * on, 0.0), 4.0),),
        thickness_mm=sheet_thickness_mm(design, ARM_MM),
        quantity=REEL_ARMS // 2,
        grain="along",
        notes=(
            f"{REEL_ARMS} pegs of {REEL_PEG_MM:g} mm, {on:.2f} mm from the axle; one turn takes "
            f"{REEL_ROUND_MM:g} mm of yarn; 200 turns make a bunch, 5 bunches a metric hank.",
            "Cross the two arms on the axle at right angles.",
        ),
    )
