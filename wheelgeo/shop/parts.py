"""Every flat part of a wheel: layers of pulleys, the boards as built, reel.

Turned pulleys are not among them: they are turned from the solid, see ``faces`` and ``section``.
Every default is stated in the notes of the part that it shapes; all are common practice, no
source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Pulley
from wheelgeo.design.wood import find_species
from wheelgeo.drive.fixing import FixedPulley, fixed_pulleys
from wheelgeo.drive.running import load_wheel
from wheelgeo.errors import ShapeError
from wheelgeo.shop.board_parts import base_of, board_parts
from wheelgeo.shop.built_up_parts import built_up_parts
from wheelgeo.shop.faces import WEB_MM, bottom_radius_mm, disc_label, lightening_holes
from wheelgeo.shop.outlines import Circle, Part, Place
from wheelgeo.shop.plan import floor_part
from wheelgeo.shop.reel import ARM_MM, reel_arm, usual_reel
from wheelgeo.shop.section import PulleyPiece, wheels
from wheelgeo.shop.worked_once import kept
from wheelgeo.units.in_full import figures

DOWEL_MM = 4.0
"""Diameter of the dowels that hold a layered pulley together, mm."""
DOWEL_WALL_MM = 3.0
"""Least wood round a dowel, mm."""


def held_on_rods(design: Design) -> Mapping[str, FixedPulley]:
    """Return how every pulley is held on its rod, by name."""
    return kept(
        design, "held on rods", lambda: fixed_pulleys(build(design), load_wheel(design).load)
    )


def parts_of(design: Design) -> tuple[Part, ...]:
    """Return every flat part, each once, with how many of it are needed.

    Args:
        design: the wheel.

    Raises:
        ShapeError: a part cannot be made as asked.
    """
    return kept(design, "flat parts", lambda: _parts_of(design))


def _parts_of(design: Design) -> tuple[Part, ...]:
    parts = [part for wheel in wheels(design) if wheel.layered for part in layers(design, wheel)]
    parts += [part for wheel in wheels(design) for part in built_up_parts(design, wheel)]
    parts += board_parts(design)
    if base_of(design) is not None:  # else it is a plan of where shafts stand, and no board
        parts.append(floor_part(design))
    if design.shop.reel:
        thick = sheet_thickness_mm(design, ARM_MM)
        parts.append(reel_arm(usual_reel(design.shop.reel_round_mm), thick))
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
    light, flange = lightening_holes(design, wheel), _flange(design, wheel)
    dowels = _dowels(bottom_radius_mm(design, wheel), flange or bore, light)
    glue = _dowel_note(dowels)
    discs = [("core", bottom_radius_mm(design, wheel), made.core_mm, 1, bore)]
    if made.groove.has_mouth:
        cheek = (0.5 * made.rim_mm, made.cheek_mm)
        discs.append(("cheek", *cheek, 2 if flange is None else 1, bore))
        if flange is not None:
            discs.append(("flange cheek", *cheek, 1, flange))
    said = {
        "core": (*wheel.notes, glue),
        "cheek": (f"Bored as the core. {glue}",),
        "flange cheek": (
            f"Its hole takes the brass flange, which is glued on the core. {glue}",
        ),
    }
    # Layers of solid wood hold one another as those of plywood do: the cheeks are drawn turned by
    # a quarter, so that their holes lie over the core's when their grain lies across it.
    solid = made.groove.has_mouth and find_species(made.material.value.name) is not None
    parts = []
    for role, radius, thickness, count, hole in discs:
        across = Place(turn_deg=90.0 if solid and role != "core" else 0.0)
        cut = [tuple(c.moved(across) for c in circles) for circles in (light, dowels)]
        name = f"{wheel.name} {role}"
        parts.append(Part(
            name=name, role=role, outside=Circle((0.0, 0.0), radius),
            holes=(hole, *cut[0]), drills=cut[1], marks=((0.0, 0.0),),
            labels=disc_label(name, discs[0][1], hole.radius_mm, (*cut[0], *cut[1])),
            thickness_mm=thickness, quantity=count, material=made.material.value.name,
            grain="along" if solid else "any",
            notes=(*said[role], *([_CROSSED[role]] if solid else [])),
        ))  # fmt: skip
    return parts


_CROSSED = {
    "core": "Solid wood: glue it with its grain square across that of the cheeks on both sides, "
    "so that they hold one another round.",
    **dict.fromkeys(
        ("cheek", "flange cheek"),
        "Solid wood: its grain goes square across the core's; its holes are drawn for that. At the "
        "two ends of its grain the thin rim splits off easily: saw it oversize, and trim it when "
        "it is glued.",
    ),
}
"""How layers of solid wood are glued: common practice, no source."""


def _flange(design: Design, wheel: PulleyPiece) -> Circle | None:
    """Return the hole in one cheek for the flange that holds a wheel of layers on its rod.

    Raises:
        ShapeError: a lightening hole reaches into it.
    """
    # how a wheel is held depends on its load, so it is asked where that is known
    held = held_on_rods(design)[wheel.pulleys[0].name]
    if held.fixing.way != "flange":
        return None
    flange = Circle((0.0, 0.0), 0.5 * held.fixing.across_mm)
    for hole in lightening_holes(design, wheel):
        web = math.hypot(*hole.centre) - hole.radius_mm - flange.radius_mm
        if web < WEB_MM:
            raise ShapeError(
                f'pulley "{wheel.name}": lightening holes leave {figures(web, 3)} mm to the hole '
                f"of {held.fixing.across_mm:g} mm for its flange; leave at least {WEB_MM:g} mm"
            )
    return flange


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
