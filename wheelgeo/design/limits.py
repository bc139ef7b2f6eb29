"""Limits that findings hold a wheel against; a design overrides them under ``[limits]``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

PRACTICE = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit.

    Attributes:
        name: its key under ``[limits]``; ends in its unit.
        default: the value used where a file is silent.
        unit: the unit of the value.
        means: what it limits, in plain words.
        source: where the default comes from.
    """

    name: str
    default: float
    unit: str
    means: str
    source: str = PRACTICE


_TABLE: tuple[Limit, ...] = (
    Limit("arriving_deg", 15.0, "deg", "angle at which a round cord may arrive at a groove"),
    Limit(
        "leaving_deg", 25.0, "deg", "angle at which a band may leave a pulley",
        "old handbooks of belting, lead-off angle of quarter-turn belts; from memory",
    ),
    Limit(
        "flat_arriving_deg", 1.0, "deg", "angle at which a band may arrive at a flat rim",
        "law of belting (it must arrive in the mid-plane); the allowance is common practice, "
        "no source",
    ),
    Limit("wrap_deg", 90.0, "deg", "arc of contact below which a pulley is poorly driven"),
    Limit("least_wrap_deg", 45.0, "deg", "arc of contact below which a pulley is not driven"),
    Limit("clearance_mm", 1.0, "mm", "least gap between moving parts, and from parts to the case"),
    Limit("knuckle_room_mm", 20.0, "mm", "room outside the crank circle for the hand"),
    Limit("twist_error_fraction", 0.05, "", "how far the twist may be from the wanted"),
)

LIMITS: Mapping[str, Limit] = {limit.name: limit for limit in _TABLE}
"""Every limit by its key."""


def limit_value(name: str, overrides: Mapping[str, float]) -> float:
    """Return the limit in force; KeyError where there is no limit of that name."""
    return overrides.get(name, LIMITS[name].default)
