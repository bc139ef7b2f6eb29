"""General tolerances: what a dimension may be off where its drawing says nothing else.

Sources: ISO 2768-1:1989, table 1 (linear dimensions; class v from memory) and table 3 (angles; from
memory). All values are plus or minus.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal, get_args

from wheelgeo.errors import SearchError

ToleranceClass = Literal["f", "m", "c", "v"]
CLASSES: tuple[ToleranceClass, ...] = get_args(ToleranceClass)
"""Fine, medium, coarse, very coarse."""

NAMES: Mapping[ToleranceClass, str] = MappingProxyType(
    {"f": "fine", "m": "medium", "c": "coarse", "v": "very coarse"}
)

SMALLEST_MM = 0.5
"""Below this nominal size the standard gives nothing."""

_LINEAR_UP_TO_MM = (3.0, 6.0, 30.0, 120.0, 400.0, 1000.0, 2000.0, 4000.0)
LARGEST_MM = _LINEAR_UP_TO_MM[-1]
"""Above this nominal size neither."""

_LINEAR_MM: Mapping[ToleranceClass, tuple[float | None, ...]] = MappingProxyType(
    {
        "f": (0.05, 0.05, 0.1, 0.15, 0.2, 0.3, 0.5, None),
        "m": (0.1, 0.1, 0.2, 0.3, 0.5, 0.8, 1.2, 2.0),
        "c": (0.2, 0.3, 0.5, 0.8, 1.2, 2.0, 3.0, 4.0),
        "v": (None, 0.5, 1.0, 1.5, 2.5, 4.0, 6.0, 8.0),
    }
)

_ANGULAR_UP_TO_MM = (10.0, 50.0, 120.0, 400.0)
_FINE_MEDIUM_MIN = (60.0, 30.0, 20.0, 10.0, 5.0)
_ANGULAR_MIN: Mapping[ToleranceClass, tuple[float, ...]] = MappingProxyType(
    {
        "f": _FINE_MEDIUM_MIN,
        "m": _FINE_MEDIUM_MIN,
        "c": (90.0, 60.0, 30.0, 15.0, 10.0),
        "v": (180.0, 120.0, 60.0, 30.0, 20.0),
    }
)


def check_class(letter: str) -> ToleranceClass:
    """Return the class of that letter; SearchError where ISO 2768-1 has none such."""
    for known in CLASSES:
        if letter == known:
            return known
    known_text = ", ".join(f"{c} ({NAMES[c]})" for c in CLASSES)
    raise SearchError(f'"{letter}" is no tolerance class of ISO 2768-1; known: {known_text}')


def linear_tolerance_mm(nominal_mm: float, tolerance_class: ToleranceClass) -> float:
    """Return what a length may be off, plus or minus, mm.

    Args:
        nominal_mm: the length as drawn, mm.
        tolerance_class: f, m, c or v.

    Raises:
        SearchError: the standard gives no value: below 0.5 mm, above 4 000 mm, above 2 000 mm in
            class f, up to 3 mm in class v.
    """
    if not SMALLEST_MM <= nominal_mm <= LARGEST_MM:
        raise SearchError(
            f"ISO 2768-1 covers lengths from 0.5 to 4000 mm, not {nominal_mm:g} mm; "
            "give a tolerance of your own"
        )
    row = next(i for i, limit in enumerate(_LINEAR_UP_TO_MM) if nominal_mm <= limit)
    value = _LINEAR_MM[tolerance_class][row]
    if value is None:
        raise SearchError(
            f"ISO 2768-1 gives no value for {nominal_mm:g} mm in class {tolerance_class} "
            f"({NAMES[tolerance_class]}); give a tolerance of your own"
        )
    return value


def angular_tolerance_deg(shorter_side_mm: float, tolerance_class: ToleranceClass) -> float:
    """Return what an angle may be off, plus or minus, degrees.

    Args:
        shorter_side_mm: length of the shorter side of the angle, mm.
        tolerance_class: f, m, c or v.

    Raises:
        SearchError: the side has no length.
    """
    if not shorter_side_mm > 0.0:
        raise SearchError(f"the side of an angle cannot be {shorter_side_mm:g} mm long")
    row = sum(shorter_side_mm > limit for limit in _ANGULAR_UP_TO_MM)
    return _ANGULAR_MIN[tolerance_class][row] / 60.0
