"""Fits of bores and holes on their shafts: ISO 286 hole basis in metal, a stated gap in wood.

Source of the IT7 figures: ISO 286-1, from memory; the tests hold them against the formula that
the standard gives, 16 (0.45 D^(1/3) + 0.001 D) micrometres, D the geometric mean of the step.
"""

from __future__ import annotations

from dataclasses import dataclass

from wheelgeo.design.model import Design, Pulley
from wheelgeo.errors import ShapeError
from wheelgeo.geometry.extents import WOOD_GAP_MM, bore_mm, is_metal

IT7_UM = (
    (3.0, 10.0), (6.0, 12.0), (10.0, 15.0), (18.0, 18.0), (30.0, 21.0), (50.0, 25.0),
    (80.0, 30.0), (120.0, 35.0), (180.0, 40.0), (250.0, 46.0), (315.0, 52.0), (400.0, 57.0),
    (500.0, 63.0),
)  # fmt: skip
"""Largest diameter of each step, mm, and its tolerance grade 7, micrometres."""


@dataclass(frozen=True, slots=True)
class Bore:
    """A bore: the diameter to cut and the sentence that says how it was chosen."""

    diameter_mm: float
    note: str


def it7_um(diameter_mm: float) -> float:
    """Return the tolerance of grade 7 (the upper limit of an H7 hole), micrometres.

    Args:
        diameter_mm: basic diameter, above 0 and up to 500 mm.

    Raises:
        ShapeError: the diameter is beyond the table.
    """
    if diameter_mm > 0.0:
        for largest, tolerance in IT7_UM:
            if diameter_mm <= largest:
                return tolerance
    raise ShapeError(f"no tolerance is tabled for a bore of {diameter_mm:g} mm")


def bore_of(design: Design, pulley: Pulley) -> Bore:
    """Return the bore of a pulley on its shaft.

    Args:
        design: the wheel.
        pulley: one of its pulleys.

    Returns:
        The file's bore; or of metal the shaft's diameter to H7; or of wood and everything else
        the shaft's diameter and the working clearance.
    """
    shaft = design.shaft(pulley.shaft)
    if pulley.bore_mm is not None:
        return Bore(pulley.bore_mm, f"Bore {pulley.bore_mm:g} mm as given.")
    if is_metal(design, pulley):
        upper = it7_um(shaft.diameter_mm) / 1000.0
        return Bore(
            shaft.diameter_mm,
            f"Bore {shaft.diameter_mm:g} H7 (+{upper:.3f} / 0 mm) for the {shaft.diameter_mm:g} mm "
            f'shaft "{shaft.name}".',
        )
    bore = bore_mm(design, pulley)
    return Bore(
        bore,
        f"Bore {bore:g} mm: the {shaft.diameter_mm:g} mm shaft "
        f'"{shaft.name}" and {WOOD_GAP_MM:g} mm working clearance.',
    )
