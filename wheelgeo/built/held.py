"""How every shaft is held where the file does not say: which way it stands, and its bearings.

An upright shaft of a case stands in a block on the floor and reaches through a bridge above its
pulleys; a level one lies in two supports close to either side of them. All sizes here are common
practice, no source; bearings stand close to what they carry, since a rod bends with the cube of
what it spans.
"""

from __future__ import annotations

import math
from typing import Literal

from wheelgeo.built.kept import kept_with
from wheelgeo.design.model import Design, Shaft

Standing = Literal["upright", "level", "slanting"]

LEVEL = 1e-6
"""Cosine of the angle to the upright within which a shaft lies level, and the other way round."""
WASHER_MM = 1.5
"""Room between the face of a pulley and the bearing beside it: a washer and its play."""
WOBBLE = 0.01
"""Room beside a rim that runs between posts, over its radius: how far a large wheel of wood wobbles
and warps."""
BLOCK_MM = 10.0
"""Usual height of the block on the floor in which an upright shaft stands."""
LEAST_BLOCK_MM = 3.0
BRIDGE_MM = 9.0
"""Thickness of the bridge through which an upright shaft reaches."""
CRANK_MM = 8.0
"""Thickness of the crank's arm along its axis."""
USUAL_WALL_MM = 9.0
"""Thickness of a case's walls."""
USUAL_LID_MM = 6.0


SHEETS_MM = (1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 9.0, 10.0, 12.0, 15.0, 18.0, 21.0, 24.0)
"""Thicknesses of sheet that are sold, mm."""


def all_of_sheet(design: Design) -> bool:
    """Return whether a wheel is made wholly from sheet: it has a case, and layers for pulleys."""
    return kept_with(design, "of sheet", lambda: _of_sheet(design))


def _of_sheet(design: Design) -> bool:
    layers = all(pulley.build == "layers" for pulley in design.pulleys)
    return layers and bool(design.pulleys) and design.case is not None


def sheets_at_hand(design: Design) -> tuple[float, ...]:
    """Return the thicknesses of sheet that the shop has, or else that are sold, mm, rising."""
    return tuple(sorted({stock.thickness_mm for stock in design.shop.sheets} or SHEETS_MM))


def sheet_mm(design: Design, most: float) -> float:
    """Return the thickest sheet not above a thickness where all is cut from sheet, mm.

    Of the sheets that the file names, else of those that are sold; where none is so thin, or the
    wheel is not made wholly from sheet, the thickness itself.
    """
    if not all_of_sheet(design):
        return most
    return max((t for t in sheets_at_hand(design) if t <= most + 1e-9), default=most)


def standing(shaft: Shaft) -> Standing:
    """Return which way a shaft stands."""
    upright = abs(shaft.axis[2])
    if upright > 1.0 - LEVEL:
        return "upright"
    return "level" if upright < LEVEL else "slanting"


def bearing_length_mm(design: Design, shaft: Shaft) -> float:
    """Return how long a bearing of a shaft is, along its axis, mm.

    Args:
        design: the wheel.
        shaft: one of its shafts.

    Returns:
        In a case about the rod's diameter, from 5 to 12 mm; of a spindle or flyer in maidens
        12 mm; of any other shaft of a floor wheel one and a half diameters, from 12 to 24 mm: the
        post that it is in is as thick.
    """
    if design.case is not None:
        usual = min(max(shaft.diameter_mm, 5.0), 12.0)
        thinner = sheet_mm(design, usual)
        return thinner if thinner >= LEAST_BLOCK_MM else usual
    if shaft.name == design.spindle.shaft:
        return 12.0
    return min(max(1.5 * shaft.diameter_mm, 12.0), 24.0)


def floor_along_mm(design: Design, shaft: Shaft) -> float | None:
    """Return where an upright shaft of a case meets the floor, along its axis from its ``at``."""
    if design.case is None or standing(shaft) != "upright":
        return None
    return (design.case.corner_mm[2] - shaft.at_mm[2]) * (1.0 if shaft.axis[2] > 0.0 else -1.0)


def _room_to_crank_mm(design: Design, shaft: Shaft, face: float) -> float:
    """Return how long a bearing may be between a face and a crank beyond it, mm."""
    drive = design.drive
    if drive.shaft != shaft.name or drive.offset_mm is None or drive.radius_mm is None:
        return math.inf
    return drive.offset_mm - 0.5 * CRANK_MM - 0.5 - face - WASHER_MM


def usual_places_mm(
    design: Design, shaft: Shaft, faces: tuple[float, float]
) -> tuple[tuple[float, float], ...]:
    """Return middle and length of the two bearings of a shaft, along its axis, mm, lower first.

    Args:
        design: the wheel.
        shaft: one of its shafts.
        faces: the two outermost faces of what it carries, mm.
    """
    length = bearing_length_mm(design, shaft)
    beside = WASHER_MM
    if design.case is None:  # its posts stand up beside the rim as far as the axle
        rims = [pulley.groove.size_mm for pulley in design.pulleys_on(shaft.name)]
        beside = max(WASHER_MM, WOBBLE * 0.5 * max(rims, default=0.0))
    low = faces[0] - beside - 0.5 * length, length
    room = _room_to_crank_mm(design, shaft, faces[1])
    long = room if LEAST_BLOCK_MM <= room < length else length
    high = faces[1] + beside + 0.5 * long, long
    floor = floor_along_mm(design, shaft)
    if floor is None:
        return low, high
    bridge = sheet_mm(design, room if LEAST_BLOCK_MM <= room < BRIDGE_MM else BRIDGE_MM)
    beyond = faces[1] + WASHER_MM + 0.5 * bridge, bridge
    room = faces[0] - floor - 1.0
    if shaft.axis[2] < 0.0:
        beyond = faces[0] - WASHER_MM - 0.5 * BRIDGE_MM, BRIDGE_MM
        room = floor - faces[1] - 1.0
    up = 1.0 if shaft.axis[2] > 0.0 else -1.0
    height = min(room, BLOCK_MM)
    # planed to half millimetres, where the room lets it be
    height = sheet_mm(design, math.floor(2.0 * height) / 2.0 if height > 1.0 else height)
    # Too low for a block: the bush sits in the floor board itself.
    thick = design.shop.floor_mm
    stands = floor + 0.5 * up * height, height
    if height < LEAST_BLOCK_MM:
        stands = floor - 0.5 * up * thick, thick
    return (stands, beyond) if up > 0.0 else (beyond, stands)
