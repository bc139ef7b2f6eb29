"""Lengths, speeds and fractions in and out: units are turned here, at the edge, nowhere else."""

from wheelgeo.units.inches import format_inches, in_inches
from wheelgeo.units.quantity import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    LENGTH_UNITS,
    MASS_G,
    PRESSURE_MPA,
    SETT_PER_CM,
    SPEED_RPM,
    TWIST_PER_M,
    Dimension,
    as_on_the_rule,
    last_digit,
    parse_measured,
    parse_quantity,
    with_unit,
)

__all__ = [
    "ANGLE_DEG",
    "FORCE_N",
    "FRACTION",
    "LENGTH_MM",
    "LENGTH_UNITS",
    "MASS_G",
    "PRESSURE_MPA",
    "SETT_PER_CM",
    "SPEED_RPM",
    "TWIST_PER_M",
    "Dimension",
    "as_on_the_rule",
    "format_inches",
    "in_inches",
    "last_digit",
    "parse_measured",
    "parse_quantity",
    "with_unit",
]
