"""Faces and half-sections of pulleys as parts: what a turner or a cutting shop is handed."""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Lightening
from wheelgeo.errors import ShapeError
from wheelgeo.shop.drafting import text_width_mm
from wheelgeo.shop.outlines import Circle, Label, Line, Part, Place, Point, Segment
from wheelgeo.shop.section import PulleyPiece, faces_mm, half_section, opening_mm
from wheelgeo.units.in_full import figures

WEB_MM = 4.0
"""Least wood or metal left round a lightening hole, mm (common practice)."""


def face(design: Design, wheel: PulleyPiece) -> Part:
    """Return the face of a wheel: rim, bore, lightening holes and centre mark.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.

    Raises:
        ShapeError: the lightening holes leave less than the least web.
    """
    rim = max(rim_radii_mm(design, wheel))
    bore = Circle((0.0, 0.0), 0.5 * opening_mm(design, wheel))
    light = lightening_holes(design, wheel)
    thickness = _right(design, wheel) - _left(design, wheel)
    return Part(
        name=wheel.name,
        role="face",
        outside=Circle((0.0, 0.0), rim),
        holes=(bore, *light),
        marks=((0.0, 0.0),),
        engraved=_within_rim(design, wheel),
        labels=disc_label(wheel.name, bottom_radius_mm(design, wheel), bore.radius_mm, light),
        thickness_mm=thickness,
        material=wheel.pulleys[0].material,
        notes=wheel.notes,
    )


def _within_rim(design: Design, wheel: PulleyPiece) -> tuple[Segment, ...]:
    """Return hub, bore and spokes of a wheel that has some, as lines to see and not to cut."""
    made = build(design).pulleys[wheel.pulleys[0].name].spoked
    if made is None:
        return ()
    hub, half = 0.5 * made.hub_mm, 0.5 * made.spoke_mm
    low, high = (math.sqrt(r**2 - half**2) for r in (hub, 0.5 * made.rim.inner_mm))
    sides = [
        Line((low, side), (high, side)) for side in (-half, half)
    ]  # fmt: skip
    turns = [Place(turn_deg=360.0 * i / made.count) for i in range(made.count)]
    circles = [s for r in (hub, 0.5 * wheel.bore_mm) for s in Circle((0.0, 0.0), r).segments]
    return (*circles, *(turn.segment(side) for turn in turns for side in sides))


def disc_label(
    name: str, bottom_mm: float, bore_mm: float, holes: tuple[Circle, ...]
) -> tuple[Label, ...]:
    """Return a name above the bore of a disc, where it fits clear of rim, bore and other holes.

    Args:
        name: what to write.
        bottom_mm: radius within which it must stay.
        bore_mm: radius of the bore.
        holes: all other holes.
    """
    height = min(4.0, 0.25 * (bottom_mm - bore_mm))
    y = 0.5 * (bottom_mm + bore_mm)
    half = 0.5 * text_width_mm(name, height)
    clear = all(
        abs(h.centre[0]) > h.radius_mm + half + 1.0 or abs(h.centre[1] - y) > h.radius_mm + height
        for h in holes
    )
    if height < 1.5 or math.hypot(half, y + height) > bottom_mm - 1.0 or not clear:
        return ()
    return (Label(name, (0.0, y), height),)


def rim_radii_mm(design: Design, wheel: PulleyPiece) -> list[float]:
    """Return the rim radius of each groove of a wheel, mm."""
    made = build(design).pulleys
    return [0.5 * made[p.name].rim_mm for p in wheel.pulleys]


def bottom_radius_mm(design: Design, wheel: PulleyPiece) -> float:
    """Return the radius of the deepest groove bottom of a wheel, mm."""
    made = build(design).pulleys
    return min(0.5 * made[p.name].bottom_mm for p in wheel.pulleys)


def lightening_holes(design: Design, wheel: PulleyPiece) -> tuple[Circle, ...]:
    """Return the holes through the web of a wheel, evenly spread, the first along x.

    Raises:
        ShapeError: they leave less than ``WEB_MM`` to the bore, the groove or one another.
    """
    asked = [p.lightening for p in wheel.pulleys if p.lightening is not None]
    if not asked:
        return ()
    holes = asked[0]
    _check_web(wheel, holes, bottom_radius_mm(design, wheel))
    return spread_circles(holes.holes, 0.5 * holes.circle_mm, 0.5 * holes.diameter_mm)


def spread_circles(count: int, on_radius_mm: float, radius_mm: float) -> tuple[Circle, ...]:
    """Return circles spread evenly on a pitch circle, the first along x."""
    angles = [math.tau * i / count for i in range(count)]
    return tuple(
        Circle((on_radius_mm * math.cos(a), on_radius_mm * math.sin(a)), radius_mm) for a in angles
    )


def _check_web(wheel: PulleyPiece, holes: Lightening, bottom: float) -> None:
    on, radius = 0.5 * holes.circle_mm, 0.5 * holes.diameter_mm
    webs = [
        (on - radius - 0.5 * wheel.bore_mm, "the bore"),
        (bottom - on - radius, "the bottom of the groove"),
    ]
    if holes.holes > 1:
        webs.append((2.0 * on * math.sin(math.pi / holes.holes) - 2.0 * radius, "the next hole"))
    least, where = min(webs)
    if least < WEB_MM:
        raise ShapeError(
            f'pulley "{wheel.name}": lightening holes leave {figures(least, 3)} mm to {where}; '
            f"leave at least {WEB_MM:g} mm"
        )


def section_part(design: Design, wheel: PulleyPiece, at: Point = (0.0, 0.0)) -> Part:
    """Return the half-section of a wheel as a part, its left face and its axis at ``at``.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.
        at: where the left face meets the axis of rotation.
    """
    outline = half_section(design, wheel)
    left = _left(design, wheel)
    return Part(
        name=wheel.name,
        role="section",
        outside=outline.moved(Place((at[0] - left, at[1]))),
        material=wheel.pulleys[0].material,
        notes=wheel.notes,
    )


def _left(design: Design, wheel: PulleyPiece) -> float:
    return min(faces_mm(design, p)[0] for p in wheel.pulleys)


def _right(design: Design, wheel: PulleyPiece) -> float:
    return max(faces_mm(design, p)[1] for p in wheel.pulleys)
