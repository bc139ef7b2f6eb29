"""Bores of pulleys on their shafts: ISO 286 hole basis in metal, reamed to a push fit in wood."""

from __future__ import annotations

from wheelgeo.built.as_built import build
from wheelgeo.design.model import Design, Pulley
from wheelgeo.design.rod_fits import WOOD_PLAYS, it7_um
from wheelgeo.immutable import dataclass


@dataclass(frozen=True)
class Bore:
    """A bore: the diameter to cut, its limits, and the sentence that says how it was chosen."""

    diameter_mm: float
    note: str
    limits: str = ""


def bore_of(design: Design, pulley: Pulley) -> Bore:
    """Return the bore of a pulley on its shaft.

    Args:
        design: the wheel.
        pulley: one of its pulleys.

    Returns:
        The file's bore; or the shaft's diameter, of metal to H7, of wood reamed to a push fit.
    """
    made = build(design).pulleys[pulley.name]
    shaft = made.shaft
    if pulley.bore_mm is not None:
        return Bore(pulley.bore_mm, f"Bore {pulley.bore_mm:g} mm as given.")
    if shaft.fixed:
        play = WOOD_PLAYS["push fit"]
        return Bore(
            made.bore_mm,
            f"Bore {made.bore_mm:g} mm (+{play.greatest_mm:g} / {play.least_mm:g} mm) for the "
            f'bushes that turn on the {shaft.diameter_mm:g} mm pin "{shaft.name}".',
            f" (+{play.greatest_mm:g} / {play.least_mm:g})",
        )
    if made.is_metal:
        upper = it7_um(shaft.diameter_mm) / 1000.0
        return Bore(
            shaft.diameter_mm,
            f"Bore {shaft.diameter_mm:g} H7 (+{upper:.3f} / 0 mm) for the {shaft.diameter_mm:g} mm "
            f'shaft "{shaft.name}".',
            f" H7 (+{upper:.3f} / 0)",
        )
    play = WOOD_PLAYS["push fit"]
    return Bore(
        made.bore_mm,
        f"Bore {shaft.diameter_mm:g} mm (+{play.greatest_mm:g} / {play.least_mm:g} mm), reamed to "
        f'a push fit on the {shaft.diameter_mm:g} mm shaft "{shaft.name}".',
        f" (+{play.greatest_mm:g} / {play.least_mm:g})",
    )
