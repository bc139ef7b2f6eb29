"""The pieces that a large wooden wheel is glued up from, before it is turned: as parts to cut.

A segment is drawn as it is sawn, a trapezium with the arcs of the finished rim on it; the middle as
a disc; boards and battens as they are planed. See ``wheelgeo.built.built_up``.
"""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.built.built_up import (
    GLUED_UP,
    LAYERS,
    SPARE_MM,
    Making,
    glued_boards,
    rim_of_segments,
)
from wheelgeo.built.spoked import TENON_MM, SpokedWheel
from wheelgeo.design.model import Design
from wheelgeo.geometry.built_rim import SegmentedRing
from wheelgeo.geometry.segments import Arc, Line, on_circle
from wheelgeo.shop.faces import bottom_radius_mm, disc_label, rim_radii_mm
from wheelgeo.shop.outlines import Circle, Part, Place, polygon_outline, rectangle
from wheelgeo.shop.section import PulleyPiece, faces_mm
from wheelgeo.units.in_full import full


def making(design: Design, wheel: PulleyPiece) -> Making:
    """Return how a piece is made: as its largest pulley is."""
    made = [build(design).pulleys[p.name] for p in wheel.pulleys]
    return max(made, key=lambda p: p.rim_mm).making.value


def built_up_parts(design: Design, wheel: PulleyPiece) -> tuple[Part, ...]:
    """Return the pieces that a wheel is glued up from; none of one that is turned from one board.

    Args:
        design: the wheel's design.
        wheel: one of its pieces.
    """
    how = making(design, wheel)
    if how not in GLUED_UP:
        return ()
    faces = [face for p in wheel.pulleys for face in faces_mm(design, p)]
    width = max(faces) - min(faces) + 2.0 * SPARE_MM  # as the blank: both faces are turned too
    first = build(design).pulleys[wheel.pulleys[0].name]
    wood = first.material.value.name
    if first.spoked is not None:
        return (_segment(wheel.name, first.spoked.rim, width, wood, "."),
                *_hub_and_spokes(wheel, first.spoked, width - 2.0 * SPARE_MM, wood))  # fmt: skip
    made = _segments if how == "segments" else _boards
    return made(wheel.name, 2.0 * max(rim_radii_mm(design, wheel)), width, wood,
                2.0 * bottom_radius_mm(design, wheel))  # fmt: skip


def swing_mm(design: Design, wheel: PulleyPiece) -> float:
    """Return the diameter that a piece's blank sweeps in the lathe, mm: rings by their corners."""
    how, rim = making(design, wheel), 2.0 * max(rim_radii_mm(design, wheel))
    if how not in ("segments", "spokes"):
        return rim + 2.0 * SPARE_MM
    spoked = build(design).pulleys[wheel.pulleys[0].name].spoked
    ring = spoked.rim if spoked is not None else \
        rim_of_segments(rim, 2.0 * bottom_radius_mm(design, wheel))
    return ring.long_edge_mm / math.sin(math.pi / ring.count)


def _segments(
    name: str, rim_mm: float, width_mm: float, wood: str, bottom_mm: float
) -> tuple[Part, ...]:
    ring = rim_of_segments(rim_mm, bottom_mm)
    segment = _segment(name, ring, width_mm, wood, ", round the middle.")
    radius = 0.5 * ring.inner_mm
    middle = Part(
        name=f"{name} middle", role="middle", outside=Circle((0.0, 0.0), radius),
        marks=((0.0, 0.0),), labels=disc_label(f"{name} middle", radius, 5.0, ()),
        thickness_mm=width_mm / LAYERS, quantity=LAYERS, material="plywood",
        notes=(
            f"Turn each ring of segments out to fit it, {full(ring.inner_mm, 1)} mm, and glue it "
            "in; bore it on its mark when the whole blank is glued, then turn rim and groove.",
        ),
    )  # fmt: skip
    return segment, middle


