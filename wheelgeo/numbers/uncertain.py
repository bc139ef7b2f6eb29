"""What the uncertainties of a file's numbers make of its results: half widths at 95 %.

First order (JCGM 100:2008, 5.1.2): each measured number is moved by its own half width up and
down, half the change of a result is that number's part in it, and the parts add by their squares,
for the numbers were measured apart (``measured_as_one`` names those that were not). Moving by the
whole half width, not by a hair, takes in a curve that is the same on both sides. Where a move makes
a wheel that has no such result, the other side alone is taken; where neither is left, the
uncertainty is not known.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from wheelgeo.design.model import Design
from wheelgeo.design.possible import must_exist
from wheelgeo.drive.train import Solution, solve_drive
from wheelgeo.errors import WheelError
from wheelgeo.geometry.vectors import cross, norm, sub
from wheelgeo.numbers.inputs import changer, get
from wheelgeo.numbers.results import result_of

_SAME_MM = 1e-6
NEAR = 1e-5
"""A step so small, as a part of a number, that results follow it in a straight line."""
Parts = Mapping[str, float | None]
"""For each measured number, by its full name, its part in a result, signed; None: not known."""


def parts_of(design: Design, names: Sequence[str], near: bool = False) -> dict[str, Parts]:
    """Return the part that each measured number of a wheel has in each result.

    Args:
        design: the wheel; ``uncertainties`` hold the half widths at 95 %.
        names: names of results.
        near: move each number by a little alone, and scale: for numbers that hardly anything is
            known of by themselves, where the whole half width would lead to another wheel.

    Returns:
        For each result the parts, in its own unit, at 95 %.

    Raises:
        SearchError: there is no result of a name.
    """
    now = _values(solve_drive(design), names)
    if design.measured:  # it makes no result, and would be read anew for each wheel
        design = replace(design, measured=())
    parts: dict[str, dict[str, float | None]] = {name: {} for name in names}
    for keys in measured_as_one(design):
        half = design.uncertainties[keys[0]]
        step = min(half, NEAR * max(abs(get(design, keys[0])), 1.0)) if near else half
        up, down = (_moved(design, keys, sign * step, names) for sign in (1.0, -1.0))
        for name in names:
            part = _part(up[name], now[name], down[name])
            parts[name][keys[0]] = None if part is None else part * (half / step)
    return dict(parts)


def _values(solution: Solution, names: Sequence[str]) -> dict[str, float | None]:
    return {name: result_of(solution, name) for name in names}


def measured_as_one(design: Design) -> tuple[tuple[str, ...], ...]:
    """Return the full keys of what the file gives with an uncertainty, each measurement together.

    Shafts on one axis (a flyer and its bobbin) stand where they stand together, whatever the tape
    said; and two grooves of one wheel with the same size and the same uncertainty were measured
    once. The first of each group has the uncertainty; numbers that move with it may have none.
    """
    groups: list[tuple[str, ...]] = []
    seen: set[str] = set()
    for key in design.uncertainties:
        if key not in seen:
            group = (key, *(k for k in _with(design, key) if k not in seen and k != key))
            seen.update(group)
            groups.append(group)
    return tuple(groups)


def _with(design: Design, key: str) -> Iterator[str]:
    """Yield the full keys of what moves with a number."""
    kind, _, rest = key.partition(":")
    if kind == "shaft" and (found := re.fullmatch(r"(.*)\.at\.([xyz])", rest)):
        one = design.shaft(found[1])
        for other in design.shafts:
            aside = cross(sub(one.at_mm, other.at_mm), one.axis)
            lean = cross(one.axis, other.axis)
            if other.runs_on is None and max(norm(aside), norm(lean)) < _SAME_MM:
                yield f"shaft:{other.name}.at.{found[2]}"
    elif kind == "pulley":
        name, _, field = rest.rpartition(".")
        half, size = design.uncertainties[key], get(design, key)
        for pulley in design.pulleys:
            twin = f"pulley:{pulley.name}.{field}"
            if pulley.shaft != design.pulley(name).shaft or design.uncertainties.get(twin) != half:
                continue
            if abs(get(design, twin) - size) < _SAME_MM:
                yield twin


def _moved(
    design: Design, keys: Sequence[str], by: float, names: Sequence[str]
) -> dict[str, float | None]:
    """Return the results with numbers moved together; None where there is no such wheel."""
    try:
        moved = design
        for key in keys:
            # A changer asks a number's own bounds only: a rim may pass its groove's bottom.
            moved = changer(design, key)(moved, get(design, key) + by)
        moved = must_exist(moved)
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
