"""How each pulley is fixed on its rod, in words that a workshop can follow."""

from __future__ import annotations

from wheelgeo.design.rod_fits import Way
from wheelgeo.drive.fixing import FixedPulley

_WOOD: dict[Way, str] = {
    "set screw": "{size} in a metal boss, on a flat filed on the rod",
    "pin": "{size} through hub and rod: drill both together, square to the rod; drive the pin and "
    "trim it flush",
    "push fit, glued": "push fit, glued with epoxy; roughen the rod, wipe it with spirit first",
    "taper": "taper 1 in 20 on the rod, driven in dry",
    "one piece": "no way to fix it holds: turn it in one piece with its rod or with the pulley "
    "beside it",
}
_METAL: dict[Way, str] = {
    **_WOOD,
    "set screw": "{size} on a flat filed on the rod, with thread lock",
    "push fit, glued": "push fit with retaining compound; wipe bore and rod with spirit first",
}


def fixing_words(fixed: FixedPulley) -> str:
    """Return how a pulley is fixed on its rod."""
    words = _METAL if fixed.pulley.is_metal else _WOOD
    return words[fixed.fixing.way].format(size=fixed.fixing.size)


def fixing_reason(fixed: FixedPulley) -> str:
    """Return why that way was taken, with values and limits."""
    return fixed.fixing.why.removeprefix(f"{fixed.fixing.size}: ")
