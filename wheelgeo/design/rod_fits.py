"""How a pulley sits on its rod: ISO 286 fits, and what set screws and pins hold.

Glossary: *play* is bore less shaft, negative where the bore is smaller. *Eccentricity* is how far
the pulley's middle may stand from the rod's: half the play, since the rod lies against one side.

Sources: ISO 286-1 for grades; J. E. Shigley, Mechanical Engineering Design, table 7-4, for set
screws; what is marked common practice has no source.
"""

from __future__ import annotations

import math

from wheelgeo.errors import ShapeError
from wheelgeo.immutable import dataclass

STEPS_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0)
"""Largest diameter of each step of ISO 286; the first begins at 1 mm for the formula's sake."""
IT7_UM = (10.0, 12.0, 15.0, 18.0, 21.0, 25.0, 30.0, 35.0, 40.0, 46.0, 52.0, 57.0, 63.0)
"""Tolerance grade 7 of each step, micrometres: ISO 286-1, from memory."""
_UNITS = {5: 7.0, 6: 10.0, 7: 16.0, 8: 25.0, 9: 40.0, 10: 64.0, 11: 100.0}
"""Tolerance units i of each grade (ISO 286-1)."""


def it7_um(diameter_mm: float) -> float:
    """Return the tolerance of grade 7 (the upper limit of an H7 hole), micrometres.

    Args:
        diameter_mm: basic diameter, above 0 and up to 500 mm.

    Raises:
        ShapeError: the diameter is beyond the table.
    """
    return IT7_UM[_step(diameter_mm)]


def grade_um(diameter_mm: float, grade: int) -> float:
    """Return a tolerance grade by the standard's formula, micrometres, not rounded.

    Args:
        diameter_mm: basic diameter, above 0 and up to 500 mm.
        grade: 5 to 11.

    Returns:
        Units times i, with i = 0.45 D^(1/3) + 0.001 D and D the geometric mean of the step. The
        standard's table rounds it, by up to a tenth in the smallest steps.

    Raises:
        ShapeError: the diameter or the grade is beyond the formula.
    """
    if grade not in _UNITS:
        raise ShapeError(f"no tolerance grade {grade}: there are 5 to 11")
    step = _step(diameter_mm)
    low = STEPS_MM[step - 1] if step else 1.0
    mean = math.sqrt(low * STEPS_MM[step])
    return float(_UNITS[grade] * (0.45 * mean ** (1.0 / 3.0) + 0.001 * mean))


def _step(diameter_mm: float) -> int:
    if diameter_mm > 0.0:
        for step, largest in enumerate(STEPS_MM):
            if diameter_mm <= largest:
                return step
    raise ShapeError(f"no tolerance is tabled for a bore of {diameter_mm:g} mm")


@dataclass(frozen=True)
class Play:
    """Bore less shaft, least and greatest, mm."""

    least_mm: float
    greatest_mm: float

    @property
    def eccentricity_mm(self) -> float:
        """How far off centre the pulley may stand at worst, mm; 0 where it is always tight."""
        return max(self.greatest_mm, 0.0) / 2.0


WOOD_PLAYS: dict[str, Play] = {
    "push fit": Play(-0.03, 0.03),
    "running fit": Play(0.10, 0.25),
}
"""Play of a bore reamed in dry hardwood on a drawn steel rod, mm: common practice, no source."""

SCREWS: tuple[tuple[str, float, float, float], ...] = (
    ("M3", 3.0, 5.0, 160.0),
    ("M4", 4.0, 10.0, 250.0),
    ("M5", 5.0, 36.0, 540.0),
)
"""Set screws: name, diameter (mm), seating torque (lbf in), holding force (lbf).

The figures are those of the nearest inch size that is no larger, number 4, 6 and 10: Shigley,
Mechanical Engineering Design, table 7-4, cup point on a steel shaft in a metal hub; seating torques
looked up, holding forces from memory."""
_LBF_N = 4.4482216152605


def set_screw_torque_nm(name: str, shaft_mm: float) -> float:
    """Return the torque at which a seated set screw begins to slip: holding force times radius.

    Raises:
        ShapeError: there is no such screw in ``SCREWS``.
    """
    for screw, _, _, holding_lbf in SCREWS:
        if screw == name:
            return holding_lbf * _LBF_N * shaft_mm / 2000.0
    raise ShapeError(f"no set screw {name}; there are {', '.join(s[0] for s in SCREWS)}")


def set_screw_wall_mm(screw_mm: float) -> float:
    """Return the metal wall that a set screw's thread needs, mm: its diameter; practice."""
    return screw_mm


WOOD_BEARING_MPA = 3.0
"""Pressure that a pin may put on hardwood across the grain, MPa: common practice, no source; the
Wood Handbook's limits of compression across the grain are two to three times as much."""
PIN_SHEAR_MPA = 80.0
"""Shear that a steel pin may carry, MPa: common practice, no source."""

PINS_MM = (0.6, 0.8, 1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0)
"""Pins that are sold, mm (ISO 2338 lists these)."""


def pin_mm(shaft_mm: float) -> float:
    """Return the pin for a shaft, mm: the thickest sold up to a quarter; common practice."""
    return max((p for p in PINS_MM if p <= shaft_mm / 4.0 + 1e-9), default=PINS_MM[0])


def pin_shear_torque_nm(shaft_mm: float, pin: float) -> float:
    """Return the torque that a cross pin carries in shear, N m: two sections, at the radius."""
    return PIN_SHEAR_MPA * math.pi / 4.0 * pin**2 * shaft_mm / 1e3


def pin_wall_mm(shaft_mm: float, pin: float, torque_nm: float, metal: bool = False) -> float:
    """Return the wall that a hub needs round the shaft for a cross pin, mm.

    Args:
        shaft_mm: diameter of the shaft.
        pin: diameter of the pin, mm.
        torque_nm: what the pin must carry.
        metal: whether the hub is of metal.

    Returns:
        The larger of two pins' width (metal: one), so that the hole does not break out, and what
        the pressure of the pin asks: both ends press on w of wood at a mean radius (d + w)/2, so
        that torque = pressure x pin x w (d + w).
    """
    edge = pin * (1.0 if metal else 2.0)
    if metal:
        return edge
    area = 1e3 * torque_nm / (WOOD_BEARING_MPA * pin)
    pressed = (-shaft_mm + math.sqrt(shaft_mm**2 + 4.0 * area)) / 2.0
    return max(edge, pressed)
