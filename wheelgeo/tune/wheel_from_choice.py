"""From a choice of cords, rims and places to a whole design.

The layout, seen from above with the case's lowest corner as the origin: the wheel lies flat at the
left end, on the middle line, as near to the wall as clearance and grid let it; the hub lies level
with it on the middle shaft, the accelerator above the hub; the spindle stands beyond. A horizontal
spindle lies across the case, its whorl level with the accelerator and square to the middle shaft,
so that the band comes in equally well in spinning and in backing off, its tip towards the wall
that is further away. A flat one stands parallel to the other shafts. The crank turns above all of
it. ``heights`` is the one place where the layers are stacked.
"""

from __future__ import annotations

import math
from dataclasses import replace

from wheelgeo.built.held import BRIDGE_MM, CRANK_MM, WASHER_MM
from wheelgeo.built.pulley import BuiltPulley, loose_pulley
from wheelgeo.design.model import (
    Band,
    Case,
    Design,
    Drive,
    Pulley,
    Shaft,
    Shop,
    Stop,
    VeeGroove,
)
from wheelgeo.design.twist import direction
from wheelgeo.drive.train import solve_drive
from wheelgeo.immutable import dataclass
from wheelgeo.tune.brief import Brief, Choice
from wheelgeo.tune.brief_grooves import disc_groove, small_groove
from wheelgeo.units.quantity import INCHES

PLAY_MM = 1.0
"""Left beyond the least clearance wherever the layout itself sets two parts apart, mm."""
CRANK_ABOVE_MM = 1.0
"""From the bridge of the main shaft, or the rim of the case, to the crank's arm, mm."""


@dataclass(frozen=True)
class Heights:
    """The layers, mm above the floor of the case.

    Attributes:
        wheel: mid-plane of wheel and hub.
        upper: mid-plane of the accelerator; of the spindle's axis or of the whorl.
        top: the highest part of any pulley.
        crank: plane of the crank.
    """

    wheel: float
    upper: float
    top: float
    crank: float


@dataclass(frozen=True)
class Parts:
    """The pulleys of a choice, not yet in their places."""

    wheel: Pulley
    hub: Pulley | None
    accelerator: Pulley | None
    whorl: Pulley


def apart_mm(brief: Brief) -> float:
    """Return the least gap that the layout leaves between parts, mm."""
    return brief.limit("clearance_mm") + PLAY_MM


def parts_of(brief: Brief, choice: Choice) -> Parts:
    """Return the pulleys with their grooves, offsets 0."""
    quarter, rods = brief.lies == "horizontal", brief.rods
    first = brief.cords[choice.first].diameter_mm
    if choice.second is None:
        groove = small_groove(choice.whorl, first, quarter)
        whorl = small_pulley(brief, "whorl", "spindle", groove, rods.spindle)
        return Parts(
            disc(brief, "wheel", "main", disc_groove(choice.wheel, first, quarter)),
            None, None, whorl,
        )  # fmt: skip
    second = brief.cords[choice.second].diameter_mm
    assert choice.hub is not None
    assert choice.accelerator is not None
    hub, thin = small_groove(choice.hub, first), small_groove(choice.whorl, second, quarter)
    return Parts(
        disc(brief, "wheel", "main", disc_groove(choice.wheel, first)),
        small_pulley(brief, "hub", "middle", hub, rods.middle),
        disc(brief, "accelerator", "middle", disc_groove(choice.accelerator, second, quarter)),
        small_pulley(brief, "whorl", "spindle", thin, rods.spindle),
    )


def disc(brief: Brief, name: str, shaft: str, groove: VeeGroove) -> Pulley:
    """Return a large pulley, of the first sheet at hand."""
    material = brief.sheets[0].material if brief.sheets else None
    return Pulley(name, shaft, 0.0, groove, width_mm=brief.disc_mm, material=material)


