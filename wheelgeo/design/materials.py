"""Materials known by name, each figure with its spread and its source."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

MaterialKind = Literal["cord", "shaft", "wheel"]


@dataclass(frozen=True, slots=True)
class Figure:
    """A material figure: the value to use, its spread, and where it comes from."""

    value: float
    low: float
    high: float
    source: str


@dataclass(frozen=True, slots=True)
class Material:
    """One material.

    Attributes:
        name: as a design file writes it.
        kind: what it is used for.
        density_kg_m3: density.
        modulus_mpa: modulus of elasticity in tension (cord: of the cord as made, over the full
            circle of its diameter); None where not known.
        strength_mpa: tensile strength; for wheels across the grain; None where not known.
        friction: coefficient of friction of a cord on a wooden pulley, or None.
        stretch: usual installed stretch as a fraction, or None.
        bend_ratio: least pulley diameter (groove bottom) over the cord diameter, or None.
    """

    name: str
    kind: MaterialKind
    density_kg_m3: Figure | None = None
    modulus_mpa: Figure | None = None
    strength_mpa: Figure | None = None
    friction: Figure | None = None
    stretch: Figure | None = None
    bend_ratio: Figure | None = None


_MEMORY = "from memory"
_PRACTICE = "common practice, no source"


def _cord(name: str, bend: Figure | None = None) -> Material:
    return Material(name, "cord", bend_ratio=bend)


_ORING_BEND = Figure(4.0, 4.0, 6.0, "Apple Rubber Seal Design Guide, drive-belt page")

CORDS: tuple[Material, ...] = (
    _cord("cotton cord", Figure(3.0, 2.0, 4.0, _PRACTICE)),
    _cord("hemp cord", Figure(3.0, 2.0, 4.0, _PRACTICE)),
    _cord("leather cord", Figure(4.0, 3.0, 6.0, _PRACTICE)),
    _cord("rubber cord", _ORING_BEND),
    _cord("nitrile ring", _ORING_BEND),
    _cord("silicone cord", _ORING_BEND),
    _cord("polyurethane cord", Figure(6.0, 5.0, 10.0, _PRACTICE)),
)

MATERIALS: tuple[Material, ...] = CORDS
"""Every shipped material."""

FIBRES: tuple[str, ...] = ("cotton", "wool", "flax", "hemp", "silk")
"""Fibres known by name."""


def find_material(name: str, own: Iterable[Material] = ()) -> Material | None:
    """Return the material of that name, a design's own before the shipped ones, or None."""
    return next((m for m in (*own, *MATERIALS) if m.name == name), None)
