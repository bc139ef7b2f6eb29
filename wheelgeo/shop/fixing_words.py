"""How each pulley is fixed on its rod, in words that a workshop can follow."""

from __future__ import annotations

import math

from wheelgeo.design.ways_to_fix import Way
from wheelgeo.drive.fixing import FixedPulley
from wheelgeo.shop.fastenings import screw_mm
from wheelgeo.units.in_full import Told, part_of

_WOOD: dict[Way, str] = {
    "set screw": "{size} in a metal boss, on a flat filed on the rod",
    "pin": "{size}, {long} mm long, through hub and rod: drill both together from the bottom of "
    "the groove, square to the rod; {end}",
    "flange": "{size}, on the rod with retaining compound or solder; let it flush into one face of "
    "the wheel and glue it there with epoxy{screws}",
    "push fit, glued": "push fit, glued with epoxy; roughen the rod, wipe it with spirit first",
    "taper": "taper 1 in 20 on the rod, driven in dry",
    "turns on its pin": "not fixed: it turns in its bushes on the pin, which stands still; press "
    "the bushes into it with glue, flush with both faces, a washer on either side, a drop of oil",
    "one piece": "no way to fix it holds: turn it in one piece with its rod or with the pulley "
    "beside it",
}
_METAL: dict[Way, str] = {
    **_WOOD,
    "set screw": "{size} on a flat filed on the rod, with thread lock",
    "push fit, glued": "push fit with retaining compound; wipe bore and rod with spirit first",
}

_COMES_OFF = {
    True: "mark hub and rod beside the hole, so that they go together the same way round; ease the "
    "pin with fine paper until the fingers push it in, flush at both ends: no glue, a touch of "
    "beeswax holds it, and a thinner wire pushes it out again",
    False: "mark hub and rod beside the hole, so that they go together the same way round; slide "
    "the pin to the middle of the rod without glue and leave its hole open: a magnet draws it out",
}
"""How a pin is held that is drawn out in use, by whether its hole goes right through."""


def fixing_words(fixed: FixedPulley) -> str:
    """Return how a pulley is fixed on its rod."""
    words = _METAL if fixed.pulley.is_metal else _WOOD
    fixing, sleeve = fixed.fixing, fixed.pulley.shaft.runs_on is not None
    if sleeve and fixing.way == "push fit, glued":
        return "push fit, glued on the sleeve; keep glue and pins out of its bore"
    if fixing.way == "flange" and fixed.pulley.pulley.build == "layers":
        return f"{fixing.size}, on the rod with retaining compound or solder; it lies in the hole "\
            "of that cheek which has one of its size, and is glued there on the core with epoxy"
    across, long = flange_screw_mm(fixed)
    screws = f", {FLANGE_SCREWS} brass screws {across:g} × {long:g} mm through it" if long else ""
    if fixing.comes_off:
        end = _COMES_OFF[fixing.whole]
    else:
        end = "drive the pin and trim it flush" if fixing.whole else \
            "sink it to the middle of the rod and fill the hole"
    return words[fixing.way].format(size=fixing.size, long=fixing.long_mm, end=end, screws=screws)


FLANGE_SCREWS = 3
"""Screws through a flange: common practice, no source."""


def flange_screw_mm(fixed: FixedPulley) -> tuple[float, float]:
    """Return diameter and length of the screws through a flange into its wheel, mm.

    A third of the ring's width, since a head is twice as wide as its screw; 0, 0 where there is no
    flange, and of layers, which have no wood behind it that a screw would hold in.
    """
    fixing, made = fixed.fixing, fixed.pulley
    if fixing.way != "flange" or made.pulley.build == "layers":
        return 0.0, 0.0
    ring = 0.5 * (fixing.across_mm - made.shaft.diameter_mm)
    low, high = made.faces_mm
    behind = high - low - fixing.thick_mm
    return screw_mm(ring / 3.0, math.inf, fixing.thick_mm, behind)


def fixing_reason(fixed: FixedPulley) -> str:
    """Return why that way was taken, with values and limits."""
    return Told(part_of(fixed.fixing.why).removeprefix(f"{fixed.fixing.size}: "))
