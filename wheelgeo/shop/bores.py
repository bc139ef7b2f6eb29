"""Bores of pulleys on their shafts: ISO 286 hole basis in metal, a stated gap in wood."""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.built.as_built import build
from wheelgeo.built.pulley import WOOD_GAP_MM
from wheelgeo.design.model import Design, Pulley
from wheelgeo.design.rod_fits import it7_um


@dataclass(frozen=True, slots=True)
class Bore:
    """A bore: the diameter to cut and the sentence that says how it was chosen."""

    diameter_mm: float
    note: str


def bore_of(design: Design, pulley: Pulley) -> Bore:
    """Return the bore of a pulley on its shaft.

    Args:
        design: the wheel.
        pulley: one of its pulleys.

    Returns:
        The file's bore; or of metal the shaft's diameter to H7; or of wood and everything else
        the shaft's diameter and the working clearance.
    """
    made = build(design).pulleys[pulley.name]
    shaft = made.shaft
    if pulley.bore_mm is not None:
        return Bore(pulley.bore_mm, f"Bore {pulley.bore_mm:g} mm as given.")
    if made.is_metal:
        upper = it7_um(shaft.diameter_mm) / 1000.0
        return Bore(
            shaft.diameter_mm,
            f"Bore {shaft.diameter_mm:g} H7 (+{upper:.3f} / 0 mm) for the {shaft.diameter_mm:g} mm "
            f'shaft "{shaft.name}".',
        )
    bore = made.bore_mm
    return Bore(
        bore,
        f"Bore {bore:g} mm: the {shaft.diameter_mm:g} mm shaft "
        f'"{shaft.name}" and {WOOD_GAP_MM:g} mm working clearance.',
    )
