"""Edits: one value of a wheel, by the name under which a person changes it, set anew.

The names are those of the changeable numbers (``whorl.offset``, ``second band.diameter``,
``drive.speed``; with the kind in front, ``pulley:spindle.offset``, where a name alone may mean two
things) and, beside numbers, texts, choices, vectors and routes of the file: ``middle.at``,
``second band.material``, ``drive.turns``, ``second band.route``, ``limits.start_force_n``.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, is_dataclass
from typing import Any

from wheelgeo.design.model import Design, Stop, Tensioner
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import set_plainly
from wheelgeo.numbers.named_parts import Spot, meant_by, shortest_key
from wheelgeo.units import Dimension


@dataclass(frozen=True)
class Edit:
    """One value of a wheel set anew.

    Attributes:
        key: its name.
        before: what it is; None where the file is silent.
        after: what it shall be; None takes it out of the file.
    """

    key: str
    before: Any
    after: Any


def as_in_file(one: Edit) -> Edit:
    """Return an edit with what was and shall be as the file would have it, fit for JSON."""
    return Edit(one.key, _as_in_file(one.before), _as_in_file(one.after))


def _as_in_file(value: Any) -> Any:
    if isinstance(value, tuple):
        return [_as_in_file(item) for item in value]
    if isinstance(value, Stop):
        return value.pulley if value.turns == "with" else asdict(value)
    if isinstance(value, Tensioner):
        return {value.kind: f"{value.pull_n:g} N"}
    if is_dataclass(value) and not isinstance(value, type):
        return {
            name.removesuffix("_mm").removesuffix("_deg"): v for name, v in asdict(value).items()
        }
    return value


@dataclass(frozen=True)
class EditedPlace:
    """Where an edit's key leads: kind and name of a part (empty for the one of its kind), field."""

    kind: str
    part: str
    field: str


def dimension_of(design: Design, key: str) -> Dimension | None:
    """Return what a single number is; None where a key is of none, KeyError where it is none."""
    number = _spot(design, key).field.number
    return None if number is None else number.dimension


def edit(design: Design, kind: str, part: str, field: str, after: Any) -> Edit:
    """Return the edit that sets one value of a wheel anew.

    Args:
        design: the wheel.
        kind: shaft, pulley, band, drive, case, cop or limits.
        part: name of the part; empty where a wheel has but one of the kind.
        field: the value's name within the part.
        after: what it shall be.
    """
    spot = _spot(design, f"{kind}:{part}.{field}" if part else f"{kind}:{field}")
    return Edit(shortest_key(design, spot), spot.field.get(design, spot.part), after)


def _spot(design: Design, key: str) -> Spot:
    """Return the one field that a key names; KeyError where it is none, or several."""
    meant = meant_by(design, key)
    if len(meant) != 1:
        raise KeyError(key)
    return meant[0]


def place_of(design: Design, key: str) -> EditedPlace:
    """Return where a key leads; KeyError where it leads nowhere or to several places."""
    spot = _spot(design, key)
    return EditedPlace(spot.kind.name, spot.part_name, spot.field.name)


def apply_edits(design: Design, edits: Iterable[Edit]) -> Design:
    """Return a wheel with values set anew, one edit after the other.

    Args:
        design: the wheel.
        edits: what to set; their keys are those of this wheel.

    Raises:
        KeyError: a key names nothing of this wheel.
    """
    for one in edits:
        design = set_plainly(design, _spot(design, one.key), one.after)
    return design
