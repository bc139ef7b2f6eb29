"""Which shafts of a wheel slide, and a shaft slid along its slide."""

from __future__ import annotations

from collections.abc import Sequence

from wheelgeo.design.model import Design
from wheelgeo.immutable import dataclass
from wheelgeo.numbers.inputs import changer, get
from wheelgeo.numbers.shafts_as_one import as_set, move_as_one


@dataclass(frozen=True)
class Travel:
    """A shaft that slides: how far from where it stands, mm, back and forth."""

    shaft: str
    from_mm: float
    to_mm: float


def travels(design: Design) -> tuple[Travel, ...]:
    """Return the shafts that slide, those that carry fewest bands first.

    Shafts that slide as one, a flyer and the bobbin on it, are told once, by the one that others
    turn on.
    """
    sliding = [s for s in design.shafts if s.slide is not None and s.slide.from_mm < s.slide.to_mm]
    as_one = {s.name: move_as_one(design, s.name) for s in sliding}
    first = {
        min(group, key=lambda name: design.shaft(name).runs_on is not None)
        for group in as_one.values()
    }
    sliding = [s for s in sliding if s.name in first]
    sliding.sort(key=lambda s: len(_bands_at(design, as_one[s.name])))
    return tuple(
        Travel(s.name, s.slide.from_mm, s.slide.to_mm) for s in sliding if s.slide is not None
    )


def _bands_at(design: Design, shafts: Sequence[str]) -> set[str]:
    on_shaft = {p.name for shaft in shafts for p in design.pulleys_on(shaft)}
    return {b.name for b in design.bands if any(s.pulley in on_shaft for s in b.route)}


def slid(design: Design, shaft: str, travel_mm: float) -> Design:
    """Return the design with a shaft moved along its slide from where it stands, mm."""
    key = f"shaft:{shaft}.travel"
    change = changer(design, key)
    return change(design, round(get(design, key) + travel_mm, 9)) if travel_mm else design


def set_along(design: Design, shaft: str, travel_mm: float) -> Design:
    """Return the design with a shaft slid by hand: its place is one that can be measured."""
    return as_set(design, slid(design, shaft, travel_mm))
