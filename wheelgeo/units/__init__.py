"""Lengths, speeds and fractions in and out: units are turned here, at the edge, nowhere else."""

from wheelgeo.units.quantity import (
    ANGLE_DEG,
    FORCE_N,
    FRACTION,
    LENGTH_MM,
    LENGTH_UNITS,
    MASS_G,
    PRESSURE_MPA,
    SPEED_RPM,
    Dimension,
    as_on_the_rule,
    format_inches,
    parse_measured,
    parse_quantity,
)

__all__ = [
    "ANGLE_DEG",
    "FORCE_N",
    "FRACTION",
    "LENGTH_MM",
    "LENGTH_UNITS",
    "MASS_G",
    "PRESSURE_MPA",
    "SPEED_RPM",
    "Dimension",
    "as_on_the_rule",
    "format_inches",
    "parse_measured",
    "parse_quantity",
]