def _hub_and_spokes(
    wheel: PulleyPiece, made: SpokedWheel, width_mm: float, wood: str
) -> tuple[Part, ...]:
    """Return hub and spoke; both are turned, so they are drawn as the blanks that are sawn."""
    radius, name, n = 0.5 * made.hub_mm, wheel.name, made.count
    into_hub, into_rim = TENON_MM
    rays = tuple(
        Line(on_circle((0.0, 0.0), wheel.bore_mm, turn), on_circle((0.0, 0.0), radius, turn))
        for turn in (360.0 * i / n for i in range(n))
    )
    spoke_mm, tenon_mm = full(made.spoke_mm, 1), full(made.tenon_mm, 1)
    thick = f"{spoke_mm} mm thick, a tenon {tenon_mm} mm thick at each end, "
    hub = Part(
        name=f"{name} hub", role="hub", outside=Circle((0.0, 0.0), radius),
        holes=(Circle((0.0, 0.0), 0.5 * wheel.bore_mm),), engraved=rays,
        thickness_mm=width_mm, material=wood,
        notes=(
            f"Bore and turn it first. Bore {n} holes {tenon_mm} mm, {into_hub:g} mm deep, "
            "towards its axis, in the middle of its width, one at the end of each line.",
            f"Glue the rim up in two halves, their ends stepped as the layers lie, and bore it "
            f"likewise from within, {into_rim:g} mm deep. Close the halves dry on spokes and hub, "
            "true the rim against the hub, then glue all; turn rim and groove last, on the rod.",
        ),
    )  # fmt: skip
    spoke = Part(
        name=f"{name} spoke", role="spoke",
        outside=rectangle((0.0, 0.0, made.long_mm, made.spoke_mm)),
        thickness_mm=made.spoke_mm, quantity=n, grain="along", material=wood,
        notes=(
            f"Turn it {thick}{into_hub:g} and {into_rim:g} mm long: {full(made.between_mm, 1)} mm "
            "from shoulder to shoulder, all alike, since they make the rim run true.",
        ),
    )  # fmt: skip
    return hub, spoke


def _segment(name: str, ring: SegmentedRing, width_mm: float, wood: str, end: str) -> Part:
    half = ring.mitre_deg
    rims = tuple(
        Arc((0.0, 0.0), 0.5 * d, 90.0 - half, 90.0 + half, True)
        for d in (ring.outer_mm, ring.inner_mm)
    )
    segment = Part(
        name=f"{name} segment", role="segment", outside=polygon_outline(ring.outline_mm()),
        engraved=rims, thickness_mm=width_mm / LAYERS, quantity=LAYERS * ring.count,
        grain="along", material=wood,
        notes=(
            f"Saw from a board {full(ring.board_width_mm, 1)} mm wide, both ends mitred at "
            f"{ring.mitre_deg:.4g}\N{DEGREE SIGN} to the line square across; long edge "
            f"{full(ring.long_edge_mm)} mm, short edge {full(ring.short_edge_mm)} mm. The arcs are "
            f"the finished rim: leave {SPARE_MM:g} mm to turn beyond both, and on both faces.",
            f"{ring.count} make a ring: lay one out dry, and correct the mitre before gluing where "
            f"the last joint gapes. Glue {LAYERS} rings on one another, the joints of one over the "
            f"middles of the other{end}",
        ),
    )  # fmt: skip
    x1, y1 = segment.box[:2]
    return segment.moved(Place((-x1, -y1)))


def _boards(
    name: str, rim_mm: float, width_mm: float, wood: str, bottom_mm: float
) -> tuple[Part, ...]:
    del bottom_mm  # boards are solid from rim to bore
    blank = glued_boards(rim_mm, width_mm - 2.0 * SPARE_MM)
    long, wide, deep = blank.batten_mm
    return (
        Part(
            name=f"{name} board", role="board",
            outside=rectangle((0.0, 0.0, blank.long_mm, blank.width_mm)),
            thickness_mm=width_mm, quantity=blank.count, grain="along", material=wood,
            notes=(
                "Glue edge to edge, the rings of neighbours turned over; saw round, bore, then "
                "turn rim and groove.",
            ),
        ),
        Part(
            name=f"{name} batten", role="batten", outside=rectangle((0.0, 0.0, long, wide)),
            thickness_mm=deep, quantity=2, grain="along", material=wood,
            notes=(
                "Let flush into the turned back, square across the boards, "
                f"{full(0.25 * rim_mm, 0)} mm to either side of the axle, in a dovetail housing; "
                "glue the middle 50 mm only, so that the boards can move.",
            ),
        ),
    )  # fmt: skip
