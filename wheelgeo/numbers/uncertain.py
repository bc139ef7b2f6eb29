"""What the uncertainties of a file's numbers make of its results: half widths at 95 %.

First order (JCGM 100:2008, 5.1.2): each measured number is moved by its own half width up and
down, half the change of a result is that number's part in it, and the parts add by their squares,
for the numbers were measured apart. Moving by the whole half width, not by a hair, takes in a curve
that is the same on both sides. Where a move makes a wheel that has no such result, the other side
alone is taken; where neither is left, the uncertainty is not known.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from wheelgeo.design.model import Design
from wheelgeo.design.possible import must_exist
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.errors import WheelError
from wheelgeo.numbers.inputs import changer, get
from wheelgeo.numbers.results import result_of

Parts = Mapping[str, float | None]
"""For each measured number, by its full name, its part in a result, signed; None: not known."""


def parts_of(design: Design, names: Sequence[str]) -> dict[str, Parts]:
    """Return the part that each measured number of a wheel has in each result.

    Args:
        design: the wheel; ``uncertainties`` hold the half widths at 95 %.
        names: names of results.

    Returns:
        For each result the parts, in its own unit, at 95 %.

    Raises:
        SearchError: there is no result of a name.
    """
    now = _values(solve_drive(design), names)
    parts: dict[str, dict[str, float | None]] = {name: {} for name in names}
    for key, half in design.uncertainties.items():
        up, down = (_moved(design, key, sign * half, names) for sign in (1.0, -1.0))
        for name in names:
            parts[name][key] = _part(up[name], now[name], down[name])
    return dict(parts)


def _values(solution: Solution, names: Sequence[str]) -> dict[str, float | None]:
    return {name: result_of(solution, name) for name in names}


def _moved(design: Design, key: str, by: float, names: Sequence[str]) -> dict[str, float | None]:
    """Return the results with one number moved; None where there is no such wheel."""
    try:
        # A changer asks a number's own bounds only: a rim may pass its groove's bottom.
        moved = must_exist(changer(design, key)(design, get(design, key) + by))
    except WheelError:
        return dict.fromkeys(names)  # told as not known on this side
    return _values(solve_drive(moved), names)


def _part(up: float | None, now: float | None, down: float | None) -> float | None:
    if up is not None and down is not None:
        return 0.5 * (up - down)
    if now is None or (up is None and down is None):
        return None
    return up - now if up is not None else now - (down or 0.0)


def together(parts: Parts) -> float | None:
    """Return the half width of a result, its parts added by their squares; None: not known."""
    known = [p for p in parts.values() if p is not None]
    return math.hypot(*known) if len(known) == len(parts) else None
