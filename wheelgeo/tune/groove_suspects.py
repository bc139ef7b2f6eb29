"""Whether measurements that disagree would agree if a groove had another shape.

A file's rim and depth are measured, its groove's shape is looked at, or guessed: a cord between the
sides of a vee lies higher than one on a round bottom, and no measurement of the others tells that
from an error in rim, depth or cord.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import combinations

from wheelgeo.design.model import Design
from wheelgeo.design.possible import faults
from wheelgeo.geometry.groove import Groove

USUAL_VEE_DEG = 60.0
"""Angle of a vee of which nothing but its depth is known; common practice, no source."""
MOST_WHEELS = 2
"""Wheels or whorls whose grooves are thought of otherwise at once; more would be guessing."""


def grooves_to_look_into(design: Design, agrees: Callable[[Design], bool]) -> Iterator[str]:
    """Say in which grooves another shape makes all measurements agree.

    Args:
        design: the wheel, whose measurements disagree.
        agrees: whether those of a wheel agree with one another.

    Yields:
        What to look at; of the least number of wheels and whorls that does it. Nothing where no
        other shape does.
    """
    shafts = list(dict.fromkeys(p.shaft for p in design.pulleys if _other(design, p.name)))
    for count in range(1, min(len(shafts), MOST_WHEELS) + 1):
        found = []
        for which in combinations(shafts, count):
            names = tuple(p.name for p in design.pulleys
                          if p.shaft in which and _other(design, p.name))  # fmt: skip
            changed = _changed(design, names)
            if not faults(changed) and agrees(changed):
                found.append(_told(changed, names))
        yield from found
        if found:
            return


def _told(changed: Design, names: tuple[str, ...]) -> str:
    shapes = {changed.pulley(name).groove.shape for name in names}
    how = {
        frozenset({"round"}): "round, the cord on the bottom",
        frozenset({"vee"}): f"a vee of {USUAL_VEE_DEG:g} degrees, the cord between its sides",
    }.get(frozenset(shapes), "of the other shape, round for vee and vee for round")
    grooves = " and ".join(f"that of {name}" for name in names)
    return (
        "the shape of a groove may be wrong, and no measurement: all agree if the groove is "
        f"{how} ({grooves}). Look into it"
    )


def _changed(design: Design, names: tuple[str, ...]) -> Design:
    """Return the wheel with the other shape in the grooves of those pulleys."""
    pulleys = (
        replace(p, groove=_other(design, p.name) or p.groove) if p.name in names else p
        for p in design.pulleys
    )
    return replace(design, pulleys=tuple(pulleys))


def _other(design: Design, name: str) -> Groove | None:
    """Return the other groove that a pulley of that rim and depth may have; None: it is known.

    A vee whose angle or bottom was measured was looked at, and so was a round groove whose radius
    was.
    """
    groove = design.pulley(name).groove
    measured = {k.rpartition(".")[2] for k in design.uncertainties
                if k.startswith(f"pulley:{name}.")}  # fmt: skip
    cords = [b.diameter_mm for b in design.bands for stop in b.route if stop.pulley == name]
    if not cords or measured & {"angle", "bottom", "radius"}:
        return None
    return groove.alike(max(cords), USUAL_VEE_DEG)
