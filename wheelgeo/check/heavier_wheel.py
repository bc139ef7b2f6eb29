"""What carries a wheel over the angles in which nothing drives it: its rim and its speed."""

from __future__ import annotations

import math
from collections.abc import Iterator

from wheelgeo.built.held import sheets_at_hand
from wheelgeo.built.pulley import BuiltPulley
from wheelgeo.check.adjustments import Adjustment, Edits
from wheelgeo.check.adjustments_running import quicker
from wheelgeo.check.edits import Edit, edit
from wheelgeo.check.wheel_under_check import WheelUnderCheck
from wheelgeo.design.model import Design
from wheelgeo.units.in_full import figures, full, plain
from wheelgeo.units.quantity import INCHES

_WIDER_BY = 2.0
"""A rim is widened by so many times its width, at most."""


def carries_better(wheel: WheelUnderCheck) -> Iterator[Adjustment]:
    """Yield the ways to put more into what turns: a thicker rim first, then a quicker wheel."""
    pieces = _of_the_wheel(wheel)
    if pieces and pieces[0].pulley.build == "layers":
        yield from _thicker_cheeks(wheel.design, pieces)
    elif pieces:
        yield _wider(wheel.design, pieces)
    yield quicker(wheel.design)


def _of_the_wheel(wheel: WheelUnderCheck) -> list[BuiltPulley]:
    """Return the pulleys that make up the heaviest wheel on the driven shaft, along its axis.

    Grooves whose faces touch are one wheel: a double-drive rim has two.
    """
    on = [p for p in wheel.solution.built.pulleys.values()
          if p.pulley.shaft == wheel.design.drive.shaft]  # fmt: skip
    if not on:
        return []
    main = max(on, key=lambda p: p.inertia.polar_kg_m2)
    on = sorted((p for p in on if p.making.value == main.making.value),
                key=lambda p: p.pulley.offset_mm)  # fmt: skip
    at = on.index(main)
    first = last = at
    while first > 0 and _touch(on[first - 1], on[first]):
        first -= 1
    while last + 1 < len(on) and _touch(on[last], on[last + 1]):
        last += 1
    return on[first : last + 1]


def _touch(one: BuiltPulley, other: BuiltPulley) -> bool:
    same = math.isclose(one.rim_mm, other.rim_mm, abs_tol=1e-6)
    return same and one.faces_mm[1] >= other.faces_mm[0] - 1e-6


def _wider(design: Design, pieces: list[BuiltPulley]) -> Adjustment:
    """Make a wheel wider; of several grooves each, and they move apart by as much."""
    step = 25.4 / 16.0 if design.unit in INCHES else 1.0
    middle = 0.5 * (len(pieces) - 1)

    def edits(amount: float) -> Edits:
        found: list[Edit] = []
        for i, piece in enumerate(pieces):
            wide = round(piece.width_mm + amount, 4)
            found.append(edit(design, "pulley", piece.name, "width", wide))
            if len(pieces) > 1:
                offset = round(piece.pulley.offset_mm + (i - middle) * amount, 4)
                found.append(edit(design, "pulley", piece.name, "offset", offset))
        return tuple(found)

    most = _WIDER_BY * max(p.width_mm for p in pieces)
    return Adjustment(edits, step * math.ceil(most / step), step)


def _thicker_cheeks(design: Design, pieces: list[BuiltPulley]) -> Iterator[Adjustment]:
    """Yield the way to glue up one layered wheel of thicker cheeks; of several they would meet.

    Its amounts count the sheets that are thicker, those at hand or those that are sold.
    """
    if len(pieces) > 1:
        return
    (piece,) = pieces
    thicker = [mm for mm in sheets_at_hand(design) if mm > piece.cheek_mm]

    def edits(amount: float) -> Edits:
        return (edit(design, "pulley", piece.name, "cheek", thicker[round(amount) - 1]),)

    yield Adjustment(edits, len(thicker), 1.0)


def weight_in_words(wheel: WheelUnderCheck, enough_kg_m2: float) -> str:
    """Return how much heavier the rim must be where no edit is, in numbers.

    Args:
        wheel: the wheel.
        enough_kg_m2: moment of inertia about the driven shaft that is enough.
    """
    has = wheel.loaded.effort.inertia_kg_m2
    pieces = _of_the_wheel(wheel)
    says = "make the rim heavier"
    if pieces:
        # What is let into the rim lies between the bottom of the groove and the rim's inside.
        across = pieces[0].bottom_mm
        kg = (enough_kg_m2 - has) / (0.5 * across / 1e3) ** 2
        says += f' by {figures(kg)} kg in a ring {full(across, 0)} mm across, let into "'
        says += f'{pieces[0].name}"'
    times = f", {plain(enough_kg_m2 / has, 1)} times what it has" if has > 0.0 else ""
    return (
        f"{says}: all that turns needs a moment of inertia of {figures(enough_kg_m2, 3)} kg m² "
        f"about the wheel's shaft{times}"
    )