def small_pulley(brief: Brief, name: str, shaft: str, groove: VeeGroove, rod_mm: float) -> Pulley:
    """Return a hub or a whorl: of wood, or of brass where wood would be too thin at its bore."""
    wooden = Pulley(name, shaft, 0.0, groove)
    return replace(wooden, material="brass") if is_thin(brief, wooden, rod_mm) else wooden


def is_thin(brief: Brief, pulley: Pulley, rod_mm: float) -> bool:
    """Tell whether less is left between bore and groove than practice wants."""
    rod = Shaft(pulley.shaft, (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), rod_mm)
    made = BuiltPulley(pulley, rod, 0.0)
    limit = brief.limit("metal_wall_mm" if made.is_metal else "wood_wall_mm")
    return made.wall_mm < limit - 1e-9


def half_mm(brief: Brief, pulley: Pulley) -> float:
    """Return half the width of a pulley, mm; the cord does not bear on it."""
    del brief
    return 0.5 * loose_pulley(pulley).width_mm


def stepped(brief: Brief, height_mm: float) -> float:
    """Return a height or a place as a workshop marks it, the next one up: 1/2 mm or 1/32 in."""
    step = 25.4 / 32.0 if brief.unit in INCHES else 0.5
    return round(math.ceil(height_mm / step - 1e-9) * step, 6)


def main_stands_mm(brief: Brief, wheel_rim_mm: float) -> float:
    """Return how far from the wall at the left end the main shaft stands: on the brief's grid."""
    step = brief.sizes.place_mm
    return math.ceil((wheel_rim_mm / 2.0 + apart_mm(brief)) / step - 1e-9) * step


def heights(brief: Brief, parts: Parts) -> Heights:
    """Return the layers; see the top of this page."""
    gap = apart_mm(brief)
    small = parts.whorl if parts.hub is None else parts.hub
    level = [half_mm(brief, parts.wheel)]
    if brief.stages == 2 or brief.lies == "flat":
        level.append(half_mm(brief, small))
    whorl = _rim(parts.whorl) / 2.0 if brief.lies == "horizontal" else half_mm(brief, parts.whorl)
    wheel = stepped(brief, gap + max(level))
    upper = wheel
    cop = gap + cop_radius_mm(brief) if brief.lies == "horizontal" else 0.0
    if brief.stages == 2 and parts.accelerator is not None:
        high = max(half_mm(brief, parts.accelerator), whorl)
        upper = stepped(brief, max(wheel + max(level) + gap + high, cop))
    elif brief.lies == "horizontal":
        upper = wheel = stepped(brief, max(gap + max(level[0], whorl), cop))
    top = upper + max(whorl, half_mm(brief, parts.accelerator or parts.wheel))
    # The bridge that holds the main shaft lies over the wheel, and the crank turns above it.
    bridge = wheel + half_mm(brief, parts.wheel) + WASHER_MM + BRIDGE_MM
    crank = max(top + gap, bridge + CRANK_ABOVE_MM) + 0.5 * CRANK_MM
    return Heights(wheel, upper, top, stepped(brief, crank))


def cop_radius_mm(brief: Brief) -> float:
    """Return the radius of the thickest thing on the spindle beside the whorl, mm."""
    spindle = brief.spindle
    across = [brief.rods.spindle, *(w.diameter_mm for w in spindle.washers)]
    if spindle.cop is not None:
        across.append(spindle.cop.diameter_mm)
    return max(across) / 2.0


def _rim(pulley: Pulley) -> float:
    return pulley.groove.size_mm


def lay_out(brief: Brief, choice: Choice) -> Design:
    """Return the design of a choice, turned so that the twist comes out as wanted."""
    parts = parts_of(brief, choice)
    high = heights(brief, parts)
    design = Design(
        title=brief.title, unit=brief.unit, drive=_drive(brief, choice, high),
        shafts=_shafts(brief, choice, high), pulleys=_pulleys(parts, brief, high),
        bands=_bands(brief, choice), spindle=brief.spindle, yarn=brief.yarn,
        case=Case(brief.inside_mm, (0.0, 0.0, 0.0), lid_mm=_case_sheet_mm(brief)),
        shop=_shop(brief),
        limits=dict(brief.limits),
    )  # fmt: skip
    return _turned_rightly(design)


