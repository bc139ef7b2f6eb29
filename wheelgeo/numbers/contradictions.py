"""Values that are set together and undo each other: a rim and a pitch that do not agree."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from wheelgeo.design.model import Design
from wheelgeo.errors import Fault
from wheelgeo.numbers.named_parts import Spot
from wheelgeo.units.wording import shown


class ReadyValue(NamedTuple):
    """A value to be set: the name it was told by, where that leads, and what the design holds."""

    name: str
    spot: Spot
    plain: Any


def contradictions(ready: list[ReadyValue], steps: list[Design]) -> Iterator[Fault]:
    """Yield a fault for each value that one set after it has undone.

    Args:
        ready: the values in the order in which they are set.
        steps: the design after each of them.
    """
    for i, one in enumerate(ready[:-1]):
        held = [_held(step, one.spot) for step in steps[i:]]
        undone = next((k for k, now in enumerate(held) if not _alike(now, held[0])), None)
        if undone is None or _alike(held[-1], held[0]) or _alike(held[-1], one.plain):
            continue
        other = ready[i + undone]
        if _of_one_direction(one.spot, other.spot):
            continue
        says = f"{shown(one.name)} and {shown(other.name)} contradict each other"
        yield Fault(one.name, says, "set one of them alone, or both to what agrees", one.name)


def _of_one_direction(one: Spot, other: Spot) -> bool:
    """Tell whether two fields are components of one direction, which is held one unit long."""
    name, further = one.field.name, other.field.name
    head = name.rpartition(".")[0]
    same_part = (one.kind, one.part_name) == (other.kind, other.part_name)
    return same_part and head != "" and head == further.rpartition(".")[0] and name != further


def _held(design: Design, spot: Spot) -> Any:
    """Return what a field holds in a changed design; None where its part is there no more."""
    part = next((p for name, p in spot.kind.parts(design) if name == spot.part_name), None)
    return None if part is None else spot.field.get(design, part)


def _alike(one: Any, other: Any) -> bool:
    """Tell whether two values are the same but for the dust of reckoning."""
    if isinstance(one, float | int) and isinstance(other, float | int):
        return math.isclose(one, other, rel_tol=1e-9, abs_tol=1e-9)
    if isinstance(one, tuple) and isinstance(other, tuple) and len(one) == len(other):
        return all(_alike(a, b) for a, b in zip(one, other, strict=True))
    return bool(one == other)
