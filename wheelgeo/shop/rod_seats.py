"""What upright rods stand on: discs of brass let flush into the board below, clear of screws."""

from __future__ import annotations

import math

from wheelgeo.built.as_built import build
from wheelgeo.built.body import BoardShape, BuiltBody
from wheelgeo.built.endways import stands_on_floor
from wheelgeo.design.model import Design
from wheelgeo.geometry.vectors import along
from wheelgeo.immutable import dataclass
from wheelgeo.shop.board_parts import base_of, standing_on
from wheelgeo.shop.bolt_cuts import bolt_cuts
from wheelgeo.shop.outlines import Circle, Loop, Point
from wheelgeo.shop.screw_places import WOOD_MM, box_away_mm, screw_holes
from wheelgeo.shop.worked_once import kept

SEAT_OVER_MM, SEAT_MM = 4.0, 1.0
"""What the brass under a rod is wider than the rod, and its thickness: common practice."""
SEAT_LEAST = 0.5
"""Least width of it, in diameters of the rod: its rounded end touches in its middle alone."""


@dataclass(frozen=True)
class BearingSeat:
    """The disc of brass that an upright rod stands on, let flush into the floor.

    Attributes:
        rod: name of the shaft.
        at: its middle, that of the rod's travel, from the floor's left and front edge, mm.
        across_mm: its diameter: as wide as the rod travels, and more as far as screws leave room.
    """

    rod: str
    at: Point
    across_mm: float


def seats(design: Design) -> tuple[BearingSeat, ...]:
    """Return what upright rods stand on; none for those that a collar or a face carries."""
    return kept(design, "seats of rods", lambda: _seats(design))


def _seats(design: Design) -> tuple[BearingSeat, ...]:
    base, built, found = base_of(design), build(design), []
    if base is None:
        return ()
    shape = base.shape
    assert isinstance(shape, BoardShape)
    left, front, *_ = shape.flat_box
    for made in built.shafts.values():
        if made.shaft.fixed or not stands_on_floor(built, made):
            continue
        slide, at = made.shaft.slide, along(made.shaft.at_mm, made.shaft.axis, made.ends_mm[0])
        travel = 0.0
        if slide is not None:
            travel = slide.to_mm - slide.from_mm
            at = along(at, slide.along, 0.5 * (slide.from_mm + slide.to_mm))
        x, y = shape.flat_place(at)
        wanted = float(math.ceil(made.diameter_mm + travel + SEAT_OVER_MM - 1e-9))
        # no screw strikes it, and no slot breaks into its recess: bought in whole millimetres
        room = 2.0 * (_to_next_cut(design, base, (x, y)) - WOOD_MM)
        clear = wanted if room >= wanted else float(math.floor(room + 1e-9))
        across = max(clear, travel + SEAT_LEAST * made.diameter_mm)
        found.append(BearingSeat(made.name, (x - left, y - front), across))
    return tuple(found)


def _to_next_cut(design: Design, base: BuiltBody, at: Point) -> float:
    """Return how far a place of the base is from the next hole or slot of a fastening, mm."""
    cuts: list[Loop] = [cut for _, cut in bolt_cuts(design, base, standing_on(design, base))]
    cuts += [c for one in screw_holes(design, base) for c in one.circles]
    away = [math.inf]
    for cut in cuts:
        away.append(
            math.dist(at, cut.centre) - cut.radius_mm if isinstance(cut, Circle)
            else box_away_mm(at, cut.box)
        )
    return min(away)