def _drive(brief: Brief, choice: Choice, high: Heights) -> Drive:
    """Return the drive; a crank that has no room between the walls turns above them."""
    reach = brief.crank_mm + brief.limit("knuckle_room_mm")
    x, y = choice.main
    room = min(x, y, brief.inside_mm[0] - x, brief.inside_mm[1] - y)
    above = stepped(brief, brief.inside_mm[2] + CRANK_ABOVE_MM + 0.5 * CRANK_MM)
    inside = high.crank if room >= reach else max(high.crank, above)
    return Drive("main", "crank", brief.hand_rpm, "clockwise", brief.crank_mm, inside)


def _shafts(brief: Brief, choice: Choice, high: Heights) -> tuple[Shaft, ...]:
    up = (0.0, 0.0, 1.0)
    rods = brief.rods
    shafts = [Shaft("main", (*choice.main, 0.0), up, rods.main)]
    if choice.middle is not None:
        shafts.append(Shaft("middle", (*choice.middle, 0.0), up, rods.middle))
    at = (*choice.spindle, high.upper)
    axis = up if brief.lies == "flat" else (0.0, tip_side(brief, choice.spindle[1]), 0.0)
    shafts.append(Shaft("spindle", at, axis, rods.spindle, ends_mm=brief.spindle_ends_mm))
    return tuple(shafts)


def tip_side(brief: Brief, y_mm: float) -> float:
    """Return which way the tip of a horizontal spindle looks along y, +1 or -1."""
    return 1.0 if y_mm <= brief.inside_mm[1] / 2.0 else -1.0


def _pulleys(parts: Parts, brief: Brief, high: Heights) -> tuple[Pulley, ...]:
    del brief
    wheel, upper = high.wheel, high.upper
    placed = [replace(parts.wheel, offset_mm=wheel)]
    if parts.hub is not None and parts.accelerator is not None:
        placed.append(replace(parts.hub, offset_mm=wheel))
        placed.append(replace(parts.accelerator, offset_mm=upper))
    return (*placed, parts.whorl)


def _bands(brief: Brief, choice: Choice) -> tuple[Band, ...]:
    if choice.second is None:
        return (_band(brief, "band", choice.first, ("wheel", "whorl")),)
    return (
        _band(brief, "first band", choice.first, ("wheel", "hub")),
        _band(brief, "second band", choice.second, ("accelerator", "whorl")),
    )


def _band(brief: Brief, name: str, cord: int, route: tuple[str, str]) -> Band:
    made = brief.cords[cord]
    stops = (Stop(route[0]), Stop(route[1]))
    return Band(name, stops, made.material, made.diameter_mm, slip=made.slip, stretch=made.stretch)


def _turned_rightly(design: Design) -> Design:
    """Return the design with the hand turned the other way where the twist would come out wrong."""
    speed = solve_drive(design).spindle.speed_rpm
    if speed is None or design.yarn is None or direction(speed) == design.yarn.twist:
        return design
    return replace(design, drive=replace(design.drive, turns="counter-clockwise"))


def _case_sheet_mm(brief: Brief) -> float | None:
    """Return the thickness of lid and floor from the sheets at hand; None: as is usual."""
    usual = Shop().floor_mm
    return min((s.thickness_mm for s in brief.sheets if s.thickness_mm >= usual), default=None)


def _shop(brief: Brief) -> Shop:
    floor = _case_sheet_mm(brief)
    shop = Shop(sheets=brief.sheets)
    return shop if floor is None else replace(shop, floor_mm=floor)
