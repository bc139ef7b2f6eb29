"""One value of one part of a wheel that may be set by name."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass
from wheelgeo.units.kind import Kind
from wheelgeo.units.number_kinds import NumberKind

Range = tuple[float, float]


@dataclass(frozen=True)
class PartField:
    """One value of a part.

    Attributes:
        name: the tail of its name, for example ``rim`` or ``at.x``.
        means: what it is, in plain words.
        kind: what kind of value it is.
        get: the value, or None where the file is silent; of (design, part).
        put: the part with another value; of (design, part, value).
        listed: whether ``find --list`` shows it.
        optional: whether it may be taken out; it then is ``default``.
        default: what it is where the file is silent.
        bounds: the range in which its number makes sense; of (design, part); None: its kind's.
        idle: why nothing hangs on it; empty where something does.
    """

    name: str
    means: str
    kind: Kind
    get: Callable[[Design, Any], Any]
    put: Callable[[Design, Any, Any], Any]
    listed: bool = True
    optional: bool = False
    default: Any = None
    bounds: Callable[[Design, Any], Range] | None = None
    idle: str = ""

    @property
    def number(self) -> NumberKind | None:
        """Its kind, where it is a number."""
        return self.kind if isinstance(self.kind, NumberKind) else None

    def range(self, design: Design, part: Any) -> Range:
        """Return the least and the greatest value that its number may have."""
        if self.bounds is not None:
            return self.bounds(design, part)
        return (-math.inf, math.inf) if self.number is None else self.number.bounds.closed
